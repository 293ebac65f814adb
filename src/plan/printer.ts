import * as z from 'zod';
import { shown } from '../spec/problem.ts';
import { largestPage, papers, smallestPage, type Paper } from '../trade/papers.ts';
import { formatLength, lengthSlack, millimetresPer, plainNumber } from '../trade/units.ts';

/**
 * A printer's own error, measured on its ruler page, and how to undo it. "Across" is the short side of the paper, "down"
 * its long side, however a sheet lies: a printer feeds both the same way.
 */

/** Largest share by which a printer may be off; more has another cause (our choice; office printers keep 1 %: common practice, no source). */
export const mostError = 0.03;
/** Share beyond which the print settings deserve a second look (common practice, no source). */
export const usualError = 0.015;
/** What a careful eye at a steel rule is off by at worst, mm (our choice). */
export const worstReading = 0.5;

const profileKind = 'panejig printer profile';
const profileVersion = 1;

/** Why something is refused, what would be accepted, and what to do. */
export interface Refusal {
  readonly found: string;
  readonly accepted: string;
  readonly fix: string;
}

/** Lengths of the two scales of a ruler page, mm. */
export interface ScaleLengths {
  readonly across: number;
  readonly down: number;
}

export type PaperWay = keyof ScaleLengths;
const ways: readonly PaperWay[] = ['across', 'down'];

const orMissing = (words: string) => ({ error: (issue: { input?: unknown }) => (issue.input === undefined ? 'is missing' : words) });
const size = (least: number) => z.number(orMissing('is not a number of millimetres')).min(least, { error: 'is too small' }).max(largestPage, { error: 'is too large' });
const scale = z
  .strictObject({ nominal: size(10), measured: size(1) }, orMissing('is not a group of nominal and measured'))
  .refine((lengths) => keeps(lengths.measured, lengths.nominal), { error: `is off by more than ${mostError * 100} %` });

/** A profile's file, as one zod schema. Lengths in mm. */
export const profileSchema = z.strictObject({
  kind: z.literal(profileKind, orMissing(`is not "${profileKind}"`)),
  version: z.literal(profileVersion, orMissing(`is not ${profileVersion}`)),
  paper: z.strictObject({ name: z.string(orMissing('is not a text')).min(1, { error: 'is empty' }).max(60, { error: 'is too long' }), width: size(smallestPage), height: size(smallestPage) }, orMissing('is not a group of name, width and height')),
  across: scale,
  down: scale,
  date: z.iso.date({ error: 'is not a date such as 2026-11-20' }).optional(),
}, { error: 'is not a group of keys' });

/** A printer's measured error, under the name of its file. */
export type PrinterProfile = Readonly<z.output<typeof profileSchema>> & { readonly name: string };

