import { drained, type Blocked, type Drained } from './cascade.ts';
import { runningLevel } from './levels.ts';
import { runBack, type RunBack } from './run-back.ts';
import { lineKey, returnKey, supplied, type Supplied } from './supply.ts';
import type { WaterSystem, WaterTank } from './system.ts';

/** A tank in steady flow. */
export interface TankFlow extends Drained {
  /** How far its water stands under the top edge, mm; null where no weir is told. */
  readonly level: number | null;
}

/** All that is known of how the water goes. Flows in mm³/s. */
export interface Balance {
  readonly supply: Supplied;
  /** Through a return of a tank, and a line; 0 where the pump's water cannot be worked out. */
  readonly returnFlow: (tank: string, name: string) => number;
  readonly lineFlow: (name: string) => number;
  readonly tanks: readonly TankFlow[];
  /** The same with each drain that runs blocked in turn. */
  readonly blocked: readonly { readonly drain: Blocked; readonly tanks: readonly TankFlow[] }[];
  readonly runBack: RunBack;
}

/** What was worked out already: check and flow pages ask for the same. */
const known = new WeakMap<WaterSystem, Balance>();

/** How the water goes through all that the spec tells of. */
export function balanceOf(system: WaterSystem): Balance {
  const balance = known.get(system) ?? workOut(system);
  known.set(system, balance);
  return balance;
}

function workOut(system: WaterSystem): Balance {
  const supply = supplied(system);
  const { solution } = supply;
  const flowOf = (key: string) => (solution.kind === 'flows' ? (solution.branches.get(key)?.flow ?? 0) : 0);
  const returnFlow = (tank: string, name: string) => flowOf(returnKey(tank, name));
  const fed = (tank: WaterTank) => tank.returns.reduce((sum, { name }) => sum + returnFlow(tank.name, name), 0);
  const withLevels = (blocked: Blocked | null) => drained(system.tanks, fed, blocked).map((one): TankFlow => ({ ...one, level: runningLevel(one.tank, one.inflow, blocked) }));
  const tanks = withLevels(null);
  const blocked = system.tanks.flatMap((tank) =>
    tank.drains.filter(({ isSpare }) => !isSpare).map(({ name }) => {
      const drain = { tank: tank.name, drain: name };
      return { drain, tanks: withLevels(drain) };
    }),
  );
  return { supply, returnFlow, lineFlow: (name) => flowOf(lineKey(name)), tanks, blocked, runBack: runBack(system, tanks) };
}
