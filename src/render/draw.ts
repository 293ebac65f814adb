import { clearanceToSegment, edgesOf } from '../geometry/shape.ts';
import { partWidth, type Plan, type PlannedHole, type Point, type Rect } from '../plan/plan.ts';
import { formatBoth } from '../trade/units.ts';
import { lattice, orientationMarks, orientationOf, withoutStruckStubs } from './guides.ts';
import { boxIndex, boxOnFace, boxOutlines, cellFinder, faceTransform, markedRadius, seamsOf, tick, type Cell, type Layout } from './layout.ts';
import { laidLines, laidOutline, reading } from './lines.ts';
import { boxOf, circle, clipSegment, grown, isWithin, line, markBounds, path, rectPath, sharedArea, sharedBox, text, type Layer, type Line, type Mark, type Pen, type Text } from './mark.ts';
import type { Typesetter, Weight } from './type.ts';

/** Pens of the jig. Widths in mm: thin enough to centre a bit by, thick enough for any office printer. */
export const pens = {
  edge: { width: 0.35, gray: 0 },
  rim: { width: 0.35, gray: 0, dashes: [8, 2] },
  joint: { width: 0.2, gray: 0.4, dashes: [1.5, 1.5] },
  keepClear: { width: 0.2, gray: 0.3, dashes: [4, 1.5] },
  box: { width: 0.25, gray: 0.3 },
  hatch: { width: 0.12, gray: 0.6 },
  drilling: { width: 0.25, gray: 0 },
  cross: { width: 0.15, gray: 0 },
  tick: { width: 0.2, gray: 0 },
  part: { width: 0.18, gray: 0.4, dashes: [2, 1.2] },
  refused: { width: 0.3, gray: 0.5 },
  leader: { width: 0.15, gray: 0.4 },
  align: { width: 0.15, gray: 0 },
} as const satisfies Record<string, Pen>;

export interface DrawOptions {
  /** Holes that get no drilling circle, by name. */
  readonly withoutCircle: ReadonlySet<string>;
  /** Marks besides, such as tie lines, that labels keep clear of. */
  readonly besides?: readonly Mark[];
}

/** The jig at true size, in mm of the drilled face: what every sheet is a window on. */
export function drawJig(plan: Plan, layout: Layout, setter: Typesetter, options: DrawOptions): Mark[] {
  const toFace = faceTransform(plan);
  const holes = plan.holes.map((hole) => ({ ...hole, center: toFace(hole.center) }));
  const innerFaces = innerFaceMarks(plan);
  // Where there is no sealant, the joint's line and the inner face are one.
  const panel = panelMarks(plan, toFace, setter).filter((mark) => !innerFaces.some((face) => isSameLine(mark, face)));
  const edgeNames = [...innerFaces, ...lineNames(plan, layout, setter)];
  const guides = [...orientationMarks(orientationOf(plan, layout), setter), ...(options.besides ?? [])];
  const labels = labelMarks(plan, holes, layout, [...panel, ...edgeNames, ...guides], setter, options);
  return [
    ...panel,
    ...edgeNames,
    ...withoutStruckStubs(guides, labels),
    ...holes.flatMap((hole) => (options.withoutCircle.has(hole.name) ? refusedMarks(hole) : holeMarks(hole))),
    ...labels,
    ...partNames(holes.filter((hole) => !options.withoutCircle.has(hole.name)), layout, setter),
    ...alignmentMarks(plan, holes, layout),
  ];
}

function isSameLine(mark: Mark, other: Mark): boolean {
  return mark.kind === 'line' && other.kind === 'line' && mark.layer === other.layer && Math.hypot(mark.a.x - other.a.x, mark.a.y - other.a.y) + Math.hypot(mark.b.x - other.b.x, mark.b.y - other.b.y) < 0.01;
}

export function panelMarks(plan: Plan, toFace: (point: Point) => Point, setter: Typesetter): Mark[] {
  const areas = plan.panel.keepClear.flatMap(({ name, rect }): Mark[] => {
    const box = boxOnFace(plan)(rect);
    const words = nameInside(setter, box, `keep clear: ${name}`, 2.8);
    return [...hatch(box), rectPath('keep-clear', box, pens.keepClear), rectPath('keep-clear', grown(markBounds(words), 0.6), null, 1), words];
  });
  return [
    ...areas,
    ...boxOutlines(plan).flatMap(edgesOf).map(({ a, b }) => line('box', a, b, pens.box)),
    ...stripMarks(plan, 'joint', toFace, pens.joint),
    ...stripMarks(plan, 'rim', toFace, pens.rim),
    path('panel', plan.panel.outline.map(toFace), pens.edge),
  ];
}

