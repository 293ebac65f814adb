import { clearanceToRect, cornersOf, edgesOf, isInside, signedArea, type Segment } from '../geometry/shape.ts';
import type { Plan, PlannedHole, Point, Rect } from '../plan/plan.ts';
import { tapeStep } from './guides.ts';
import { boxOnFace, faceTransform } from './layout.ts';
import { panelLines, type PanelLine } from './lines.ts';
import { boxOf, sharedArea } from './mark.ts';
import { fixesOf } from './patches.ts';
import { cross, type Piece } from './tape.ts';

/**
 * Guide boards: boards with a hole that keeps the bit from skating. A board lies on the drilled face and is pushed
 * against two lines of the panel, so that its holes can only be where they belong. Lengths in mm, places in the
 * coordinates of the drilled face: what one sees of the board's top.
 */

/** What the board hole is wider than the bit, in diameter, so that the bit runs free (common practice, no source). */
export const runningClearance = 0.5;
/** Solid board around each hole, out to the board's outline (common practice, no source). */
export const solid = 40;
/** Width of the strip that is screwed under the board as its fence (common practice, no source). */
export const fenceWidth = 30;
/** Shortest side of a board, and of one that a tape must set square (our choice). */
const [shortSide, tapedSide] = [100, 160];
/** Longest side of a board between its outermost holes and its fence: what one person lays and holds (our choice). */
export const longSide = 600;
/** How much further from what it is laid to a hole may come, both ways together, on a board that it shares (our choice). */
const closeBy = 100;
/** Play where another rim or neighbouring panel ends the board: it must not keep the board off its fences (our choice). */
const play = 2;
/** Room for a tape's hook and the eye between an edge and a board's end. */
const tapeRoom = 20;
/** Share of its length on which a board should be held. */
const leastShare = 0.4;
/** Lines that meet flatter than 30 degrees fix a board poorly along them. */
const leastSine = 0.5;

/** Board hole for a bit, diameter. */
export const boardHole = (hole: PlannedHole) => hole.bit.diameter + runningClearance;

/**
 * What a side of a board is laid to: a fence under it that butts against the panel's free edge; its own edge, flush
 * against a rim or a neighbouring panel that stands on the face; or a distance to be set with a tape.
 */
export interface Stop {
  readonly kind: 'fence' | 'flush' | 'tape';
  readonly line: PanelLine;
  /** Where the board's side lies, mm inwards of the line: under 0 for a fence, whose strip is beyond the edge. */
  readonly side: number;
  /** What the board covers of the line; for a tape the end of the board that it is measured to. */
  readonly a: Point;
  readonly b: Point;
}

export interface Board {
  readonly holes: readonly PlannedHole[];
  /** Convex, counter-clockwise. */
  readonly outline: readonly Point[];
  readonly stops: readonly [Stop, Stop];
  /** Keep-clear areas and boxes that it would lie over. */
  readonly covers: readonly Area[];
}

export interface Area {
  readonly name: string;
  readonly rect: Rect;
}

export interface Boards {
  readonly boards: readonly Board[];
  /** Holes for which no board can be laid to anything. */
  readonly without: readonly PlannedHole[];
}

/**
 * A board for each hole or close group. Each is laid to the corner that needs the least board, two lines that cross being
 * surer than a tape measure; where no corner is within {@link longSide}, to one line, and its other end is set by a
 * distance; at last by two distances. Holes share a board where that takes less board than one for each.
 * @param refused names of holes that get none
 */
export function chooseBoards(plan: Plan, refused: ReadonlySet<string>): Boards {
  const maker = boardMaker(plan);
  const alone = plan.holes.filter(({ name }) => !refused.has(name)).map((hole) => ({ hole, board: maker.ownBoard(hole) }));
  const found = alone.flatMap(({ board }) => (board ? [board] : [])).sort((p, q) => areaOf(p) - areaOf(q));
  const joined = found.reduce<Board[]>((boards, board) => {
    const [best] = boards.map((other) => ({ other, ...maker.joined(other, board) })).filter(({ saving }) => saving > 0).sort((p, q) => q.saving - p.saving);
    return best?.board ? boards.map((one) => (one === best.other ? best.board as Board : one)) : [...boards, board];
  }, []);
  const places = new Map(plan.holes.map((hole, index) => [hole, index]));
  const first = ({ holes }: Board) => Math.min(...holes.map((hole) => places.get(hole) as number));
  return { boards: maker.closed(joined).sort((p, q) => first(p) - first(q)), without: alone.flatMap(({ hole, board }) => (board ? [] : [hole])) };
}

