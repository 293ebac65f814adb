import { lossOf, type Resistance } from './pipe-flow.ts';
import type { Sloped } from './root.ts';

/**
 * Steady flow in pipes that branch and end in the open. Heads in mm over the sump's level, flows in mm³/s. Water goes one
 * way: where the head does not reach an outlet, nothing comes out of it.
 */

/** A pipe and what it ends in. */
export type Branch =
  /** Ends in the open, or under the water of a tank, so high over the sump; there its pipe loses something at least. */
  | { readonly name: string; readonly pipe: Resistance; readonly rise: number }
  /** Takes that flow, whatever the head, if that is at least `needs`. */
  | { readonly name: string; readonly takes: number; readonly needs: number }
  | { readonly name: string; readonly pipe: Resistance; readonly feeds: readonly Branch[] };

/** Where the water comes from: the head at that flow, falling, as a pump has it; or that flow, whatever the head. */
export type Supply = { readonly at: (flow: number) => Sloped; readonly end: number } | { readonly flow: number };

export interface Flows {
  readonly kind: 'flows';
  /** Through the pump, and its head behind all that throttles it. */
  readonly flow: number;
  readonly head: number;
  /** By name: what goes through each branch, and the head at its end, or where it takes its flow. */
  readonly branches: ReadonlyMap<string, { readonly flow: number; readonly head: number }>;
  /** The largest difference between the head of a branch that flows and what its outlet stands at, as a share of the largest head. */
  readonly residual: number;
}

export type Solution =
  | Flows
  /** No flow fits what is asked. */
  | { readonly kind: 'no solution'; readonly why: 'does not reach' | 'takes too much'; /** The head at no flow and the lowest outlet; or the head where the branch takes its flow and what it needs, or the flows. */ readonly has: number; readonly needs: number; readonly branch: string | null }
  | { readonly kind: 'not converged'; readonly residual: number };

/** The most that heads may be off, as a share of the largest, for a solution to count as one. */
const mostResidual = 1e-8;

/** Flows that are given count as equal within this share, for what rounding leaves. */
const flowSlack = 1e-9;

/** A branch while its flow is sought. */
interface Part {
  readonly branch: Branch;
  readonly feeds: readonly Part[];
  /** Whether it is an outlet that water comes out of. */
  isOpen: boolean;
  flow: number;
  /** The head at its end, and how its loss grows with the flow. */
  head: number;
  resists: number;
  /** How its flow shall change, whatever the head before it does, and with that. */
  change: Sloped;
  step: number;
}

/** An outlet's loss grows by at least so much with the flow, mm for 1 mm³/s: far under that of any pipe. */
const leastResistance = 1e-12;

/**
 * The flow in every branch. What leaves a branch is, to the last digit, what goes into those that it feeds: flows are added up
 * from the outlets, and the heads worked out from the pump; the flows are right where each outlet's head is what it stands at.
 *
 * Newton's steps in the flows of all outlets at once. That of a tree takes one walk up and one down. Since losses rise with the
 * flow and the pump's head falls, the flows make a convex function least (the content of the network), so a step that goes too
 * far is cut until it does not: the search always comes down. At first water may run back from an outlet. One that does so
 * lies too high, with the water that it gives; without that all heads fall, so it stays dry for good, and is closed.
 */
export function solve(branches: readonly Branch[], supply: Supply): Solution {
  const taken = takenBy(branches);
  const lowest = lowestRise(branches);
  if ('flow' in supply) {
    if (supply.flow < taken * (1 - flowSlack) || (lowest === Infinity && supply.flow > taken * (1 + flowSlack))) return { kind: 'no solution', why: 'takes too much', has: supply.flow, needs: taken, branch: null };
  } else {
    const [shutOff] = supply.at(0);
    if (taken === 0 && shutOff <= lowest) return { kind: 'no solution', why: 'does not reach', has: shutOff, needs: lowest, branch: null };
    if (taken >= supply.end) return { kind: 'no solution', why: 'takes too much', has: supply.end, needs: taken, branch: null };
  }
  const parts = branches.map(partOf);
  const outlets = outletsOf(parts);
  const shared = 'flow' in supply ? Math.max(0, supply.flow - taken) : (supply.end - taken) / 2;
  for (const outlet of outlets) outlet.flow = shared / outlets.length;
  const share = () => {
    const total = outlets.reduce((total, outlet) => total + outlet.flow, 0);
    if (total > 0) for (const outlet of outlets) outlet.flow *= shared / total;
  };
  for (;;) {
    const open = outlets.filter((outlet) => outlet.isOpen);
    if (shared > 0) search(parts, open, supply);
    const dry = open.filter((outlet) => outlet.flow < 0);
    if (dry.length === 0) break;
    for (const outlet of dry) [outlet.isOpen, outlet.flow] = [false, 0];
    share();
  }
  // What is given is let out to the last digit.
  if ('flow' in supply) share();
  return told(parts, supply);
}

