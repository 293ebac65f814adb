import { edgesOf, isInside, segmentsTouch } from '../geometry/shape.ts';
import type { Plan, PlannedHole, Point, Rect } from '../plan/plan.ts';
import { orientationBox, orientationOf, tapeLength, tapeStep, tapeWords } from './guides.ts';
import { boxOnFace, faceTransform, markedRadius } from './layout.ts';
import { reading, withArticle, type PanelLine } from './lines.ts';
import { boxOf, clipSegment, grown, line, sharedArea, text, type Mark, type Pen } from './mark.ts';
import type { Typesetter } from './type.ts';

/** How a patch is fixed to the panel: lines on it, and distances to be set out with a tape. */

/** A part of a line that a patch is laid to, in the coordinates of the drilled face, mm. */
export interface Piece extends PanelLine {
  readonly length: number;
  /** Whether the line is on the patch from end to end. */
  readonly isWhole: boolean;
}

/** A distance from a cross on the patch, square to an edge that is not on it. */
export interface MeasuredTie {
  readonly at: Point;
  /** Which way the edge lies, length 1. */
  readonly way: Point;
  /** mm; whole, or a whole sixteenth of an inch where the spec is in inches. */
  readonly length: number;
  /** The edge, rim line or inner face that it is measured from. */
  readonly from: string;
}

/** Sine of the angle from one unit vector to another. */
export const cross = (v: Point, w: Point) => v.x * w.y - v.y * w.x;

/** Room of a cross with its arrow before it and its words behind it, mm; and room for a tape's hook from an edge's end. */
const tieSize = { ahead: 13, behind: 52, half: 6 } as const;
const hook = 10;
/** Room beside and above or below a hole that its label may need, mm. */
const labelRoom = { width: 54, height: 6 } as const;
/** Room between a tie and a drawn line: for the name along the line, and at least, mm. */
const [nameRoom, lineRoom] = [4, 1];
/**
 * How many times as long distances may be for the sake of labels, and of words and crosses off all lines, as those are
 * cut off where the paper is cut; and by how much besides, mm (our choice).
 */
const [labelWorth, lineWorth, longer] = [1.1, 1.5, 25];

/**
 * What must be measured to fix a patch: along a line that is on it, one distance; where none is on it, two distances to
 * one side, from crosses far apart, so that the patch cannot lie turned, and one aslant or square to them.
 */
