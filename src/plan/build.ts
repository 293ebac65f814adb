import { boundsOf, signedArea } from '../geometry/shape.ts';
import { shown, type Problem } from '../spec/problem.ts';
import { inOrder, readDrawer, readSpec, type Source } from '../spec/read.ts';
import { tankPanels, type Drawer, type Spec, type SpecFitting, type SpecPanel } from '../spec/schema.ts';
import { openFitting } from '../trade/fittings.ts';
import type { Material } from '../trade/limits.ts';
import { pipeSizes, type PipeSize } from '../trade/pipe.ts';
import type { Unit } from '../trade/units.ts';
import { chooseSizes } from '../water/sizes.ts';
import { supplied } from '../water/supply.ts';
import type { HoleRef, WaterSystem } from '../water/system.ts';
import { backOf, backWall, settledBox, writeBox, type WrittenBox } from './box.ts';
import { entryKey, type Work } from './hole.ts';
import { planPanel, type PanelOf } from './panel.ts';
import type { Plan } from './plan.ts';
import { panelsOfTank, tankPanelSizes } from './tank.ts';
import type { PlannedPanel } from './water-tank.ts';
import { planWater, type PlannedWater } from './water.ts';

/** A panel to be cut, drilled or not. Lengths in mm. */
export interface CutPanel {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  readonly thickness: number;
  readonly material: Material;
  readonly quantity: number;
}

/** A panel that is part of no tank. */
export interface LoosePanel extends CutPanel {
  /** Whether it has an outline of its own within that size. */
  readonly isShaped: boolean;
}

/** Boxes made alike. Outside lengths in mm. */
export interface BuiltBox {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  /** From its back wall to its front; null where the spec does not say. */
  readonly depth: number | null;
  readonly wall: number;
  readonly back: number;
  readonly material: Material;
  readonly quantity: number;
}

/** All that a spec describes: the panels and boxes that are made together. */
export interface Build {
  readonly title: string;
  readonly units: Unit;
  /** What is drilled: the panels in the order of the spec, then the back walls of boxes. */
  readonly panels: readonly Plan[];
  /** All panels of the tanks, with their true sizes. */
  readonly cut: readonly CutPanel[];
  /** All other panels, drilled or not, but for the boxes' own. */
  readonly loose: readonly LoosePanel[];
  /** The boxes that stand on panels. */
  readonly boxes: readonly BuiltBox[];
  /** How the water goes; null where the spec does not say. */
  readonly water: WaterSystem | null;
}

/** A build, and where in its text things stand. */
export interface BuildOfText {
  readonly build: Build;
  readonly source: Source;
}

export type BuildReading = BuildOfText | { readonly problems: readonly Problem[] };

/** A file that a spec includes: its text and how to call it in messages, or why it cannot be had. */
export type Included = { readonly text: string; readonly file: string } | { readonly found: string; readonly fix: string };

/** Most panels of a build. */
const mostPanels = 200;

/**
 * Reads a spec's text into a build, or all that is wrong with it. Pure; never throws.
 * @param include finds the files that the spec includes
 */
export function readBuild(text: string, include: (name: string) => Included = () => ({ found: 'no file can be included here', fix: 'write fittings and bits into the spec itself' })): BuildReading {
  const reading = readSpec(text);
  if ('problems' in reading) return reading;
  const { spec, units, source } = reading;
  const problems: Problem[] = [];
  const { fittings, bits } = atHand(spec, source, problems, include);
  const work: Work = { title: spec.title, units, source, fittings, bits, boxes: new Map(), placement: spec.placement ?? 0, sizes: new Map(), open: new Map(), problems };
  const first = planAll(spec, work);
  // What goes through a hole says how large it is, and the panels which hole is where: so they are planned twice.
  const sizes = first?.water && work.open.size > 0 ? sizesFor(first, first.water, work) : undefined;
  const planned = sizes && problems.length === 0 ? planAll(spec, { ...work, sizes, open: new Map() }) : first;
  if (problems.length > 0 || !planned) return { problems: inOrder(problems) };
  const { panels, water } = planned;
  return {
    build: { title: spec.title, units, panels: panels.map(({ plan }) => plan), cut: cutPanels(spec), loose: loosePanels(spec), boxes: builtBoxes(spec, panels.map(({ of }) => of)), water: water?.system ?? null },
    source,
  };
}

/** What all panels of a spec come to, and its water. */
interface PlannedSpec {
  readonly panels: readonly PlannedPanel[];
  readonly water: PlannedWater | null;
}

