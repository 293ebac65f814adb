/** Points, segments, rectangles and polygons in the plane. Lengths in mm, x to the right, y upwards. */

export interface Point {
  readonly x: number;
  readonly y: number;
}

export interface Rect {
  readonly left: number;
  readonly bottom: number;
  readonly right: number;
  readonly top: number;
}

export interface Segment {
  readonly a: Point;
  readonly b: Point;
}

/** A straight piece of an outline; `isCut` where it bounds an area only because that was cut off there. */
export interface Straight {
  readonly kind: 'line';
  readonly from: Point;
  readonly to: Point;
  readonly isCut?: boolean | undefined;
}

/** A round piece: it runs clockwise round its center. A whole circle ends where it starts. */
export interface Arc {
  readonly kind: 'arc';
  readonly from: Point;
  readonly to: Point;
  readonly center: Point;
  readonly radius: number;
}

/** A piece of the outline of an area, which lies on its left: so every arc of an allowed area runs clockwise. */
export type Piece = Straight | Arc;

/** A closed outline: counter-clockwise round a part of the area, clockwise round what is left out of it. */
export type Loop = readonly Piece[];

/** How far a point is from something: the distance, and the direction (unit vector) in which it grows fastest. */
export interface Clearance {
  readonly distance: number;
  readonly away: Point;
}

export function distanceBetween(p: Point, q: Point): number {
  return Math.hypot(p.x - q.x, p.y - q.y);
}

/** The unit vector from `from` to `to`; undefined where the points coincide. */
export function direction(from: Point, to: Point): Point | undefined {
  const length = distanceBetween(from, to);
  return length > 0 ? { x: (to.x - from.x) / length, y: (to.y - from.y) / length } : undefined;
}

export function nearestOnSegment(p: Point, { a, b }: Segment): Point {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const squared = dx * dx + dy * dy;
  if (squared === 0) return a;
  const t = Math.min(1, Math.max(0, ((p.x - a.x) * dx + (p.y - a.y) * dy) / squared));
  return { x: a.x + t * dx, y: a.y + t * dy };
}

/** Unit normal on the left of a segment; for an edge of a counter-clockwise polygon it points inwards. */
export function leftNormal({ a, b }: Segment): Point {
  const along = direction(a, b) ?? { x: 1, y: 0 };
  return { x: -along.y, y: along.x };
}

/** Distance from a point to a segment. A point on the segment is led to its left. */
export function clearanceToSegment(p: Point, segment: Segment): Clearance {
  const nearest = nearestOnSegment(p, segment);
  const distance = distanceBetween(p, nearest);
  // So near, the direction is nothing but rounding.
  const away = distance > 1e-9 ? direction(nearest, p) : undefined;
  return { distance, away: away ?? leftNormal(segment) };
}

/** Distance from a point to another. A coinciding point is led to the right. */
export function clearanceToPoint(p: Point, q: Point): Clearance {
  return { distance: distanceBetween(p, q), away: direction(q, p) ?? { x: 1, y: 0 } };
}

/** Distance from a point to a rectangle; inside it negative, and led out through the nearest side. */
export function clearanceToRect(p: Point, rect: Rect): Clearance {
  const nearest = { x: Math.min(rect.right, Math.max(rect.left, p.x)), y: Math.min(rect.top, Math.max(rect.bottom, p.y)) };
  const away = direction(nearest, p);
  if (away) return { distance: distanceBetween(p, nearest), away };
  const ways: Clearance[] = [
    { distance: rect.left - p.x, away: { x: -1, y: 0 } },
    { distance: p.x - rect.right, away: { x: 1, y: 0 } },
    { distance: rect.bottom - p.y, away: { x: 0, y: -1 } },
    { distance: p.y - rect.top, away: { x: 0, y: 1 } },
  ];
  return ways.reduce((best, way) => (way.distance > best.distance ? way : best));
}

export function boundsOf(points: readonly Point[]): Rect {
  const bounds = { left: Infinity, bottom: Infinity, right: -Infinity, top: -Infinity };
  for (const { x, y } of points) {
    bounds.left = Math.min(bounds.left, x);
    bounds.right = Math.max(bounds.right, x);
    bounds.bottom = Math.min(bounds.bottom, y);
    bounds.top = Math.max(bounds.top, y);
  }
  return bounds;
}

/** Area by the shoelace formula, mm²; positive when the points run counter-clockwise. */
export function signedArea(points: readonly Point[]): number {
  return edgesOf(points).reduce((sum, { a, b }) => sum + a.x * b.y - b.x * a.y, 0) / 2;
}

/** From the lower left corner counter-clockwise. */
export function cornersOf({ left, right, bottom, top }: Rect): Point[] {
  return [{ x: left, y: bottom }, { x: right, y: bottom }, { x: right, y: top }, { x: left, y: top }];
}

/** The closed polygon's edges, edge i from point i to the next. */
export function edgesOf(points: readonly Point[]): Segment[] {
  return points.map((a, index) => ({ a, b: points[(index + 1) % points.length] as Point }));
}

