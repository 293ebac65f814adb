import { mendedByPlace } from './areas.ts';
import { allowedPlaces, type AllowedPlaces } from './geometry/allowed.ts';
import { whyNoRoom, type NoRoom } from './geometry/best.ts';
import { ruleTitles } from './geometry/finding.ts';
import { placeRules, type Level } from './geometry/obstacles.ts';
import { distanceBetween, type Point } from './geometry/shape.ts';
import type { Offset, Plan, PlannedHole } from './plan/plan.ts';
import type { Report } from './report.ts';
import { parseLength } from './spec/length.ts';
import { formatLength, millimetresPer, plainNumber, roundUpToStep, type Unit } from './trade/units.ts';

/** A place that a hole may be moved to. Lengths in mm, seen from outside. */
export interface OtherPlace {
  /** The nearest of all, to the last digit. */
  readonly exact: Point;
  /** The nearest whose distances are whole steps, or are left as they are. */
  readonly center: Point;
  /** The step: what the user works in, or a finer one where the area is too narrow for it; null where `center` is the exact place. */
  readonly step: number | null;
  readonly move: { readonly right: number; readonly up: number };
  /** Its distances from the lines that the hole is set out from. */
  readonly offsets: readonly [Offset, Offset];
  /** So many digits more than usual tell its distances: with fewer, what is told would not be allowed. */
  readonly more: number;
}

/** Where a hole may go at a level, or why nowhere. */
export type Place = { readonly level: Level; readonly place: OtherPlace } | { readonly level: Level; readonly noRoom: NoRoom };

/** Of so many faulty holes of a panel other places are sought: in a crowd each search goes through the whole panel. */
export const mostPlaced = 100;
/** Among more holes than this it is not sought why a hole has no place: it is their number. */
const mostAsked = 200;

/**
 * Where the holes may go that a rule of place refuses or calls tight, by name: for the published minimum if refused, and
 * for good practice. All others stay where they are.
 */
export function otherPlaces(plan: Plan, { findings }: Report, allowed: AllowedPlaces = allowedPlaces(plan.panel, plan.holes)): ReadonlyMap<string, readonly Place[]> {
  const levels = new Map<string, Set<Level>>();
  for (const { hole, rule, verdict } of findings) {
    if (verdict === 'clear' || !placeRules.has(rule)) continue;
    const wanted = levels.get(hole) ?? new Set(['good practice']);
    if (verdict === 'refused') wanted.add('minimum');
    levels.set(hole, wanted);
  }
  const faulty = plan.holes.map((hole, index) => ({ hole, index })).filter(({ hole }) => levels.has(hole.name));
  return new Map(faulty.slice(0, mostPlaced).map(({ hole, index }) => {
    const places = (['minimum', 'good practice'] as const).filter((level) => levels.get(hole.name)?.has(level)).map((level): Place => {
      const place = otherPlace(plan, hole, allowed.nearest(index, level), (p) => allowed.has(index, level, p));
      if (place) return { level, place };
      const others = plan.holes.filter((_, other) => other !== index);
      const why = others.length > mostAsked ? undefined : whyNoRoom(plan.panel, hole, others, level, plan.panel.boxes.find(({ name }) => name === hole.box)?.rect);
      return { level, noRoom: why ?? { level, short: null, narrower: null, between: [] } };
    });
    return [hole.name, places];
  }));
}

/** Where each faulty hole may go, in lines: which hole, then what to do for each level. */
export function placeLines(plan: Plan, report: Report, allowed?: AllowedPlaces): string[][] {
  const mended = mendedByPlace(report);
  const all = otherPlaces(plan, report, allowed);
  const lines = [...all].map(([name, places]) => {
    const isBarred = report.byHole.get(name) === 'refused' && !mended.has(name);
    const besides = [...(isBarred ? ['besides what is no matter of these distances'] : []), ...conditionsOf(plan, name)];
    return [`${name}, the others staying${besides.length > 0 ? ` (${besides.join('; ')})` : ''}:`, ...places.map((place) => `${place.level === 'minimum' ? 'published minimum' : 'good practice'}: ${placeWords(place, plan)}`)];
  });
  const faulty = new Set(report.findings.filter(({ verdict, rule }) => verdict !== 'clear' && placeRules.has(rule)).map(({ hole }) => hole)).size;
  return faulty > all.size ? [...lines, [`${faulty - all.size} more holes are at fault, for which no other place was sought: mend these first, or let panejig settle move all of them.`]] : lines;
}

