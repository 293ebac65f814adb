import { makeProfile, profileSchema, profileWords, usualError, type PrinterProfile } from '../plan/printer.ts';
import { rulerPageLengths, rulerTrouble } from '../render/ruler.ts';
import { shown } from '../spec/problem.ts';
import { formatLength } from '../trade/units.ts';
import { Stop } from './files.ts';
import { lengthOption, marginOption, paperOption } from './options.ts';
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

function dateOption(text: string | undefined): string | undefined {
  const date = profileSchema.shape.date.safeParse(text);
  if (date.success) return date.data;
  throw new Stop(2, `--date: ${shown(text)} is not a day of the calendar\n    accepted: YYYY-MM-DD\n    fix: write it such as 2026-11-20, or leave it out`);
}
