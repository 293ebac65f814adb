import { circlesOf, distanceOf, isFree, nearestPlace, origin, placeTest, totalOf, type Circle, type Held, type Mover, type Movers } from './movers.ts';
import type { Level } from './obstacles.ts';
import type { Point } from './shape.ts';

/** So many holes that are in each other's way are tried in every order; of more, some orders. */
const mostInAllOrders = 5;
/** Of more than this each takes its nearest place in turn, and nothing is improved. Our choice: seconds, not minutes. */
const mostSearched = 40;
/** The best of the orders that are improved. */
const mostImproved = 2;
/** Searches for a place per hole that an improvement may take. Our choice: seconds, not minutes. */
const searchesPerHole = 300;
/** Points per hole of one scan after the other, and the points that each may take and leave. Our choice. */
const scans = [1500, 8000];
const comparisons = 3e6;
/** Searches that may go into finding any arrangement at all where no order finds one. */
const searchesToFit = 1500;
/** So many times each hole is moved again in turn. */
const mostTurns = 50;
/** Moves are compared to this, mm: less is no gain. */
const leastGain = 1e-6;
/** What moving one hole again must gain, mm. */
const leastStep = 1e-4;
/** What a round of improvements must gain for another to follow, mm. */
const worthwhile = 0.01;

/** A search among holes that are in each other's way. */
interface Search {
  readonly movers: Movers;
  readonly levels: ReadonlyMap<number, Level>;
  readonly alone: Alone;
  /** What stays where it is. */
  readonly still: ReadonlyMap<number, Held>;
  /** The place nearest to `to` with those others kept free. */
  place(one: number, others: ReadonlyMap<number, Held>, to?: Point): Point | undefined;
  /** How many places have been searched for. */
  searches: number;
}

/**
 * Moves holes to places that are allowed, with the least total movement that is found: exactly the least for holes that do
 * not meet. A hole that finds no room at good practice is held to the minimum; one that finds none there either is out, and
 * the others keep away from where it stands. Deterministic.
 * @param wanted how strict to be with each
 */
export function settle(movers: Movers, wanted: readonly Level[]): Held[] {
  const alone = placesAlone(movers);
  const levels = wanted.map((level, one): Level | undefined => (level === 'good practice' && alone(one, level) ? level : alone(one, 'minimum') ? 'minimum' : undefined));
  const held = new Map<number, Held>();
  let clusters = movers.all.map((_, one) => [one]);
  let open = clusters;
  while (open.length > 0) {
    for (const cluster of open) for (const [one, place] of solve(movers, cluster, levels, alone)) held.set(one, place);
    const merged = joined(clusters, meetings(movers, clusters, held));
    open = merged.filter((cluster) => !clusters.includes(cluster));
    clusters = merged;
  }
  return movers.all.map((_, one) => held.get(one) as Held);
}

function startSearch(movers: Movers, levels: ReadonlyMap<number, Level>, still: ReadonlyMap<number, Held>, alone: Alone): Search {
  const search: Search = {
    movers,
    levels,
    alone,
    still,
    searches: 0,
    place(one, others, to = origin) {
      const level = levels.get(one) as Level;
      const circles = (reach: number) => [...circlesOf(movers, one, level, still, reach), ...circlesOf(movers, one, level, others, reach)];
      if (to === origin) {
        const free = alone(one, level);
        if (!free || isFree(free, circles(distanceOf(free)))) return free;
      }
      search.searches += 1;
      return nearestPlace(movers.all[one] as Mover, to, level, circles);
    },
  };
  return search;
}

type Alone = (one: number, level: Level) => Point | undefined;

/** The nearest place of each as if no other were moved. */
function placesAlone(movers: Movers): Alone {
  const known = new Map<string, Point | undefined>();
  return (one, level) => {
    const key = `${one} ${level}`;
    if (!known.has(key)) known.set(key, nearestPlace(movers.all[one] as Mover, origin, level, () => []));
    return known.get(key);
  };
}

