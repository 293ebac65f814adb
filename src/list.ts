import { distanceBetween, edgesOf } from './geometry/shape.ts';
import type { JigOfPanel } from './jig.ts';
import { wallPart } from './plan/box.ts';
import type { Build, CutPanel } from './plan/build.ts';
import type { Plan, PlannedHole, Point } from './plan/plan.ts';
import { seamsOf } from './render/layout.ts';
import { laidOutline } from './render/lines.ts';
import type { Page } from './render/sheet.ts';
import type { Checked } from './report.ts';
import { cleanText } from './spec/fields.ts';
import { bitKinds, stockWords } from './trade/bits.ts';
import { papers, type Paper } from './trade/papers.ts';
import { formatInches, plainNumber, type Unit } from './trade/units.ts';
import { firstNames } from './spec/problem.ts';

/** One thing that a build needs. */
export interface ListRow {
  readonly group: 'panels' | 'boxes' | 'fittings' | 'gaskets' | 'pipe' | 'bits' | 'paper' | 'tape and putty';
  readonly item: string;
  readonly count: number;
  readonly unit: 'piece' | 'hole' | 'sheet' | 'm';
  readonly detail: string;
}

/** All that a build needs, counted over the quantities of its panels and boxes. */
export interface List {
  readonly rows: readonly ListRow[];
  /** What the reader must know besides. */
  readonly notes: readonly string[];
}

/**
 * Counts what a build needs. Each piece is drilled through a jig of its own, as drilling uses the paper up.
 * @param checked all panels to drill, those that are refused too
 * @param jigs the jigs that are printed
 * @param contents how many pages stand before all jigs; one where the build has several panels, if left out
 * @param unit the unit in which sizes are told; the build's own if left out
 */
export function buildList(build: Build, checked: readonly Checked[], jigs: readonly JigOfPanel[], contents = checked.length > 1 ? 1 : 0, unit: Unit = build.units): List {
  const plans = checked.map(({ plan }) => plan);
  const fitted = plans.filter(({ isBoxWall }) => !isBoxWall).flatMap(({ holes, quantity }) => holes.map((hole): Counted<PlannedHole> => ({ of: hole, count: quantity })));
  const rows = [
    ...panelRows(build, unit),
    ...boxRows(build, unit),
    ...fittingRows(fitted, unit),
    ...gasketRows(fitted, unit),
    ...pipeRows(fitted),
    ...bitRows(checked, unit),
    ...paperRows(jigs, contents, unit),
    ...tapeRows(plans, jigs),
  ];
  return { rows, notes: notesOn(checked, jigs, fitted) };
}

/** The list as a table, titles first. */
export function listRows({ rows }: List): string[][] {
  return [['group', 'item', 'count', 'unit', 'detail'], ...rows.map(({ group, item, count, unit, detail }) => [group, item, String(count), unit, detail])];
}

/** A thing, and how many there are of it. */
interface Counted<T> {
  readonly of: T;
  readonly count: number;
}

/** Things that are told alike, in the order of their first. */
interface Tally<T> {
  readonly all: readonly Counted<T>[];
  readonly first: T;
  readonly count: number;
}

function tally<T>(things: readonly Counted<T>[], keyOf: (thing: T) => string): Tally<T>[] {
  const groups = new Map<string, Counted<T>[]>();
  for (const thing of things) {
    const key = keyOf(thing.of);
    const group = groups.get(key);
    if (group) group.push(thing);
    else groups.set(key, [thing]);
  }
  return [...groups.values()].map((all) => ({ all, first: (all[0] as Counted<T>).of, count: sum(all) }));
}

const sum = (things: readonly { readonly count: number }[]) => things.reduce((total, { count }) => total + count, 0);

/** A size to buy or to cut by (mm): to 0.01 mm, or as {@link formatInches} does. */
function sizeWords(mm: number, unit: Unit): string {
  return unit === 'in' ? formatInches(mm) : unit === 'cm' ? `${plainNumber(mm / 10, 3)} cm` : `${plainNumber(mm, 2)} mm`;
}

