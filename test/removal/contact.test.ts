/** The balance that a pressure must be in, summed on a lattice of the test's own for faces, places and motions drawn at random. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ContactSolver } from '../../planner/removal/contact';
import { lapFace, ringShare } from '../../planner/removal/face';
import { roundLap, starLap } from './support';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

describe('the pressure of a lap', () => {
  it('carries the load, balances the moment of friction and never pulls', () => {
    let partly = 0;
    fc.assert(
      fc.property(
        between(15, 40),
        between(0, 0.8),
        between(0, 1.15),
        fc.constantFrom(0, 20),
        between(0, 0.2),
        between(-3000, 3000),
        between(-3000, 3000),
        between(-30, 30),
        (reach, cut, place, holeMm, tilt, out, along, spin) => {
          const face = lapFace(cut < 0.1 ? roundLap(reach) : starLap(reach, 6, cut * reach));
          const rimMm = 120;
          const centreMm = holeMm + place * (rimMm - holeMm);
          const frictionHeightMm = tilt * reach;
          const solver = new ContactSolver({ face, glass: { rimMm, holeMm }, frictionHeightMm, law: 'balanced' });
          const pressure = solver.solve(centreMm, { out, along, spin });
          if (!pressure) {
            // Only where friction carries the load to an edge of the glass, or nearly.
            const toEdge = Math.min(rimMm - centreMm, holeMm === 0 ? 1e9 : centreMm - holeMm);
            expect(toEdge).toBeLessThan(frictionHeightMm + 0.12 * reach);
            return;
          }
          if (solver.lifts(pressure)) partly++;
          const n = 240;
          const step = (2 * reach) / n;
          let [force, mx, my, fx, fy] = [0, 0, 0, 0, 0];
          for (let i = 0; i < n; i++) {
            const x = (i + 0.5) * step - reach;
            for (let j = 0; j < n; j++) {
              const y = (j + 0.5) * step - reach;
              const far = Math.hypot(centreMm + x, y);
              if (far > rimMm || far < holeMm) continue;
              const share = ringShare(face, Math.hypot(x, y)) * step * step;
              const p = Math.max(0, pressure.p0 + pressure.gx * x + pressure.gy * y) * share;
              const vx = out - spin * y;
              const vy = along + spin * x;
              const speed = Math.hypot(vx, vy) || 1;
              force += p;
              mx += p * x;
              my += p * y;
              fx += (p * vx) / speed;
              fy += (p * vy) / speed;
            }
          }
          expect(Math.abs(force - 1)).toBeLessThan(0.03);
          expect(Math.abs(mx - frictionHeightMm * fx) / reach).toBeLessThan(0.02);
          expect(Math.abs(my - frictionHeightMm * fy) / reach).toBeLessThan(0.02);
        },
      ),
      { seed: 3, numRuns: 300 },
    );
    expect(partly).toBeGreaterThan(10);
  });
});