/** Pairs of clusters in which two come too near to each other. */
function meetings(movers: Movers, clusters: readonly (readonly number[])[], held: ReadonlyMap<number, Held>): [number, number][] {
  const pairs: [number, number][] = [];
  const entries = clusters.flatMap((cluster, index) => cluster.map((one) => ({ one, index, own: held.get(one) as Held })));
  for (const [at, { one, index, own }] of entries.entries()) {
    for (const { one: other, index: there, own: theirs } of entries.slice(at + 1)) {
      if (there === index || (own.isOut && theirs.isOut) || movers.room(one, other) >= distanceOf(own.place) + distanceOf(theirs.place)) continue;
      const [mover, still, of] = own.isOut ? [other, one, own] : [one, other, theirs];
      const { place, level } = own.isOut ? theirs : own;
      if (!isFree(place, circlesOf(movers, mover, level, new Map([[still, of]]), Infinity))) pairs.push([index, there]);
    }
  }
  return pairs;
}

/** Clusters with those that meet made one; the others stay the same objects. */
function joined(clusters: readonly number[][], pairs: readonly [number, number][]): number[][] {
  const group = clusters.map((_, index) => index);
  const root = (index: number): number => (group[index] === index ? index : root(group[index] as number));
  for (const [a, b] of pairs) group[Math.max(root(a), root(b))] = Math.min(root(a), root(b));
  return clusters.flatMap((cluster, index) => {
    if (root(index) !== index) return [];
    const members = clusters.filter((_, other) => root(other) === index);
    return [members.length === 1 ? cluster : members.flat().sort((a, b) => a - b)];
  });
}

/** Places for holes that are in each other's way: as few out as can be, then as many at good practice, then the least movement. */
function solve(movers: Movers, cluster: readonly number[], wanted: readonly (Level | undefined)[], alone: Alone): Map<number, Held> {
  const still = cluster.filter((one) => wanted[one] === undefined);
  const moving = cluster.filter((one) => wanted[one] !== undefined);
  const at = (outs: readonly number[], lowered: readonly number[]) => {
    const levels = new Map(moving.filter((one) => !outs.includes(one)).map((one) => [one, lowered.includes(one) ? 'minimum' : (wanted[one] as Level)]));
    const fixed = new Map([...still, ...outs].map((one) => [one, outHeld]));
    const found = arrange(startSearch(movers, levels, fixed, alone));
    return found && new Map([...fixed, ...found]);
  };
  if (moving.length > mostSearched) return yielding(movers, still, new Map(moving.map((one) => [one, wanted[one] as Level])), alone);
  if (moving.length > mostInAllOrders) return at([], []) ?? yielding(movers, still, new Map(moving.map((one) => [one, wanted[one] as Level])), alone);
  const strict = moving.filter((one) => wanted[one] === 'good practice');
  for (let outs = 0; outs < moving.length; outs += 1) {
    for (let lowered = 0; lowered <= strict.length; lowered += 1) {
      const choices = choose(moving, outs).flatMap((out) => choose(strict.filter((one) => !out.includes(one)), lowered).map((low) => [out, low] as const));
      const found = choices.flatMap(([out, low]) => at(out, low) ?? []);
      if (found.length > 0) return found.reduce(lesser);
    }
  }
  return at(moving, []) as Map<number, Held>;
}

const outHeld: Held = { place: origin, level: 'minimum', isOut: true };

/** All choices of so many out of some. */
function choose<T>(all: readonly T[], count: number): T[][] {
  if (count === 0) return [[]];
  return all.flatMap((first, index) => choose(all.slice(index + 1), count - 1).map((rest) => [first, ...rest]));
}

