import { notDrilled } from '../trade/limits.ts';
import { lengthSlack } from '../trade/units.ts';
import { mostTold, roomLimits, type Limits, type Rule } from './finding.ts';
import { distanceOff, groupThings, leastFew, leastSize, mostSize, roundingSlack, type Groups, type Thing } from './nearest.ts';
import { asksOf, clearanceToCore, footprint, isOwnBox, limitsFor, obstacleOf, obstaclesOfOther, standingOn, type Footprint, type Obstacle, type Standing } from './obstacles.ts';
import { partWidth, type Hole, type Panel } from './panel.ts';
import { boxOfCore } from './region.ts';
import { boundsOf, distanceBetween } from './shape.ts';

/** All that a hole must keep away from by one rule, to be searched without looking at every one. */
interface Around {
  readonly rule: Rule;
  readonly groups: Groups;
  /** The hole itself, or its own box. */
  readonly isSkipped: (thing: number) => boolean;
  /** What is left between, mm; Infinity for a thing that the rule does not speak of. */
  readonly leftTo: (thing: number) => number;
  /** The published minimum, and the most that any limit asks, mm. */
  readonly floorTo: (thing: number) => number;
  readonly askedTo: (thing: number) => number;
  /** No thing of the group has less left, or asks for more, or for a minimum of less. */
  readonly leastLeft: (group: number) => number;
  readonly mostFloor: (group: number) => number;
  readonly leastFloor: (group: number) => number;
  readonly mostAsked: (group: number) => number;
  readonly nameOf: (thing: number) => string;
  readonly obstacle: (thing: number) => Obstacle;
}

/** The least margin of one kind, and what it is measured to. */
export interface Least {
  readonly value: number;
  readonly rule: Rule;
  readonly other: string;
}

/** What lies round the holes of a panel. Exact, at any number of holes, edges and areas. */
export interface Surroundings {
  /** What is to be told of a hole, rule by rule: those that come nearer than a limit allows, the worst {@link mostTold} of them by what is left over the minimum, or else the nearest alone. */
  readonly told: (hole: number) => { readonly rule: Rule; readonly obstacles: readonly Obstacle[] }[];
  /** The least share that what is left is of its minimum, over all ligaments that have one, and the least that is left over a minimum, over all rules, mm. */
  readonly least: (hole: number) => { readonly ratio: Least | undefined; readonly spare: Least | undefined };
}

/** Rules that ask for a ligament: of them alone a ratio is told. */
export const ligamentRules: readonly Rule[] = ['to-edge', 'to-corner', 'between-holes'];

export function surroundingsOf(panel: Panel, holes: readonly Hole[]): Surroundings {
  const standing = standingAround(panel, holes);
  const others = othersAround(panel, holes);
  const around = notDrilled[panel.material] ? () => [] : (hole: number) => [...standing(hole), ...others(hole)];
  return {
    told: (hole) => around(hole).map((one) => ({ rule: one.rule, obstacles: toldOf(one) })).filter(({ obstacles }) => obstacles.length > 0),
    least: (hole) => leastOf(around(hole)),
  };
}

/** The group that holds all things. */
const everything = 0;

function toldOf({ groups, isSkipped, leftTo, floorTo, askedTo, leastLeft, mostFloor, mostAsked, obstacle }: Around): Obstacle[] {
  const nearest = leastFew(groups, 1, leastLeft, leftTo, isSkipped);
  if (nearest.every((thing) => leftTo(thing) >= mostAsked(everything))) return nearest.map(obstacle);
  const boundOf = (group: number) => {
    const left = leastLeft(group);
    return left < mostAsked(group) ? left - mostFloor(group) : Infinity;
  };
  const valueOf = (thing: number) => {
    const left = leftTo(thing);
    return left < askedTo(thing) - lengthSlack ? left - floorTo(thing) : Infinity;
  };
  const worst = leastFew(groups, mostTold, boundOf, valueOf, isSkipped);
  return (worst.length > 0 ? worst : nearest).map(obstacle);
}

