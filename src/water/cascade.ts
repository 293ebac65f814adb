import { capacityOf } from './drain.ts';
import type { Drain, WaterTank } from './system.ts';

/** What goes through the drains of a tank. */
export interface Drained {
  readonly tank: WaterTank;
  /** All that comes in, from returns and from the drains of other tanks. */
  readonly inflow: number;
  /** Of each drain, in the tank's order. */
  readonly flows: readonly number[];
  /** What the drains leave over: it runs over the rim. */
  readonly over: number;
}

/** A drain that is blocked. */
export interface Blocked {
  readonly tank: string;
  readonly drain: string;
}

/**
 * What goes through every drain in steady flow: what comes into a tank leaves it. Full siphons take what they can, as they
 * lie lowest, then open drains, then spares; those alike share by what they carry at most.
 * @param tanks each drains into later ones, or the sump
 * @param fed what the returns bring into a tank
 */
export function drained(tanks: readonly WaterTank[], fed: (tank: WaterTank) => number, blocked: Blocked | null = null): Drained[] {
  const received = new Map<string, number>();
  return tanks.map((tank) => {
    const inflow = fed(tank) + (received.get(tank.name) ?? 0);
    const isBlocked = ({ name }: Drain) => blocked !== null && blocked.tank === tank.name && blocked.drain === name;
    const most = tank.drains.map((drain) => (isBlocked(drain) ? 0 : capacityOf(drain).most));
    const flows = tank.drains.map(() => 0);
    let left = inflow;
    for (const isNext of turns) {
      const group = tank.drains.flatMap((drain, index) => (isNext(drain) ? [index] : []));
      const total = group.reduce((sum, index) => sum + (most[index] ?? 0), 0);
      const taken = Math.min(left, total);
      if (taken > 0) for (const index of group) flows[index] = taken * ((most[index] ?? 0) / total);
      left = Math.max(0, left - taken);
    }
    for (const [index, { into }] of tank.drains.entries()) if (into !== null) received.set(into, (received.get(into) ?? 0) + (flows[index] ?? 0));
    return { tank, inflow, flows, over: left };
  });
}

/** Which drains take their share first. */
const turns: readonly ((drain: Drain) => boolean)[] = [
  ({ runs, isSpare }) => !isSpare && runs === 'full siphon',
  ({ runs, isSpare }) => !isSpare && runs === 'open',
  ({ isSpare }) => isSpare,
];
