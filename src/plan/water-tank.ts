import { firstNames, meant, shown } from '../spec/problem.ts';
import type { SpecBox, SpecTank } from '../spec/schema.ts';
import type { SpecDrain, SpecLine, SpecReturn, SpecWater, SpecWaterTank, SpecWeir } from '../spec/water.ts';
import { openFitting } from '../trade/fittings.ts';
import { boreOf, pipeSizeOf, pipeSizes, type PipeSize } from '../trade/pipe.ts';
import { formatLength, lengthSlack, type Unit } from '../trade/units.ts';
import type { Drain, HoleRef, PipeParts, PipeRun, Return, WaterSystem, WaterTank, Weir } from '../water/system.ts';
import { backOf } from './box.ts';
import { entryKey, smallestSize, type Path, type Work } from './hole.ts';
import type { PanelOf } from './panel.ts';
import type { Plan, PlannedHole } from './plan.ts';
import { insideOf } from './tank.ts';

/** A panel of the build, and its plan. */
export interface PlannedPanel {
  readonly of: PanelOf;
  readonly plan: Plan;
}

/** What all of the water is planned with. */
export interface Scene {
  readonly water: SpecWater;
  readonly tanks: ReadonlyMap<string, SpecTank>;
  readonly boxes: ReadonlyMap<string, SpecBox>;
  readonly panels: readonly PlannedPanel[];
  readonly work: Work;
  /** How many water tanks name a hole so far. Filled as they are planned. */
  readonly uses: Map<string, number>;
  /** The entries of the holes that are named, with the largest size of pipe that is written for them. Filled likewise. */
  readonly written: Map<string, PipeSize | null>;
  /** The pipes that are wider than the fitting of their hole. Filled likewise. */
  readonly narrowed: WaterSystem['narrowed'][number][];
}

/** What the sump is called where a tank is named. */
export const sumpName = 'sump';

/** Most names that a message tells. */
const mostNames = 12;

/** The panels that holes and boxes are looked for on: those of one tank, or those of none. */
interface Place {
  readonly called: string;
  readonly sides: readonly (PlannedPanel & { readonly called: string; readonly isBottom: boolean })[];
}

/** A hole that is named under water. */
interface NamedHole {
  readonly side: Place['sides'][number];
  readonly hole: PlannedHole;
  readonly ref: HoleRef;
  /** Its name, with its panel's where several have one of that name. */
  readonly called: string;
  /** Whether its size is left for the tool to choose. */
  readonly isOpen: boolean;
}

/** What is planned for one water tank. */
interface TankScene extends Scene {
  readonly name: string;
  readonly given: SpecWaterTank;
  readonly place: Place;
  /** The holes that it names so far. */
  readonly own: Set<string>;
}

/** A water tank with all that comes in and goes out; undefined where its size is not known. */
export function planTank(name: string, given: SpecWaterTank, scene: Scene): WaterTank | undefined {
  const path = ['water', 'tanks', name];
  const space = spaceOf(name, given, path, scene);
  if (!space) return undefined;
  const { inside, place } = space;
  const here: TankScene = { ...scene, name, given, place, own: new Set() };
  const weirs = (given.weirs ?? []).map((weir, index) => planWeir(weir, [...path, 'weirs', index], here));
  const returns = (given.returns ?? []).map((one, index) => planReturn(one, [...path, 'returns', index], here));
  const drains = given.drains.map((one, index) => planDrain(one, [...path, 'drains', index], weirs.filter((weir) => weir !== undefined), here));
  tellTooDeep(given, inside.height, path, scene);
  tellRepeated(weirs, given.weirs ?? [], [...path, 'weirs'], new Set(), scene);
  const pipes = new Set<string>();
  tellRepeated(returns, given.returns ?? [], [...path, 'returns'], pipes, scene);
  tellRepeated(drains, given.drains, [...path, 'drains'], pipes, scene);
  const known = <T>(all: readonly (T | undefined)[]) => all.filter((one) => one !== undefined);
  return { name, area: inside.length * inside.width, height: inside.height, returns: known(returns), drains: known(drains), weirs: known(weirs) };
}

/** The tank of the build that a water tank is; undefined where it is none of them. */
export function tankMeant(name: string, { tank, inside }: Pick<SpecWaterTank, 'tank' | 'inside'>, tanks: Scene['tanks']): string | undefined {
  return tank ?? (!inside && tanks.has(name) ? name : undefined);
}

