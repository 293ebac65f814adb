/**
 * An oracle for where a hole may be: the rules written out again with plain distances, and nothing of it shared with what it
 * judges. Sources of the limits: EN 12150-1:2015 clause 7 as restated by infoglass.cz; US fabrication practice after ASTM
 * C1048 as published by wagnercompanies.com and germansystemwindows.com. One diameter of glass, and 3 mm of room round
 * parts: common practice, no source. Acrylic: from memory.
 */
import fc from 'fast-check';
import { makePanel, type Hole, type Panel } from '../../src/geometry/panel.ts';
import type { Level } from '../../src/geometry/obstacles.ts';
import type { Loop, Piece } from '../../src/geometry/region.ts';
import type { Point, Rect } from '../../src/geometry/shape.ts';
import { convexPolygon, coordinate, starPolygon } from './polygons.ts';

type Strips = { readonly bottom: number; readonly right: number; readonly top: number; readonly left: number };

export interface Work {
  readonly material: 'annealed glass' | 'acrylic' | 'toughened glass';
  readonly t: number;
  readonly placement: number;
  readonly outline: readonly Point[];
  readonly rim: Strips;
  readonly joint: Strips;
  readonly keepClear: readonly Rect[];
  readonly boxes: readonly Rect[];
  readonly holes: readonly Hole[];
}

export const noStrips: Strips = { bottom: 0, right: 0, top: 0, left: 0 };

/** A panel of annealed glass without anything on it. */
export function plainWork(outline: readonly Point[], holes: readonly Hole[], more: Partial<Work> = {}): Work {
  return { material: 'annealed glass', t: 6, placement: 0, outline, rim: noStrips, joint: noStrips, keepClear: [], boxes: [], holes, ...more };
}

export function panelOf({ material, t, placement, outline, rim, joint, keepClear, boxes }: Work): Panel {
  return makePanel({
    material,
    thickness: t,
    outline,
    names: { edges: outline.map((_, index) => `edge ${index}`), corners: outline.map((_, index) => `corner ${index}`) },
    rim,
    joints: joint,
    keepClear: keepClear.map((rect, index) => ({ name: `area ${index}`, rect })),
    boxes: boxes.map((rect, index) => ({ name: `box ${index}`, rect, wall: 6, crest: null, stands: 'inside' })),
    placement,
  });
}

/** Distance from a point to a segment: along a line through `a` and `b`, or from the nearer end. */
export function toSegment(p: Point, a: Point, b: Point): number {
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  const along = ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / length;
  if (along <= 0) return Math.hypot(p.x - a.x, p.y - a.y);
  if (along >= length) return Math.hypot(p.x - b.x, p.y - b.y);
  return Math.abs((p.x - a.x) * (b.y - a.y) - (p.y - a.y) * (b.x - a.x)) / length;
}

/** Distance from a point to a rectangle, negative within it. */
export function toRect(p: Point, { left, right, bottom, top }: Rect): number {
  const [x, y] = [Math.abs(p.x - (left + right) / 2) - (right - left) / 2, Math.abs(p.y - (bottom + top) / 2) - (top - bottom) / 2];
  return x > 0 && y > 0 ? Math.hypot(x, y) : Math.max(x, y);
}

/** Whether a point is in a polygon: how often the outline winds round it. */
export function isWithin(p: Point, outline: readonly Point[]): boolean {
  return Math.round(outline.reduce((sum, a, index) => sum + seenAngle(p, a, outline[(index + 1) % outline.length] as Point), 0) / (2 * Math.PI)) !== 0;
}

/** The angle from `a` to `b` as seen from `p`, counter-clockwise, within half a turn. */
function seenAngle(p: Point, a: Point, b: Point): number {
  const [ux, uy, vx, vy] = [a.x - p.x, a.y - p.y, b.x - p.x, b.y - p.y];
  return Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
}

/** Width of the strip along an edge of a counter-clockwise outline: of the side that it looks to, or the wider of two where it looks to the middle between them. */
function stripAt(a: Point, b: Point, strips: Strips): number {
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  const [right, up] = [(b.y - a.y) / length, (a.x - b.x) / length];
  const least = Math.SQRT1_2 - 1e-6;
  return Math.max(up <= -least ? strips.bottom : 0, right >= least ? strips.right : 0, up >= least ? strips.top : 0, right <= -least ? strips.left : 0);
}

