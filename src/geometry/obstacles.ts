import { floors, goodPractice, notDrilled, type LimitSet } from '../trade/limits.ts';
import { roomLimits, strictest, type Limit, type Limits, type Rule } from './finding.ts';
import { partWidth, type Hole, type Panel } from './panel.ts';
import { clearanceToPoint, clearanceToRect, clearanceToSegment, type Clearance, type Point, type Rect } from './shape.ts';

/** How strict one is: what is published as the least, or what is usually done. */
export const levels = ['minimum', 'good practice'] as const;
export type Level = (typeof levels)[number];

/** What a distance is measured to. */
export type Core =
  | { readonly kind: 'point'; readonly at: Point }
  | { readonly kind: 'segment'; readonly a: Point; readonly b: Point }
  | { readonly kind: 'rect'; readonly rect: Rect };

/** Something that a hole must keep away from: the one list that both the check and the allowed area are made from. */
export interface Obstacle {
  readonly rule: Rule;
  readonly name: string;
  readonly core: Core;
  /** What is taken up of the way from the hole's center to the core, mm: its radius or that of its widest part, the other's, strips, and the tolerance of placement. */
  readonly radius: number;
  /** What must be left of it. */
  readonly limits: Limits;
}

/** How often the tolerance of placement is taken off what a rule measures: twice where both may be off. */
export const timesPlaced: Readonly<Partial<Record<Rule, 1 | 2>>> = {
  'to-edge': 1,
  'to-corner': 1,
  'between-holes': 2,
  'part-to-edge': 1,
  'part-to-rim': 1,
  'part-to-joint': 1,
  'part-to-keep-clear': 1,
  'part-to-box': 1,
  'between-parts': 2,
};

/** The radius that a hole and its parts take up, mm, and whether that is a part's. */
export interface Footprint {
  readonly radius: number;
  readonly isPart: boolean;
}

export function footprint(hole: Hole): Footprint {
  const part = partWidth(hole);
  return { radius: Math.max(hole.diameter, part) / 2, isPart: part >= hole.diameter };
}

/** Something that stands fast, whatever hole keeps away from it. */
export interface Standing {
  readonly rule: Rule;
  readonly name: string;
  readonly core: Core;
  /** The strip along the core that is taken too, mm. */
  readonly strip: number;
}

/** All that stands fast on a panel: edges, corners, rims, joints, keep-clear areas and boxes. None where the material is not drilled. */
export function standingOn({ material, edges, corners, keepClear, boxes }: Panel): Standing[] {
  if (notDrilled[material]) return [];
  const along = edges.map((edge) => ({ edge, name: edge.name, core: { kind: 'segment', a: edge.a, b: edge.b } as const }));
  const ofRect = (rule: Rule, { name, rect }: { name: string; rect: Rect }): Standing => ({ rule, name, core: { kind: 'rect', rect }, strip: 0 });
  return [
    ...along.map(({ name, core }): Standing => ({ rule: 'to-edge', name, core, strip: 0 })),
    ...corners.map(({ name, at }): Standing => ({ rule: 'to-corner', name, core: { kind: 'point', at }, strip: 0 })),
    ...along.map(({ name, core }): Standing => ({ rule: 'part-to-edge', name, core, strip: 0 })),
    ...(['rim', 'joint'] as const).flatMap((strip) =>
      along.filter(({ edge }) => edge[strip] > 0).map(({ edge, name, core }): Standing => ({ rule: `part-to-${strip}`, name: `${strip} at ${name}`, core, strip: edge[strip] })),
    ),
    ...keepClear.map((area) => ofRect('part-to-keep-clear', area)),
    ...boxes.map((box) => ofRect('part-to-box', box)),
  ];
}

/** What a hole asks for by one rule. */
export interface Ask {
  /** From its center to where its ligament or room begins, with the tolerance of placement, mm. */
  readonly radius: number;
  readonly limits: Limits;
}