const joined = (...parts: readonly (string | undefined)[]) => parts.filter(Boolean).join('; ');

/** Panels by themselves, those of the tanks, and the back walls of the boxes. */
function panelRows({ loose, cut, boxes }: Build, unit: Unit): ListRow[] {
  const backs = boxes.map(({ name, width, height, back, material, quantity }) => ({ name: wallPart(name), width, height, thickness: back, material, quantity }));
  const all: readonly (CutPanel & { readonly isShaped?: boolean })[] = [...loose, ...cut, ...backs];
  return all.map(({ name, width, height, thickness, material, quantity, isShaped }) => ({
    group: 'panels',
    item: name,
    count: quantity,
    unit: 'piece',
    detail: joined(`${sizeWords(width, unit)} x ${sizeWords(height, unit)} ${material}, ${sizeWords(thickness, unit)} thick`, isShaped ? 'cut to its outline within this size' : ''),
  }));
}

function boxRows({ boxes }: Build, unit: Unit): ListRow[] {
  return boxes.map(({ name, width, height, depth, wall, material, quantity }) => ({
    group: 'boxes',
    item: name,
    count: quantity,
    unit: 'piece',
    detail: joined(`outside ${[width, height, ...(depth === null ? [] : [depth])].map((mm) => sizeWords(mm, unit)).join(' x ')} ${material}, walls ${sizeWords(wall, unit)}`, depth === null ? 'depth not given' : '', 'back wall: see panels'),
  }));
}

/** Most names of holes that are told one by one. */
const mostNames = 4;

/** The name of a hole's fitting; one that has none is called by its holes. */
function fittingName({ first, all }: Tally<PlannedHole>): string {
  if (first.fitting !== 'own fitting') return cleanText(first.fitting ?? '');
  const names = [...new Set(all.map(({ of }) => of.name))];
  return `own fitting of ${firstNames(names, mostNames)}`;
}

const byFitting = (holes: readonly Counted<PlannedHole>[]) =>
  tally(holes.filter(({ of }) => of.fitting !== undefined), ({ fitting, isTypical, size }) => JSON.stringify([fitting, isTypical, size]));

function fittingRows(holes: readonly Counted<PlannedHole>[], unit: Unit): ListRow[] {
  return byFitting(holes).map((one) => {
    const { hole, thread, pipe } = one.first.size ?? {};
    return {
      group: 'fittings',
      item: fittingName(one),
      count: one.count,
      unit: 'piece',
      detail: joined(
        hole && (hole.min === hole.max ? `for a hole of ${sizeWords(hole.min, unit)}` : `for a hole of ${sizeWords(hole.min, unit)} to ${sizeWords(hole.max, unit)}`),
        thread && `thread ${cleanText(thread)}`,
        pipe && `pipe ${pipe} in`,
        one.first.isTypical ? 'typical: measure' : '',
      ),
    };
  });
}

/**
 * Gaskets of a fitting: one under its flange, and where a box is drilled with the panel one more between the two.
 * Common practice, no source.
 */
export function gasketsOf({ box }: Pick<PlannedHole, 'box'>): number {
  return typeof box === 'string' ? 2 : 1;
}

function gasketRows(holes: readonly Counted<PlannedHole>[], unit: Unit): ListRow[] {
  return byFitting(holes).map((one) => {
    const { gasket } = one.first.size ?? {};
    const between = sum(one.all.map(({ of, count }) => ({ count: count * (gasketsOf(of) - 1) })));
    const { inside = 0, outside = 0, thickness } = gasket ?? {};
    return {
      group: 'gaskets',
      item: `gasket of ${fittingName(one)}`,
      count: one.count + between,
      unit: 'piece',
      detail: joined(
        gasket ? `inside ${sizeWords(inside, unit)}, outside ${sizeWords(outside, unit)}${thickness === undefined ? '' : `, ${sizeWords(thickness, unit)} thick`}` : 'size not given',
        between > 0 ? `${one.count} under the flange, ${between} between box and panel` : 'under the flange',
        one.first.isTypical ? 'typical: measure' : '',
      ),
    };
  });
}