/** What a place found for a hole does not tell by itself: that it is drilled in something else too, or written together with others. */
function conditionsOf({ holes, found, isBoxWall }: Plan, name: string): string[] {
  const hole = holes.find((other) => other.name === name);
  const [here, there] = isBoxWall ? ['back wall', 'panel that it stands on'] : ['panel', `back wall of ${hole?.box}`];
  return [
    ...(isBoxWall || hole?.box ? [`by this ${here} alone: the ${there} must allow it too, and panejig settle looks at both`] : []),
    ...(hole && !hole.from.isAlone && !found.some((one) => one.name === name) ? ['written as an entry of its own'] : []),
  ];
}

/** How much of the panel a hole's centre may be on, the others staying. */
export interface AreaSize {
  /** mm². */
  readonly area: number;
  /** Of the whole panel, 0 to 1. */
  readonly share: number;
}

/** Areas are told as long as they ask for no more than this, a matter of seconds: 10,000 holes of some sizes in rows do, 3,000 in a crowd do not. */
const mostAreaWork = 300_000;

/** For each hole the size of its area at both levels; null where the panel has too many holes of too many sizes, or too close together. */
export function areaSizes({ panel, holes }: Plan, allowed: AllowedPlaces = allowedPlaces(panel, holes)): readonly { readonly minimum: AreaSize; readonly goodPractice: AreaSize }[] | null {
  if (allowed.sizesWork() > mostAreaWork) return null;
  const sizeAt = (index: number, level: Level): AreaSize => {
    const area = allowed.sizeOf(index, level);
    return { area, share: area / allowed.panelSize };
  };
  return holes.map((_, index) => ({ minimum: sizeAt(index, 'minimum'), goodPractice: sizeAt(index, 'good practice') }));
}

/** The steps that a hole is set out in, mm: 1 mm or 1/16 in, and finer ones where the area is narrow. */
export function stepsOf(unit: Unit): readonly number[] {
  return unit === 'in' ? [1 / 16, 1 / 64, 1 / 1000].map((inches) => inches * millimetresPer.in) : [1, 0.1, 0.01];
}

/** So many steps on each side of the exact place a whole one is sought. */
const mostSteps = 8;

/**
 * The nearest place in steps of the distances that the hole is set out by. A distance that need not change stays as it is.
 * @param exact the nearest place of all
 * @param has whether a place is allowed
 */
export function otherPlace(plan: Plan, hole: PlannedHole, exact: Point | undefined, has: (p: Point) => boolean, steps: readonly number[] = stepsOf(plan.units)): OtherPlace | undefined {
  if (!exact) return undefined;
  const at = (center: Point, step: number | null): OtherPlace => {
    const offsets = hole.offsets.map(({ from }) => ({ from, mm: offsetTo(plan, from, center) })) as [Offset, Offset];
    const move = { right: center.x - hole.center.x, up: center.y - hole.center.y };
    return { exact, center, step, move, offsets, more: digitsNeeded(plan, offsets, has) };
  };
  for (const step of steps) {
    const center = stepsAround(plan, hole, exact, step).find(has);
    if (center) return at(center, step);
  }
  return at(exact, null);
}