export function measuredTies(plan: Plan, lines: readonly PanelLine[], shown: Rect, holes: readonly PlannedHole[], pieces: readonly Piece[]): readonly MeasuredTie[] {
  const toFace = faceTransform(plan);
  const circles = holes.map((hole) => ({ center: toFace(hole.center), radius: markedRadius(hole) }));
  const drawn = [plan.panel.outline, plan.rimLine ?? [], plan.jointLine ?? []].flatMap((ring) => edgesOf(ring.map(toFace)));
  const orientation = orientationBox(orientationOf({ ...plan, holes }, { cells: [{ name: '', window: shown, core: shown }] }));
  const areas = [orientation, ...plan.panel.keepClear.map(({ rect }) => boxOnFace(plan)(rect))];
  const clearOfHoles = (tie: MeasuredTie, behind: number = tieSize.behind) => circles.every(({ center, radius }) => distanceTo(tie, behind, center) > radius);
  const crossClear = (tie: MeasuredTie) => clearOfHoles(tie, tieSize.half);
  const clearOfLines = (tie: Pick<MeasuredTie, 'at' | 'way'>, room: number) => {
    const { before, box } = tieRoom(tie);
    return drawn.every(({ a, b }) => !clipSegment(before(a), before(b), grown(box, room)));
  };
  const clearOfAll = (tie: MeasuredTie) => clearOfHoles(tie) && clearOfLines(tie, nameRoom) && areas.every((area) => sharedArea(tieBox(tie), area) === 0);
  const clearOfLabels = (tie: MeasuredTie) => clearOfAll(tie) && circles.every(({ center, radius }) => sharedArea(tieBox(tie), { left: center.x - radius - labelRoom.width, right: center.x + radius + labelRoom.width, bottom: center.y - radius - labelRoom.height, top: center.y + radius + labelRoom.height }) === 0);
  const anywhere = lines.flatMap((one) => tiesTo(one, lines, plan, shown, clearOfLines)).map((one) => ({ ...one, inTheWay: clearOfLabels(one.tie) ? 0 : longer }));
  const fair = [
    { isFree: clearOfLabels, worth: labelWorth },
    { isFree: clearOfAll, worth: lineWorth },
    { isFree: (tie: MeasuredTie) => clearOfHoles(tie) && clearOfLines(tie, lineRoom), worth: lineWorth },
    { isFree: (tie: MeasuredTie) => clearOfHoles(tie), worth: 1 },
  ];
  const poor = [crossClear, () => true].map((isFree) => ({ isFree, worth: labelWorth }));
  // In a crowd crosses may stand closer together; then words, at last crosses may lie over marks of holes.
  const demands = [...[100, 60, 30].map((apart) => ({ apart, levels: fair })), ...[60, 2 * tieSize.half].map((apart) => ({ apart, levels: poor }))];
  for (const { apart, levels } of demands) {
    const found = levels.flatMap(({ isFree, worth }) => {
      const ties = anywhere.filter(({ tie }) => isFree(tie));
      const set = pieces.length > 0 ? tieAlong(ties, pieces) : threeTies(ties, shown, apart);
      return set ? [{ ...set, worth }] : [];
    });
    const least = Math.min(...found.map(({ cost }) => cost));
    const best = found.find(({ cost, worth }) => cost <= worth * least + longer);
    if (best) return best.ties;
  }
  return [];
}

/** Distances that fix a patch; the cost is the less the shorter they are and the further apart. */
interface Ties {
  readonly ties: readonly MeasuredTie[];
  readonly cost: number;
}

/** A distance that could be measured, how far from the middle of the patch it stands, and what it costs if labels have less room for it, mm. */
interface Candidate {
  readonly tie: MeasuredTie;
  readonly line: PanelLine;
  readonly offMiddle: number;
  readonly inTheWay: number;
}

/** Of several values the one that costs least. */
function cheapest<T>(choices: readonly T[], cost: (choice: T) => number): T | undefined {
  let [best, least] = [undefined as T | undefined, Infinity];
  for (const choice of choices) {
    const found = cost(choice);
    if (found < least) [best, least] = [choice, found];
  }
  return best;
}

/** The shortest distance that changes when the patch slides along the line that it is laid to. */
function tieAlong(ties: readonly Candidate[], pieces: readonly Piece[]): Ties | undefined {
  const [piece] = pieces;
  const doesTell = ({ line }: Candidate) => (piece ? Math.abs(cross(piece.inwards, line.inwards)) : 0);
  const sets = ties.filter((one) => doesTell(one) >= 0.5).map((one) => ({ ties: [one.tie], cost: one.tie.length / doesTell(one) + one.offMiddle / 10 + one.inTheWay }));
  return cheapest(sets, ({ cost }) => cost);
}

