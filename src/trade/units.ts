/** Units of length and how the trade writes them. Everything inside panejig is in millimetres. */

/** Units that a spec may choose for its bare numbers. */
export const units = ['mm', 'cm', 'in'] as const;
export type Unit = (typeof units)[number];

/** Millimetres in one of each unit. Exact: NIST SP 811, appendix B (1 in = 25.4 mm, 1 ft = 0.3048 m). */
export const millimetresPer = { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 } as const;

/** Slack for comparing lengths, mm: a hole exactly at a limit keeps it, whatever its decimals did on the way. */
export const lengthSlack = 1e-6;

/** The number without trailing zeros, at most `digits` after the point; never "-0". */
export function plainNumber(value: number, digits: number): string {
  const fixed = value.toFixed(digits);
  const text = digits > 0 ? fixed.replace(/\.?0+$/, '') : fixed;
  return text === '-0' ? '0' : text;
}

/** A length (mm) in the given unit with its name: to 0.1 mm, 0.01 cm, or as {@link formatInches} does. */
export function formatLength(mm: number, unit: Unit = 'mm'): string {
  if (unit === 'in') return formatInches(mm);
  return `${plainNumber(mm / millimetresPer[unit], unit === 'mm' ? 1 : 2)} ${unit}`;
}

/**
 * A length (mm) in inches: as the trade's fraction ("1-3/8 in") when it is one to 1/32 in within 0.005 mm,
 * else as a decimal to 0.001 in, so that a printed fraction is never a rounded one.
 */
export function formatInches(mm: number): string {
  const thirtySeconds = Math.round((Math.abs(mm) / 25.4) * 32);
  if (Math.abs((thirtySeconds / 32) * 25.4 - Math.abs(mm)) > 0.005) return `${plainNumber(mm / 25.4, 3)} in`;
  const sign = mm < 0 && thirtySeconds > 0 ? '-' : '';
  return `${sign}${fractionText(thirtySeconds, 32)} in`;
}

/** A length (mm) in inches to the nearest 1/32: what a tape can set out. */
export function formatThirtySeconds(mm: number): string {
  return `${fractionText(Math.round((mm / 25.4) * 32), 32)} in`;
}

function fractionText(count: number, denominator: number): string {
  const whole = Math.floor(count / denominator);
  let top = count % denominator;
  let bottom = denominator;
  if (top === 0) return String(whole);
  while (top % 2 === 0) {
    top /= 2;
    bottom /= 2;
  }
  return whole === 0 ? `${top}/${bottom}` : `${whole}-${top}/${bottom}`;
}

/** "45 mm (1.772 in)", or "1-3/4 in (44.45 mm)" where the spec works in inches: both units, for the sheets. */
export function formatBoth(mm: number, unit: Unit): string {
  const metric = `${plainNumber(mm, 3)} mm`;
  return unit === 'in' ? `${formatInches(mm)} (${metric})` : `${metric} (${formatInches(mm)})`;
}

/** The step a person can set out: 0.1 mm, or 1/32 in where the spec works in inches. */
const stepOf = (unit: Unit) => (unit === 'in' ? 25.4 / 32 : 0.1);

/** The number (positive) rounded down to whole steps. */
export function roundDown(value: number, step: number): number {
  return Math.floor(value / step + 1e-9) * step;
}

/** The length (positive, mm) rounded down to the step a person can set out. */
export function roundDownToStep(mm: number, unit: Unit): number {
  return roundDown(mm, stepOf(unit));
}

/** The length rounded away from zero to the step a person can set out. */
export function roundUpToStep(mm: number, unit: Unit): number {
  const step = stepOf(unit);
  const steps = Math.ceil(Math.abs(mm) / step - 1e-9);
  return Math.sign(mm) * steps * step;
}
