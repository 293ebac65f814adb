import Flatbush from 'flatbush';
import { lengthSlack } from '../trade/units.ts';
import { clearanceToCore, type Core } from './obstacles.ts';
import { boundsOf, cornersOf, distanceBetween, edgesOf, isInside, leftNormal, nearestOnSegment, type Arc, type Loop, type Piece, type Point, type Rect, type Segment } from './shape.ts';

export type { Loop, Piece } from './shape.ts';

/** No centre may come nearer to the core than the radius, mm. */
export interface Forbidden {
  readonly core: Core;
  readonly radius: number;
}

/** A part of a panel, bounded by lines and arcs, with its boundary. Lengths in mm. */
export interface Region {
  /** Area, mm². */
  readonly size: number;
  readonly loops: readonly Loop[];
  has(p: Point): boolean;
  /** The point of the region that is nearest to `p`, which is `p` itself within it; undefined where the region is empty. */
  nearest(p: Point): Point | undefined;
}

/**
 * The part of a panel where a centre keeps its distance from all that is forbidden: what no core, grown by its radius,
 * covers. A centre exactly at a limit is within, as it is for the check: `has` allows {@link lengthSlack}, and the boundary
 * is drawn within that slack, at 0.3e-6 to 0.5e-6 mm less than the radius. So every point of the drawn region passes the
 * check, and every point that keeps all distances to the last digit is drawn; a region without width is drawn 1e-6 mm wide.
 * @param outline counter-clockwise; its edges must be among what is forbidden, each with a radius over 1e-6 mm
 * @param cuts half-planes that the region is cut off by: it keeps what lies on the left of each
 */
export function makeRegion(outline: readonly Point[], forbidden: readonly Forbidden[], cuts: readonly Segment[] = []): Region {
  const isFree = freedomOf(outline, forbidden, cuts);
  const boundary = once(() => drawBoundary(outline, forbidden, cuts));
  const size = once(() => Math.max(0, boundary().reduce((sum, loop) => sum + sizeWithin(loop), 0)));
  const nearestPiece = once(() => pieceSearch(boundary().flat()));
  return {
    get size() {
      return size();
    },
    get loops() {
      return boundary();
    },
    has: isFree,
    nearest: (p) => (isFree(p) ? p : nearestPiece()(p)),
  };
}

/** Makes something when it is first asked for. */
export function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | undefined;
  return () => (made ??= { value: make() }).value;
}

/** Whether a point is forbidden by nothing. */
function freedomOf(outline: readonly Point[], forbidden: readonly Forbidden[], cuts: readonly Segment[]): (p: Point) => boolean {
  const search = once(() => boxSearch(forbidden.map(({ core, radius }) => boxOfCore(core, radius))));
  const sides = cuts.map((cut) => ({ a: cut.a, inwards: leftNormal(cut) }));
  return (p) =>
    sides.every(({ a, inwards }) => depthOf(p, a, inwards) >= -lengthSlack) &&
    search()({ left: p.x, right: p.x, bottom: p.y, top: p.y }).every((index) => {
      const { core, radius } = forbidden[index] as Forbidden;
      return clearanceToCore(p, core).distance >= radius - lengthSlack;
    }) &&
    isInside(p, outline);
}

/** Finds which boxes meet a box, in their order. */
export function boxSearch(boxes: readonly Rect[]): (box: Rect) => number[] {
  if (boxes.length < 16) {
    return (box) => boxes.flatMap((other, index) => (other.left <= box.right && other.right >= box.left && other.bottom <= box.top && other.top >= box.bottom ? [index] : []));
  }
  const index = new Flatbush(boxes.length);
  for (const { left, bottom, right, top } of boxes) index.add(left, bottom, right, top);
  index.finish();
  return ({ left, bottom, right, top }) => index.search(left, bottom, right, top).sort((a, b) => a - b);
}

/** The cuts that leave what lies within a box, which may be without width or height. */
export function cutsOfBox({ left, bottom, right, top }: Rect): Segment[] {
  return [
    { a: { x: left, y: bottom }, b: { x: left + 1, y: bottom } },
    { a: { x: right, y: bottom }, b: { x: right, y: bottom + 1 } },
    { a: { x: right, y: top }, b: { x: right - 1, y: top } },
    { a: { x: left, y: top }, b: { x: left, y: top - 1 } },
  ];
}

