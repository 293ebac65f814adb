import { edgesOf, isInside } from '../geometry/shape.ts';
import type { Plan, PlannedHole, Point, Rect } from '../plan/plan.ts';
import { formatThirtySeconds, plainNumber } from '../trade/units.ts';
import { bleed, faceTransform, markedRadius, roomyFormats, contentOf, type Cell, type Layout, type LayoutTrouble, type SheetFormat } from './layout.ts';
import { boxOf, clipSegment, grown, line, sharedArea, text, type Mark, type Pen } from './mark.ts';
import type { Typesetter } from './type.ts';

/** A sheet for a hole or a close group of holes, laid to the panel by itself. */
export interface Patch {
  readonly cell: Cell;
  readonly holes: readonly PlannedHole[];
  /** Names of the edges and rim lines on it that it is laid to. */
  readonly laidTo: readonly string[];
  /** Distances to be set out with a tape where edges on it do not fix it. */
  readonly measured: readonly MeasuredTie[];
}

/** A distance from a cross on the patch, level or upright, to an edge that is not on it. */
export interface MeasuredTie {
  readonly at: Point;
  /** Which way the edge lies, length 1. */
  readonly way: Point;
  /** mm; whole, or a whole sixteenth of an inch where the spec is in inches. */
  readonly length: number;
  /** The edge, rim line or inner face that it is measured from. */
  readonly from: string;
}

/** Shortest pieces of lines that fix a patch: each of two that cross, or one alone, mm (our choice). */
const [cornerPiece, edgePiece] = [40, 60];
/** Most steps of the search for the fewest patches; beyond, the best so far is taken. */
const mostSteps = 20_000;
const room = 1;

/**
 * The fewest patches that show every hole whole, each on one sheet: exact up to {@link mostSteps} steps of a branch and
 * bound search (the leftmost hole not yet shown can be taken to stand at the left of its sheet: moving a sheet to the
 * right until it does loses only holes that are shown already). Among as few, those with more corners and edges on them.
 */
export function choosePatches(plan: Plan): { layout: Layout; patches: readonly Patch[] } | LayoutTrouble {
  const content = contentOf(plan);
  const formats = roomyFormats(content, plan.sheets);
  if ('problem' in formats) return formats;
  const toFace = faceTransform(plan);
  const boxes = plan.holes.map((hole) => ({ hole, box: grown(boxOf([toFace(hole.center)]), markedRadius(hole) + room) }));
  const choices = formats.flatMap((format) => {
    const { width, height } = format.window;
    if (boxes.some(({ box }) => box.right - box.left > width || box.top - box.bottom > height)) return [];
    const groups = fewestGroups(boxes, format.window, (group) => 2 - placeWindow(group, plan, format).fixes);
    return [{ format, groups }];
  });
  const [first] = choices;
  if (!first) {
    const largest = boxes.reduce((a, b) => (b.box.right - b.box.left > a.box.right - a.box.left ? b : a));
    return { problem: `the circle of ${largest.hole.name} with its ticks, ${plainNumber(largest.box.right - largest.box.left, 0)} mm wide, does not fit on one sheet of ${plan.sheets.paper.name}, as a patch must`, fix: 'leave out --patches (the circle then lies across a seam), or choose a larger paper' };
  }
  const { format, groups } = choices.reduce((best, choice) => (choice.groups.cost < best.groups.cost ? choice : best), first);
  const inOrder = [...groups.list].sort((a, b) => Math.max(...b.map(({ box }) => box.top)) - Math.max(...a.map(({ box }) => box.top)) || (a[0] as Boxed).box.left - (b[0] as Boxed).box.left);
  const patches = inOrder.map((group, index): Patch => {
    const { window, pieces, fixes } = placeWindow(group, plan, format);
    const shown = within(window, grown(boxOf(plan.panel.outline.map(toFace)), bleed));
    return {
      cell: { name: `P${index + 1}`, window: shown, core: shown },
      holes: group.map(({ hole }) => hole),
      laidTo: [...new Set(pieces.map(({ name }) => name))],
      measured: fixes === 2 ? [] : measuredTies(plan, shown, group.map(({ hole }) => hole), pieces),
    };
  });
  const cells = patches.map(({ cell }) => cell);
  return { layout: { format, runs: 'rows', cells, cut: [], longestChain: 0, plain: { sheets: cells.length, cut: 0 } }, patches };
}

interface Boxed {
  readonly hole: PlannedHole;
  readonly box: Rect;
}

function within(a: Rect, b: Rect): Rect {
  return { left: Math.max(a.left, b.left), right: Math.min(a.right, b.right), bottom: Math.max(a.bottom, b.bottom), top: Math.min(a.top, b.top) };
}