/** The inner line of the rim or the joints, along the edges that have one. */
export function stripMarks({ panel, rimLine, jointLine }: Plan, strip: 'rim' | 'joint', place: (point: Point) => Point, pen: Pen): Mark[] {
  const inner = { rim: rimLine, joint: jointLine }[strip];
  if (!inner) return [];
  return panel.edges.flatMap((edge, index) => (edge[strip] > 0 ? [line(strip, place(inner[index] as Point), place(inner[(index + 1) % inner.length] as Point), pen)] : []));
}

/** Words in the middle of a box, upright where that gives them more room. */
export function nameInside(setter: Typesetter, box: Rect, words: string, size: number): Text {
  const [width, height] = [box.right - box.left, box.top - box.bottom];
  const isUpright = height > width && setter.width(words) * size > width - 2;
  const drop = size * 0.35;
  const at = { x: (box.left + box.right) / 2 + (isUpright ? drop : 0), y: (box.bottom + box.top) / 2 - (isUpright ? 0 : drop) };
  return text(setter, 'keep-clear', at, words, { size, align: 'center', angle: isUpright ? 90 : 0, gray: 0.3, most: Math.max(10, (isUpright ? height : width) - 2) });
}

/** Slanted lines that fill a box, as far apart as `step` says, mm. */
export function hatch(box: Rect, step = 6): Mark[] {
  const marks: Mark[] = [];
  const height = box.top - box.bottom;
  for (let x = box.left - height + step; x < box.right; x += step) {
    const part = clipSegment({ x, y: box.bottom }, { x: x + height, y: box.top }, box);
    if (part) marks.push(line('keep-clear', part[0], part[1], pens.hatch));
  }
  return marks;
}

/** The names of edges, rim lines, boxes and inner faces, along the pieces of them that each sheet answers for. */
export function lineNames(plan: Plan, { cells }: Pick<Layout, 'cells'>, setter: Typesetter): Text[] {
  const lines = [...namedEdges(plan), ...namedBoxes(plan), ...namedInnerFaces(plan)];
  const find = boxIndex(lines.map(({ a, b }) => boxOf([a, b])));
  return cells.flatMap((cell) => find(cell.core).sort((a, b) => a - b).flatMap((at) => nameAlong(lines[at] as NamedLine, cell, plan, setter)));
}

/** Width of a strip in which words along its edge have room, mm. */
const leastStrip = 5;

/** Edges and rim lines. */
function namedEdges(plan: Plan): NamedLine[] {
  const toFace = faceTransform(plan);
  const outline = plan.panel.edges;
  return outline.flatMap((edge, index): NamedLine[] => {
    // A joint's strip that is too narrow for words has them behind it, under a rim where that has room for them.
    const beyond = edge.joint < leastStrip && (edge.rim === 0 || edge.rim >= edge.joint + leastStrip) ? edge.joint : 0;
    const named = { a: toFace(edge.a), b: toFace(edge.b), beyond, forms: [edge.rim > 0 ? `${edge.name}, under the rim` : edge.name] };
    if (edge.rim === 0 || !plan.rimLine) return [named];
    const [a, b] = [plan.rimLine[index], plan.rimLine[(index + 1) % outline.length]] as [Point, Point];
    return [named, { a: toFace(a), b: toFace(b), forms: [`rim line (${edge.name}): cut here, lay against the rim`] }];
  });
}

/** The outlines of boxes; their names stand inside. */
function namedBoxes(plan: Plan): NamedLine[] {
  return boxOutlines(plan).flatMap((outline, index) => {
    const { name, stands } = plan.panel.boxes[index] as Plan['panel']['boxes'][number];
    const forms = [`${name}: outside of its back wall, on the ${stands} face`, `${name}: outside of its back wall`, name];
    return edgesOf(outline).map(({ a, b }): NamedLine => ({ a, b, forms, layer: 'box' }));
  });
}

/** Inner faces of neighbouring panels, where the paper is cut, as it cannot go under those. */
function innerFaceMarks(plan: Plan): Mark[] {
  return laidLines(plan).filter(({ isInnerFace }) => isInnerFace).map(({ a, b }) => line('joint', a, b, pens.rim));
}

function namedInnerFaces(plan: Plan): NamedLine[] {
  return laidLines(plan).filter(({ isInnerFace }) => isInnerFace).map(({ name, a, b, sealant }) => ({ a, b, forms: [`${name}: cut here, lay against it`, `${name}: cut here`, name], layer: 'joint', beyond: sealant, room: 4 }));
}