/** The inside of a water tank, and where its holes are looked for. */
function spaceOf(name: string, given: SpecWaterTank, path: Path, { tanks, panels, work: { source, problems } }: Scene): { inside: ReturnType<typeof insideOf>; place: Place } | undefined {
  const walls = panels.filter(({ plan }) => !plan.isBoxWall);
  if (given.inside) {
    if (tanks.has(name)) {
      problems.push(source.problem([...path, 'inside'], `there is a tank ${shown(name)} under tanks, which has an inside of its own`, 'inside where the build has no such tank', 'remove inside, or give this one another name'));
      return undefined;
    }
    const sides = walls.filter(({ of }) => of.path[0] !== 'tanks').map((one) => ({ ...one, called: one.of.part || 'panel', isBottom: false }));
    return { inside: given.inside, place: { called: 'the panels that belong to no tank', sides } };
  }
  const meantTank = tankMeant(name, given, tanks);
  if (meantTank === undefined) {
    const guess = meant(name, [...tanks.keys()]);
    problems.push(source.problem(path, `${shown(name)} says neither tank nor inside, and no tank of the build has that name`, 'tank: the name of a tank under tanks; or inside with length, width and height', guess ? `write tank: ${guess}, or add inside` : 'add tank or inside', 'key'));
    return undefined;
  }
  const tank = tanks.get(meantTank);
  if (!tank) {
    tellUnknownTank(meantTank, [...path, 'tank'], tanks, { source, problems });
    return undefined;
  }
  const sides = walls.filter(({ of }) => of.path[0] === 'tanks' && of.path[1] === meantTank).map((one) => ({ ...one, called: String(one.of.path[3]), isBottom: one.of.path[3] === 'bottom' }));
  return { inside: insideOf(tank), place: { called: `the tank ${shown(meantTank)}`, sides } };
}

export function tellUnknownTank(name: string, path: Path, tanks: Scene['tanks'], { source, problems }: Pick<Work, 'source' | 'problems'>): void {
  const known = [...tanks.keys()];
  const guess = meant(name, known);
  problems.push(source.problem(path, `unknown tank ${shown(name)}`, known.length > 0 ? firstNames(known, mostNames) : 'a tank named under tanks', guess ? `did you mean ${guess}?` : 'write the tank under tanks, or give inside length and width here'));
}

/** Tells what is said to lie under the tank's bottom. @param height of the tank inside, mm */
function tellTooDeep({ returns = [], drains, weirs = [] }: SpecWaterTank, height: number, path: Path, { work: { source, problems, units } }: Scene): void {
  const depths = [
    ...returns.flatMap((one, index) => (['opening-from-top', 'siphon-break-from-top'] as const).map((key) => ({ depth: one[key], at: ['returns', index, key] }))),
    ...drains.map((one, index) => ({ depth: one['opening-from-top'], at: ['drains', index, 'opening-from-top'] })),
    ...weirs.map((one, index) => ({ depth: one['crest-from-top'], at: ['weirs', index, 'crest-from-top'] })),
  ];
  for (const { depth, at } of depths) {
    if (depth === undefined || depth <= height + lengthSlack) continue;
    const most = formatLength(height, units);
    problems.push(source.problem([...path, ...at], `${formatLength(depth, units)} is under the bottom: the tank is ${most} high inside`, `at most ${most}`, "check the value and its unit: it is how far it lies under the tank's top edge"));
  }
}

/** Tells two of a tank's pipes, or of its weirs, that have one name. @param names those that stand already; filled with all */
function tellRepeated(all: readonly ({ readonly name: string } | undefined)[], given: readonly { readonly name?: string | undefined; readonly hole?: string | undefined }[], path: Path, names: Set<string>, { work: { source, problems } }: Scene): void {
  for (const [index, one] of all.entries()) {
    if (!one) continue;
    const key = given[index]?.name !== undefined ? 'name' : given[index]?.hole !== undefined ? 'hole' : 'box';
    if (names.has(one.name)) problems.push(source.problem([...path, index, key], `${shown(one.name)} is also the name of another one of this tank`, 'a name of its own for each pipe and each weir of a tank', 'rename one of the two'));
    names.add(one.name);
  }
}

