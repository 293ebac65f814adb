import { exitLoss, pumpedLosses } from '../trade/water.ts';
import { pumpCurve, type PumpCurve } from './curve.ts';
import { solve, type Branch, type Solution } from './network.ts';
import { areaOf, lossOf, resistanceOf, type Resistance } from './pipe-flow.ts';
import { rootOf } from './root.ts';
import type { Line, PipeRun, Return, WaterSystem } from './system.ts';

/** What a branch of the network is called there. */
export const lineKey = (name: string) => `line ${name}`;
export const returnKey = (tank: string, name: string) => `return ${JSON.stringify([tank, name])}`;
const sideKey = (name: string) => `side ${name}`;

/** What the spec calls a branch. */
export function branchWords({ tanks }: WaterSystem, key: string): string {
  const found = tanks.flatMap((tank) => tank.returns.flatMap(({ name }) => (returnKey(tank.name, name) === key ? [`${name} of ${tank.name}`] : [])));
  return found[0] ?? key;
}

/** What the pump gives, and where it goes. */
export interface Supplied {
  readonly solution: Solution;
  readonly curve: PumpCurve | null;
  /** Head that the valve behind the pump takes per square of the flow; 0 where it stands open, or where there is none. */
  readonly valve: number;
  /** Whether the pump gives less than the valve is set to. */
  readonly isShort: boolean;
}

/** Head that the valve behind the pump takes at a flow, mm. */
export const valveLoss = ({ valve }: Pick<Supplied, 'valve'>, flow: number) => valve * flow * flow;

/** The flow in all that the pump feeds, with its valve set as the spec says. */
export function supplied(system: WaterSystem): Supplied {
  const branches = branchesOf(system);
  const { pump } = system;
  const curve = pump.curve ? pumpCurve(pump.curve) : null;
  if (!curve) return { solution: solve(branches, { flow: pump.flow ?? 0 }), curve, valve: 0, isShort: false };
  const valve = valveFor(branches, curve, pump.throttle);
  return { solution: solve(branches, throttled(curve, valve ?? 0)), curve, valve: valve ?? 0, isShort: valve === null };
}

/** The flow once more, with other pipes and the valve left as it is. */
export function suppliedWith(system: WaterSystem, { curve, valve }: Supplied): Solution {
  return solve(branchesOf(system), curve ? throttled(curve, valve) : { flow: system.pump.flow ?? 0 });
}

/** What the valve has to take for that flow; null where the pump does not give it with the valve open. */
function valveFor(branches: readonly Branch[], curve: PumpCurve, throttle: number | null): number | null {
  if (throttle === null) return 0;
  const wanted = solve(branches, { flow: throttle });
  const spare = throttle < curve.end && wanted.kind === 'flows' ? curve.at(throttle)[0] - wanted.head : -1;
  return spare < 0 ? null : spare / (throttle * throttle);
}

/** A pump behind a valve: the valve takes head with the square of the flow. */
export function throttled(curve: PumpCurve, valve: number): Pick<PumpCurve, 'at' | 'end'> {
  const at = (flow: number) => {
    const [head, slope] = curve.at(flow);
    return [head - valveLoss({ valve }, flow), slope - 2 * valve * flow] as const;
  };
  const end = valve > 0 ? rootOf((flow) => [-at(flow)[0], -at(flow)[1]], 0, curve.end, curve.end) : curve.end;
  return { at, end };
}

/** Head that the pipes need at a flow, mm; null where it does not go through them. */
export function headNeeded(system: WaterSystem, flow: number): number | null {
  const solution = solve(branchesOf(system), { flow });
  return solution.kind === 'flows' ? solution.head : null;
}

/** All that hangs on the pump. */
function branchesOf(system: WaterSystem): Branch[] {
  const { lines, side, pump } = system;
  const all = system.tanks.flatMap((tank) => tank.returns.map((one) => ({ tank: tank.name, one })));
  const given = [...side, ...all.map(({ one }) => one)].reduce((sum, { flow }) => sum + (flow ?? 0), 0);
  const rest = Math.max(0, (pump.flow ?? 0) - given);
  const under = (name: string | null): Branch[] => [
    ...lines.filter(({ from }) => from === name).map((next): Branch => ({ name: lineKey(next.name), pipe: linePipe(next, lines), feeds: under(next.name) })),
    ...all.filter(({ one }) => one.from === name).map(({ tank, one }) => returnBranch(returnKey(tank, one.name), one, lines, rest)),
  ];
  return [...side.map(({ name, flow }): Branch => ({ name: sideKey(name), takes: flow, needs: 0 })), ...under(null)];
}