/** Interior angle at a point of a counter-clockwise outline, degrees. */
function angleAt(outline: readonly Point[], index: number): number {
  const at = (offset: number) => outline[(index + offset + outline.length) % outline.length] as Point;
  const angle = (-seenAngle(at(0), at(-1), at(1)) * 180) / Math.PI;
  return angle < 0 ? angle + 360 : angle;
}

/** What a hole must keep from something: the distance there is, less what is needed. */
export type Need = (p: Point) => number;

/** All that is asked of a hole's centre at a level, whatever the others of its rules. Of acrylic no corner is asked; corners over 170 degrees are none (our choice). */
export function needsOf({ material, t, placement, outline, rim, joint, keepClear, boxes, holes }: Work, index: number, level: Level): Need[] {
  const own = holes[index] as Hole;
  const d = own.diameter;
  const isGood = level === 'good practice';
  const isGlass = material === 'annealed glass';
  const widest = (hole: Hole) => Math.max(hole.flange ?? 0, hole.gasket ?? 0, hole.nut ?? 0);
  const reach = (hole: Hole) => Math.max(hole.diameter, widest(hole)) / 2;
  const room = isGood ? 3 : 0;
  // EN: 2t; US: 1/4 in or 2t between hole and edge, 3/8 in or 2t between holes, 6.5t to the corner.
  const edge = Math.max(isGlass ? Math.max(2 * t, 6.4) : Math.max(t, d / 2), isGood ? d : 0);
  const between = (larger: number) => Math.max(isGlass ? Math.max(2 * t, 9.5) : Math.max(t, larger / 2), isGood ? larger : 0);
  const needs: Need[] = [];
  for (const [at, a] of outline.entries()) {
    const b = outline[(at + 1) % outline.length] as Point;
    const strip = Math.max(stripAt(a, b, rim), stripAt(a, b, joint));
    const needed = placement + Math.max(d / 2 + edge, widest(own) >= d ? reach(own) + room : 0, strip > 0 ? reach(own) + strip + room : 0);
    needs.push((p) => toSegment(p, a, b) - needed);
    if (isGlass && angleAt(outline, at) <= 170) needs.push((p) => Math.hypot(p.x - a.x, p.y - a.y) - placement - d / 2 - 6.5 * t);
  }
  for (const rect of keepClear) needs.push((p) => toRect(p, rect) - placement - reach(own) - room);
  for (const [at, rect] of boxes.entries()) if (own.box !== `box ${at}`) needs.push((p) => toRect(p, rect) - placement - reach(own) - room);
  for (const other of holes) {
    if (other === own) continue;
    const hasParts = widest(own) >= d || widest(other) >= other.diameter;
    const needed = 2 * placement + Math.max((d + other.diameter) / 2 + between(Math.max(d, other.diameter)), hasParts ? reach(own) + reach(other) + room : 0);
    needs.push((p) => Math.hypot(p.x - other.center.x, p.y - other.center.y) - needed);
  }
  return needs;
}

/** What is asked of a hole's centre where its area is told: also that one of a box stays on its back wall. */
export function areaNeedsOf(work: Work, index: number, level: Level): Need[] {
  const own = work.boxes.filter((_, at) => work.holes[index]?.box === `box ${at}`);
  return [...needsOf(work, index, level), ...own.map((rect): Need => (p) => -toRect(p, rect))];
}

/** How much more there is than needed, mm: at a place of the panel where all is kept not negative. Off the panel nothing is. */
export function spareOf(needs: readonly Need[], outline: readonly Point[], p: Point): number {
  let least = Infinity;
  for (const need of needs) least = Math.min(least, need(p));
  return isWithin(p, outline) ? least : -Infinity;
}

type Arc = Extract<Piece, { kind: 'arc' }>;

/** How far an arc turns, clockwise from its start; a whole turn where it ends there. */
export function turnOf({ from, to, center }: Arc): number {
  if (from.x === to.x && from.y === to.y) return 2 * Math.PI;
  const angle = -seenAngle(center, from, to);
  return angle < 0 ? angle + 2 * Math.PI : angle;
}

