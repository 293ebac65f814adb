import type { Point, Rect } from './shape.ts';

/** A thing that is looked for by its place and its sizes. Things with the same box and sizes are taken to be alike. */
export interface Thing {
  readonly box: Rect;
  /** What besides the place decides how much it matters, as many for each thing. */
  readonly sizes: readonly number[];
}

/**
 * Things sorted into groups of groups. A group is a number: 0 holds all things, and the first part of a group is the next
 * one. Kept in few arrays rather than in an object each, as a search reads many of them.
 */
export interface Groups {
  /** For each group left, right, bottom and top of the box round it, then the least and the most of each size. */
  readonly numbers: Float64Array;
  /** So many numbers for each group. */
  readonly stride: number;
  /** The other part of each group; 0 where it has no parts. */
  readonly other: Int32Array;
  /** The lowest thing of each group. */
  readonly lowest: Int32Array;
  /** Of a group without parts, where its things stand among all things, from and up to; each group's are ascending. */
  readonly from: Int32Array;
  readonly upTo: Int32Array;
  readonly things: Int32Array;
}

/** So few things are looked at one by one. */
const fewThings = 6;

/**
 * Sorts things into groups: each is halved where it is widest, by place or by size, until its things are few or all alike.
 * So a crowd at one place falls apart by its sizes.
 * @param all at least one
 */
export function groupThings(all: readonly Thing[]): Groups {
  const count = 4 + (all[0]?.sizes.length ?? 0);
  // Twice the middle and the width both ways tell a box as well as its sides do.
  const keys = Float64Array.from(all.flatMap(({ box, sizes }) => [box.left + box.right, box.bottom + box.top, box.right - box.left, box.top - box.bottom, ...sizes]));
  const most = 2 * all.length - 1;
  const stride = 4 + 2 * (count - 4);
  const groups = {
    numbers: new Float64Array(most * stride),
    stride,
    other: new Int32Array(most),
    lowest: new Int32Array(most),
    from: new Int32Array(most),
    upTo: new Int32Array(most),
    things: new Int32Array(all.length),
  };
  let [made, placed] = [0, 0];
  const [low, high] = [new Float64Array(count), new Float64Array(count)];
  const make = (members: Int32Array): void => {
    const group = made;
    made += 1;
    low.fill(Infinity);
    high.fill(-Infinity);
    let [left, right, bottom, top] = [Infinity, -Infinity, Infinity, -Infinity];
    for (const thing of members) {
      const { box } = all[thing] as Thing;
      left = Math.min(left, box.left);
      right = Math.max(right, box.right);
      bottom = Math.min(bottom, box.bottom);
      top = Math.max(top, box.top);
      for (let key = 0; key < count; key += 1) {
        const value = keys[thing * count + key] as number;
        if (value < (low[key] as number)) low[key] = value;
        if (value > (high[key] as number)) high[key] = value;
      }
    }
    groups.numbers.set([left, right, bottom, top], group * stride);
    for (let key = 4; key < count; key += 1) groups.numbers.set([low[key] as number, high[key] as number], group * stride + 2 * key - 4);
    groups.lowest[group] = members[0] as number;
    let widest = 0;
    for (let key = 1; key < count; key += 1) if ((high[key] as number) - (low[key] as number) > (high[widest] as number) - (low[widest] as number)) widest = key;
    const [least, greatest] = [low[widest] as number, high[widest] as number];
    if (least === greatest || members.length <= fewThings) {
      groups.things.set(members, placed);
      groups.from[group] = placed;
      placed += members.length;
      groups.upTo[group] = placed;
      return;
    }
    const middle = least + (greatest - least) / 2;
    // The middle of two neighbouring numbers may be the larger of them.
    const limit = middle < greatest ? middle : least;
    const isLow = (thing: number) => (keys[thing * count + widest] as number) <= limit;
    make(members.filter(isLow));
    groups.other[group] = made;
    make(members.filter((thing) => !isLow(thing)));
  };
  make(Int32Array.from(all.keys()));
  return groups;
}

/** The least or the most of a size among the things of a group. */
export function leastSize({ numbers, stride }: Groups, group: number, size: number): number {
  return numbers[group * stride + 4 + 2 * size] as number;
}

export function mostSize({ numbers, stride }: Groups, group: number, size: number): number {
  return numbers[group * stride + 5 + 2 * size] as number;
}

/** How far a point lies off a group, mm; 0 within the box round it. Never more than the distance to any of its things, however that was rounded. */
export function distanceOff({ x, y }: Point, { numbers, stride }: Groups, group: number): number {
  const at = group * stride;
  const dx = Math.max((numbers[at] as number) - x, x - (numbers[at + 1] as number), 0);
  const dy = Math.max((numbers[at + 2] as number) - y, y - (numbers[at + 3] as number), 0);
  return Math.max(0, Math.sqrt(dx * dx + dy * dy) - roundingSlack);
}

/** More than distances on the largest panel lose by rounding, mm. */
export const roundingSlack = 1e-9;

/**
 * The things with the least values, at most so many, from the least; of equal ones those with the lower numbers.
 * @param boundOf no more than the value of any thing of the group, to the last bit; Infinity where none of them counts
 * @param valueOf Infinity for a thing that does not count; things that are alike have the same value
 * @param isSkipped things that are passed over
 */
export function leastFew({ other, lowest, from, upTo, things }: Groups, count: number, boundOf: (group: number) => number, valueOf: (thing: number) => number, isSkipped: (thing: number) => boolean): number[] {
  const found: { readonly thing: number; readonly value: number }[] = [];
  const isBefore = (thing: number, value: number, than: { readonly thing: number; readonly value: number }) => value < than.value || (value === than.value && thing < than.thing);
  const isLate = (thing: number, value: number) => value === Infinity || (found.length === count && !isBefore(thing, value, found[count - 1] as (typeof found)[number]));
  const look = (group: number, bound: number): void => {
    if (isLate(lowest[group] as number, bound)) return;
    if (other[group] !== 0) {
      const [one, two] = [group + 1, other[group] as number];
      const [ofOne, ofTwo] = [boundOf(one), boundOf(two)];
      const isTwoFirst = ofTwo < ofOne || (ofTwo === ofOne && (lowest[two] as number) < (lowest[one] as number));
      look(isTwoFirst ? two : one, isTwoFirst ? ofTwo : ofOne);
      look(isTwoFirst ? one : two, isTwoFirst ? ofOne : ofTwo);
      return;
    }
    const [start, end] = [from[group] as number, upTo[group] as number];
    // More than a few that are not halved are alike: where one of them comes late, so do all that follow.
    const isAlike = end - start > fewThings;
    let value: number | undefined;
    for (let at = start; at < end; at += 1) {
      const thing = things[at] as number;
      if (isSkipped(thing)) continue;
      value = isAlike && value !== undefined ? value : valueOf(thing);
      if (isLate(thing, value)) {
        if (isAlike) return;
        continue;
      }
      let place = found.length;
      while (place > 0 && isBefore(thing, value, found[place - 1] as (typeof found)[number])) place -= 1;
      found.splice(place, 0, { thing, value });
      if (found.length > count) found.pop();
    }
  };
  look(0, boundOf(0));
  return found.map(({ thing }) => thing);
}
