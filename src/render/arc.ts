import type { Arc, Loop, Piece, Point } from '../geometry/shape.ts';

export type { Arc, Loop, Piece } from '../geometry/shape.ts';

/** Outlines of lines and arcs, as allowed areas have them: what they are made of, and how they are moved and cut up for drawing. Lengths in mm. */

/** An arc whose ends lie so near together, mm, is no longer than that: nobody sees it, and rounding might make a whole circle of it. */
const shortest = 1e-6;

/** Radians that an arc turns through, clockwise: more than 0, 2 pi for a whole circle. */
export function turnOf({ from, to, center }: Arc): number {
  if (from.x === to.x && from.y === to.y) return 2 * Math.PI;
  if (Math.hypot(from.x - to.x, from.y - to.y) < shortest) return 0;
  const turn = Math.atan2(from.y - center.y, from.x - center.x) - Math.atan2(to.y - center.y, to.x - center.x);
  return turn <= 0 ? turn + 2 * Math.PI : turn;
}

/** A part of an arc, from where the last one ended: directions from the center in radians, the second less than the first. */
export interface ArcStep {
  readonly start: number;
  readonly end: number;
  readonly to: Point;
}

/** An arc in equal steps of at most so many radians; the last ends where the arc does. */
export function arcSteps(arc: Arc, most: number): ArcStep[] {
  const { from, to, center, radius } = arc;
  const turn = turnOf(arc);
  const first = Math.atan2(from.y - center.y, from.x - center.x);
  const count = Math.max(1, Math.ceil(turn / most - 1e-9));
  return Array.from({ length: count }, (_, index) => {
    const end = first - (turn * (index + 1)) / count;
    return { start: first - (turn * index) / count, end, to: index === count - 1 ? to : { x: center.x + radius * Math.cos(end), y: center.y + radius * Math.sin(end) } };
  });
}

/** Points whose box is the box of the outlines: ends, and where an arc is furthest left, right, up or down. */
export function outermost(loops: readonly Loop[]): Point[] {
  return loops.flatMap((loop) => loop.flatMap((piece): Point[] => [piece.from, ...(piece.kind === 'arc' ? quarters(piece) : [])]));
}

function quarters(arc: Arc): Point[] {
  const { from, center: { x, y }, radius } = arc;
  const [first, turn] = [Math.atan2(from.y - y, from.x - x), turnOf(arc)];
  return [[1, 0], [0, 1], [-1, 0], [0, -1]].flatMap(([dx = 0, dy = 0]) => {
    const past = first - Math.atan2(dy, dx);
    return (past < 0 ? past + 2 * Math.PI : past) <= turn ? [{ x: x + dx * radius, y: y + dy * radius }] : [];
  });
}

/**
 * Outlines drawn elsewhere.
 * @param place where a point goes: moved, drawn to a scale, and mirrored where `isMirrored` says so. A mirror turns arcs the
 * other way round; told from their other end, they run clockwise again.
 */
export function placedLoops(loops: readonly Loop[], place: (point: Point) => Point, scale: number, isMirrored: boolean): Loop[] {
  const placed = (piece: Piece): Piece => {
    const [from, to] = isMirrored ? [place(piece.to), place(piece.from)] : [place(piece.from), place(piece.to)];
    return piece.kind === 'arc' ? { kind: 'arc', from, to, center: place(piece.center), radius: piece.radius * scale } : { ...piece, from, to };
  };
  return loops.map((loop) => (isMirrored ? [...loop].reverse() : loop).map(placed));
}

/** Pieces of which each begins where the last one ended; a closed chain comes back to where it began. */
export interface Chain {
  readonly pieces: readonly Piece[];
  readonly isClosed: boolean;
}

/** The pieces of outlines that a line is drawn along. */
export function shownChains(loops: readonly Loop[]): Chain[] {
  return loops.flatMap((loop): Chain[] => {
    const cut = loop.findIndex(isCut);
    if (cut < 0) return [{ pieces: loop, isClosed: true }];
    const chains: Piece[][] = [[]];
    for (const piece of [...loop.slice(cut + 1), ...loop.slice(0, cut)]) {
      if (isCut(piece)) chains.push([]);
      else chains[chains.length - 1]?.push(piece);
    }
    return chains.filter(({ length }) => length > 0).map((pieces) => ({ pieces, isClosed: false }));
  });
}

const isCut = (piece: Piece) => piece.kind === 'line' && piece.isCut === true;