/** What a board may be laid to: the lines that cross, and how. */
type Choice = readonly [Pick<Stop, 'kind' | 'line'>, Pick<Stop, 'kind' | 'line'>];

const areaOf = ({ outline }: Pick<Board, 'outline'>) => signedArea(outline);

function boardMaker(plan: Plan) {
  const toFace = faceTransform(plan);
  const lines = panelLines(plan, plan.face);
  const edges = edgesOf(plan.panel.outline.map(toFace));
  const step = tapeStep(plan);
  const areas: Area[] = [
    ...plan.panel.keepClear.map(({ name, rect }) => ({ name, rect: boxOnFace(plan)(rect) })),
    ...plan.panel.boxes.filter(({ stands }) => stands === plan.face).map(({ name, rect }) => ({ name, rect: boxOnFace(plan)(rect) })),
  ];
  const kindOf = (line: PanelLine) => (line.inset > 0 ? 'flush' : 'fence');
  const centers = new Map(plan.holes.map((hole) => [hole, toFace(hole.center)]));
  const inOf = (line: PanelLine, hole: PlannedHole) => inwardsOf(line, centers.get(hole) as Point);
  const places = new Map(plan.holes.map((hole, index) => [hole, index]));

  /** How far inwards of a line the board holes of a group begin and end; each is found once. */
  const extent = (line: PanelLine, holes: readonly PlannedHole[]) => {
    const ofGroup = extents.get(holes) ?? new Map<PanelLine, Extent>();
    extents.set(holes, ofGroup);
    const found = ofGroup.get(line) ?? { low: Math.min(...holes.map((hole) => inOf(line, hole) - boardHole(hole) / 2)), high: Math.max(...holes.map((hole) => inOf(line, hole) + boardHole(hole) / 2)) };
    ofGroup.set(line, found);
    return found;
  };
  const extents = new WeakMap<readonly PlannedHole[], Map<PanelLine, Extent>>();

  /** A board's extent inwards of one of its lines, or undefined where it may not have that. */
  const spanOn = ({ kind, line }: Choice[number], groups: readonly (readonly PlannedHole[])[]): Span | undefined => {
    let [low, high] = [Infinity, -Infinity];
    for (const group of groups) {
      const { low: from, high: to } = extent(line, group);
      [low, high] = [Math.min(low, from), Math.max(high, to)];
    }
    const down = (mm: number) => Math.floor(mm / step + 1e-9) * step;
    const side = kind === 'flush' ? 0 : down(kind === 'fence' ? Math.min(-fenceWidth, low - solid) : low - solid);
    const end = -down(-Math.max(high + solid, side + (kind === 'tape' ? tapedSide : shortSide)));
    const isBeyond = (kind === 'flush' && low < 0) || (kind === 'tape' && side < tapeRoom) || low < -solid || end - Math.max(0, side) > longSide;
    return isBeyond ? undefined : { low, side, end };
  };

  /** The board on two lines, or undefined where it cannot lie there. */
  const boardOn = (choice: Choice, holes: readonly PlannedHole[]): Board | undefined => {
    const spans = [spanOn(choice[0], [holes]), spanOn(choice[1], [holes])] as const;
    if (!spans[0] || !spans[1]) return undefined;
    const whole = parallelogram(choice[0].line, spans[0], choice[1].line, spans[1]);
    const outline = whole && clearOfObstacles(whole, choice, holes);
    if (!outline) return undefined;
    const stops = choice.map(({ kind, line }, at) => stopOn(kind, line, (spans[at] as Span).side, outline)).filter((stop) => stop !== undefined);
    const [p, q] = stops;
    if (!p || !q || !doHold([p, q])) return undefined;
    return { holes, outline, stops: [p, q], covers: areas.filter(({ rect }) => doesCover(outline, rect)) };
  };

  /** The outline cut back where it would lie on rims or neighbouring panels that it is not laid to; undefined where no straight cut does. */
  const clearOfObstacles = (whole: readonly Point[], choice: Choice, holes: readonly PlannedHole[]): readonly Point[] | undefined => {
    let outline = whole;
    const obstacles = lines.filter((line) => line.inset > 0 && choice.every((stop) => stop.line !== line));
    for (const _ of obstacles) {
      const met = obstacles.filter((line) => clipToConvex(line, outline, 0.01));
      if (met.length === 0) break;
      const room = (line: PanelLine) => Math.min(...holes.map((hole) => inOf(line, hole) - boardHole(hole) / 2));
      const line = met.reduce((best, one) => (room(one) > room(best) ? one : best));
      if (room(line) < 0) return undefined;
      outline = cutBack(outline, line, Math.min(play, room(line) / 2));
    }
    return obstacles.some((line) => clipToConvex(line, outline, 0.01)) ? undefined : outline;
  };

  const stopOn = (kind: Stop['kind'], line: PanelLine, side: number, outline: readonly Point[]): Stop | undefined => {
    if (kind === 'tape') {
      const end = edgesOf(outline).find(({ a, b }) => [a, b].every((p) => Math.abs(inwardsOf(line, p) - side) < 1e-6));
      return end && isTapeFree(line, end) ? { kind, line, side, a: end.a, b: end.b } : undefined;
    }
    const piece = clipToConvex(line, outline, -1e-6);
    return piece && (kind === 'flush' || isStripFree(piece, line.inwards, -side)) ? { kind, line, side, ...piece } : undefined;
  };

  /** Whether a fence's strip hangs free beyond its edge, with no other part of the panel there. */
  const isStripFree = ({ a, b }: Segment, inwards: Point, width: number) => {
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    const at = (p: Point, along: number, out: number) => ({ x: p.x + ((b.x - a.x) / length) * along - inwards.x * out, y: p.y + ((b.y - a.y) / length) * along - inwards.y * out });
    const strip = [at(a, 1, 0.5), at(b, -1, 0.5), at(b, -1, width), at(a, 1, width)];
    const turned = signedArea(strip) > 0 ? strip : strip.reverse();
    return length > 3 && edges.every((edge) => !clipToConvex(edge, turned, 0));
  };

  /** Whether a tape from the middle of a board's end goes square to the line, with nothing on its way. */
  const isTapeFree = (line: PanelLine, { a, b }: Segment) => {
    const middle = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
    const away = inwardsOf(line, middle);
    const foot = { x: middle.x - line.inwards.x * away, y: middle.y - line.inwards.y * away };
    const length = Math.hypot(line.b.x - line.a.x, line.b.y - line.a.y);
    const along = ((foot.x - line.a.x) * (line.b.x - line.a.x) + (foot.y - line.a.y) * (line.b.y - line.a.y)) / length;
    const ring = lines.map((one) => one.a);
    return along > tapeRoom && along < length - tapeRoom && isInside(middle, ring) && lines.every((other) => other === line || !doCross(other, { a: middle, b: foot }));
  };

  /** The least board; more of it is better than lying over something, against a short piece, or skewed. A tape's distance is better short. */
  const cheapest = (choices: readonly Choice[], holes: readonly PlannedHole[]): Board | undefined => {
    const boards = choices.map((choice) => boardOn(choice, holes)).filter((board) => board !== undefined);
    const short = (board: Board) => board.stops.filter((stop) => shareHeld(board, stop) < leastShare).length;
    const skew = ({ stops: [p, q] }: Board) => 1 / cross(p.line.inwards, q.line.inwards) ** 2;
    const cost = (board: Board) => areaOf(board) * (skew(board) + board.covers.length + short(board)) + 1000 * board.stops.reduce((sum, { kind, side }) => sum + (kind === 'tape' ? side : 0), 0);
    return boards.length > 0 ? boards.reduce((best, one) => (cost(one) < cost(best) ? one : best)) : undefined;
  };

  const boardFor = (hole: PlannedHole): Board | undefined => {
    const long = lines.filter(({ a, b }) => Math.hypot(b.x - a.x, b.y - a.y) >= 20);
    const doMeet = (p: PanelLine, q: PanelLine) => p !== q && Math.abs(cross(p.inwards, q.inwards)) >= leastSine;
    const near = long.filter((line) => inOf(line, hole) < longSide);
    const own = (line: PanelLine) => ({ kind: kindOf(line), line }) as const;
    const tape = (line: PanelLine) => ({ kind: 'tape', line }) as const;
    const pairs = (first: readonly PanelLine[], second: readonly PanelLine[], isOrdered: boolean) =>
      first.flatMap((p, at) => second.filter((q, index) => doMeet(p, q) && (isOrdered || index > at)).map((q) => [p, q] as const));
    const tiers: (() => Choice[])[] = [
      () => pairs(near, near, false).map(([p, q]) => [own(p), own(q)]),
      () => pairs(near, long, true).map(([p, q]) => [own(p), tape(q)]),
      () => pairs(long, long, false).map(([p, q]) => [tape(p), tape(q)]),
    ];
    for (const tier of tiers) {
      const board = cheapest(tier(), [hole]);
      if (board) return board;
    }
    return undefined;
  };

  const known = new Map<PlannedHole, Board | undefined>();
  /** The best board for a hole by itself. */
  const ownBoard = (hole: PlannedHole) => {
    const board = known.has(hole) ? known.get(hole) : boardFor(hole);
    known.set(hole, board);
    return board;
  };

  /** How far a hole is from what a board is laid to, both ways together; of a tape counts what is on the board. */
  const awayFrom = (stops: readonly Pick<Stop, 'kind' | 'line' | 'side'>[], hole: PlannedHole) => stops.reduce((sum, { kind, line, side }) => sum + inOf(line, hole) - (kind === 'tape' ? side : 0), 0);
  const isClose = (stops: Parameters<typeof awayFrom>[0], holes: readonly PlannedHole[]) => holes.every((hole) => awayFrom(stops, hole) <= awayFrom((ownBoard(hole) as Board).stops, hole) + closeBy);

  /** What two boards are laid to, with the sides of a board on that for the holes of both; undefined where they are too far apart. */
  const stopsFor = ([p, q]: Board['stops'], groups: readonly (readonly PlannedHole[])[]) => {
    const [across, along] = [spanOn(p, groups), spanOn(q, groups)];
    return across && along ? ([{ ...p, side: across.side }, { ...q, side: along.side }] as const) : undefined;
  };

  /** One board in place of two, laid to what one of them is laid to, and the board that it saves, mm². */
  const joined = (p: Board, q: Board): { board: Board | undefined; saving: number } => {
    const tapes = (board: Board) => board.stops.filter(({ kind }) => kind === 'tape').length;
    const least = Math.min(tapes(p), tapes(q));
    const groups = [p.holes, q.holes];
    const choices = [p, q].filter((one) => tapes(one) === least).map(({ stops }) => stopsFor(stops, groups)).filter((stops) => stops !== undefined);
    // Most boards are too far apart to be one: that is told without drawing it.
    if (!choices.some((stops) => groups.every((holes) => isClose(stops, holes)))) return { board: undefined, saving: 0 };
    const board = cheapest(choices, groups.flat().sort((a, b) => (places.get(a) as number) - (places.get(b) as number)));
    return { board, saving: board && isClose(board.stops, board.holes) && board.covers.length <= p.covers.length + q.covers.length ? areaOf(p) + areaOf(q) - areaOf(board) : 0 };
  };

  /** Boards joined two by two, as long as that saves board. */
  const closed = (boards: readonly Board[]): Board[] => {
    const savingPairs = (p: Board, others: readonly Board[]) => others.map((q) => ({ p, q, ...joined(p, q) })).filter(({ saving }) => saving > 0);
    let rows = boards.map((p, at) => ({ p, pairs: savingPairs(p, boards.slice(at + 1)) }));
    for (;;) {
      const pairs = rows.flatMap((row) => row.pairs);
      if (pairs.length === 0) return rows.map(({ p }) => p);
      const best = pairs.reduce((most, one) => (one.saving > most.saving ? one : most));
      const isLeft = (one: Board) => one !== best.p && one !== best.q;
      const board = best.board as Board;
      rows = rows.filter(({ p }) => isLeft(p)).map((row) => ({ p: row.p, pairs: [...row.pairs.filter(({ q }) => isLeft(q)), ...savingPairs(row.p, [board])] }));
      rows.push({ p: board, pairs: [] });
    }
  };

  return { ownBoard, joined, closed };
}

