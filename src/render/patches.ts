import type { Plan, PlannedHole, Rect } from '../plan/plan.ts';
import { plainNumber } from '../trade/units.ts';
import { tapeWords } from './guides.ts';
import { bleed, contentOf, faceTransform, markedRadius, roomyFormats, type Cell, type Layout, type LayoutTrouble, type SheetFormat } from './layout.ts';
import { boxOf, clipSegment, grown, sharedBox } from './mark.ts';
import { laidLines, panelLines, withArticle, type PanelLine } from './lines.ts';
import { cross, measuredTies, type MeasuredTie, type Piece } from './tape.ts';
import { firstNames } from '../spec/problem.ts';

/** A sheet for a hole or a close group of holes, laid to the panel by itself. */
export interface Patch {
  readonly cell: Cell;
  readonly holes: readonly PlannedHole[];
  /** The edges, rim lines and inner faces on it that it is laid to, what is on it of each. */
  readonly laidTo: readonly Piece[];
  /** Distances to be set out with a tape where the lines on it do not fix it. */
  readonly measured: readonly MeasuredTie[];
}

/** Shortest pieces of lines that fix a patch: each of two that cross, or one alone; and a short edge that is on it whole, mm (our choice). */
const [cornerPiece, edgePiece, wholePiece] = [40, 80, 20];
/** Most holes that the search for the fewest patches looks at, each time it does; beyond, the best so far is taken. */
const mostLooks = 200_000;
/** White around the marks of a hole, mm. */
const room = 1;

/**
 * The fewest patches that show every hole whole, each on one sheet: exact up to {@link mostLooks} looks of a branch and
 * bound search (the leftmost hole not yet shown can be taken to stand at the left of its sheet: moving a sheet to the
 * right until it does loses only holes that are shown already). Among as few, those with more corners and edges on them.
 */
export function choosePatches(plan: Plan): Patches | LayoutTrouble {
  const content = contentOf(plan);
  const formats = roomyFormats(content, plan.sheets);
  if ('problem' in formats) return formats;
  const toFace = faceTransform(plan);
  const boxes = plan.holes.map((hole) => ({ hole, box: grown(boxOf([toFace(hole.center)]), markedRadius(hole) + room) }));
  // The tape lies on the drilled face, from where the paper is read.
  const [lines, tapeLines] = [laidLines(plan), panelLines(plan, plan.face)];
  const choices = formats.flatMap((format) => {
    const { width, height } = format.window;
    if (boxes.some(({ box }) => box.right - box.left > width || box.top - box.bottom > height)) return [];
    return [{ format, groups: fewestGroups(boxes, format.window, (group) => 2 - (placesOf(group, lines, content.bounds, format)[0] as Place).fixes) }];
  });
  if (choices.length === 0) {
    const largest = plan.holes.reduce((a, b) => (markedRadius(b) > markedRadius(a) ? b : a));
    return { problem: `the circle of ${largest.name} with its ticks, ${plainNumber(2 * markedRadius(largest), 0)} mm wide, does not fit on one sheet of ${plan.sheets.paper.name}, as a patch must`, fix: 'leave out --patches (the circle then lies across a seam), or choose a larger paper' };
  }
  const results = [...choices].sort((a, b) => a.groups.cost - b.groups.cost).map(({ format, groups }) => layPatches(plan, groups.list, format, lines, tapeLines));
  return results.find((result) => !('problem' in result)) ?? (results[0] as LayoutTrouble);
}

/** Where each group's patch lies, and what fixes it; from the top down, named P1, P2. */
function layPatches(plan: Plan, groups: Grouping['list'], format: SheetFormat, lines: readonly PanelLine[], tapeLines: readonly PanelLine[]): Patches | LayoutTrouble {
  const { bounds } = contentOf(plan);
  const inOrder = [...groups].sort((a, b) => Math.max(...b.map(({ box }) => box.top)) - Math.max(...a.map(({ box }) => box.top)) || (a[0] as Boxed).box.left - (b[0] as Boxed).box.left);
  const patches: Patch[] = [];
  for (const group of inOrder) {
    const holes = group.map(({ hole }) => hole);
    const name = `P${patches.length + 1}`;
    for (const { window, pieces, fixes } of placesOf(group, lines, bounds, format)) {
      const shown = sharedBox(window, grown(bounds, bleed));
      const measured = fixes === 2 ? [] : measuredTies(plan, tapeLines, shown, holes, pieces);
      if (fixes < 2 && measured.length === 0) continue;
      patches.push({ cell: { name, window: shown, core: grown(shown, -room) }, holes, laidTo: pieces, measured });
      break;
    }
    if (patches[patches.length - 1]?.holes !== holes) {
      return { problem: `${holes.map((hole) => hole.name).join(', ')} leaves no room on a sheet of ${plan.sheets.paper.name} for the crosses to measure a patch by`, fix: 'leave out --patches, or choose a larger paper' };
    }
  }
  const cells = patches.map(({ cell }) => cell);
  return { layout: { format, runs: 'rows', cells, cut: [], longestChain: 0, plain: { sheets: cells.length, cut: 0 } }, patches };
}

