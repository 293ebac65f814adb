import { notDrilled } from '../trade/limits.ts';
import { forbiddenBy } from './allowed.ts';
import { clearanceToCore, leastDistance, levels, obstaclesOfOther, standingObstacles, type Level, type Obstacle } from './obstacles.ts';
import type { Hole, Panel } from './panel.ts';
import { cutsOfBox, makeRegion, type Region } from './region.ts';
import { boundsOf, distanceBetween, type Point, type Rect } from './shape.ts';

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
  const { obstacles, outline, farthest } = workOf(panel, hole, others);
  for (const level of [...levels].reverse()) {
    const regionAt = (more: number) => makeRegion(outline, forbiddenBy(obstacles, level, more), cutsOfBox(within));
    if (obstacles.length === 0 || isEmpty(regionAt(0))) continue;
    const most = lastTrue(0, farthest, (more) => !isEmpty(regionAt(more)));
    const { x, y } = middleOf(regionAt(most));
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
  const { obstacles, outline } = workOf(panel, hole, others);
  if (notDrilled[panel.material]) return { level, short: null, narrower: null, between: [] };
  const regionFor = (of: readonly Obstacle[], more: number) => makeRegion(outline, forbiddenBy(of, level, more), cutsOfBox(within));
  const regionAt = (more: number) => regionFor(obstacles, more);
  if (!isEmpty(regionAt(0))) return undefined;
  // Edges must stay forbidden, by the strictest of their rules.
  const lowest = -Math.min(...forbiddenBy(obstacles, level).filter(({ core }) => core.kind === 'segment').map(({ radius }) => radius)) + 1e-3;
  const narrowest = -hole.diameter + 1e-3;
  const hasRoomBy = (more: number) => !isEmpty(regionFor(workOf(panel, widened(hole, more), others).obstacles, 0));
  const narrower = hasRoomBy(narrowest) ? -lastTrue(narrowest, 0, hasRoomBy) : null;
  if (lowest >= 0 || isEmpty(regionAt(lowest))) return { level, short: null, narrower, between: [] };
  const most = lastTrue(lowest, 0, (more) => !isEmpty(regionAt(more)));
  const center = middleOf(regionAt(most));
  const spares = obstacles.map((obstacle) => ({ obstacle, spare: spareAt(center, [obstacle], level) }));
  return { level, short: -most, narrower, between: spares.filter(({ spare }) => spare < most + 1e-3).map(({ obstacle }) => obstacle) };
}

/** The hole with all of it wider, mm. */
function widened(hole: Omit<Hole, 'center'>, more: number): Omit<Hole, 'center'> {
  const wider = (width: number | undefined) => (width === undefined ? undefined : width + more);
  return { ...hole, diameter: hole.diameter + more, flange: wider(hole.flange), nut: wider(hole.nut), gasket: wider(hole.gasket) };
}

function workOf(panel: Panel, hole: Omit<Hole, 'center'>, others: readonly Hole[]) {
  const anywhere: Hole = { ...hole, center: { x: 0, y: 0 } };
  const { left, right, bottom, top } = boundsOf(panel.outline);
  return { outline: panel.outline, farthest: Math.hypot(right - left, top - bottom), obstacles: [...standingObstacles(panel, anywhere), ...others.flatMap((other) => obstaclesOfOther(panel, anywhere, other))] };
}

const isEmpty = (region: Region) => region.loops.length === 0;

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
function spareAt(center: Point, obstacles: readonly Obstacle[], level: Level): number {
  return Math.min(...obstacles.map((obstacle) => clearanceToCore(center, obstacle.core).distance - leastDistance(obstacle, level)));
}
