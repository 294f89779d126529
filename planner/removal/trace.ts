/** Which cells of glass one stroke passes, and with which place of the face: kept once, replayed for every orientation. */
import type { CoveredCells } from './footprint';

/** A face as a polar picture; angle 0 at the lap's first point, anticlockwise. */
export interface FacePicture {
  angles: number;
  ringMm: number;
  rings: number;
  /** Rings before this one hold no excess at all. */
  firstRing: number;
  /** Index ring x angles + angle. */
  excess: Float32Array;
}

export class Trace {
  private count = 0;
  private cell = new Int32Array(0);
  private row = new Int32Array(0);
  private angle = new Int16Array(0);
  private weight = new Float32Array(0);

  constructor(private readonly picture: FacePicture) {}

  clear(): void {
    this.count = 0;
  }

  /** Adds the cells under the lap at one point, where it stands at `lapAngle` (radians) in the glass's frame. */
  add(covered: CoveredCells, lapAngle: number): void {
    const { angles, ringMm, rings, firstRing } = this.picture;
    this.reserve(this.count + covered.count);
    const start = lapAngle / (2 * Math.PI);
    for (let k = 0; k < covered.count; k++) {
      const x = covered.x[k]!;
      const y = covered.y[k]!;
      const row = Math.min(rings - 1, Math.floor(Math.sqrt(x * x + y * y) / ringMm));
      if (row < firstRing) continue;
      const turns = Math.atan2(y, x) / (2 * Math.PI) - start;
      const i = this.count++;
      this.cell[i] = covered.cell[k]!;
      this.row[i] = row * angles;
      this.angle[i] = Math.floor((turns - Math.floor(turns)) * angles) % angles;
      this.weight[i] = covered.weight[k]!;
    }
  }

  /** Adds to `print` what the face leaves when the stroke begins with the lap turned by `turned` (in angles of the picture). */
  leave(turned: number, print: Float64Array): void {
    const { angles, excess } = this.picture;
    const { cell, row, angle, weight, count } = this;
    for (let i = 0; i < count; i++) {
      const place = angle[i]! - turned;
      print[cell[i]!]! += weight[i]! * excess[row[i]! + (place < 0 ? place + angles : place)]!;
    }
  }

  private reserve(count: number): void {
    if (count <= this.cell.length) return;
    const size = 2 * count;
    const { cell, row, angle, weight } = this;
    this.cell = new Int32Array(size);
    this.row = new Int32Array(size);
    this.angle = new Int16Array(size);
    this.weight = new Float32Array(size);
    this.cell.set(cell);
    this.row.set(row);
    this.angle.set(angle);
    this.weight.set(weight);
  }
}