export interface NamedLine {
  readonly a: Point;
  readonly b: Point;
  /** Its name, longest form first. */
  readonly forms: readonly string[];
  readonly layer?: Layer;
  /** Width of what lies beside it inside the panel, mm. */
  readonly beyond?: number;
  /** What the line must be longer than its name, mm. */
  readonly room?: number;
}

/** The sheet's core without what its neighbours across (or above and below) show of it too: words there would be cut off on theirs. */
function ownSpan({ core, window }: Cell, isAcross: boolean): Rect {
  return isAcross
    ? { ...core, left: 2 * core.left - window.left, right: 2 * core.right - window.right }
    : { ...core, bottom: 2 * core.bottom - window.bottom, top: 2 * core.top - window.top };
}

/** Words inside the panel along a line, in the middle of the piece within the cell; none where it is too short. */
export function nameAlong({ a, b, forms, layer = 'panel', beyond = 0, room = 6 }: NamedLine, cell: Cell, plan: Plan, setter: Typesetter): Text[] {
  const piece = clipSegment(a, b, ownSpan(cell, Math.abs(b.x - a.x) > Math.abs(b.y - a.y)));
  if (!piece) return [];
  const [start, end] = piece;
  const length = Math.hypot(end.x - start.x, end.y - start.y);
  const size = 2.6;
  const words = forms.find((form) => setter.width(form) * size + room <= length);
  if (words === undefined) return [];
  // The outline runs counter-clockwise seen from outside, so inside the panel is on its left, mirrored on its right.
  const turn = plan.face === 'outside' ? 1 : -1;
  const along = { x: (end.x - start.x) / length, y: (end.y - start.y) / length };
  const inwards = { x: -along.y * turn, y: along.x * turn };
  const { angle, up } = reading(along);
  const isAbove = up.x * inwards.x + up.y * inwards.y > 0;
  const gap = beyond + (isAbove ? 1.4 : 1.2 + size * 0.75);
  const at = { x: (start.x + end.x) / 2 + inwards.x * gap, y: (start.y + end.y) / 2 + inwards.y * gap };
  return [text(setter, layer, at, words, { size, align: 'center', angle, gray: 0.25 })];
}

/** The drilling circle, its centre cross, four ticks outside it that stay when the disc is cut out, and the widest part. */
export function holeMarks(hole: PlannedHole): Mark[] {
  const { center } = hole;
  const radius = hole.diameter / 2;
  const arm = Math.min(8, radius * 0.6);
  const part = partWidth(hole) / 2;
  const at = (dx: number, dy: number) => ({ x: center.x + dx, y: center.y + dy });
  const [inner, outer] = [radius + tick.gap, radius + tick.gap + tick.length];
  return [
    circle('hole', center, radius, pens.drilling),
    line('center', at(-arm, 0), at(arm, 0), pens.cross),
    line('center', at(0, -arm), at(0, arm), pens.cross),
    ...[[1, 0], [-1, 0], [0, 1], [0, -1]].map(([x = 0, y = 0]) => line('center', at(x * inner, y * inner), at(x * outer, y * outer), pens.tick)),
    ...(part > radius ? [circle('part', center, part, pens.part)] : []),
  ];
}

/** Half the length of a refused hole's saltire along each axis, mm. */
const saltireArm = 5;

/** A refused hole on a draft: a saltire at its place, nothing to drill by. */
function refusedMarks({ center }: PlannedHole): Mark[] {
  const arm = saltireArm;
  const at = (dx: number, dy: number) => ({ x: center.x + dx, y: center.y + dy });
  return [line('hole', at(-arm, -arm), at(arm, arm), pens.refused), line('hole', at(-arm, arm), at(arm, -arm), pens.refused)];
}

/** The distances that place a hole, in words: "100 mm (3.937 in) from left". */
export function offsetWords(plan: Plan, hole: PlannedHole): string[] {
  const start = { edges: 'edge', rim: 'rim line', inside: 'inner face' }[plan.measuredFrom];
  return hole.offsets.map(({ from, mm }) => `${formatBoth(mm, plan.units)} from ${from} ${plan.datum[from] === plan.bounds[from] ? 'edge' : start}`);
}

export interface LabelLine {
  readonly words: string;
  readonly size: number;
  readonly weight: Weight;
}

const widestLabel = 75;