function leastOf(all: readonly Around[]): { ratio: Least | undefined; spare: Least | undefined } {
  let [ratio, spare]: (Least | undefined)[] = [];
  for (const around of all) {
    const { rule, groups, isSkipped, leftTo, floorTo, leastLeft, mostFloor, leastFloor, nameOf } = around;
    const spareTo = (thing: number) => leftTo(thing) - floorTo(thing);
    const ratioTo = (thing: number) => (floorTo(thing) > 0 ? leftTo(thing) / floorTo(thing) : Infinity);
    // Where all have the same minimum, the nearest has the least of both.
    const isEven = leastFloor(everything) === mostFloor(everything);
    const [first] = leastFew(groups, 1, (group) => leastLeft(group) - mostFloor(group), spareTo, isSkipped);
    if (first === undefined) continue;
    if (!spare || spareTo(first) < spare.value) spare = { value: spareTo(first), rule, other: nameOf(first) };
    if (!ligamentRules.includes(rule)) continue;
    const [least = first] = isEven ? [] : leastFew(groups, 1, (group) => leastShare(leastLeft(group), leastFloor(group), mostFloor(group)), ratioTo, isSkipped);
    if (ratioTo(least) < (ratio?.value ?? Infinity)) ratio = { value: ratioTo(least), rule, other: nameOf(least) };
  }
  return { ratio, spare };
}

/** The least share of a minimum that may be left. Where less than nothing is left, the share is least where the minimum is. */
function leastShare(left: number, leastFloor: number, mostFloor: number): number {
  const floor = left < 0 ? leastFloor : mostFloor;
  return floor > 0 ? left / floor : left < 0 ? -Infinity : Infinity;
}

const floorOf = ({ floor }: Limits) => floor?.value ?? 0;
const askedOf = ({ floor, good }: Limits) => Math.max(floor?.value ?? -Infinity, good?.value ?? -Infinity);

/** What stands fast, sorted once for all holes, as a hole's size changes only how much it asks for. */
function standingAround(panel: Panel, holes: readonly Hole[]): (hole: number) => Around[] {
  const byRule = new Map<Rule, Standing[]>();
  for (const one of standingOn(panel)) {
    const among = byRule.get(one.rule);
    if (among) among.push(one);
    else byRule.set(one.rule, [one]);
  }
  const sorted = [...byRule].map(([rule, among]) => ({ rule, among, groups: groupThings(among.map(thingOf)) }));
  const asksBySize = new Map<string, ReturnType<typeof asksOf>>();
  const asksFor = (hole: Hole) => {
    const size = `${hole.diameter} ${partWidth(hole)}`;
    const known = asksBySize.get(size) ?? asksOf(panel, hole);
    asksBySize.set(size, known);
    return known;
  };
  return (at) => {
    const hole = holes[at] as Hole;
    const asks = asksFor(hole);
    return sorted.flatMap(({ rule, among, groups }): Around[] => {
      const ask = asks[rule];
      if (!ask) return [];
      const { radius, limits } = ask;
      const [floor, asked] = [floorOf(limits), askedOf(limits)];
      return [{
        rule,
        groups,
        isSkipped: (thing) => isOwnBox(among[thing] as Standing, hole),
        leftTo: (thing) => {
          const { core, strip } = among[thing] as Standing;
          return clearanceToCore(hole.center, core).distance - (radius + strip);
        },
        floorTo: () => floor,
        askedTo: () => asked,
        leastLeft: (group) => (distanceOff(hole.center, groups, group) || -mostSize(groups, group, 1)) - (radius + mostSize(groups, group, 0)),
        mostFloor: () => floor,
        leastFloor: () => floor,
        mostAsked: () => asked,
        nameOf: (thing) => (among[thing] as Standing).name,
        obstacle: (thing) => obstacleOf(among[thing] as Standing, ask),
      }];
    });
  };
}

