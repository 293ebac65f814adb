import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drainLosses, pumpedLosses } from '../../src/trade/water.ts';
import { capacityOf, quietFlow } from '../../src/water/drain.ts';
import { resistanceOf, volumeOf } from '../../src/water/pipe-flow.ts';
import type { Drain, PipeParts, PipeRun } from '../../src/water/system.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const count = fc.integer({ min: 0, max: 6 });
const parts: fc.Arbitrary<PipeParts> = fc.record({ elbows: count, halfElbows: count, teesThrough: count, teesBranch: count, ballValves: count, gateValves: count, checkValves: count, otherLosses: between(0, 10) });
const run: fc.Arbitrary<PipeRun> = fc.record({ name: fc.constant('pipe'), size: fc.constant(null), schedule: fc.constant(null), isChosen: fc.constant(false), bore: between(10, 60), length: between(0, 5000), parts });
const drain: fc.Arbitrary<Drain & { run: PipeRun; drop: number }> = fc.record({
  name: fc.constant('drain'), hole: fc.constant(null), runs: fc.constantFrom('full siphon', 'open'), run, drop: between(10, 2500), rated: fc.constant(null),
  isSpare: fc.boolean(), into: fc.constant(null), opening: fc.constant(null), weir: fc.constant(null), isBoxed: fc.constant(false),
});
const partNames = ['elbows', 'halfElbows', 'teesThrough', 'teesBranch', 'ballValves', 'gateValves', 'checkValves', 'otherLosses'] as const;

describe('what a drain carries', () => {
  it('falls with its length and with every part, and rises with its drop and its bore', () => {
    fc.assert(
      fc.property(drain, between(0.01, 1), fc.constantFrom(...partNames), (drain, more, part) => {
        const { run, drop } = drain;
        const { most, reliable } = capacityOf(drain);
        const less = [
          capacityOf({ ...drain, run: { ...run, length: (run.length + 1) * (1 + more) } }),
          capacityOf({ ...drain, run: { ...run, parts: { ...run.parts, [part]: run.parts[part] + 1 } } }),
        ];
        for (const other of less) expect(other.most < most && other.reliable <= reliable).toBe(true);
        const greater = [capacityOf({ ...drain, drop: drop * (1 + more) }), capacityOf({ ...drain, run: { ...run, bore: run.bore * (1 + more) } })];
        for (const other of greater) expect(other.most > most && other.reliable >= reliable).toBe(true);
      }),
      { numRuns: 1000, endOnFailure: true },
    );
  });

  it('is never relied on for more than it carries at most; a full siphon for all of it, an open drain for less where its pipe stands upright', () => {
    fc.assert(
      fc.property(drain, (drain) => {
        const { most, reliable } = capacityOf(drain);
        expect(reliable).toBeGreaterThan(0);
        expect(reliable).toBeLessThanOrEqual(most);
        if (drain.runs === 'full siphon') expect(reliable).toBe(most);
        else expect(reliable === most || Math.abs(reliable / quietFlow(drain.run.bore) - (7 / 6) ** (5 / 3)) < 1e-12).toBe(true);
      }),
      { numRuns: 1000, endOnFailure: true },
    );
  });

  it('an open drain of usual length is relied on for a fraction of what a siphon takes', () => {
    fc.assert(fc.property(between(15, 60), between(500, 2000), (bore, drop) => {
      const plain = { elbows: 2, halfElbows: 0, teesThrough: 0, teesBranch: 0, ballValves: 0, gateValves: 0, checkValves: 0, otherLosses: 0 };
      const { most, reliable } = capacityOf({ name: 'drain', hole: null, runs: 'open', run: { name: '', size: null, schedule: null, isChosen: false, bore, length: drop, parts: plain }, drop, rated: null, isSpare: false, into: null, opening: null, weir: null, isBoxed: false });
      expect(reliable).toBeLessThan(0.75 * most);
    }));
  });

  it('is what it is rated for, where that is told', () => {
    fc.assert(fc.property(drain, between(1, 1e6), (drain, rated) => {
      expect(capacityOf({ ...drain, rated, run: null, drop: null })).toEqual({ reliable: rated, most: rated });
    }));
  });

  it('is nothing without a drop', () => {
    fc.assert(fc.property(drain, (drain) => {
      expect(capacityOf({ ...drain, drop: 0 })).toEqual({ reliable: 0, most: 0 });
    }));
  });
});

describe('a run of pipe', () => {
  it('adds up what its parts lose', () => {
    const all = { elbows: 2, halfElbows: 1, teesThrough: 1, teesBranch: 1, ballValves: 1, gateValves: 1, checkValves: 1, otherLosses: 0.25 };
    const pipe: PipeRun = { name: '', size: null, schedule: null, isChosen: false, bore: 20, length: 300, parts: all };
    // By hand: 2 · 0.9 + 0.4 + 0.9 + 2 + 0.05 + 0.2 + 2.5 + 0.25 + 1 = 9.1; elbows of 1.5 add 1.2.
    expect(resistanceOf(pipe, pumpedLosses, 1)).toEqual({ bore: 20, length: 300, minor: expect.closeTo(9.1, 12) });
    expect(resistanceOf(pipe, drainLosses, 1).minor).toBeCloseTo(10.3, 12);
  });

  it('holds its section times its length', () => {
    expect(volumeOf({ name: '', size: null, schedule: null, isChosen: false, bore: 20, length: 1000, parts: { elbows: 0, halfElbows: 0, teesThrough: 0, teesBranch: 0, ballValves: 0, gateValves: 0, checkValves: 0, otherLosses: 0 } })).toBeCloseTo(314_159.265, 2);
  });
});
