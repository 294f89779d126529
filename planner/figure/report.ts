/** The figure as `reduce --json` prints it; units in the names. */
import type { Figure } from './types';

export interface ReduceReport {
  virtual: boolean;
  radiusMm: number[];
  surfaceNm: number[];
  bandNm: number[];
  pvNm: number;
  rmsNm: number;
  wavefrontPvWaves: number;
  wavelengthNm: number;
  strehl: number;
  transverseRelative: number[];
  reference: string;
  measuredMm: { from: number; to: number };
  conicConstant: number;
  astigmatismPvNm: number | null;
  astigmatismHighAlongDeg: number | null;
  findings: string[];
}

export function reduceReport(figure: Figure): ReduceReport {
  const { radiusMm, surfaceNm, bandNm, pvNm, rmsNm, wavefrontPvWaves, wavelengthNm, strehl, transverseRelative } =
    figure;
  return {
    virtual: figure.virtual,
    radiusMm,
    surfaceNm,
    bandNm,
    pvNm,
    rmsNm,
    wavefrontPvWaves,
    wavelengthNm,
    strehl,
    transverseRelative,
    reference: figure.reference,
    measuredMm: figure.measuredMm,
    conicConstant: figure.conicConstant,
    astigmatismPvNm: figure.astigmatism?.surfacePvNm ?? null,
    astigmatismHighAlongDeg: figure.astigmatism?.highAlongDeg ?? null,
    findings: figure.findings.map((finding) => finding.words),
  };
}
