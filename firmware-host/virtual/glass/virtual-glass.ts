/**
 * The virtual glass: a surface with a hidden truth, worn by the path that was walked and measured through a virtual tester.
 * Whatever comes from it is virtual and must say so.
 */
import { askedConic, focusShapeMm2 } from '../../../planner/figure/conic';
import type { SourceKind, ZoneWindow } from '../../../planner/figure/knife-edge';
import { splineThrough } from '../../../planner/figure/spline';
import type { KnifeEdgeMeasurement, ProfileMeasurement, Take } from '../../../planner/figure/types';
import type { Path } from '../../../planner/path/types';
import type { Rings } from '../../../planner/removal/profile';
import { polishedRing } from '../../../planner/removal/removal';
import type { Glass, Lap } from '../../../planner/shelf/types';
import { ExecutedWear } from './executed';
import { type EyeSettings, readZones, type Section } from './eye';
import { alongDiameter, emptyMap, meanOf, type RoundMap } from './round';
import type { GlassTruth, Random } from './truth';
import { PathWear } from './wear';

export interface TesterSettings extends EyeSettings {
  windows: readonly ZoneWindow[];
  /** Directions read, degrees from the glass's mark; each so many times. */
  diametersDeg: readonly number[];
  takes: number;
}

const RING_MM = 1;

/** How a virtual glass is now, as plain data. */
export interface GlassState {
  /** Height above the asked conic at each ring of 1 mm, nm, as it varies round the glass. */
  heightNm: RoundMap;
  /** Minutes that each lap has worked, by its id. */
  workedMinutes: Record<string, number>;
  /** Minutes since it was last worked; infinite for one that never was. */
  restedMinutes: number;
}

export function startState(glass: Glass, startNm: (rMm: number) => number): GlassState {
  const rings = ringsOf(glass);
  const heightNm = emptyMap(rings);
  for (let j = 0; j < rings.count; j++) heightNm[j] = startNm(j * RING_MM);
  return { heightNm, workedMinutes: {}, restedMinutes: Number.POSITIVE_INFINITY };
}

function ringsOf(glass: Glass): Rings {
  return { stepMm: RING_MM, count: Math.floor(polishedRing(glass).rimMm / RING_MM + 1e-9) + 1 };
}

export class VirtualGlass {
  readonly virtual = true;
  private readonly rings: Rings;
  private readonly heightNm: RoundMap;
  private readonly workedMinutes: Map<string, number>;
  private restedMinutes: number;
  private wear: { path: Path; lap: Lap; wear: PathWear } | null = null;

  constructor(
    readonly glass: Glass,
    private readonly truth: GlassTruth,
    start: GlassState | ((rMm: number) => number),
  ) {
    this.rings = ringsOf(glass);
    const state = typeof start === 'function' ? startState(glass, start) : start;
    this.heightNm = state.heightNm.slice();
    this.workedMinutes = new Map(Object.entries(state.workedMinutes));
    this.restedMinutes = state.restedMinutes;
  }

  get state(): GlassState {
    const { heightNm, workedMinutes, restedMinutes } = this;
    return { heightNm: heightNm.slice(), workedMinutes: Object.fromEntries(workedMinutes), restedMinutes };
  }

  /**
   * Wears the glass by what was walked of a path under a lap. The path is the one executed; a stretch may be given in as many
   * pieces as one likes.
   *
   * @throws RemovalRefused where the lap cannot stand on the glass
   */
  walk(path: Path, lap: Lap, fromTurns: number, toTurns: number, turntableRpm: number): void {
    if (this.wear?.path !== path || this.wear.lap !== lap) {
      this.wear = { path, lap, wear: this.under(path, lap) };
    }
    const before = this.workedMinutes.get(lap.id) ?? 0;
    const minutes = (toTurns - fromTurns) / turntableRpm;
    this.take(this.wear.wear.between(fromTurns, toTurns, { before, perTurn: 1 / turntableRpm }));
    this.worked(lap, before + minutes);
  }

