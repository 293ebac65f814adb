import { resolve } from 'node:path';
import { mendedByPlace, mostShown } from '../areas.ts';
import { jigDrawing, jigPdf, makeJig, type JigOfPanel } from '../jig.ts';
import type { BuildOfText } from '../plan/build.ts';
import type { Plan } from '../plan/plan.ts';
import type { PrinterProfile } from '../plan/printer.ts';
import { divisionWords, type LayoutTrouble } from '../render/layout.ts';
import type { Patch } from '../render/patches.ts';
import { flowPaper } from '../render/flow.ts';
import { rulerLengths } from '../render/sheet.ts';
import { checkBuild, type Checked } from '../report.ts';
import { buildWords, pagesBefore, setPdf, waterPdf } from '../set.ts';
import { problemText } from '../spec/problem.ts';
import { paperForms } from '../spec/schema.ts';
import { formatLength } from '../trade/units.ts';
import { checkWater, waterVerdictWords } from '../water.ts';
import { claimOutput, defaultOutput, isOurs, partPaths, Stop, writeWhole } from './files.ts';
import { loadTypesetter } from './fonts.ts';
import { paperOption } from './options.ts';
import { claimPictures, drawPictures } from './pictures.ts';
import { loadProfile } from './profiles.ts';
import { buildTable, verdictOfAll } from './print.ts';

export interface TemplateOptions {
  readonly output?: string;
  readonly paper?: string;
  readonly draft?: boolean;
  readonly each?: boolean;
  readonly patches?: boolean;
  readonly board?: boolean;
  readonly mask?: boolean;
  readonly areas?: boolean;
  readonly farFace?: boolean;
  readonly printer?: string;
  readonly svg?: boolean;
  readonly png?: boolean;
}

