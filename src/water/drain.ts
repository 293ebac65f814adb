import { flowPer } from '../trade/flow.ts';
import { millimetresPer } from '../trade/units.ts';
import { drainLosses, entranceLoss, exitLoss } from '../trade/water.ts';
import { flowAt, resistanceOf } from './pipe-flow.ts';
import type { Drain } from './system.ts';
import { francisCoefficient } from './weir.ts';

/** Shares of an upright pipe's section that water may fill: the usual limit of plumbing stacks, and where it still runs quietly (both from memory). */
const [stackShare, quietShare] = [7 / 24, 1 / 4];

/**
 * What runs down the wall of an upright pipe with air in its middle, mm³/s: q = 27.8 r^(5/3) d^(8/3), q in gpm, d in inches, r
 * the share of the section that water fills (Wyly and Eaton, NBS Monograph 31, 1961; from memory).
 */
function stackFlow(bore: number, share: number): number {
  return 27.8 * share ** (5 / 3) * (bore / millimetresPer.in) ** (8 / 3) * flowPer.gpm;
}

/** What runs quietly down an upright pipe that air can enter, a quarter of it filled with water, mm³/s. @param bore mm */
export function quietFlow(bore: number): number {
  return stackFlow(bore, quietShare);
}

/** Head of the water over an opening that is turned up, mm, where that much runs into it over its rim: Francis along the whole rim, without ends (common practice, no source). @param bore mm @param flow mm³/s */
export function headOverRim(bore: number, flow: number): number {
  return (flow / (francisCoefficient * Math.PI * bore)) ** (2 / 3);
}

/**
 * What a drain carries, mm³/s: at the most, with its pipe full of water, where entrance, parts, friction and exit take the whole
 * drop; and what can be relied on. A full siphon is throttled to run full, so both are the same. An open drain draws air: it is
 * relied on for no more than an upright pipe carries that water fills to 7/24.
 */
export function capacityOf(drain: Drain): Capacity {
  const known = capacities.get(drain) ?? workedOut(drain);
  capacities.set(drain, known);
  return known;
}

/** What drains carry together, mm³/s. */
export function carriedBy(drains: readonly Drain[], which: keyof Capacity = 'reliable'): number {
  return drains.reduce((sum, drain) => sum + capacityOf(drain)[which], 0);
}

interface Capacity {
  readonly reliable: number;
  readonly most: number;
}

/** Of drains that were asked for before: each is asked for again with every other one blocked. */
const capacities = new WeakMap<Drain, Capacity>();

function workedOut({ run, runs, drop, rated }: Drain): Capacity {
  if (rated !== null) return { reliable: rated, most: rated };
  if (!run || drop === null) return { reliable: 0, most: 0 };
  const [full] = flowAt(resistanceOf(run, drainLosses, entranceLoss + exitLoss), drop);
  return { reliable: runs === 'open' ? Math.min(full, stackFlow(run.bore, stackShare)) : full, most: full };
}