/** The box round a core grown by a radius, mm. */
export function boxOfCore(core: Core, radius: number): Rect {
  return boxOfRect(core.kind === 'rect' ? core.rect : boundsOf(core.kind === 'point' ? [core.at] : [core.a, core.b]), radius);
}

const boxOfRect = ({ left, bottom, right, top }: Rect, by: number): Rect => ({ left: left - by, bottom: bottom - by, right: right + by, top: top + by });

/*
 * The boundary. All that is forbidden is made of two kinds of shapes: discs, and convex polygons given by their sides (a
 * half-plane has one side). Of each circle and side the stretches that no other shape covers are kept, and each is linked to
 * the one on the shape that it runs into. To leave no tangents and no three shapes through one point, which round numbers
 * bring about everywhere, every shape is grown by a little of its own, far below the slack and far above rounding.
 */

interface Disc {
  readonly center: Point;
  readonly radius: number;
}

/** A straight boundary of a shape, which lies on its left. Places along it in mm from `start`. */
interface Side {
  readonly start: Point;
  readonly along: Point;
  readonly inwards: Point;
  /** Where it begins and ends; infinite for a half-plane. */
  readonly from: number;
  readonly to: number;
  /** Whether it can be seen at all: the ends of a strip lie in the discs round them. */
  readonly isShown: boolean;
}

interface Shape {
  readonly disc?: Disc;
  readonly sides: readonly Side[];
  readonly isCut: boolean;
  readonly box: Rect;
}

/** By how much less than its radius a shape is drawn, mm, before it is grown by its own little; half the slack. */
const drawnShort = lengthSlack / 2;
/** The most that a shape is grown by, mm. Discs always by more than the strips between them, whose ends they cover. */
const mostGrown = 2e-7;
/** So many times another little is taken for every shape, where a boundary does not close. */
const mostTries = 12;
/** Ends of pieces that belong together lie no farther apart, mm. */
const linkSlack = 1e-4;
/** Shorter pieces are left out, mm: far below what shapes are drawn short by, and far above rounding. */
const shortestPiece = 2e-8;

function drawBoundary(outline: readonly Point[], forbidden: readonly Forbidden[], cuts: readonly Segment[]): Loop[] {
  for (let attempt = 0; attempt < mostTries; attempt += 1) {
    const loops = linked(exposedPieces(shapesOf(forbidden, cuts, attempt).filter(meets(outline, cuts))));
    if (loops) return loops.filter((loop) => isInside(middleOf(loop[0] as Piece), outline));
  }
  throw new Error('the boundary of a region does not close');
}

/** More than cuts and shapes are grown by, mm. */
const cutMargin = 1e-3;

/** Farther than anything from a panel, mm. */
const farOff = 1e6;

/** Tells shapes that may reach into what the cuts leave of the plane; of the others nothing can be seen. */
function meets(outline: readonly Point[], cuts: readonly Segment[]): (shape: Shape) => boolean {
  if (cuts.length === 0) return () => true;
  const left = cuts.reduce(cutOff, cornersOf(boxOfRect(boundsOf(outline), farOff)));
  const box = boxOfRect(boundsOf(left), cutMargin);
  return ({ disc, sides, isCut }) => isCut || (disc ? distanceToBox(disc.center, box) < disc.radius : !sides.some(({ start, inwards }) => left.every((p) => depthOf(p, start, inwards) < -cutMargin)));
}

/** How far a point lies on the inner side of a line, mm. */
const depthOf = (p: Point, start: Point, inwards: Point) => (p.x - start.x) * inwards.x + (p.y - start.y) * inwards.y;

/** What a cut, moved outwards by {@link cutMargin}, leaves of a convex polygon (Sutherland and Hodgman). */
function cutOff(points: readonly Point[], cut: Segment): Point[] {
  const inwards = leftNormal(cut);
  const depth = (p: Point) => depthOf(p, cut.a, inwards) + cutMargin;
  return edgesOf(points).flatMap(({ a, b }) => {
    const [from, to] = [depth(a), depth(b)];
    const crossing = from < 0 === to < 0 ? [] : [{ x: a.x + ((b.x - a.x) * from) / (from - to), y: a.y + ((b.y - a.y) * from) / (from - to) }];
    return [...(from < 0 ? [] : [a]), ...crossing];
  });
}

