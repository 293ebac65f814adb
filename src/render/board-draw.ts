import { clearanceToSegment, cornersOf, edgesOf, isInside, type Segment } from '../geometry/shape.ts';
import type { Plan, PlannedHole, Point, Rect } from '../plan/plan.ts';
import { formatInches, formatLength } from '../trade/units.ts';
import { clipToConvex, inwardsOf, thinSide, type Board, type Stop } from './board.ts';
import { alignmentMarks, holeMarks, labelMarks, nameAlong, panelMarks, partNames, type LabelLine } from './draw.ts';
import { tapeWords, tieEndMarks, tieLines } from './guides.ts';
import { boxIndex, faceTransform, type Layout } from './layout.ts';
import { laidOutline, withArticle } from './lines.ts';
import { boxOf, clipSegment, grown, isWithin, line, markBounds, path, text, type Mark, type Pen, type Text } from './mark.ts';
import type { Typesetter } from './type.ts';

/** The drawing of a guide board at true size. */

const pens = {
  stop: { width: 0.35, gray: 0, dashes: [8, 2] },
  edge: { width: 0.2, gray: 0.4, dashes: [1.5, 1.5] },
  arrow: { width: 0.35, gray: 0 },
} as const satisfies Record<string, Pen>;

/** Thickness of a board, as told (common practice, no source). */
export const boardWords = '18 mm plywood, or what else keeps flat when wet';

/** A bead of sealant under this is rounding, mm. */
export const leastSealant = 0.01;

/** A board, its plan and the sheets of that. */
export interface BoardPlan {
  readonly name: string;
  readonly board: Board;
  readonly layout: Layout;
  /** The board as a panel of its own, in the coordinates of the drilled face: its outline is the edge, its holes are the board holes. */
  readonly plan: Plan;
}

/** The board hole's words: its name, its size, from where it is measured, and where there is little board. */
function holeLines(hole: PlannedHole, own: PlannedHole, board: Board, plan: Plan): LabelLine[] {
  const small = { size: 2.5, weight: 'regular' } as const;
  const thin = thinSide(board, hole, own.center);
  return [
    { words: hole.name, size: 4, weight: 'bold' },
    { words: `board hole ${formatLength(own.diameter, plan.units)} for bit ${formatLength(hole.bit.diameter, plan.units)}`, size: 2.8, weight: 'bold' },
    ...board.stops.map((stop) => ({ words: `${bothWords(inwardsOf(stop.line, own.center) - (stop.kind === 'tape' ? stop.side : 0), plan)} from ${stopName(stop)}`, ...small })),
    ...(thin ? [{ words: `only ${formatLength(thin.mm, plan.units)} of board to ${thin.name ?? 'its side'}`, ...small }] : []),
  ];
}

/** What a distance on a board is measured from. */
export const stopName = ({ kind, line }: Stop) => ({ fence: `fence (${line.name})`, flush: line.name, tape: `end (${line.name})` })[kind];

/** "75 mm (2.953 in)", "9-5/8 in (244.5 mm)" */
function bothWords(mm: number, { units }: Plan): string {
  return units === 'in' ? `${formatInches(mm)} (${formatLength(mm)})` : `${formatLength(mm, units)} (${formatInches(mm)})`;
}

/** All that is drawn of a board, at true size. Words find their places one after the other: tie lines, holes, sides, the arrow. */
export function drawBoard({ board, layout, plan: own }: BoardPlan, plan: Plan, setter: Typesetter): Mark[] {
  const ends = tieEndMarks(tieLines(own, layout), plan, setter);
  const fences = board.stops.filter(({ kind }) => kind === 'fence').map(({ a, b }) => line('rim', a, b, pens.stop));
  const drawn = [...panelMarks(own, (p) => p, setter), ...edgeMarks(board, plan), ...fences, ...ends.flat()];
  const original = new Map(own.holes.map((hole, index) => [hole, board.holes[index] as PlannedHole]));
  const options = { withoutCircle: new Set<string>() };
  const holes = own.holes.flatMap((hole) => holeMarks(hole));
  const labels = labelMarks(own, own.holes, layout, drawn, setter, options, (hole) => holeLines(original.get(hole) as PlannedHole, hole, board, plan));
  const aligned = alignmentMarks(own, own.holes, layout);
  const hidden = needlessWords(ends, labels, layout);
  const taken = [...drawn.filter((mark) => !hidden.has(mark)), ...holes, ...labels, ...partNames(own.holes, layout, setter)];
  const sides = board.stops.flatMap((stop) => sideWords(stop, layout, own, [...taken, ...aligned], plan, setter));
  return [...taken, ...sides, ...arrowMarks(laidOutline(own), layout, [...taken, ...sides], plan, setter), ...aligned];
}

