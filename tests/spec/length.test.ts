/**
 * How lengths are read and written. Unit sizes: NIST SP 811 (2008), appendix B.8, exact: 1 in = 2.54 E-02 m,
 * 1 ft = 3.048 E-01 m. How the trade writes lengths: common practice, no source.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lengthPattern, parseLength } from '../../src/spec/length.ts';
import { formatBoth, formatInches, formatLength, plainNumber, roundUpToStep, units, type Unit } from '../../src/trade/units.ts';

const inch = 25.4; // NIST SP 811, appendix B.8: 0.0254 m exactly
const foot = 304.8; // NIST SP 811, appendix B.8: 0.3048 m exactly

function millimetres(value: number | string, bare?: Unit): number {
  const reading = parseLength(value, bare);
  if ('problem' in reading) throw new Error(`${value} was refused: it ${reading.problem}`);
  return reading.mm;
}

function refusal(value: number | string, bare?: Unit): { problem: string; fix: string } {
  const reading = parseLength(value, bare);
  if ('mm' in reading) throw new Error(`${value} was read as ${reading.mm} mm`);
  return reading;
}

describe('a length with a unit is read as its exact size', () => {
  const forms: readonly [string, number][] = [
    ['35 mm', 35],
    ['35mm', 35],
    ['  35   mm ', 35],
    ['35 MM', 35],
    ['35 millimetres', 35],
    ['1 millimeter', 1],
    ['0.5 mm', 0.5],
    ['.5 mm', 0.5],
    ['+5 mm', 5],
    ['-5 mm', -5],
    ['- 5 mm', -5],
    ['\u22125 mm', -5],
    ['3.5cm', 35],
    ['3.5 cm', 35],
    ['2 centimeters', 20],
    ['1 m', 1000],
    ['1.25 m', 1250],
    ['2 metres', 2000],
    ['1 in', inch],
    ['1 inch', inch],
    ['2 inches', 2 * inch],
    ['1"', inch],
    ['1.5"', 1.5 * inch],
    ['3/8 in', 0.375 * inch],
    ['3/8"', 0.375 * inch],
    ['1 3/8 in', 1.375 * inch],
    ['1-3/8 in', 1.375 * inch],
    ['1-3/8"', 1.375 * inch],
    ['1 3/8"', 1.375 * inch],
    ['-1-3/8"', -1.375 * inch],
    ['9/8 in', 1.125 * inch],
    ['1 1/2 cm', 15],
    ['1/2 mm', 0.5],
    ['½ in', 0.5 * inch],
    ['1½ in', 1.5 * inch],
    ['1 ½"', 1.5 * inch],
    ['1¼"', 1.25 * inch],
    ['⅜″', 0.375 * inch],
    ['2⅞″', 2.875 * inch],
    ['⅔ in', (2 / 3) * inch],
    ['6″', 6 * inch],
    ['6”', 6 * inch],
    ['6“', 6 * inch],
    ["6''", 6 * inch],
    ['6′′', 6 * inch],
    ["2'", 2 * foot],
    ['2′', 2 * foot],
    ['2’', 2 * foot],
    ['2 ft', 2 * foot],
    ['1 foot', foot],
    ['2.5 feet', 2.5 * foot],
    [`2' 6"`, 2 * foot + 6 * inch],
    [`2'6"`, 2 * foot + 6 * inch],
    [`2'-6"`, 2 * foot + 6 * inch],
    [`2'-6 1/2"`, 2 * foot + 6.5 * inch],
    [`2' 6-1/2"`, 2 * foot + 6.5 * inch],
    ['2′ 6½″', 2 * foot + 6.5 * inch],
    ['2’ 6”', 2 * foot + 6 * inch],
    [`2' 6''`, 2 * foot + 6 * inch],
    ['2 ft 6 in', 2 * foot + 6 * inch],
    ['2ft6in', 2 * foot + 6 * inch],
    ['2 feet 6 inches', 2 * foot + 6 * inch],
    [`2' 3/4"`, 2 * foot + 0.75 * inch],
    [`-2' 6"`, -(2 * foot + 6 * inch)],
  ];
  it.each(forms)('%s', (text, mm) => {
    expect(millimetres(text)).toBeCloseTo(mm, 9);
  });

  it.each(forms)('%s means the same whatever the unit of bare numbers', (text, mm) => {
    for (const bare of units) expect(millimetres(text, bare)).toBeCloseTo(mm, 9);
  });

  it.each(forms)('%s fits the pattern for other tools', (text) => {
    expect(text).toMatch(new RegExp(lengthPattern, 'u'));
    expect(text).toMatch(new RegExp(lengthPattern));
  });
});

describe('a bare number is in the unit that the spec names', () => {
  it.each<[number | string, Unit, number]>([
    [35, 'mm', 35],
    [3.5, 'cm', 35],
    [2, 'in', 2 * inch],
    ['35', 'mm', 35],
    ['3.5', 'cm', 35],
    ['1.5', 'in', 1.5 * inch],
    ['1 3/8', 'in', 1.375 * inch],
    ['1-3/8', 'in', 1.375 * inch],
    ['½', 'in', 0.5 * inch],
    [0, 'mm', 0],
    [-4, 'mm', -4],
  ])('%s in a spec in %s', (value, bare, mm) => {
    expect(millimetres(value, bare)).toBeCloseTo(mm, 9);
  });
});

describe('what could be read in two ways, or in none, is refused with a way out', () => {
  it.each<[string, number | string, Unit | undefined, RegExp, RegExp]>([
    ['a decimal comma', '3,5 cm', 'mm', /comma/, /3\.5 cm or 35 cm/],
    ['thousands by comma', '1,200 mm', 'mm', /comma/, /1\.200 mm or 1200 mm/],
    ['a number where the spec names no unit', 35, undefined, /no unit/, /35 mm.*units: mm/],
    ['number text where the spec names no unit', '35', undefined, /no unit/, /35 mm.*units: mm/],
    ['a fraction without unit where bare numbers are mm', '1 3/8', 'mm', /fraction without a unit/, /1 3\/8 in, or 1 3\/8 mm/],
    ['a fraction without unit where bare numbers are cm', '3/8', 'cm', /fraction without a unit/, /3\/8 in, or 3\/8 cm/],
    ['a fraction over zero', '3/0 in', 'mm', /over zero/, /such as/],
    ['feet with a fraction over zero', `2' 3/0"`, 'mm', /over zero/, /such as/],
    ['9/8 after a whole number', '1 9/8 in', 'mm', /\(9\/8\) of one or more/, /such as/],
    ['8/8 after a whole number', '1-8/8"', 'mm', /\(8\/8\) of one or more/, /such as/],
    ['not a number', NaN, 'mm', /finite/, /measured length/],
    ['infinity', Infinity, 'mm', /finite/, /measured length/],
    ['minus infinity', -Infinity, 'mm', /finite/, /measured length/],
    ['feet then a bare number', "2' 6", 'mm', /what follows the feet/, /2' 6"/],
    ['feet then a bare fraction', "2' 6 1/2", 'in', /what follows the feet/, /2' 6-1\/2"/],
    ['feet then millimetres', "2' 6 mm", 'mm', /not a length/, /such as/],
    ['text', 'a hand wide', 'mm', /not a length/, /such as/],
    ['nothing', '', 'mm', /not a length/, /such as/],
    ['blanks', '   ', 'mm', /not a length/, /such as/],
    ['a unit alone', 'mm', 'mm', /not a length/, /such as/],
    ['a unit that we do not know', '3 cubits', 'mm', /not a length/, /such as/],
    ['an exponent', '1e400', 'mm', /not a length/, /such as/],
    ['a hexadecimal number', '0x10 mm', 'mm', /not a length/, /such as/],
    ['two numbers', '3 5 mm', 'mm', /not a length/, /such as/],
    ['two signs', '--3 mm', 'mm', /not a length/, /such as/],
    ['a sign in the middle', '1 -3/8 in', 'mm', /not a length/, /such as/],
    ['two points', '1.2.3 mm', 'mm', /not a length/, /such as/],
    ['a decimal in a fraction', '1.5/2 in', 'mm', /not a length/, /such as/],
    ['digits right after a fraction in one sign', '½2 in', 'mm', /not a length/, /such as/],
    ['a range', '44 to 46 mm', 'mm', /not a length/, /such as/],
    ['a NaN in words', 'NaN mm', 'mm', /not a length/, /such as/],
    ['an infinity in words', 'Infinity mm', 'mm', /not a length/, /such as/],
  ])('%s', (_what, value, bare, problem, fix) => {
    const told = refusal(value, bare);
    expect(told.problem).toMatch(problem);
    expect(told.fix).toMatch(fix);
  });

  it('a number too long for any computer is not read as infinity', () => {
    expect(parseLength(`${'9'.repeat(400)} mm`, 'mm')).toHaveProperty('problem');
  });

  it('a fraction of two numbers too long for any computer is not read as a length', () => {
    expect(parseLength(`${'9'.repeat(400)}/${'9'.repeat(400)} in`, 'mm')).toHaveProperty('problem');
  });

  it('inches of a foot or more after feet are refused, as 9/8 after a whole number is', () => {
    expect(parseLength(`2' 13"`, 'mm')).toHaveProperty('problem');
  });
});

describe('the pattern for other tools', () => {
  const pattern = new RegExp(lengthPattern, 'u');

  it('fits every text that is read as a length', () => {
    const space = fc.constantFrom('', ' ', '  ', '\t', '\u00a0');
    const amount = fc.constantFrom('3', '12.5', '.5', '3/8', '1 3/8', '1-3/8', '1- 3/8', '1 \u2013 3/8', '1\u20133/8', '1\u2212 3/8', '½', '1½', '1 ½', '1-½', '1 - ½', '⅝', '2⅞');
    const unit = fc.constantFrom('', 'mm', 'Mm', 'MILLIMETRES', 'millimeter', 'cm', 'Centimetres', 'm', 'Meter', 'in', 'IN', 'Inch', 'inches', '"', '″', '“', '”', "''", '′′', "'", '′', '‘', '’', 'ft', 'Foot', 'feet');
    const length = fc.array(fc.oneof(space, amount, unit, fc.constantFrom('-', '+', '\u2212', '\u2010')), { minLength: 1, maxLength: 9 }).map((pieces) => pieces.join(''));
    let read = 0;
    fc.assert(
      fc.property(fc.oneof(length, fc.tuple(amount, space, unit).map((pieces) => pieces.join('')), fc.tuple(fc.constantFrom('2', '.5'), space, unit, space, amount, space, unit).map((pieces) => pieces.join(''))), fc.constantFrom(...units), (text, bare) => {
        if ('problem' in parseLength(text, bare)) return;
        read += 1;
        expect(text).toMatch(pattern);
      }),
      { numRuns: 20_000 },
    );
    expect(read).toBeGreaterThan(3000);
  });

  it('fits every length that is written', () => {
    fc.assert(fc.property(fc.double({ min: -20_000, max: 20_000, noNaN: true }), fc.constantFrom(...units), (mm, unit) => void expect(formatLength(mm, unit)).toMatch(pattern)));
  });

  it.each(['', '  ', 'thick', 'a hand wide', 'mm', '3 cubits', '1e400', '0x10 mm', '3 5 mm', '--3 mm', '1.2.3 mm', '1.5/2 in', '44 to 46 mm', 'NaN mm', '3,5 cm', '1,200 mm', "2' 6 mm", '½2 in', '3 mm wide', '3\u017f'])('does not fit "%s"', (text) => {
    expect(text).not.toMatch(pattern);
    expect(parseLength(text, 'in')).toHaveProperty('problem');
  });

  it('answers 100,000 characters', () => {
    expect(pattern.test(`${'1 '.repeat(50_000)}mm`)).toBe(false);
    expect(pattern.test(' '.repeat(100_000))).toBe(false);
    expect(pattern.test(`${' '.repeat(50_000)}1${' '.repeat(50_000)}x`)).toBe(false);
    expect(pattern.test(`${'1'.repeat(50_000)}/${'2'.repeat(50_000)}x`)).toBe(false);
  });
});

describe('reading never throws and never gives something that is not a number', () => {
  const alphabet = [...`0123456789./-+ '"mcinftx,½¼⅜′″“’e`];
  it('for any text of the characters that lengths are made of', () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...alphabet), { maxLength: 14 }), fc.constantFrom(...units, undefined), (letters, bare) => {
        const reading = parseLength(letters.join(''), bare);
        if ('mm' in reading) expect(letters.join('')).toMatch(new RegExp(lengthPattern, 'u'));
        if ('mm' in reading) expect(reading.mm).toSatisfy(Number.isFinite);
        else expect(reading.problem && reading.fix).toBeTruthy();
      }),
      { numRuns: 5000 },
    );
  });

  it('for any text and any number', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string({ unit: 'binary' }), fc.double()), fc.constantFrom(...units, undefined), (value, bare) => {
        const reading = parseLength(value, bare);
        if ('mm' in reading) expect(reading.mm).toSatisfy(Number.isFinite);
        else expect(reading.problem && reading.fix).toBeTruthy();
      }),
      { numRuns: 2000 },
    );
  });

  it('a 100,000-character text is answered', () => {
    expect(parseLength(`${'1 '.repeat(50_000)}mm`, 'mm')).toHaveProperty('problem');
    expect(parseLength(' '.repeat(100_000), 'mm')).toHaveProperty('problem');
    expect(parseLength(`${'1'.repeat(50_000)}/${'2'.repeat(50_000)}x`, 'mm')).toHaveProperty('problem');
  });
});

/** Lengths that a panel may have, both signs. */
const anyLength = fc.double({ min: -20_000, max: 20_000, noNaN: true });

