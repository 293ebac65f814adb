import { lstatSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { createInterface } from 'node:readline/promises';
import { bounds, cleanText } from '../spec/fields.ts';
import { meant, shown } from '../spec/problem.ts';
import { starterSpec, type Starter, type StarterAnswers, type StarterTrouble } from '../spec/starter.ts';
import { typicalFitting, typicalFittings } from '../trade/fittings.ts';
import { materials, notDrilled } from '../trade/limits.ts';
import { pipeSizeOf } from '../trade/pipe.ts';
import { formatLength, units, type Unit } from '../trade/units.ts';
import { Stop, statOf, writeNew } from './files.ts';
import { lengthOption } from './options.ts';

export interface NewOptions {
  readonly title?: string;
  readonly units?: string;
  readonly kind?: string;
  readonly material?: string;
  readonly length?: string;
  readonly width?: string;
  readonly height?: string;
  readonly thickness?: string;
  readonly fitting?: string;
  readonly holes?: string;
  readonly box?: boolean;
  readonly yes?: boolean;
}

/** Where questions are asked: the terminal, or a test in its place. */
export interface Terminal {
  /** The answer to a question; undefined when no more answers come. */
  question(text: string): Promise<string | undefined>;
  say(text: string): void;
}

/** What has been answered so far: the keys of {@link StarterAnswers}. */
type Answers = Partial<Record<Key, string | number | boolean>>;
type Key = 'title' | 'units' | 'kind' | 'material' | 'length' | 'width' | 'height' | 'thickness' | 'fitting' | 'holes' | 'box';

interface Question {
  readonly key: Key;
  /** The question; what may be answered stands in it. */
  readonly ask: (so: Answers) => string;
  /** What is taken where nothing is answered, as it is read. */
  readonly usual: (so: Answers) => string;
  /** Reads an answer, or stops with what was found, what is accepted and how to mend it. @param name how the answer is called in messages */
  readonly read: (name: string, text: string, bare: Unit | undefined) => string | number | boolean;
  /** Whether it is asked at all. */
  readonly when?: (so: Answers) => boolean;
}

const isTank = ({ kind }: Answers) => kind === 'tank';
const inInches = ({ units: unit }: Answers) => unit === 'in';
const usualLength = (metric: string, inches: string) => (so: Answers) => (inInches(so) ? inches : metric);

/** The questions in the order they are asked. */
const questions: readonly Question[] = [
  { key: 'title', ask: () => 'Title, printed on every sheet', usual: () => 'My tank', read: readTitle },
  { key: 'units', ask: () => `Units of numbers that carry none (${units.join(', ')})`, usual: () => 'mm', read: (name, text) => oneOf(name, text, units) },
  { key: 'kind', ask: () => 'One panel, or the panels of a tank (panel, tank)', usual: () => 'panel', read: (name, text) => oneOf(name, text, ['panel', 'tank']) },
  { key: 'material', ask: () => `Material (${materials.join(', ')})`, usual: () => 'annealed glass', read: readMaterial },
  { key: 'length', ask: () => 'Outside length of the tank, left to right', usual: usualLength('900 mm', '36 in'), read: readSize, when: isTank },
  { key: 'width', ask: (so) => (isTank(so) ? 'Outside width of the tank, front to back' : 'Width of the panel'), usual: (so) => usualLength(isTank(so) ? '450 mm' : '600 mm', isTank(so) ? '18 in' : '24 in')(so), read: readSize },
  { key: 'height', ask: (so) => (isTank(so) ? 'Outside height of the tank' : 'Height of the panel'), usual: (so) => usualLength(isTank(so) ? '450 mm' : '400 mm', isTank(so) ? '18 in' : '16 in')(so), read: readSize },
  { key: 'thickness', ask: () => 'Thickness, measured at an edge', usual: usualLength('10 mm', '3/8 in'), read: readThickness },
  { key: 'box', ask: () => 'An overflow box on the back panel, drilled with it (yes, no)', usual: () => 'no', read: (name, text) => oneOf(name, text, ['yes', 'no']) === 'yes', when: isTank },
  { key: 'fitting', ask: () => `What goes through the holes (${[...typicalFittings.keys()].join(', ')})`, usual: () => 'bulkhead 1 in', read: readFitting },
  { key: 'holes', ask: () => 'How many holes', usual: () => '1', read: readCount },
];

/** Which answers to ask for again where no clear spec can be made from them. */
const again: Readonly<Record<StarterTrouble['about'], readonly Key[]>> = {
  material: ['material'],
  thickness: ['thickness'],
  fitting: ['fitting', 'thickness'],
  size: ['length', 'width', 'height', 'fitting'],
};

/** Writes a spec to start from, and says what to do with it. Returns the exit code. */
export async function writeNewSpec(path: string, options: NewOptions): Promise<number> {
  claimNew(path);
  const given = readOptions(options);
  const isAsking = process.stdin.isTTY === true && options.yes !== true;
  const { starter, answers } = isAsking ? await onTerminal((terminal) => askForStarter(given, terminal)) : starterWithout(given);
  writeNew(path, starter.text);
  const cut = (answers['holes'] as number) - starter.holes;
  const lines = [
    `${path}: a spec to start from, with ${starter.holes === 1 ? '1 hole' : `${starter.holes} holes`}`,
    ...(cut > 0 ? [`note: ${starter.holes} of the ${String(answers['holes'])} holes fit in ${answers['box'] === true ? 'a box on this panel' : 'rows'} with good practice all round; the others are left out`] : []),
    `Change what differs from what you measure, then: panejig check ${quoted(path)}`,
    `When all is clear: panejig template ${quoted(path)}`,
  ];
  process.stdout.write(`${lines.join('\n')}\n`);
  return 0;
}

/** Refuses a place where something is, or that cannot be written, before anything is asked. */
function claimNew(path: string): void {
  const folder = statOf(dirname(resolve(path)));
  if (!folder?.isDirectory()) throw new Stop(3, `cannot write ${path}: the folder ${dirname(path)} is not there\n    fix: make the folder, or name another file`);
  if (statOf(path)?.isDirectory()) throw new Stop(3, `cannot write ${path}: it is a folder\n    fix: name a file in it, such as ${path.replace(/\/*$/, '')}/spec.yaml`);
  if (lstatSync(path, { throwIfNoEntry: false })) throw new Stop(3, `cannot write ${path}: it is there already, and panejig new writes over nothing\n    fix: name another file, such as panejig new ${path.replace(/(\.[^./]*)?$/, '-2$1')}`);
}

/** The answers that the command line gives. */
function readOptions(options: NewOptions): Answers {
  const texts = { ...options, box: options.box === undefined ? undefined : options.box ? 'yes' : 'no' };
  const given: Answers = {};
  for (const { key, read } of questions) {
    const text = texts[key];
    // A number of the command line stands alone: it must carry its unit.
    if (text !== undefined) given[key] = read(`--${key}`, text, undefined);
  }
  const ofTank = (['length', 'box'] as const).find((key) => given[key] !== undefined && given[key] !== false);
  if (ofTank && given.kind === 'panel') throw new Stop(2, `--${ofTank}: a panel has no ${ofTank === 'box' ? 'overflow box here' : 'length'}\n    accepted: --kind tank with --length, --width, --height and --box; --kind panel with --width and --height\n    fix: ${ofTank === 'box' ? 'write --kind tank, or leave --box out' : 'write --width for it, or --kind tank'}`);
  return ofTank ? { ...given, kind: 'tank' } : given;
}

/** The starter of what is given, with usual values for all that is not. */
function starterWithout(given: Answers): { starter: Starter; answers: Answers } {
  const answers = { ...given };
  for (const { key, usual, read, when } of questions) if (when?.(answers) !== false) answers[key] ??= read(key, usual(answers), undefined);
  const made = starterSpec(answers as unknown as StarterAnswers);
  if ('text' in made) return { starter: made, answers };
  throw new Stop(2, `--${made.about === 'size' ? 'width, --height' : made.about}: ${troubleText(made)}`);
}

/**
 * Asks for all that is not given until a clear spec can be made. A bad answer is told and asked for again.
 * @throws Stop where answers end early, or what is given by itself allows no clear spec
 */
export async function askForStarter(given: Answers, terminal: Terminal): Promise<{ starter: Starter; answers: Answers }> {
  terminal.say('A spec to start from. Return alone takes what stands in brackets.');
  let answers: Answers = { ...given };
  for (;;) {
    for (const question of questions) {
      if (answers[question.key] === undefined && question.when?.(answers) !== false) answers[question.key] = await askOne(question, answers, terminal);
    }
    const made = starterSpec(answers as unknown as StarterAnswers);
    if ('text' in made) return { starter: made, answers };
    const open = again[made.about].filter((key) => answers[key] !== undefined && given[key] === undefined);
    if (open.length === 0) throw new Stop(2, troubleText(made));
    terminal.say(troubleText(made));
    answers = Object.fromEntries(Object.entries(answers).filter(([key]) => !open.includes(key as Key)));
  }
}

async function askOne({ key, ask, usual, read }: Question, so: Answers, terminal: Terminal): Promise<string | number | boolean> {
  for (;;) {
    const text = await terminal.question(`${ask(so)} [${usual(so)}]: `);
    if (text === undefined) throw new Stop(2, '\nthe questions were left before their end: nothing was written\n    fix: run panejig new again, or give all by options with --yes');
    try {
      return read(key, text.trim() === '' ? usual(so) : text, so.units as Unit | undefined);
    } catch (error) {
      if (!(error instanceof Stop)) throw error;
      terminal.say(error.message);
    }
  }
}

/** Hands the terminal to what asks. Questions go to stderr: stdout keeps what comes of it. */
async function onTerminal<T>(ask: (terminal: Terminal) => Promise<T>): Promise<T> {
  const lines = createInterface({ input: process.stdin, output: process.stderr });
  const closed = new Promise<undefined>((done) => lines.once('close', () => done(undefined)));
  try {
    // Ctrl-C and Ctrl-D reject the question, or just close the lines.
    return await ask({ question: (text) => Promise.race([lines.question(text).catch(() => undefined), closed]), say: (text) => process.stderr.write(`${text}\n`) });
  } finally {
    lines.close();
  }
}

function troubleText({ found, accepted, fix }: StarterTrouble): string {
  return `${found}\n    accepted: ${accepted}\n    fix: ${fix}`;
}

function refuse(name: string, text: string, found: string, accepted: string, fix: string): never {
  throw new Stop(2, `${name}: ${shown(text)} ${found}\n    accepted: ${accepted}\n    fix: ${fix}`);
}

/** One of the accepted words, or the beginning of just one. */
function oneOf(name: string, text: string, accepted: readonly string[]): string {
  const plain = text.trim().toLowerCase();
  const begun = plain === '' ? [] : accepted.filter((one) => one.startsWith(plain));
  const found = accepted.find((one) => one === plain) ?? (begun.length === 1 ? begun[0] : undefined);
  const guess = meant(plain, accepted);
  return found ?? refuse(name, text, 'is none of them', accepted.join(', '), guess ? `write ${guess}` : 'write one of the accepted words');
}

function readTitle(name: string, text: string): string {
  const title = cleanText(text);
  if (title === '') refuse(name, text, 'is an empty title', `a title of at most ${bounds.titleLength} characters`, 'name the work; it is printed on every sheet');
  if ([...title].length > bounds.titleLength) refuse(name, text, `has ${[...title].length} characters`, `a title of at most ${bounds.titleLength} characters`, 'shorten it; it is printed on every sheet');
  return title;
}

function readMaterial(name: string, text: string): string {
  const material = oneOf(name, text, materials) as (typeof materials)[number];
  const refusal = notDrilled[material];
  if (refusal) refuse(name, text, `is always refused: ${refusal.reason}`, materials.filter((one) => !notDrilled[one]).join(', '), refusal.fix);
  return material;
}

function readSize(name: string, text: string, bare: Unit | undefined): number {
  return lengthWithin(name, text, bare, 10, bounds.panelSide);
}

function readThickness(name: string, text: string, bare: Unit | undefined): number {
  return lengthWithin(name, text, bare, 0.5, 100);
}

/** A length in its range, mm. The least are our choice: under them nothing can be drilled, and a unit is probably wrong. */
function lengthWithin(name: string, text: string, bare: Unit | undefined, least: number, most: number): number {
  const mm = lengthOption(name, text, bare);
  if (mm < least || mm > most) refuse(name, text, mm < least ? 'is too small' : 'is too large', `${formatLength(least, bare)} to ${formatLength(most, bare)}`, 'check the value and its unit');
  return mm;
}

function readFitting(name: string, text: string): string {
  const size = pipeSizeOf(text);
  const fitting = typicalFitting(size ? `bulkhead ${size} in` : text);
  const known = [...typicalFittings.keys()];
  const guess = meant(text, known);
  return fitting?.name ?? refuse(name, text, 'is no typical fitting that we know', known.join(', '), guess ? `write ${guess}` : 'take the one with the nearest hole, and write your own under fittings afterwards');
}

function readCount(name: string, text: string): number {
  const count = /^\s*\d+\s*$/.test(text) ? Number(text) : NaN;
  if (!(count >= 1 && count <= bounds.few)) refuse(name, text, 'is no number of holes', `1 to ${bounds.few}`, 'write a whole number, such as 2');
  return count;
}

/** A path as it may be pasted into a shell. */
function quoted(path: string): string {
  return /^[\w./~-]+$/.test(path) ? path : `'${path.replace(/'/g, `'\\''`)}'`;
}