/**
 * Words of tie lines that do not stand on their sheet whole, or run into labels where those at the other end do not: there
 * the cross stands alone, and its other end says what there is to say.
 */
function needlessWords(ties: readonly (readonly Mark[])[], labels: readonly Mark[], { cells }: Layout): ReadonlySet<Mark> {
  const isFree = freeOf(labels);
  const ends = ties.map((marks) => marks.filter((mark) => mark.kind === 'text'));
  const isWhole = (end: readonly Text[]) => end.every((mark) => cells.some(({ window }) => isWithin(markBounds(mark), window)));
  const isClear = (end: readonly Text[]) => end.every((mark) => isFree(textCorners(mark)));
  const doesTell = (end: readonly Text[]) => end.length > 0 && isClear(end);
  return new Set(ends.filter((end, at) => !isWhole(end) || (!isClear(end) && doesTell(ends[at % 2 === 0 ? at + 1 : at - 1] as Text[]))).flat());
}

/** The panel's edges under the board that it is not laid to, and what lies on the panel there. */
function edgeMarks(board: Board, plan: Plan): Mark[] {
  const toFace = faceTransform(plan);
  const fences = board.stops.filter(({ kind }) => kind === 'fence').map(({ line: { a, b } }) => ({ a, b }));
  return edgesOf(plan.panel.outline.map(toFace)).flatMap((edge): Mark[] => {
    const isFence = fences.some(({ a, b }) => Math.hypot(a.x - edge.a.x, a.y - edge.a.y) + Math.hypot(b.x - edge.b.x, b.y - edge.b.y) < 0.01);
    const piece = clipToConvex(edge, board.outline, 0.5);
    return piece && !isFence ? [line('joint', piece.a, piece.b, pens.edge)] : [];
  });
}

/** Where along a side its words are tried to stand, as shares of it; the second where no form of them fits the first. */
const middles = [0.5, 0.35, 0.65, 0.2, 0.8] as const;
const moreMiddles = [0.45, 0.55, 0.4, 0.6, 0.3, 0.7, 0.25, 0.75, 0.22, 0.78, 0.15, 0.85] as const;

/** What is to be done along a side, on each sheet that shows enough of it: inside the board; for a fence on its strip beyond the edge. */
function sideWords({ kind, line: { name, sealant }, side, a, b }: Stop, layout: Layout, own: Plan, taken: readonly Mark[], plan: Plan, setter: Typesetter): Mark[] {
  const apart = tapeWords(side, plan);
  // The panel's lines have the panel on their left, mirrored on their right.
  const isForward = plan.face === 'outside' || kind === 'tape';
  const [from, to] = isForward === (kind !== 'fence') ? [a, b] : [b, a];
  const forms = {
    fence: [`fence: screw a strip under the board here, its side on this line, against ${withArticle(name)}`, `fence under the board, against ${withArticle(name)}`, `fence: ${name}`, name],
    flush: [`saw exactly here: this side lies against ${withArticle(name)}${sealant > leastSealant ? '; bevel its underside clear of the sealant' : ''}`, `saw exactly: lies against ${withArticle(name)}`, `against ${withArticle(name)}`, name],
    tape: [`set this end with a tape, ${apart} from ${withArticle(name)}`, `this end ${apart} from ${withArticle(name)}`, `${apart} from ${name}`],
  }[kind];
  const depths = kind === 'fence' ? [0, 5, 10] : [0];
  const isFree = freeOf(taken);
  return layout.cells.flatMap((cell): Mark[] => {
    const piece = clipSegment(from, to, cell.core);
    if (!piece) return [];
    const at = (share: number) => ({ x: piece[0].x + share * (piece[1].x - piece[0].x), y: piece[0].y + share * (piece[1].y - piece[0].y) });
    const places = [middles, moreMiddles].flatMap((shares) => forms.flatMap((form) => shares.flatMap((middle) => depths.map((beyond) => ({ form, beyond, half: Math.min(middle, 1 - middle), middle })))));
    for (const { form, beyond, half, middle } of places) {
      const words = nameAlong({ a: at(middle - half), b: at(middle + half), forms: [form], beyond, room: 4 }, cell, own, setter);
      if (words.length > 0 && words.every((mark) => mark.kind === 'text' && isFree(textCorners(mark)))) return words;
    }
    return [];
  });
}