/** Plans all panels, and how the water goes; undefined where something is wrong, which is then among the problems. */
function planAll(spec: Spec, given: Work): PlannedSpec | undefined {
  const boxes = new Map<string, WrittenBox>();
  const work: Work = { ...given, boxes };
  const { source, problems } = work;
  for (const [name, box] of Object.entries(spec.boxes ?? {})) boxes.set(name, writeBox(name, box, work));
  if (problems.length === 0) settleBoxes(boxes, spec, work);
  const panels = panelsOf(spec, work);
  const all = [...panels, ...backWalls(spec, panels, work)];
  tellRepeatedParts(all, work);
  if (all.length > mostPanels) problems.push(source.problem([], `the build has ${all.length} panels to drill`, `at most ${mostPanels}`, 'use quantity for panels made alike, or several specs'));
  if (all.length === 0 && problems.length === 0) problems.push(source.problem([spec.tanks ? 'tanks' : 'panels'], 'no panel has anything to drill', 'holes or boxes on at least one panel', 'add holes under a panel'));
  const planned = problems.length > 0 ? [] : all.flatMap((of): PlannedPanel[] => {
    const plan = planPanel(of, spec.sheets, work);
    return plan ? [{ of, plan }] : [];
  });
  if (problems.length > 0) return undefined;
  const water = spec.water ? planWater(spec.water, planned, spec, work) : null;
  if (water === undefined) return undefined;
  tellUnnamed(water?.written ?? new Map(), work);
  return problems.length > 0 ? undefined : { panels: planned, water };
}

/** Tells holes whose size is left open, and through which no water is said to go. */
function tellUnnamed(named: ReadonlyMap<string, unknown>, { open, source, problems }: Work): void {
  for (const [key, { name, path }] of open) {
    if (!named.has(key)) problems.push(source.problem(path, `${shown(openFitting)} leaves the size open, and nothing under water says what goes through ${shown(name)}`, `${openFitting} alone for a hole that is named under water, else with its size`, `write its size, such as ${openFitting} 1 in, or name the hole as a return or drain under water`));
  }
}

/** The sizes that the water asks for of each entry whose size is open: the largest of all that goes through its holes. Where no flow is known none can be chosen, which is then among the problems. */
function sizesFor({ panels }: PlannedSpec, { system, written }: PlannedWater, { open, source, problems }: Work): Map<string, PipeSize> {
  const sizes = new Map<string, PipeSize>();
  const ask = (key: string, size: PipeSize) => {
    const known = sizes.get(key);
    if (known === undefined || pipeSizes.indexOf(size) > pipeSizes.indexOf(known)) sizes.set(key, size);
  };
  for (const [key, size] of written) if (size) ask(key, size);
  const entryOf = ({ part, name }: HoleRef) => panels.find(({ plan }) => plan.part === part)?.plan.holes.find((hole) => hole.name === name)?.from.path;
  const chosen = chooseSizes(system).tanks.flatMap(({ returns, drains }) =>
    [...returns, ...drains].flatMap(({ hole, run }) => {
      const entry = hole && run?.isChosen ? entryOf(hole) : undefined;
      return entry && run?.size ? [{ key: entryKey(entry), size: run.size }] : [];
    }),
  );
  const isKnown = chosen.length === 0 || supplied(system).solution.kind === 'flows';
  for (const key of isKnown ? [] : new Set(chosen.map((one) => one.key))) {
    const { name, path } = open.get(key) ?? { name: '', path: [] };
    problems.push(source.problem(path, `${shown(openFitting)} leaves the size of ${shown(name)} to its water, and what goes through it cannot be worked out: no flow fits what water asks of the pump`, `${openFitting} alone where the pump gives what is asked of it`, `write its size, such as ${openFitting} 1 in, and see panejig flow; or mend pump, rise, throttle and flows`));
  }
  for (const { key, size } of chosen) ask(key, size);
  return sizes;
}

/** The fittings and bits of the spec and of all that it includes. */
function atHand(spec: Spec, source: Source, problems: Problem[], include: (name: string) => Included): Pick<Work, 'fittings' | 'bits'> {
  const fittings = new Map<string, SpecFitting>(Object.entries(spec.fittings ?? {}));
  const drawers = (spec.include ?? []).flatMap((name, index): Drawer[] => {
    const found = include(name);
    if ('found' in found) {
      problems.push(source.problem(['include', index], `${shown(name)}: ${found.found}`, 'a file with fittings and bits', found.fix));
      return [];
    }
    const reading = readDrawer(found.text, found.file);
    if ('problems' in reading) {
      problems.push(...reading.problems);
      return [];
    }
    for (const [key, fitting] of Object.entries(reading.drawer.fittings ?? {})) {
      if (fittings.has(key)) problems.push(reading.source.problem(['fittings', key], `${shown(key)} is also a fitting of the spec, or of a file that it includes before`, 'a name of its own for each fitting', 'rename or remove one of them', 'key'));
      else fittings.set(key, fitting);
    }
    return [reading.drawer];
  });
  const lists = [spec.bits, ...drawers.map(({ bits }) => bits)].filter((bits) => bits !== undefined);
  return { fittings, bits: lists.length > 0 ? lists.flat() : null };
}

/** Finds places for the holes of boxes that seek them, on the back walls. */
function settleBoxes(boxes: Map<string, WrittenBox>, spec: Spec, work: Work): void {
  for (const [name, box] of boxes) {
    if (!box.list.holes.some(({ hole }) => hole.place !== undefined)) continue;
    const wall = planPanel(backWall(name, box, 1), spec.sheets, work);
    if (wall) boxes.set(name, settledBox(box, wall));
  }
}

