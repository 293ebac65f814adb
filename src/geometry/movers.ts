import { lengthSlack } from '../trade/units.ts';
import { clearanceToCore, type Level } from './obstacles.ts';
import { makeRegion, type Forbidden } from './region.ts';
import { cornersOf, distanceBetween, edgesOf, isInside, type Point } from './shape.ts';

/** The lines that a hole may be written on along one axis, in the terms of its move, mm: `origin` and whole steps from there, and where it stands. */
export interface Lines {
  readonly origin: number;
  readonly step: number;
  /** Into how many parts a step is divided, one after the other, where no line leads through the room; as many for both axes. */
  readonly parts: readonly number[];
}

/**
 * A hole that may be moved, in all panels that it is drilled in at once. All points are moves: how far it goes to the right
 * and upwards from where it stands, as seen from outside, mm.
 */
export interface Mover {
  /** The outline that it must stay within, counter-clockwise. */
  readonly outline: readonly Point[];
  /** What stands fast and keeps it off places nearer than `reach` to a place. */
  near(at: Point, reach: number, level: Level): readonly Forbidden[];
  readonly across: Lines;
  readonly up: Lines;
}

/** A place and how near to it nothing may come. */
export interface Circle {
  readonly at: Point;
  readonly radius: number;
}

/** Holes that are moved together. */
export interface Movers {
  readonly all: readonly Mover[];
  /** Where mover `one` must not go while `other` stays where it stands; moves along with the other's move. */
  apart(one: number, other: number, level: Level): readonly Circle[];
  /** No more than what the two may move in all before they meet. */
  room(one: number, other: number): number;
}

/** A region is drawn within half the slack of the check; what keeps to this is allowed by both, mm. */
const slack = 0.7 * lengthSlack;
/** The first width of the surroundings that are looked at, mm; doubled until a place is found. */
const firstReach = 100;

/** Where a mover is put, and how strict one was; out where it found no room, and stays where it stands. */
export interface Held {
  readonly place: Point;
  readonly level: Level;
  readonly isOut: boolean;
}

export const origin: Point = { x: 0, y: 0 };

/**
 * The place that is nearest to `to` and allowed. Exact: only what lies farther than the place that is found is left out.
 * @param circles what is to be kept free besides, as far as it may matter within `reach` of where the mover stands
 */
export function nearestPlace({ outline, near }: Mover, to: Point, level: Level, circles: (reach: number) => readonly Circle[]): Point | undefined {
  const span = Math.max(...outline.map((p) => distanceBetween(p, to)));
  for (let reach = firstReach; ; reach *= 2) {
    const isWhole = reach >= span;
    const box = cornersOf({ left: to.x - reach, right: to.x + reach, bottom: to.y - reach, top: to.y + reach });
    const toCorner = isWhole ? Infinity : reach * Math.SQRT2;
    const kept = circles(toCorner + Math.hypot(to.x, to.y)).filter(({ at, radius }) => distanceBetween(at, to) - radius < toCorner);
    const forbidden = [...near(to, toCorner, level), ...kept.map(({ at, radius }): Forbidden => ({ core: { kind: 'point', at }, radius }))];
    const place = makeRegion(outline, forbidden, isWhole ? [] : edgesOf(box)).nearest(to);
    if (isWhole || (place && distanceBetween(place, to) <= reach)) return place;
  }
}

/** Tells whether places within `reach` of where the mover stands are allowed. */
export function placeTest({ outline, near }: Mover, reach: number, level: Level): (place: Point) => boolean {
  const forbidden = near(origin, reach, level);
  return (place) => forbidden.every(({ core, radius }) => clearanceToCore(place, core).distance >= radius - slack) && isInside(place, outline);
}

/** Whether a place keeps out of all circles. */
export function isFree(place: Point, circles: readonly Circle[]): boolean {
  return circles.every(({ at, radius }) => distanceBetween(place, at) >= radius - slack);
}

/** What the others leave a mover to keep out of, as far as they may matter while it moves no farther than `reach`. */
export function circlesOf(movers: Movers, one: number, level: Level, others: ReadonlyMap<number, Held>, reach: number): Circle[] {
  const found: Circle[] = [];
  for (const [other, held] of others) {
    if (other === one || movers.room(one, other) >= reach + distanceOf(held.place)) continue;
    const { x, y } = held.place;
    for (const { at, radius } of movers.apart(one, other, levelBetween(level, held))) found.push({ at: { x: at.x + x, y: at.y + y }, radius });
  }
  return found;
}

/** How strict one is between two: as strict as with the less strict. What is out asks for nothing itself. */
function levelBetween(level: Level, { level: other, isOut }: Held): Level {
  return isOut || other === 'good practice' ? level : other;
}

export const distanceOf = ({ x, y }: Point) => Math.hypot(x, y);

/** How far the moves go in all, mm. */
export function totalOf(held: Iterable<Held>): number {
  let sum = 0;
  for (const { place } of held) sum += distanceOf(place);
  return sum;
}