/** The profile in a file's text, or what is wrong with it. Never throws. */
export function readProfile(text: string, name: string): PrinterProfile | Refusal {
  const refusal = (found: string, fix = 'delete the file and measure again (panejig ruler), or move it away'): Refusal => ({ found, accepted: `a printer profile that panejig wrote: ${Object.keys(profileSchema.shape).join(', ')}`, fix });
  let content: unknown;
  try {
    content = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch {
    return refusal('it is not JSON');
  }
  const { kind, version } = (content ?? {}) as { kind?: unknown; version?: unknown };
  if (kind !== profileKind) return refusal('it is not a printer profile');
  if (typeof version === 'number' && version > profileVersion) return refusal(`a newer panejig wrote it (format ${shown(version)}, we know ${profileVersion})`, 'install the newer panejig, or delete the file and measure again (panejig ruler)');
  const result = profileSchema.safeParse(content);
  if (result.success) return { name, ...result.data };
  const [issue] = result.error.issues;
  return refusal(issue ? issueWords(issue) : 'it is damaged');
}

function issueWords(issue: z.core.$ZodIssue): string {
  const where = issue.path.length === 0 ? 'it' : `its ${issue.path.join('.')}`;
  if (issue.code === 'unrecognized_keys') return `${where} has a key that we do not know: ${shown(issue.keys[0]).replace(/\p{Cc}/gu, ' ')}`;
  return `${where} ${issue.message}`;
}

/** The text of a profile's file. */
export function profileText({ name: _, ...file }: PrinterProfile): string {
  return `${JSON.stringify(file, null, 2)}\n`;
}

/** A file's base name may hold these, on any system. Reserved names: Microsoft, "Naming Files, Paths, and Namespaces" (from memory). */
const nameFaults: readonly (readonly [fault: string, isThere: (name: string) => boolean])[] = [
  ['is empty', (name) => name === ''],
  ['has more than 60 characters', (name) => [...name].length > 60],
  ['has a character that file names cannot carry everywhere', (name) => !/^[\p{L}\p{M}\p{Nd} ._-]*$/u.test(name)],
  ['begins with a dot, a hyphen or a space', (name) => /^[.\- ]/.test(name)],
  ['ends with a dot or a space', (name) => /[. ]$/.test(name)],
  ['is a name that Windows keeps for devices', (name) => /^(con|prn|aux|nul|com\d|lpt\d)(\.|$)/i.test(name)],
];

/** What is wrong with a profile's name; undefined where nothing is. */
export function nameRefusal(name: string): Refusal | undefined {
  const fault = nameFaults.find(([, isThere]) => isThere(name));
  return fault && { found: `the printer name ${shown(name.replace(/\p{Cc}/gu, ' '))} ${fault[0]}`, accepted: '1 to 60 letters, digits, spaces, - _ and . in between', fix: 'choose a plain name for the printer, such as office or "hall tray 2"' };
}

/** What a person measured on a ruler page, mm. */
export interface Measurement extends ScaleLengths {
  readonly name: string;
  readonly paper: Paper;
  readonly date?: string | undefined;
}

/**
 * A profile from what was measured, or why that cannot be the printer.
 * @param nominalOn lengths of the scales on the ruler page of a paper
 */
export function makeProfile(measurement: Measurement, nominalOn: (paper: Paper) => ScaleLengths): PrinterProfile | Refusal {
  const { name, paper, across, down, date } = measurement;
  const nominal = nominalOn(paper);
  const off = ways.filter((way) => !keeps(measurement[way], nominal[way]));
  if (off.length > 0) {
    const measures = ways.map((way) => `${way} measures ${formatLength(measurement[way])} of ${formatLength(nominal[way])} (${percent(measurement[way] / nominal[way], 1)})`);
    const { cause, fix } = likelyCause({ measured: measurement, nominal, off, paper, nominalOn });
    const ranges = ways.map((way) => `${way} from ${formatLength(nominal[way] * (1 - mostError))} to ${formatLength(nominal[way] * (1 + mostError))}`);
    return { found: `${measures.join(', ')}: ${cause}`, accepted: `${ranges.join(', ')} (${paper.name}, within ${mostError * 100} %)`, fix };
  }
  const kept = (way: PaperWay) => ({ nominal: nominal[way], measured: Math.round({ across, down }[way] * 1e4) / 1e4 });
  return {
    name,
    kind: profileKind,
    version: profileVersion,
    paper: { name: paper.name, width: paper.width, height: paper.height },
    across: kept('across'),
    down: kept('down'),
    ...(date === undefined ? {} : { date }),
  };
}

/** Whether a measured length is within the error that a printer may have. */
function keeps(measured: number, nominal: number): boolean {
  return Math.abs(measured - nominal) <= mostError * nominal + lengthSlack;
}

interface Doubt {
  readonly measured: ScaleLengths;
  readonly nominal: ScaleLengths;
  /** Scales that are off by more than a printer is. */
  readonly off: readonly PaperWay[];
  readonly paper: Paper;
  readonly nominalOn: (paper: Paper) => ScaleLengths;
}

interface Cause {
  readonly cause: string;
  readonly fix: string;
}

const reprint = 'print the ruler page again at 100 % / actual size, on the paper it names, and measure again';
const remeasure = 'measure again along the two scales, from long end mark to long end mark';

/** Where "fit to page" leaves a page: margins of 3 to 6 % of an office paper (common practice, no source). */
const fitToPage = { least: 0.94, most: 0.97 };

/** Places of a rule's body where people start, as its end is worn, and forget to subtract, mm (common practice, no source). */
const secondStarts = [10, 25.4, 100] as const;

/** Causes from the surest to the vaguest; each tells itself from the numbers, or passes. */
const causes: readonly ((doubt: Doubt) => Cause | undefined)[] = [
  ({ measured }) => (ways.some((way) => measured[way] <= 0) ? { cause: 'no printed scale measures nothing or less', fix: remeasure } : undefined),
  ({ measured, nominal }) => (keeps(measured.across, nominal.down) && keeps(measured.down, nominal.across) ? { cause: 'across and down seem to be swapped', fix: 'across is the short side of the paper, down the long one: swap the two' } : undefined),
  ({ measured, paper, nominalOn }) => {
    const other = papers.find((candidate) => candidate.name !== paper.name && ways.every((way) => keeps(measured[way], nominalOn(candidate)[way])));
    return other && { cause: `these are the lengths of the ruler page for ${other.name}`, fix: `add --paper ${quoted(other.name)}` };
  },
  (doubt) => {
    const slip = unitSlips.find(({ factor }) => doubt.off.every((way) => keeps(doubt.measured[way], doubt.nominal[way] * factor)));
    return slip && { cause: `as if a reading in ${slip.read} had been given in ${slip.given}`, fix: `write the unit that stands on the rule: ${doubt.off.map((way) => `--${way} ${plainNumber(doubt.measured[way] / millimetresPer[slip.given], 3)}${slip.read}`).join(' ')}` };
  },
  ({ measured, nominal, off }) => {
    const start = secondStarts.find((mark) => off.every((way) => Math.abs(measured[way] - mark - nominal[way]) < Math.min(2, mark / 4)));
    return start && { cause: `too long by ${formatLength(start)}, as if the rule had been laid on at its ${formatLength(start)} mark`, fix: `subtract ${formatLength(start)}, or ${remeasure}` };
  },
  ({ measured, nominal }) => {
    const shares = ways.map((way) => measured[way] / nominal[way]);
    const [short, long] = [Math.min(...shares), Math.max(...shares)];
    return long - short < 0.01 && short >= fitToPage.least && short <= fitToPage.most ? { cause: 'both are short by the same share, as where "fit to page" is on', fix: `turn "fit to page" off, then ${reprint}` } : undefined;
  },
  ({ measured, nominal, off }) => (off.length === 1 && ways.some((way) => Math.abs(measured[way] / nominal[way] - 1) <= usualError) ? { cause: `only ${off[0]} is off by more than ${mostError * 100} %, as if another line had been measured there`, fix: `${remeasure}, not the sides or diagonals of the square; ${off[0]} is nominally ${formatLength(nominal[off[0] as PaperWay])}, not ${formatLength(measured[off[0] as PaperWay])}` } : undefined),
  ({ measured, nominal }) => (ways.every((way) => measured[way] > nominal[way]) ? { cause: 'both are too long, as where a scale above 100 % is set or the page was enlarged to a larger paper', fix: reprint } : undefined),
  ({ measured, nominal }) => (ways.every((way) => measured[way] < nominal[way]) ? { cause: 'both are too short, as where a scale below 100 % is set or several pages share a sheet', fix: reprint } : undefined),
];

function likelyCause(doubt: Doubt): Cause {
  for (const tell of causes) {
    const found = tell(doubt);
    if (found) return found;
  }
  return { cause: 'one is too long and one too short, which no printer does', fix: remeasure };
}

const unitNames = ['mm', 'cm', 'in'] as const;
/** A reading in one unit given in another, and what that makes of its length. */
const unitSlips = unitNames.flatMap((read) => unitNames.filter((given) => given !== read).map((given) => ({ read, given, factor: millimetresPer[given] / millimetresPer[read] })));

/** A word as it is typed at a prompt. */
export function quoted(word: string): string {
  return /^[\p{L}\p{M}\p{Nd}._-]+$/u.test(word) ? word : `"${word}"`;
}

/** What a page is multiplied by, across and up, so that this printer prints it true. */
export function prescale(profile: PrinterProfile, orientation: 'portrait' | 'landscape'): { x: number; y: number } {
  const [across, down] = [profile.across.nominal / profile.across.measured, profile.down.nominal / profile.down.measured];
  return orientation === 'portrait' ? { x: across, y: down } : { x: down, y: across };
}

/** `printer profile "office", measured 2026-11-20 on A4: across 100.67 %, down 98.88 %` */
export function profileWords(profile: PrinterProfile): string {
  const date = profile.date === undefined ? '' : ` ${profile.date}`;
  const shares = ways.map((way) => `${way} ${percent(profile[way].measured / profile[way].nominal, 2)}`);
  return `printer profile "${profile.name}", measured${date} on ${profile.paper.name}: ${shares.join(', ')}`;
}

function percent(share: number, digits: number): string {
  return `${plainNumber(share * 100, digits)} %`;
}

/**
 * Largest error (mm) of a point's place that a reading {@link worstReading} off on each scale leaves after {@link prescale}.
 * A scale of nominal length n that is truly t long was read as m. The page is multiplied by n / m and the printer by t / n,
 * so a distance d is printed as d t / m: off by d (t - m) / m. With |t - m| at most r, the error along that way is at most
 * d r / m exactly, and both ways together make the hypotenuse.
 * @param dx,dy mm along the page's axes from the place where the jig is laid to the panel
 */
export function readingErrorAt(profile: PrinterProfile, dx: number, dy: number, orientation: 'portrait' | 'landscape'): number {
  const [across, down] = orientation === 'portrait' ? [dx, dy] : [dy, dx];
  return worstReading * Math.hypot(across / profile.across.measured, down / profile.down.measured);
}
