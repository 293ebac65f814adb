import { millimetresPer, type Unit } from '../trade/units.ts';

/** A length that could be read (mm), or why not and what to write instead. */
export type LengthReading = { readonly mm: number } | { readonly problem: string; readonly fix: string };

/** What a length may look like, for messages. */
export const lengthForms = 'a length such as 35 mm, 3.5 cm, 1 3/8 in, 1-3/8" or 2\' 6"';

/** The signs that lengths are written with. */
interface Signs {
  readonly minus: string;
  readonly inch: string;
  readonly foot: string;
  /** Between a whole number and its fraction. */
  readonly and: string;
  /** A fraction in one sign, where there are such. */
  readonly vulgar?: string;
}

/** Plain signs: all that is left when {@link normalise} is through. */
const plainSigns: Signs = { minus: '-', inch: '"', foot: "'", and: String.raw`\s+|-` };
/** All signs that people type, which {@link normalise} turns into the plain ones. */
const typedSigns: Signs = { minus: String.raw`[\-\u2212\u2010-\u2013]`, inch: String.raw`["\u2033\u201c\u201d]|''|\u2032\u2032`, foot: String.raw`['\u2032\u2018\u2019]`, and: String.raw`\s+|\s*[\-\u2212\u2010-\u2013]\s*`, vulgar: String.raw`[\u00bc\u00bd\u00be\u2150-\u215e]` };

/** The source of a pattern of a number without a sign. */
export const number = String.raw`\d+(?:\.\d+)?|\.\d+`;

/** What a length looks like in such signs: an amount with or without a unit, and feet followed by inches. */
function formsIn({ minus, inch, foot, and, vulgar }: Signs): { single: string; feetAndInches: string } {
  const inchName = `(?:${inch}|in|inch|inches)`;
  const footName = `(?:${foot}|ft|foot|feet)`;
  const fraction = String.raw`(?<top>\d+)\/(?<bottom>\d+)`;
  const oneSign = vulgar ? String.raw`|(?:\d+(?:${and}|))?${vulgar}` : '';
  /** 12, 12.5, 3/8, 1 3/8 or 1-3/8. */
  const amount = String.raw`(?:(?:(?<whole>\d+)(?:${and}))?${fraction}|(?<plain>${number})${oneSign})`;
  const unitName = `(?<unit>mm|millimet(?:er|re)s?|cm|centimet(?:er|re)s?|m|met(?:er|re)s?|${inchName}|${footName})`;
  const sign = String.raw`(?:(?<sign>${minus}|\+)\s*)?`;
  return {
    single: String.raw`${sign}${amount}(?:\s*${unitName})?`,
    feetAndInches: String.raw`${sign}(?<feet>${number})\s*${footName}(?:\s|${minus})*${amount}(?:\s*(?<inch>${inchName}))?`,
  };
}

const plainForms = formsIn(plainSigns);
const singleForm = new RegExp(`^${plainForms.single}$`, 'i');
const feetAndInches = new RegExp(`^${plainForms.feetAndInches}$`, 'i');

/**
 * The source of a pattern (ECMA-262, flag u) that every text fits which {@link parseLength} reads, for tools that know only
 * patterns. Some fit that it refuses: fractions over zero, numbers without a unit where the spec names none.
 */
export const lengthPattern = withoutFlags(`^\\s*(?:${Object.values(formsIn(typedSigns)).join('|')})\\s*$`);

