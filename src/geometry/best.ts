import { notDrilled } from '../trade/limits.ts';
import { forbiddenBy } from './allowed.ts';
import { clearanceToCore, leastDistance, levels, obstaclesOfOther, standingObstacles, type Level, type Obstacle } from './obstacles.ts';
import type { Hole, Panel } from './panel.ts';
import { cutsOfBox, makeRegion, outermost, type Region } from './region.ts';
import { boundsOf, cornersOf, distanceBetween, isInside, type Point, type Rect } from './shape.ts';

/** Where a hole is best placed. Lengths in mm. */
export interface BestPlace {
  readonly center: Point;
  /** Least room there over what the level asks. */
  readonly spare: number;
  /** Good practice where it has a place, else the published minimum. */
  readonly level: Level;
}

/** Why a hole finds no place. */
export interface NoRoom {
  readonly level: Level;
  /** By how much the distances would have to be less for a first place, mm; null where that would not help. */
  readonly short: number | null;
  /** By how much the hole and its parts would have to be narrower for a first place, mm; null where that would not help. */
  readonly narrower: number | null;
  /** What it would touch there. */
  readonly between: readonly Obstacle[];
}

/** Spare room is found to this, mm. */
const spareSlack = 1e-7;

/**
 * The place where the least spare room that a hole has over what good practice asks is largest, or over the published
 * minimum where good practice has no place. Where several places have the most, the middle of them.
 *
 * The region for the hole shrinks as more is asked of every distance; the most that leaves a region is found by halving, and
 * the place is in what is left. So the spare room is within 1e-6 mm of the largest there is.
 * @param hole what it is like; where it stands is not looked at
 * @param within where the centre may be, panel coordinates; without width or height where one of them is given
 * @returns undefined where not even the minimum has a place
 */
export function bestPlace(panel: Panel, hole: Omit<Hole, 'center'>, others: readonly Hole[], within: Rect): BestPlace | undefined {
  const obstacles = obstaclesFor(panel, hole, others);
  if (obstacles.length === 0) return undefined;
  for (const level of [...levels].reverse()) {
    const last = lastRoom({ panel, obstacles, level, within }, 0);
    if (!last) continue;
    const { x, y } = last.center;
    const inside = (at: number, low: number, high: number) => Math.min(high, Math.max(low, at));
    const [exact, round] = [(at: number) => at, (at: number) => Math.round(at * 1e6) / 1e6].map((as) => ({ x: inside(as(x), within.left, within.right), y: inside(as(y), within.bottom, within.top) })) as [Point, Point];
    // Rounded where that costs nothing.
    const center = spareAt(exact, obstacles, level) > spareAt(round, obstacles, level) + spareSlack ? exact : round;
    return { center, spare: spareAt(center, obstacles, level), level };
  }
  return undefined;
}

/** What leaves a hole no place at a level, and by how much; undefined where it has one. */
export function whyNoRoom(panel: Panel, hole: Omit<Hole, 'center'>, others: readonly Hole[], level: Level, within: Rect = boundsOf(panel.outline)): NoRoom | undefined {
  if (notDrilled[panel.material]) return { level, short: null, narrower: null, between: [] };
  const obstacles = obstaclesFor(panel, hole, others);
  const sought = { panel, obstacles, level, within };
  if (!isEmpty(regionAt(sought, 0))) return undefined;
  // Edges must stay forbidden, by the strictest of their rules.
  const lowest = -Math.min(...forbiddenBy(obstacles, level).filter(({ core }) => core.kind === 'segment').map(({ radius }) => radius)) + 1e-3;
  const narrowest = -hole.diameter + 1e-3;
  const hasRoomBy = (more: number) => !isEmpty(regionAt({ ...sought, obstacles: obstaclesFor(panel, widened(hole, more), others) }, 0));
  const narrower = hasRoomBy(narrowest) ? -lastTrue(narrowest, 0, hasRoomBy) : null;
  const last = lowest < 0 ? lastRoom(sought, lowest) : undefined;
  if (!last) return { level, short: null, narrower, between: [] };
  const { most, center } = last;
  return { level, short: -most, narrower, between: obstacles.filter((obstacle) => spareAt(center, [obstacle], level) < most + 1e-3) };
}

/** The largest number between two at which something that is true at the first is still true, within {@link spareSlack}. */
function lastTrue(low: number, high: number, isTrue: (at: number) => boolean): number {
  let [yes, no] = [low, high];
  while (no - yes > spareSlack) {
    const middle = (yes + no) / 2;
    if (isTrue(middle)) yes = middle;
    else no = middle;
  }
  return yes;
}

/** The hole with all of it wider, mm. */
function widened(hole: Omit<Hole, 'center'>, more: number): Omit<Hole, 'center'> {
  const wider = (width: number | undefined) => (width === undefined ? undefined : width + more);
  return { ...hole, diameter: hole.diameter + more, flange: wider(hole.flange), nut: wider(hole.nut), gasket: wider(hole.gasket) };
}

/** All that a hole keeps away from, wherever it is. */
export function obstaclesFor(panel: Panel, hole: Omit<Hole, 'center'>, others: readonly Hole[]): Obstacle[] {
  const anywhere: Hole = { ...hole, center: { x: 0, y: 0 } };
  return [...standingObstacles(panel, anywhere), ...others.flatMap((other) => obstaclesOfOther(panel, anywhere, other))];
}

/** Where room is sought: what keeps off, and the box to look in. */
interface Sought {
  readonly panel: Panel;
  readonly obstacles: readonly Obstacle[];
  readonly level: Level;
  readonly within: Rect;
}