/** Elbows, and ends of pipe, that the spec joins to fittings, by the size of pipe. */
function pipeRows(holes: readonly Counted<PlannedHole>[]): ListRow[] {
  const ends = holes.flatMap(({ of: { joined: sides, size }, count }) => [sides.outside, sides.inside].flatMap((what) => (what === 'nothing' ? [] : [{ of: { what, pipe: size?.pipe }, count }])));
  return tally(ends, ({ what, pipe }) => `${what} ${pipe}`).map(({ first: { what, pipe }, count }) => ({
    group: 'pipe',
    item: `${what === 'elbow' ? 'elbow' : 'pipe end'}, ${pipe === undefined ? 'size not given' : `${pipe} in`}`,
    count,
    unit: 'piece',
    detail: joined(what === 'elbow' ? '90 degrees, each on a short piece of pipe' : 'in a fitting', pipe === undefined ? 'write pipe under the fitting' : ''),
  }));
}

/** Bits with the holes that each drills, box walls too, by kind and size. */
function bitRows(checked: readonly Checked[], unit: Unit): ListRow[] {
  const holes = checked.flatMap(({ plan: { holes: all, panel: { material, thickness }, quantity }, report: { verdict } }) =>
    all.map(({ bit }) => ({ of: { bit, through: `${sizeWords(thickness, unit)} ${material}${verdict === 'refused' ? ', which is refused' : ''}` }, count: quantity })),
  );
  const name = ({ bit: { kind, diameter } }: (typeof holes)[number]['of']) => `${kind}, ${sizeWords(diameter, unit)}`;
  return tally(holes, (of) => `${name(of)} ${of.bit.isAtHand}`)
    .sort(({ first: { bit: a } }, { first: { bit: b } }) => bitKinds.indexOf(a.kind) - bitKinds.indexOf(b.kind) || a.diameter - b.diameter)
    .map(({ first, count, all }) => ({
      group: 'bits',
      item: name(first),
      count,
      unit: 'hole',
      detail: joined(stockWords(first.bit.isAtHand), ...tally(all, ({ through }) => through).map((one) => `${one.count} through ${one.first.through}`)),
    }));
}

/** Sheets, as often as there are pieces to drill, and once all other pages: masks hold the discs of all pieces; by paper. */
function paperRows(jigs: readonly JigOfPanel[], contents: number, unit: Unit): ListRow[] {
  const pages = jigs.flatMap(({ plan, jig: { layout: { format: { paper: own } }, front, sheets, board, mask } }): Counted<{ paper: Paper; purpose: string }>[] => {
    const once = (of: readonly Page[], purpose: keyof typeof onceWords) => of.map((page) => ({ of: { paper: paperOf(page, own), purpose }, count: 1 }));
    return [{ of: { paper: own, purpose: 'jig' }, count: sheets.length * plan.quantity }, ...once(front, 'front'), ...once(board, 'board'), ...once(mask, 'mask')];
  });
  const front = pages.find(({ of }) => of.purpose === 'front');
  const all = front && contents > 0 ? [...pages, { ...front, count: contents }] : pages;
  return tally(all, ({ paper }) => paper.name).map(({ first: { paper }, count, all: ofPaper }) => {
    const countOf = (purpose: string) => sum(ofPaper.filter(({ of }) => of.purpose === purpose));
    const once = Object.entries(onceWords).flatMap(([purpose, words]) => (purpose === 'front' || countOf(purpose) > 0 ? [`${countOf(purpose)} ${words}`] : []));
    return {
      group: 'paper',
      item: paper.name,
      count,
      unit: 'sheet',
      detail: joined(papers.some(({ name }) => name === paper.name) ? `${sizeWords(paper.width, unit)} x ${sizeWords(paper.height, unit)}` : '', `${countOf('jig')} for jigs, a new jig for each piece`, `${once.join(', ')}, once`),
    };
  });
}