describe('what is written can be read back', () => {
  it('formatLength, to half of its last digit: 0.05 mm, 0.005 cm, 0.0005 in', () => {
    fc.assert(
      fc.property(anyLength, fc.constantFrom(...units), (mm, unit) => {
        const half = { mm: 0.05, cm: 0.05, in: 0.0005 * inch }[unit];
        expect(Math.abs(millimetres(formatLength(mm, unit)) - mm)).toBeLessThanOrEqual(half + 1e-9);
      }),
    );
  });

  it('formatInches, within 0.005 mm as a fraction and 0.0005 in as a decimal', () => {
    fc.assert(
      fc.property(anyLength, (mm) => {
        const text = formatInches(mm);
        const allowed = text.includes('/') ? 0.005 : 0.0005 * inch;
        expect(Math.abs(millimetres(text) - mm)).toBeLessThanOrEqual(allowed + 1e-9);
      }),
    );
  });

  it('formatInches of whole 32nds gives that very fraction in lowest terms', () => {
    fc.assert(
      fc.property(fc.integer({ min: -32 * 700, max: 32 * 700 }), (count) => {
        const text = formatInches((count / 32) * inch);
        expect(millimetres(text)).toBeCloseTo((count / 32) * inch, 9);
        expect(text).not.toMatch(/[2468]\/\d*[02468] in$/);
        expect(text).not.toContain('.');
      }),
    );
  });

  it('formatLength of a step-rounded length loses nothing', () => {
    fc.assert(
      fc.property(anyLength, fc.constantFrom(...units), (mm, unit) => {
        const rounded = roundUpToStep(mm, unit);
        expect(millimetres(formatLength(rounded, unit))).toBeCloseTo(rounded, 6);
      }),
    );
  });
});

