import * as z from 'zod';
import { flowPer, formatFlow, formatShare, type FlowUnit } from '../trade/flow.ts';
import { pipeSizeOf, pipeSizes } from '../trade/pipe.ts';
import { formatLength, type Unit } from '../trade/units.ts';
import { flowForms, parseFlow, parseShare, shareForms } from './flow.ts';
import { lengthForms, parseLength } from './length.ts';

// A spec is parsed once per run: compiling a parser for it costs more than it saves, and needs eval.
z.config({ jitless: true });

/** What a spec may hold at most; more is a slip of the keyboard or not meant for this tool. */
export const bounds = {
  /** Characters of a spec file. */
  characters: 4 * 1024 * 1024,
  /** Largest side of a panel, mm: longer than any sheet of float glass that is made. */
  panelSide: 20_000,
  thickness: 500,
  holes: 20_000,
  keepClear: 2_000,
  outlinePoints: 2_000,
  titleLength: 200,
  nameLength: 60,
  /** Bits, boxes of a panel, included files. */
  few: 200,
  quantity: 1_000,
  /** Length of a run of pipe, and heads, mm. */
  pipe: 1_000_000,
  head: 100_000,
  /** Any flow, mm³/s. */
  flow: 1000 * flowPer['m3/h'],
  /** Points of a pump's curve, tanks, returns, drains and lines of a system of water, and how many lines may come one from the other. */
  curvePoints: 50,
  waterTanks: 50,
  returns: 200,
  drains: 200,
  lines: 100,
  linesInARow: 8,
  /** Parts of one kind in a run of pipe, and loss coefficients added up. */
  parts: 100,
  losses: 1000,
} as const;

/** How an issue that we raise ourselves tells what is accepted and how to mend it. */
export interface IssueHelp {
  readonly accepted?: string;
  readonly fix?: string;
}

/** Least and most of a length (mm), a flow (mm³/s) or a share. */
export interface ValueRange {
  readonly above?: number;
  readonly least?: number;
  readonly most?: number;
}

/** The fields that are lengths, flows and shares, with their ranges: what a JSON Schema must be told besides, as JSON knows none of them. */
export const lengthFields = z.registry<ValueRange>();
export const flowFields = z.registry<ValueRange>();
export const shareFields = z.registry<ValueRange>();

/** Parts of a spec that stand in several places, by the name that the JSON Schema defines them under. */
export const namedParts = z.registry<{ readonly name: string }>();

/** Choices of a union that are meant wherever a group has their key. */
export const markedParts = z.registry<{ readonly key: string }>();

export type Context = Pick<z.RefinementCtx<unknown>, 'addIssue'>;

export function report(context: Context, message: string, help: IssueHelp, path: (string | number)[] = []): void {
  context.addIssue({ code: 'custom', message, params: { ...help }, path });
}

/** Makers of the fields that groups of a spec are made of. @param bare the unit of bare numbers */
export function fieldsFor(bare: Unit | undefined) {
  /** A length in the spec's words; mm inside. */
  const length = (what: string, range: ValueRange = {}) =>
    written(what, range, {
      noun: 'length',
      forms: lengthForms,
      read: (value) => {
        const reading = parseLength(value, bare);
        return 'mm' in reading ? { value: reading.mm } : reading;
      },
      words: (mm) => formatLength(mm, bare ?? 'mm'),
    }).register(lengthFields, range);

  /** A flow in the spec's words; mm³/s inside. More than none, unless a least one is given. */
  const flow = (what: string, least?: number) => {
    const range = { ...(least === undefined ? { above: 0 } : { least }), most: bounds.flow };
    return written(what, range, {
      noun: 'flow',
      forms: flowForms,
      read: (value) => {
        const reading = parseFlow(value);
        return 'flow' in reading ? { value: reading.flow } : reading;
      },
      words: (value) => formatFlow(value, toldFlow),
    }).register(flowFields, range);
  };

  /** A share in the spec's words; 1 is the whole. */
  const share = (what: string, range: ValueRange) =>
    written(what, range, {
      noun: 'share',
      forms: shareForms,
      read: (value) => {
        const reading = parseShare(value);
        return 'share' in reading ? { value: reading.share } : reading;
      },
      words: formatShare,
    }).register(shareFields, range);

  const pipeSize = (what: string) =>
    z
      .union([z.string(), z.number()], { error: (issue) => (issue.input === undefined ? 'is missing' : 'is not a pipe size') })
      .transform((text, context) => {
        const size = pipeSizeOf(String(text));
        if (size) return size;
        report(context, 'is not a pipe size that we know', { accepted: pipeSizes.map((known) => `${known} in`).join(', '), fix: 'write the nominal size of the pipe, or leave it out' });
        return z.NEVER;
      })
      .describe(what);

  const anyLength = (what: string) => length(what, { least: -bounds.panelSide, most: bounds.panelSide });
  const strip = (what: string) => length(what, { least: 0, most: 1000 });
  const diameter = (what: string) => length(what, { above: 0, most: bounds.panelSide });

  const name = (what: string) =>
    z
      .union([z.string(), z.number()], { error: (issue) => (issue.input === undefined ? 'is missing' : 'is not a name') })
      .transform((value, context) => {
        const text = cleanText(String(value));
        if (text === '') report(context, 'is an empty name', { fix: 'give it a short name that you will know on the sheet' });
        if ([...text].length > bounds.nameLength) {
          report(context, `has ${[...text].length} characters`, { accepted: `a name of at most ${bounds.nameLength} characters`, fix: 'shorten it; it must fit beside the hole' });
        }
        return text;
      })
      .describe(what);

  const sides = <T extends z.ZodType>(side: T) =>
    z.strictObject({ top: side.optional(), right: side.optional(), bottom: side.optional(), left: side.optional() });

  const range = (what: string) =>
    z
      .union([diameter(what).transform((mm) => [mm, mm] as const), z.tuple([diameter(what), diameter(what)])], {
        error: (issue) => (issue.input === undefined ? 'is missing' : 'is neither a length nor a pair [smallest, largest]'),
      })
      .transform(([min, max], context) => {
        if (min > max) report(context, 'has its smallest value above its largest', { accepted: `${what}: [smallest, largest]`, fix: 'swap the two values' });
        return { min, max };
      })
      .describe(`${what}: a length, or [smallest, largest]`);

  return { length, anyLength, strip, diameter, flow, share, pipeSize, name, sides, range };
}