/** The hole that a return or drain goes through: null where it goes over the rim; undefined where there is none of that name, which is then among the problems. */
function holeOf({ hole: name, panel }: SpecReturn | SpecDrain, path: Path, { place, own, uses, work: { source, problems, open } }: TankScene): NamedHole | null | undefined {
  if (name === undefined) return null;
  const sides = place.sides.filter(({ called }) => panel === undefined || called === panel);
  if (sides.length === 0 && panel !== undefined) {
    const known = place.sides.map(({ called }) => called);
    const guess = meant(panel, known);
    problems.push(source.problem([...path, 'panel'], `no panel ${shown(panel)} of ${place.called} is drilled`, known.length > 0 ? firstNames(known, mostNames) : 'a panel with holes', guess ? `did you mean ${guess}?` : 'write one of the accepted panels, or remove panel'));
    return undefined;
  }
  const all = place.sides.flatMap((side) => side.plan.holes.filter((hole) => hole.name === name).map((hole) => ({ side, hole })));
  const found = all.filter(({ side }) => sides.includes(side));
  const [first] = found;
  if (!first) {
    const known = [...new Set(sides.flatMap(({ plan }) => plan.holes.map((hole) => hole.name)))];
    const guess = meant(name, known);
    const where = panel === undefined ? place.called : `the panel ${panel} of ${place.called}`;
    problems.push(source.problem([...path, 'hole'], `no hole of ${where} is called ${shown(name)}`, known.length > 0 ? firstNames(known, mostNames) : 'a hole of a panel that is drilled', guess ? `did you mean ${guess}?` : 'name a hole that there is, add it to its panel, or write name in place of hole for a pipe over the rim'));
    return undefined;
  }
  if (found.length > 1) {
    const panels = found.map(({ side }) => side.called);
    problems.push(source.problem([...path, 'hole'], `${shown(name)} is the name of holes in several panels: ${panels.join(', ')}`, 'the name of one hole, with its panel where several have one of that name', `add panel: ${panels.join(' or ')}`));
    return undefined;
  }
  const { side, hole } = first;
  const ref = { part: side.plan.part, name };
  const key = JSON.stringify([ref.part, name]);
  const { quantity } = side.of;
  const used = uses.get(key) ?? 0;
  const twice = own.has(key) ? 'is named twice in this tank' : used >= quantity ? `is named by ${used + 1} tanks under water, and ${quantity === 1 ? 'there is only one such panel' : `there are only ${quantity} such panels`}` : undefined;
  if (twice) {
    problems.push(source.problem([...path, 'hole'], `the hole ${shown(name)} ${twice}`, 'each hole once: one pipe goes through it', own.has(key) ? 'name another hole, or remove one of the two' : 'name the hole of another tank, or give quantity where several are made alike'));
    return undefined;
  }
  uses.set(key, used + 1);
  own.add(key);
  return { side, hole, ref, called: all.length > 1 ? `${side.called} ${name}` : name, isOpen: open.has(entryKey(hole.from.path)) };
}

/** How far a hole's centre lies under the tank's top edge, mm; null in the bottom, and where there is none. */
function depthOf(hole: NamedHole | null): number | null {
  return hole && !hole.side.isBottom ? hole.side.plan.bounds.top - hole.hole.center.y : null;
}

/** Keeps that a hole is named, and the size of pipe that is written for it. */
function noteHole(hole: NamedHole | null, { pipe, bore }: SpecReturn | SpecDrain, path: Path, { written, work: { source, problems } }: TankScene): void {
  if (!hole) return;
  const key = entryKey(hole.hole.from.path);
  const known = written.get(key) ?? null;
  written.set(key, pipe && (known === null || pipeSizes.indexOf(pipe) > pipeSizes.indexOf(known)) ? pipe : known);
  if (hole.isOpen && bore !== undefined) problems.push(source.problem([...path, 'bore'], `its hole has a ${openFitting} whose size is left open, and a bore does not say which`, `pipe: the nominal size, for a hole with fitting: ${openFitting}`, 'write pipe in place of bore, or the size of the bulkhead at the hole'));
}

/** Keeps that a pipe is wider than the fitting of its hole. */
function noteNarrow(hole: NamedHole | null, run: PipeRun | undefined, { name, narrowed }: TankScene): void {
  const fitting = pipeSizeOf(hole?.hole.size?.pipe ?? '');
  if (hole && run && fitting && !hole.isOpen && run.bore > boreOf(fitting, 40) + lengthSlack) narrowed.push({ tank: name, name: hole.called, pipe: run.name, fitting });
}