/** The pattern in either case without the flag i, its groups without names. */
export function withoutFlags(pattern: string): string {
  return pattern.replace(/\(\?<\w+>/g, '(?:').replace(/\\u[0-9a-f]{4}|\\.|[a-z]/g, (piece) => (piece.length > 1 ? piece : `[${piece}${piece.toUpperCase()}]`));
}

const unitKeys: readonly [RegExp, keyof typeof millimetresPer][] = [
  [/^(mm|milli)/i, 'mm'],
  [/^(cm|centi)/i, 'cm'],
  [/^m/i, 'm'],
  [/^(in|")/i, 'in'],
  [/^(f|')/i, 'ft'],
];

/**
 * Reads a length as the trade writes it.
 * @param value a number, or text such as `35 mm`, `1 3/8 in`, `1-3/8"`, `2' 6"`
 * @param bare the unit of numbers that carry none; undefined if the spec does not say
 * @returns millimetres, or the problem in words; never throws
 */
export function parseLength(value: number | string, bare: Unit | undefined): LengthReading {
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) return { problem: 'is not a finite number', fix: 'write the measured length' };
    return bare ? finite(value * millimetresPer[bare]) : noUnit(String(value));
  }
  const text = normalise(value);
  if (/\d,\d/.test(text)) return ambiguousComma(text);

  const compound = feetAndInches.exec(text)?.groups;
  if (compound) {
    if (!compound['inch']) return { problem: 'leaves open what follows the feet', fix: `write ${compound['feet']}' ${inWords(compound)}"` };
    const inches = amountOf(compound);
    if (typeof inches === 'string') return { problem: inches, fix: `write ${lengthForms}` };
    if (inches >= 12) return { problem: 'has a foot or more in inches after the feet', fix: `write ${lengthForms}` };
    return finite(signOf(compound) * (Number(compound['feet']) * millimetresPer.ft + inches * millimetresPer.in));
  }

  const single = singleForm.exec(text)?.groups;
  if (!single) return { problem: 'is not a length', fix: `write ${lengthForms}` };
  const count = amountOf(single);
  if (typeof count === 'string') return { problem: count, fix: `write ${lengthForms}` };
  const unit = single['unit'] ? unitKeys.find(([pattern]) => pattern.test(single['unit'] ?? ''))?.[1] : bare;
  if (!unit) return noUnit(text);
  if (!single['unit'] && single['top'] && unit !== 'in') {
    return { problem: `is a fraction without a unit, while bare numbers are ${unit}`, fix: `write ${text} in, or ${text} ${unit}` };
  }
  return finite(signOf(single) * count * millimetresPer[unit]);
}

/**
 * The unit that a length is written in, `ft in` for feet and inches together.
 * @param bare the unit of numbers that carry none
 * @returns undefined where it cannot be read
 */
export function unitOf(value: number | string, bare: Unit | undefined): keyof typeof millimetresPer | 'ft in' | undefined {
  if (typeof value === 'number') return bare;
  const text = normalise(value);
  if (feetAndInches.test(text)) return 'ft in';
  const single = singleForm.exec(text)?.groups;
  if (!single) return undefined;
  return single['unit'] ? unitKeys.find(([pattern]) => pattern.test(single['unit'] ?? ''))?.[1] : bare;
}

function finite(mm: number): LengthReading {
  return Number.isFinite(mm) ? { mm } : { problem: 'has more digits than any length', fix: 'write the measured length' };
}

/** Typographic fractions, primes, quotes and minus signs turned into plain ones. */
function normalise(text: string): string {
  return text
    .replace(/[¼½¾⅐-⅞]/g, (sign) => ` ${sign.normalize('NFKD').replace('\u2044', '/')} `)
    .replace(/[\u2033\u201c\u201d]|''|\u2032\u2032/g, '"')
    .replace(/[\u2032\u2018\u2019]/g, "'")
    .replace(/[\u2212\u2010-\u2013]/g, '-')
    .replace(/\s+/g, ' ')
    .replace(/(\d)- (?=\d+\/)/, '$1-')
    .trim();
}

/** The number a match stands for, or what is wrong with its fraction. */
function amountOf(groups: Record<string, string>): number | string {
  if (groups['plain']) return Number(groups['plain']);
  const [top, bottom] = [Number(groups['top']), Number(groups['bottom'])];
  if (bottom === 0) return 'has a fraction over zero';
  if (groups['whole'] && top >= bottom) return `has a fraction (${top}/${bottom}) of one or more after a whole number`;
  return Number(groups['whole'] ?? 0) + top / bottom;
}

function inWords(groups: Record<string, string>): string {
  return groups['plain'] ?? `${groups['whole'] ? `${groups['whole']}-` : ''}${groups['top']}/${groups['bottom']}`;
}

function signOf(groups: Record<string, string>): number {
  return groups['sign'] === '-' ? -1 : 1;
}

function noUnit(text: string): LengthReading {
  return { problem: 'has no unit, and the spec names none for bare numbers', fix: `write ${text} mm (or cm, in), or add a line such as units: mm` };
}

/** That a comma may mean two things, and how to write each. */
export function ambiguousComma(text: string): { readonly problem: string; readonly fix: string } {
  const [asDecimal, asThousands] = [text.replace(/,/g, '.'), text.replace(/,/g, '')];
  const isOneDecimal = asDecimal.split('.').length === 2;
  return {
    problem: 'has a comma, which may be a decimal sign or part thousands',
    fix: isOneDecimal ? `write ${asDecimal} or ${asThousands}` : `write ${asThousands}`,
  };
}