/** Arcs of at most a quarter turn, and lines, each by its ends and, if an arc, its circle. */
interface Part {
  readonly from: Point;
  readonly to: Point;
  readonly circle?: { readonly center: Point; readonly radius: number };
}

export function partsOf(loops: readonly Loop[]): Part[] {
  return loops.flat().flatMap((piece): Part[] => {
    if (piece.kind === 'line') return [piece];
    const { from, to, center, radius } = piece;
    const count = Math.ceil(turnOf(piece) / (Math.PI / 2));
    const start = Math.atan2(from.y - center.y, from.x - center.x);
    const at = (share: number) => ({ x: center.x + radius * Math.cos(start - turnOf(piece) * share), y: center.y + radius * Math.sin(start - turnOf(piece) * share) });
    return Array.from({ length: count }, (_, index) => ({ from: index === 0 ? from : at(index / count), to: index === count - 1 ? to : at((index + 1) / count), circle: { center, radius } }));
  });
}

/**
 * How often boundaries wind round a point. An arc winds as its chord does, but for the points between the two: those it
 * passes on the other side.
 */
export function windingOf(parts: readonly Part[], p: Point): number {
  let [angle, passed] = [0, 0];
  for (const { from, to, circle } of parts) {
    angle += seenAngle(p, from, to);
    if (circle && Math.hypot(p.x - circle.center.x, p.y - circle.center.y) < circle.radius && (to.x - from.x) * (p.y - from.y) - (to.y - from.y) * (p.x - from.x) > 0) passed += 1;
  }
  return Math.round(angle / (2 * Math.PI)) - passed + 0;
}

/** Places on both sides of the boundary, so far off it, square to it. */
export function besideBoundary(loops: readonly Loop[], off: number, shares: readonly number[]): Point[] {
  return loops.flat().flatMap((piece) =>
    shares.flatMap((share) => {
      const { from, to } = piece;
      if (piece.kind === 'line') {
        const length = Math.hypot(to.x - from.x, to.y - from.y) || 1;
        return [-off, off].map((by) => ({ x: from.x + share * (to.x - from.x) - (by * (to.y - from.y)) / length, y: from.y + share * (to.y - from.y) + (by * (to.x - from.x)) / length }));
      }
      const { center, radius } = piece;
      const angle = Math.atan2(from.y - center.y, from.x - center.x) - share * turnOf(piece);
      return [-off, off].map((by) => ({ x: center.x + (radius + by) * Math.cos(angle), y: center.y + (radius + by) * Math.sin(angle) }));
    }),
  );
}

const anyStrips = (most: number) => fc.oneof({ weight: 1, arbitrary: fc.constant(noStrips) }, { weight: 1, arbitrary: fc.record({ bottom: fc.integer({ min: 0, max: most }), right: fc.integer({ min: 0, max: most }), top: fc.integer({ min: 0, max: most }), left: fc.integer({ min: 0, max: most }) }) });

/** Whole steps of a length. */
const steps = (step: number, least: number, most: number) => fc.integer({ min: least / step, max: most / step }).map((count) => count * step);

const rectangleOf = (width: number, height: number): Point[] => [{ x: 0, y: 0 }, { x: width, y: 0 }, { x: width, y: height }, { x: 0, y: height }];

/** An L, a U, a house with a point in the middle of a straight edge, an end that imitates an arc, a sharp wedge. */
const oddOutline = fc.oneof(
  fc.tuple(steps(50, 100, 300), steps(50, 100, 300)).map(([a, b]) => [{ x: 0, y: 0 }, { x: 600, y: 0 }, { x: 600, y: b }, { x: a, y: b }, { x: a, y: 600 }, { x: 0, y: 600 }]),
  steps(25, 50, 200).map((a) => [{ x: 0, y: 0 }, { x: 600, y: 0 }, { x: 600, y: 500 }, { x: 600 - a, y: 500 }, { x: 600 - a, y: a }, { x: a, y: a }, { x: a, y: 500 }, { x: 0, y: 500 }]),
  steps(50, 200, 600).map((a) => [{ x: 0, y: 0 }, { x: a / 2, y: 0 }, { x: a, y: 0 }, { x: a, y: 300 }, { x: a / 2, y: 450 }, { x: 0, y: 300 }]),
  fc.integer({ min: 8, max: 40 }).map((count) => [{ x: 0, y: 0 }, { x: 500, y: 0 }, ...Array.from({ length: count + 1 }, (_, index) => ({ x: 500 - 250 * (1 - Math.cos((index / count) * Math.PI)), y: 200 + 250 * Math.sin((index / count) * Math.PI) }))]),
  steps(10, 100, 300).map((a) => [{ x: 0, y: 0 }, { x: 600, y: 0 }, { x: 600, y: a }]),
);