/** All panels but the boxes' own. */
function panelsOf(spec: Spec, work: Work): PanelOf[] {
  const alone = (panel: SpecPanel) => ({ panel, quantity: panel.quantity ?? 1, standing: '', isBoxWall: false });
  const solo: PanelOf[] = spec.panel ? [{ ...alone(spec.panel), holes: spec.holes ?? [], path: ['panel'], holesPath: ['holes'], part: spec.boxes ? 'panel' : '' }] : [];
  const listed = Object.entries(spec.panels ?? {}).map(([name, { holes = [], ...panel }]): PanelOf => ({ ...alone(panel), holes, path: ['panels', name], holesPath: ['panels', name, 'holes'], part: name }));
  const ofTanks = Object.entries(spec.tanks ?? {}).flatMap(([name, tank]) => panelsOfTank(name, tank, work));
  return [...solo, ...listed.filter(({ holes, panel }) => holes.length > 0 || panel.boxes?.length), ...ofTanks];
}

/** The back walls of the boxes, as many as are placed. A box that is placed nowhere is told, unless a placement seems to misspell it, or its tank cannot be built. */
function backWalls(spec: Spec, panels: readonly PanelOf[], { source, problems, boxes }: Work): PanelOf[] {
  const isMisspelled = panels.some(({ panel }) => panel.boxes?.some(({ box }) => !boxes.has(box)));
  const isOfTank = (name: string) => Object.values(spec.tanks ?? {}).some((tank) => Object.values(tank.panels).some((panel) => panel?.boxes?.some(({ box }) => box === name)));
  return [...boxes].flatMap(([name, box]) => {
    const count = placedCount(name, panels);
    if (count === 0 && !isMisspelled && !isOfTank(name)) problems.push(source.problem(['boxes', name], `the box ${shown(name)} stands on no panel`, 'boxes that stand on a panel', 'place it under boxes of its panel, or remove it', 'key'));
    return count === 0 ? [] : [backWall(name, box, count)];
  });
}

/** How many of a box stand on the panels. */
function placedCount(name: string, panels: readonly PanelOf[]): number {
  return panels.reduce((sum, { panel, quantity }) => sum + quantity * (panel.boxes ?? []).filter((placement) => placement.box === name).length, 0);
}

function builtBoxes(spec: Spec, panels: readonly PanelOf[]): BuiltBox[] {
  return Object.entries(spec.boxes ?? {}).map(([name, box]) => {
    const { width, height, depth = null, wall, material } = box;
    return { name, width, height, depth, wall, back: backOf(box), material, quantity: placedCount(name, panels) };
  });
}

/** Tells panels of one name: a panel that is called as another's tank and side, or as the back wall of a box. */
function tellRepeatedParts(all: readonly PanelOf[], { source, problems }: Work): void {
  for (const [index, { part }] of all.entries()) {
    const first = all.find((other, at) => at < index && other.part === part);
    if (first) problems.push(source.problem(first.path, `two panels are called ${shown(part)}`, 'a name of its own for each panel', 'rename one: the panel, or the tank or box that the other belongs to', 'key'));
  }
}

function cutPanels(spec: Spec): CutPanel[] {
  return Object.entries(spec.tanks ?? {}).flatMap(([name, tank]) => {
    const sizes = tankPanelSizes(tank);
    return tankPanels.map((which): CutPanel => {
      const { width, height, thickness } = sizes[which];
      return { name: `${name}, ${which}`, width, height, thickness, material: tank.panels[which]?.material ?? tank.material, quantity: tank.quantity ?? 1 };
    });
  });
}

function loosePanels(spec: Spec): LoosePanel[] {
  return [...(spec.panel ? [['panel', spec.panel] as const] : []), ...Object.entries(spec.panels ?? {})].map(([name, panel]) => loosePanel(name, panel));
}

/** An outline that fills its bounds is a rectangle. */
function loosePanel(name: string, { outline, material, thickness, quantity = 1, ...given }: SpecPanel): LoosePanel {
  const points = outline?.map(([x, y]) => ({ x, y }));
  const bounds = points ? boundsOf(points) : { left: 0, right: given.width as number, bottom: 0, top: given.height as number };
  const [width, height] = [bounds.right - bounds.left, bounds.top - bounds.bottom];
  return { name, width, height, thickness, material, quantity, isShaped: points !== undefined && Math.abs(signedArea(points)) < width * height * (1 - 1e-9) };
}

/** Reads the spec of a single panel into its plan, or all that is wrong with it. */
export function readPlan(text: string): { readonly plan: Plan; readonly source: Source } | { readonly problems: readonly Problem[] } {
  const reading = readBuild(text);
  if ('problems' in reading) return reading;
  const [plan, ...more] = reading.build.panels;
  if (plan && more.length === 0) return { plan, source: reading.source };
  return { problems: [reading.source.problem([], `the spec has ${reading.build.panels.length} panels to drill`, 'a spec of one panel', 'read it as a build')] };
}
