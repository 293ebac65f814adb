/** Bits: their speeds against common practice, the diameter to buy, and the choice among those at hand against a plain search. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bitKinds, chooseBit, coreAllowance, diameterToBuy, drilling, speedRange, type BitKind } from '../../src/trade/bits.ts';
import { typicalFitting } from '../../src/trade/fittings.ts';
import { materials, notDrilled, type Material } from '../../src/trade/limits.ts';

const inch = 25.4; // NIST SP 811

describe('speeds', () => {
  // Diamond core bits in glass, about, rpm: common practice, from memory. Ours are rounded inwards to 5 rpm.
  it.each([
    [25, 460, 760],
    [45, 255, 425],
    [60, 190, 320],
  ])('%s mm in glass: about %s to %s rpm (common practice, from memory)', (diameter, min, max) => {
    const range = speedRange(diameter, 'annealed glass');
    expect(Math.abs((range?.min ?? 0) - min)).toBeLessThanOrEqual(5);
    expect(Math.abs((range?.max ?? 0) - max)).toBeLessThanOrEqual(5);
  });

  it.each([
    ['annealed glass', 0.6, 1],
    ['acrylic', 0.3, 0.6],
  ] as const)('in %s keep the rim between %s and %s m/s at both ends (from memory)', (material, slowest, fastest) => {
    fc.assert(
      fc.property(fc.double({ min: 3, max: 20_000, noNaN: true }), (diameter) => {
        const { min, max } = speedRange(diameter, material) as { min: number; max: number };
        const metresPerSecond = (rpm: number) => (rpm / 60) * Math.PI * (diameter / 1000);
        expect(min).toBeLessThanOrEqual(max);
        expect(metresPerSecond(min)).toBeGreaterThanOrEqual(slowest - 1e-9);
        expect(metresPerSecond(max)).toBeLessThanOrEqual(fastest + 1e-9);
        if (diameter < 200) {
          expect([min % 5, max % 5]).toEqual([0, 0]);
          expect(metresPerSecond(min - 5)).toBeLessThan(slowest);
          expect(metresPerSecond(max + 5)).toBeGreaterThan(fastest);
        }
      }),
    );
  });

  it('acrylic is never drilled faster than glass', () => {
    for (const diameter of [8, 22, 45, 76]) expect(speedRange(diameter, 'acrylic')?.max).toBeLessThanOrEqual(speedRange(diameter, 'annealed glass')?.max as number);
  });

  it('there are none, nor bits, for what must not be drilled', () => {
    for (const material of materials) {
      expect(drilling[material] === undefined, material).toBe(notDrilled[material] !== undefined);
      expect(speedRange(45, material) === undefined, material).toBe(notDrilled[material] !== undefined);
    }
  });

  it.each([0, -45, NaN])('a diameter of %s mm is an error', (diameter) => {
    expect(() => speedRange(diameter, 'acrylic')).toThrow(RangeError);
  });
});

describe('the diameter to buy', () => {
  it.each([
    ['1/2', 29, 1 + 1 / 8],
    ['3/4', 36, 1 + 7 / 16],
    ['1', 45, 1 + 3 / 4],
    ['1-1/4', 55, 2 + 1 / 8],
    ['1-1/2', 60, 2 + 3 / 8],
    ['2', 74, 2 + 7 / 8],
  ])('bulkhead %s in: %s mm, or %s in', (size, mm, inches) => {
    const hole = typicalFitting(`bulkhead ${size} in`)?.size.hole as { min: number; max: number };
    expect(diameterToBuy(hole, 'mm')).toBe(mm);
    expect(diameterToBuy(hole, 'cm')).toBe(mm);
    expect(diameterToBuy(hole, 'in')).toBeCloseTo(inches * inch, 9);
  });

  it.each([
    [44, 45, 44, 'the lower of two, which leaves the allowance'],
    [44.2, 45.7, 45, 'the one above the middle, where none below lies in the range'],
    [44.4, 45.2, 45, 'one that just lies in the range, where none leaves the allowance'],
    [44.2, 44.8, 44.5, 'the middle, where no whole millimetre lies in the range'],
    [45, 45, 45, 'the hole itself, where it has one diameter'],
    [44.45, 44.45, 44.45, 'also where that is no whole millimetre'],
  ])('%s to %s mm: %s mm, %s', (min, max, diameter) => {
    expect(diameterToBuy({ min, max }, 'mm')).toBeCloseTo(diameter, 9);
  });

  it('lies in the range, and leaves the allowance wherever a whole millimetre or a sixteenth does', () => {
    fc.assert(
      fc.property(fc.integer({ min: 60, max: 900 }), fc.integer({ min: 0, max: 60 }), fc.constantFrom('mm', 'in'), (tenths, width, unit) => {
        const [min, max] = [tenths / 10, (tenths + width) / 10];
        const diameter = diameterToBuy({ min, max }, unit as 'mm' | 'in');
        expect(diameter).toBeGreaterThanOrEqual(min - 1e-6);
        expect(diameter).toBeLessThanOrEqual(max + 1e-6);
        const step = unit === 'in' ? inch / 16 : 1;
        const leaves = Array.from({ length: 1000 }, (_, count) => count * step).filter((size) => size >= min && size + coreAllowance <= max);
        if (leaves.length > 0) expect(diameter + coreAllowance).toBeLessThanOrEqual(max + 1e-6);
      }),
      { numRuns: 2000 },
    );
  });
});

const core = (diameter: number) => ({ diameter, kind: 'diamond core bit' as BitKind });
const saw = (diameter: number) => ({ diameter, kind: 'hole saw' as BitKind });

describe('the bit to take', () => {
  const drain = { min: 44, max: 46 };

  it('is the one nearest to the middle of those that fit whole', () => {
    expect(chooseBit(drain, [core(44), core(45), core(46), core(45.4)], 'annealed glass')).toEqual({ bit: core(45), fits: 'whole' });
  });

  it('fits whole when the allowance just stays in the range: 45.5 mm cuts 46 mm at most', () => {
    expect(chooseBit(drain, [core(45.5)], 'annealed glass')?.fits).toBe('whole');
    expect(chooseBit(drain, [core(45.6)], 'annealed glass')?.fits).toBe('nominal');
    expect(chooseBit(drain, [core(46.1), core(43.9)], 'annealed glass')).toBeUndefined();
  });

  it('in glass is never a hole saw', () => {
    expect(chooseBit(drain, [saw(45)], 'annealed glass')).toBeUndefined();
    expect(chooseBit(drain, [saw(45), core(46)], 'annealed glass')).toEqual({ bit: core(46), fits: 'nominal' });
  });

  it('in acrylic is a hole saw before a diamond core bit that fits as well, but not before one that fits better', () => {
    expect(chooseBit(drain, [core(45), saw(44)], 'acrylic')).toEqual({ bit: saw(44), fits: 'whole' });
    expect(chooseBit(drain, [core(45), saw(46)], 'acrylic')).toEqual({ bit: core(45), fits: 'whole' });
    expect(chooseBit(drain, [core(45)], 'acrylic')?.bit.kind).toBe('diamond core bit');
  });

  it('for one exact diameter is the bit of that diameter, to 0.05 mm: 1-3/4 in is 44.45 mm (NIST SP 811)', () => {
    const exact = { min: 44.45, max: 44.45 };
    expect(chooseBit(exact, [core(44.5)], 'annealed glass')?.fits).toBe('whole');
    expect(chooseBit(exact, [core(44), core(45), core(44.51)], 'annealed glass')).toBeUndefined();
  });

  it('is none in toughened or unknown glass', () => {
    for (const material of ['toughened glass', 'unknown glass'] as const) expect(chooseBit(drain, [core(45), saw(45)], material)).toBeUndefined();
  });

  it('is handed back as it was given, the first of two that are alike', () => {
    const [first, second] = [{ ...core(45), name: 'new one' }, { ...core(45), name: 'old one' }];
    expect(chooseBit(drain, [first, second], 'annealed glass')?.bit).toBe(first);
  });
});

describe('the bit to take, against a plain search', () => {
  /** Whether bit a is to be taken before bit b, rule by rule; both suit the material and lie in the range. */
  function isBefore(a: { diameter: number; kind: BitKind }, b: { diameter: number; kind: BitKind }, min: number, max: number): boolean {
    const keeps = (bit: { diameter: number }) => min === max || bit.diameter + 0.5 <= max;
    if (keeps(a) !== keeps(b)) return keeps(a);
    if (a.kind !== b.kind) return a.kind === 'hole saw';
    const [offA, offB] = [Math.abs(2 * a.diameter - min - max), Math.abs(2 * b.diameter - min - max)];
    return offA === offB ? a.diameter < b.diameter : offA < offB;
  }

  // Diameters in quarters of a millimetre, so that sums are exact in binary.
  const quarters = (least: number, most: number) => fc.integer({ min: 4 * least, max: 4 * most }).map((count) => count / 4);
  const bits = fc.array(fc.record({ diameter: quarters(40, 50), kind: fc.constantFrom(...bitKinds) }), { maxLength: 8 });
  const rangeOf = fc.tuple(quarters(40, 48), quarters(0, 4)).map(([min, width]) => ({ min, max: min + width }));

  it('for any bits, range and material', () => {
    fc.assert(
      fc.property(rangeOf, bits, fc.constantFrom<Material>(...materials), (hole, atHand, material) => {
        const usable = atHand.filter(({ kind, diameter }) => {
          const suits = material === 'acrylic' || (material === 'annealed glass' && kind === 'diamond core bit');
          return suits && diameter >= hole.min && diameter <= hole.max;
        });
        const choice = chooseBit(hole, atHand, material);
        if (usable.length === 0) {
          expect(choice).toBeUndefined();
          return;
        }
        const { bit, fits } = choice as NonNullable<typeof choice>;
        expect(usable).toContain(bit);
        expect(usable.filter((other) => isBefore(other, bit, hole.min, hole.max))).toEqual([]);
        expect(fits).toBe(hole.min === hole.max || bit.diameter + 0.5 <= hole.max ? 'whole' : 'nominal');
      }),
      { numRuns: 3000 },
    );
  });
});