/** Places in whole steps round the exact one, those nearest to the hole first. Distances that are not whole steps may stay as they are. */
function stepsAround(plan: Plan, { center, offsets }: PlannedHole, exact: Point, step: number): Point[] {
  const along = (from: Offset['from'], own: number, to: number) => {
    const line = plan.datum[from];
    const middle = Math.round((to - line) / step);
    return [...(Math.abs(own - to) <= mostSteps * step ? [own] : []), ...Array.from({ length: 2 * mostSteps + 1 }, (_, index) => line + (middle + index - mostSteps) * step)];
  };
  const [xs, ys] = [along(offsets[0].from, center.x, exact.x), along(offsets[1].from, center.y, exact.y)];
  return xs.flatMap((x) => ys.map((y) => ({ x, y }))).sort((p, q) => distanceBetween(p, center) - distanceBetween(q, center));
}

/** How far a place lies from one of the lines that distances are measured from, mm. */
function offsetTo({ datum }: Plan, from: Offset['from'], { x, y }: Point): number {
  return { left: x - datum.left, right: datum.right - x, bottom: y - datum.bottom, top: datum.top - y }[from];
}

/** Most digits that a distance is told with beyond the usual: 0.1 nm, far below the slack of the check. */
const mostMore = 6;

/** A length in words with so many digits more than usual. */
function lengthWords(mm: number, unit: Unit, more: number): string {
  return more === 0 ? formatLength(mm, unit) : `${plainNumber(mm / millimetresPer[unit], { mm: 1, cm: 2, in: 3 }[unit] + more)} ${unit}`;
}

/** How many digits more than usual tell a place so that what is told is allowed, too. */
function digitsNeeded({ datum, units }: Plan, offsets: readonly [Offset, Offset], has: (p: Point) => boolean): number {
  const at = ({ from, mm }: Offset, more: number) => {
    const told = parseLength(lengthWords(mm, units, more), units);
    const by = 'mm' in told ? told.mm : mm;
    return datum[from] + (from === 'left' || from === 'bottom' ? by : -by);
  };
  for (let more = 0; more < mostMore; more += 1) if (has({ x: at(offsets[0], more), y: at(offsets[1], more) })) return more;
  return mostMore;
}

/** "move 12 mm right and 3 mm down: from-left 162 mm, from-top 98 mm", or why there is no place. */
export function placeWords(place: Place, { units }: Plan): string {
  if ('noRoom' in place) return noRoomWords(place.noRoom, units);
  const { move, offsets, more } = place.place;
  const way = (mm: number, [ahead, back]: readonly [string, string]) => (isMove(mm) ? [`${lengthWords(Math.abs(mm), units, Math.abs(mm) < leastTold ? mostMore : more)} ${mm > 0 ? ahead : back}`] : []);
  const ways = [...way(move.right, ['right', 'left']), ...way(move.up, ['up', 'down'])];
  return `move ${ways.join(' and ')}: ${offsets.map(({ from, mm }) => `from-${from} ${lengthWords(mm, units, more)}`).join(', ')}`;
}

const isMove = (mm: number) => Math.abs(mm) > 1e-6;

/** Less than this the usual digits would tell as no move at all, mm. */
const leastTold = 0.05;

/** Which rules leave no room, by how much, and what would help. */
export function noRoomWords({ short, narrower, between }: NoRoom, units: Unit): string {
  const words = (mm: number) => formatLength(roundUpToStep(mm, units), units);
  const helps = [
    ...(narrower === null ? [] : [`a hole, flange and nut ${words(narrower)} narrower`]),
    ...(between.some(({ rule }) => rule.startsWith('between-')) ? ['moving the other hole'] : []),
    ...(between.some(({ rule }) => rule === 'part-to-keep-clear') ? ['a smaller keep-clear area'] : []),
  ];
  if (short === null) return `no place on this panel: too much of it is taken by other holes, keep-clear areas or boxes${helps.length > 0 ? `; what would help: ${helps.join(', or ')}` : ''}`;
  const things = [...new Set(between.map(({ rule, name }) => `${name} (${ruleTitles[rule]})`))];
  return `no place on this panel: ${words(short)} too little to ${things.slice(0, 3).join(' and ')}${helps.length > 0 ? `; what would help: ${helps.join(', or ')}` : ''}`;
}
