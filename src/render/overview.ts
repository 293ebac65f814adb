import { partWidth, type Plan, type Point, type Rect } from '../plan/plan.ts';
import { formatLength } from '../trade/units.ts';
import { areaMarks, areaStyles, type AllowedArea } from './area.ts';
import { hatch, nameInside, pens, stripMarks, type DrawOptions } from './draw.ts';
import { faceTransform, type Layout } from './layout.ts';
import { boxOf, circle, grown, line, markBounds, path, rectPath, sharedArea, sharedBox, text, type Mark } from './mark.ts';
import type { Typesetter } from './type.ts';

/** What the overview shows besides. */
export interface OverviewOptions extends DrawOptions {
  /** Where holes may be, to be shaded under everything else. */
  readonly areas: readonly AllowedArea[];
}

/** Half the length of a refused hole's saltire along each axis, mm. */
const refusedArm = 1.5;

/** The panel to a scale that fits a box, with its size and the places of its holes; for the pages before the sheets. */
export function drawOverview(plan: Plan, box: Rect, layout: Layout, setter: Typesetter, options: OverviewOptions): Mark[] {
  const toFace = faceTransform(plan);
  const bounds = boxOf(plan.panel.outline.map(toFace));
  const frame = { left: box.left + beside.left, right: box.right - beside.right, bottom: box.bottom + beside.bottom, top: box.top - beside.top };
  const scale = Math.min((frame.right - frame.left) / (bounds.right - bounds.left), (frame.top - frame.bottom) / (bounds.top - bounds.bottom));
  const drawnWidth = (bounds.right - bounds.left) * scale;
  const start = { x: (frame.left + frame.right - drawnWidth) / 2, y: frame.top - (bounds.top - bounds.bottom) * scale };
  const place = (point: Point) => {
    const { x, y } = toFace(point);
    return { x: start.x + (x - bounds.left) * scale, y: start.y + (y - bounds.bottom) * scale };
  };
  const placeFace = ({ x, y }: Point) => ({ x: start.x + (x - bounds.left) * scale, y: start.y + (y - bounds.bottom) * scale });
  const keptClear = plan.panel.keepClear.flatMap(({ name, rect }) => {
    const area = boxOf([place({ x: rect.left, y: rect.bottom }), place({ x: rect.right, y: rect.top })]);
    const words = nameInside(setter, area, name, 2.2);
    return [rectPath('keep-clear', area, pens.keepClear, 1), ...hatch(area, 2.5), rectPath('keep-clear', grown(markBounds(words), 0.4), null, 1), words];
  });
  const boxes = plan.panel.boxes.flatMap(({ name, rect }) => {
    const outline = boxOf([place({ x: rect.left, y: rect.bottom }), place({ x: rect.right, y: rect.top })]);
    return [rectPath('box', outline, { width: 0.25, gray: 0.4 }), text(setter, 'box', { x: (outline.left + outline.right) / 2, y: outline.bottom + 0.9 }, name, { size: 2.2, align: 'center', gray: 0.3, most: Math.max(8, outline.right - outline.left - 1) })];
  });
  const sheets = layout.cells.flatMap((cell): Mark[] => {
    const shown = sharedBox(cell.core, bounds);
    const core = boxOf([placeFace({ x: shown.left, y: shown.bottom }), placeFace({ x: shown.right, y: shown.top })]);
    const isRoomy = core.right - core.left > 8 && core.top - core.bottom > 6;
    const name = text(setter, 'seam', { x: (core.left + core.right) / 2, y: core.top - 4.5 }, cell.name, { size: 2.2, align: 'center', gray: 0.3 });
    return [rectPath('seam', core, { width: 0.1, gray: 0.5, dashes: [1, 1] }), ...(isRoomy ? [name] : [])];
  });
  const holes = plan.holes.flatMap((hole): Mark[] => {
    const center = place(hole.center);
    const radius = (hole.diameter / 2) * scale;
    const isRefused = options.withoutCircle.has(hole.name);
    const part = (partWidth(hole) / 2) * scale;
    return [
      ...(isRefused ? [] : [circle('hole', center, radius, { width: 0.25, gray: 0 }), circle('hole', center, 0.3, { width: 0.4, gray: 0 })]),
      ...(isRefused ? [line('hole', { x: center.x - refusedArm, y: center.y - refusedArm }, { x: center.x + refusedArm, y: center.y + refusedArm }, pens.refused), line('hole', { x: center.x - refusedArm, y: center.y + refusedArm }, { x: center.x + refusedArm, y: center.y - refusedArm }, pens.refused)] : []),
      ...(part > radius && !isRefused ? [circle('part', center, part, { width: 0.15, gray: 0.3, dashes: [1, 0.8] })] : []),
    ];
  });
  return [
    ...areaMarks(options.areas, areaStyles.overview, place, scale, plan.face === 'inside'),
    ...sheets,
    ...keptClear,
    ...boxes,
    ...stripMarks(plan, 'joint', place, { width: 0.15, gray: 0.5, dashes: [1, 1] }),
    ...stripMarks(plan, 'rim', place, { width: 0.2, gray: 0.2, dashes: [3, 1] }),
    path('panel', plan.panel.outline.map(place), { width: 0.4, gray: 0 }),
    ...holes,
    ...overviewNames(plan, place, scale, setter, options),
    ...cornerNames(plan, place, setter),
    ...dimensions(plan, place, start, { width: drawnWidth, height: frame.top - start.y }, setter),
  ];
}

