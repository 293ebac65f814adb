/** Options of several commands. */
import { lengthForms, parseLength } from '../spec/length.ts';
import { shown } from '../spec/problem.ts';
import { paperForms, parsePaper } from '../spec/schema.ts';
import { papers, usualMargin, type Paper } from '../trade/papers.ts';
import { units, type Unit } from '../trade/units.ts';
import { Stop } from './files.ts';

/**
 * The paper of an option; A4 where it is left out.
 * @param bare the unit of a size's bare numbers, where there is a spec that gives one
 */
export function paperOption(text: string | undefined, bare?: Unit): Paper {
  if (text === undefined) return papers[0] as Paper;
  const paper = parsePaper(text, bare);
  if ('name' in paper) return paper;
  const withUnit = bare ? [] : units.filter((unit) => 'name' in parsePaper(text, unit)).map((unit) => `"${text} ${unit}"`);
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

/**
 * A length of an option, mm; it must carry its own unit.
 * @param bare the unit of numbers that carry none, where the user has just been asked for it
 */
export function lengthOption(option: string, text: string, bare?: Unit): number {
  const reading = parseLength(text, bare);
  if ('mm' in reading) return reading.mm;
  const isBare = bare === undefined && 'mm' in parseLength(text, 'in');
  throw new Stop(2, `${option}: ${shown(text)} ${isBare ? 'has no unit' : reading.problem}\n    accepted: ${lengthForms}\n    fix: ${isBare ? `write ${text.trim()}mm, ${text.trim()}cm or "${text.trim()} in"` : reading.fix}`);
}
