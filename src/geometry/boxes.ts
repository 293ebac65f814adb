import { weir } from '../trade/limits.ts';
import type { Unit } from '../trade/units.ts';
import { clearanceFinding, nearer, roomLimits, worstFew, type Finding, type Limits, type Place, type Rule } from './finding.ts';
import type { Panel, PlacedBox } from './panel.ts';
import { boundsOf, clearanceToRect, clearanceToSegment, isInside, leftNormal, segmentsTouch, type Clearance, type Point, type Rect, type Segment } from './shape.ts';

/**
 * What is to be said of the boxes on a panel: whether each lies on it clear of edges, rims, joints, keep-clear areas and
 * other boxes, and whether its weir stands under the panel's top edge and the water.
 */
export function boxFindings(panel: Panel, unit: Unit): Finding[] {
  return panel.boxes.flatMap((box, index) => {
    const findings: Finding[] = [];
    const tell = (rule: Rule, places: readonly Place[], limits: Limits = roomLimits) =>
      findings.push(...worstFew(places, ({ clearance }) => clearance.distance, () => limits).map(({ name, clearance }) => clearanceFinding(box, rule, name, clearance, limits, unit)));
    const toEdges = panel.edges.map((edge) => ({ edge, name: edge.name, clearance: rectToEdge(box.rect, edge, panel.outline) }));
    tell('box-to-edge', toEdges);
    for (const strip of ['rim', 'joint'] as const) {
      tell(`box-to-${strip}`, toEdges.filter(({ edge }) => edge[strip] > 0).map((place) => nearer({ ...place, name: `${strip} at ${place.name}` }, place.edge[strip])));
    }
    tell('box-to-keep-clear', panel.keepClear.map(({ name, rect }) => ({ name, clearance: rectToRect(box.rect, rect) })));
    tell('between-boxes', panel.boxes.filter((_, other) => other !== index).map(({ name, rect }) => ({ name, clearance: rectToRect(box.rect, rect) })));
    return [...findings, ...weirFindings(panel, box, unit)];
  });
}

/** The crest against the top edge, and against the water where the spec says how high it stands. */
function weirFindings(panel: Panel, box: PlacedBox, unit: Unit): Finding[] {
  if (box.crest === null) return [];
  const under = (height: number): Clearance => ({ distance: height - (box.crest as number), away: { x: 0, y: -1 } });
  const top = boundsOf(panel.outline).top;
  return [
    clearanceFinding(box, 'weir-to-top', 'top edge', under(top), { floor: { value: 0, source: weir.topFloorSource }, good: { value: weir.toTop, source: weir.topGoodSource } }, unit),
    ...(panel.water === null ? [] : [clearanceFinding(box, 'weir-to-water', 'water', under(panel.water), { floor: { value: 0, source: weir.waterSource } }, unit)]),
  ];
}

const cornersOf = ({ left, right, bottom, top }: Rect): Point[] => [{ x: left, y: bottom }, { x: right, y: bottom }, { x: right, y: top }, { x: left, y: top }];

/**
 * How far a rectangle lies within an edge of a counter-clockwise outline, mm; negative where it reaches over it, by how
 * far. Away is into the panel.
 */
function rectToEdge(rect: Rect, edge: Segment, outline: readonly Point[]): Clearance {
  const corners = cornersOf(rect);
  const away = leftNormal(edge);
  const within = Math.min(...corners.map((p) => (p.x - edge.a.x) * away.x + (p.y - edge.a.y) * away.y));
  const touches = corners.some((a, index) => segmentsTouch(edge, { a, b: corners[(index + 1) % 4] as Point })) || [edge.a, edge.b].some((p) => clearanceToRect(p, rect).distance < 0);
  const isOver = within < 0 && !corners.every((p) => isInside(p, outline)) && spansMeet(rect, edge);
  if (touches || isOver) return { distance: Math.min(within, 0), away };
  return { distance: Math.min(...corners.map((p) => clearanceToSegment(p, edge).distance), ...[edge.a, edge.b].map((p) => clearanceToRect(p, rect).distance)), away };
}

/** Whether a rectangle lies beside an edge, not past its ends. */
function spansMeet(rect: Rect, { a, b }: Segment): boolean {
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  const along = cornersOf(rect).map((p) => ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / length);
  return Math.max(...along) > 0 && Math.min(...along) < length;
}

/** Distance between two rectangles with level sides; negative where they overlap, by the shortest way out. */
function rectToRect(rect: Rect, other: Rect): Clearance {
  const [x, y] = [
    rect.left + rect.right > other.left + other.right ? { gap: rect.left - other.right, away: 1 } : { gap: other.left - rect.right, away: -1 },
    rect.bottom + rect.top > other.bottom + other.top ? { gap: rect.bottom - other.top, away: 1 } : { gap: other.bottom - rect.top, away: -1 },
  ];
  if (x.gap > 0 && y.gap > 0) {
    const distance = Math.hypot(x.gap, y.gap);
    return { distance, away: { x: (x.away * x.gap) / distance, y: (y.away * y.gap) / distance } };
  }
  return x.gap > y.gap ? { distance: x.gap, away: { x: x.away, y: 0 } } : { distance: y.gap, away: { x: 0, y: y.away } };
}