function planReturn(given: SpecReturn, path: Path, scene: TankScene): Return | undefined {
  const { water, work: { source, problems, units } } = scene;
  const hole = holeOf(given, path, scene);
  if (hole === undefined) return undefined;
  noteHole(hole, given, path, scene);
  const { name = '', rise = null, flow = null, from = null } = given;
  const sharers = Object.values(water.tanks).flatMap(({ returns = [] }) => returns.filter((one) => one.flow === undefined));
  const isFree = flow !== null || (water.pump.flow !== undefined && sharers.length === 1);
  const run = runOf(given, hole, units);
  noteNarrow(hole, run, scene);
  if (!isFree) {
    const why = water.pump.curve ? "against the pump's curve" : 'where several returns share the water';
    if (!run) tellNoPipe(hole, given, path, scene);
    if (given.length === undefined) problems.push(source.problem([...path, 'length'], 'is missing', `length of the pipe, needed ${why}; or flow`, 'add length'));
    if (rise === null) problems.push(source.problem([...path, 'rise'], 'is missing', `how far the water is lifted, from the sump's working level to the opening, needed ${why}; or flow`, 'add rise'));
  }
  const center = depthOf(hole);
  const opening = given['opening-from-top'] ?? (center === null || !hole ? undefined : center + (run?.bore ?? hole.hole.diameter) / 2);
  if (opening === undefined) {
    problems.push(source.problem([...path, 'opening-from-top'], 'is missing', `how far the lower edge of its opening lies under the tank's top edge, needed ${hole ? 'where the hole is in the bottom' : 'where the pipe goes over the rim'}`, 'add opening-from-top'));
    return undefined;
  }
  return { name: hole?.called ?? name, hole: hole?.ref ?? null, from, run: run ?? null, rise, flow, opening, siphonBreak: given['siphon-break-from-top'] ?? null };
}

function planDrain(given: SpecDrain, path: Path, weirs: readonly Weir[], scene: TankScene): Drain | undefined {
  const { work: { source, problems, units } } = scene;
  const hole = holeOf(given, path, scene);
  if (hole === undefined) return undefined;
  noteHole(hole, given, path, scene);
  const { name = '', runs, drop = null, rated = null, spare = false } = given;
  const run = runOf(given, hole, units);
  noteNarrow(hole, run, scene);
  if (!run && rated === null) tellNoPipe(hole, given, path, scene);
  if (rated !== null && hole?.isOpen && given.pipe === undefined) problems.push(source.problem([...path, 'rated'], `its hole has a ${openFitting} whose size is left open, and what is rated has its size already`, `pipe beside rated, for a hole with fitting: ${openFitting}`, 'add pipe, or write the size of the bulkhead at the hole'));
  const into = given.into ?? scene.given['drains-into'] ?? sumpName;
  const { box } = hole?.hole ?? { box: null };
  return {
    name: hole?.called ?? name,
    hole: hole?.ref ?? null,
    runs,
    run: rated === null ? (run ?? null) : null,
    drop: rated === null ? drop : null,
    rated,
    isSpare: spare,
    into: into === sumpName ? null : into,
    opening: given['opening-from-top'] ?? depthOf(hole),
    weir: (typeof box === 'string' ? weirs.find((weir) => weir.box?.part === hole?.ref.part && weir.box?.name === box)?.name : undefined) ?? null,
    isBoxed: typeof box === 'string',
  };
}

function tellNoPipe(hole: NamedHole | null, given: SpecReturn | SpecDrain, path: Path, { work: { source, problems } }: TankScene): void {
  const why = hole ? `the fitting of the hole ${shown(given.hole)} has none` : 'it goes through no hole, whose fitting could tell';
  problems.push(source.problem(path, `no pipe is known for ${shown(hole?.called ?? given.name)}: ${why}`, 'pipe: a nominal size such as 1 in; or bore: an inside diameter', 'add pipe or bore'));
}