function labelLines(plan: Plan, hole: PlannedHole, options: DrawOptions): LabelLine[] {
  const small = { size: 2.8, weight: 'regular' } as const;
  if (options.withoutCircle.has(hole.name)) {
    return [{ words: hole.name, size: 4, weight: 'bold' }, { words: 'REFUSED: do not drill', size: 2.8, weight: 'bold' }];
  }
  return [
    { words: hole.name, size: 4, weight: 'bold' },
    { words: `drill ${formatBoth(hole.diameter, plan.units)}`, ...small, weight: 'bold' },
    ...offsetWords(plan, hole).map((words) => ({ words, ...small })),
    ...(hole.isTypical ? [{ words: 'typical values: measure your fitting', ...small }] : []),
  ];
}

/** How much worse it is that a part of a label is cut off by its sheet than that it lies over something: there it can still be read. */
const cutCost = 4;

/** Between labels that are not to be read as one, mm (our choice). */
const labelGap = 1.5;

/** A label beside every hole, where it covers the least of other holes, labels and lines, and crosses no seam. */
export function labelMarks(plan: Plan, holes: readonly PlannedHole[], layout: Layout, drawn: readonly Mark[], setter: Typesetter, options: DrawOptions, linesOf = (hole: PlannedHole): readonly LabelLine[] => labelLines(plan, hole, options)): Mark[] {
  const reachOf = (hole: PlannedHole) => (options.withoutCircle.has(hole.name) ? saltireArm + 1 : markedRadius(hole));
  // Of a keep-clear area its outline counts, once: the boxes round its slanting hatches cover far more than they do.
  const besides = drawn.filter((mark) => mark.kind === 'text' || (mark.layer === 'keep-clear' && mark.kind !== 'line') || mark.layer === 'tie' || mark.layer === 'orientation' || isThin(mark));
  const fixed = [...holes.map((hole) => grown(boxOf([hole.center]), reachOf(hole))), ...besides.map(markBounds)];
  const findFixed = boxIndex(fixed);
  const written = drawn.filter(({ kind }) => kind === 'text').map(markBounds);
  // Stubs give way to labels.
  const ties = drawn.filter((mark) => mark.layer === 'tie' && !(mark.kind === 'line' && mark.pen.dashes)).map(markBounds);
  const placed = crowd<Rect>();
  const outline = visibleBounds(plan);
  const cellOf = cellFinder(layout.cells);
  /** Whether another hole's marks, as far as `radius` says, are as near to a label as its own hole's. Holes come first in the index. */
  const isDoubtful = (box: Rect, hole: PlannedHole, radius = reachOf) => {
    const gap = distanceToBox(hole.center, box) - radius(hole);
    const wide = grown(box, gap + 1);
    return findFixed(wide).some((at) => {
      const other = holes[at];
      return other !== undefined && other !== hole && distanceToBox(other.center, box) - radius(other) < gap + 1;
    });
  };
  /** The first place whose leader goes past other holes and, if one does, past words and crosses too, at least past words. */
  const placeLedTo = (hole: PlannedHole, places: readonly Rect[]) => {
    const others = fixed.slice(0, holes.length).filter((_, at) => holes[at] !== hole);
    const words = [...written, ...placed.near(grown(boxOf([hole.center]), reachOf(hole) + 2 + furtherOut.most))];
    const doesPass = (box: Rect, blocks: readonly Rect[]) => {
      const { a, b } = leader(box, hole, options);
      return blocks.every((block) => !clipSegment(a, b, block));
    };
    return [[...others, ...words, ...ties], [...others, ...words], others].map((blocks) => places.find((box) => doesPass(box, blocks))).find((box) => box !== undefined);
  };

  const leaders = crowd<Line>();
  const isStruck = (box: Rect) => leaders.near(box).some(({ a, b }) => clipSegment(a, b, box) !== undefined);
  /** Whether a leader from a place goes past other holes, words and labels. */
  const doesLead = (box: Rect, hole: PlannedHole) => {
    const { a, b } = leader(box, hole, options);
    const way = boxOf([a, b]);
    const blocks = findFixed(way).filter((at) => (at < holes.length ? holes[at] !== hole : besides[at - holes.length]?.kind === 'text')).map((at) => fixed[at] as Rect);
    return [...blocks, ...placed.near(way)].every((block) => !clipSegment(a, b, block));
  };
  /** Whether a leader from a place would run through another hole's circles: it would be taken to end there. */
  const doesMislead = (box: Rect, hole: PlannedHole) => {
    const way = leader(box, hole, options);
    return othersNear(boxOf([way.a, way.b]), hole).some((other) => clearanceToSegment(other.center, way).distance < inkRadius(other));
  };
  /** How much further out than `reach` a leader can go some way past other holes, mm: nothing beyond need be looked at. */
  const openReach = (hole: PlannedHole, reach: number) => {
    const { center } = hole;
    let ways = compass;
    let most = 0;
    while (ways.length > 0 && most < furtherOut.most) {
      const far = reach + most;
      const blocks = othersNear(grown(boxOf([center]), far), hole).map((other) => grown(boxOf([other.center]), reachOf(other)));
      ways = ways.filter(({ x, y }) => blocks.every((block) => !clipSegment({ x: center.x + x * inkRadius(hole), y: center.y + y * inkRadius(hole) }, { x: center.x + x * far, y: center.y + y * far }, block)));
      if (ways.length > 0) most += openStep;
    }
    return most;
  };
  /** How far a hole's circles reach, without the ticks outside them. */
  const inkRadius = (hole: PlannedHole) => (options.withoutCircle.has(hole.name) ? reachOf(hole) : Math.max(hole.diameter, partWidth(hole)) / 2);
  const othersNear = (box: Rect, hole: PlannedHole) => findFixed(box).flatMap((at) => (holes[at] && holes[at] !== hole ? [holes[at]] : []));
  const doesTouch = (box: Rect) => {
    const wide = grown(box, labelGap);
    return placed.near(wide).some((other) => sharedArea(wide, other) > 0);
  };
  /** Whether a label lies over another or close by it, over a leader, or over another hole's marks as far as `radius` says. */
  const isOver = (box: Rect, hole: PlannedHole, radius: (other: PlannedHole) => number) =>
    doesTouch(box) || isStruck(box) || othersNear(box, hole).some((other) => distanceToBox(other.center, box) < radius(other));

  return holes.flatMap((hole) => {
    const whole = sized(linesOf(hole), setter);
    // A label belongs on the sheet that shows the hole's centre.
    const cell = cellOf(boxOf([hole.center]));
    const reach = reachOf(hole) + 2;
    const offCost = (box: Rect) => {
      const own = (box.right - box.left) * (box.top - box.bottom);
      return (own - sharedArea(box, outline)) + cutCost * (own - (cell ? sharedArea(box, cell.core) : 0));
    };
    const coverCost = (box: Rect) => {
      const covered = [...findFixed(box).map((at) => fixed[at] as Rect), ...placed.near(box)];
      return covered.reduce((sum, other) => sum + sharedArea(box, other), 0) + offCost(box);
    };
    const cheapest = ({ width, height }: Label, places: readonly Rect[]): Rect => {
      let best = places[0] as Rect;
      let least = Infinity;
      for (const box of places) {
        const cover = coverCost(box);
        if (cover >= least - 1e-6) continue;
        const cost = cover + (isDoubtful(box, hole) ? (width * height) / 5 : 0);
        if (cost < least - 1e-6) [best, least] = [box, cost];
        if (least === 0) break;
      }
      return best;
    };
    const drawLabel = ({ lines }: Label, box: Rect, isLed: boolean) => {
      placed.add(box, box);
      let y = box.top;
      const words = lines.map((line) => {
        y -= line.size * 1.25;
        return text(setter, 'label', { x: box.left, y: y + line.size * 0.3 }, line.words, { size: line.size, weight: line.weight, most: widestLabel });
      });
      if (!isLed) return words;
      const led = leader(box, hole, options);
      leaders.add(boxOf([led.a, led.b]), led);
      return [...words, led];
    };

    const isCut = cell && !isWithin(grown(boxOf([hole.center]), reachOf(hole)), cell.core);
    const within = isCut ? placesWithin(hole, whole.width, whole.height).find((box) => isWithin(box, grown(cell.core, -2))) : undefined;
    if (within) return drawLabel(whole, within, false);
    const best = cheapest(whole, labelPlaces(hole, reach, whole.width, whole.height));
    const isLed = isDoubtful(best, hole);
    if (!isOver(best, hole, reachOf) && !(isLed && doesMislead(best, hole))) {
      // A cross and its words must be seen to be of use: a label goes from them to a free place.
      const isOnTie = ties.some((tie) => sharedArea(best, tie) > 0);
      const free = isOnTie ? placesFurther(hole, reach, whole, (box) => coverCost(box) < 1e-6) : [];
      const led = free.length > 0 ? placeLedTo(hole, free) : undefined;
      return drawLabel(whole, led ?? best, led !== undefined || isLed);
    }

    // Over other marks it would be taken for theirs: a shorter one has room elsewhere, beside its hole or where a leader leads to it.
    const forms = shorterForms(linesOf(hole), options.withoutCircle.has(hole.name)).map((lines) => sized(lines, setter));
    const smallest = forms[forms.length - 1] as Label;
    const isFree = (box: Rect) => coverCost(box) < 1e-6 && !doesTouch(box) && !isStruck(box);
    for (const form of forms) {
      const places = labelPlaces(hole, reach, form.width, form.height).filter(isFree);
      const own = places.find((box) => !isDoubtful(box, hole));
      const beside = own ?? places.find((box) => doesLead(box, hole));
      if (beside) return drawLabel(form, beside, !own);
    }
    const most = openReach(hole, reach);
    const area = grown(boxOf([hole.center]), reach + most + Math.max(...forms.map((form) => Math.max(form.width, form.height))));
    const taken = [...findFixed(area).map((at) => fixed[at] as Rect), ...placed.near(area).map((other) => grown(other, labelGap))];
    const room = cell ? sharedBox(outline, cell.core) : outline;
    const isFreeFurther = (box: Rect) => isWithin(box, room) && taken.every((other) => sharedArea(box, other) === 0) && !isStruck(box) && doesLead(box, hole);
    // Where the smallest finds no place, none does.
    const isOpen = most > 0 && placesFurther(hole, reach, smallest, isFreeFurther, most).length > 0;
    for (const form of isOpen ? forms : []) {
      const [led] = placesFurther(hole, reach, form, isFreeFurther, most);
      if (led) return drawLabel(form, led, true);
    }
    // In the closest crowds its name stands on ticks, close by its circle, or as well as it can.
    const close = labelPlaces(hole, inkRadius(hole) + 1, smallest.width, smallest.height).filter((box) => offCost(box) < 1e-6 && !isOver(box, hole, inkRadius));
    const own = close.find((box) => !isDoubtful(box, hole, inkRadius));
    const last = own ?? close.find((box) => !doesMislead(box, hole)) ?? cheapest(smallest, labelPlaces(hole, reach, smallest.width, smallest.height));
    return drawLabel(smallest, last, !own && isDoubtful(last, hole));
  });
}