/** From 0 to 1, scattered by the numbers of the shape and of the attempt (a step of the SplitMix64 kind, cut to 32 bits; our choice). */
function scatter(index: number, attempt: number): number {
  let mixed = Math.imul(index + 1 + Math.imul(attempt, 7919), 0x9e3779b1);
  mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
  mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
  return ((mixed ^ (mixed >>> 16)) >>> 0) / 2 ** 32;
}

function shapesOf(forbidden: readonly Forbidden[], cuts: readonly Segment[], attempt: number): Shape[] {
  const discs = new Map<string, Disc>();
  const shapes: Shape[] = [];
  let count = 0;
  const grow = (share: number) => share * mostGrown * scatter((count += 1), attempt);
  // Of discs round one point the largest covers the others.
  const addDisc = (center: Point, radius: number) => {
    const key = `${center.x} ${center.y}`;
    const grown = radius + mostGrown / 2 + grow(0.5);
    if (grown > (discs.get(key)?.radius ?? 0)) discs.set(key, { center, radius: grown });
  };
  for (const { core, radius } of forbidden) {
    const drawn = radius - drawnShort;
    if (core.kind === 'point') addDisc(core.at, drawn);
    else if (core.kind === 'segment') {
      if (drawn <= 0) continue;
      addDisc(core.a, drawn);
      addDisc(core.b, drawn);
      if (core.a.x !== core.b.x || core.a.y !== core.b.y) shapes.push(strip(core, drawn + grow(0.4)));
    } else {
      if (drawn > 0) for (const corner of cornersOf(core.rect)) addDisc(corner, drawn);
      const shape = grownRect(core.rect, drawn + grow(0.4));
      if (shape) shapes.push(shape);
    }
  }
  for (const cut of cuts) {
    const inwards = leftNormal(cut);
    const shift = drawnShort - grow(0.4);
    const start = { x: cut.a.x - inwards.x * shift, y: cut.a.y - inwards.y * shift };
    shapes.push({ sides: [{ ...sideFrom({ a: { x: start.x + inwards.y, y: start.y - inwards.x }, b: start }, true), start, from: -Infinity, to: Infinity }], isCut: true, box: { left: -Infinity, bottom: -Infinity, right: Infinity, top: Infinity } });
  }
  return [...shapes, ...[...discs.values()].filter(({ radius }) => radius > 0).map((disc): Shape => ({ disc, sides: [], isCut: false, box: boxOfCore({ kind: 'point', at: disc.center }, disc.radius) }))];
}

function sideFrom({ a, b }: Segment, isShown: boolean): Side {
  const inwards = leftNormal({ a, b });
  return { start: a, along: { x: inwards.y, y: -inwards.x }, inwards, from: 0, to: distanceBetween(a, b), isShown };
}

function polygonShape(points: readonly Point[], shown: (index: number) => boolean): Shape {
  return { sides: points.map((a, index) => sideFrom({ a, b: points[(index + 1) % points.length] as Point }, shown(index))), isCut: false, box: boundsOf(points) };
}

/** All that lies square beside a segment, up to a distance. */
function strip({ a, b }: Segment, radius: number): Shape {
  const { x, y } = leftNormal({ a, b });
  const beside = (p: Point, by: number) => ({ x: p.x + x * by, y: p.y + y * by });
  return polygonShape([beside(a, -radius), beside(b, -radius), beside(b, radius), beside(a, radius)], (index) => index % 2 === 0);
}

/** A rectangle with all that lies square beside it, up to a distance, and the chords across its corners; shrunk where that is negative. */
function grownRect({ left, bottom, right, top }: Rect, by: number): Shape | undefined {
  if (by <= 0) {
    const shrunk = { left: left - by, bottom: bottom - by, right: right + by, top: top + by };
    return shrunk.left < shrunk.right && shrunk.bottom < shrunk.top ? polygonShape(cornersOf(shrunk), () => true) : undefined;
  }
  const points = [
    { x: left, y: bottom - by },
    { x: right, y: bottom - by },
    { x: right + by, y: bottom },
    { x: right + by, y: top },
    { x: right, y: top + by },
    { x: left, y: top + by },
    { x: left - by, y: top },
    { x: left - by, y: bottom },
  ];
  return polygonShape(points, (index) => index % 2 === 0);
}

/** A stretch of a circle (radians) or of a side (mm), and the shape that covers it. */
interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly by: number;
}