/** The cheapest grouping: each group costs 1000 and its penalty. */
function fewestGroups(boxes: readonly Boxed[], window: SheetFormat['window'], penalty: (group: readonly Boxed[]) => number): { list: readonly (readonly Boxed[])[]; cost: number } {
  const inOrder = [...boxes].sort((a, b) => a.box.left - b.box.left || a.box.top - b.box.top);
  let best: { list: readonly (readonly Boxed[])[]; cost: number } = { list: [], cost: Infinity };
  let steps = 0;
  const extend = (rest: readonly Boxed[], list: readonly (readonly Boxed[])[], cost: number) => {
    const [first] = rest;
    if (!first) {
      if (cost < best.cost) best = { list, cost };
      return;
    }
    steps += 1;
    if (cost + 1000 >= best.cost || (steps > mostSteps && best.cost < Infinity)) return;
    const strip = rest.filter(({ box }) => box.right <= first.box.left + window.width + 1e-9);
    const tops = [...new Set(strip.map(({ box }) => box.top))].filter((top) => top >= first.box.top && top - window.height <= first.box.bottom + 1e-9);
    const groups = tops.map((top) => strip.filter(({ box }) => box.top <= top + 1e-9 && box.bottom >= top - window.height - 1e-9));
    const maximal = groups.filter((group, at) => !groups.some((other, index) => index !== at && group.every((one) => other.includes(one)) && (other.length > group.length || index < at)));
    for (const group of maximal.sort((a, b) => b.length - a.length)) extend(rest.filter((one) => !group.includes(one)), [...list, group], cost + 1000 + penalty(group));
  };
  extend(inOrder, [], 0);
  return best;
}

interface Piece {
  readonly name: string;
  readonly a: Point;
  readonly b: Point;
  readonly length: number;
}

/** The lines that a patch can be laid to: the rim's where there is a rim, else the edges. */
function visibleLines(plan: Plan): { name: string; a: Point; b: Point }[] {
  const toFace = faceTransform(plan);
  return edgesOf(plan.rimLine ?? plan.panel.outline).map(({ a, b }, index) => {
    const { name, rim } = plan.panel.edges[index] as Plan['panel']['edges'][number];
    return { name: rim > 0 ? `rim line (${name})` : name, a: toFace(a), b: toFace(b) };
  });
}

/** Where the window of a group lies best: 2 where lines on it fix it wholly, 1 where one line does in part, 0 where none is on it. */
function placeWindow(group: readonly Boxed[], plan: Plan, { window }: SheetFormat): { window: Rect; pieces: readonly Piece[]; fixes: 0 | 1 | 2 } {
  const box = boxOf(group.flatMap(({ box }) => [{ x: box.left, y: box.bottom }, { x: box.right, y: box.top }]));
  const lines = visibleLines(plan);
  const bounds = boxOf(plan.panel.outline.map(faceTransform(plan)));
  const places = (low: number, high: number, size: number, start: number, end: number) => {
    const [least, most] = [high - size, low];
    const middle = (least + most) / 2;
    return [middle, start - bleed, end + bleed - size, least, most].map((place) => Math.min(most, Math.max(least, place)));
  };
  const choices = places(box.left, box.right, window.width, bounds.left, bounds.right).flatMap((left) =>
    places(box.bottom, box.top, window.height, bounds.bottom, bounds.top).map((bottom) => {
      const shown = { left, right: left + window.width, bottom, top: bottom + window.height };
      const pieces = piecesOn(lines, grown(shown, -bleed / 2));
      const long = pieces.filter(({ length }) => length >= cornerPiece);
      const fixes = long.some((p) => long.some((q) => angleBetween(p, q) > Math.PI / 9)) ? 2 : pieces.some(({ length }) => length >= edgePiece) ? 1 : 0;
      return { window: shown, pieces: pieces.filter(({ length }) => length >= (fixes === 2 ? cornerPiece : edgePiece)), fixes: fixes as 0 | 1 | 2 };
    }),
  );
  return choices.reduce((best, choice) => (choice.fixes > best.fixes ? choice : best));
}

function piecesOn(lines: readonly { name: string; a: Point; b: Point }[], box: Rect): Piece[] {
  return lines.flatMap(({ name, a, b }) => {
    const piece = clipSegment(a, b, box);
    return piece ? [{ name, a: piece[0], b: piece[1], length: Math.hypot(piece[1].x - piece[0].x, piece[1].y - piece[0].y) }] : [];
  });
}

