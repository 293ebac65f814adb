import { bounds } from '../spec/fields.ts';
import { firstNames, meant, shown } from '../spec/problem.ts';
import type { Spec } from '../spec/schema.ts';
import type { SpecLine, SpecWater } from '../spec/water.ts';
import type { PipeSize } from '../trade/pipe.ts';
import { formatLength } from '../trade/units.ts';
import type { Line, PipeRun, Sump, WaterSystem } from '../water/system.ts';
import type { Path, Work } from './hole.ts';
import { insideOf } from './tank.ts';
import { planTank, runOf, sumpName, tankMeant, tellUnknownTank, type PlannedPanel, type Scene } from './water-tank.ts';

/** How the water goes. */
export interface PlannedWater {
  readonly system: WaterSystem;
  /** The entries of all holes that it names, with the largest size of pipe that is written for one of their holes; null where none is. */
  readonly written: ReadonlyMap<string, PipeSize | null>;
}

/** What drains carry beyond the inflow where the spec does not say. Common practice, no source. */
const usualReserve = 0.5;

/** Puts together how the water goes, from what the spec says of it and from the holes as they are planned. Undefined where something is wrong, which is then among the problems. */
export function planWater(water: SpecWater, panels: readonly PlannedPanel[], spec: Spec, work: Work): PlannedWater | undefined {
  const scene: Scene = { water, tanks: new Map(Object.entries(spec.tanks ?? {})), boxes: new Map(Object.entries(spec.boxes ?? {})), panels, work, uses: new Map(), written: new Map(), narrowed: [] };
  const told = work.problems.length;
  const lines = planLines(scene);
  const tanks = new Map(Object.entries(water.tanks).map(([name, tank]) => [name, planTank(name, tank, scene)]));
  const order = tankOrder(scene);
  const sump = planSump(scene);
  if (work.problems.length > told || !sump) return undefined;
  const { curve, flow = null, throttle = null } = water.pump;
  const system: WaterSystem = {
    flowUnit: water['flows-in'] ?? (work.units === 'in' ? 'gph' : 'L/h'),
    units: work.units,
    reserve: water.reserve ?? usualReserve,
    pump: { curve: curve?.map(([at, head]) => ({ flow: at, head })) ?? null, flow, throttle },
    side: water.side ?? [],
    lines,
    tanks: order.flatMap((name) => tanks.get(name) ?? []),
    narrowed: scene.narrowed,
    untold: untoldOf(scene),
    sump,
  };
  return { system, written: scene.written };
}

/** The tanks of the build that are made more often than the water tells of, of those that it tells of. */
function untoldOf({ water, tanks }: Scene): WaterSystem['untold'] {
  const meant = Object.entries(water.tanks).map(([name, given]) => tankMeant(name, given, tanks));
  return [...tanks].flatMap(([name, { quantity: made = 1 }]) => {
    const told = meant.filter((one) => one === name).length;
    return told > 0 && told < made ? [{ name, made, told }] : [];
  });
}

/** The lines, each after the one that it comes from. */
function planLines({ water, work: { source, problems, units } }: Scene): Line[] {
  const given = new Map(Object.entries(water.lines ?? {}));
  const names = [...given.keys()];
  const told = problems.length;
  const comings = [
    ...[...given].map(([name, { from }]) => ({ from, path: ['water', 'lines', name, 'from'] })),
    ...Object.entries(water.tanks).flatMap(([tank, { returns = [] }]) => returns.map(({ from }, index) => ({ from, path: ['water', 'tanks', tank, 'returns', index, 'from'] }))),
  ];
  for (const { from, path } of comings) {
    if (from === undefined || given.has(from)) continue;
    const guess = meant(from, names);
    const fix = guess ? `did you mean ${guess}?` : from === 'pump' ? 'remove from: where it is left out, the water comes from the pump' : 'write the line under lines, or remove from where the water comes from the pump';
    problems.push(source.problem(path, `unknown line ${shown(from)}`, names.length > 0 ? firstNames(names, mostNames) : 'a line named under lines', fix));
  }
  if (problems.length > told) return [];
  const used = new Set(comings.map(({ from }) => from));
  for (const name of names) {
    if (!used.has(name)) problems.push(source.problem(['water', 'lines', name], `no return and no other line comes from ${shown(name)}`, 'lines that something comes from', `write from: ${name} at a return, or remove the line`, 'key'));
  }
  const sorted = sortedBy(names, (name) => [given.get(name)?.from ?? []].flat());
  if ('circle' in sorted) {
    const { circle } = sorted;
    problems.push(source.problem(['water', 'lines', circle[0] as string, 'from'], `the lines lead in a circle: ${circleWords(circle, 'comes from')}`, 'lines that come from the pump in the end', 'remove from at the line that the pump feeds'));
    return [];
  }
  const depths = new Map<string, number>();
  return sorted.order.map((name): Line => {
    const line = given.get(name) as SpecLine;
    const { from = null } = line;
    const depth = (from === null ? 0 : (depths.get(from) ?? 0)) + 1;
    depths.set(name, depth);
    if (depth === bounds.linesInARow + 1) problems.push(source.problem(['water', 'lines', name, 'from'], `${shown(name)} is number ${depth} of lines that come one from the other`, `at most ${bounds.linesInARow} in a row`, 'join pipes of one bore into one line'));
    // One of pipe and bore is given.
    return { name, from, run: runOf(line, null, units) as PipeRun };
  });
}