/** Places for many holes of which not all find one: each takes its nearest place in turn; where it has none at good practice it is held to the minimum, and where it has none there either it is out, and those that are too near to where it stands go elsewhere. */
function yielding(movers: Movers, still: readonly number[], levels: Map<number, Level>, alone: Alone): Map<number, Held> {
  const search = startSearch(movers, levels, new Map(), alone);
  const held = new Map(still.map((one) => [one, outHeld]));
  const waiting = [...levels.keys()];
  for (let one = waiting.shift(); one !== undefined; one = waiting.shift()) {
    let place = search.place(one, held);
    if (!place && levels.get(one) === 'good practice') {
      levels.set(one, 'minimum');
      place = search.place(one, held);
    }
    if (place) {
      held.set(one, { place, level: levels.get(one) as Level, isOut: false });
      continue;
    }
    held.set(one, outHeld);
    const out = new Map([[one, outHeld]]);
    for (const [other, { place: at, level, isOut }] of held) {
      if (isOut || isFree(at, circlesOf(movers, other, level, out, distanceOf(at)))) continue;
      held.delete(other);
      waiting.push(other);
    }
  }
  return levels.size > mostSearched ? held : byTurns(search, held);
}

/** An arrangement of holes at given levels; undefined where none is found. */
function arrange(search: Search): Map<number, Held> | undefined {
  const all = [...search.levels.keys()];
  if (all.length === 0) return new Map();
  const least = leastTotal(search, all);
  const isLeast = (found: Map<number, Held>) => totalOf(found.values()) <= least + leastGain;
  const starts: Map<number, Held>[] = [];
  for (const order of orders(all, search)) {
    const start = inOrder(search, order);
    if (start && isLeast(start)) return start;
    if (start) starts.push(start);
  }
  if (starts.length === 0) {
    const start = fitted(search, all);
    if (!start) return undefined;
    starts.push(start);
  }
  const turned = (start: ReadonlyMap<number, Held>) => byTurns(search, start);
  const sorted = distinct(starts.sort((a, b) => totalOf(a.values()) - totalOf(b.values()))).slice(0, mostImproved);
  let best = sorted.map(turned).reduce(lesser);
  for (const points of all.length <= mostInAllOrders ? scans : []) {
    const start = isLeast(best) ? undefined : scanned(search, all, points, totalOf(best.values()));
    if (start) best = lesser(best, turned(start));
  }
  return isLeast(best) ? best : improve(search, best);
}

const lesser = (one: Map<number, Held>, other: Map<number, Held>) => (totalOf(other.values()) < totalOf(one.values()) - leastGain ? other : one);

/** No arrangement moves less than that in all, mm: each moves as far as it would alone, and two that are too near to each other at least as much as they lack. */
function leastTotal({ movers, levels, alone }: Search, all: readonly number[]): number {
  const ways = new Map(all.map((one) => [one, distanceOf(alone(one, levels.get(one) as Level) ?? origin)]));
  const lacking = all.flatMap((one, index) =>
    all.slice(index + 1).flatMap((other) => {
      if (movers.room(one, other) >= 0) return [];
      const short = Math.max(...movers.apart(one, other, lower(levels.get(one), levels.get(other))).map(({ at, radius }) => radius - distanceOf(at)));
      const more = short - (ways.get(one) as number) - (ways.get(other) as number);
      return more > 0 ? [{ pair: [one, other], more }] : [];
    }),
  );
  // Of pairs that share a hole only one may be counted.
  const counted = new Set<number>();
  let sum = [...ways.values()].reduce((total, way) => total + way, 0);
  for (const { pair, more } of lacking.sort((a, b) => b.more - a.more)) {
    if (pair.some((one) => counted.has(one))) continue;
    for (const one of pair) counted.add(one);
    sum += more;
  }
  return sum;
}

/** Arrangements in the same order, but those that are as the one before. */
function distinct(all: readonly Map<number, Held>[]): Map<number, Held>[] {
  return all.filter((one, index) => {
    const before = all[index - 1];
    return !before || [...one].some(([key, { place }]) => distanceOf({ x: place.x - (before.get(key) as Held).place.x, y: place.y - (before.get(key) as Held).place.y }) > 1e-3);
  });
}

/** The orders in which holes are placed one after the other. */
function orders(all: readonly number[], { movers, levels, alone }: Search): number[][] {
  if (all.length <= mostInAllOrders) return permutations(all);
  const way = new Map(all.map((one) => [one, distanceOf(alone(one, levels.get(one) as Level) ?? origin)]));
  const near = new Map(all.map((one) => [one, all.filter((other) => other !== one && movers.room(one, other) < 0).length]));
  const by = (values: ReadonlyMap<number, number>, sign: number) => [...all].sort((a, b) => sign * ((values.get(a) as number) - (values.get(b) as number)) || a - b);
  return [by(way, -1), by(way, 1), by(near, -1), by(near, 1), [...all], [...all].reverse()];
}

