import { describe, expect, it } from 'vitest';
import { changed, openLengths } from '../../src/spec/rewrite.ts';
import { parseLength } from '../../src/spec/length.ts';
import type { Unit } from '../../src/trade/units.ts';

const inch = 25.4;

/** What stands at `a` in the text when its length is written anew. */
function rewrite(text: string, mm: number, bare: Unit = 'mm', path: (string | number)[] = []): string | undefined {
  const length = openLengths(text, bare).lengthAt(path, ['a', 'b']);
  if ('found' in length) return length.found;
  const written = length.write(mm);
  return written === undefined ? undefined : changed(text, [{ range: length.range, text: written }]);
}

describe('a length written anew keeps its unit and style', () => {
  it.each<[string, number, string, Unit?]>([
    ['a: 60', 72, 'a: 72'],
    ['a: 60.0 # so', 72, 'a: 72.0 # so'],
    ['a: 60.5', 72, 'a: 72'],
    ['a: 60', 72.5, 'a: 72.5'],
    ['a: 6', 72, 'a: 7.2', 'cm'],
    ['a: 60 mm', 72, 'a: 72 mm'],
    ['a: 60mm', 72, 'a: 72mm'],
    ['a: 6.0 cm', 72.5, 'a: 7.25 cm'],
    ['a: .06 m', 72, 'a: 0.072 m'],
    ["a: '60 mm'", 72, "a: '72 mm'"],
    ['{"a": "60 mm", "c": 1}', 72, '{"a": "72 mm", "c": 1}'],
    ['{"a": 3, "c": 1}', 3.5625 * inch, '{"a": 3.5625, "c": 1}', 'in'],
    ['a: 3', 3.5625 * inch, 'a: 3-9/16', 'in'],
    ['a: 3.5', 3.5625 * inch, 'a: 3.5625', 'in'],
    ['a: 3 1/2 in', 3.5625 * inch, 'a: 3 9/16 in'],
    ['a: 3-1/2"', 3.5625 * inch, 'a: 3-9/16"'],
    ['a: 3-1/2"', 4 * inch, 'a: 4"'],
    ['a: "3-1/2\\""', 3.5625 * inch, 'a: "3-9/16\\""'],
    ['a: 4 in', 3.5625 * inch, 'a: 3-9/16 in'],
    ['a: 3½ in', 4.75 * inch, 'a: 4¾ in'],
    ['a: 3 ½ in', 4.625 * inch, 'a: 4 ⅝ in'],
    ['a: ½ in', 0.375 * inch, 'a: ⅜ in'],
    ['a: 3½ in', 4.0625 * inch, 'a: 4 1/16 in'],
    ['a: 1/2', 1.0625 * inch, 'a: 1-1/16', 'in'],
    [`a: 2' 6"`, 31.5 * inch, `a: 2' 7-1/2"`],
    [`a: 2' 6 1/2"`, 36 * inch, `a: 3' 0"`],
    [`a: '2'' 6"'`, 29 * inch, `a: '2'' 5"'`],
    ['a: 2 ft 6 in', 29.75 * inch, 'a: 2 ft 5-3/4 in'],
    ['a: 2 ft', 36 * inch, 'a: 3 ft'],
    ['a: 2 ft', 29.75 * inch, 'a: 2 ft 5-3/4 in'],
    ['a: -20', 15, 'a: 15'],
    ['a: -20 mm', -15, 'a: -15 mm'],
    ['a: 20 mm', -15, 'a: -15 mm'],
    ['a: \u221220 mm', -15, 'a: \u221215 mm'],
    ['a: "+20 mm"', 15, 'a: "+15 mm"'],
    ['a: "- 20 mm"', 0, 'a: "0 mm"'],
    ['\uFEFFa: 60\r\nc: 1\r\n', 72, '\uFEFFa: 72\r\nc: 1\r\n'],
    ['a: &own 60', 72, 'a: &own 72'],
    ['a: !!str 60 mm', 72, 'a: !!str 72 mm'],
    ['a:   # where\n  60 mm\nc: 2', 72, 'a:   # where\n  72 mm\nc: 2'],
    ['a: 1 in', 60, 'a: 2.362204724409 in'],
  ])('%s at %f mm', (text, mm, expected, bare) => {
    expect(rewrite(text, mm, bare)).toBe(expected);
  });

  it('and is read as it was meant', () => {
    for (const text of ['60', '60 mm', '3 1/2 in', `2' 6"`, '3.5 in', '3½ in', '1.25 ft', '0.5 m', '-7/8 in']) {
      for (const mm of [12, 12.5, 88.9, -15.875, 0, 1000, 1 / 3]) {
        const written = rewrite(`a: ${text}`, mm);
        const back = parseLength(written?.replace('a: ', '') ?? '', 'mm');
        expect('mm' in back ? back.mm : written).toBeCloseTo(mm, 6);
      }
    }
  });
});

describe('what is not a place\'s own is not touched', () => {
  it.each<[string, string, (string | number)[], RegExp]>([
    ['an alias of the value', 'x: &v 60\na: *v', [], /used in several places \(\*v\)/],
    ['an anchor of the value that is used', 'a: &v 60\nx: *v', [], /used in several places \(&v\)/],
    ['an alias of the group', 'x: &v {a: 60}\ny: *v', ['y'], /\(\*v\)/],
    ['an anchor above', 'x: &v\n  - a: 60\ny: *v', ['x', 0], /\(&v\)/],
    ['no such key', 'c: 60', [], /has none of a, b/],
    ['a list', 'a: [60]', [], /cannot be written anew/],
  ])('%s', (_what, text, path, message) => {
    expect(rewrite(text, 72, 'mm', path)).toMatch(message);
  });

  it('an anchor that nothing uses is no hindrance', () => {
    expect(rewrite('x: &v {a: 60}', 72, 'mm', ['x'])).toBe('x: &v {a: 72}');
  });
});

it('changes stand where they belong, in any order', () => {
  expect(changed('0123456789', [{ range: [7, 8], text: 'seven' }, { range: [2, 4], text: '' }])).toBe('01456seven89');
});