/** A run of pipe: its own bore, or the size that is written, or that of its hole's fitting; undefined where none is known. */
export function runOf(given: SpecLine | SpecReturn | SpecDrain, hole: NamedHole | null, units: Unit): PipeRun | undefined {
  const { bore, pipe, schedule = 40, length = 0 } = given;
  const common = { length, parts: partsOf(given) };
  if (bore !== undefined) return { ...common, name: `bore ${formatLength(bore, units)}`, size: null, schedule: null, isChosen: false, bore };
  const isChosen = pipe === undefined && hole?.isOpen === true;
  const size = pipe ?? pipeSizeOf(hole?.hole.size?.pipe ?? '') ?? (isChosen ? smallestSize : undefined);
  return size && { ...common, name: `${size} in schedule ${schedule}`, size, schedule, isChosen, bore: boreOf(size, schedule) };
}

function partsOf(given: SpecLine | SpecReturn | SpecDrain): PipeParts {
  return {
    elbows: given.elbows ?? 0,
    halfElbows: given['elbows-45'] ?? 0,
    teesThrough: given['tees-through'] ?? 0,
    teesBranch: given.tees ?? 0,
    ballValves: given['ball-valves'] ?? 0,
    gateValves: given['gate-valves'] ?? 0,
    checkValves: given['check-valves'] ?? 0,
    otherLosses: given['other-losses'] ?? 0,
  };
}

/** A weir: of a box, whose crest lies where the box's placement and its own weir-from-top say; or one of its own. */
function planWeir(given: SpecWeir, path: Path, { place, boxes, work: { source, problems, units } }: TankScene): Weir | undefined {
  const { box: name, length, teeth } = given;
  const toothed = teeth ? { width: teeth.width, gap: teeth.gap, height: teeth.height ?? null } : null;
  const crestGiven = given['crest-from-top'];
  // The crest is given where no box is.
  if (name === undefined) return { name: given.name ?? '', box: null, crest: crestGiven ?? 0, length, teeth: toothed, boxArea: null };
  const all = place.sides.flatMap((side) => side.plan.panel.boxes.map((box) => ({ side, box })));
  const [first, ...others] = all.filter(({ box }) => box.name === name);
  if (!first) {
    const known = [...new Set(all.map(({ box }) => box.name))];
    const guess = meant(name, known);
    problems.push(source.problem([...path, 'box'], `no box of ${place.called} is called ${shown(name)}`, known.length > 0 ? firstNames(known, mostNames) : 'a box that stands on a panel', guess ? `did you mean ${guess}?` : 'name a box that stands there, or write name and crest-from-top in place of box'));
    return undefined;
  }
  const { side, box } = first;
  if (others.length > 0) {
    problems.push(source.problem([...path, 'box'], `${shown(name)} is the name of boxes on several panels: ${[first, ...others].map((one) => one.side.called).join(', ')}`, 'the name of one box', 'give each a name of its own where it is placed'));
    return undefined;
  }
  const crest = crestGiven ?? (box.crest === null || side.isBottom ? undefined : side.plan.bounds.top - box.crest);
  if (crest === undefined) {
    const why = side.isBottom ? 'stands on the bottom, which does not say how high its crest lies' : 'has no weir-from-top';
    problems.push(source.problem([...path, 'box'], `the box ${shown(name)} ${why}`, "a box with weir-from-top, or crest-from-top under the tank's top edge", side.isBottom ? 'add crest-from-top' : 'add weir-from-top to the box, or crest-from-top here'));
    return undefined;
  }
  const kind = side.of.panel.boxes?.find((placement) => (placement.name ?? placement.box) === name)?.box ?? name;
  const edge = edgeOf(boxes.get(kind));
  if (length > edge + lengthSlack) problems.push(source.problem([...path, 'length'], `${formatLength(length, units)} is more than the box ${shown(name)} has: its three free sides are ${formatLength(edge, units)} long together`, `at most ${formatLength(edge, units)}`, 'measure along the crest once more, or correct width or depth of the box'));
  return { name, box: { part: side.plan.part, name }, crest, length, teeth: toothed, boxArea: boxAreaOf(boxes.get(kind)) };
}

/** The edge of a box that water may run over: its front and both sides, mm; any length where its depth is not known. */
function edgeOf(box: SpecBox | undefined): number {
  return box?.depth === undefined ? Infinity : box.width + 2 * box.depth;
}

/** Inside length times width of a box, mm²; null where its depth is not known. */
function boxAreaOf(box: SpecBox | undefined): number | null {
  if (box?.depth === undefined) return null;
  return Math.max(0, box.width - 2 * box.wall) * Math.max(0, box.depth - backOf(box) - box.wall);
}
