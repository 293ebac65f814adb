import type { WaterDiagram } from './water-diagram.ts';

/** Which way the pipes of the flow diagram go, before anything has a size: numbers of pipes, in order. */

/** What leaves and enters the tanks, and the lanes beside them that drains fall in. */
export interface Ways {
  /** For each tank, the pipes from the pump. */
  readonly feeds: readonly (readonly number[])[];
  /** For each tank, its drains from the top down: the one that goes furthest first, so that it passes round the others. */
  readonly outs: readonly (readonly number[])[];
  /** For each tank, the drains that run into it, from the highest down: from the nearest tank first. */
  readonly ins: readonly (readonly number[])[];
  /** Straight from the pump into the sump. */
  readonly toSump: readonly number[];
  /** Lane of each drain by its number: 0 next to the tanks. */
  readonly lanes: ReadonlyMap<number, number>;
  readonly laneCount: number;
}

/** More than the pipes of any diagram: apart by this much, the places of two tanks have room for all their pipes between. */
const apart = 1000;

/**
 * A drain lies outside of all that it passes by, so that drains cross only where one goes past the tank that another ends
 * at and that other began above it. Drains that lie one below the other share a lane.
 */
export function waysOf({ tanks, pipes }: WaterDiagram): Ways {
  const numbered = pipes.map((pipe, number) => ({ number, from: pipe.from, to: pipe.to === 'sump' ? tanks.length : pipe.to }));
  const drains = numbered.flatMap(({ number, from, to }) => (from === 'pump' ? [] : [{ number, from, to }]));
  const feeds = tanks.map((_, tank) => numbered.filter(({ from, to }) => from === 'pump' && to === tank).map(({ number }) => number));
  const outs = tanks.map((_, tank) => drains.filter(({ from }) => from === tank).sort((a, b) => b.to - a.to || a.number - b.number).map(({ number }) => number));
  const rank = new Map(outs.flatMap((pipes) => pipes.map((number, place) => [number, place] as const)));
  const rankOf = (number: number) => rank.get(number) ?? 0;
  const ins = tanks.map((_, tank) => drains.filter(({ to }) => to === tank).sort((a, b) => b.from - a.from || rankOf(b.number) - rankOf(a.number)).map(({ number }) => number));

  const lanes = new Map<number, number>();
  const taken: { readonly low: number; readonly high: number; readonly lane: number }[] = [];
  for (const { number, from, to } of [...drains].sort((a, b) => Math.abs(a.to - a.from) - Math.abs(b.to - b.from) || rankOf(b.number) - rankOf(a.number))) {
    const ends = [from * apart + apart / 2 + rankOf(number), to * apart + Math.max(0, ins[to]?.indexOf(number) ?? 0)];
    const [low, high] = [Math.min(...ends), Math.max(...ends)];
    const lane = Math.max(-1, ...taken.filter((other) => other.low <= high && other.high >= low).map((other) => other.lane)) + 1;
    taken.push({ low, high, lane });
    lanes.set(number, lane);
  }
  return { feeds, outs, ins, toSump: numbered.filter(({ from, to }) => from === 'pump' && to === tanks.length).map(({ number }) => number), lanes, laneCount: Math.max(0, ...[...lanes.values()].map((lane) => lane + 1)) };
}
