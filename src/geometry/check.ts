import Flatbush from 'flatbush';
import { floors, goodPractice, notDrilled, partRoom, type LimitSet } from '../trade/limits.ts';
import { formatLength, lengthSlack, roundDownToStep, roundUpToStep, type Unit } from '../trade/units.ts';
import type { Hole, Panel } from './panel.ts';
import { boundsOf, clearanceToPoint, clearanceToRect, clearanceToSegment, distanceBetween, type Clearance, type Point } from './shape.ts';

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
  'part-to-edge': 'flange or nut to edge',
  'part-to-rim': 'hole, flange or nut to rim',
  'part-to-joint': 'hole, flange or nut to joint',
  'part-to-keep-clear': 'hole, flange or nut to keep-clear area',
  'between-parts': 'flange or nut to the next',
} as const;
export type Rule = keyof typeof ruleTitles;

/** One thing a check says. Lengths in mm. */
export interface Finding {
  readonly hole: string;
  readonly rule: Rule;
  readonly verdict: Verdict;
  /** What it is measured to: an edge, corner, hole or area; null where the rule needs none. */
  readonly other: string | null;
  /** Millimetres, or the material's name. */
  readonly measured: number | string;
  /** The limit that decided the verdict: the floor where refused, else good practice where there is one. */
  readonly needed: number | string;
  /** The published minimum, the stricter where several apply; null where none is known. */
  readonly floor: number | null;
  /** Good practice; null where none is known. */
  readonly good: number | null;
  readonly source: string;
  /** What to do, in words; empty when clear. */
  readonly fix: string;
  /** How far to move the hole for the verdict to rise by one, as seen from outside; null where moving is no cure. */
  readonly move: { readonly right: number; readonly up: number } | null;
}

/** A limit and who asks for it. */
interface Limit {
  readonly value: number;
  readonly source: string;
}

/**
 * Checks every hole of a panel against every rule.
 *
 * For each hole and rule the findings that are not clear are told, the worst {@link mostTold} of them, or else the one
 * with the least room. A pair of holes is told from both sides, as each hole has its own move.
 * @param unit the unit in which fixes speak; numbers stay in mm
 */
export function check(panel: Panel, holes: readonly Hole[], unit: Unit = 'mm'): Finding[] {
  const neighbours = neighbourSearch(panel, holes);
  const byHole = holes.map((hole, index) => [...checkAlone(panel, hole, unit), ...checkAgainstOthers(panel, holes, index, neighbours, unit)]);
  const order = Object.keys(ruleTitles);
  return byHole.flatMap((findings) => tellConflicts(findings).sort((a, b) => order.indexOf(a.rule) - order.indexOf(b.rule)));
}

/** At most so many findings of one rule are told for one hole. */
export const mostTold = 8;

export function worst(all: Iterable<Verdict>): Verdict {
  let index = 0;
  for (const verdict of all) index = Math.max(index, verdicts.indexOf(verdict));
  return verdicts[index] as Verdict;
}

/** The verdict of each hole by name. */
export function verdictsByHole(holes: readonly Hole[], findings: readonly Finding[]): Map<string, Verdict> {
  const result = new Map<string, Verdict>(holes.map((hole) => [hole.name, 'clear']));
  for (const { hole, verdict } of findings) result.set(hole, worst([result.get(hole) ?? 'clear', verdict]));
  return result;
}

/** The radius that a hole and its parts take up, and the part that is widest. */
export function footprint(hole: Hole): { radius: number; part: 'hole' | 'flange' | 'nut' } {
  const widest = Math.max(hole.diameter, hole.flange ?? 0, hole.nut ?? 0);
  return { radius: widest / 2, part: widest === hole.flange ? 'flange' : widest === hole.nut ? 'nut' : 'hole' };
}

function checkAlone(panel: Panel, hole: Hole, unit: Unit): Finding[] {
  const { material, thickness: t } = panel;
  const refusal = notDrilled[material];
  const findings: Finding[] = [materialFinding(panel, hole)];
  if (refusal) return findings;

  findings.push(...diameterFindings(panel, hole, unit));

  const radius = hole.diameter / 2;
  const { radius: reach, part } = footprint(hole);
  const toEdges = panel.edges.map((edge) => ({ edge, name: edge.name, clearance: clearanceToSegment(hole.center, edge) }));
  const tell = (rule: Rule, places: readonly Place[], limits: Limits) =>
    findings.push(...worstFew(places, (place) => place.clearance.distance, () => limits).map(({ name, clearance }) => clearanceFinding(hole, rule, name, clearance, limits, unit)));

  tell('to-edge', toEdges.map((place) => nearer(place, radius)), limitsFor(panel, 'toEdge', hole.diameter));
  const atCorner = limitsFor(panel, 'toCorner', hole.diameter);
  if (atCorner.floor) tell('to-corner', panel.corners.map(({ name, at }) => nearer({ name, clearance: clearanceToPoint(hole.center, at) }, radius)), atCorner);
  if (part !== 'hole') tell('part-to-edge', toEdges.map((place) => nearer(place, reach)), roomLimits);
  for (const strip of ['rim', 'joint'] as const) {
    const along = toEdges.filter(({ edge }) => edge[strip] > 0);
    tell(`part-to-${strip}`, along.map((place) => nearer({ ...place, name: `${strip} at ${place.name}` }, reach + place.edge[strip])), roomLimits);
  }
  tell('part-to-keep-clear', panel.keepClear.map(({ name, rect }) => nearer({ name, clearance: clearanceToRect(hole.center, rect) }, reach)), roomLimits);
  if (hole.grip) findings.push(gripFinding(hole, hole.grip, t, unit));
  return findings;
}