function partOf(branch: Branch): Part {
  const feeds = 'feeds' in branch ? branch.feeds.map(partOf) : [];
  return { branch, feeds, isOpen: 'rise' in branch, flow: 'takes' in branch ? branch.takes : 0, head: 0, resists: 0, change: [0, 0], step: 0 };
}

const outletsOf = (parts: readonly Part[]): Part[] => parts.flatMap((part) => ('rise' in part.branch ? [part] : outletsOf(part.feeds)));

/** Brings the flows of the open outlets to where their heads are right, with nothing from the others. */
function search(parts: readonly Part[], open: readonly Part[], supply: Supply): void {
  /** The head behind the supply as far as it is known: heads are worked out from there, so that near the end differences keep their digits. */
  let guess = 0;
  const walk = () => {
    const flow = addUp(parts);
    headAll(parts, guess);
    return flow;
  };
  /** How far the head at an outlet's end lies over what it stands at. */
  const excess = ({ branch, head }: Part) => ('rise' in branch ? head - branch.rise : 0);
  /** How far the pump's head lies over the guess, and its fall. A given flow has any head. */
  const beyond = (flow: number): Sloped => ('flow' in supply ? [0, 0] : less(ledOn(supply, flow), guess));
  /** The slope of the content along the step: it falls as long as this is under 0. */
  const slope = (over: number) => -open.reduce((total, outlet) => total + (excess(outlet) + over) * outlet.step, 0);
  for (let count = 0; count < 500; count += 1) {
    const passed = walk();
    const [flow, perHead] = respond(parts);
    const [lack, fall] = beyond(passed);
    const more = 'flow' in supply ? (supply.flow - passed - flow) / perHead : (lack + fall * flow) / (1 - fall * perHead);
    stepAll(parts, more);
    const before = slope(lack);
    // After a step so small, or one that changes heads by less than their digits, nothing is left to mend.
    const from = open.map((outlet) => outlet.flow);
    const total = from.reduce((sum, flow) => sum + Math.abs(flow), 0);
    const steps = open.reduce((sum, outlet) => sum + Math.abs(outlet.step), 0);
    const scale = open.reduce((most, outlet) => Math.max(most, Math.abs(outlet.head), Math.abs(outlet.head - excess(outlet))), Math.abs(guess));
    const isLast = Math.abs(before) <= 4e-15 * scale * steps || open.every((outlet, index) => Math.abs(outlet.step) <= 1e-12 * Math.abs(from[index] as number) + 1e-16 * total);
    guess += more;
    const go = (share: number) => {
      open.forEach((outlet, index) => (outlet.flow = (from[index] as number) + share * outlet.step));
      return walk();
    };
    let went = go(1);
    if (isLast) return;
    let [least, most, share] = [0, 1, 1];
    for (let cuts = 0; cuts < 100; cuts += 1) {
      const after = slope(beyond(went)[0]);
      if (after > -before / 2) most = share;
      else if (share < 1 && after < before / 2) least = share;
      else break;
      share = (least + most) / 2;
      went = go(share);
    }
  }
}

const less = ([value, slope]: Sloped, by: number): Sloped => [value - by, slope];

/** A pump's head, led on straight where the water would run back through it. */
function ledOn(supply: { readonly at: (flow: number) => Sloped }, flow: number): Sloped {
  const [head, fall] = supply.at(Math.max(0, flow));
  return [head + Math.min(0, flow) * fall, fall];
}