interface Label {
  readonly lines: readonly LabelLine[];
  readonly width: number;
  readonly height: number;
}

/** A label with the size of its box, mm. */
function sized(lines: readonly LabelLine[], setter: Typesetter): Label {
  const width = Math.max(...lines.map((line) => Math.min(widestLabel, setter.width(line.words, line.weight) * line.size)));
  return { lines, width, height: lines.reduce((sum, line) => sum + line.size * 1.25, 0) };
}

/** What is left of a label where there is no room for all of it, longest first; the list of holes has the rest. That a hole is refused stays. */
function shorterForms([name, ...rest]: readonly LabelLine[], isRefused: boolean): LabelLine[][] {
  if (!name) return [];
  const size = rest.slice(0, 1).map((line) => (isRefused ? { ...line, words: 'REFUSED' } : line));
  const kept = isRefused ? size : [];
  return [[name, ...size], [name, ...kept], [{ ...name, size: 2.8 }, ...kept]];
}

/** Whether a mark is a rim or joint line, upright or level, that a label can stand beside. */
function isThin(mark: Mark): boolean {
  return mark.kind === 'line' && (mark.layer === 'joint' || mark.layer === 'rim' || mark.layer === 'box') && Math.min(Math.abs(mark.a.x - mark.b.x), Math.abs(mark.a.y - mark.b.y)) < 0.1;
}

