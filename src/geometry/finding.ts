import type { FlowUnit } from '../trade/flow.ts';
import { partRoom } from '../trade/limits.ts';
import { formatLength, lengthSlack, roundUpToStep, type Unit } from '../trade/units.ts';
import type { Clearance, Point } from './shape.ts';

/** From best to worst. */
export const verdicts = ['clear', 'tight', 'refused'] as const;
export type Verdict = (typeof verdicts)[number];

/** The rules, in the order in which they are told. */
export const ruleTitles = {
  material: 'material',
  'least-diameter': 'least diameter',
  'largest-diameter': 'largest diameter',
  'to-edge': 'ligament to edge',
  'to-corner': 'ligament to corner',
  'between-holes': 'ligament between holes',
  grip: 'grip of the fitting',
  'part-to-edge': 'flange, gasket or nut to edge',
  'part-to-rim': 'hole, flange, gasket or nut to rim',
  'part-to-joint': 'hole, flange, gasket or nut to joint',
  'part-to-keep-clear': 'hole, flange, gasket or nut to keep-clear area',
  'between-parts': 'flange, gasket or nut to the next',
  cover: 'cover of the hole by flange or gasket',
  'part-to-box': 'hole, flange, gasket or nut to box',
  room: 'room behind the panel',
  'drilled-with': 'hole through panel and back wall of a box',
  'box-to-edge': 'box to edge',
  'box-to-rim': 'box to rim',
  'box-to-joint': 'box to joint',
  'box-to-keep-clear': 'box to keep-clear area',
  'between-boxes': 'box to the next',
  'weir-to-top': 'crest of the weir under the top edge',
  'weir-to-water': 'crest of the weir under the water',
  'pump-flow': 'what the pump gives, against what is taken off',
  'return-reach': 'head that reaches the return',
  throttle: 'flow that the valve is set to',
  'drain-capacity': 'what the drains carry, against the inflow and reserve',
  'drain-blocked': 'what the other drains carry with this one blocked',
  'drain-quiet': 'flow of an open drain, for noise and air',
  'drain-depth': 'open drain under the crest, for noise and air',
  'drain-cover': 'water over a full siphon, against air',
  'drain-opening': 'opening of an open or spare drain under the crest, for the water to get in',
  'spare-height': 'opening of the spare over the drains that run',
  'weir-head': 'water over the weir under the top edge',
  'weir-blocked': 'water under the top edge with a drain blocked',
  'weir-teeth': 'head over the weir, against its teeth',
  'pipe-speed': 'speed in the pipe',
  elbows: 'flow that two more elbows would cost',
  'run-back': 'water that runs back when the power fails',
} as const;
export type Rule = keyof typeof ruleTitles;

/** Rules that ask for at most what is needed; all others for at least that. */
export const upperRules: ReadonlySet<Rule> = new Set<Rule>(['largest-diameter', 'drain-quiet', 'drain-depth', 'weir-teeth', 'pipe-speed', 'elbows', 'run-back']);

/** What the numbers of a finding are where they are no lengths, and the unit of flows that they are told by: mm³/s, mm/s, mm³, mm of water. */
export interface Measure {
  readonly of: 'flow' | 'speed' | 'volume' | 'head';
  readonly unit: FlowUnit;
}

/** One thing a check says. Lengths in mm, unless `measure` says otherwise. */
export interface Finding {
  /** The hole that it is about, or the box, by the rule. */
  readonly hole: string;
  readonly rule: Rule;
  readonly verdict: Verdict;
  /** What it is measured to: an edge, corner, hole or area; null where the rule needs none. */
  readonly other: string | null;
  /** Millimetres, the material's name, or the verdict on what is drilled with it. */
  readonly measured: number | string;
  /** The limit that decided the verdict: the floor where refused, else good practice where there is one. */
  readonly needed: number | string;
  /** The published minimum, the stricter where several apply; null where none is known. */
  readonly floor: number | null;
  /** Good practice; null where none is known. */
  readonly good: number | null;
  readonly measure?: Measure;
  readonly source: string;
  /** What to do, in words; empty when clear. */
  readonly fix: string;
  /** How far to move the hole for the verdict to rise by one, as seen from outside; null where moving is no cure. */
  readonly move: { readonly right: number; readonly up: number } | null;
}

/** A limit and who asks for it. */
export interface Limit {
  readonly value: number;
  readonly source: string;
}

/** At most so many findings of one rule are told for one hole. */
export const mostTold = 8;

export function worst(all: Iterable<Verdict>): Verdict {
  let index = 0;
  for (const verdict of all) index = Math.max(index, verdicts.indexOf(verdict));
  return verdicts[index] as Verdict;
}