/** Angle between two lines, 0 to 90 degrees, radians. */
function angleBetween(p: Piece, q: Piece): number {
  const [v, w] = [p, q].map(({ a, b, length }) => ({ x: (b.x - a.x) / length, y: (b.y - a.y) / length })) as [Point, Point];
  return Math.asin(Math.min(1, Math.abs(v.x * w.y - v.y * w.x)));
}

/**
 * What must be measured to fix a patch: along a line that is on it, one distance; where none is on it, one distance
 * level or upright and two the other way, from crosses far apart, so that the patch cannot lie turned.
 */
function measuredTies(plan: Plan, shown: Rect, holes: readonly PlannedHole[], pieces: readonly Piece[]): MeasuredTie[] {
  const [piece] = pieces;
  const toFace = faceTransform(plan);
  const taken: Rect[] = [];
  const isFree = (box: Rect) =>
    taken.every((other) => sharedArea(box, other) === 0) &&
    holes.every((hole) => {
      const { x, y } = toFace(hole.center);
      return Math.hypot(x - Math.min(box.right, Math.max(box.left, x)), y - Math.min(box.top, Math.max(box.bottom, y))) > markedRadius(hole);
    });
  const place = (ways: readonly Point[], part: 0 | 1 | undefined) => {
    const tie = shortestTie(plan, shown, isFree, ways, part) ?? shortestTie(plan, shown, () => true, ways, part);
    if (tie) taken.push(tieRoom(tie));
    return tie ? [tie] : [];
  };
  const level = [{ x: -1, y: 0 }, { x: 1, y: 0 }];
  const upright = [{ x: 0, y: 1 }, { x: 0, y: -1 }];
  if (piece) return place(Math.abs(piece.b.x - piece.a.x) > Math.abs(piece.b.y - piece.a.y) ? level : upright, undefined);
  // Two upright distances lie further apart on a wide patch, two level ones on a tall one.
  const [once, twice] = shown.right - shown.left > shown.top - shown.bottom ? [level, upright] : [upright, level];
  const first = place(twice, 0);
  return [...first, ...place(first.map(({ way }) => way), 1), ...place(once, undefined)];
}

/** Room of a cross with its line and words, mm. */
const tieSize = { length: 52, half: 6 } as const;

function tieRoom({ at, way }: Pick<MeasuredTie, 'at' | 'way'>): Rect {
  const end = { x: at.x - way.x * tieSize.length, y: at.y - way.y * tieSize.length };
  const start = { x: at.x + way.x * 12, y: at.y + way.y * 12 };
  const box = boxOf([start, end]);
  return way.x === 0 ? { ...box, left: box.left - tieSize.half, right: box.right + tieSize.half } : { ...box, bottom: box.bottom - tieSize.half, top: box.top + tieSize.half };
}

/**
 * The shortest distance one of the ways from a free place near the border of the patch.
 * @param part the lower or left, or the upper or right third of the patch, where crosses shall lie far apart
 */
function shortestTie(plan: Plan, shown: Rect, isFree: (box: Rect) => boolean, ways: readonly Point[], part: 0 | 1 | undefined): MeasuredTie | undefined {
  const outline = (plan.rimLine ?? plan.panel.outline).map(faceTransform(plan));
  const ties = ways.flatMap((way) => {
    const isLevel = way.y === 0;
    const [low, high] = isLevel ? [shown.bottom + 8, shown.top - 8] : [shown.left + 8, shown.right - 8];
    const sides = Array.from({ length: Math.floor((high - low) / 4) + 1 }, (_, step) => low + 4 * step);
    const wanted = part === 0 ? sides : part === 1 ? [...sides].reverse() : [...sides].sort((a, b) => Math.abs(a - (low + high) / 2) - Math.abs(b - (low + high) / 2));
    const border = isLevel ? (way.x > 0 ? shown.right : shown.left) : way.y > 0 ? shown.top : shown.bottom;
    for (const side of wanted) {
      const on = (inwards: number): Point => (isLevel ? { x: border - way.x * inwards, y: side } : { x: side, y: border - way.y * inwards });
      const tie = roundTie(plan, on, way);
      if (tie && isInside(tie.at, outline) && isFree(tieRoom(tie))) return [tie];
    }
    return [];
  });
  return ties.reduce<MeasuredTie | undefined>((best, tie) => (!best || tie.length < best.length ? tie : best), undefined);
}