function distanceToBox(p: Point, box: Rect): number {
  const { x, y } = nearestOf(box, p);
  return Math.hypot(p.x - x, p.y - y);
}

function nearestOf(box: Rect, { x, y }: Point): Point {
  return { x: Math.min(box.right, Math.max(box.left, x)), y: Math.min(box.top, Math.max(box.bottom, y)) };
}

/** A thin line from a label to the edge of its hole, where it stands far out or else could be taken for another hole's. */
function leader(box: Rect, { center, diameter, name }: PlannedHole, options: DrawOptions): Line {
  const from = nearestOf(box, center);
  const away = Math.hypot(from.x - center.x, from.y - center.y) || 1;
  const share = (options.withoutCircle.has(name) ? saltireArm : diameter / 2 + 0.8) / away;
  return line('label', from, { x: center.x + (from.x - center.x) * share, y: center.y + (from.y - center.y) * share }, pens.leader);
}

/** Places for a label round a hole, best first: right, left, above, below, then the corners, then the same further out. */
function labelPlaces(hole: PlannedHole, reach: number, width: number, height: number): Rect[] {
  const { x, y } = hole.center;
  const box = (left: number, bottom: number) => ({ left, bottom, right: left + width, top: bottom + height });
  return [0, 6, 14].flatMap((further) => {
    const r = reach + further;
    const d = r * 0.75;
    return [
      box(x + r, y + 2), box(x - r - width, y + 2), box(x + r, y - height - 2), box(x - r - width, y - height - 2),
      box(x - width / 2, y + r), box(x - width / 2, y - r - height),
      box(x + d, y + d), box(x - d - width, y + d), box(x + d, y - d - height), box(x - d - width, y - d - height),
    ];
  });
}

