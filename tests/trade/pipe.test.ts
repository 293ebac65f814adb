/** Nominal sizes and threads, however they are written. */
import { describe, expect, it } from 'vitest';
import { pipes, pipeSizeOf, pipeSizes, threadOf } from '../../src/trade/pipe.ts';

describe('a pipe size is known however it is written', () => {
  it.each([
    ['1 1/4 in', '1-1/4'],
    ['1¼"', '1-1/4'],
    ['1-1/4', '1-1/4'],
    ['1–1/4 in', '1-1/4'],
    ['1 1/2', '1-1/2'],
    ['1½', '1-1/2'],
    ['½"', '1/2'],
    ['¾ inch', '3/4'],
    ['3/4in', '3/4'],
    [' 1 ', '1'],
    ['1″', '1'],
    ["2''", '2'],
    ['2 INCHES', '2'],
  ])('%s', (written, size) => {
    expect(pipeSizeOf(written)).toBe(size);
  });

  it.each(['', 'in', '3', '1 mm', '1 1/3 in', '1/4', '-1', '11/4', '1.25', 'DN 25', 'G 1', 'constructor', '1 in in'])('%j is none', (written) => {
    expect(pipeSizeOf(written)).toBeUndefined();
  });
});

describe('a G thread is known however it is written (designation after ISO 228-1)', () => {
  it.each([
    ['G 1', '1'],
    ['G 1-1/4', '1-1/4'],
    ['G 1 1/2', '1-1/2'],
    ['G 1 1/2 A', '1-1/2'],
    ['G1½B', '1-1/2'],
    ['g¾"', '3/4'],
    ['G1/2', '1/2'],
    [' G  2 ', '2'],
  ])('%s', (written, size) => {
    expect(threadOf(written)).toBe(size);
  });

  it.each(['', 'G', 'G A', '1', 'R 1', 'NPT 1', 'G 3', 'G 1 C', 'GG 1', 'G in'])('%j is none', (written) => {
    expect(threadOf(written)).toBeUndefined();
  });

  it('is told from long nonsense', () => {
    expect(threadOf(`g${' '.repeat(200_000)}x${' a'.repeat(200_000)}`)).toBeUndefined();
  });
});

describe('the table of pipes', () => {
  it('holds every size, and every part grows with it', () => {
    expect([...pipes.keys()]).toEqual([...pipeSizes]);
    const rows = [...pipes.values()];
    for (const key of ['outside', 'threadMajor', 'socketDepth', 'socketOutside', 'elbowToEnd'] as const) {
      const column = rows.map((row) => row[key]);
      expect(column, key).toEqual([...new Set(column)].sort((a, b) => a - b));
    }
  });
});