export interface Limits {
  readonly floor?: Limit | undefined;
  readonly good?: Limit | undefined;
}

export const roomLimits: Limits = {
  floor: { value: partRoom.floor, source: partRoom.floorSource },
  good: { value: partRoom.good, source: partRoom.goodSource },
};

export function strictest(limits: readonly Limit[]): Limit | undefined {
  if (limits.length === 0) return undefined;
  const value = Math.max(...limits.map((limit) => limit.value));
  return { value, source: limits.filter((limit) => limit.value >= value - lengthSlack).map((limit) => limit.source).join('; ') };
}

/** Something that a hole must keep away from. */
export interface Place {
  readonly name: string;
  readonly clearance: Clearance;
}

/** The place with its clearance measured from a circle of that radius instead of the center. */
export function nearer<P extends Place>(place: P, radius: number): P {
  return { ...place, clearance: { distance: place.clearance.distance - radius, away: place.clearance.away } };
}

/**
 * Those that come nearer than a limit allows, the worst {@link mostTold} of them by what is left over the floor, so that
 * the refused come before the tight; or else the nearest alone. One pass, as a crowd may be large.
 */
export function worstFew<T>(all: readonly T[], distanceOf: (one: T) => number, limitsOf: (one: T) => Limits): T[] {
  const worst: { one: T; spare: number }[] = [];
  let nearest: { one: T; distance: number } | undefined;
  for (const one of all) {
    const distance = distanceOf(one);
    const { floor, good } = limitsOf(one);
    if (!nearest || distance < nearest.distance) nearest = { one, distance };
    if (distance >= Math.max(floor?.value ?? -Infinity, good?.value ?? -Infinity) - lengthSlack) continue;
    const spare = distance - (floor?.value ?? 0);
    if (worst.length === mostTold && spare >= (worst[mostTold - 1]?.spare ?? 0)) continue;
    const at = worst.findIndex((other) => spare < other.spare);
    worst.splice(at < 0 ? worst.length : at, 0, { one, spare });
    worst.length = Math.min(worst.length, mostTold);
  }
  return worst.length > 0 ? worst.map(({ one }) => one) : nearest ? [nearest.one] : [];
}

export function clearanceFinding(about: { readonly name: string }, rule: Rule, other: string, clearance: Clearance, limits: Limits, unit: Unit): Finding {
  const measured = clearance.distance;
  const floor = limits.floor;
  const good = limits.good && limits.good.value > (floor?.value ?? -Infinity) ? limits.good : undefined;
  const short = (limit: Limit | undefined) => limit !== undefined && measured < limit.value - lengthSlack;
  const verdict: Verdict = short(floor) ? 'refused' : short(good) ? 'tight' : 'clear';
  const decisive = (verdict === 'refused' ? floor : (good ?? floor)) as Limit;
  const move = verdict === 'clear' ? null : moveBy(clearance.away, decisive.value - measured, unit);
  return {
    hole: about.name,
    rule,
    verdict,
    other,
    measured,
    needed: decisive.value,
    floor: floor?.value ?? null,
    good: good?.value ?? null,
    source: decisive.source,
    fix: move ? fixWords(move, verdict, good ? moveBy(clearance.away, good.value - measured, unit) : undefined, unit) : '',
    move,
  };
}

/** A move of at least `distance` along a unit vector, each part rounded up to what can be set out. */
function moveBy(away: Point, distance: number, unit: Unit): { right: number; up: number } {
  const part = (share: number) => (Math.abs(share) < 1e-9 ? 0 : roundUpToStep(share * distance, unit));
  return { right: part(away.x), up: part(away.y) };
}

function fixWords(move: { right: number; up: number }, verdict: Verdict, toGood: { right: number; up: number } | undefined, unit: Unit): string {
  if (verdict === 'tight') return `move ${moveWords(move, unit)} for good practice`;
  return `move ${moveWords(move, unit)}${toGood ? ` for the minimum, ${moveWords(toGood, unit)} for good practice` : ''}`;
}

/** "3.1 mm right and 4 mm down", as seen from outside. */
function moveWords({ right, up }: { right: number; up: number }, unit: Unit): string {
  const words = [
    right === 0 ? '' : `${formatLength(Math.abs(right), unit)} ${right > 0 ? 'right' : 'left'}`,
    up === 0 ? '' : `${formatLength(Math.abs(up), unit)} ${up > 0 ? 'up' : 'down'}`,
  ];
  return words.filter(Boolean).join(' and ');
}