/** Where the board holes of a group begin and end, inwards of a line. */
interface Extent {
  readonly low: number;
  readonly high: number;
}

/** A board's extent inwards of a line: its holes' nearest edge, its side, its far side. */
interface Span {
  readonly low: number;
  readonly side: number;
  readonly end: number;
}

/** Share of a board's length along a line on which it is held by that. */
function shareHeld({ outline }: Board, { line, a, b }: Stop): number {
  const along = outline.map(({ x, y }) => x * -line.inwards.y + y * line.inwards.x);
  return Math.hypot(b.x - a.x, b.y - a.y) / (Math.max(...along) - Math.min(...along));
}

/** How far a point lies inwards of a line. */
export function inwardsOf({ a, inwards }: Pick<PanelLine, 'a' | 'inwards'>, { x, y }: Point): number {
  return (x - a.x) * inwards.x + (y - a.y) * inwards.y;
}

/** Between the parallels of two lines, counter-clockwise. */
function parallelogram(p: PanelLine, across: Span, q: PanelLine, along: Span): readonly Point[] | undefined {
  const det = cross(p.inwards, q.inwards);
  if (Math.abs(det) < 1e-9) return undefined;
  const corner = (s: number, t: number) => {
    const [c, d] = [s + p.a.x * p.inwards.x + p.a.y * p.inwards.y, t + q.a.x * q.inwards.x + q.a.y * q.inwards.y];
    return { x: (c * q.inwards.y - d * p.inwards.y) / det, y: (p.inwards.x * d - q.inwards.x * c) / det };
  };
  const ring = [corner(across.side, along.side), corner(across.end, along.side), corner(across.end, along.end), corner(across.side, along.end)];
  return signedArea(ring) > 0 ? ring : ring.reverse();
}

