/** Paper sizes against ISO 216's rule of construction and ANSI/ASME Y14.1's inches. */
import { describe, expect, it } from 'vitest';
import { largestPage, paperByName, papers, smallestPage } from '../../src/trade/papers.ts';

function paper(name: string) {
  const found = paperByName(name);
  if (!found) throw new Error(`no paper ${name}`);
  return found;
}

/** ISO 216: A(n) has an area of 2^-n m² and sides as 1 to √2, each rounded down to whole millimetres. */
function isoA(n: number): { width: number; height: number } {
  const width = 1000 * 2 ** (-n / 2 - 1 / 4);
  return { width: Math.floor(width), height: Math.floor(width * Math.SQRT2) };
}

describe('A sizes follow from ISO 216', () => {
  it.each([['A4', 4], ['A3', 3]] as const)('%s', (name, n) => {
    expect(paper(name)).toMatchObject(isoA(n));
  });

  it('each A size is half of the one above (ISO 216)', () => {
    expect(paper('A3').width).toBe(paper('A4').height);
    expect(Math.floor(paper('A3').height / 2)).toBe(paper('A4').width);
  });
});

describe('inch sizes', () => {
  // ANSI/ASME Y14.1: A 8.5 x 11, B 11 x 17, C 17 x 22, D 22 x 34 in. Legal 8.5 x 14 in: common practice, no source.
  it.each([
    ['Letter', 8.5, 11],
    ['Legal', 8.5, 14],
    ['ANSI B', 11, 17],
    ['ANSI C', 17, 22],
    ['ANSI D', 22, 34],
  ] as const)('%s is %s by %s in', (name, width, height) => {
    expect(paper(name).width).toBeCloseTo(width * 25.4, 9);
    expect(paper(name).height).toBeCloseTo(height * 25.4, 9);
  });
});

describe('papers in general', () => {
  it('each stands upright and fits between the smallest and largest page', () => {
    for (const { name, width, height } of papers) {
      expect(width, name).toBeLessThan(height);
      expect(width, name).toBeGreaterThanOrEqual(smallestPage);
      expect(height, name).toBeLessThanOrEqual(largestPage);
    }
  });

  it('the largest page is 200 in: 14,400 units of 1/72 in (ISO 32000-1:2008, annex C.2)', () => {
    expect(largestPage).toBeCloseTo(200 * 25.4, 9);
  });

  it.each([['a4', 'A4'], ['LETTER', 'Letter'], ['ansi-b', 'ANSI B'], ['ANSI_c', 'ANSI C'], ['Ansi D', 'ANSI D']])('%s is found as %s', (written, name) => {
    expect(paperByName(written)?.name).toBe(name);
  });

  it.each(['A44', '', 'constructor', 'B4', 'ANSI'])('%s is no paper', (written) => {
    expect(paperByName(written)).toBeUndefined();
  });
});
