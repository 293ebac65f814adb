import { circlesOf, distanceOf, isFree, placeTest, type Held, type Lines, type Mover, type Movers } from './movers.ts';
import type { Point } from './shape.ts';

/** A place that can be written down in the steps that the user works in. */
export interface OnSteps extends Held {
  /** How often a step had to be divided further, as the lines of each axis say; 0 where it was not at all, null where nothing was fine enough and the place is as it was found. */
  readonly division: number | null;
}

/** Lines are looked for within so many steps, whole or divided, of the place that was found. */
const nearby = 3;
/** Rounds in which each may come nearer, the others being on their lines. */
const rounds = 3;

/** Puts each mover on lines near its place that it may be written on, the nearest to where it stood that the others leave free; where no line of whole steps leads through the room, of parts of a step. */
export function onSteps(movers: Movers, found: readonly Held[]): OnSteps[] {
  const held = new Map(found.map((one, index): [number, OnSteps] => [index, { ...one, division: distanceOf(one.place) < 1e-9 ? 0 : null }]));
  const farthestFirst = [...held].filter(([, { isOut, division }]) => !isOut && division === null).map(([one, { place }]) => ({ one, way: distanceOf(place) })).sort((a, b) => b.way - a.way || a.one - b.one);
  for (let round = 0; round < rounds; round += 1) {
    for (const { one } of farthestFirst) {
      const now = held.get(one) as OnSteps;
      const next = nearestOnLines(movers, one, held);
      const isBetter = next && (now.division === null || next.division < now.division || (next.division === now.division && distanceOf(next.place) < distanceOf(now.place) - 1e-9));
      if (isBetter) held.set(one, { ...now, ...next });
    }
  }
  return found.map((_, one) => held.get(one) as OnSteps);
}

function nearestOnLines(movers: Movers, one: number, held: ReadonlyMap<number, Held>): { place: Point; division: number } | undefined {
  const mover = movers.all[one] as Mover;
  const { place, level } = held.get(one) as Held;
  const reach = distanceOf(place) + 2 * nearby * Math.max(mover.across.step, mover.up.step);
  const circles = circlesOf(movers, one, level, held, reach);
  const isIn = placeTest(mover, reach, level);
  for (const [division, parts] of mover.across.parts.entries()) {
    const ups = linesNear(mover.up, mover.up.parts[division] ?? parts, place.y);
    const crossings = linesNear(mover.across, parts, place.x).flatMap((x) => ups.map((y) => ({ x, y })));
    const off = ({ x, y }: Point) => Math.hypot(x - place.x, y - place.y);
    const nearest = crossings.sort((a, b) => distanceOf(a) - distanceOf(b) || off(a) - off(b)).find((at) => isFree(at, circles) && isIn(at));
    if (nearest) return { place: nearest, division };
  }
  return undefined;
}

/** The lines near a place; among them, where it is near, the one that the hole stands on, whose number can stay as it is. */
function linesNear({ origin, step }: Lines, parts: number, at: number): number[] {
  const fine = step / parts;
  const middle = Math.round((at - origin) / fine);
  const lines = Array.from({ length: 2 * nearby + 1 }, (_, index) => origin + (middle + index - nearby) * fine);
  return Math.abs(at) <= nearby * fine ? [0, ...lines.filter((line) => Math.abs(line) > 1e-9)] : lines;
}