/** Interior angle at each point of a counter-clockwise polygon, degrees in (0, 360). */
export function interiorAngles(points: readonly Point[]): number[] {
  return points.map((p, index) => {
    const before = points[(index + points.length - 1) % points.length] as Point;
    const after = points[(index + 1) % points.length] as Point;
    const turn = Math.atan2(before.y - p.y, before.x - p.x) - Math.atan2(after.y - p.y, after.x - p.x);
    const degrees = (turn * 180) / Math.PI;
    return degrees <= 0 ? degrees + 360 : degrees;
  });
}

/** Whether the point lies in the polygon or on its edge (even-odd rule). */
export function isInside(p: Point, points: readonly Point[]): boolean {
  let inside = false;
  let a = points[points.length - 1] as Point;
  for (const b of points) {
    if (isBeside(p, a, b) && clearanceToSegment(p, { a, b }).distance <= onEdge) return true;
    if (a.y > p.y !== b.y > p.y && p.x < a.x + ((p.y - a.y) / (b.y - a.y)) * (b.x - a.x)) inside = !inside;
    a = b;
  }
  return inside;
}

/** A point so near an edge lies on it, mm. */
const onEdge = 1e-9;

/** Whether a point lies in the box round two others, or so near that it may lie on the line between. */
function isBeside({ x, y }: Point, a: Point, b: Point): boolean {
  return x >= Math.min(a.x, b.x) - onEdge && x <= Math.max(a.x, b.x) + onEdge && y >= Math.min(a.y, b.y) - onEdge && y <= Math.max(a.y, b.y) + onEdge;
}

/** Two edges of the polygon that cross or touch where they should not, as indices; undefined for a simple polygon. */
export function selfContact(points: readonly Point[]): readonly [number, number] | undefined {
  const edges = edgesOf(points);
  for (let i = 0; i < edges.length; i += 1) {
    for (let j = i + 1; j < edges.length; j += 1) {
      const first = edges[i] as Segment;
      const second = edges[j] as Segment;
      const isNeighbour = j === i + 1 || (i === 0 && j === edges.length - 1);
      if (isNeighbour ? foldsBack(first, second) : segmentsTouch(first, second)) return [i, j];
    }
  }
  return undefined;
}

/** Whether two edges that share a corner lie on each other. */
function foldsBack(first: Segment, second: Segment): boolean {
  const [tip, end, start] = first.b === second.a ? [first.b, second.b, first.a] : [first.a, second.a, first.b];
  const [ux, uy, vx, vy] = [start.x - tip.x, start.y - tip.y, end.x - tip.x, end.y - tip.y];
  return Math.abs(ux * vy - uy * vx) <= 1e-9 * Math.hypot(ux, uy) * Math.hypot(vx, vy) && ux * vx + uy * vy > 0;
}

/** Whether two segments cross or touch. */
export function segmentsTouch(first: Segment, second: Segment): boolean {
  const [d1, d2] = [side(second, first.a), side(second, first.b)];
  const [d3, d4] = [side(first, second.a), side(first, second.b)];
  if (d1 * d2 < 0 && d3 * d4 < 0) return true;
  const touches = (p: Point, segment: Segment) => clearanceToSegment(p, segment).distance <= 1e-9;
  return touches(first.a, second) || touches(first.b, second) || touches(second.a, first) || touches(second.b, first);
}

function side({ a, b }: Segment, p: Point): number {
  return Math.sign((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x));
}

/** Convex hull, counter-clockwise, without collinear points (Andrew's monotone chain). */
export function convexHull(points: readonly Point[]): Point[] {
  const sorted = [...points].sort((p, q) => p.x - q.x || p.y - q.y);
  const chain = (ordered: readonly Point[]) => {
    const hull: Point[] = [];
    for (const p of ordered) {
      while (hull.length >= 2 && side({ a: hull[hull.length - 2] as Point, b: hull[hull.length - 1] as Point }, p) <= 0) hull.pop();
      hull.push(p);
    }
    return hull.slice(0, -1);
  };
  return [...chain(sorted), ...chain(sorted.reverse())];
}

/** Least distance between two parallel lines that hold the points between them: one of them runs along a hull edge. */
export function narrowestWidth(points: readonly Point[]): number {
  const hull = convexHull(points);
  return Math.min(
    ...edgesOf(hull).map((edge) => {
      const normal = leftNormal(edge);
      return Math.max(...hull.map((p) => (p.x - edge.a.x) * normal.x + (p.y - edge.a.y) * normal.y));
    }),
  );
}

/**
 * The line inside a counter-clockwise polygon at its own distance from each edge: corners are where neighbouring
 * parallels meet. Made for strips (rims, joints) that are narrow against the edges.
 * @param widths distance inwards, one per edge, mm
 */
export function insetLine(points: readonly Point[], widths: readonly number[]): Point[] {
  const edges = edgesOf(points);
  return points.map((corner, index) => {
    const before = (index + points.length - 1) % points.length;
    const [first, second] = [edges[before] as Segment, edges[index] as Segment];
    const [n, m] = [leftNormal(first), leftNormal(second)];
    const [u, v] = [widths[before] ?? 0, widths[index] ?? 0];
    const cross = n.x * m.y - n.y * m.x;
    if (Math.abs(cross) < 1e-9) {
      const width = Math.max(u, v);
      return { x: corner.x + m.x * width, y: corner.y + m.y * width };
    }
    return { x: corner.x + (u * m.y - v * n.y) / cross, y: corner.y + (v * n.x - u * m.x) / cross };
  });
}
