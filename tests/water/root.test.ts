import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rootOf, type Sloped } from '../../src/water/root.ts';

/** Rising functions of x - root, with their slopes. */
const rising: Readonly<Record<string, (x: number) => Sloped>> = {
  line: (x) => [3 * x, 3],
  cube: (x) => [x ** 3, 3 * x * x],
  'cube root': (x) => [Math.cbrt(x), 1 / (3 * Math.cbrt(x) ** 2)],
  exponential: (x) => [Math.expm1(x), Math.exp(x)],
  arctangent: (x) => [Math.atan(x), 1 / (1 + x * x)],
  'square on both sides': (x) => [x * Math.abs(x), 2 * Math.abs(x)],
  'root on both sides': (x) => [Math.sign(x) * Math.sqrt(Math.abs(x)), 0.5 / Math.sqrt(Math.abs(x))],
  step: (x) => [x < 0 ? -1 : 1, 0],
  kink: (x) => [x < 0 ? x / 1000 : 1000 * x, x < 0 ? 1 / 1000 : 1000],
  'flat but for the root': (x) => [x ** 9, 9 * x ** 8],
  'slope unknown': (x) => [x, Number.NaN],
  'slope far too small': (x) => [x, 1e-9],
};

const place = fc.double({ min: -1e6, max: 1e6, noNaN: true });
const width = fc.double({ min: 1e-6, max: 1e6, noNaN: true });

describe.each(Object.entries(rising))('root of a %s', (name, curve) => {
  it('is found within the bracket, wherever the search starts', () => {
    fc.assert(
      fc.property(place, width, width, fc.double({ min: 0, max: 1, noNaN: true }), (root, below, above, at) => {
        const [low, high] = [root - below, root + above];
        let [calls, left] = [0, false];
        const found = rootOf((x) => {
          left ||= !(x >= low && x <= high);
          calls += 1;
          return curve(x - root);
        }, low, high, Math.min(high, low + at * (high - low)));
        expect(left).toBe(false);
        expect(calls).toBeLessThanOrEqual(2200);
        // What is so flat that its value is 0 beside the root has no nearer one.
        const flat = name === 'flat but for the root' || name === 'cube' || name === 'square on both sides' ? 1e-30 : 0;
        expect(Math.abs(found - root) <= 4e-15 * (Math.abs(root) + Math.abs(low) + Math.abs(high)) || Math.abs(curve(found - root)[0]) <= flat).toBe(true);
      }),
      { numRuns: 300, endOnFailure: true },
    );
  });

  it('is found at an end of the bracket', () => {
    expect(Math.abs(rootOf(curve, 0, 5))).toBeLessThan(1e-15);
    expect(Math.abs(rootOf(curve, -5, 0))).toBeLessThan(1e-15);
  });
});

describe('a root that is none', () => {
  it('a bracket without width is its own root', () => expect(rootOf((x) => [x - 3, 1], 3, 3)).toBe(3));

  it('ends where the function has no number', () => expect(Number.isFinite(rootOf(() => [Number.NaN, Number.NaN], 0, 1))).toBe(true));

  it('keeps the digits of roots near 0', () => {
    for (const root of [1e-3, 1e-30, 1e-200]) expect(Math.abs(rootOf((x) => [x - root, 1], 0, 1) / root - 1)).toBeLessThan(1e-14);
  });
});