/** Two distances one way, as far apart as can be and at least so far (mm), and one that crosses them; short ones rather than long. */
function threeTies(ties: readonly Candidate[], shown: Rect, least: number): Ties | undefined {
  const key = ({ line: { inwards } }: Candidate) => `${inwards.x.toFixed(6)} ${inwards.y.toFixed(6)}`;
  const groups = [...new Set(ties.map(key))].map((way) => ties.filter((tie) => key(tie) === way));
  const widest = Math.max(shown.right - shown.left, shown.top - shown.bottom);
  const sets = groups.flatMap((group) => {
    const [first] = group as [Candidate];
    const along = ({ at }: MeasuredTie) => at.x * -first.line.inwards.y + at.y * first.line.inwards.x;
    const end = (sign: 1 | -1) => cheapest(group, ({ tie }) => sign * along(tie) + tie.length / 1000) as Candidate;
    const [low, high] = [end(1), end(-1)];
    const apart = along(high.tie) - along(low.tie);
    if (apart < least) return [];
    const crossing = ties.filter(({ tie, line }) => Math.abs(cross(line.inwards, first.line.inwards)) >= 0.5 && [low, high].every((other) => areApart(tie, other.tie)));
    const once = cheapest(crossing, ({ tie, line, offMiddle, inTheWay }) => tie.length / Math.abs(cross(line.inwards, first.line.inwards)) + offMiddle / 10 + inTheWay);
    // A crooked patch is worse than a long distance.
    return once ? [{ ties: [low.tie, high.tie, once.tie], cost: low.tie.length + high.tie.length + once.tie.length + 8 * (widest - apart) }] : [];
  });
  return cheapest(sets, ({ cost }) => cost);
}

/**
 * Distances square to a line, every 4 mm along it, from crosses near the border of the patch on its side, and where
 * something is drawn there also from the nearest behind it that touch no line.
 */
function tiesTo(target: PanelLine, lines: readonly PanelLine[], plan: Plan, shown: Rect, isClear: (tie: Pick<MeasuredTie, 'at' | 'way'>, room: number) => boolean): Omit<Candidate, 'inTheWay'>[] {
  const { a, b, inwards, name } = target;
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  const along = { x: (b.x - a.x) / length, y: (b.y - a.y) / length };
  const way = { x: -inwards.x, y: -inwards.y };
  const middle = { x: (shown.left + shown.right) / 2, y: (shown.bottom + shown.top) / 2 };
  const far = Math.hypot(shown.right - shown.left, shown.top - shown.bottom);
  const step = tapeStep(plan);
  const ring = lines.map((one) => one.a);
  const toMiddle = (middle.x - a.x) * along.x + (middle.y - a.y) * along.y;
  const [low, high] = [Math.max(hook, toMiddle - far / 2), Math.min(length - hook, toMiddle + far / 2)];
  const away = (middle.x - a.x) * inwards.x + (middle.y - a.y) * inwards.y;
  const feet = Array.from({ length: Math.max(0, Math.floor((high - low) / 4) + 1) }, (_, index) => low + 4 * index);
  return feet.flatMap((foot): Omit<Candidate, 'inTheWay'>[] => {
    const at = (mm: number) => ({ x: a.x + along.x * foot + inwards.x * mm, y: a.y + along.y * foot + inwards.y * mm });
    const piece = clipSegment(at(away - far), at(away + far), shown);
    if (!piece) return [];
    const [start, end] = piece.map((p) => (p.x - a.x) * inwards.x + (p.y - a.y) * inwards.y) as [number, number];
    const least = Math.max(start, 0) + tieSize.ahead + 1;
    const first = Math.ceil(least / step - 1e-9);
    const lengths = Array.from({ length: Math.max(0, Math.floor(Math.min(end, least + 36) / step) - first + 1) }, (_, index) => (first + index) * step);
    const roomy = lengths.filter((mm) => tieCorners({ at: at(mm), way }).every(({ x, y }) => x >= shown.left && x <= shown.right && y >= shown.bottom && y <= shown.top));
    const nearest = tapeLength(roomy);
    if (nearest === undefined) return [];
    const clear = [nameRoom, lineRoom].map((room) => (isClear({ at: at(nearest), way }, room) ? nearest : tapeLength(roomy.filter((mm) => isClear({ at: at(mm), way }, room)))));
    return [...new Set([nearest, ...clear.map((mm) => mm ?? nearest)])].flatMap((whole) => {
      const tie = { at: at(whole), way, length: whole, from: name };
      // Nothing else lies on the way of the tape.
      const isOpen = isInside(tie.at, ring) && lines.every((other) => other === target || !segmentsTouch(other, { a: tie.at, b: at(0) }));
      return isOpen ? [{ tie, line: target, offMiddle: Math.abs(foot - toMiddle) }] : [];
    });
  });
}

