import { flowAt, lossOf, type Resistance } from './pipe-flow.ts';
import { rootOf, type Sloped } from './root.ts';

/**
 * Steady flow in pipes that branch and end in the open. Heads in mm over the sump's level, flows in mm³/s. Water goes one
 * way: where the head does not reach an outlet, nothing comes out of it.
 */

/** A pipe and what it ends in. */
export type Branch =
  /** Ends in the open, or under the water of a tank, so high over the sump. */
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

/**
 * The flow in every branch. What leaves a branch is, to the last digit, what goes into those that it feeds: flows are added up
 * from the outlets, and the heads are what is solved for. Each pipe's flow rises with the head before it, so each is found
 * within a bracket, from the outlets up to the pump.
 */
export function solve(branches: readonly Branch[], supply: Supply): Solution {
  const into = (head: number): Sloped => sum(branches, head);
  const taken = takenBy(branches);
  const lowest = lowestRise(branches);
  if ('flow' in supply) {
    if (supply.flow < taken || (lowest === Infinity && supply.flow > taken)) return { kind: 'no solution', why: 'takes too much', has: supply.flow, needs: taken, branch: null };
    let high = Math.max(1, lowest + 1);
    for (let count = 0; into(high)[0] < supply.flow && count < 200; count += 1) high = lowest + (high - lowest) * 2;
    const head = lowest === Infinity ? neededHead(branches) : rootOf((head) => less(into(head), supply.flow), lowest, high);
    return told(branches, head);
  }
  const shutOff = supply.at(0)[0];
  if (taken === 0 && shutOff <= lowest) return { kind: 'no solution', why: 'does not reach', has: shutOff, needs: lowest, branch: null };
  if (taken >= supply.end) return { kind: 'no solution', why: 'takes too much', has: supply.end, needs: taken, branch: null };
  const flow = rootOf((flow) => {
    const [head, fall] = supply.at(flow);
    const [through, slope] = into(head);
    return [flow - through, 1 - slope * fall];
  }, 0, supply.end, supply.end / 2);
  return told(branches, supply.at(flow)[0]);
}

const less = ([value, slope]: Sloped, by: number): Sloped => [value - by, slope];

function sum(branches: readonly Branch[], head: number): Sloped {
  let [flow, slope] = [0, 0];
  for (const branch of branches) {
    const [own, rise] = flowInto(branch, head);
    flow += own;
    slope += rise;
  }
  return [flow, slope];
}

/** What goes into a branch at that head before it. */
function flowInto(branch: Branch, head: number): Sloped {
  if ('takes' in branch) return [branch.takes, 0];
  if ('rise' in branch) return flowAt(branch.pipe, head - branch.rise);
  const [most] = sum(branch.feeds, head);
  if (most === 0) return [0, 0];
  const beyond = (flow: number) => {
    const [loss, resists] = lossOf(branch.pipe, flow);
    const [through, slope] = sum(branch.feeds, head - loss);
    return { resists, through, slope };
  };
  const flow = rootOf((flow) => {
    const { resists, through, slope } = beyond(flow);
    return [flow - through, 1 + slope * resists];
  }, 0, most, most);
  const { resists, slope } = beyond(flow);
  return [flow, slope / (1 + slope * resists)];
}

/** The flows at that head behind the pump, proved: heads are worked out anew from the flows that the outlets let out. */
function told(branches: readonly Branch[], head: number): Solution {
  const all = new Map<string, { flow: number; head: number }>();
  let scale = Math.max(1, Math.abs(head));
  let residual = 0;
  /** The flow of each branch from its outlets up, at the heads that the search found. */
  const flowOf = (branch: Branch, before: number): number => {
    if (!('feeds' in branch)) {
      const [flow] = flowInto(branch, before);
      all.set(branch.name, { flow, head: before });
      return flow;
    }
    const [through] = flowInto(branch, before);
    const after = before - lossOf(branch.pipe, through)[0];
    const flow = branch.feeds.reduce((total, next) => total + flowOf(next, after), 0);
    all.set(branch.name, { flow, head: after });
    return flow;
  };
  const flow = branches.reduce((total, branch) => total + flowOf(branch, head), 0);
  let short: { branch: string; has: number; needs: number } | undefined;
  const prove = (branch: Branch, before: number) => {
    const own = all.get(branch.name)?.flow ?? 0;
    const after = 'takes' in branch ? before : before - lossOf(branch.pipe, own)[0];
    all.set(branch.name, { flow: own, head: after });
    if ('takes' in branch && before < branch.needs - mostResidual * scale) short ??= { branch: branch.name, has: before, needs: branch.needs };
    if ('rise' in branch) {
      scale = Math.max(scale, Math.abs(branch.rise));
      if (own > 0 || before > branch.rise) residual = Math.max(residual, Math.abs(after - branch.rise));
    }
    if ('feeds' in branch) for (const next of branch.feeds) prove(next, after);
  };
  for (const branch of branches) prove(branch, head);
  if (short) return { kind: 'no solution', why: 'takes too much', ...short };
  if (residual > mostResidual * scale) return { kind: 'not converged', residual: residual / scale };
  return { kind: 'flows', flow, head, branches: all, residual: residual / scale };
}

function takenBy(branches: readonly Branch[]): number {
  return branches.reduce((total, branch) => total + ('takes' in branch ? branch.takes : 'feeds' in branch ? takenBy(branch.feeds) : 0), 0);
}

/** The lowest outlet in the open; without end where there is none. */
function lowestRise(branches: readonly Branch[]): number {
  return Math.min(Infinity, ...branches.map((branch) => ('rise' in branch ? branch.rise : 'feeds' in branch ? lowestRise(branch.feeds) : Infinity)));
}

/** The head that branches need which all take what is given. */
function neededHead(branches: readonly Branch[]): number {
  return Math.max(0, ...branches.map((branch) => ('needs' in branch ? branch.needs : 'feeds' in branch ? lossOf(branch.pipe, takenBy([branch]))[0] + neededHead(branch.feeds) : 0)));
}