/** Pages that are printed once, however many pieces are made alike. */
const onceWords = { front: 'front pages', board: 'for guide boards', mask: 'for masks' } as const;

/** The paper that a page is of: the sheets' own, or one with a name. */
function paperOf({ width, height }: Page, own: Paper): Paper {
  const isNear = (paper: Paper) => Math.abs(paper.width - Math.min(width, height)) < 0.01 && Math.abs(paper.height - Math.max(width, height)) < 0.01;
  return [own, ...papers].find(isNear) ?? own;
}

/** Length of tape for one jig, mm: its seams, and one strip round it to hold it; round each patch by itself. Common practice, no source. */
export function tapeLength({ plan, jig: { layout, patches } }: Pick<JigOfPanel, 'plan' | 'jig'>): number {
  if (patches) return patches.reduce((total, { cell: { window } }) => total + 2 * (window.right - window.left + window.top - window.bottom), 0);
  return seamsOf(layout, 0).reduce((total, { a, b }) => total + distanceBetween(a, b), lengthRound(laidOutline(plan)));
}

const lengthRound = (points: readonly Point[]) => edgesOf(points).reduce((total, { a, b }) => total + distanceBetween(a, b), 0);

/** What is stuck on: common practice, no source. */
function tapeRows(plans: readonly Plan[], jigs: readonly JigOfPanel[]): ListRow[] {
  const holesOf = (some: readonly Plan[]) => some.reduce((total, { holes, quantity }) => total + holes.length * quantity, 0);
  const length = jigs.reduce((total, one) => total + tapeLength(one) * one.plan.quantity, 0);
  const [drilled, inGlass] = [holesOf(plans), holesOf(plans.filter(({ panel }) => panel.material !== 'acrylic'))];
  const row = (item: string, count: number, unit: ListRow['unit'], detail: string): ListRow[] => (count > 0 ? [{ group: 'tape and putty', item, count, unit, detail: `${detail} (common practice, no source)` }] : []);
  return [
    ...row('tape for the jigs', Math.ceil(length / 1000 - 1e-9), 'm', 'estimate: along all seams, and once round each jig to hold it'),
    ...row('masking tape over a hole', 2 * drilled, 'piece', 'on both faces of each hole, wider than the bit, against chips'),
    ...row('putty for a dam', inGlass, 'hole', 'a ring round each hole in glass, to hold the water'),
  ];
}

function notesOn(checked: readonly Checked[], jigs: readonly JigOfPanel[], holes: readonly Counted<PlannedHole>[]): string[] {
  const called = ({ part }: Plan) => part || 'the panel';
  const refused = checked.filter(({ report }) => report.verdict === 'refused');
  const without = checked.filter((one) => !refused.includes(one) && !jigs.some(({ plan }) => plan === one.plan));
  const plain = sum(holes.filter(({ of }) => of.fitting === undefined));
  const fittings = byFitting(holes);
  return [
    ...refused.map(({ plan }) => `${called(plan)}: refused. Do not drill it: see panejig check. What it needs is counted here, but it has no jig, so no paper and no tape for one.`),
    ...without.map(({ plan }) => `${called(plan)}: no jig fits its paper: see panejig template. Its paper and its tape for the jig are not counted.`),
    ...(plain > 0 ? [`Holes with a diameter and no fitting: ${plain}. What goes into them is not known, and not counted.`] : []),
    ...(fittings.some(({ first }) => first.isTypical) ? ['Typical values are from memory and vary by maker: measure the fitting in hand before you buy bits and gaskets by them.'] : []),
    ...(fittings.length > 0 ? ['Gaskets are counted in all: one under each flange, and one more between where a box is drilled with the panel. Most fittings come with one (common practice, no source).'] : []),
    'Bits wear: compare the number of holes with what their maker says a bit lasts, and have one to spare.',
    'Panels are listed with their true sizes, whether they are to be cut or there already.',
  ];
}