/** The corners' numbers, where the spec gives an outline and findings speak of them. */
function cornerNames(plan: Plan, place: (point: Point) => Point, setter: Typesetter): Mark[] {
  const middle = place({ x: (plan.bounds.left + plan.bounds.right) / 2, y: (plan.bounds.bottom + plan.bounds.top) / 2 });
  const numbered = plan.panel.outline.map((at, index) => ({ at, name: plan.panel.cornerNames[index] ?? '' })).filter(({ name }) => /^corner \d+$/.test(name));
  if (numbered.length > 40) return [];
  return numbered.map(({ name, at }) => {
    const { x, y } = place(at);
    return text(setter, 'label', { x: x + (x < middle.x ? 1 : -1), y: y + (y < middle.y ? 1 : -3) }, name.replace('corner ', ''), { size: 2.4, align: x < middle.x ? 'left' : 'right', gray: 0.2 });
  });
}

/** Hole names on the overview: above the hole, left out where they would run into each other (the table has them all). */
function overviewNames(plan: Plan, place: (point: Point) => Point, scale: number, setter: Typesetter, { withoutCircle }: DrawOptions): Mark[] {
  const taken: Rect[] = [];
  return plan.holes.flatMap((hole) => {
    const { x, y } = place(hole.center);
    const reach = withoutCircle.has(hole.name) ? refusedArm : Math.max((Math.max(hole.diameter, partWidth(hole)) / 2) * scale, refusedArm);
    const words = text(setter, 'label', { x, y: y + reach + 1 }, hole.name, { size: 2.6, weight: 'bold', align: 'center', most: 40 });
    const box = grown(markBounds(words), 0.5);
    if (taken.length > 400 || taken.some((other) => sharedArea(box, other) > 0)) return [];
    taken.push(box);
    return [words];
  });
}

const dimensionPen = { width: 0.15, gray: 0.2 } as const;
/** Room beside the panel for its dimensions, mm. */
const gutter = 21;
/** Room on all sides of the panel for dimensions and names, mm. */
const beside = { left: gutter, right: 4, bottom: gutter + 3, top: 5 } as const;

/** Height that the overview takes up at most in a given width, mm. */
export function overviewHeight({ bounds }: Plan, width: number): number {
  const scale = (width - beside.left - beside.right) / (bounds.right - bounds.left);
  return (bounds.top - bounds.bottom) * scale + beside.top + beside.bottom;
}

