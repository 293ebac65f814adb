/** Typical bulkheads against the pipe and thread that must pass through their holes. */
import { describe, expect, it } from 'vitest';
import { typicalFitting, typicalFittings } from '../../src/trade/fittings.ts';

/** Outside diameter of PVC pipe by nominal size, in: ASTM D1785, table 1. */
const pipeOutside: Readonly<Record<string, number>> = { '1/2': 0.84, '3/4': 1.05, '1': 1.315, '1-1/4': 1.66, '1-1/2': 1.9, '2': 2.375 };

/** Major diameter of the G thread by nominal size, mm: ISO 228-1, table 1; the last two from memory. */
const threadMajor: Readonly<Record<string, number>> = { '1/2': 20.955, '3/4': 26.441, '1': 33.249, '1-1/4': 41.91, '1-1/2': 47.803, '2': 59.614 };

const sizes = ['1/2', '3/4', '1', '1-1/4', '1-1/2', '2'] as const;

function bulkhead(size: string) {
  const found = typicalFitting(`bulkhead ${size} in`);
  if (!found) throw new Error(`no bulkhead ${size} in`);
  return found.size;
}

describe.each(sizes)('bulkhead %s in', (size) => {
  it('takes a hole that its pipe passes through (ASTM D1785)', () => {
    expect(bulkhead(size).hole.min).toBeGreaterThan((pipeOutside[size] as number) * 25.4);
  });

  it('takes a hole that its thread passes through (ISO 228-1)', () => {
    expect(bulkhead(size).hole.min).toBeGreaterThan(threadMajor[size] as number);
  });

  it('has a hole range that is not upside down and a flange that covers it', () => {
    const { hole, flange } = bulkhead(size);
    expect(hole.max).toBeGreaterThanOrEqual(hole.min);
    expect(flange).toBeGreaterThan(hole.max);
  });
});

describe('the list of typical bulkheads', () => {
  it('holds these sizes and no others', () => {
    expect([...typicalFittings.keys()].sort()).toEqual(sizes.map((size) => `bulkhead ${size} in`).sort());
  });

  it('grows with the pipe, hole and flange alike', () => {
    for (let i = 1; i < sizes.length; i += 1) {
      const [small, large] = [bulkhead(sizes[i - 1] as string), bulkhead(sizes[i] as string)];
      expect(large.hole.min).toBeGreaterThan(small.hole.max);
      expect(large.flange).toBeGreaterThan(small.flange as number);
    }
  });
});

describe('a trade name is known however it is written', () => {
  it.each([
    ['bulkhead 1 in', 'bulkhead 1 in'],
    ['Bulkhead 1"', 'bulkhead 1 in'],
    ['BULKHEAD 1 IN', 'bulkhead 1 in'],
    ['bulkhead 1”', 'bulkhead 1 in'],
    ['bulkhead 1″', 'bulkhead 1 in'],
    ['bulkhead 1 inch', 'bulkhead 1 in'],
    ['bulkhead  2 inches ', 'bulkhead 2 in'],
    ['bulkhead 1 1/4 in', 'bulkhead 1-1/4 in'],
    ['bulkhead 1-1/4"', 'bulkhead 1-1/4 in'],
    ['bulkhead 1¼"', 'bulkhead 1-1/4 in'],
    ['bulkhead 1½ in', 'bulkhead 1-1/2 in'],
    ['bulkhead ¾"', 'bulkhead 3/4 in'],
    ['bulkhead ½ in', 'bulkhead 1/2 in'],
    ['bulkhead 1in', 'bulkhead 1 in'],
    ["bulkhead 1''", 'bulkhead 1 in'],
  ])('%s', (written, name) => {
    expect(typicalFitting(written)?.name).toBe(name);
  });

  it.each(['bulkhead', 'bulkhead 1', 'bulkhead 5 in', 'bulkhead 1 mm', '', 'constructor', '__proto__'])('%j is none of them', (written) => {
    expect(typicalFitting(written)).toBeUndefined();
  });
});
