import { weir } from '../trade/limits.ts';
import type { Unit } from '../trade/units.ts';
import { clearanceFinding, nearer, roomLimits, worstFew, type Finding, type Limits, type Place, type Rule } from './finding.ts';
import type { Edge, Panel, PlacedBox } from './panel.ts';
import { boundsOf, clearanceToRect, clearanceToSegment, cornersOf, isInside, leftNormal, type Clearance, type Point, type Rect, type Segment } from './shape.ts';

/**
 * What is to be said of the boxes on a panel: whether each lies on it clear of edges, rims, joints, keep-clear areas and
 * other boxes on its face, and whether its weir stands under the panel's top edge and the water.
 */
export function boxFindings(panel: Panel, unit: Unit): Finding[] {
  return panel.boxes.flatMap((box, index) => {
    const findings: Finding[] = [];
    const tell = (rule: Rule, places: readonly Place[], limits: Limits = roomLimits) =>
      findings.push(...worstFew(places, ({ clearance }) => clearance.distance, () => limits).map(({ name, clearance }) => clearanceFinding(box, rule, name, clearance, limits, unit)));
    const toEdges = rectToEdges(box.rect, panel.edges, panel.outline);
    tell('box-to-edge', toEdges);
    // Neighbouring panels and their sealant are met inside the tank only.
    for (const strip of box.stands === 'inside' ? (['rim', 'joint'] as const) : (['rim'] as const)) {
      tell(`box-to-${strip}`, toEdges.filter(({ edge }) => edge[strip] > 0).map((place) => nearer({ ...place, name: `${strip} at ${place.name}` }, place.edge[strip])));
    }
    tell('box-to-keep-clear', panel.keepClear.map(({ name, rect }) => ({ name, clearance: rectToRect(box.rect, rect) })));
    tell('between-boxes', panel.boxes.filter(({ stands }, other) => other !== index && stands === box.stands).map(({ name, rect }) => ({ name, clearance: rectToRect(box.rect, rect) })));
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

/** What of a rectangle lies square before or behind an edge: how far it reaches into the panel's side and out of it, mm. */
function besideEdge(rect: Rect, edge: Segment): { readonly low: number; readonly high: number } | undefined {
  const inwards = leftNormal(edge);
  const length = Math.hypot(edge.b.x - edge.a.x, edge.b.y - edge.a.y);
  const corners = cornersOf(rect).map(({ x, y }) => {
    const [dx, dy] = [x - edge.a.x, y - edge.a.y];
    return { along: dx * inwards.y - dy * inwards.x, across: dx * inwards.x + dy * inwards.y };
  });
  const along = corners.map((p) => p.along);
  if (Math.min(length, Math.max(...along)) - Math.max(0, Math.min(...along)) < 1e-9) return undefined;
  const across = corners.flatMap((p, index) => {
    const q = corners[(index + 1) % 4] as typeof p;
    const atEnds = [0, length].filter((end) => p.along < end !== q.along < end).map((end) => p.across + ((end - p.along) / (q.along - p.along)) * (q.across - p.across));
    return p.along >= 0 && p.along <= length ? [p.across, ...atEnds] : atEnds;
  });
  return { low: Math.min(...across), high: Math.max(...across) };
}

/**
 * How far a rectangle lies within each edge of a counter-clockwise outline, mm; negative where it reaches over it, by how
 * far. Away is into the panel, or from the nearest point of the edge. Of one wholly off the panel, the nearest
 * edge alone, by no less than its middle lies off it.
 */
function rectToEdges(rect: Rect, edges: readonly Edge[], outline: readonly Point[]): { readonly edge: Edge; readonly name: string; readonly clearance: Clearance }[] {
  const all = edges.map((edge) => {
    const beside = besideEdge(rect, edge);
    // Less than this is nothing but rounding.
    const isCrossed = beside !== undefined && beside.low < -1e-9 && beside.high > 1e-9;
    return { edge, name: edge.name, low: beside?.low ?? 0, isCrossed, clearance: isCrossed ? { distance: beside.low, away: leftNormal(edge) } : rectToSegment(rect, edge) };
  });
  const middle = { x: (rect.left + rect.right) / 2, y: (rect.bottom + rect.top) / 2 };
  if (all.some(({ isCrossed }) => isCrossed) || isInside(middle, outline)) return all;
  const nearest = all.reduce((least, one) => (one.clearance.distance < least.clearance.distance ? one : least));
  return [{ ...nearest, clearance: { distance: Math.min(nearest.low, -clearanceToSegment(middle, nearest.edge).distance), away: leftNormal(nearest.edge) } }];
}

/** Distance from a rectangle to a segment that does not cross it. */
function rectToSegment(rect: Rect, edge: Segment): Clearance {
  const fromCorners = cornersOf(rect).map((p) => clearanceToSegment(p, edge));
  const fromEnds = [edge.a, edge.b].map((p): Clearance => {
    const { distance, away } = clearanceToRect(p, rect);
    return { distance, away: { x: -away.x, y: -away.y } };
  });
  return [...fromCorners, ...fromEnds].reduce((least, one) => (one.distance < least.distance ? one : least));
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
