import { Delaunay } from 'd3-delaunay';
import Flatbush from 'flatbush';
import { notDrilled } from '../trade/limits.ts';
import { leastApart, leastDistance, obstaclesOfOther, standingObstacles, type Core, type Level, type Obstacle } from './obstacles.ts';
import { partWidth, type Hole, type Panel } from './panel.ts';
import { boxOfCore, boxSearch, cutsOfBox, makeRegion, once, type Forbidden, type Region } from './region.ts';
import { boundsOf, cornersOf, distanceBetween, edgesOf, leftNormal, signedArea, type Point, type Rect, type Segment } from './shape.ts';

/**
 * Where the centre of each hole of a panel may be, all other holes staying where they are: no rule that depends on place is
 * broken there at that level. That of a box's hole lies within the box. Nowhere, where the material is not drilled. Places and lengths in mm, areas in mm².
 */
export interface AllowedPlaces {
  /** The whole region for a hole. */
  regionOf(index: number, level: Level): Region;
  /** The size of that region; for many holes much quicker, as holes of one size share the work. */
  sizeOf(index: number, level: Level): number;
  /** The part of the region whose points are nearer to this hole's centre than to any other's; of several holes at one place the first has it all. */
  nearRegionOf(index: number, level: Level): Region;
  /** The place that is nearest to the hole's own; undefined where there is none. */
  nearest(index: number, level: Level): Point | undefined;
  has(index: number, level: Level, p: Point): boolean;
  /** Area of the panel. */
  readonly panelSize: number;
  /** How much the sizes of all holes' regions ask for: every hole once for each size of holes, and all that lie about each hole. */
  sizesWork(): number;
}

const nowhere: Region = { size: 0, loops: [], has: () => false, nearest: () => undefined };

/** What is nearer to one hole than to any other: on the left of its borders, and within the box. */
interface Cell {
  readonly borders: readonly Segment[];
  readonly box: Rect;
}

/** @param holes all holes of the panel, each given by its index */
export function allowedPlaces(panel: Panel, holes: readonly Hole[]): AllowedPlaces {
  const { outline } = panel;
  const bounds = boundsOf(outline);
  const diagonal = Math.hypot(bounds.right - bounds.left, bounds.top - bounds.bottom);
  const isDrilled = !notDrilled[panel.material];
  const sizes = new Map(holes.map((hole) => [sizeKey(hole), hole]));
  const holeIndex = holes.length > 0 ? new Flatbush(holes.length) : undefined;
  for (const { center } of holes) holeIndex?.add(center.x, center.y, center.x, center.y);
  holeIndex?.finish();

  /** What stands fast for holes of that size, and how far the largest other hole keeps their centres away. */
  const standing = cached((hole: Hole, level: Level) => {
    const forbidden = forbiddenBy(standingObstacles(panel, hole), level);
    const find = boxSearch(forbidden.map(({ core, radius }) => boxOfCore(core, radius)));
    const farthest = Math.max(...[...sizes.values()].map((other) => leastApart(panel, hole, other, level)));
    return { find: (box: Rect) => find(box).map((at) => forbidden[at] as Forbidden), farthest };
  });
  /** All that matters within a box, the others or all holes among it. */
  const within = (hole: Hole, level: Level, box: Rect, isMeant: (index: number) => boolean): Forbidden[] => {
    const { find, farthest } = standing(hole, level);
    const found = holeIndex?.search(box.left - farthest, box.bottom - farthest, box.right + farthest, box.top + farthest, isMeant) ?? [];
    return [...find(box), ...forbiddenBy(found.sort((a, b) => a - b).flatMap((at) => obstaclesOfOther(panel, hole, holes[at] as Hole)), level)];
  };
  /** A hole that goes through a box's back wall, too, stays on it. */
  const ownBox = ({ box }: Hole): Segment[] => panel.boxes.filter(({ name }) => name === box).flatMap(({ rect }) => cutsOfBox(rect));
  const inBox = (index: number, level: Level, box: Rect, isMeant: (other: number) => boolean, most = Infinity): Region | undefined => {
    const forbidden = within(holes[index] as Hole, level, box, isMeant);
    return forbidden.length > most ? undefined : makeRegion(outline, forbidden, [...cutsOfBox(box), ...ownBox(holes[index] as Hole)]);
  };
  /** Where one hole more of that size might be, with all holes in place. */
  const rest = cached((hole: Hole, level: Level) => makeRegion(outline, within(hole, level, bounds, () => true), ownBox(hole)));
  const ownDisc = (index: number, level: Level) => {
    const hole = holes[index] as Hole;
    return boxOfCore({ kind: 'point', at: hole.center }, leastApart(panel, hole, hole, level) + 1);
  };
  const regionOf = (index: number, level: Level) => (isDrilled ? makeRegion(outline, within(holes[index] as Hole, level, bounds, (other) => other !== index), ownBox(holes[index] as Hole)) : nowhere);

  const cells = once(() => cellsOf(holes.map(({ center }) => center), bounds));

  return {
    panelSize: signedArea(outline),
    sizesWork: () => !isDrilled ? 0 : sizes.size * holes.length + holes.reduce((sum, hole, index) => sum + within(hole, 'good practice', ownDisc(index, 'good practice'), (other) => other !== index).length, 0),
    regionOf,
    sizeOf(index, level) {
      if (!isDrilled) return 0;
      const hole = holes[index] as Hole;
      const box = ownDisc(index, level);
      // What its own disc takes from the rest is its own to move in.
      const within = (isMeant: (other: number) => boolean) => inBox(index, level, box, isMeant)?.size ?? 0;
      return Math.max(0, rest(hole, level).size + within((other) => other !== index) - within(() => true));
    },
    nearRegionOf(index, level) {
      const cell = isDrilled ? cells()[index] : undefined;
      if (!cell) return nowhere;
      return makeRegion(outline, within(holes[index] as Hole, level, cell.box, (other) => other !== index), [...cell.borders, ...cutsOfBox(cell.box), ...ownBox(holes[index] as Hole)]);
    },
    nearest(index, level) {
      if (!isDrilled) return undefined;
      const { center } = holes[index] as Hole;
      const isOther = (other: number) => other !== index;
      const own = ownDisc(index, level);
      for (let reach = own.right - center.x, tries = 0; tries < quickTries && reach < diagonal; reach *= 2, tries += 1) {
        const region = inBox(index, level, boxOfCore({ kind: 'point', at: center }, reach), isOther, quickMost);
        if (!region) break;
        const found = region.nearest(center);
        // Beyond the box another may be nearer.
        if (found && distanceBetween(found, center) < reach - 1e-6) return found;
      }
      const places = [rest(holes[index] as Hole, level), inBox(index, level, own, isOther)].flatMap((region) => region?.nearest(center) ?? []);
      return places.length > 0 ? places.reduce((best, place) => (distanceBetween(place, center) < distanceBetween(best, center) ? place : best)) : undefined;
    },
    has(index, level, p) {
      return isDrilled && makeRegion(outline, within(holes[index] as Hole, level, { left: p.x, right: p.x, bottom: p.y, top: p.y }, (other) => other !== index), ownBox(holes[index] as Hole)).has(p);
    },
  };
}