/** @param rest what a return takes whose pipe is not known */
function returnBranch(name: string, { run, from, rise, flow }: Return, lines: readonly Line[], rest: number): Branch {
  const pipe = run ? returnPipe(run, from, lines) : null;
  if (flow !== null) return { name, takes: flow, needs: (rise ?? 0) + (pipe && rise !== null ? lossOf(pipe, flow)[0] : 0) };
  return pipe && rise !== null ? { name, pipe, rise } : { name, takes: rest, needs: 0 };
}

/** What resists the flow in a line. */
export const linePipe = ({ run, from }: Line, lines: readonly Line[]) => joined(resistanceOf(run, pumpedLosses, 0), from, lines);
/** What resists the flow in the pipe of a return. @param from the line that it comes from */
export const returnPipe = (run: PipeRun, from: string | null, lines: readonly Line[]) => joined(resistanceOf(run, pumpedLosses, exitLoss), from, lines);

/**
 * A pipe with what is lost where its bore differs from that of the line before it: 0.5 (1 - A2 / A1) where it narrows,
 * (A2 / A1 - 1)² where it widens, both in velocity heads of its own (pe-calc.com, minor loss coefficients; Borda and Carnot).
 */
function joined(pipe: Resistance, from: string | null, lines: readonly Line[]): Resistance {
  const before = lines.find(({ name }) => name === from)?.run.bore;
  if (before === undefined) return pipe;
  const ratio = areaOf(pipe.bore) / areaOf(before);
  return { ...pipe, minor: pipe.minor + (ratio < 1 ? 0.5 * (1 - ratio) : (ratio - 1) ** 2) };
}

/** What the elbows of a pipe cost. */
export interface ElbowCost {
  /** The pipe: a line, or the return of a tank. */
  readonly name: string;
  readonly tank: string | null;
  readonly elbows: number;
  /** Head lost in them, mm. */
  readonly head: number;
  /** How much more would go through the pipe without them, and how much less with two more; null where a valve of its own holds it, or the pump's curve is not known, and of more than {@link mostElbowPipes} pipes. */
  readonly without: number | null;
  readonly twoMore: number | null;
}

/** Most pipes for which it is worked out what elbows change: each takes all flows anew, twice. */
export const mostElbowPipes = 60;

/** What the elbows cost in each pipe that the pump feeds, and what two more would. */
export function elbowCosts(system: WaterSystem, supply: Supplied): ElbowCost[] {
  const { solution } = supply;
  const isMany = system.lines.length + system.tanks.reduce((sum, { returns }) => sum + returns.length, 0) > mostElbowPipes;
  if (solution.kind !== 'flows') return [];
  const cost = (key: string, name: string, tank: string | null, run: PipeRun, isFixed: boolean): ElbowCost => {
    const flow = solution.branches.get(key)?.flow ?? 0;
    const per = (elbows: number) => lossOf({ bore: run.bore, length: 0, minor: elbows * pumpedLosses.elbow }, flow)[0];
    const { elbows } = run.parts;
    const change = (count: number): number | null => {
      if (!supply.curve || isFixed || isMany) return null;
      const other = suppliedWith(withElbows(system, key, count), supply);
      return other.kind === 'flows' ? Math.abs((other.branches.get(key)?.flow ?? 0) - flow) : null;
    };
    return { name, tank, elbows, head: per(elbows), without: elbows === 0 ? 0 : change(0), twoMore: change(elbows + 2) };
  };
  return [
    ...system.lines.map(({ name, run }) => cost(lineKey(name), name, null, run, false)),
    ...system.tanks.flatMap((tank) => tank.returns.flatMap(({ name, run, flow }) => (run ? [cost(returnKey(tank.name, name), name, tank.name, run, flow !== null)] : []))),
  ];
}

/** The same with so many elbows in one pipe. */
function withElbows(system: WaterSystem, key: string, elbows: number): WaterSystem {
  const changed = (run: PipeRun, own: string): PipeRun => (own === key ? { ...run, parts: { ...run.parts, elbows } } : run);
  return {
    ...system,
    lines: system.lines.map((line) => ({ ...line, run: changed(line.run, lineKey(line.name)) })),
    tanks: system.tanks.map((tank) => ({ ...tank, returns: tank.returns.map((one) => ({ ...one, run: one.run && changed(one.run, returnKey(tank.name, one.name)) })) })),
  };
}
