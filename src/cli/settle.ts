import { createHash } from 'node:crypto';
import { chmodSync, realpathSync } from 'node:fs';
import { basename, dirname, extname, join, resolve } from 'node:path';
import { readBuild, type Build } from '../plan/build.ts';
import { calledOf, settledWords, settleSpec, usualSteps, type Settlement, type SettleOptions } from '../settle.ts';
import { cleanText } from '../spec/fields.ts';
import { unitOf } from '../spec/length.ts';
import { problemText, shown } from '../spec/problem.ts';
import { formatLength, millimetresPer, plainNumber } from '../trade/units.ts';
import { claimPlace, includeFrom, readSpecFile, statOf, Stop, writeWhole } from './files.ts';
import { lengthOption } from './options.ts';
import { toJson } from './print.ts';

export interface SettleCommandOptions {
  readonly minimum?: boolean;
  readonly step?: string;
  readonly output?: string;
  readonly inPlace?: boolean;
  readonly json?: boolean;
}

/** Least and most step, mm. Our choice: finer is never set out, coarser is a slip of the unit. */
const stepRange = { least: 0.01, most: 100 } as const;

/** Moves the faulty holes of a spec, writes a new spec beside it, and says what was moved. Returns the exit code. */
export function writeSettled(specPath: string, options: SettleCommandOptions): number {
  if (options.inPlace && options.output !== undefined) throw new Stop(2, '--in-place and -o: the new spec is written to one place\n    accepted: --in-place, -o FILE, or neither\n    fix: leave one of them out');
  const steps = stepsOption(options.step);
  const text = readSpecFile(specPath, true);
  const include = includeFrom(specPath);
  const reading = readBuild(text, include);
  if ('problems' in reading) throw new Stop(2, reading.problems.map((problem) => problemText(problem, specPath)).join('\n'));
  const { build } = reading;
  const settled = settleSpec(text, build, include, { isMinimum: options.minimum === true, steps });
  const path = options.inPlace ? specPath : (options.output ?? settledPath(specPath));
  const isWritten = settled.text !== null;
  if (settled.text !== null) {
    const whole = options.inPlace ? settled.text : markedText(settled.text, specPath);
    write(path, whole, specPath, options.inPlace === true);
  }
  process.stdout.write(`${options.json ? settledJson(build, settled, isWritten ? path : null) : settledLines(build, settled, isWritten ? path : null, options, steps).join('\n')}\n`);
  return settled.isSettled ? 0 : 1;
}

/** Beside the spec: tank.yaml gives tank-settled.yaml. */
export function settledPath(specPath: string): string {
  const end = extname(specPath);
  return join(dirname(specPath), `${basename(specPath, end)}-settled${end}`);
}

/** The step of the option, for distances of its kind; the usual one for the others. */
function stepsOption(text: string | undefined): SettleOptions['steps'] {
  if (text === undefined) return usualSteps;
  const mm = lengthOption('--step', text);
  if (!(mm >= stepRange.least && mm <= stepRange.most)) throw new Stop(2, `--step: ${shown(text)} is too ${mm < stepRange.least ? 'small' : 'large'}\n    accepted: ${plainNumber(stepRange.least, 2)} mm to ${stepRange.most} mm\n    fix: give the step that you set out, such as 1mm or "1/16 in"`);
  return ['in', 'ft', 'ft in'].includes(unitOf(text, undefined) ?? '') ? { ...usualSteps, inches: mm } : { ...usualSteps, metric: mm };
}

function write(path: string, text: string, specPath: string, isInPlace: boolean): void {
  const bytes = new TextEncoder().encode(text);
  if (isInPlace) {
    const target = realpathSync(specPath);
    const mode = statOf(target)?.mode;
    writeWhole(target, bytes, 'write to another place with -o FILE');
    if (mode !== undefined) chmodSync(target, mode & 0o777);
    return;
  }
  const [spec, existing] = [statOf(specPath), statOf(path)];
  if (spec && existing && spec.ino === existing.ino && spec.dev === existing.dev) throw new Stop(2, `${path} is the spec itself\n    accepted: another file, or --in-place\n    fix: choose another place with -o FILE, or write --in-place to change the spec`);
  const target = claimPlace(path, basename(settledPath(specPath)), false, (at) => isUntouched(at, text), 'a file that settle did not make, or that was changed since,');
  if (resolve(dirname(path)) !== resolve(dirname(specPath))) {
    const there = readBuild(text, includeFrom(path));
    if ('problems' in there) throw new Stop(2, `${path}: the spec includes files that are not found from there\n    accepted: the folder of ${specPath}, or one that has what it includes\n    fix: leave -o out, or copy what it includes to ${dirname(path)} first`);
  }
  writeWhole(target, bytes);
}

