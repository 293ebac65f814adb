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

/** The radius that a hole and its parts take up, mm, and whether that is a part's. */
export function footprint(hole: Hole): { readonly radius: number; readonly isPart: boolean } {
  const part = partWidth(hole);
  return { radius: Math.max(hole.diameter, part) / 2, isPart: part >= hole.diameter };
}

/** What stands fast: edges, corners, rims, joints, keep-clear areas, and boxes but the hole's own. None where the material is not drilled. */
export function standingObstacles(panel: Panel, hole: Hole): Obstacle[] {
  if (notDrilled[panel.material]) return [];
  const { placement, edges, corners, keepClear, boxes } = panel;
  const radius = hole.diameter / 2 + placement;
  const { radius: ownReach, isPart } = footprint(hole);
  const reach = ownReach + placement;
  const along = edges.map((edge) => ({ edge, name: edge.name, core: { kind: 'segment', a: edge.a, b: edge.b } as const }));
  const toEdge = limitsFor(panel, 'toEdge', hole.diameter);
  const toCorner = limitsFor(panel, 'toCorner', hole.diameter);
  const ofRect = (rule: Rule, { name, rect }: { name: string; rect: Rect }): Obstacle => ({ rule, name, core: { kind: 'rect', rect }, radius: reach, limits: roomLimits });
  return [
    ...along.map(({ name, core }): Obstacle => ({ rule: 'to-edge', name, core, radius, limits: toEdge })),
    ...(toCorner.floor ? corners.map(({ name, at }): Obstacle => ({ rule: 'to-corner', name, core: { kind: 'point', at }, radius, limits: toCorner })) : []),
    ...(isPart ? along.map(({ name, core }): Obstacle => ({ rule: 'part-to-edge', name, core, radius: reach, limits: roomLimits })) : []),
    ...(['rim', 'joint'] as const).flatMap((strip) =>
      along.filter(({ edge }) => edge[strip] > 0).map(({ edge, name, core }): Obstacle => ({ rule: `part-to-${strip}`, name: `${strip} at ${name}`, core, radius: reach + edge[strip], limits: roomLimits })),
    ),
    ...keepClear.map((area) => ofRect('part-to-keep-clear', area)),
    ...boxes.filter(({ name }) => name !== hole.box).map((box) => ofRect('part-to-box', box)),
  ];
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
