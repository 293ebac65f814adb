import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pumpCurve } from '../../src/water/curve.ts';
import type { PumpPoint } from '../../src/water/system.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** Two to eight points with falls of all sizes, and level stretches, that fall on the whole. */
const points: fc.Arbitrary<readonly PumpPoint[]> = fc
  .record({ steps: fc.array(fc.record({ width: between(1e3, 1e6), fall: fc.oneof(fc.constant(0), between(0.1, 3000)) }), { minLength: 1, maxLength: 7 }), rest: fc.oneof(fc.constant(0), between(0, 2000)) })
  .filter(({ steps }) => steps.some(({ fall }) => fall > 0))
  .map(({ steps, rest }) => {
    let [flow, head] = [0, rest + steps.reduce((total, { fall }) => total + fall, 0)];
    const later = steps.map(({ width, fall }, index) => {
      flow += width;
      head = index === steps.length - 1 ? Math.min(head, Math.max(rest, head - fall)) : Math.max(rest, head - fall);
      return { flow, head };
    });
    return [{ flow: 0, head: rest + steps.reduce((total, { fall }) => total + fall, 0) }, ...later];
  })
  .filter((points) => (points[points.length - 1] as PumpPoint).head < (points[0] as PumpPoint).head);

describe("a pump's curve", () => {
  it('passes its points', () => {
    fc.assert(fc.property(points, (points) => {
      const curve = pumpCurve(points);
      const top = (points[0] as PumpPoint).head;
      for (const { flow, head } of points) expect(Math.abs(curve.at(flow)[0] - head)).toBeLessThanOrEqual(1e-12 * top);
    }));
  });

  it('never rises, and lies between the points beside it', () => {
    fc.assert(
      fc.property(points, fc.array(between(0, 1), { minLength: 20, maxLength: 20 }), (points, shares) => {
        const curve = pumpCurve(points);
        const slack = 1e-12 * (points[0] as PumpPoint).head;
        points.slice(1).forEach((to, index) => {
          const from = points[index] as PumpPoint;
          let before = from.head;
          for (const share of [...shares].sort((a, b) => a - b)) {
            const [head, slope] = curve.at(from.flow + share * (to.flow - from.flow));
            expect(head).toBeLessThanOrEqual(before + slack);
            expect(head).toBeGreaterThanOrEqual(to.head - slack);
            expect(slope).toBeLessThanOrEqual(slack / 1e3);
            before = head;
          }
        });
      }),
      { numRuns: 200, endOnFailure: true },
    );
  });

  it('has the slope of a difference quotient, and no kink but where it is led on', () => {
    fc.assert(
      fc.property(points, between(0.001, 0.999), (points, share) => {
        const curve = pumpCurve(points);
        const steepest = Math.max(...points.slice(1).map((to, index) => ((points[index] as PumpPoint).head - to.head) / (to.flow - (points[index] as PumpPoint).flow)));
        const flow = share * curve.known;
        const step = 1e-3;
        const quotient = (curve.at(flow + step)[0] - curve.at(flow - step)[0]) / (2 * step);
        expect(Math.abs(curve.at(flow)[1] - quotient)).toBeLessThan(1e-4 * steepest + 1e-6);
        for (const { flow } of points.slice(1, -1)) expect(Math.abs(curve.at(flow - 1e-6)[1] - curve.at(flow + 1e-6)[1])).toBeLessThan(1e-4 * steepest);
      }),
      { numRuns: 500, endOnFailure: true },
    );
  });

  it('is led on straight, no flatter than it falls on the whole, down to no head', () => {
    fc.assert(fc.property(points, between(0, 1), (points, share) => {
      const curve = pumpCurve(points);
      const [first, last] = [points[0] as PumpPoint, points[points.length - 1] as PumpPoint];
      expect(curve.known).toBe(last.flow);
      expect(curve.end).toBeGreaterThanOrEqual(last.flow);
      expect(Math.abs(curve.at(curve.end)[0])).toBeLessThanOrEqual(1e-9 * first.head);
      const flow = last.flow + share * (curve.end - last.flow);
      expect(curve.at(flow)[0]).toBeLessThanOrEqual(last.head + ((last.head - first.head) / last.flow) * (flow - last.flow) + 1e-9 * first.head);
    }));
  });

  it('through two points is a parabola with its top at no flow', () => {
    fc.assert(fc.property(between(100, 9000), between(0, 0.9), between(1e3, 1e7), between(0, 1), (top, rest, end, share) => {
      const curve = pumpCurve([{ flow: 0, head: top }, { flow: end, head: rest * top }]);
      expect(Math.abs(curve.at(share * end)[0] - top * (1 - (1 - rest) * share ** 2))).toBeLessThan(1e-11 * top);
      expect(curve.at(0)[1]).toBe(0);
    }));
  });

  it('is level where its points are', () => {
    const curve = pumpCurve([{ flow: 0, head: 3000 }, { flow: 100, head: 3000 }, { flow: 200, head: 2000 }, { flow: 300, head: 2000 }, { flow: 400, head: 0 }]);
    for (const flow of [0, 30, 50, 99]) expect(curve.at(flow)).toEqual([3000, 0]);
    for (const flow of [201, 250, 299]) expect(curve.at(flow)[0]).toBeCloseTo(2000, 9);
  });

  it('promises no water without end where its last points are level', () => {
    const curve = pumpCurve([{ flow: 0, head: 3000 }, { flow: 1000, head: 2000 }, { flow: 2000, head: 2000 }]);
    expect(curve.end).toBeCloseTo(2000 + 2000 / 0.5, 6);
  });
});