/** The first line of a file that settle makes: its digest tells whether what stands below was changed since. */
const markForm = /^\uFEFF?# made by panejig settle from .* \(([0-9a-f]{8})\)[^\n]*\n/;

/** The text with that line first, in its own line ends; JSON, which has no comments, without it. */
function markedText(text: string, specPath: string): string {
  const own = text.startsWith('\uFEFF') ? '\uFEFF' : '';
  const body = markForm.test(text) ? text.replace(markForm, '') : text.slice(own.length);
  if (/^\s*\{/.test(body)) return text;
  const end = /\r?\n/.exec(body)?.[0] ?? '\n';
  return `${own}# made by panejig settle from ${cleanText(basename(specPath))} (${digest(body)}); while nothing below is changed, settle may write over this file${end}${body}`;
}

/** Whether settle made the file and nobody has changed it since, or it holds just what is to be written. */
function isUntouched(path: string, next: string): boolean {
  try {
    const text = readSpecFile(path, true);
    const found = markForm.exec(text);
    return text === next || (found !== null && digest(text.slice(found[0].length)) === found[1]);
  } catch {
    return false;
  }
}

const digest = (text: string) => createHash('sha256').update(text).digest('hex').slice(0, 8);

function settledLines(build: Build, settled: Settlement, path: string | null, { minimum }: SettleCommandOptions, steps: SettleOptions['steps']): string[] {
  const { holes, total, before, after, notes, isSettled } = settled;
  const moved = holes.filter(({ outcome }) => outcome === 'moved');
  const ofKind = { metric: build.units === 'in' ? 'mm' : build.units, inches: 'in' } as const;
  const isMixed = new Set(moved.flatMap(({ distances }) => distances.map(({ written }) => /in|"|ft|'/.test(written)))).size > 1;
  return [
    build.title,
    ...holes.map((hole) => settledWords(hole, build.units)),
    ...(holes.length === 0 ? [`Nothing to settle: no hole is ${minimum ? 'refused' : 'refused or tight'} by a rule that moving can cure.`] : []),
    ...(moved.length > 0 ? [`moved: ${moved.length} of ${holes.length}, together by ${formatLength(total, build.units)}`] : []),
    ...(path ? [`${path}: the new spec${isSettled ? '' : '; not all is settled in it'}`] : ['No spec was written.']),
    `verdict: ${path ? `${before} before, ${after} now` : before}`,
    ...notes.map((note) => `note: ${note}`),
    ...(isMixed ? [`note: distances in mm, cm or m are in steps of ${plainNumber(steps.metric / millimetresPer[ofKind.metric], 3)} ${ofKind.metric}, those in inches and feet of ${formatLength(steps.inches, 'in')}`] : []),
    ...(path
      ? [
          'This changes a plan, not a panel: before you drill, see that each new place suits what is behind it and what is joined to it. Left and right are as seen from outside.',
          'Limits are published minimums, not a promise: glass can break at any of them. Follow local codes.',
        ]
      : []),
  ];
}

/** For programs: millimetres, rounded to 0.0001. */
function settledJson(build: Build, { holes, total, before, after, notes, isSettled }: Settlement, path: string | null): string {
  return toJson({
    title: build.title,
    isSettled,
    verdict: { before, after },
    written: path,
    total,
    holes: holes.map((hole) => {
      const { name, of, outcome, before: was, after: is, level, moved, distances, finerStep, why } = hole;
      return { hole: name, of, called: calledOf(hole), outcome, verdict: { before: was, after: is }, level, moved, distances: Object.fromEntries(distances.map(({ key, mm }) => [key, mm])), written: Object.fromEntries(distances.map(({ key, written }) => [key, written])), finerStep, why };
    }),
    notes,
  });
}