/** The panel's size below and left of it, and the places of the holes' centers as running dimensions between. */
function dimensions(plan: Plan, place: (point: Point) => Point, start: Point, size: { width: number; height: number }, setter: Typesetter): Mark[] {
  const { bounds, units } = plan;
  const length = (mm: number) => formatLength(mm, units);
  const [left, bottom, right, top] = [start.x, start.y, start.x + size.width, start.y + size.height];
  const [lowY, sideX] = [bottom - gutter + 2, left - gutter + 3];
  const overall: Mark[] = [
    ...dimensionLine({ x: left, y: lowY }, { x: right, y: lowY }),
    text(setter, 'label', { x: (left + right) / 2, y: lowY + 0.8 }, length(bounds.right - bounds.left), { size: 2.6, align: 'center' }),
    ...dimensionLine({ x: sideX, y: bottom }, { x: sideX, y: top }),
    text(setter, 'label', { x: sideX - 0.8, y: (bottom + top) / 2 }, length(bounds.top - bounds.bottom), { size: 2.6, align: 'center', angle: 90 }),
  ];
  const xs = spread(plan.holes.map((hole) => ({ at: place(hole.center).x, mm: hole.center.x - bounds.left })), left, right);
  const ys = spread(plan.holes.map((hole) => ({ at: place(hole.center).y, mm: hole.center.y - bounds.bottom })), bottom, top);
  const isMirrored = plan.face === 'inside';
  return [
    ...overall,
    ...xs.flatMap(({ at, label, mm }) => [path('label', [{ x: at, y: bottom - 0.8 }, { x: at, y: bottom - 2 }, { x: label, y: bottom - 4 }], dimensionPen, null, false), text(setter, 'label', { x: label + 0.8, y: bottom - 4.6 }, length(mm), { size: 2.2, align: 'right', angle: 90 })]),
    ...ys.flatMap(({ at, label, mm }) => [path('label', [{ x: left - 0.8, y: at }, { x: left - 2, y: at }, { x: left - 4, y: label }], dimensionPen, null, false), text(setter, 'label', { x: left - 4.6, y: label - 0.8 }, length(mm), { size: 2.2, align: 'right' })]),
    text(setter, 'label', { x: left, y: lowY - 3.4 }, `Not to size. Centres from the true ${isMirrored ? 'left edge (on the right here: seen from inside)' : 'left edge'} and the true bottom edge.`, { size: 2.1, gray: 0.3 }),
  ];
}

function dimensionLine(a: Point, b: Point): Mark[] {
  const isFlat = a.y === b.y;
  const cap = (p: Point) => (isFlat ? line('label', { x: p.x, y: p.y - 1 }, { x: p.x, y: p.y + 1 }, dimensionPen) : line('label', { x: p.x - 1, y: p.y }, { x: p.x + 1, y: p.y }, dimensionPen));
  return [line('label', a, b, dimensionPen), cap(a), cap(b)];
}

/** The places in order, equal lengths once, with their labels pushed apart; as many as there is room for. */
function spread(places: readonly { at: number; mm: number }[], low: number, high: number): { at: number; mm: number; label: number }[] {
  const gap = 3;
  const inOrder = [...places].sort((a, b) => a.at - b.at).filter((place, index, all) => index === 0 || Math.abs(place.mm - (all[index - 1]?.mm ?? 0)) > 0.05);
  const room = Math.floor((high - low) / gap);
  const kept = inOrder.length <= room ? inOrder : inOrder.filter((_, index) => index % Math.ceil(inOrder.length / room) === 0);
  const labels: number[] = [];
  for (const { at } of kept) labels.push(Math.max(at, (labels[labels.length - 1] ?? -Infinity) + gap));
  // Labels pushed past the end are pushed back from there.
  for (let index = labels.length - 1, limit = high; index >= 0; index -= 1, limit = (labels[index + 1] as number) - gap) labels[index] = Math.min(labels[index] as number, limit);
  return kept.map((place, index) => ({ ...place, label: labels[index] as number }));
}