/** How much further out than it must be a label may stand where a leader leads to it, and the steps of its places, mm (our choice). */
const furtherOut = { most: 60, step: 2 } as const;

/** The ways that a leader is tried, and by how much it grows, mm (our choice). */
const compass: readonly Point[] = Array.from({ length: 36 }, (_, at) => ({ x: Math.cos((at * Math.PI) / 18), y: Math.sin((at * Math.PI) / 18) }));
const openStep = 6;

/** The places for a label round a hole that are free, the nearest first. */
function placesFurther({ center }: PlannedHole, reach: number, { width, height }: Label, isFree: (box: Rect) => boolean, most: number = furtherOut.most): Rect[] {
  const far = reach + most;
  const corners = lattice({ left: center.x - far - width, right: center.x + far, bottom: center.y - far - height, top: center.y + far }, furtherOut.step);
  const boxes = corners.map(({ x, y }) => ({ left: x, right: x + width, bottom: y, top: y + height }));
  return boxes.map((box) => ({ box, away: distanceToBox(center, box) })).filter(({ box, away }) => away >= reach && away <= far && isFree(box)).sort((a, b) => a.away - b.away).map(({ box }) => box);
}

/** Places for a label inside a circle that is large enough, beside its centre cross; for holes that lie across a seam. */
function placesWithin({ center: { x, y }, diameter }: PlannedHole, width: number, height: number): Rect[] {
  if (Math.hypot(width + 12, height + 6) > diameter / 2 - 2) return [];
  return [x + 12, x - 12 - width].flatMap((left) => [y + 6, y - 6 - height].map((bottom) => ({ left, bottom, right: left + width, top: bottom + height })));
}

/** Things that come one by one, found again by the boxes round them. */
function crowd<Thing>(): { add(box: Rect, thing: Thing): void; near(box: Rect): Thing[] } {
  const side = 40;
  const columns = new Map<number, Map<number, Thing[]>>();
  const spans = ({ left, right, bottom, top }: Rect) => [left, right, bottom, top].map((at) => Math.floor(at / side)) as [number, number, number, number];
  return {
    add: (box, thing) => {
      const [left, right, bottom, top] = spans(box);
      for (let x = left; x <= right; x += 1) {
        const column = columns.get(x) ?? new Map<number, Thing[]>();
        columns.set(x, column);
        for (let y = bottom; y <= top; y += 1) column.set(y, [...(column.get(y) ?? []), thing]);
      }
    },
    near: (box) => {
      const found = new Set<Thing>();
      const [left, right, bottom, top] = spans(box);
      for (let x = left; x <= right; x += 1) {
        for (let y = bottom; y <= top; y += 1) columns.get(x)?.get(y)?.forEach((thing) => found.add(thing));
      }
      return [...found];
    },
  };
}

/** Where a hole lies across a seam: its name, and where its centre is, on the other sheets that show a part of its circle. */
export function partNames(holes: readonly PlannedHole[], { cells, cut }: Layout, setter: Typesetter): Mark[] {
  if (cut.length === 0) return [];
  const find = boxIndex(cells.map(({ core }) => core));
  const cellOf = cellFinder(cells);
  return holes.flatMap((hole) => {
    const { center, diameter, name } = hole;
    const home = cellOf(boxOf([center]));
    return find(grown(boxOf([center]), diameter / 2)).flatMap((at): Mark[] => {
      const cell = cells[at] as Cell;
      const nearest = nearestOf(cell.core, center);
      const gap = Math.hypot(nearest.x - center.x, nearest.y - center.y);
      if (!home || cell === home || gap > diameter / 2 - 18) return [];
      const [dx, dy] = [(nearest.x - center.x) / gap, (nearest.y - center.y) / gap];
      const words = text(setter, 'label', { x: 0, y: 0 }, `${name}, centre on ${home.name}`, { size: 2.6, align: 'center', most: 60 });
      const clamped = (at: number, low: number, high: number) => Math.min(Math.max(at, low), Math.max(low, high));
      const { left, right, bottom, top } = grown(cell.core, -8);
      return [{ ...words, at: { x: clamped(nearest.x + dx * 13, left + words.width / 2, right - words.width / 2), y: clamped(nearest.y + dy * 13, bottom, top) - 0.9 } }];
    });
  });
}

