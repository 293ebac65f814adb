import { makeProfile, profileSchema, profileWords, usualError, type PrinterProfile } from '../plan/printer.ts';
import { rulerPageLengths, rulerTrouble, usualMargin } from '../render/ruler.ts';
import { lengthForms, parseLength } from '../spec/length.ts';
import { shown } from '../spec/problem.ts';
import { paperForms, parsePaper } from '../spec/schema.ts';
import { papers, type Paper } from '../trade/papers.ts';
import { formatLength, units } from '../trade/units.ts';
import { Stop } from './files.ts';
import { checkName, keepProfile, loadProfile, refused } from './profiles.ts';

export interface PrinterOptions {
  readonly across?: string;
  readonly down?: string;
  readonly paper?: string;
  readonly margin?: string;
  readonly date?: string;
  readonly here?: boolean;
}

/** Keeps what was measured as a profile, or shows the profile where nothing is given. Returns the exit code. */
export async function keepOrShowPrinter(name: string, options: PrinterOptions): Promise<number> {
  checkName(name);
  if (Object.keys(options).length === 0) {
    const { profile, path, hides } = await loadProfile(name);
    print([...told(profile, path), ...(hides === undefined ? [] : [`note: in this folder it hides ${hides}`])]);
    return 0;
  }
  const { across, down } = options;
  if (across === undefined || down === undefined) {
    const found = across === undefined && down === undefined ? 'neither --across nor --down is given' : `--${across === undefined ? 'across' : 'down'} is not given`;
    throw new Stop(2, `${found}\n    accepted: --across LENGTH --down LENGTH, both as measured on the ruler page, or the name alone to show the profile\n    fix: print the page (panejig ruler), measure both scales, and give both`);
  }
  const paper = paperOption(options.paper);
  const margin = marginOption(options.margin);
  const trouble = rulerTrouble(paper, margin);
  if (trouble) throw new Stop(2, `${trouble.problem}\n    accepted: the paper and margin of a ruler page\n    fix: ${trouble.fix}`);
  const measurement = { name: name.normalize('NFC'), paper, across: lengthOption('--across', across), down: lengthOption('--down', down), date: dateOption(options.date) };
  const profile = makeProfile(measurement, (other) => rulerPageLengths(other, margin));
  if ('found' in profile) throw refused(2, profile);
  const { path, hiddenBy, hides } = await keepProfile(profile, options.here === true);
  const isFarOff = [profile.across, profile.down].some(({ nominal, measured }) => Math.abs(measured / nominal - 1) > usualError);
  print([
    ...told(profile, path),
    ...(isFarOff ? [`note: printers are seldom off by more than ${usualError * 100} %; make sure that the page was printed at 100 % / actual size`] : []),
    ...(hiddenBy === undefined ? [] : [`note: in this folder ${hiddenBy} hides it; delete that file, or write it with --here`]),
    ...(hides === undefined ? [] : [`note: in this folder it hides ${hides}`]),
  ]);
  return 0;
}

function told(profile: PrinterProfile, path: string): string[] {
  const measured = (way: 'across' | 'down') => `${way} ${formatLength(profile[way].measured)} of ${formatLength(profile[way].nominal)}, jigs are multiplied by ${(profile[way].nominal / profile[way].measured).toFixed(5)}`;
  return [profileWords(profile), measured('across'), measured('down'), `kept in ${path}`];
}

function print(lines: readonly string[]): void {
  process.stdout.write(`${lines.join('\n')}\n`);
}

/** The paper of an option; A4 where it is left out. */
export function paperOption(text: string | undefined): Paper {
  if (text === undefined) return papers[0] as Paper;
  const paper = parsePaper(text, undefined);
  if ('name' in paper) return paper;
  const withUnit = units.filter((unit) => 'name' in parsePaper(text, unit)).map((unit) => `"${text} ${unit}"`);
  const [found, fix] = withUnit.length > 0 ? ['has no unit', `write ${withUnit.join(' or ')}`] : [paper.problem, paper.fix];
  throw new Stop(2, `--paper: ${shown(text)} ${found}\n    accepted: ${paperForms}\n    fix: ${fix}`);
}

/** The margin of an option, mm, within what a spec may ask for too. */
export function marginOption(text: string | undefined): number {
  if (text === undefined) return usualMargin;
  const mm = lengthOption('--margin', text);
  if (mm >= 0 && mm <= 50) return mm;
  throw new Stop(2, `--margin: ${shown(text)} is ${mm < 0 ? 'less than nothing' : 'too large'}\n    accepted: 0 mm to 50 mm\n    fix: give the white strip that your printer leaves, such as 10mm`);
}

/** A length of an option, mm; it must carry its own unit. */
function lengthOption(option: string, text: string): number {
  const reading = parseLength(text, undefined);
  if ('mm' in reading) return reading.mm;
  const isBare = 'mm' in parseLength(text, 'in');
  throw new Stop(2, `${option}: ${shown(text)} ${isBare ? 'has no unit' : reading.problem}\n    accepted: ${lengthForms}\n    fix: ${isBare ? `write ${text.trim()}mm, ${text.trim()}cm or "${text.trim()} in"` : reading.fix}`);
}

function dateOption(text: string | undefined): string | undefined {
  const date = profileSchema.shape.date.safeParse(text);
  if (date.success) return date.data;
  throw new Stop(2, `--date: ${shown(text)} is not a day of the calendar\n    accepted: YYYY-MM-DD\n    fix: write it such as 2026-11-20, or leave it out`);
}
