import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Weir } from '../../src/water/system.ts';
import { francis, francisLeastHead, levelOver, weirFlow } from '../../src/water/weir.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const teeth = fc.option(fc.record({ width: between(2, 20), gap: between(2, 20), height: fc.constant(null) }));
const weir: fc.Arbitrary<Weir> = fc.record({ name: fc.constant('weir'), box: fc.constant(null), crest: between(-20, 200), length: between(5, 2000), teeth, boxArea: fc.constant(null) });
const weirs = fc.array(weir, { minLength: 1, maxLength: 5 });

describe('what runs over a weir', () => {
  it('rises strictly with the head, however high it is', () => {
    fc.assert(
      fc.property(weir, between(0.01, 3000), between(1e-6, 1), (weir, head, more) => {
        expect(weirFlow(weir, head * (1 + more))).toBeGreaterThan(weirFlow(weir, head));
      }),
      { numRuns: 3000, endOnFailure: true },
    );
  });

  it('rises with the length, and falls with the ends that stand clear', () => {
    fc.assert(
      fc.property(between(5, 2000), between(0.1, 500), between(0.01, 1), (length, head, more) => {
        expect(francis(length * (1 + more), head, 2)).toBeGreaterThan(francis(length, head, 2));
        expect(francis(length, head, 1)).toBeGreaterThan(francis(length, head, 2));
        expect(francis(length, head, 0)).toBeGreaterThan(francis(length, head, 1));
      }),
    );
  });

  it('has no step where its ends stop growing', () => {
    expect(francis(50, 50 * (1 + 1e-9), 2) / francis(50, 50, 2) - 1).toBeLessThan(1e-8);
    expect(francis(50, 200, 2) / francis(50, 50, 2)).toBeCloseTo(8, 9); // 4^1.5: from there on as the head to the power of 1.5
  });

  it('is nothing under the crest', () => {
    for (const head of [0, -1, -500]) expect(weirFlow({ length: 300, teeth: null }, head)).toBe(0);
  });

  it('through teeth is what runs through as many slots as fit', () => {
    const through = (length: number, width: number, gap: number) => weirFlow({ length, teeth: { width, gap, height: 30 } }, 20) / francis(gap, 20, 2);
    expect(through(340, 6, 6)).toBeCloseTo(28, 9); // 28 slots and 27 teeth are 330, 29 and 28 would be 342
    expect(through(342, 6, 6)).toBeCloseTo(29, 9);
    expect(through(25.4 * 0.7, 25.4 * 0.1, 25.4 * 0.1)).toBeCloseTo(4, 9); // 4 slots and 3 teeth, whatever the decimals did
    expect(through(10, 6, 6)).toBeCloseTo(1, 9);
    expect(weirFlow({ length: 4, teeth: { width: 6, gap: 6, height: null } }, 20)).toBeCloseTo(francis(4, 20, 2), 6); // a crest shorter than a slot
  });

  it('through teeth is less than over the same crest without', () => {
    fc.assert(fc.property(between(50, 2000), between(2, 20), between(2, 20), between(1, 300), (length, width, gap, head) => {
      expect(weirFlow({ length, teeth: { width, gap, height: null } }, head)).toBeLessThan(weirFlow({ length, teeth: null }, head));
    }));
  });

  it('was measured from 0.2 ft on (USBR, from memory)', () => expect(francisLeastHead).toBeCloseTo(60.96, 9));
});

describe('the level over weirs', () => {
  const passed = (weirs: readonly Weir[], level: number) => weirs.reduce((total, weir) => total + weirFlow(weir, weir.crest - level), 0);

  it('is where all together pass the flow', () => {
    fc.assert(
      fc.property(weirs, between(1, 1e8), (weirs, flow) => {
        const level = levelOver(weirs, flow);
        expect(level).toBeLessThan(Math.max(...weirs.map((weir) => weir.crest)));
        // The level has so many digits; a millionth of a millimetre up and down encloses the flow.
        expect(passed(weirs, level + 1e-6)).toBeLessThan(flow);
        expect(passed(weirs, level - 1e-6)).toBeGreaterThan(flow);
      }),
      { numRuns: 1000, endOnFailure: true },
    );
  });

  it('is the lowest crest without flow', () => {
    fc.assert(fc.property(weirs, (weirs) => {
      expect(levelOver(weirs, 0)).toBe(Math.max(...weirs.map((weir) => weir.crest)));
    }));
  });

  it('rises with the flow, and falls with another weir', () => {
    fc.assert(
      fc.property(weirs, weir, between(1, 1e8), between(0.001, 1), (weirs, other, flow, more) => {
        expect(levelOver(weirs, flow * (1 + more))).toBeLessThan(levelOver(weirs, flow));
        expect(levelOver([...weirs, other], flow)).toBeGreaterThanOrEqual(levelOver(weirs, flow) - 1e-9);
      }),
      { numRuns: 500, endOnFailure: true },
    );
  });

  it('is told to be endlessly high without a weir', () => expect(levelOver([], 1000)).toBe(-Infinity));
});