interface Patches {
  readonly layout: Layout;
  readonly patches: readonly Patch[];
}

interface Boxed {
  readonly hole: PlannedHole;
  readonly box: Rect;
}

interface Grouping {
  readonly list: readonly (readonly Boxed[])[];
  readonly cost: number;
}

/** The cheapest grouping: each group costs 1000 and its penalty. */
function fewestGroups(boxes: readonly Boxed[], window: SheetFormat['window'], penaltyOf: (group: readonly Boxed[]) => number): Grouping {
  const inOrder = [...boxes].sort((a, b) => a.box.left - b.box.left || a.box.top - b.box.top);
  const numbers = new Map(inOrder.map((one, index) => [one, index]));
  const known = new Map<string, number>();
  const ofGroup = new WeakMap<readonly Boxed[], number>();
  const penalty = (group: readonly Boxed[]) => {
    const earlier = ofGroup.get(group);
    if (earlier !== undefined) return earlier;
    const key = group.map((one) => numbers.get(one)).join(' ');
    const found = known.get(key) ?? penaltyOf(group);
    known.set(key, found);
    ofGroup.set(group, found);
    return found;
  };
  const doesFit = ({ left, right, bottom, top }: Rect) => right - left <= window.width + 1e-9 && top - bottom <= window.height + 1e-9;
  /** Holes of which no two fit in one window need a group each. */
  const leastGroups = (rest: readonly Boxed[]) => {
    const apart: Rect[] = [];
    for (const { box } of rest) if (!apart.some((other) => doesFit(boxAround(box, other)))) apart.push(box);
    return apart.length;
  };
  let best: Grouping = { list: [], cost: Infinity };
  let looks = 0;
  const isOver = () => looks > mostLooks && best.cost < Infinity;
  const extend = (rest: readonly Boxed[], list: Grouping['list'], cost: number) => {
    const [first] = rest;
    if (!first) {
      if (cost < best.cost) best = { list, cost };
      return;
    }
    looks += rest.length;
    if (isOver() || (best.cost < Infinity && cost + 1000 * leastGroups(rest) >= best.cost)) return;
    const strip = rest.filter(({ box }) => box.right <= first.box.left + window.width + 1e-9);
    const tops = [...new Set(strip.map(({ box }) => box.top))].filter((top) => top >= first.box.top && top - window.height <= first.box.bottom + 1e-9);
    const groups = tops.map((top) => new Set(strip.filter(({ box }) => box.top <= top + 1e-9 && box.bottom >= top - window.height - 1e-9)));
    const maximal = groups.filter((group, at) => !groups.some((other, index) => index !== at && (other.size > group.size || (other.size === group.size && index < at)) && [...group].every((one) => other.has(one))));
    for (const group of maximal.sort((a, b) => b.size - a.size)) {
      // When enough was looked at, only a group that ends a grouping can still better it.
      if (isOver() && group.size < rest.length) continue;
      extend(rest.filter((one) => !group.has(one)), [...list, [...group]], cost + 1000 + penalty([...group]));
    }
  };
  extend(inOrder, [], 0);
  return rearranged(best, doesFit, penalty);
}

/** As many groups with less penalty, as far as moving single holes from group to group finds it. */
function rearranged({ list, cost }: Grouping, doesFit: (box: Rect) => boolean, penalty: (group: readonly Boxed[]) => number): Grouping {
  const groups = [...list];
  const boxes = groups.map(groupBox);
  /** Which groups changed, one by one; and how many changes there had been when no move out of a group was a gain. */
  const changes: number[] = [];
  const tried: (number | undefined)[] = [];
  let left = cost;
  const firstGain = () => {
    const isAllFixed = groups.every((group) => penalty(group) === 0);
    for (const [at, from] of groups.entries()) {
      if (penalty(from) === 0 && isAllFixed) break;
      const since = tried[at];
      const others = since === undefined ? [...groups.keys()] : [...new Set(changes.slice(since))].sort((a, b) => a - b);
      for (const hole of from) {
        const less = from.filter((one) => one !== hole);
        for (const other of others) {
          if (other === at || less.length === 0 || !doesFit(boxAround(boxes[other] as Rect, hole.box))) continue;
          const to = groups[other] as readonly Boxed[];
          const more = [...to, hole];
          const gain = penalty(from) + penalty(to) - penalty(less) - penalty(more);
          if (gain > 0) return { moves: [[at, less], [other, more]] as const, gain };
        }
      }
      tried[at] = changes.length;
    }
    return undefined;
  };
  for (let found = firstGain(); found; found = firstGain()) {
    for (const [at, group] of found.moves) {
      [groups[at], boxes[at], tried[at]] = [group, groupBox(group), undefined];
      changes.push(at);
    }
    left -= found.gain;
  }
  return { list: groups, cost: left };
}