/** What of a convex polygon lies so far inwards of a line. */
function cutBack(polygon: readonly Point[], line: PanelLine, by: number): Point[] {
  return edgesOf(polygon).flatMap(({ a, b }) => {
    const [from, to] = [inwardsOf(line, a) - by, inwardsOf(line, b) - by];
    const kept = from >= 0 ? [a] : [];
    if (from >= 0 === to >= 0) return kept;
    const share = from / (from - to);
    return [...kept, { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) }];
  });
}

/** The part of a segment that lies in a convex counter-clockwise polygon, so far inside all its sides; undefined if there is none. */
export function clipToConvex({ a, b }: Segment, polygon: readonly Point[], inset: number): Segment | undefined {
  let [enter, leave] = [0, 1];
  for (const side of edgesOf(polygon)) {
    const length = Math.hypot(side.b.x - side.a.x, side.b.y - side.a.y);
    const inside = (p: Point) => ((side.b.x - side.a.x) * (p.y - side.a.y) - (side.b.y - side.a.y) * (p.x - side.a.x)) / length - inset;
    const [from, to] = [inside(a), inside(b)];
    if (from < 0 && to < 0) return undefined;
    if (from < 0) enter = Math.max(enter, from / (from - to));
    if (to < 0) leave = Math.min(leave, from / (from - to));
  }
  const at = (t: number) => ({ x: a.x + t * (b.x - a.x), y: a.y + t * (b.y - a.y) });
  return leave - enter > 1e-9 ? { a: at(enter), b: at(leave) } : undefined;
}

