import * as z from 'zod';
import { largestPage, paperByName, papers, smallestPage, type Paper } from '../trade/papers.ts';
import { materials } from '../trade/limits.ts';
import { formatLength, units, type Unit } from '../trade/units.ts';
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
} as const;

/** How an issue that we raise ourselves tells what is accepted and how to mend it. */
export interface IssueHelp {
  readonly accepted?: string;
  readonly fix?: string;
}

type Context = Pick<z.RefinementCtx<unknown>, 'addIssue'>;

function report(context: Context, message: string, help: IssueHelp, path: (string | number)[] = []): void {
  context.addIssue({ code: 'custom', message, params: { ...help }, path });
}

/**
 * The spec, as one zod schema; types, messages and documents come from it.
 * @param bare the unit of bare numbers, already peeked from the spec
 * @returns a schema whose output has every length in mm
 */
export function specSchema(bare: Unit | undefined) {
  /** A length in the spec's words; mm inside. */
  const length = (what: string, range: { above?: number; least?: number; most?: number } = {}) =>
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

  const fitting = z
    .strictObject({
      hole: range('hole that the fitting takes'),
      flange: diameter('diameter of the flange').optional(),
      nut: diameter('nut across its corners').optional(),
      grip: range('thickness that the fitting clamps').optional(),
    })
    .superRefine((value, context) => {
      if (value.flange !== undefined && value.flange <= value.hole.max) {
        report(context, `is ${formatLength(value.flange)}, which does not cover a hole of ${formatLength(value.hole.max)}`, { accepted: 'a flange wider than the largest hole', fix: 'measure the flange and the hole range again' }, ['flange']);
      }
    })
    .describe('a fitting: hole, flange, nut, grip');

  const keepClear = z
    .strictObject({
      name: name('name of the area'),
      'from-left': anyLength("distance of the area's left side from the left edge").optional(),
      'from-right': anyLength("distance of the area's right side from the right edge").optional(),
      'from-top': anyLength("distance of the area's top side from the top edge").optional(),
      'from-bottom': anyLength("distance of the area's bottom side from the bottom edge").optional(),
      width: length('width of the area', { above: 0, most: bounds.panelSide }),
      height: length('height of the area', { above: 0, most: bounds.panelSide }),
    })
    .superRefine((value, context) => {
      exactlyOne(value, ['from-left', 'from-right'], context);
      exactlyOne(value, ['from-top', 'from-bottom'], context);
    });

  const hole = z
    .strictObject({
      name: name('name of the hole, printed beside it'),
      diameter: diameter('diameter of the drilling circle').optional(),
      fitting: z
        .union([z.string(), fitting], { error: 'is neither the name of a fitting nor a group with hole, flange, nut, grip' })
        .optional()
        .describe('a fitting named under fittings, a typical one such as bulkhead 1 in, or a group with hole, flange, nut, grip'),
      'from-left': anyLength("distance of the hole's centre from the left edge").optional(),
      'from-right': anyLength("distance of the hole's centre from the right edge").optional(),
      'from-center-x': anyLength("distance of the hole's centre to the right of the middle").optional(),
      'from-top': anyLength("distance of the hole's centre from the top edge").optional(),
      'from-bottom': anyLength("distance of the hole's centre from the bottom edge").optional(),
      'from-center-y': anyLength("distance of the hole's centre above the middle").optional(),
    })
    .superRefine((value, context) => {
      exactlyOne(value, ['diameter', 'fitting'], context);
      exactlyOne(value, ['from-left', 'from-right', 'from-center-x'], context);
      exactlyOne(value, ['from-top', 'from-bottom', 'from-center-y'], context);
    });

  const panel = z
    .strictObject({
      material: z.enum(materials).describe('what the panel is made of'),
      width: length('width of the panel, true edge to true edge', { above: 0, most: bounds.panelSide }).optional(),
      height: length('height of the panel, true edge to true edge', { above: 0, most: bounds.panelSide }).optional(),
      outline: z
        .array(z.tuple([anyLength('x of a point, to the right'), anyLength('y of a point, upwards')], { error: 'is not a point [x, y]' }), { error: 'is not a list of points [x, y]' })
        .min(3, { error: 'has fewer than three points' })
        .max(bounds.outlinePoints, { error: `has more than ${bounds.outlinePoints} points` })
        .optional()
        .describe('corners of the panel in order, as seen from outside: [[x, y], …], x to the right, y upwards'),
      thickness: length('thickness of the panel', { above: 0, most: bounds.thickness }),
      'drilled-from': z.enum(['outside', 'inside']).default('outside').describe('the face that the drill goes in at'),
      'measured-from': z
        .enum(['edges', 'rim', 'inside'])
        .default('edges')
        .describe("where distances start: the true edges, the rim's visible line, or the inner face of the neighbouring panels"),
      rim: sides(strip('width of the strip that the rim covers')).optional().describe('strips covered by a frame: top, right, bottom, left'),
      joints: sides(
        z
          .union([
            strip('thickness of the neighbouring panel').transform((thickness) => ({ panel: thickness, sealant: 0 })),
            z.strictObject({ panel: strip('thickness of the neighbouring panel'), sealant: strip('width of the sealant bead beside it') }),
          ], { error: 'is neither a length nor a group with panel and sealant' })
          .describe('thickness of the neighbouring panel, or {panel, sealant}'),
      )
        .optional()
        .describe('strips taken by neighbouring panels: top, right, bottom, left'),
      'keep-clear': z.array(keepClear, { error: 'is not a list' }).max(bounds.keepClear, { error: `has more than ${bounds.keepClear} areas` }).optional().describe('areas that nothing may enter'),
    })
    .superRefine((value, context) => {
      if (value.outline) {
        for (const key of ['width', 'height'] as const) {
          if (value[key] !== undefined) report(context, `stands beside an outline, and only one of them can be true`, { accepted: 'width and height, or outline', fix: `remove ${key} or outline` }, [key]);
        }
        return;
      }
      for (const key of ['width', 'height'] as const) {
        if (value[key] === undefined) report(context, 'is missing', { accepted: 'width and height, or outline', fix: `add ${key}` }, [key]);
      }
    });

  const sheets = z.strictObject({
    paper: z
      .string({ error: 'is not the name or size of a paper' })
      .transform((text, context): Paper => {
        const paper = parsePaper(text, bare);
        if ('name' in paper) return paper;
        report(context, paper.problem, { accepted: paperForms, fix: paper.fix });
        return z.NEVER;
      })
      .optional()
      .describe(`paper to print on: ${papers.map((paper) => paper.name).join(', ')}, or a size such as 24 x 36 in`),
    orientation: z.enum(['portrait', 'landscape']).optional().describe('how the paper lies; the one with fewer sheets if left out'),
    'lies-on': z
      .enum(['drilled-face', 'far-face'])
      .optional()
      .describe('the face the sheets are taped to: the one that is drilled, or the far one of a clear panel, to be read through it'),
    overlap: length('strip that neighbouring sheets share', { least: 8, most: 100 }).optional(),
    margin: length('strip along the paper that the printer cannot reach', { least: 0, most: 50 }).optional(),
  });

  return z
    .strictObject({
      title: z
        .union([z.string(), z.number()], { error: (issue) => (issue.input === undefined ? 'is missing' : 'is not a text') })
        .transform((value, context) => {
          const text = cleanText(String(value));
          const count = [...text].length;
          if (text === '') report(context, 'is an empty title', { fix: 'name the work; it is printed on every sheet' });
          if (count > bounds.titleLength) report(context, `has ${count} characters`, { accepted: `a title of at most ${bounds.titleLength} characters`, fix: 'shorten it; it is printed on every sheet' });
          return text;
        })
        .describe('title printed on every sheet'),
      units: z.enum(units).optional().describe('unit of numbers that carry none'),
      panel,
      fittings: z.record(z.string(), fitting).optional().describe('fittings of your own, by name'),
      holes: z.array(hole, { error: (issue) => (issue.input === undefined ? 'is missing' : 'is not a list') })
        .min(1, { error: 'is an empty list' })
        .max(bounds.holes, { error: `has more than ${bounds.holes} holes` })
        .describe('the holes to drill'),
      sheets: sheets.optional(),
    })
    .describe('a panel to be drilled');
}

