import * as z from 'zod';
import { formatLength, type Unit } from '../trade/units.ts';
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
} as const;

/** How an issue that we raise ourselves tells what is accepted and how to mend it. */
export interface IssueHelp {
  readonly accepted?: string;
  readonly fix?: string;
}

/** Least and most of a length, mm. */
export interface LengthRange {
  readonly above?: number;
  readonly least?: number;
  readonly most?: number;
}

/** The fields that are lengths, with their ranges: what a JSON Schema must be told besides, as JSON knows no lengths. */
export const lengthFields = z.registry<LengthRange>();

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
  const length = (what: string, range: LengthRange = {}) =>
    z
      .union([z.number(), z.string()], { error: (issue) => (issue.input === undefined ? 'is missing' : 'is not a length') })
      .transform((value, context) => {
        const reading = parseLength(value, bare);
        if ('problem' in reading) {
          report(context, reading.problem, { accepted: `${what}: ${lengthForms}`, fix: reading.fix });
          return z.NEVER;
        }
        const wrong = outOf(range, reading.mm);
        if (wrong) report(context, wrong, { accepted: `${what}: ${rangeWords(range, bare ?? 'mm')}`, fix: 'check the value and its unit' });
        return reading.mm;
      })
      .describe(what)
      .register(lengthFields, range);

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

  return { length, anyLength, strip, diameter, name, sides, range };
}

/** Text on one line: control characters and line ends become spaces, ends trimmed. */
export function cleanText(text: string): string {
  return text.replace(/[\p{Cc}\u2028\u2029\s]+/gu, ' ').trim();
}

function outOf(range: LengthRange, mm: number): string | undefined {
  const tooSmall = (range.above !== undefined && mm <= range.above) || (range.least !== undefined && mm < range.least);
  const tooLarge = range.most !== undefined && mm > range.most;
  return tooSmall ? 'is too small' : tooLarge ? 'is too large' : undefined;
}

/** "more than 0 mm and at most 500 mm"; empty for any length. */
export function rangeWords(range: LengthRange, unit: Unit): string {
  const parts = [
    range.above !== undefined ? `more than ${formatLength(range.above, unit)}` : '',
    range.least !== undefined ? `at least ${formatLength(range.least, unit)}` : '',
    range.most !== undefined ? `at most ${formatLength(range.most, unit)}` : '',
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