/** A piece, the shape that it lies on, and those that it comes from and runs into. */
interface Exposed {
  readonly piece: Piece;
  /** Its own length, mm: of the shortest arcs and of those that are nearly whole circles the ends alone do not tell it. */
  readonly length: number;
  readonly on: number;
  readonly after: number;
  readonly before: number;
}

/** The number of a side's own end, where no shape covers it. */
const ownEnd = -1;

function exposedPieces(shapes: readonly Shape[]): Exposed[] {
  const unbounded = shapes.flatMap(({ isCut }, index) => (isCut ? [index] : []));
  const bounded = shapes.flatMap(({ isCut }, index) => (isCut ? [] : [index]));
  const find = boxSearch(bounded.map((index) => (shapes[index] as Shape).box));
  const near = (shape: Shape) => (shape.isCut ? shapes.map((_, index) => index) : [...find(shape.box).map((at) => bounded[at] as number), ...unbounded]);
  return shapes.flatMap((shape, on) => {
    const others = near(shape).filter((other) => other !== on);
    if (shape.disc) return exposedOnCircle(shape.disc, on, others, shapes);
    return shape.sides.flatMap((side, number) => (side.isShown ? exposedOnSide(shape, number, on, others, shapes) : []));
  });
}

const turn = 2 * Math.PI;
const turned = (angle: number) => ((angle % turn) + turn) % turn;

function exposedOnCircle({ center, radius }: Disc, on: number, others: readonly number[], shapes: readonly Shape[]): Exposed[] {
  const covered: Stretch[] = [];
  const cover = (middle: number, half: number, by: number) => {
    const [from, to] = [turned(middle - half), turned(middle - half) + 2 * half];
    covered.push({ from, to: Math.min(to, turn), by });
    if (to > turn) covered.push({ from: 0, to: to - turn, by });
  };
  for (const by of others) {
    const { disc, sides } = shapes[by] as Shape;
    if (disc) {
      const distance = distanceBetween(center, disc.center);
      if (distance >= radius + disc.radius || distance <= radius - disc.radius) continue;
      if (distance <= disc.radius - radius) return [];
      cover(Math.atan2(disc.center.y - center.y, disc.center.x - center.x), angleOf((distance ** 2 + radius ** 2 - disc.radius ** 2) / (2 * distance * radius)), by);
    } else {
      const within = circleWithin(center, radius, sides);
      if (within === 'all') return [];
      for (const { middle, half } of within) cover(middle, half, by);
    }
  }
  const at = (angle: number) => ({ x: center.x + radius * Math.cos(angle), y: center.y + radius * Math.sin(angle) });
  if (covered.length === 0) return [{ piece: { kind: 'arc', from: at(0), to: at(0), center, radius }, length: turn * radius, on, after: on, before: on }];
  const open = gaps(covered, 0, turn);
  const [first, last] = [open[0], open[open.length - 1]];
  // What is open on both sides of angle 0 is one stretch.
  const joined = first && last && first !== last && first.after === ownEnd && last.before === ownEnd ? [...open.slice(1, -1), { ...last, to: first.to + turn, before: first.before }] : open;
  return joined.map(({ from, to, after, before }) => ({ piece: { kind: 'arc', from: at(to), to: at(from), center, radius }, length: (to - from) * radius, on, after: before, before: after }));
}

const angleOf = (cosine: number) => Math.acos(Math.min(1, Math.max(-1, cosine)));

/** Which stretches of a circle lie within a convex polygon. */
function circleWithin(center: Point, radius: number, sides: readonly Side[]): 'all' | { middle: number; half: number }[] {
  const outside: Stretch[] = [];
  for (const { start, inwards } of sides) {
    const depth = depthOf(center, start, inwards);
    if (depth <= -radius) return [];
    if (depth >= radius) continue;
    const half = angleOf(depth / radius);
    const from = turned(Math.atan2(-inwards.y, -inwards.x) - half);
    outside.push({ from, to: Math.min(from + 2 * half, turn), by: 0 });
    if (from + 2 * half > turn) outside.push({ from: 0, to: from + 2 * half - turn, by: 0 });
  }
  if (outside.length === 0) return 'all';
  const open = gaps(outside, 0, turn);
  const [first, last] = [open[0], open[open.length - 1]];
  const joined = first && last && first !== last && first.after === ownEnd && last.before === ownEnd ? [...open.slice(1, -1), { ...last, to: first.to + turn }] : open;
  return joined.map(({ from, to }) => ({ middle: (from + to) / 2, half: (to - from) / 2 }));
}