function doCross(line: Segment, way: Segment): boolean {
  const sideOf = ({ a, b }: Segment, p: Point) => Math.sign((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x));
  return sideOf(line, way.a) * sideOf(line, way.b) < 0 && sideOf(way, line.a) * sideOf(way, line.b) < 0;
}

/** Whether the lines are on the board long enough to hold it: as a patch is held. */
function doHold(stops: readonly [Stop, Stop]): boolean {
  const pieces = stops.filter(({ kind }) => kind !== 'tape').map(({ line, a, b }): Piece => {
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    return { ...line, a, b, length, isWhole: length > Math.hypot(line.b.x - line.a.x, line.b.y - line.a.y) - 1e-6 };
  });
  return fixesOf(pieces) >= pieces.length;
}

function doesCover(outline: readonly Point[], rect: Rect): boolean {
  if (sharedArea(boxOf(outline), rect) === 0) return false;
  return edgesOf(cornersOf(rect)).some((side) => clipToConvex(side, outline, 1e-6)) || clearanceToRect(outline[0] as Point, rect).distance < 0;
}

/** The side of a board with the least wood between it and a hole, where that is less than {@link solid}: mm, and the line that it lies flush against. */
export function thinSide(board: Board, hole: PlannedHole, center: Point): { readonly mm: number; readonly name: string | undefined } | undefined {
  const sides = edgesOf(board.outline).map(({ a, b }) => {
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    const inwards = { x: -(b.y - a.y) / length, y: (b.x - a.x) / length };
    const stop = board.stops.find(({ kind, line }) => kind === 'flush' && [a, b].every((p) => Math.abs(inwardsOf(line, p)) < 1e-6));
    return { mm: inwardsOf({ a, inwards }, center) - boardHole(hole) / 2, name: stop?.line.name };
  });
  const least = sides.reduce((best, one) => (one.mm < best.mm ? one : best));
  return least.mm < solid - 1e-6 ? least : undefined;
}