/** Tells whether a convex shape, counter-clockwise, is free of ink. */
function freeOf(taken: readonly Mark[]): (shape: readonly Point[]) => boolean {
  const find = boxIndex(taken.map(markBounds));
  return (shape) => find(boxOf(shape)).every((at) => !doesTouch(taken[at] as Mark, shape));
}

/** Which way is up, and which face lies under the board; where there is room for it, on the board. */
function arrowMarks(outline: readonly Point[], layout: Layout, taken: readonly Mark[], plan: Plan, setter: Typesetter): Mark[] {
  const up = plan.panel.edges.some(({ name }) => name === 'top edge') ? 'this way to the top edge' : 'this way up on the panel';
  const rows = [up, `the ${plan.face.toUpperCase()} face lies under it`, boardWords];
  const size = 2.8;
  const widest = Math.max(...rows.map((row) => setter.width(row, 'bold') * size));
  const isFreeOf = freeOf(taken);
  const isFree = (box: Rect) => cornersOf(box).every((p) => isInside(p, outline)) && isFreeOf(cornersOf(box));
  for (const width of [9 + widest, 7]) {
    for (const cell of layout.cells) {
      // Clear of the strips that two sheets show.
      const core = layout.cells.length > 1 ? grown(cell.core, -layout.format.overlap / 2) : cell.core;
      for (let y = core.top - 18; y > core.bottom; y -= 3) {
        for (let x = core.left + 2; x < core.right - width; x += 3) {
          const box = { left: x, right: x + width, bottom: y, top: y + 15 };
          if (!isFree(grown(box, 2)) || !isWithin(box, core)) continue;
          const words = width > 7 ? rows.map((row, at) => text(setter, 'orientation', { x: x + 9, y: y + 10.6 - 4 * at }, row, { size, weight: 'bold' })) : [];
          return [...arrow({ x: x + 3.5, y }, 15), ...words];
        }
      }
    }
  }
  return [];
}

/** Whether a mark leaves ink in a convex shape; an outline does so only along its sides. */
function doesTouch(mark: Mark, shape: readonly Point[]): boolean {
  switch (mark.kind) {
    case 'line':
      return clipToConvex(mark, shape, 0) !== undefined;
    case 'circle':
      return isInside(mark.center, shape) || edgesOf(shape).some((side) => clearanceToSegment(mark.center, side).distance < mark.radius);
    case 'path':
      return mark.fill === null ? edgesOf(mark.points).some((side) => clipToConvex(side, shape, 0)) : !areApart(shape, cornersOf(boxOf(mark.points)));
    case 'area':
      // Areas lie under all else, and words are read on them.
      return false;
    case 'text':
      return !areApart(shape, textCorners(mark));
  }
}

/** Whether a side of one of two convex shapes parts them. */
function areApart(p: readonly Point[], q: readonly Point[]): boolean {
  const doesPart = ({ a, b }: Segment, other: readonly Point[]) => other.every((c) => (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x) <= 0);
  return edgesOf(p).some((side) => doesPart(side, q)) || edgesOf(q).some((side) => doesPart(side, p));
}

/** What words cover, from their descenders to their ascenders, with their angle. */
function textCorners({ at, size, width, align, angle }: Text): Point[] {
  const start = { left: 0, center: -width / 2, right: -width }[align];
  const [cos, sin] = [Math.cos((angle * Math.PI) / 180), Math.sin((angle * Math.PI) / 180)];
  return cornersOf({ left: start, right: start + width, bottom: -0.3 * size, top: size }).map(({ x, y }) => ({ x: at.x + x * cos - y * sin, y: at.y + x * sin + y * cos }));
}

function arrow({ x, y }: Point, length: number): Mark[] {
  const tip = { x, y: y + length };
  return [line('orientation', { x, y }, tip, pens.arrow), path('orientation', [tip, { x: x - 2, y: tip.y - 5 }, { x: x + 2, y: tip.y - 5 }], null, 0)];
}
