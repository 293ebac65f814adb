import type { Point, Rect } from './shape.ts';

/** A thing that is looked for by its place and its sizes. Things with the same box and sizes are taken to be alike. */
export interface Thing {
  readonly box: Rect;
  /** What besides the place decides how much it matters, as many for each thing. */
  readonly sizes: readonly number[];
}

/** Things that lie near each other and are of much the same sizes, by their numbers. */
export interface Group {
  /** Round all of them. */
  readonly box: Rect;
  /** The least and the most of each size. */
  readonly least: readonly number[];
  readonly most: readonly number[];
  /** The lowest of their numbers. */
  readonly first: number;
  /** Their numbers, ascending; empty where the group has parts. */
  readonly members: readonly number[];
  readonly isAlike: boolean;
  readonly parts: readonly [Group, Group] | null;
}

/** So few things are looked at one by one. */
const fewThings = 6;

/**
 * Sorts things into groups of groups: each is halved where it is widest, by place or by size, until its things are few or
 * all alike. So a crowd at one place falls apart by its sizes.
 * @returns undefined where there are none
 */
export function groupThings(things: readonly Thing[]): Group | undefined {
  if (things.length === 0) return undefined;
  const keys = things.map(({ box, sizes }) => [box.left + box.right, box.bottom + box.top, box.right - box.left, box.top - box.bottom, ...sizes]);
  return groupOf(things, keys, [...things.keys()]);
}

function groupOf(things: readonly Thing[], keys: readonly (readonly number[])[], members: readonly number[]): Group {
  const first = things[members[0] as number] as Thing;
  const firstKeys = keys[members[0] as number] as readonly number[];
  const box = { ...first.box };
  const [low, high] = [[...firstKeys], [...firstKeys]];
  for (const at of members) {
    const { left, right, bottom, top } = (things[at] as Thing).box;
    if (left < box.left) box.left = left;
    if (right > box.right) box.right = right;
    if (bottom < box.bottom) box.bottom = bottom;
    if (top > box.top) box.top = top;
    const own = keys[at] as readonly number[];
    for (let key = 0; key < own.length; key += 1) {
      const value = own[key] as number;
      if (value < (low[key] as number)) low[key] = value;
      if (value > (high[key] as number)) high[key] = value;
    }
  }
  const group = { box, least: low.slice(4), most: high.slice(4), first: members[0] as number };
  const widths = high.map((value, key) => value - (low[key] as number));
  const width = Math.max(...widths);
  if (width === 0 || members.length <= fewThings) return { ...group, members, isAlike: width === 0, parts: null };
  const widest = widths.indexOf(width);
  const middle = (low[widest] as number) + width / 2;
  // The middle of two neighbouring numbers may be the larger of them.
  const most = middle < (high[widest] as number) ? middle : (low[widest] as number);
  const isLow = (at: number) => (keys[at]?.[widest] as number) <= most;
  const parts = [groupOf(things, keys, members.filter(isLow)), groupOf(things, keys, members.filter((at) => !isLow(at)))] as const;
  return { ...group, members: [], isAlike: false, parts };
}

/**
 * The things with the least values, at most so many, from the least; of equal ones those with the lower numbers.
 * @param boundOf no more than the value of any thing of the group, to the last bit; Infinity where none of them counts
 * @param valueOf Infinity for a thing that does not count; things that are alike have the same value
 * @param isSkipped things that are passed over
 */
export function leastFew(root: Group, count: number, boundOf: (group: Group) => number, valueOf: (thing: number) => number, isSkipped: (thing: number) => boolean): number[] {
  const found: { thing: number; value: number }[] = [];
  /** False where neither the thing nor a later one of the same value is among the least. */
  const offer = (thing: number, value: number): boolean => {
    if (value === Infinity) return false;
    let at = found.length;
    while (at > 0 && isBefore(thing, value, found[at - 1] as (typeof found)[number])) at -= 1;
    if (at === count) return false;
    found.splice(at, 0, { thing, value });
    if (found.length > count) found.pop();
    return true;
  };
  const look = (group: Group, bound: number): void => {
    if (bound === Infinity) return;
    if (found.length === count && !isBefore(group.first, bound, found[count - 1] as (typeof found)[number])) return;
    const { parts, members } = group;
    if (parts) {
      const [one, other] = parts;
      const [ofOne, ofOther] = [boundOf(one), boundOf(other)];
      const isOther = ofOther < ofOne || (ofOther === ofOne && other.first < one.first);
      look(isOther ? other : one, isOther ? ofOther : ofOne);
      look(isOther ? one : other, isOther ? ofOne : ofOther);
    } else if (group.isAlike) {
      let value: number | undefined;
      for (const thing of members) {
        if (isSkipped(thing)) continue;
        value ??= valueOf(thing);
        if (!offer(thing, value)) return;
      }
    } else {
      for (const thing of members) if (!isSkipped(thing)) offer(thing, valueOf(thing));
    }
  };
  look(root, boundOf(root));
  return found.map(({ thing }) => thing);
}

function isBefore(thing: number, value: number, other: { readonly thing: number; readonly value: number }): boolean {
  return value < other.value || (value === other.value && thing < other.thing);
}

/** How far a point lies off a rectangle, mm; 0 within. Never more than the distance to anything within it, however that was rounded. */
export function distanceOff({ x, y }: Point, { left, right, bottom, top }: Rect): number {
  const dx = x < left ? left - x : x > right ? x - right : 0;
  const dy = y < bottom ? bottom - y : y > top ? y - top : 0;
  return Math.max(0, (dx === 0 ? dy : dy === 0 ? dx : Math.sqrt(dx * dx + dy * dy)) - roundingSlack);
}

/** More than distances on the largest panel lose by rounding, mm. */
export const roundingSlack = 1e-9;
