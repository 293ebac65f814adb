import { boreOf, pipeSizes, type PipeSize } from '../trade/pipe.ts';
import { pipeSpeed } from '../trade/water.ts';
import { drained, type Blocked } from './cascade.ts';
import { carriedBy } from './drain.ts';
import { speedIn } from './pipe-flow.ts';
import { returnKey, supplied } from './supply.ts';
import type { Drain, PipeRun, Return, WaterSystem, WaterTank } from './system.ts';

/** The run in another size of pipe. */
export function inSize(run: PipeRun, size: PipeSize): PipeRun {
  const schedule = run.schedule ?? 40;
  return { ...run, size, schedule, name: `${size} in schedule ${schedule}`, bore: boreOf(size, schedule) };
}

/** The next larger size; null for the largest, and where no size is known. */
function larger({ size }: PipeRun): PipeSize | null {
  return size === null ? null : (pipeSizes[pipeSizes.indexOf(size) + 1] ?? null);
}

/**
 * Chooses the pipes whose size is left open: of each the smallest that carries its flow. A return grows while its water runs
 * faster than good practice has it, or while the pump does not press its water through; the drains of a tank, smallest first,
 * until they carry its inflow and the reserve, and the inflow with any one of them blocked, or one of a tank that drains into
 * it. What the largest size does not carry is the check's to tell.
 * @param system its runs with `isChosen` have the smallest size
 */
export function chooseSizes(system: WaterSystem): WaterSystem {
  return withDrains(withReturns(system));
}

function withReturns(system: WaterSystem): WaterSystem {
  const { solution } = supplied(system);
  let hasGrown = false;
  const isNarrow = (key: string, { run, flow }: Return) =>
    solution.kind === 'flows' ? speedIn(run?.bore ?? 0, solution.branches.get(key)?.flow ?? 0) > pipeSpeed.value : (solution.kind === 'no solution' && solution.branch === key) || (run !== null && flow !== null && speedIn(run.bore, flow) > pipeSpeed.value);
  const grown = (tank: WaterTank, one: Return): Return => {
    const { run } = one;
    const next = run?.isChosen ? larger(run) : null;
    if (!run || next === null || !isNarrow(returnKey(tank.name, one.name), one)) return one;
    hasGrown = true;
    return { ...one, run: inSize(run, next) };
  };
  const tanks = system.tanks.map((tank) => ({ ...tank, returns: tank.returns.map((one) => grown(tank, one)) }));
  return hasGrown ? withReturns({ ...system, tanks }) : system;
}

function withDrains(system: WaterSystem): WaterSystem {
  const { solution } = supplied(system);
  if (solution.kind !== 'flows') return system;
  const fed = (tank: WaterTank) => tank.returns.reduce((sum, { name }) => sum + (solution.branches.get(returnKey(tank.name, name))?.flow ?? 0), 0);
  // A tank's inflow is known once the tanks before it have their drains.
  return system.tanks.reduce((done, { name }, at): WaterSystem => {
    const inflowWith = (blocked: Blocked | null) => drained(done.tanks, fed, blocked)[at]?.inflow ?? 0;
    const before = done.tanks.slice(0, at).flatMap((tank) => tank.drains.filter(({ isSpare }) => !isSpare).map((drain) => ({ tank: tank.name, drain: drain.name })));
    const inflow = inflowWith(null);
    const most = Math.max(inflow, ...before.map(inflowWith));
    return { ...done, tanks: done.tanks.map((tank) => (tank.name === name ? { ...tank, drains: sized(tank.drains, inflow, most, done.reserve) } : tank)) };
  }, system);
}

/** The drains of a tank, grown one size at a time. @param most what comes in with the worst drain of the tanks before it blocked */
function sized(drains: readonly Drain[], inflow: number, most: number, reserve: number): readonly Drain[] {
  const growable = (some: readonly Drain[]) => smallest(some.filter(({ run }) => run?.isChosen && larger(run) !== null));
  const working = drains.filter(({ isSpare }) => !isSpare);
  const spares = drains.filter(({ isSpare }) => isSpare);
  const lost = working.find((drain) => carriedBy(drains.filter((other) => other !== drain)) < inflow);
  const next =
    (carriedBy(working) < inflow * (1 + reserve) ? growable(working) : undefined) ??
    (lost ? (growable(spares) ?? growable(working.filter((drain) => drain !== lost))) : undefined) ??
    (carriedBy(drains) < most ? growable(drains) : undefined);
  if (!next?.run) return drains;
  const run = inSize(next.run, larger(next.run) as PipeSize);
  return sized(drains.map((drain) => (drain === next ? { ...drain, run } : drain)), inflow, most, reserve);
}

function smallest(drains: readonly Drain[]): Drain | undefined {
  return drains.reduce<Drain | undefined>((least, drain) => (least?.run && drain.run && drain.run.bore < least.run.bore ? drain : (least ?? drain)), undefined);
}
