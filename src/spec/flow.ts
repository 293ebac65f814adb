import { cubicMillimetresPer, flowPer } from '../trade/flow.ts';
import { ambiguousComma, number, withoutFlags } from './length.ts';

/** A flow that could be read (mm³/s), or why not and what to write instead. */
export type FlowReading = { readonly flow: number } | { readonly problem: string; readonly fix: string };

/** A share that could be read (1 is the whole), or why not and what to write instead. */
export type ShareReading = { readonly share: number } | { readonly problem: string; readonly fix: string };

/** What a flow and a share may look like, for messages. */
export const flowForms = 'a flow such as 900 gph, 15 gpm, 1800 L/h or 1.8 m3/h';
export const shareForms = 'a share such as 50 % or 0.5';

/** The most that a share may be where it has no % sign: beyond it the sign was forgotten. */
const mostBareShare = 5;

/** mm³ in each volume, by how it is written. Gallons are US gallons. */
const volumes: readonly (readonly [pattern: string, mm3: number])[] = [
  [String.raw`(?:u\.?s\.?\s*)?gal(?:lons?)?`, cubicMillimetresPer.gal],
  [String.raw`l(?:it(?:er|re)s?)?`, cubicMillimetresPer.L],
  [String.raw`m[3\u00b3]`, 1e9],
];
/** Seconds in each time, by how it is written. */
const times: readonly (readonly [pattern: string, seconds: number])[] = [
  [String.raw`h(?:ou)?(?:rs?)?`, 3600],
  [String.raw`min(?:utes?)?`, 60],
  [String.raw`s(?:ec(?:onds?)?)?`, 1],
];
const per = String.raw`\s*(?:\/|per)\s*`;

/** Units by how they are written: a volume in a time, or the letters that stand for that. */
const flowUnitForms: readonly (readonly [pattern: string, mm3PerSecond: number])[] = [
  ...volumes.flatMap(([volume, mm3]) => times.map(([time, seconds]) => [`${volume}${per}${time}`, mm3 / seconds] as const)),
  [String.raw`(?:u\.?s\.?\s*)?gph`, flowPer.gph],
  [String.raw`(?:u\.?s\.?\s*)?gpm`, flowPer.gpm],
  ['lph', flowPer['L/h']],
  ['lpm', cubicMillimetresPer.L / 60],
];
const flowUnitPatterns = flowUnitForms.map(([pattern, size]) => [new RegExp(`^${pattern}$`, 'i'), size] as const);

const sign = String.raw`(?:[\-\u2212\u2010-\u2013+]\s*)?`;

/** The sources of patterns (ECMA-262, flag u) that every text fits which {@link parseFlow} and {@link parseShare} read. */
export const flowPattern = withoutFlags(String.raw`^\s*${sign}(?:0+(?:\.0+)?|\.0+|(?:${number})\s*(?:${flowUnitForms.map(([pattern]) => pattern).join('|')}))\s*$`);
export const sharePattern = withoutFlags(String.raw`^\s*${sign}(?:${number})\s*(?:%|percent|per cent)?\s*$`);

/**
 * Reads a flow as the trade writes it. It carries its unit, but for a bare 0.
 * @param value text such as `900 gph`, `15 gpm`, `1800 L/h`, `1.8 m3/h`, or 0
 * @returns mm³/s, or the problem in words; never throws
 */
export function parseFlow(value: number | string): FlowReading {
  if (typeof value === 'number') return value === 0 ? { flow: 0 } : Number.isFinite(value) ? noUnit(String(value)) : { problem: 'is not a finite number', fix: `write ${flowForms}` };
  const text = normalise(value);
  if (/\d,\d/.test(text)) return ambiguousComma(text);
  const amount = amountIn(text);
  if (!amount) return { problem: 'is not a flow', fix: `write ${flowForms}` };
  if (amount.unit === '') return amount.count === 0 ? { flow: 0 } : noUnit(text);
  const size = flowUnitPatterns.find(([pattern]) => pattern.test(amount.unit))?.[1];
  if (size === undefined) return { problem: 'is not a flow', fix: `write ${flowForms}` };
  const flow = amount.count * size;
  return Number.isFinite(flow) ? { flow } : { problem: 'has more digits than any flow', fix: 'check the number' };
}

/**
 * Reads a share.
 * @param value text such as `50 %`, or a number, 1 for the whole
 * @returns the share, or the problem in words; never throws
 */
export function parseShare(value: number | string): ShareReading {
  const text = normalise(String(value));
  if (/\d,\d/.test(text)) return ambiguousComma(text);
  const amount = typeof value === 'number' ? { count: value, unit: '' } : amountIn(text);
  if (!amount || !/^(?:%|percent|per cent)?$/i.test(amount.unit)) return { problem: 'is not a share', fix: `write ${shareForms}` };
  if (!Number.isFinite(amount.count)) return { problem: 'is not a finite number', fix: `write ${shareForms}` };
  if (amount.unit !== '') return { share: amount.count / 100 };
  if (amount.count > mostBareShare) return { problem: `has no % sign, and would be ${amount.count} times the whole`, fix: `write ${text} %` };
  return { share: amount.count };
}

/** The number that a text begins with, and what follows it. */
function amountIn(text: string): { count: number; unit: string } | undefined {
  const groups = amountForm.exec(text)?.groups;
  return groups && { count: (groups['sign'] === '-' ? -1 : 1) * Number(groups['count']), unit: groups['unit'] ?? '' };
}

const amountForm = new RegExp(String.raw`^(?:(?<sign>[-+])\s*)?(?<count>${number})\s*(?<unit>[^\d\s.].*)?$`, 'i');

function normalise(text: string): string {
  return text.replace(/[\u2212\u2010-\u2013]/g, '-').replace(/\s+/g, ' ').trim();
}

function noUnit(text: string): FlowReading {
  return { problem: 'has no unit', fix: `write ${text} gph or ${text} L/h` };
}