/** The room of a tie in its own directions: x the way to the edge, origin at the cross. */
function tieRoom({ at, way }: Pick<MeasuredTie, 'at' | 'way'>): { box: Rect; before: (p: Point) => Point } {
  return {
    box: { left: -tieSize.behind, right: tieSize.ahead, bottom: -tieSize.half, top: tieSize.half },
    before: ({ x, y }) => ({ x: (x - at.x) * way.x + (y - at.y) * way.y, y: (y - at.y) * way.x - (x - at.x) * way.y }),
  };
}

function tieCorners({ at, way }: Pick<MeasuredTie, 'at' | 'way'>): Point[] {
  const corner = (along: number, aside: number) => ({ x: at.x + way.x * along - way.y * aside, y: at.y + way.y * along + way.x * aside });
  const { ahead, behind, half } = tieSize;
  return [corner(-behind, -half), corner(ahead, -half), corner(ahead, half), corner(-behind, half)];
}

function tieBox(tie: Pick<MeasuredTie, 'at' | 'way'>): Rect {
  return boxOf(tieCorners(tie));
}

/** Distance from a tie's room, as far behind its cross, to a point. */
function distanceTo(tie: MeasuredTie, behind: number, p: Point): number {
  const { box, before } = tieRoom(tie);
  const { x, y } = before(p);
  return Math.hypot(x - Math.min(box.right, Math.max(-behind, x)), y - Math.min(box.top, Math.max(box.bottom, y)));
}

/** Whether two ties' rooms do not overlap, seen along the one and along the other. */
function areApart(p: MeasuredTie, q: MeasuredTie): boolean {
  const isBeside = (one: MeasuredTie, other: MeasuredTie) => {
    const { box, before } = tieRoom(one);
    return sharedArea(box, boxOf(tieCorners(other).map(before))) === 0;
  };
  return isBeside(p, q) || isBeside(q, p);
}

const pens = { cross: { width: 0.15, gray: 0 }, line: { width: 0.15, gray: 0, dashes: [2, 1] } } as const satisfies Record<string, Pen>;

/** The crosses of a patch, the way to the edge, and the length. */
export function measuredMarks(measured: readonly MeasuredTie[], plan: Plan, setter: Typesetter): Mark[] {
  return measured.flatMap((tie) => tieMarks(tie, plan, setter));
}

function tieMarks(tie: MeasuredTie, plan: Plan, setter: Typesetter): Mark[] {
  const { at, way, length, from } = tie;
  const by = (along: number, aside: number) => ({ x: at.x + way.x * along - way.y * aside, y: at.y + way.y * along + way.x * aside });
  // Words stand on the side of the cross that lies away from the edge.
  const { isForward, angle, up } = reading({ x: -way.x, y: -way.y });
  const align = isForward ? 'left' : 'right';
  const beside = (above: number) => ({ x: at.x - way.x * 7 + up.x * above, y: at.y - way.y * 7 + up.y * above });
  return [
    line('tie', by(-5, 0), by(5, 0), pens.cross),
    line('tie', by(0, -5), by(0, 5), pens.cross),
    line('tie', by(6, 0), by(12, 0), pens.line),
    line('tie', by(12, 0), by(9.5, 1.2), pens.cross),
    line('tie', by(12, 0), by(9.5, -1.2), pens.cross),
    text(setter, 'tie', beside(0.8), tapeWords(length, plan), { size: 2.6, weight: 'bold', angle, align }),
    text(setter, 'tie', beside(-2.8), `to ${withArticle(from)}`, { size: 2.4, angle, align, most: tieSize.behind - 8 }),
  ];
}