/** @param more asked of every distance besides, mm */
const regionAt = ({ panel, obstacles, level, within }: Sought, more: number) => makeRegion(panel.outline, forbiddenBy(obstacles, level, more), cutsOfBox(within));

const isEmpty = (region: Region) => region.loops.length === 0;

/** More than a region is drawn too large by, mm. */
const drawnLarge = 2e-6;

/** Round what is left, so that cuts keep off its own boundary, mm. */
const margin = 1e-3;

/**
 * The most that may be asked of every distance besides so that a region is left, within {@link spareSlack}, and the middle
 * of that. What is left lies in what was left of less: so only that is looked at, and what can matter there.
 * @param start what to ask at first
 * @returns undefined where that leaves no region
 */
function lastRoom({ panel, obstacles, level, within }: Sought, start: number): { readonly most: number; readonly center: Point } | undefined {
  let [sought, yes, no]: [Sought, number, number] = [{ panel, obstacles, level, within }, start, Infinity];
  let best: Point | undefined;
  /** Looks from now on within that box alone, and at what matters there. */
  const keepTo = (room: Rect) => {
    const { left, right, bottom, top } = sought.within;
    const box = { left: Math.max(left, room.left - margin), right: Math.min(right, room.right + margin), bottom: Math.max(bottom, room.bottom - margin), top: Math.min(top, room.top + margin) };
    const { middle, half } = middleAndHalf(box);
    sought = { ...sought, within: box, obstacles: sought.obstacles.filter((obstacle) => spareAt(middle, [obstacle], level) - half < no) };
  };
  const take = (place: Point, spare: number) => {
    if (spare >= yes) [best, yes] = [place, spare];
  };
  /** Leaves out cells of the box that are too far from any place with so much room, as room grows no faster than one goes. */
  const narrow = () => {
    for (let [before, size] = [Infinity, sizeOf(sought.within)]; size < before / 2; [before, size] = [size, sizeOf(sought.within)]) {
      const cells = cellsOf(sought.within).map((cell) => {
        const { middle, half } = middleAndHalf(cell);
        const spare = spareAt(middle, sought.obstacles, level);
        if (spare >= yes && isInside(middle, panel.outline)) take(middle, spare);
        return { cell, most: spare + half };
      });
      const kept = cells.filter(({ most }) => most > yes - drawnLarge);
      no = Math.min(no, Math.max(yes, ...kept.map(({ most }) => most)) + drawnLarge);
      if (kept.length > 0) keepTo(boundsOf(kept.flatMap(({ cell }) => cornersOf(cell))));
    }
  };
  /** Looks whether a region is left. */
  const look = (more: number) => {
    const region = regionAt(sought, more);
    if (isEmpty(region)) {
      no = Math.min(no, more);
      return;
    }
    const middle = middleOf(region);
    take(middle, Math.max(more, spareAt(middle, sought.obstacles, level)));
    keepTo(boundsOf(region.loops.flatMap((loop) => loop.flatMap(outermost))));
  };
  narrow();
  if (!best) look(start);
  if (!best) return undefined;
  while (no - yes > spareSlack) {
    // Often the best that is known is the best there is, and this settles it.
    if (no - yes > 2 * drawnLarge) look(yes + drawnLarge);
    if (no - yes > spareSlack) look((yes + no) / 2);
    if (no - yes > spareSlack) narrow();
  }
  // At the very last a region may be too narrow to be found twice.
  const region = regionAt(sought, yes);
  return { most: yes, center: isEmpty(region) ? best : middleOf(region) };
}

const sizeOf = ({ left, right, bottom, top }: Rect) => right - left + top - bottom;

function middleAndHalf({ left, right, bottom, top }: Rect): { middle: Point; half: number } {
  return { middle: { x: (left + right) / 2, y: (bottom + top) / 2 }, half: Math.hypot(right - left, top - bottom) / 2 };
}

/** A box in so many cells each way. */
const cellsEachWay = 12;

function cellsOf({ left, right, bottom, top }: Rect): Rect[] {
  const [dx, dy] = [(right - left) / cellsEachWay, (top - bottom) / cellsEachWay];
  const count = Array.from({ length: cellsEachWay }, (_, index) => index);
  return count.flatMap((i) => count.map((j) => ({ left: left + i * dx, right: left + (i + 1) * dx, bottom: bottom + j * dy, top: bottom + (j + 1) * dy })));
}

/** The middle of a small or narrow region: of its boundary, or the point of the region that is nearest to that. */
function middleOf(region: Region): Point {
  const lengthOf = (loop: Region['loops'][number]) => loop.reduce((sum, { from, to }) => sum + distanceBetween(from, to), 0);
  const longest = region.loops.reduce((best, loop) => (lengthOf(loop) > lengthOf(best) ? loop : best));
  const length = lengthOf(longest);
  if (length === 0) return (longest[0] as Region['loops'][number][number]).from;
  const mean = (along: 'x' | 'y') => longest.reduce((sum, { from, to }) => sum + (distanceBetween(from, to) * (from[along] + to[along])) / 2, 0) / length;
  const middle = { x: mean('x'), y: mean('y') };
  return region.nearest(middle) ?? middle;
}

/** How much more room there is at a place than the obstacles ask, mm. */
export function spareAt(center: Point, obstacles: readonly Obstacle[], level: Level): number {
  return Math.min(...obstacles.map((obstacle) => clearanceToCore(center, obstacle.core).distance - leastDistance(obstacle, level)));
}