/**
 * For each point its neighbours in the Delaunay triangulation, and the box round what is nearer to it than to them, as far
 * as it lies in the bounds; nothing for a point whose place another had before. The corners of Voronoi cells are not used:
 * where more than three cells meet, as those of holes on a circle or a square grid do, two corners are one but for
 * rounding, and what lies between them has no direction.
 */
function cellsOf(points: readonly Point[], bounds: Rect): Cell[] {
  const distinct = [...new Map([...points.entries()].reverse().map(([index, { x, y }]) => [`${x} ${y}`, index])).values()];
  const { triangles } = Delaunay.from(distinct, (index) => (points[index] as Point).x, (index) => (points[index] as Point).y);
  const neighbours = distinct.map(() => new Set<number>());
  for (const [corner, from] of triangles.entries()) {
    const to = triangles[corner % 3 === 2 ? corner - 2 : corner + 1] as number;
    // Of one or two points there is no whole triangle.
    if (from < 0 || to < 0 || from === to) continue;
    neighbours[from]?.add(to);
    neighbours[to]?.add(from);
  }
  const cells: Cell[] = [];
  for (const [place, index] of distinct.entries()) {
    const borders = [...(neighbours[place] as Set<number>)].map((other) => halfway(points[index] as Point, points[distinct[other] as number] as Point));
    const ring = borders.reduce(leftOf, cornersOf(bounds));
    if (ring.length > 0) cells[index] = { borders, box: boundsOf(ring) };
  }
  return cells;
}

/** What of a convex polygon lies on the left of a line. */
function leftOf(ring: readonly Point[], line: Segment): Point[] {
  const inwards = leftNormal(line);
  const depth = ({ x, y }: Point) => (x - line.a.x) * inwards.x + (y - line.a.y) * inwards.y;
  return edgesOf(ring).flatMap(({ a, b }) => {
    const [from, to] = [depth(a), depth(b)];
    const share = from / (from - to);
    return [...(from >= 0 ? [a] : []), ...(from * to < 0 ? [{ x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) }] : [])];
  });
}

/** The line halfway between two points, with the first on its left. */
function halfway(own: Point, other: Point): Segment {
  const middle = { x: (own.x + other.x) / 2, y: (own.y + other.y) / 2 };
  return { a: middle, b: { x: middle.x + own.y - other.y, y: middle.y + other.x - own.x } };
}

/** So many boxes round a hole, each twice as wide as the one before, are searched for a place before the whole panel is, */
const quickTries = 4;
/** as long as no more than this lies in them. */
const quickMost = 200;

/** Holes of one size meet the same obstacles. */
function sizeKey(hole: Hole): string {
  return `${hole.diameter} ${partWidth(hole)} ${hole.box ?? ''}`;
}

/** Keeps what is made for holes of a size at a level. */
function cached<T>(make: (hole: Hole, level: Level) => T): (hole: Hole, level: Level) => T {
  const made = new Map<string, T>();
  return (hole, level) => {
    const key = `${level} ${sizeKey(hole)}`;
    const found = made.get(key);
    if (found !== undefined) return found;
    const fresh = make(hole, level);
    made.set(key, fresh);
    return fresh;
  };
}

/** What obstacles forbid at a level: of those with one core the strictest, which covers the others. @param more added to every distance, mm */
export function forbiddenBy(obstacles: readonly Obstacle[], level: Level, more = 0): Forbidden[] {
  const radii = new Map<Core, number>();
  for (const obstacle of obstacles) radii.set(obstacle.core, Math.max(radii.get(obstacle.core) ?? -Infinity, leastDistance(obstacle, level) + more));
  return [...radii].flatMap(([core, radius]) => (Number.isFinite(radius) ? [{ core, radius }] : []));
}