function checkAgainstOthers(panel: Panel, holes: readonly Hole[], index: number, neighbours: (index: number) => number[], unit: Unit): Finding[] {
  if (notDrilled[panel.material]) return [];
  const hole = holes[index] as Hole;
  const own = footprint(hole);
  const others = neighbours(index).map((at) => holes[at] as Hole);
  const tell = (rule: Rule, among: readonly Hole[], radii: (other: Hole) => number, limits: (other: Hole) => Limits) =>
    worstFew(among, (other) => distanceBetween(hole.center, other.center) - radii(other), limits).map((other) =>
      clearanceFinding(hole, rule, other.name, nearer({ name: other.name, clearance: clearanceToPoint(hole.center, other.center) }, radii(other)).clearance, limits(other), unit),
    );
  const byDiameter = new Map<number, Limits>();
  const betweenHoles = (other: Hole) => {
    const diameter = Math.max(hole.diameter, other.diameter);
    const limits = byDiameter.get(diameter) ?? limitsFor(panel, 'betweenHoles', diameter);
    byDiameter.set(diameter, limits);
    return limits;
  };
  const withParts = own.part === 'hole' ? others.filter((other) => footprint(other).part !== 'hole') : others;
  return [
    ...tell('between-holes', others, (other) => (hole.diameter + other.diameter) / 2, betweenHoles),
    ...tell('between-parts', withParts, (other) => own.radius + footprint(other).radius, () => roomLimits),
  ];
}

/**
 * For a hole the others that matter: all that are nearer than any limit asks, and at least the one with the least
 * ligament between.
 */
function neighbourSearch(panel: Panel, holes: readonly Hole[]): (index: number) => number[] {
  if (holes.length < 2) return () => [];
  const index = new Flatbush(holes.length);
  for (const { center } of holes) index.add(center.x, center.y, center.x, center.y);
  index.finish();
  const widest = Math.max(...holes.map((hole) => footprint(hole).radius));
  const bounds = boundsOf(panel.outline);
  const span = Math.hypot(bounds.right - bounds.left, bounds.top - bounds.bottom);
  return (of) => {
    const hole = holes[of] as Hole;
    const { center, diameter } = hole;
    const limits = limitsFor(panel, 'betweenHoles', Math.max(diameter, 2 * widest));
    const least = Math.max(limits.floor?.value ?? 0, limits.good?.value ?? 0, partRoom.good);
    for (let room = least; ; room = 2 * room + 1) {
      const reach = footprint(hole).radius + widest + room;
      // Within `reach` every ligament up to `room` is met, so a nearest one under it is the nearest of all.
      let isMet = reach > span;
      const found = index.search(center.x - reach, center.y - reach, center.x + reach, center.y + reach, (at) => {
        if (at === of) return false;
        const other = holes[at] as Hole;
        isMet ||= distanceBetween(center, other.center) - (diameter + other.diameter) / 2 <= room;
        return true;
      });
      if (isMet) return found.sort((a, b) => a - b);
    }
  };
}

interface Limits {
  readonly floor?: Limit | undefined;
  readonly good?: Limit | undefined;
}

const roomLimits: Limits = {
  floor: { value: partRoom.floor, source: partRoom.floorSource },
  good: { value: partRoom.good, source: partRoom.goodSource },
};

/** The strictest published floor and the good practice for a ligament. Where sources agree, both are named. */
function limitsFor(panel: Panel, key: 'toEdge' | 'betweenHoles' | 'toCorner', diameter: number): Limits {
  const of = (set: LimitSet): Limit[] => {
    const limit = set[key];
    return limit ? [{ value: limit(panel.thickness, diameter), source: set.source }] : [];
  };
  return { floor: strictest(floors[panel.material].flatMap(of)), good: of(goodPractice[panel.material])[0] };
}

function strictest(limits: readonly Limit[]): Limit | undefined {
  if (limits.length === 0) return undefined;
  const value = Math.max(...limits.map((limit) => limit.value));
  return { value, source: limits.filter((limit) => limit.value >= value - lengthSlack).map((limit) => limit.source).join('; ') };
}