/** The unit that ranges of flows are told in. */
export const toldFlow: FlowUnit = 'm3/h';

/** How a kind of value is written and read. */
interface WrittenAs {
  readonly noun: string;
  readonly forms: string;
  read(value: number | string): { readonly value: number } | { readonly problem: string; readonly fix: string };
  words(value: number): string;
}

/** A value that is written as a number or text, read by rules of its own, and lies in its range. */
function written(what: string, range: ValueRange, { noun, forms, read, words }: WrittenAs) {
  return z
    .union([z.number(), z.string()], { error: (issue) => (issue.input === undefined ? 'is missing' : `is not a ${noun}`) })
    .transform((given, context) => {
      const reading = read(given);
      if ('problem' in reading) {
        report(context, reading.problem, { accepted: `${what}: ${forms}`, fix: reading.fix });
        return z.NEVER;
      }
      const wrong = outOf(range, reading.value);
      if (wrong) report(context, wrong, { accepted: `${what}: ${rangeWords(range, words)}`, fix: 'check the value and its unit' });
      return reading.value;
    })
    .describe(what);
}

/** A list of at most so many. */
export const list = <T extends z.ZodType>(of: T, most: number, what: string) =>
  z.array(of, { error: (issue) => (issue.input === undefined ? 'is missing' : 'is not a list') }).max(most, { error: `has more than ${most} ${what}` });

/** Groups by names of the writer's own. */
export const named = <T extends z.ZodType>(of: T, what: string) =>
  z.record(z.string(), of, { error: (issue) => (issue.input === undefined ? 'is missing' : 'is not a group of names') }).superRefine((value, context) => {
    for (const key of Object.keys(value)) {
      if (cleanText(key) !== key || key === '' || [...key].length > bounds.nameLength) report(context, `${what} has a name that is empty, too long, or begins or ends with a space`, { accepted: `a name of at most ${bounds.nameLength} characters`, fix: 'rename it' }, [key]);
    }
  });

/** Text on one line: control characters and line ends become spaces, ends trimmed. */
export function cleanText(text: string): string {
  return text.replace(/[\p{Cc}\u2028\u2029\s]+/gu, ' ').trim();
}

function outOf(range: ValueRange, value: number): string | undefined {
  const tooSmall = (range.above !== undefined && value <= range.above) || (range.least !== undefined && value < range.least);
  const tooLarge = range.most !== undefined && value > range.most;
  return tooSmall ? 'is too small' : tooLarge ? 'is too large' : undefined;
}

/** "more than 0 mm and at most 500 mm"; empty for any value. */
export function rangeWords(range: ValueRange, words: (value: number) => string): string {
  const parts = [
    range.above !== undefined ? `more than ${words(range.above)}` : '',
    range.least !== undefined ? `at least ${words(range.least)}` : '',
    range.most !== undefined ? `at most ${words(range.most)}` : '',
  ];
  return parts.filter(Boolean).join(' and ');
}

/** Adds to a group that of each choice exactly one key must be given, as a check and for the JSON Schema. */
export function withChoices<T extends z.ZodObject>(group: T, ...choices: readonly (readonly (keyof T['shape'] & string)[])[]): T {
  return group
    .superRefine((value, context) => {
      for (const keys of choices) exactlyOne(value, keys, context);
    })
    .meta({ allOf: choices.map((keys) => ({ oneOf: oneOfKeys(keys) })) });
}

/** For the JSON Schema: that a group has one of these keys at least. */
export const oneOfKeys = (keys: readonly string[]) => keys.map((key) => ({ required: [key] }));

/** @param instead what else does, where none is given */
export function exactlyOne(value: Readonly<Record<string, unknown>>, keys: readonly string[], context: Context, instead = ''): void {
  const isGiven = keys.some((key) => value[key] !== undefined);
  if (isGiven) atMostOne(value, keys, context);
  else report(context, `has none of ${keys.join(', ')}`, { accepted: `exactly one of ${keys.join(', ')}${instead ? `, or ${instead}` : ''}`, fix: `add one of ${keys.join(', ')}` });
}

export function atMostOne(value: Readonly<Record<string, unknown>>, keys: readonly string[], context: Context): void {
  const given = keys.filter((key) => value[key] !== undefined);
  if (given.length > 1) report(context, `stands beside ${given[0]}, and only one of them can be true`, { accepted: `exactly one of ${keys.join(', ')}`, fix: `keep one of ${given.join(', ')}` }, [given[1] as string]);
}