/** What a hole asks of that which stands fast, by rule; rules that have nothing to say of it are left out. */
export function asksOf(panel: Panel, hole: Hole): Partial<Record<Rule, Ask>> {
  const radius = hole.diameter / 2 + panel.placement;
  const { radius: reach, isPart } = footprint(hole);
  const ofPart = { radius: reach + panel.placement, limits: roomLimits };
  const toCorner = limitsFor(panel, 'toCorner', hole.diameter);
  return {
    'to-edge': { radius, limits: limitsFor(panel, 'toEdge', hole.diameter) },
    ...(toCorner.floor ? { 'to-corner': { radius, limits: toCorner } } : {}),
    ...(isPart ? { 'part-to-edge': ofPart } : {}),
    'part-to-rim': ofPart,
    'part-to-joint': ofPart,
    'part-to-keep-clear': ofPart,
    'part-to-box': ofPart,
  };
}

/** Whether the hole is drilled together with that box, and so need not keep away from it. */
export function isOwnBox({ rule, name }: Standing, hole: Hole): boolean {
  return rule === 'part-to-box' && name === hole.box;
}

/** What stands fast before a hole: edges, corners, rims, joints, keep-clear areas, and boxes but the hole's own. None where the material is not drilled. */
export function standingObstacles(panel: Panel, hole: Hole): Obstacle[] {
  const asks = asksOf(panel, hole);
  return standingOn(panel).flatMap((one): Obstacle[] => {
    const ask = asks[one.rule];
    return ask && !isOwnBox(one, hole) ? [obstacleOf(one, ask)] : [];
  });
}

export function obstacleOf({ rule, name, core, strip }: Standing, { radius, limits }: Ask): Obstacle {
  return { rule, name, core, radius: radius + strip, limits };
}

/**
 * What another hole asks of a hole: the ligament between them, and where either has parts, their room. Each of the two may
 * be drilled off its place, so the tolerance of placement counts twice.
 */
export function obstaclesOfOther(panel: Panel, hole: Hole, other: Hole): Obstacle[] {
  if (notDrilled[panel.material]) return [];
  const core = { kind: 'point', at: other.center } as const;
  const [own, their] = [footprint(hole), footprint(other)];
  const limits = limitsFor(panel, 'betweenHoles', Math.max(hole.diameter, other.diameter));
  return [
    { rule: 'between-holes', name: other.name, core, radius: (hole.diameter + other.diameter) / 2 + 2 * panel.placement, limits },
    ...(own.isPart || their.isPart ? [{ rule: 'between-parts', name: other.name, core, radius: own.radius + their.radius + 2 * panel.placement, limits: roomLimits } as const] : []),
  ];
}

/** From the hole's center to the core, mm. */
export function clearanceToCore(center: Point, core: Core): Clearance {
  switch (core.kind) {
    case 'point':
      return clearanceToPoint(center, core.at);
    case 'segment':
      return clearanceToSegment(center, core);
    case 'rect':
      return clearanceToRect(center, core.rect);
  }
}

/** How near to the core the hole's center may come at that level, mm; -Infinity where nothing is asked. Good practice is never less than the minimum. */
export function leastDistance({ radius, limits: { floor, good } }: Obstacle, level: Level): number {
  return radius + Math.max(floor?.value ?? -Infinity, level === 'good practice' ? (good?.value ?? -Infinity) : -Infinity);
}

/** How far the centres of two holes must be apart at a level, mm. */
export function leastApart(panel: Panel, hole: Hole, other: Hole, level: Level): number {
  return Math.max(...obstaclesOfOther(panel, hole, other).map((obstacle) => leastDistance(obstacle, level)));
}

/** The strictest published floor and the good practice for a ligament. Where sources agree, both are named. */
export function limitsFor(panel: Panel, key: 'toEdge' | 'betweenHoles' | 'toCorner', diameter: number): Limits {
  const of = (set: LimitSet): Limit[] => {
    const limit = set[key];
    return limit ? [{ value: limit(panel.thickness, diameter), source: set.source }] : [];
  };
  return { floor: strictest(floors[panel.material].flatMap(of)), good: of(goodPractice[panel.material])[0] };
}

/** The rules that depend on where a hole is. */
export const placeRules: ReadonlySet<Rule> = new Set<Rule>(['to-edge', 'to-corner', 'between-holes', 'part-to-edge', 'part-to-rim', 'part-to-joint', 'part-to-keep-clear', 'between-parts', 'part-to-box']);