/** Something that a hole must keep away from. */
interface Place {
  readonly name: string;
  readonly clearance: Clearance;
}

/** The place with its clearance measured from a circle of that radius instead of the center. */
function nearer<P extends Place>(place: P, radius: number): P {
  return { ...place, clearance: { distance: place.clearance.distance - radius, away: place.clearance.away } };
}

/**
 * Those that come nearer than a limit allows, the worst {@link mostTold} of them by what is left over the floor, so that
 * the refused come before the tight; or else the nearest alone. One pass, as a crowd may be large.
 */
function worstFew<T>(all: readonly T[], distanceOf: (one: T) => number, limitsOf: (one: T) => Limits): T[] {
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

function clearanceFinding(hole: Hole, rule: Rule, other: string, clearance: Clearance, limits: Limits, unit: Unit): Finding {
  const measured = clearance.distance;
  const floor = limits.floor;
  const good = limits.good && limits.good.value > (floor?.value ?? -Infinity) ? limits.good : undefined;
  const short = (limit: Limit | undefined) => limit !== undefined && measured < limit.value - lengthSlack;
  const verdict: Verdict = short(floor) ? 'refused' : short(good) ? 'tight' : 'clear';
  const decisive = (verdict === 'refused' ? floor : (good ?? floor)) as Limit;
  const move = verdict === 'clear' ? null : moveBy(clearance.away, decisive.value - measured, unit);
  return {
    hole: hole.name,
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

function materialFinding({ material }: Panel, hole: Hole): Finding {
  const refusal = notDrilled[material];
  return {
    hole: hole.name,
    rule: 'material',
    verdict: refusal ? 'refused' : 'clear',
    other: null,
    measured: material,
    needed: 'annealed glass or acrylic',
    floor: null,
    good: null,
    source: refusal?.source ?? 'wagnercompanies.com, drilling tempered glass',
    fix: refusal ? `${refusal.reason}: ${refusal.fix}` : '',
    move: null,
  };
}

function diameterFindings(panel: Panel, hole: Hole, unit: Unit): Finding[] {
  const sets = floors[panel.material];
  const least = strictest(sets.flatMap((set) => (set.leastDiameter ? [{ value: set.leastDiameter(panel.thickness), source: set.source }] : [])));
  const shares = sets.flatMap((set) => (set.largestShare ? [{ value: set.largestShare * panel.narrowest, source: set.source }] : []));
  const finding = (rule: Rule, limit: Limit, isShort: boolean, fix: string): Finding => ({
    hole: hole.name,
    rule,
    verdict: isShort ? 'refused' : 'clear',
    other: null,
    measured: hole.diameter,
    needed: limit.value,
    floor: limit.value,
    good: null,
    source: limit.source,
    fix: isShort ? fix : '',
    move: null,
  });
  return [
    ...(least ? [finding('least-diameter', least, hole.diameter < least.value - lengthSlack, `drill at least ${formatLength(roundUpToStep(least.value, unit), unit)} in glass this thick`)] : []),
    ...shares.map((limit) =>
      finding('largest-diameter', limit, hole.diameter > limit.value + lengthSlack, `drill at most ${formatLength(roundDownToStep(limit.value, unit), unit)}, a third of the panel's narrowest dimension: choose a smaller fitting`),
    ),
  ];
}

function gripFinding(hole: Hole, grip: { min: number; max: number }, thickness: number, unit: Unit): Finding {
  const isThin = thickness < grip.min - lengthSlack;
  const isThick = thickness > grip.max + lengthSlack;
  return {
    hole: hole.name,
    rule: 'grip',
    verdict: isThin || isThick ? 'refused' : 'clear',
    other: null,
    measured: thickness,
    needed: isThick ? grip.max : grip.min,
    floor: isThick ? grip.max : grip.min,
    good: null,
    source: "the fitting's own grip",
    fix: isThin || isThick ? `the fitting clamps ${formatLength(grip.min, unit)} to ${formatLength(grip.max, unit)}: choose one that clamps a panel of ${formatLength(thickness, unit)}` : '',
    move: null,
  };
}

/** Says so where two refusals of one hole ask for opposite moves: then no place nearby helps. */
function tellConflicts(findings: readonly Finding[]): Finding[] {
  const moves = findings.filter((finding) => finding.verdict === 'refused').flatMap((finding) => (finding.move ? [finding.move] : []));
  const opposes = (a: { right: number; up: number }, b: { right: number; up: number }) =>
    a.right * b.right + a.up * b.up < -0.9 * Math.hypot(a.right, a.up) * Math.hypot(b.right, b.up);
  return findings.map((finding) => {
    const { move } = finding;
    if (finding.verdict !== 'refused' || !move || !moves.some((other) => opposes(move, other))) return finding;
    return { ...finding, fix: `${finding.fix}; another rule asks for the opposite, so ${finding.rule.startsWith('between-') ? 'move the other hole, ' : ''}choose a smaller hole or quite another place` };
  });
}
