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
import { type EyeSettings, readZones, type Section } from './eye';
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
  /** Height above the asked conic at each ring of 1 mm, nm. */
  heightNm: Float64Array;
  /** Minutes that each lap has worked, by its id. */
  workedMinutes: Record<string, number>;
  /** Minutes since it was last worked; infinite for one that never was. */
  restedMinutes: number;
}

export function startState(glass: Glass, startNm: (rMm: number) => number): GlassState {
  const { count } = ringsOf(glass);
  const heightNm = Float64Array.from({ length: count }, (_, j) => startNm(j * RING_MM));
  return { heightNm, workedMinutes: {}, restedMinutes: Number.POSITIVE_INFINITY };
}

function ringsOf(glass: Glass): Rings {
  return { stepMm: RING_MM, count: Math.floor(polishedRing(glass).rimMm / RING_MM + 1e-9) + 1 };
}

export class VirtualGlass {
  readonly virtual = true;
  private readonly rings: Rings;
  private readonly heightNm: Float64Array;
  private readonly workedMinutes: Map<string, number>;
  private restedMinutes: number;
  private wear: { path: Path; lap: Lap; wear: PathWear } | null = null;

  constructor(
    readonly glass: Glass,
    private readonly truth: GlassTruth,
    start: GlassState | ((rMm: number) => number),
    private readonly random: Random,
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
      this.wear = { path, lap, wear: new PathWear(path, lap, this.glass, this.truth, this.rings) };
    }
    const before = this.workedMinutes.get(lap.id) ?? 0;
    const minutes = (toTurns - fromTurns) / turntableRpm;
    const depth = this.wear.wear.between(fromTurns, toTurns, { before, perTurn: 1 / turntableRpm });
    for (let j = 0; j < depth.length; j++) this.heightNm[j]! -= depth[j]!;
    this.workedMinutes.set(lap.id, before + minutes);
    this.restedMinutes = 0;
  }

  rest(minutes: number): void {
    this.restedMinutes += minutes;
  }

  /** Readings as a person would note them, noise and all. */
  measure(tester: TesterSettings): KnifeEdgeMeasurement {
    const takes: Take[] = [];
    for (let repeat = 0; repeat < tester.takes; repeat++) {
      for (const diameterDeg of tester.diametersDeg) {
        const section = this.section(diameterDeg);
        const readingMm = readZones(section, this.glass, tester.windows, tester, this.random);
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

  /** The surface as it is, for judges and for a perfect tester: height above the asked conic, nm. */
  profile(): ProfileMeasurement {
    const points = Array.from(this.heightNm, (heightNm, j) => ({ radiusMm: j * RING_MM, heightNm, sigmaNm: 0 }));
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

  /** Along a diameter: the round surface, what of astigmatism shows in this direction, and the bulge of a warm glass. */
  private section(diameterDeg: number): Section {
    const { glass, truth } = this;
    const radii = Array.from(this.heightNm, (_, j) => j * RING_MM);
    const curve = splineThrough(radii, this.heightNm);
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