  /**
   * The glass under a lap that is to be driven along a path: give it where the lap really goes.
   *
   * @throws RemovalRefused where the lap cannot be put on this glass
   */
  driven(path: Path, lap: Lap): ExecutedWear {
    const minutes = this.workedMinutes.get(lap.id) ?? 0;
    const executed = new ExecutedWear(this.under(path, lap), this.truth, minutes, (depth) => {
      this.take(depth);
      this.worked(lap, executed.minutes);
    });
    return executed;
  }

  private under(path: Path, lap: Lap): PathWear {
    return new PathWear(path, lap, this.glass, this.truth, this.rings);
  }

  private take(depthNm: RoundMap): void {
    for (let i = 0; i < depthNm.length; i++) this.heightNm[i]! -= depthNm[i]!;
  }

  private worked(lap: Lap, minutes: number): void {
    this.workedMinutes.set(lap.id, minutes);
    this.restedMinutes = 0;
  }

  rest(minutes: number): void {
    this.restedMinutes += minutes;
  }

  /** Readings as a person would note them, noise and all. */
  measure(tester: TesterSettings, random: Random): KnifeEdgeMeasurement {
    const takes: Take[] = [];
    for (let repeat = 0; repeat < tester.takes; repeat++) {
      for (const diameterDeg of tester.diametersDeg) {
        const section = this.section(diameterDeg);
        const readingMm = readZones(section, this.glass, tester.windows, tester, random);
        // The glass is turned on the tester, so that the line of windows stays level.
        takes.push({ diameterDeg, markOnTesterDeg: -diameterDeg, atMinutes: null, readingMm });
      }
    }
    return {
      kind: 'knife-edge',
      file: 'virtual glass',
      glass: this.glass,
      wavelengthNm: 550,
      virtual: true,
      markOnStandDeg: 0,
      source: tester.source as SourceKind,
      windows: tester.windows,
      takes,
      repeatabilityMm: tester.noiseMm,
      rest: { hoursSinceWork: this.restedMinutes / 60, glassC: null, roomC: null },
    };
  }

  /** Mean height round each ring of 1 mm above the asked conic, nm. */
  meanNm(): Float64Array {
    return meanOf(this.heightNm);
  }

  /** The surface as it is, in the mean round the glass, for judges and for a perfect tester: height above the asked conic, nm. */
  profile(): ProfileMeasurement {
    const points = Array.from(this.meanNm(), (heightNm, j) => ({ radiusMm: j * RING_MM, heightNm, sigmaNm: 0 }));
    const { clearApertureMm, holeMm } = this.glass;
    return {
      kind: 'profile',
      file: 'virtual glass',
      glass: this.glass,
      wavelengthNm: 550,
      virtual: true,
      markOnStandDeg: 0,
      points: points.filter(({ radiusMm }) => radiusMm <= clearApertureMm / 2 && radiusMm >= holeMm / 2),
      sigmaStated: true,
    };
  }

  /** Along a diameter: the surface in that direction, what of the glass's own astigmatism shows in this direction, and the bulge of a warm glass. */
  private section(diameterDeg: number): Section {
    const { glass, truth } = this;
    const heightNm = alongDiameter(this.heightNm, (diameterDeg * Math.PI) / 180);
    const curve = splineThrough(
      heightNm.map((_, j) => j * RING_MM),
      heightNm,
    );
    const rim = glass.clearApertureMm / 2;
    const { pvNm, highAlongDeg } = truth.astigmatism;
    const turn = Math.cos(((diameterDeg - highAlongDeg) * Math.PI) / 90);
    const bend = ((pvNm / 2) * turn) / rim ** 2;
    const conic = askedConic(glass);
    const bulge = truth.heat ? truth.heat.bulgeNm * Math.exp(-this.restedMinutes / truth.heat.minutes) : 0;
    // A warm middle: 4 (t - t^2) over best focus, t the focus shape from 0 to 1; highest at 70 % of the radius with minus sign.
    const t = (r: number): number => focusShapeMm2(conic, r) / rim ** 2;
    return {
      heightNm: (r) => curve.value(r) + bend * r * r - 4 * bulge * (t(r) - t(r) ** 2),
      slopeNmPerMm: (r) => curve.slope(r) + 2 * bend * r - 4 * bulge * (1 - 2 * t(r)) * ((2 * r) / rim ** 2),
    };
  }
}