/** Most names that a message tells. */
const mostNames = 12;

/** The names of the water tanks, so that each drains into later ones. */
function tankOrder({ water, work: { source, problems } }: Scene): readonly string[] {
  const names = Object.keys(water.tanks);
  const links = Object.entries(water.tanks).flatMap(([from, { 'drains-into': usual, drains }]) => {
    const path = ['water', 'tanks', from];
    return [
      ...(usual === undefined ? [] : [{ from, to: usual, path: [...path, 'drains-into'] as Path }]),
      ...drains.flatMap(({ into }, index) => (into === undefined ? [] : [{ from, to: into, path: [...path, 'drains', index, 'into'] as Path }])),
    ];
  });
  const isKnown = (name: string) => name === sumpName || Object.hasOwn(water.tanks, name);
  for (const { to, path } of links) {
    if (isKnown(to)) continue;
    const known = [...names, sumpName];
    const guess = meant(to, known);
    problems.push(source.problem(path, `unknown tank ${shown(to)}`, firstNames(known, mostNames), guess ? `did you mean ${guess}?` : 'write one of the tanks under water, or sump'));
  }
  const sorted = sortedBy(names, (name) => links.filter(({ to }) => to === name).map(({ from }) => from));
  if ('order' in sorted) return sorted.order;
  const circle = [...sorted.circle].reverse();
  // The one that stands last in the spec most likely leads backwards.
  const at = circle.indexOf(circle.reduce((last, name) => (names.indexOf(name) > names.indexOf(last) ? name : last)));
  const turned = [...circle.slice(at), ...circle.slice(0, at)];
  const back = links.find(({ from, to }) => from === turned[0] && to === turned[1 % turned.length]);
  problems.push(source.problem(back?.path ?? ['water', 'tanks'], `the tanks drain in a circle: ${circleWords(turned, 'drains into')}`, 'tanks that drain into the sump in the end', `write ${sumpName}, or another tank that lies lower`));
  return [];
}

/** The sump; undefined where its tank is not known. */
function planSump({ water, tanks, work: { source, problems, units } }: Scene): Sump | undefined {
  const { tank, length = 0, width = 0, 'working-level': working, 'top-level': top } = water.sump;
  if (tank === undefined) return { area: length * width, working, top };
  const path = ['water', 'sump', 'tank'];
  const of = tanks.get(tank);
  if (!of) {
    tellUnknownTank(tank, path, tanks, { source, problems });
    return undefined;
  }
  const also = Object.entries(water.tanks).find(([name, one]) => tankMeant(name, one, tanks) === tank);
  if (also) problems.push(source.problem(path, `${shown(tank)} is also the tank of ${shown(also[0])}, which drains into the sump`, 'a tank of its own for the sump', `name another tank here, or at ${also[0]}`));
  const inside = insideOf(of);
  if (top > inside.height) problems.push(source.problem(['water', 'sump', 'top-level'], `${formatLength(top, units)} is over the top edge: the sump is ${formatLength(inside.height, units)} high inside`, `at most ${formatLength(inside.height, units)}`, 'check the level: it is the height of the water over the bottom'));
  return { area: inside.length * inside.width, working, top };
}

/** Names so that each stands after all that lead to it, otherwise as they stood; or the first circle, each led to by the next. */
function sortedBy(names: readonly string[], before: (name: string) => readonly string[]): { readonly order: readonly string[] } | { readonly circle: readonly string[] } {
  const order: string[] = [];
  const left = new Set(names);
  while (left.size > 0) {
    const leftBefore = (name: string) => before(name).filter((other) => left.has(other));
    const next = [...left].find((name) => leftBefore(name).length === 0);
    if (next === undefined) {
      const way: string[] = [];
      let at = [...left][0] as string;
      while (!way.includes(at)) {
        way.push(at);
        at = leftBefore(at)[0] as string;
      }
      return { circle: way.slice(way.indexOf(at)) };
    }
    order.push(next);
    left.delete(next);
  }
  return { order };
}

/** "upper drains into lower, lower into upper" */
function circleWords(circle: readonly string[], leads: string): string {
  const [first = '', ...others] = circle;
  if (others.length === 0) return `${first} ${leads} itself`;
  const preposition = leads.split(' ')[1] as string;
  const steps = circle.map((name, index) => `${name} ${index === 0 ? leads : preposition} ${circle[(index + 1) % circle.length]}`);
  return steps.join(', ');
}