const groupBox = (group: readonly Boxed[]) => group.reduce((whole, { box }) => boxAround(whole, box), (group[0] as Boxed).box);

/** The box round two boxes. */
function boxAround(a: Rect, b: Rect): Rect {
  return { left: Math.min(a.left, b.left), right: Math.max(a.right, b.right), bottom: Math.min(a.bottom, b.bottom), top: Math.max(a.top, b.top) };
}

/** How far pieces on a patch fix it: 2 wholly, where two cross; 1 but for its place along one; 0 not. */
export function fixesOf(pieces: readonly Piece[]): 0 | 1 | 2 {
  const doFix = (p: Piece, q: Piece) => p.length >= cornerPiece && (q.length >= cornerPiece || (p.length >= edgePiece && q.isWhole && q.length >= wholePiece));
  if (pieces.some((p) => pieces.some((q) => Math.abs(cross(p.inwards, q.inwards)) > Math.sin(Math.PI / 9) && doFix(p, q)))) return 2;
  return pieces.some(({ length }) => length >= edgePiece) ? 1 : 0;
}

/** A place of a patch's window, what is on it to lay it by, and how far that fixes it. */
interface Place {
  readonly window: Rect;
  readonly pieces: readonly Piece[];
  readonly fixes: 0 | 1 | 2;
}

/** Places for the window of a group, best first. */
function placesOf(group: readonly Boxed[], lines: readonly PanelLine[], bounds: Rect, { window }: SheetFormat): Place[] {
  const box = boxOf(group.flatMap(({ box }) => [{ x: box.left, y: box.bottom }, { x: box.right, y: box.top }]));
  const places = (low: number, high: number, size: number, start: number, end: number) => {
    const [least, most] = [high - size, low];
    // With the holes in the middle, but no further over the panel's end than need be.
    const middle = Math.max(start - bleed, Math.min(end + bleed - size, (least + most) / 2));
    return [middle, start - bleed, end + bleed - size, least, most].map((place) => Math.min(most, Math.max(least, place)));
  };
  const choices = places(box.left, box.right, window.width, bounds.left, bounds.right).flatMap((left) =>
    places(box.bottom, box.top, window.height, bounds.bottom, bounds.top).map((bottom): Place => {
      const shown = { left, right: left + window.width, bottom, top: bottom + window.height };
      const pieces = piecesOn(lines, grown(shown, -room));
      const fixes = fixesOf(pieces);
      return { window: shown, pieces: fixes === 0 ? [] : pieces.filter(({ length, isWhole }) => length >= (fixes === 2 ? cornerPiece : edgePiece) || (fixes === 2 && isWhole && length >= wholePiece)), fixes };
    }),
  );
  // Long lines keep the paper from lying turned; of equal ones the first, with the holes in the middle.
  const longest = ({ pieces }: Place) => Math.round(Math.max(0, ...pieces.map(({ length }) => length)));
  return choices.sort((p, q) => q.fixes - p.fixes || longest(q) - longest(p));
}

function piecesOn(lines: readonly PanelLine[], box: Rect): Piece[] {
  return lines.flatMap((one): Piece[] => {
    const found = clipSegment(one.a, one.b, box);
    if (!found) return [];
    const [a, b] = found;
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    return [{ ...one, a, b, length, isWhole: length > Math.hypot(one.b.x - one.a.x, one.b.y - one.a.y) - 1e-6 }];
  });
}

/** Most names of holes in a row of the table of patches. */
const mostNames = 12;

/** First row: titles; then what is on each patch, what it is laid to, and a row for each distance to be measured. */
export function patchRows(patches: readonly Patch[], plan: Plan): string[][] {
  const rows = patches.flatMap(({ cell, holes, laidTo, measured }) => {
    const names = holes.map(({ name }) => name);
    const shown = firstNames(names, mostNames);
    const [first = 'nothing', ...more] = measured.map((tie) => `${tapeWords(tie.length, plan)} to ${withArticle(tie.from)}`);
    return [[cell.name, shown, [...new Set(laidTo.map(({ name }) => name))].join(', ') || 'no edge on it', first], ...more.map((tie) => ['', '', '', tie])];
  });
  return [['patch', 'holes', 'lay it to', 'measure from its crosses'], ...rows];
}