/** Writes the jigs of a build and says where they are and how to print them. Returns the exit code. */
export async function writeTemplate({ build: read, source }: BuildOfText, specPath: string, options: TemplateOptions): Promise<number> {
  const kept = options.printer === undefined ? undefined : await loadProfile(options.printer);
  const build = { ...read, panels: read.panels.map((plan) => withOptions(plan, options, kept?.profile ?? null)) };
  const checked = checkBuild(build);
  const water = checkWater(build);
  const isDraft = options.draft === true;
  const refused = checked.filter(({ report }) => report.verdict === 'refused');
  const drawn = isDraft ? checked : checked.filter((one) => !refused.includes(one));
  const isDefault = options.output === undefined;
  const path = options.output ?? defaultOutput(specPath);
  const isEach = options.each === true && checked.length > 1;
  const paths = checked.length > 1 ? partPaths(path, checked.map(({ plan }) => plan.part)) : [path];
  const pathOf = (one: Checked) => paths[checked.indexOf(one)] as string;
  if (drawn.length === 0) {
    const notes = outdatedNotes([path, ...paths]);
    const isShown = refused.some(({ plan, report }) => plan.holes.length <= mostShown && mendedByPlace(report).size > 0);
    process.stdout.write(`${[buildTable(checked, water), '', `No jig was written: a refused hole yields none. Mend the spec, or ask for a draft with --draft${isShown ? ': its first page shows where holes may be' : ''}.`, ...notes].join('\n')}\n`);
    return 1;
  }
  const waterPath = isEach && water ? (partPaths(path, [...checked.map(({ plan }) => plan.part), 'flow']).at(-1) as string) : null;
  const files = [...(isEach ? drawn.map((one) => pathOf(one)) : [path]), ...(waterPath === null ? [] : [waterPath])].map((one) => ({ path: one, target: claimOutput(one, specPath, isDefault) }));
  const claimed = drawn.map((one) => claimPictures(options, { path: pathOf(one), target: resolve(pathOf(one)) }, specPath, isDefault));
  const setter = await loadTypesetter(buildWords(build));
  const parts = drawn.map(({ plan, report }): JigOfPanel => {
    const jig = makeJig(plan, report, setter, { isDraft, isPatches: options.patches === true, isBoard: options.board === true, isMask: options.mask === true, isAreas: options.areas === true });
    if ('problem' in jig) throw layoutStop(checked.length > 1 ? { ...jig, problem: `${plan.part}: ${jig.problem}` } : jig, options, source, specPath);
    return { plan, report, jig };
  });
  const before = isEach ? [] : pagesBefore(build, checked, water, parts, setter, isDraft);
  const ofWater = water && waterPath !== null ? [await waterPdf(build, checked, water, setter, flowPaper(build, (parts[0] as JigOfPanel).jig.layout), isDraft)] : [];
  const pdfs = isEach ? [...(await inTurn(parts, ({ plan, report, jig }) => jigPdf(plan, report, jig, setter))), ...ofWater] : [await setPdf(build, checked, before, parts, setter)];
  const pictures = (await inTurn(parts, async ({ plan, report }, index) => {
    const ofPart = claimed[index] ?? [];
    return ofPart.length > 0 ? drawPictures(ofPart, jigDrawing(plan, report, setter, { isDraft, isAreas: options.areas === true }), specPath) : [];
  })).flat();
  for (const [index, { target }] of files.entries()) writeWhole(target, pdfs[index] as Uint8Array);
  for (const picture of pictures) writeWhole(picture.target, picture.bytes);

  const verdict = verdictOfAll(checked, water);
  const lines = [
    ...(isEach ? [] : [`${path}: ${pagesWords(parts, before.length)}${isDraft ? ', DRAFT' : ''}`]),
    ...parts.flatMap((part, index) => partLines(part, options, isEach ? (files[index] as { path: string }).path : '', isDraft && isEach, checked.length > 1)),
    ...claimed.flat().map(({ path: picture, kind }) => `${picture}: the whole jig ${kind === 'svg' ? 'at true size, for a machine that cuts or plots; measure its ruler before you cut' : 'as a preview'}`),
    ...(isDraft ? [] : refused.map(({ plan }) => `${plan.part}: refused, no jig: see panejig check`)),
    ...(waterPath === null ? [] : [`${waterPath}: the flow of water`]),
    ...(water ? [waterVerdictWords(water)] : []),
    `verdict: ${verdict}${verdict === 'clear' ? '' : ': see panejig check, or the front pages'}`,
    ...notesOf(parts, checked.length > 1).map((note) => `note: ${note}`),
    ...(isDraft ? [] : outdatedNotes(refused.map(pathOf))),
    ...(kept ? [`note: the printer profile is ${kept.path}${kept.hides === undefined ? '' : `; in this folder it hides ${kept.hides}`}`] : []),
    ...(setter.unprintable.size > 0 ? [`note: no typeface at hand has ${[...setter.unprintable].slice(0, 8).join(' ')}; a box stands in its place`] : []),
    `Print at 100 % / actual size. Before drilling, measure both rulers on every sheet: ${rulerWords(parts)}.`,
  ];
  process.stdout.write(`${lines.join('\n')}\n`);
  return verdict === 'refused' ? 1 : 0;
}

/** What is said where a refused panel's jig of an earlier run lies: nobody may drill by it. */
function outdatedNotes(paths: readonly string[]): string[] {
  return [...new Set(paths)].filter(isOurs).map((path) => `note: ${path} is of an earlier run: do not drill by it.`);
}

/** One after the other, in order. */
async function inTurn<T, R>(all: readonly T[], make: (one: T, index: number) => Promise<R>): Promise<R[]> {
  const made: R[] = [];
  for (const [index, one] of all.entries()) made.push(await make(one, index));
  return made;
}