export type Spec = z.output<ReturnType<typeof specSchema>>;
export type SpecHole = Spec['holes'][number];
export type SpecFitting = NonNullable<Spec['fittings']>[string];

/** What a paper may look like, for messages. */
export const paperForms = `${papers.map((paper) => paper.name).join(', ')}, or a size such as 610 x 914 mm or 24 x 36 in`;

/** A paper by name (any case) or by size ("24 x 36 in"), or why not. A size's first number may borrow the second's unit. */
export function parsePaper(text: string, bare: Unit | undefined): Paper | { problem: string; fix: string } {
  const named = paperByName(text);
  if (named) return named;
  const size = /^(.+?)\s*(?:x|×|by)\s*(.+)$/i.exec(text.trim());
  if (!size) return { problem: 'is not a paper we know', fix: `write one of ${paperForms}` };
  const [, first = '', second = ''] = size;
  const height = parseLength(second, bare);
  if ('problem' in height) return { problem: `has a second side that ${height.problem}`, fix: height.fix };
  const unitOfSecond = /[a-z"']+$/i.exec(second)?.[0] ?? '';
  const width = parseLength(/[a-z"']$/i.test(first) ? first : `${first} ${unitOfSecond}`.trim(), bare);
  if ('problem' in width) return { problem: `has a first side that ${width.problem}`, fix: width.fix };
  const [short, long] = [Math.min(width.mm, height.mm), Math.max(width.mm, height.mm)];
  if (!(short >= smallestPage && long <= largestPage)) {
    return { problem: `is ${formatLength(short)} by ${formatLength(long)}`, fix: `choose sides from ${formatLength(smallestPage)} (room for rulers and words) to ${formatLength(largestPage)} (the most a PDF page may have)` };
  }
  return { name: `${formatLength(width.mm, bare)} x ${formatLength(height.mm, bare)}`, width: short, height: long };
}

/** Text on one line: control characters and line ends become spaces, ends trimmed. */
function cleanText(text: string): string {
  return text.replace(/[\p{Cc}\u2028\u2029\s]+/gu, ' ').trim();
}

function outOf(range: { above?: number; least?: number; most?: number }, mm: number): string | undefined {
  const tooSmall = (range.above !== undefined && mm <= range.above) || (range.least !== undefined && mm < range.least);
  const tooLarge = range.most !== undefined && mm > range.most;
  return tooSmall ? 'is too small' : tooLarge ? 'is too large' : undefined;
}

function rangeWords(range: { above?: number; least?: number; most?: number }, unit: Unit): string {
  const parts = [
    range.above !== undefined ? `more than ${formatLength(range.above, unit)}` : '',
    range.least !== undefined ? `at least ${formatLength(range.least, unit)}` : '',
    range.most !== undefined ? `at most ${formatLength(range.most, unit)}` : '',
  ];
  return parts.filter(Boolean).join(' and ');
}

function exactlyOne<K extends string>(value: Partial<Record<K, unknown>>, keys: readonly K[], context: Context): void {
  const given = keys.filter((key) => value[key] !== undefined);
  if (given.length === 1) return;
  const choice = `exactly one of ${keys.join(', ')}`;
  if (given.length === 0) report(context, `has none of ${keys.join(', ')}`, { accepted: choice, fix: `add one of ${keys.join(', ')}` });
  else report(context, `stands beside ${given[0]}, and only one of them can be true`, { accepted: choice, fix: `keep one of ${given.join(', ')}` }, [given[1] as string]);
}
