/** CSV for spreadsheets, read back by a parser that shares no code with it (csv-parse). */
import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { csvText } from '../../src/cli/csv.ts';

const readBack = (text: string) => parse(text, { record_delimiter: '\r\n' }) as string[][];

/** A spreadsheet takes such a cell for a formula. */
const isFormula = (cell: string) => ['=', '+', '-', '@', '＝', '＋', '－', '＠'].includes(cell.trimStart().charAt(0));

describe('CSV after RFC 4180', () => {
  // RFC 4180, section 2, rules 1, 5, 6 and 7: its own examples.
  it.each([
    [[['aaa', 'bbb', 'ccc'], ['zzz', 'yyy', 'xxx']], 'aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n'],
    [[['aaa', 'b\r\nbb', 'ccc']], 'aaa,"b\r\nbb",ccc\r\n'],
    [[['aaa', 'b"bb', 'ccc']], 'aaa,"b""bb",ccc\r\n'],
    [[['a,a', '', 'ccc']], '"a,a",,ccc\r\n'],
    // A CR or LF by itself ends a line for many readers.
    [[['a\ra', 'b\nb']], '"a\ra","b\nb"\r\n'],
  ])('%j', (rows, text) => {
    expect(csvText(rows)).toBe(text);
    expect(readBack(text)).toEqual(rows);
  });

  it.each(['=1+1', '+1', '-1', '@SUM(A1)', ' =1', '\t=1', '\r=1', '=cmd|\' /C calc\'!A0', '=HYPERLINK("x","y")', '＝1'])('%j is made text by an apostrophe', (cell) => {
    expect(readBack(csvText([['a', cell]]))).toEqual([['a', `'${cell}`]]);
  });

  it.each(['1-1/4 in', 'a=b', "'a", '5', ''])('%j stays as it is', (cell) => {
    expect(readBack(csvText([['a', cell]]))).toEqual([['a', cell]]);
  });

  it('any rows come back as they were, but for apostrophes before what would be a formula', () => {
    const cell = fc.oneof(fc.string({ unit: 'grapheme' }), fc.string({ unit: fc.constantFrom('"', ',', '\r', '\n', '=', '-', "'", ' ', ';', '\t', 'a') }));
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.constant('row'), cell, cell), { minLength: 1 }), (rows) => {
        expect(readBack(csvText(rows))).toEqual(rows.map((row) => row.map((text) => (isFormula(text) ? `'${text}` : text))));
      }),
    );
  });
});