describe('words for lengths', () => {
  it.each<[number, string]>([
    [34.925, '1-3/8 in'],
    [12.7, '1/2 in'],
    [25.4, '1 in'],
    [0, '0 in'],
    [-12.7, '-1/2 in'],
    [45, '1.772 in'],
    [-45, '-1.772 in'],
    [0.79375, '1/32 in'],
    [0.396875, '0.016 in'],
  ])('%s mm in inches is %s', (mm, text) => {
    expect(formatInches(mm)).toBe(text);
  });

  it('both units, for the sheets, the spec\'s own first', () => {
    expect(formatBoth(45, 'mm')).toBe('45 mm (1.772 in)');
    expect(formatBoth(45, 'cm')).toBe('45 mm (1.772 in)');
    expect(formatBoth(34.925, 'mm')).toBe('34.925 mm (1-3/8 in)');
    expect(formatBoth(34.925, 'in')).toBe('1-3/8 in (34.925 mm)');
  });

  it('numbers lose trailing zeros only after the point, and a nought has no sign', () => {
    expect(plainNumber(100, 2)).toBe('100');
    expect(plainNumber(100, 0)).toBe('100');
    expect(plainNumber(1.5, 3)).toBe('1.5');
    expect(plainNumber(-0.0001, 2)).toBe('0');
    expect(plainNumber(-0.4, 0)).toBe('0');
  });
});

describe('a distance to move is rounded away from zero, by less than one step', () => {
  it('0.1 mm for metric specs, 1/32 in where the spec works in inches', () => {
    fc.assert(
      fc.property(anyLength, fc.constantFrom(...units), (mm, unit) => {
        const step = unit === 'in' ? inch / 32 : 0.1;
        const more = (roundUpToStep(mm, unit) - mm) * Math.sign(mm);
        expect(more).toBeGreaterThanOrEqual(-1e-8);
        expect(more).toBeLessThan(step);
      }),
    );
  });

  it('a distance that is a whole number of steps stays', () => {
    expect(roundUpToStep(3.1, 'mm')).toBeCloseTo(3.1, 12);
    expect(roundUpToStep(inch / 4, 'in')).toBeCloseTo(inch / 4, 12);
  });
});