/** Sizes: its strip; how deep within it a centre may lie; whether a segment rises, as two may lie across one box. */
function thingOf({ core, strip }: Standing): Thing {
  const box = boxOfCore(core, 0);
  const depth = core.kind === 'rect' ? Math.min(box.right - box.left, box.top - box.bottom) / 2 + roundingSlack : 0;
  const isRising = core.kind === 'segment' && (core.b.x - core.a.x) * (core.b.y - core.a.y) > 0;
  return { box, sizes: [strip, depth, isRising ? 1 : 0] };
}

/** The other holes. What a pair asks for grows with the larger diameter, so groups are bounded by their largest and smallest. */
function othersAround(panel: Panel, holes: readonly Hole[]): (hole: number) => Around[] {
  const feet = holes.map(footprint);
  const byPlace = (sizesOf: (hole: Hole, foot: Footprint) => number[]) =>
    groupThings(holes.map((hole, at) => ({ box: boundsOf([hole.center]), sizes: sizesOf(hole, feet[at] as Footprint) })));
  if (holes.length < 2) return () => [];
  const byDiameter = byPlace(({ diameter }) => [diameter]);
  const byReach = feet.some(({ isPart }) => isPart) ? byPlace((_hole, { radius, isPart }) => [radius, isPart ? 1 : 0]) : undefined;
  const limits = new Map(
    [...new Set(holes.map(({ diameter }) => diameter))].map((diameter) => {
      const of = limitsFor(panel, 'betweenHoles', diameter);
      return [diameter, { floor: floorOf(of), asked: askedOf(of) }] as const;
    }),
  );
  const limitsAt = (diameter: number) => limits.get(diameter) as { floor: number; asked: number };
  const twice = 2 * panel.placement;
  return (at) => {
    const hole = holes[at] as Hole;
    const { center, diameter } = hole;
    const { radius: reach, isPart } = feet[at] as Footprint;
    const pair = (other: number) => limitsAt(Math.max(diameter, other));
    const diameterOf = (thing: number) => (holes[thing] as Hole).diameter;
    const apart = (thing: number) => distanceBetween(center, (holes[thing] as Hole).center);
    const isSkipped = (thing: number) => thing === at;
    const nameOf = (thing: number) => (holes[thing] as Hole).name;
    const obstacleBy = (rule: Rule) => (thing: number) => obstaclesOfOther(panel, hole, holes[thing] as Hole).find((one) => one.rule === rule) as Obstacle;
    const ligaments: Around = {
      rule: 'between-holes',
      groups: byDiameter,
      isSkipped,
      leftTo: (thing) => apart(thing) - ((diameter + diameterOf(thing)) / 2 + twice),
      floorTo: (thing) => pair(diameterOf(thing)).floor,
      askedTo: (thing) => pair(diameterOf(thing)).asked,
      leastLeft: (group) => distanceOff(center, byDiameter, group) - ((diameter + mostSize(byDiameter, group, 0)) / 2 + twice),
      mostFloor: (group) => pair(mostSize(byDiameter, group, 0)).floor,
      leastFloor: (group) => pair(leastSize(byDiameter, group, 0)).floor,
      mostAsked: (group) => pair(mostSize(byDiameter, group, 0)).asked,
      nameOf,
      obstacle: obstacleBy('between-holes'),
    };
    const reachOf = (thing: number) => (feet[thing] as Footprint).radius;
    if (!byReach) return [ligaments];
    const parts: Around = {
      rule: 'between-parts',
      groups: byReach,
      isSkipped,
      leftTo: (thing) => (isPart || feet[thing]?.isPart ? apart(thing) - (reach + reachOf(thing) + twice) : Infinity),
      floorTo: () => floorOf(roomLimits),
      askedTo: () => askedOf(roomLimits),
      leastLeft: (group) => (isPart || mostSize(byReach, group, 1) === 1 ? distanceOff(center, byReach, group) - (reach + mostSize(byReach, group, 0) + twice) : Infinity),
      mostFloor: () => floorOf(roomLimits),
      leastFloor: () => floorOf(roomLimits),
      mostAsked: () => askedOf(roomLimits),
      nameOf,
      obstacle: obstacleBy('between-parts'),
    };
    return [ligaments, parts];
  };
}
