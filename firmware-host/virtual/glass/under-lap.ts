/** Looks where the lap of a virtual stand really is, some hundred times a second of the stand's time, and lets it wear the glass. */
import type { Path } from '../../../planner/path/types';
import type { Lap } from '../../../planner/shelf/types';
import { FREE_SHARE_OF_LIFT } from '../mechanism';
import type { Simulated } from '../simulation';
import type { ExecutedWear, RubPlace } from './executed';
import type { VirtualGlass } from './virtual-glass';

/** Where lap and glass are, whatever the controller believes. */
export interface LapPlace extends RubPlace {
  /** 0 = down on the glass, 1 = all the way up. */
  liftHeight: number;
}

/** At 200 mm/s of the lap that is 2 mm: as far apart as the points of a forecast. */
const LOOK_SECONDS = 0.01;
const HALF_A_LOOK = LOOK_SECONDS / 2;

export class GlassUnderLap implements Simulated {
  private readonly executed: ExecutedWear;
  private sinceLook = 0;
  private touching = false;
  private last: LapPlace | null = null;

  /**
   * @param turnsWalked as the host has it now; asked where the lap comes down
   * @throws RemovalRefused where the lap cannot be put on this glass
   */
  constructor(
    private readonly stand: { lapPlace(): LapPlace },
    glass: VirtualGlass,
    { path, lap }: { path: Path; lap: Lap },
    private readonly turnsWalked: () => number,
  ) {
    this.executed = glass.driven(path, lap);
  }

  /** Add it to a simulation after the stand, which moves first. */
  advance(seconds: number): void {
    this.sinceLook += seconds;
    if (this.sinceLook < LOOK_SECONDS - HALF_A_LOOK / 2) return;
    this.sinceLook = 0;
    this.look();
  }

  private look(): void {
    const place = this.stand.lapPlace();
    if (this.last !== null) {
      place.turntableTurns = goingOn(this.last.turntableTurns, place.turntableTurns);
      place.lapTurns = goingOn(this.last.lapTurns, place.lapTurns);
    }
    this.last = place;
    const touches = place.liftHeight < FREE_SHARE_OF_LIFT;
    if (touches && !this.touching) this.executed.touch(place, this.turnsWalked());
    else if (touches) this.executed.rub(place);
    else if (this.touching) {
      this.executed.rub(place);
      this.executed.lift();
    }
    this.touching = touches;
  }
}

/** A mark tells parts of a turn; counted on from where it was, however many whole turns that makes. */
function goingOn(before: number, part: number): number {
  return part + Math.round(before - part);
}