function layoutStop({ key: given, problem, fix }: LayoutTrouble, options: TemplateOptions, source: BuildOfText['source'], specPath: string): Stop {
  const key = given ?? 'paper';
  const accepted = key === 'paper' ? paperForms : 'room for the drawing beside margins, rulers and overlaps';
  const isOption = key === 'paper' && options.paper !== undefined;
  return new Stop(2, isOption ? `--paper: ${problem}\n    accepted: ${accepted}\n    fix: ${fix}` : problemText(source.problem(['sheets', key], problem, accepted, fix), specPath));
}

const count = (number: number, what: string) => `${number} ${what}${number === 1 ? '' : 's'}`;

/**
 * "3 front pages and 4 sheets (A4 portrait)", over all jigs.
 * @param before pages of contents
 */
function pagesWords(parts: readonly JigOfPanel[], before: number): string {
  const sum = (of: (part: JigOfPanel) => number) => parts.reduce((total, part) => total + of(part), 0);
  const papers = [...new Set(parts.map(({ jig: { layout: { format } } }) => `${format.paper.name} ${format.orientation}`))];
  return `${parts.length > 1 ? `${count(parts.length, 'jig')}, ` : ''}${count(sum(({ jig }) => jig.front.length) + before, 'front page')} and ${count(sum(({ jig }) => jig.layout.cells.length), 'sheet')} (${papers.join(', ')})`;
}

/** What is said of one jig: its file where it has one of its own, and how its sheets divide. */
function partLines(part: JigOfPanel, options: TemplateOptions, path: string, isDraft: boolean, isNamed: boolean): string[] {
  const { plan, report, jig } = part;
  const sheets = jig.patches ? `patches: ${patchedWords(jig.patches)}` : `sheets: ${divisionWords(jig.layout)}`;
  return [
    ...(path ? [`${path}: ${pagesWords([part], 0)}${isDraft ? ', DRAFT' : ''}`] : []),
    isNamed ? `${plan.part}: ${report.verdict}; ${sheets}` : sheets,
    ...(options.board ? [jig.boards.length > 0 ? `guide boards: ${count(jig.boards.length, 'board')}, ${count(jig.board.length, 'page')} after the sheets` : 'guide boards: none'] : []),
    ...(options.mask ? [jig.mask.length > 0 ? `mask: two discs a hole, ${count(jig.mask.length, 'page')} at the end` : 'mask: none'] : []),
  ];
}

/** What the reader must know, each once; with the panel's name where there are several. */
function notesOf(parts: readonly JigOfPanel[], isNamed: boolean): string[] {
  return [...new Set(parts.flatMap(({ plan, report, jig }) => [...report.notes, ...jig.notes.map((note) => (isNamed ? `${plan.part}: ${note}` : note))]))];
}

/** Lengths of the rulers, for each way the sheets lie, those of boards and masks too. */
function rulerWords(parts: readonly JigOfPanel[]): string {
  const lengths = parts.flatMap(({ jig: { formats } }) => formats).map((format) => ({ ...rulerLengths(format), orientation: format.orientation }));
  const ways = lengths.filter((one, index) => lengths.findIndex(({ across, down }) => across === one.across && down === one.down) === index);
  return ways.map(({ across, down, orientation }) => `across ${formatLength(across)}, down ${formatLength(down)}${ways.length > 1 ? ` (${orientation})` : ''}`).join('; ');
}

/** The plan with what the command line says of the sheets. */
function withOptions(plan: Plan, { paper, farFace }: TemplateOptions, printer: PrinterProfile | null): Plan {
  const sheets = { ...plan.sheets, ...(paper === undefined ? {} : { paper: paperOption(paper, plan.units) }), ...(farFace ? { isOnFarFace: true } : {}), printer };
  return { ...plan, sheets };
}

function patchedWords(patches: readonly Patch[]): string {
  const byLines = patches.filter(({ measured }) => measured.length === 0).length;
  return `${byLines} laid to lines on ${byLines === 1 ? 'it' : 'them'} alone, ${patches.length - byLines} by distances to set out with a tape measure`;
}
