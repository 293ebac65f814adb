import type { Plan, Point, Rect } from '../plan/plan.ts';
import { formatInches, formatLength } from '../trade/units.ts';
import { pens, type DrawOptions } from './draw.ts';
import { faceTransform, type Layout } from './layout.ts';
import { boxOf, circle, line, markBounds, path, rectPath, sharedArea, text, type Mark } from './mark.ts';
import type { Typesetter } from './type.ts';

/** The panel to a scale that fits a box, with its size and the places of its holes; for the pages before the sheets. */
export function drawOverview(plan: Plan, box: Rect, layout: Layout, setter: Typesetter, options: DrawOptions): Mark[] {
  const toFace = faceTransform(plan);
  const bounds = boxOf(plan.panel.outline.map(toFace));
  const frame = { left: box.left + 16, right: box.right - 4, bottom: box.bottom + 16, top: box.top - 5 };
  const scale = Math.min((frame.right - frame.left) / (bounds.right - bounds.left), (frame.top - frame.bottom) / (bounds.top - bounds.bottom));
  const drawnWidth = (bounds.right - bounds.left) * scale;
  const start = { x: (frame.left + frame.right - drawnWidth) / 2, y: frame.top - (bounds.top - bounds.bottom) * scale };
  const place = (point: Point) => {
    const { x, y } = toFace(point);
    return { x: start.x + (x - bounds.left) * scale, y: start.y + (y - bounds.bottom) * scale };
  };
  const placeFace = ({ x, y }: Point) => ({ x: start.x + (x - bounds.left) * scale, y: start.y + (y - bounds.bottom) * scale });
  const ring = (points: readonly Point[]) => points.map(place);
  const areas = plan.panel.keepClear.flatMap(({ name, rect }) => {
    const area = boxOf([place({ x: rect.left, y: rect.bottom }), place({ x: rect.right, y: rect.top })]);
    return [rectPath('keep-clear', area, pens.keepClear, 0.92), text(setter, 'keep-clear', { x: (area.left + area.right) / 2, y: (area.bottom + area.top) / 2 }, name, { size: 2.2, align: 'center', gray: 0.3, most: Math.max(10, area.right - area.left) })];
  });
  const sheets = layout.cells.filter((cell) => cell.isKept).flatMap((cell): Mark[] => {
    const core = boxOf([placeFace({ x: Math.max(cell.core.left, bounds.left), y: Math.max(cell.core.bottom, bounds.bottom) }), placeFace({ x: Math.min(cell.core.right, bounds.right), y: Math.min(cell.core.top, bounds.top) })]);
    return [rectPath('seam', core, { width: 0.1, gray: 0.7, dashes: [1, 1] }), text(setter, 'seam', { x: core.left + 1, y: core.top - 2.6 }, cell.name, { size: 2.2, gray: 0.6 })];
  });
  const holes = plan.holes.flatMap((hole): Mark[] => {
    const center = place(hole.center);
    const radius = (hole.diameter / 2) * scale;
    const isRefused = options.withoutCircle.has(hole.name);
    const part = (Math.max(hole.flange ?? 0, hole.nut ?? 0) / 2) * scale;
    return [
      ...(isRefused ? [] : [circle('hole', center, radius, { width: 0.25, gray: 0 }), circle('hole', center, 0.3, { width: 0.4, gray: 0 })]),
      ...(isRefused ? [line('hole', { x: center.x - 1.5, y: center.y - 1.5 }, { x: center.x + 1.5, y: center.y + 1.5 }, pens.refused), line('hole', { x: center.x - 1.5, y: center.y + 1.5 }, { x: center.x + 1.5, y: center.y - 1.5 }, pens.refused)] : []),
      ...(part > radius && !isRefused ? [circle('part', center, part, { width: 0.15, gray: 0.5, dashes: [1, 0.8] })] : []),
    ];
  });
  return [
    ...sheets,
    ...areas,
    ...(plan.jointLine ? [path('joint', ring(plan.jointLine), { width: 0.15, gray: 0.5, dashes: [1, 1] })] : []),
    ...(plan.rimLine ? [path('rim', ring(plan.rimLine), { width: 0.2, gray: 0.2, dashes: [3, 1] })] : []),
    path('panel', ring(plan.panel.outline), { width: 0.4, gray: 0 }),
    ...holes,
    ...overviewNames(plan, place, scale, setter),
    ...dimensions(plan, place, start, { width: drawnWidth, height: frame.top - start.y }, setter),
  ];
}