function exposedOnSide(shape: Shape, number: number, on: number, others: readonly number[], shapes: readonly Shape[]): Exposed[] {
  const { start, along, from: low, to: high } = shape.sides[number] as Side;
  const covered: Stretch[] = [];
  for (const by of others) {
    const { disc, sides } = shapes[by] as Shape;
    if (disc) {
      const [dx, dy] = [disc.center.x - start.x, disc.center.y - start.y];
      const across = dx * along.y - dy * along.x;
      if (Math.abs(across) >= disc.radius) continue;
      const middle = dx * along.x + dy * along.y;
      const half = Math.sqrt((disc.radius - across) * (disc.radius + across));
      covered.push({ from: middle - half, to: middle + half, by });
    } else {
      const within = lineWithin(start, along, sides);
      if (within) covered.push({ ...within, by });
    }
  }
  const at = (mm: number) => ({ x: start.x + along.x * mm, y: start.y + along.y * mm });
  // What goes on without end lies off the panel.
  const open = gaps(covered, low, high).filter(({ from, to }) => Number.isFinite(from) && Number.isFinite(to));
  return open.map(({ from, to, after, before }) => ({ piece: { kind: 'line', from: at(to), to: at(from), isCut: shape.isCut }, length: to - from, on, after: before, before: after }));
}

/** Which stretch of a line lies within a convex polygon. */
function lineWithin(start: Point, along: Point, sides: readonly Side[]): { from: number; to: number } | undefined {
  let [from, to] = [-Infinity, Infinity];
  for (const side of sides) {
    const depth = depthOf(start, side.start, side.inwards);
    const slope = along.x * side.inwards.x + along.y * side.inwards.y;
    // So flat, the line does not meet the side on any panel.
    if (Math.abs(slope) < 1e-13) {
      if (depth <= 0) return undefined;
    } else if (slope > 0) from = Math.max(from, -depth / slope);
    else to = Math.min(to, -depth / slope);
  }
  return from < to ? { from, to } : undefined;
}

/** What stretches leave open between two ends, each with the shapes that cover what comes before and after it. */
function gaps(covered: readonly Stretch[], low: number, high: number): { from: number; to: number; after: number; before: number }[] {
  const open: { from: number; to: number; after: number; before: number }[] = [];
  let [reached, by] = [low, ownEnd];
  for (const stretch of [...covered].sort((a, b) => a.from - b.from)) {
    if (stretch.from > reached) {
      if (stretch.from >= high) break;
      open.push({ from: reached, to: stretch.from, after: by, before: stretch.by });
    }
    if (stretch.to > reached) [reached, by] = [stretch.to, stretch.by];
  }
  if (reached < high) open.push({ from: reached, to: high, after: by, before: ownEnd });
  return open;
}

/** The pieces in closed loops; undefined where one does not go on. */
function linked(pieces: readonly Exposed[]): Loop[] | undefined {
  const starts = new Map<string, number[]>();
  const keyOf = (on: number, after: number) => `${on} ${after}`;
  for (const [index, { on, after }] of pieces.entries()) {
    const key = keyOf(on, after);
    const list = starts.get(key);
    if (list) list.push(index);
    else starts.set(key, [index]);
  }
  const isUsed = pieces.map(() => false);
  const loops: Loop[] = [];
  for (const first of pieces.keys()) {
    if (isUsed[first]) continue;
    const loop: Piece[] = [];
    let [index, isClosed] = [first, false];
    while (!isClosed) {
      isUsed[index] = true;
      const { piece, length, on, before } = pieces[index] as Exposed;
      const last = loop[loop.length - 1];
      const joined = last ? { ...piece, from: last.to } : piece;
      const over = joined.kind === 'arc' ? sweepOf(joined) - length / joined.radius : 0;
      // Its gap is too narrow for its ends to tell it from a shortest arc.
      if (over < -Math.PI) return undefined;
      if (length > shortestPiece && over < Math.PI) loop.push(joined);
      const distanceTo = (next: number) => distanceBetween((pieces[next] as Exposed).piece.from, piece.to);
      // From its own end a side goes on to the next side of its shape.
      const key = before === ownEnd ? keyOf(on, ownEnd) : keyOf(before, on);
      const next = (starts.get(key) ?? []).filter((one) => (one === first || !isUsed[one]) && distanceTo(one) < linkSlack);
      if (next.length === 0) return undefined;
      index = next.reduce((best, one) => (distanceTo(one) < distanceTo(best) ? one : best));
      isClosed = index === first;
    }
    if (loop.length > 0) loops.push(loop);
  }
  return loops;
}

