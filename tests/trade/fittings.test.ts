/** Typical bulkheads: whether their parts go together, and by which names they are known. */
import { describe, expect, it } from 'vitest';
import { typicalFitting, typicalFittings } from '../../src/trade/fittings.ts';

const sizes = ['1/2', '3/4', '1', '1-1/4', '1-1/2', '2'] as const;

/** A typical bulkhead with all of its values there. */
function bulkhead(size: string) {
  const found = typicalFitting(`bulkhead ${size} in`);
  if (!found) throw new Error(`no bulkhead ${size} in`);
  const { hole, flange, nut, grip, thread, pipe, gasket, standsOut } = found.size;
  if (!flange || !nut || !grip || !thread || !pipe || !gasket || !standsOut) throw new Error(`bulkhead ${size} in lacks a value`);
  return { hole, flange, nut, grip, thread, pipe, gasket, standsOut };
}

describe.each(sizes)('bulkhead %s in: its parts go together', (size) => {
  const { hole, flange, nut, grip, thread, pipe, gasket, standsOut } = bulkhead(size);

  it('has a hole range that is not upside down, which flange and nut cover', () => {
    expect(hole.max).toBeGreaterThanOrEqual(hole.min);
    expect(flange).toBeGreaterThan(hole.max);
    expect(nut).toBeGreaterThan(hole.max);
  });

  it('has a nut whose flats still cover the largest hole: a hexagon is √3/2 of its corners across them', () => {
    expect((nut * Math.sqrt(3)) / 2).toBeGreaterThan(hole.max);
  });

  it('joins on to pipe and thread of its own size', () => {
    expect(pipe).toBe(size);
    expect(thread).toBe(`G ${size}`);
  });

  it('has a gasket that lies wholly under the flange and on 3 mm of panel round the largest hole', () => {
    expect(gasket.outside).toBeLessThanOrEqual(flange);
    expect(gasket.outside).toBeGreaterThan(hole.max + 2 * 3);
    expect(gasket.inside).toBeLessThanOrEqual(hole.max + 3);
    expect(gasket.thickness).toBeGreaterThan(0);
  });

  it('clamps 2 mm to between 20 and 30 mm', () => {
    expect(grip.min).toBe(2);
    expect(grip.max).toBeGreaterThanOrEqual(20);
    expect(grip.max).toBeLessThanOrEqual(30);
  });

  it('has body enough for a nut of 10 mm beyond the thickest stack', () => {
    expect(grip.min + standsOut.nut).toBeGreaterThanOrEqual(grip.max + 10);
  });
});

describe('the list of typical bulkheads', () => {
  it('holds these sizes and no others', () => {
    expect([...typicalFittings.keys()].sort()).toEqual(sizes.map((size) => `bulkhead ${size} in`).sort());
  });

  it('grows with the pipe in every part', () => {
    const parts = (size: string) => {
      const { hole, flange, nut, grip, gasket, standsOut } = bulkhead(size);
      return [hole.min, hole.max, flange, nut, grip.max, gasket.inside, gasket.outside, standsOut.flange, standsOut.nut];
    };
    for (let i = 1; i < sizes.length; i += 1) {
      const [small, large] = [parts(sizes[i - 1] as string), parts(sizes[i] as string)];
      expect(large.every((value, part) => value > (small[part] as number)), `${sizes[i]}: ${large} after ${small}`).toBe(true);
      expect(bulkhead(sizes[i] as string).hole.min).toBeGreaterThan(bulkhead(sizes[i - 1] as string).hole.max);
      expect(bulkhead(sizes[i] as string).gasket.thickness).toBeGreaterThanOrEqual(bulkhead(sizes[i - 1] as string).gasket.thickness);
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
    ['bulkhead 1–1/2 in', 'bulkhead 1-1/2 in'],
  ])('%s', (written, name) => {
    expect(typicalFitting(written)?.name).toBe(name);
  });

  it.each(['bulkhead', 'bulkhead 1', 'bulkhead 5 in', 'bulkhead 1 mm', '', 'constructor', '__proto__'])('%j is none of them', (written) => {
    expect(typicalFitting(written)).toBeUndefined();
  });
});