function addUp(parts: readonly Part[]): number {
  let total = 0;
  for (const part of parts) {
    if ('feeds' in part.branch) part.flow = addUp(part.feeds);
    total += part.flow;
  }
  return total;
}

function headAll(parts: readonly Part[], before: number): void {
  for (const part of parts) {
    const [loss, resists] = 'pipe' in part.branch ? lossOf(part.branch.pipe, Math.abs(part.flow)) : [0, 0];
    part.head = before - Math.sign(part.flow) * loss;
    part.resists = resists;
    headAll(part.feeds, part.head);
  }
}

/** How the flow into the branches shall change, all in all: at the head before them, and with each mm more of it. */
function respond(parts: readonly Part[]): Sloped {
  let [flow, perHead] = [0, 0];
  for (const part of parts) {
    part.change = [0, 0];
    if ('rise' in part.branch && part.isOpen) {
      const resists = Math.max(part.resists, leastResistance);
      part.change = [(part.head - part.branch.rise) / resists, 1 / resists];
    } else if ('feeds' in part.branch) {
      const [own, ownPerHead] = respond(part.feeds);
      const share = 1 + ownPerHead * part.resists;
      part.change = [own / share, ownPerHead / share];
    }
    flow += part.change[0];
    perHead += part.change[1];
  }
  return [flow, perHead];
}

/** The step of each branch, where the head before it changes by so much. */
function stepAll(parts: readonly Part[], more: number): void {
  for (const part of parts) {
    part.step = part.change[0] + part.change[1] * more;
    stepAll(part.feeds, more - part.resists * part.step);
  }
}

/** The flows that were found, proved: each outlet that flows must stand at its rise, and none that does not may lie under its head. */
function told(parts: readonly Part[], supply: Supply): Solution {
  const flow = addUp(parts);
  headAll(parts, 0);
  const all = allOf(parts);
  const head = 'flow' in supply ? headFor(all) : supply.at(flow)[0];
  headAll(parts, head);
  const scale = Math.max(1, Math.abs(head), ...all.map(({ branch }) => ('rise' in branch ? Math.abs(branch.rise) : 0)));
  for (const { branch, head: has } of all) {
    if ('takes' in branch && !(has >= branch.needs - mostResidual * scale)) return { kind: 'no solution', why: 'takes too much', has, needs: branch.needs, branch: branch.name };
  }
  const offs = all.map(({ branch, flow, head }) => ('rise' in branch ? (flow > 0 ? Math.abs(head - branch.rise) : Math.max(0, head - branch.rise)) : 0));
  const residual = Math.max(0, ...offs) / scale;
  if (!(residual <= mostResidual)) return { kind: 'not converged', residual };
  return { kind: 'flows', flow, head, branches: new Map(all.map(({ branch, flow, head }) => [branch.name, { flow, head }])), residual };
}

const allOf = (parts: readonly Part[]): Part[] => parts.flatMap((part) => [part, ...allOf(part.feeds)]);

/** The head that a given flow needs, from the heads that it would have behind none: what brings it to the outlets, or what those need that take all of it. */
function headFor(all: readonly Part[]): number {
  const wet = all.filter(({ flow }) => flow > 0);
  const lacksOf = (parts: readonly Part[]) => parts.flatMap(({ branch, head }) => ('rise' in branch ? [branch.rise - head] : []));
  const lacks = lacksOf(lacksOf(wet).length > 0 ? wet : all);
  return lacks.length > 0 ? Math.min(...lacks) : Math.max(0, ...all.map(({ branch, head }) => ('needs' in branch ? branch.needs - head : 0)));
}

function takenBy(branches: readonly Branch[]): number {
  return branches.reduce((total, branch) => total + ('takes' in branch ? branch.takes : 'feeds' in branch ? takenBy(branch.feeds) : 0), 0);
}

/** The lowest outlet in the open; without end where there is none. */
function lowestRise(branches: readonly Branch[]): number {
  return Math.min(Infinity, ...branches.map((branch) => ('rise' in branch ? branch.rise : 'feeds' in branch ? lowestRise(branch.feeds) : Infinity)));
}