/** The angle that an arc goes through, radians, over 0 and up to a whole turn; it goes clockwise. */
export function sweepOf({ from, to, center }: Arc): number {
  if (from.x === to.x && from.y === to.y) return turn;
  return turned(Math.atan2(from.y - center.y, from.x - center.x) - Math.atan2(to.y - center.y, to.x - center.x)) || turn;
}

function middleOf(piece: Piece): Point {
  const { from, to } = piece;
  if (piece.kind === 'line') return { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
  const { center, radius } = piece;
  const angle = Math.atan2(from.y - center.y, from.x - center.x) - sweepOf(piece) / 2;
  return { x: center.x + radius * Math.cos(angle), y: center.y + radius * Math.sin(angle) };
}

/** Area within a loop by Green's theorem, mm²; negative where it goes round a hole. */
function sizeWithin(loop: Loop): number {
  const origin = loop[0]?.from ?? { x: 0, y: 0 };
  return loop.reduce((sum, piece) => {
    const [x0, y0, x1, y1] = [piece.from.x - origin.x, piece.from.y - origin.y, piece.to.x - origin.x, piece.to.y - origin.y];
    if (piece.kind === 'line') return sum + (x0 * y1 - x1 * y0) / 2;
    const { center, radius } = piece;
    return sum + ((center.x - origin.x) * (y1 - y0) - (center.y - origin.y) * (x1 - x0) - radius ** 2 * sweepOf(piece)) / 2;
  }, 0);
}

/** Finds the nearest point of many pieces. */
function pieceSearch(pieces: readonly Piece[]): (p: Point) => Point | undefined {
  if (pieces.length === 0) return () => undefined;
  const boxes = pieces.map((piece) => boundsOf(outermost(piece)));
  const index = new Flatbush(pieces.length);
  for (const { left, bottom, right, top } of boxes) index.add(left, bottom, right, top);
  index.finish();
  return (p) => {
    for (let count = 8; ; count *= 4) {
      const found = index.neighbors(p.x, p.y, count);
      const nearest = found.map((at) => nearestOnPiece(p, pieces[at] as Piece)).reduce((best, at) => (distanceBetween(p, at) < distanceBetween(p, best) ? at : best));
      // Boxes come in the order of their distance: one farther off holds no nearer point.
      const farthest = boxes[found[found.length - 1] as number] as Rect;
      if (found.length < count || distanceToBox(p, farthest) >= distanceBetween(p, nearest)) return nearest;
    }
  };
}

function distanceToBox(p: Point, { left, bottom, right, top }: Rect): number {
  return Math.hypot(Math.max(left - p.x, 0, p.x - right), Math.max(bottom - p.y, 0, p.y - top));
}

/** Points whose box is that of the piece: its ends, and where an arc is farthest to the right, top, left and bottom, as far as it comes there. */
export function outermost(piece: Piece): Point[] {
  const ends = [piece.from, piece.to];
  return piece.kind === 'line' ? ends : [...ends, ...quarters(piece)];
}

function quarters(arc: Arc): Point[] {
  const { center, radius, from } = arc;
  const sweep = sweepOf(arc);
  const start = Math.atan2(from.y - center.y, from.x - center.x);
  return [0, 1, 2, 3].flatMap((quarter) => {
    const angle = (quarter * Math.PI) / 2;
    return turned(start - angle) <= sweep ? [{ x: center.x + radius * Math.cos(angle), y: center.y + radius * Math.sin(angle) }] : [];
  });
}

function nearestOnPiece(p: Point, piece: Piece): Point {
  const { from, to } = piece;
  if (piece.kind === 'line') return nearestOnSegment(p, { a: from, b: to });
  const { center, radius } = piece;
  const away = Math.atan2(p.y - center.y, p.x - center.x);
  if (turned(Math.atan2(from.y - center.y, from.x - center.x) - away) <= sweepOf(piece)) return { x: center.x + radius * Math.cos(away), y: center.y + radius * Math.sin(away) };
  return distanceBetween(p, from) <= distanceBetween(p, to) ? from : to;
}