/**
 * Whole marks on every seam between two sheets: each sheet prints the same mark, the cut goes through its middle. Where a
 * seam cuts a hole, two more stand on either side of each place where it meets the circle.
 */
export function alignmentMarks(plan: Plan, holes: readonly PlannedHole[], layout: Layout): Mark[] {
  const size = markSize(layout.format);
  const visible = visibleBounds(plan);
  const find = boxIndex(holes.map(({ center, diameter }) => grown(boxOf([center]), diameter / 2 + 2 * size)));
  const isFree = (place: Point) =>
    find(boxOf([place])).every((index) => {
      const { center, diameter } = holes[index] as PlannedHole;
      return Math.hypot(center.x - place.x, center.y - place.y) > diameter / 2 + 2 * size;
    });
  return seamsOf(layout).flatMap(({ a, b }) => {
    const piece = markedPiece(a, b, visible, size);
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    const at = (share: number) => ({ x: piece[0].x + share * (piece[1].x - piece[0].x), y: piece[0].y + share * (piece[1].y - piece[0].y) });
    const usual = markShares(length).map((share) => {
      const nearby = [0, 1, -1, 2, -2, 3, -3, 5, -5, 7, -7, 10, -10].map((step) => at(Math.min(0.97, Math.max(0.03, share + 0.03 * step))));
      return nearby.find(isFree) ?? at(share);
    });
    const crossed = find(boxOf([a, b])).map((index) => holes[index] as PlannedHole);
    const beside = cutMarks(a, b, crossed, size);
    const clear = usual.filter(({ x, y }) => beside.every((other) => Math.hypot(other.x - x, other.y - y) > 4 * size));
    return [...clear, ...beside].flatMap((place) => alignmentMark(place, size));
  });
}

/** Places beside the points where a seam meets the circles that it cuts. */
function cutMarks(a: Point, b: Point, holes: readonly PlannedHole[], size: number): Point[] {
  const isUpright = a.x === b.x;
  const [low, high] = isUpright ? [a.y, b.y] : [a.x, b.x];
  return holes.flatMap(({ center, diameter }) => {
    const [off, along] = isUpright ? [a.x - center.x, center.y] : [a.y - center.y, center.x];
    const radius = diameter / 2;
    if (Math.abs(off) >= radius) return [];
    const half = Math.sqrt(radius * radius - off * off);
    const beside = half > 3 * size ? [-half - 2 * size, -half + 2 * size, half - 2 * size, half + 2 * size] : [-half - 2 * size, half + 2 * size];
    return beside.map((by) => along + by).filter((place) => place > low + size && place < high - size).map((place) => (isUpright ? { x: a.x, y: place } : { x: place, y: a.y }));
  });
}

/** Arm of an alignment mark, mm: it must be whole within both strips of a seam. */
export function markSize({ overlap }: Layout['format']): number {
  return Math.min(4, overlap / 2 - 0.5);
}

/** The box of the lines that the paper is laid to, in the coordinates of the drilled face. */
export function visibleBounds(plan: Plan): Rect {
  return boxOf(laidOutline(plan));
}

/** The part of a seam that marks and notes stand on: within the lines that the paper is laid to, where it meets them. */
export function markedPiece(a: Point, b: Point, visible: Rect, size: number): readonly [Point, Point] {
  return clipSegment(a, b, grown(visible, -size - 1)) ?? [a, b];
}

/** Where alignment marks stand along a seam of a length (mm), as shares of it. */
export function markShares(length: number): readonly number[] {
  return length < 24 ? [0.5] : length < 160 ? [0.15, 0.85] : [0.12, 0.5, 0.88];
}

/** A square on its tip with a cross through it. */
function alignmentMark({ x, y }: Point, size: number): Mark[] {
  const half = size * 0.6;
  return [
    path('align', [{ x: x + half, y }, { x, y: y + half }, { x: x - half, y }, { x, y: y - half }], pens.align),
    line('align', { x: x - size, y }, { x: x + size, y }, pens.align),
    line('align', { x, y: y - size }, { x, y: y + size }, pens.align),
  ];
}