function permutations(all: readonly number[]): number[][] {
  if (all.length <= 1) return [[...all]];
  return all.flatMap((first, index) => permutations([...all.slice(0, index), ...all.slice(index + 1)]).map((rest) => [first, ...rest]));
}

/** Each at its nearest place, one after the other. */
function inOrder(search: Search, order: readonly number[], before: ReadonlyMap<number, Held> = new Map()): Map<number, Held> | undefined {
  const held = new Map(before);
  for (const one of order) {
    const place = search.place(one, held);
    if (!place) return undefined;
    held.set(one, { place, level: search.levels.get(one) as Level, isOut: false });
  }
  return held;
}

const directions = (count: number) => Array.from({ length: count }, (_, index) => ({ x: Math.cos((2 * Math.PI * index) / count), y: Math.sin((2 * Math.PI * index) / count) }));

/** Any arrangement: each is tried at its nearest place, and pushed as far as it goes in eight directions, going back where the others find no room. */
function fitted(search: Search, all: readonly number[]): Map<number, Held> | undefined {
  const last = search.searches + searchesToFit;
  const far = directions(8).map(({ x, y }) => ({ x: x * 1e5, y: y * 1e5 }));
  const held = new Map<number, Held>();
  const next = (rest: readonly number[]): boolean => {
    const [one, ...others] = rest;
    if (one === undefined) return true;
    for (const to of [origin, ...far]) {
      if (search.searches > last) return false;
      const place = search.place(one, held, to);
      if (!place) return false;
      held.set(one, { place, level: search.levels.get(one) as Level, isOut: false });
      if (next(others)) return true;
      held.delete(one);
    }
    return false;
  };
  return next(all) ? held : undefined;
}

/**
 * The best arrangement of points of a lattice, each hole's within what the others leave it of the best total that is known:
 * it finds what lies beyond something that holes cannot be moved through little by little.
 * @param count points per hole
 * @param most the total to stay under, mm
 */
function scanned({ movers, levels, alone, still }: Search, all: readonly number[], count: number, most: number): Map<number, Held> | undefined {
  const ways = all.map((one) => distanceOf(alone(one, levels.get(one) as Level) as Point));
  const spare = most - ways.reduce((sum, way) => sum + way, 0);
  const points = all.map((one, index): Scanned[] => {
    const mover = movers.all[one] as Mover;
    const level = levels.get(one) as Level;
    const far = (ways[index] as number) + spare;
    const circles = circlesOf(movers, one, level, still, far);
    const isIn = placeTest(mover, far, level);
    const pitch = far * Math.sqrt(Math.PI / count);
    const half = Math.ceil(far / pitch);
    const steps = Array.from({ length: 2 * half + 1 }, (_, at) => (at - half) * pitch);
    const found = steps.flatMap((x) => steps.flatMap((y): Scanned[] => (Math.hypot(x, y) < far && isFree({ x, y }, circles) && isIn({ x, y }) ? [{ x, y, way: Math.hypot(x, y) }] : [])));
    const { x, y } = alone(one, level) as Point;
    return [...found, ...(isFree({ x, y }, circles) ? [{ x, y, way: Math.hypot(x, y) }] : [])].sort((a, b) => a.way - b.way);
  });
  const order = all.map((_, index) => index).sort((a, b) => (points[a] as Scanned[]).length - (points[b] as Scanned[]).length || a - b);
  const pairs = order.map((index, depth) => order.slice(0, depth).map((other) => movers.apart(all[index] as number, all[other] as number, lower(levels.get(all[index] as number), levels.get(all[other] as number)))));
  const rest = order.map((_, depth) => order.slice(depth + 1).reduce((sum, index) => sum + (ways[index] as number), 0));
  const now: Scanned[] = [];
  let [best, least, left]: [Scanned[] | undefined, number, number] = [undefined, most - leastGain, comparisons];
  const go = (depth: number, sum: number): void => {
    if (depth === order.length) {
      [best, least] = [[...now], sum];
      return;
    }
    for (const point of points[order[depth] as number] as Scanned[]) {
      if (sum + point.way + (rest[depth] as number) >= least || left <= 0) return;
      left -= 1;
      if ((pairs[depth] as Circle[][]).some((circles, other) => circles.some(({ at, radius }) => Math.hypot(point.x - at.x - (now[other] as Scanned).x, point.y - at.y - (now[other] as Scanned).y) < radius))) continue;
      now[depth] = point;
      go(depth + 1, sum + point.way);
    }
  };
  go(0, 0);
  const found = best;
  return found && new Map(all.map((one, index) => {
    const { x, y } = found[order.indexOf(index)] as Scanned;
    return [one, { place: { x, y }, level: levels.get(one) as Level, isOut: false }];
  }));
}

