import { millimetresPer, type Unit } from '../trade/units.ts';

/** A length that could be read (mm), or why not and what to write instead. */
export type LengthReading = { readonly mm: number } | { readonly problem: string; readonly fix: string };

/** What a length may look like, for messages. */
export const lengthForms = 'a length such as 35 mm, 3.5 cm, 1 3/8 in, 1-3/8" or 2\' 6"';

const number = String.raw`\d+(?:\.\d+)?|\.\d+`;
/** 12, 12.5, 3/8, 1 3/8 or 1-3/8. */
const amount = String.raw`(?:(?:(?<whole>\d+)(?:\s+|-))?(?<top>\d+)\/(?<bottom>\d+)|(?<plain>${number}))`;
const unitName = String.raw`(?<unit>mm|millimet(?:er|re)s?|cm|centimet(?:er|re)s?|m|met(?:er|re)s?|in|inch|inches|"|ft|foot|feet|')`;
const inchName = String.raw`(?:"|in|inch|inches)`;
const footName = String.raw`(?:'|ft|foot|feet)`;

const singleForm = new RegExp(String.raw`^(?<sign>[-+])?\s*${amount}\s*(?:${unitName})?$`, 'i');
const feetAndInches = new RegExp(String.raw`^(?<sign>[-+])?\s*(?<feet>${number})\s*${footName}[\s-]*${amount}\s*(?<inch>${inchName})?$`, 'i');

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

function finite(mm: number): LengthReading {
  return Number.isFinite(mm) ? { mm } : { problem: 'has more digits than any length', fix: 'write the measured length' };
}

/** Typographic fractions, primes, quotes and minus signs turned into plain ones. */
function normalise(text: string): string {
  return text
    .replace(/[¼½¾⅐-⅞]/g, (sign) => ` ${sign.normalize('NFKD').replace('\u2044', '/')}`)
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

function ambiguousComma(text: string): LengthReading {
  const [asDecimal, asThousands] = [text.replace(/,/g, '.'), text.replace(/,/g, '')];
  const isOneDecimal = asDecimal.split('.').length === 2;
  return {
    problem: 'has a comma, which may be a decimal sign or part thousands',
    fix: isOneDecimal ? `write ${asDecimal} or ${asThousands}` : `write ${asThousands}`,
  };
}