/** A cross 14 to 50 mm inside the border, so that its distance is whole in millimetres and in 1/32 in to 0.06 mm, or nearly. */
function roundTie(plan: Plan, on: (inwards: number) => Point, way: Point): MeasuredTie | undefined {
  const start = distanceTo(plan, on(14), way);
  if (!start) return undefined;
  const step = plan.units === 'in' ? 25.4 / 16 : 1;
  const first = Math.ceil(start.length / step - 1e-9) * step;
  const lengths = Array.from({ length: Math.floor(36 / step) }, (_, index) => first + index * step);
  const offThirtySecond = (mm: number) => Math.abs(mm - Math.round((mm * 32) / 25.4) * (25.4 / 32));
  const length = lengths.find((mm) => offThirtySecond(mm) < 0.06) ?? lengths.reduce((a, b) => (offThirtySecond(b) < offThirtySecond(a) ? b : a));
  return { at: on(14 + length - start.length), way, length, from: start.from };
}

/** How far the first edge lies from a point one way, and what it is called; measured to inner faces where the spec does so. */
function distanceTo(plan: Plan, from: Point, way: Point): { length: number; from: string } | undefined {
  const isLevel = way.y === 0;
  const hits = visibleLines(plan).flatMap(({ name, a, b }, index) => {
    const [p, q] = isLevel ? [a.y - from.y, b.y - from.y] : [a.x - from.x, b.x - from.x];
    if (p > 0 === q > 0) return [];
    const share = p / (p - q);
    const at = isLevel ? a.x + share * (b.x - a.x) : a.y + share * (b.y - a.y);
    const length = (at - (isLevel ? from.x : from.y)) * (isLevel ? way.x : way.y);
    return length > 0 ? [{ length, name, index }] : [];
  });
  if (hits.length === 0) return undefined;
  const { length, name, index } = hits.reduce((a, b) => (b.length < a.length ? b : a));
  if (plan.measuredFrom !== 'inside') return { length, from: name };
  // The neighbouring panel stands on the edge: the tape starts at its inner face, where all distances of the spec start.
  const seen = plan.face === 'inside' ? -way.x : way.x;
  const side = isLevel ? (seen > 0 ? 'right' : 'left') : way.y > 0 ? 'top' : 'bottom';
  const inset = Math.abs(plan.bounds[side] - plan.datum[side]);
  return inset > 0 && (plan.panel.edges[index]?.joint ?? 0) > 0 ? { length: length - inset, from: `inner face (${side})` } : { length, from: name };
}

const pens = { cross: { width: 0.15, gray: 0 }, line: { width: 0.15, gray: 0, dashes: [2, 1] } } as const satisfies Record<string, Pen>;

/** "812 mm (31-31/32 in)": to set out with a tape in either unit. */
function lengthWords({ length }: MeasuredTie, plan: Plan): string {
  const [metric, inches] = [`${plainNumber(length, 1)} mm`, formatThirtySeconds(length)];
  return plan.units === 'in' ? `${inches} (${metric})` : `${metric} (${inches})`;
}

/** The crosses of a patch, the way to the edge, and the length. */
export function measuredMarks({ measured }: Patch, plan: Plan, setter: Typesetter): Mark[] {
  return measured.flatMap((tie): Mark[] => {
    const { at, way } = tie;
    const by = (along: number, aside: number) => ({ x: at.x + way.x * along - way.y * aside, y: at.y + way.y * along + way.x * aside });
    const isLevel = way.y === 0;
    const [angle, align] = [isLevel ? 0 : 90, (isLevel ? way.x : way.y) < 0 ? 'left' : 'right'] as const;
    // Over and under the way, on the side of the cross that lies away from the edge.
    const beside = (up: number) => (isLevel ? { x: at.x - way.x * 7, y: at.y + up } : { x: at.x - up, y: at.y - way.y * 7 });
    const words = [text(setter, 'tie', beside(0.8), lengthWords(tie, plan), { size: 2.6, weight: 'bold', angle, align }), text(setter, 'tie', beside(-2.8), `to the ${tie.from}`, { size: 2.4, angle, align, most: tieSize.length - 8 })];
    return [line('tie', by(-5, 0), by(5, 0), pens.cross), line('tie', by(0, -5), by(0, 5), pens.cross), line('tie', by(6, 0), by(12, 0), pens.line), line('tie', by(12, 0), by(9.5, 1.2), pens.cross), line('tie', by(12, 0), by(9.5, -1.2), pens.cross), ...words];
  });
}

/** First row: titles; then what is on each patch, what it is laid to, and what is measured. */
export function patchRows(patches: readonly Patch[], plan: Plan): string[][] {
  const rows = patches.map(({ cell, holes, laidTo, measured }) => [cell.name, holes.map(({ name }) => name).join(', '), laidTo.join(', ') || 'no edge on it', measured.map((tie) => `${lengthWords(tie, plan)} to the ${tie.from}`).join('; ') || 'nothing']);
  return [['patch', 'holes', 'lay it to', 'measure from its crosses'], ...rows];
}