/** Hole names on the overview: above the hole, left out where they would run into each other (the table has them all). */
function overviewNames(plan: Plan, place: (point: Point) => Point, scale: number, setter: Typesetter): Mark[] {
  const taken: Rect[] = [];
  return plan.holes.flatMap((hole) => {
    const { x, y } = place(hole.center);
    const reach = Math.max((Math.max(hole.diameter, hole.flange ?? 0, hole.nut ?? 0) / 2) * scale, 1.5);
    const words = text(setter, 'label', { x, y: y + reach + 1 }, hole.name, { size: 2.6, weight: 'bold', align: 'center', most: 40 });
    const box = markBounds(words);
    if (taken.length > 400 || taken.some((other) => sharedArea(box, other) > 0)) return [];
    taken.push(box);
    return [words];
  });
}

const dimensionPen = { width: 0.15, gray: 0.2 } as const;

/** The panel's size below and left of it, and the places of the holes' centers as marks with running dimensions. */
function dimensions(plan: Plan, place: (point: Point) => Point, start: Point, size: { width: number; height: number }, setter: Typesetter): Mark[] {
  const { bounds, units } = plan;
  const both = (mm: number) => (units === 'in' ? formatInches(mm) : formatLength(mm, units));
  const [left, bottom, right, top] = [start.x, start.y, start.x + size.width, start.y + size.height];
  const [lowY, sideX] = [bottom - 13, left - 13];
  const overall: Mark[] = [
    ...dimensionLine({ x: left, y: lowY }, { x: right, y: lowY }),
    text(setter, 'label', { x: (left + right) / 2, y: lowY + 0.8 }, both(bounds.right - bounds.left), { size: 2.6, align: 'center' }),
    ...dimensionLine({ x: sideX, y: bottom }, { x: sideX, y: top }),
    text(setter, 'label', { x: sideX - 0.8, y: (bottom + top) / 2 }, both(bounds.top - bounds.bottom), { size: 2.6, align: 'center', angle: 90 }),
  ];
  const isMirrored = plan.face === 'inside';
  const xs = spaced(plan.holes.map((hole) => ({ at: place(hole.center).x, mm: hole.center.x - bounds.left })), 3.2);
  const ys = spaced(plan.holes.map((hole) => ({ at: place(hole.center).y, mm: hole.center.y - bounds.bottom })), 3.2);
  return [
    ...overall,
    ...xs.flatMap(({ at, mm }) => [line('label', { x: at, y: bottom - 0.8 }, { x: at, y: bottom - 2.6 }, dimensionPen), text(setter, 'label', { x: at + 0.8, y: bottom - 3.2 }, both(mm), { size: 2.2, align: 'right', angle: 90 })]),
    ...ys.flatMap(({ at, mm }) => [line('label', { x: left - 0.8, y: at }, { x: left - 2.6, y: at }, dimensionPen), text(setter, 'label', { x: left - 3.2, y: at - 0.8 }, both(mm), { size: 2.2, align: 'right' })]),
    text(setter, 'label', { x: isMirrored ? right : left, y: bottom - 16 }, `centres: from the true ${isMirrored ? 'left edge (here on the right)' : 'left edge'} and the true bottom edge`, { size: 2.1, align: isMirrored ? 'right' : 'left', gray: 0.3 }),
  ];
}

function dimensionLine(a: Point, b: Point): Mark[] {
  const isFlat = a.y === b.y;
  const cap = (p: Point) => (isFlat ? line('label', { x: p.x, y: p.y - 1 }, { x: p.x, y: p.y + 1 }, dimensionPen) : line('label', { x: p.x - 1, y: p.y }, { x: p.x + 1, y: p.y }, dimensionPen));
  return [line('label', a, b, dimensionPen), cap(a), cap(b)];
}

/** Places in order, each at least `gap` from the one before; equal lengths once. */
function spaced(places: readonly { at: number; mm: number }[], gap: number): { at: number; mm: number }[] {
  const kept: { at: number; mm: number }[] = [];
  for (const place of [...places].sort((a, b) => a.at - b.at)) {
    const last = kept[kept.length - 1];
    if (!last || place.at - last.at >= gap) kept.push(place);
  }
  return kept;
}
