import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { laminarBelow, turbulentAbove, viscosity } from '../../src/trade/water.ts';
import { flowAt, frictionFactor, frictionLoss, lossOf, minorLoss, speedIn, velocityHead, type Resistance } from '../../src/water/pipe-flow.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
/** Evenly over powers of ten. */
const powers = (min: number, max: number) => between(Math.log10(min), Math.log10(max)).map((power) => 10 ** power);
const roughness = fc.oneof(fc.constant(0), powers(1e-7, 0.05));
const pipe: fc.Arbitrary<Resistance> = fc
  .record({ bore: between(4, 110), length: fc.oneof(fc.constant(0), between(1, 20_000)), minor: fc.oneof(fc.constant(0), between(0.01, 50)) })
  .filter(({ length, minor }) => length > 0 || minor > 0);
const flow = powers(1e-2, 1e8);

describe('the friction factor', () => {
  it.each([laminarBelow, turbulentAbove])('has neither step nor kink at Re %d', (joint) => {
    fc.assert(
      fc.property(roughness, (rough) => {
        const at = (share: number) => Math.log(frictionFactor(joint * (1 + share), rough));
        expect(Math.abs(at(1e-9) - at(-1e-9))).toBeLessThan(1e-8);
        const step = 1e-5;
        const [left, right] = [(at(0) - at(-step)) / step, (at(step) - at(0)) / step];
        expect(Math.abs(left - right)).toBeLessThan(1e-3);
      }),
      { numRuns: 200, endOnFailure: true },
    );
  });

  it('lies in laminar flow at 64 / Re, and grows with the roughness in turbulent flow', () => {
    fc.assert(
      fc.property(powers(1, 2299), powers(4001, 1e8), roughness, between(1.01, 3), (slow, fast, rough, more) => {
        expect(frictionFactor(slow, rough)).toBe(64 / slow);
        expect(frictionFactor(fast, (rough + 1e-6) * more)).toBeGreaterThan(frictionFactor(fast, rough));
      }),
    );
  });
});

describe('the loss in a pipe', () => {
  it('rises strictly with the flow, in all regimes and for all roughnesses', () => {
    fc.assert(
      fc.property(powers(1, 1e8), between(1e-6, 0.5), roughness, (reynolds, more, rough) => {
        // f Re² is the loss in a given pipe, but for a factor.
        const loss = (re: number) => frictionFactor(re, rough) * re * re;
        expect(loss(reynolds * (1 + more))).toBeGreaterThan(loss(reynolds));
      }),
      { numRuns: 5000, endOnFailure: true },
    );
    fc.assert(
      fc.property(pipe, flow, between(1e-6, 0.5), (pipe, flow, more) => {
        expect(lossOf(pipe, flow * (1 + more))[0]).toBeGreaterThan(lossOf(pipe, flow)[0]);
      }),
      { numRuns: 5000, endOnFailure: true },
    );
  });

  it('rises strictly right through the joints', () => {
    for (const joint of [laminarBelow, turbulentAbove]) {
      for (const bore of [8, 26, 102]) {
        const at = (joint * viscosity * Math.PI * bore) / 4;
        const losses = Array.from({ length: 2001 }, (_, index) => lossOf({ bore, length: 1000, minor: 0 }, at * (1 + (index - 1000) * 1e-12))[0]);
        expect(losses.every((loss, index) => index === 0 || loss > (losses[index - 1] as number))).toBe(true);
      }
    }
  });

  it('has the slope of a difference quotient', () => {
    fc.assert(
      fc.property(pipe, flow, (pipe, flow) => {
        const step = flow * 1e-5;
        const quotient = (lossOf(pipe, flow + step)[0] - lossOf(pipe, flow - step)[0]) / (2 * step);
        expect(Math.abs(lossOf(pipe, flow)[1] / quotient - 1)).toBeLessThan(1e-5);
      }),
      { numRuns: 3000, endOnFailure: true },
    );
  });

  it('is that of friction and that of the parts', () => {
    fc.assert(
      fc.property(pipe, flow, (pipe, flow) => {
        const [loss] = lossOf(pipe, flow);
        expect(Math.abs(frictionLoss(pipe, flow) + minorLoss(pipe, flow) - loss)).toBeLessThanOrEqual(1e-13 * loss);
        expect(minorLoss(pipe, flow)).toBeCloseTo(pipe.minor * velocityHead(speedIn(pipe.bore, flow)), 9);
      }),
    );
  });

  it('is nothing without flow', () => {
    fc.assert(fc.property(pipe, (pipe) => {
      expect(lossOf(pipe, 0)[0]).toBe(0);
    }));
  });
});

describe('the flow at a loss', () => {
  it('is the inverse of the loss, and its slope that of the inverse', () => {
    fc.assert(
      fc.property(pipe, flow, (pipe, flow) => {
        const [loss, slope] = lossOf(pipe, flow);
        const [found, perHead] = flowAt(pipe, loss);
        expect(Math.abs(found / flow - 1)).toBeLessThan(1e-12);
        expect(Math.abs(perHead * slope - 1)).toBeLessThan(1e-8);
      }),
      { numRuns: 3000, endOnFailure: true },
    );
  });

  it('is nothing without head, and without end in a pipe that loses nothing', () => {
    expect(flowAt({ bore: 20, length: 100, minor: 1 }, 0)[0]).toBe(0);
    expect(flowAt({ bore: 20, length: 100, minor: 1 }, -5)[0]).toBe(0);
    expect(flowAt({ bore: 20, length: 0, minor: 0 }, 5)[0]).toBe(Infinity);
  });
});