/** Outlines without a corner so near to 170 degrees that rounding decides whether it is one. */
export const anyOutline: fc.Arbitrary<readonly Point[]> = fc.oneof(
  fc.tuple(steps(50, 150, 600), steps(50, 150, 600)).map(([width, height]) => rectangleOf(width, height)),
  fc.tuple(coordinate(150, 600), coordinate(150, 600)).map(([width, height]) => rectangleOf(width, height)),
  starPolygon,
  convexPolygon,
  oddOutline,
).filter((outline) => outline.every((_, index) => Math.abs(angleAt(outline, index) - 170) > 1e-6));

const part = fc.option(fc.integer({ min: -4, max: 30 }), { nil: undefined, freq: 2 });
const anyPlace = fc.oneof(fc.record({ x: steps(25, 0, 600), y: steps(25, 0, 600) }), fc.record({ x: coordinate(0, 600), y: coordinate(0, 600) }));
const anyRect = fc.oneof(
  fc.record({ x: steps(25, 0, 500), y: steps(25, 0, 500), w: steps(25, 25, 150), h: steps(25, 25, 150) }),
  fc.record({ x: coordinate(0, 500), y: coordinate(0, 500), w: coordinate(5, 150), h: coordinate(5, 150) }),
).map(({ x, y, w, h }): Rect => ({ left: x, right: x + w, bottom: y, top: y + h }));

/** Panels of every kind: round numbers among them, so that much touches or meets in one point; holes off the panel too, as a plan may be spoiled. */
export const anyWork = (mostHoles = 8): fc.Arbitrary<Work> =>
  fc
    .record({
      material: fc.constantFrom('annealed glass', 'acrylic'),
      t: fc.constantFrom(3, 4, 5, 6, 8, 10),
      placement: fc.constantFrom(0, 0, 0.5, 1.5),
      outline: anyOutline,
      rim: anyStrips(25),
      joint: anyStrips(15),
      keepClear: fc.array(anyRect, { maxLength: 3 }),
      boxes: fc.array(anyRect, { maxLength: 1 }),
      drawn: fc.array(fc.record({ diameter: fc.oneof(fc.constantFrom(10, 20, 30), fc.integer({ min: 12, max: 120 }).map((count) => count / 2)), flange: part, nut: part, gasket: part, center: anyPlace, isOfBox: fc.boolean() }), { minLength: 1, maxLength: mostHoles }),
    })
    .map(({ drawn, ...rest }) => ({
      ...rest,
      holes: drawn.map(({ diameter, flange, nut, gasket, center, isOfBox }, index) => ({
        name: `hole ${index}`,
        center,
        diameter,
        ...(flange === undefined ? {} : { flange: diameter + flange }),
        ...(nut === undefined ? {} : { nut: diameter + nut }),
        ...(gasket === undefined ? {} : { gasket: diameter + gasket }),
        ...(isOfBox && rest.boxes.length > 0 ? { box: 'box 0' } : {}),
      })),
    }));

/** Area within a boundary, mm², by the polygon of its parts' ends and the segments between arcs and their chords; negative round what is left out. */
export function sizeOfLoop(loop: Loop): number {
  return partsOf([loop]).reduce((sum, { from, to, circle }) => {
    const start = loop[0]?.from as Point;
    const chord = ((from.x - start.x) * (to.y - start.y) - (to.x - start.x) * (from.y - start.y)) / 2;
    if (!circle) return sum + chord;
    const half = Math.asin(Math.min(1, Math.hypot(to.x - from.x, to.y - from.y) / 2 / circle.radius));
    return sum + chord - circle.radius ** 2 * (half - Math.sin(half) * Math.cos(half));
  }, 0);
}