interface Scanned extends Point {
  readonly way: number;
}

const lower = (one: Level | undefined, other: Level | undefined): Level => (one === 'minimum' || other === 'minimum' ? 'minimum' : 'good practice');

/** Moves one after the other nearer to where it stood, and where that ends one aside so that others gain more, until nothing is gained. */
function improve(search: Search, start: ReadonlyMap<number, Held>): Map<number, Held> {
  let held = new Map(start);
  const last = search.searches + searchesPerHole * held.size;
  for (let before = Infinity; totalOf(held.values()) < before - worthwhile && search.searches < last; ) {
    before = totalOf(held.values());
    held = byTurns(search, held);
    for (const one of held.keys()) held = nudged(search, held, one, last);
  }
  return held;
}

/** Each again at the nearest place that the others leave it, until nothing is gained. */
function byTurns(search: Search, start: ReadonlyMap<number, Held>): Map<number, Held> {
  const held = new Map(start);
  for (let [isGain, round] = [true, 0]; isGain && round < mostTurns; round += 1) {
    isGain = false;
    for (const [one, { place, level, isOut }] of held) {
      const nearer = distanceOf(place) > 0 ? search.place(one, held) : undefined;
      if (!nearer || distanceOf(nearer) > distanceOf(place) - leastStep) continue;
      held.set(one, { place: nearer, level, isOut });
      isGain = true;
    }
  }
  return held;
}

/** The arrangement with one hole pushed aside, in ever smaller steps, wherever those that it held off, or now meets, gain more than that. */
function nudged(search: Search, start: Map<number, Held>, one: number, last: number): Map<number, Held> {
  let held = start;
  const { level } = held.get(one) as Held;
  for (let step = Math.max(...[...held.values()].map(({ place }) => distanceOf(place))); step > 0.01; step /= 3) {
    for (const { x, y } of directions(8)) {
      if (search.searches > last) return held;
      const { place } = held.get(one) as Held;
      const aside = search.place(one, new Map(), { x: place.x + step * x, y: place.y + step * y });
      if (!aside) continue;
      const moved = new Map(held).set(one, { place: aside, level, isOut: false });
      const touched = [...held.keys()].filter((other) => other !== one && (touches(search, held, other, one) || touches(search, moved, other, one)));
      const rest = new Map([...moved].filter(([other]) => !touched.includes(other)));
      for (const order of touched.length > 1 ? [touched, [...touched].reverse()] : [touched]) {
        const found = inOrder(search, order, rest);
        if (found && totalOf(found.values()) < totalOf(held.values()) - leastGain) held = new Map([...held.keys()].map((key) => [key, found.get(key) as Held]));
      }
    }
  }
  return held;
}

/** Whether one stands as near to another as it may, or nearer. */
function touches({ movers, levels }: Search, held: ReadonlyMap<number, Held>, one: number, other: number): boolean {
  const { place } = held.get(one) as Held;
  const circles = circlesOf(movers, one, levels.get(one) as Level, new Map([[other, held.get(other) as Held]]), distanceOf(place) + 1);
  return circles.some(({ at, radius }) => distanceOf({ x: place.x - at.x, y: place.y - at.y }) < radius + 0.01);
}
