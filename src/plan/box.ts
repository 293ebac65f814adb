import type { PlacedBox, Side } from '../geometry/panel.ts';
import { meant, shown } from '../spec/problem.ts';
import type { PlacedBoxSpec, SpecBox, SpecPanel } from '../spec/schema.ts';
import { betweenGasket, planHole, type Path, type Work } from './hole.ts';
import type { PanelOf } from './panel.ts';
import type { Found, Offset, Plan, PlannedHole } from './plan.ts';
import { unplaced, writeOut, type Axis, type SoleHole, type WrittenHole, type WrittenList } from './written.ts';

/** A box with its holes written out, and what was found for those whose place was sought. */
export interface WrittenBox extends Omit<SpecBox, 'holes'> {
  readonly list: WrittenList;
  readonly found: readonly Found[];
}

/** Thickness of a box's back wall, mm. */
export const backOf = (box: Pick<SpecBox, 'back' | 'wall'>) => box.back ?? box.wall;

/** What a box's back wall is called in its build. */
export const wallPart = (box: string) => `${box}, back wall`;

/**
 * A box on a panel, and its holes in the panel's coordinates. A box's holes are seen from outside, as the panel's are, so
 * the pattern is written once and serves both.
 * @returns undefined where no box has that name, which is then among the problems
 */
export function placeBox(placement: PlacedBoxSpec, path: Path, datumOf: (side: Side, path?: Path) => number, panel: SpecPanel, work: Work): { place: PlacedBox; holes: readonly PlannedHole[] } | undefined {
  const box = work.boxes.get(placement.box);
  if (!box) {
    const known = [...work.boxes.keys()];
    const guess = meant(placement.box, known);
    work.problems.push(work.source.problem([...path, 'box'], `unknown box ${shown(placement.box)}`, known.length > 0 ? known.slice(0, 12).join(', ') : 'a box named under boxes', guess ? `did you mean ${guess}?` : 'write the box under boxes'));
    return undefined;
  }
  const { width, height } = box;
  const [fromLeft, fromRight, fromTop] = [placement['from-left'], placement['from-right'], placement['from-top']];
  const left =
    fromLeft !== undefined ? datumOf('left', path) + fromLeft
    : fromRight !== undefined ? datumOf('right', path) - fromRight - width
    : (datumOf('left', path) + datumOf('right', path) - width) / 2 + (placement['from-center-x'] ?? 0);
  const bottom = fromTop !== undefined ? datumOf('top', path) - fromTop - height : datumOf('bottom', path) + (placement['from-bottom'] ?? 0);
  const rect = { left, right: left + width, bottom, top: bottom + height };
  const name = placement.name ?? placement.box;
  const crest = box['weir-from-top'] === undefined ? null : rect.top - box['weir-from-top'];

  const datumOfBox = (side: Side) => rect[side] + inset(box, side);
  const [xSide, ySide] = [fromRight !== undefined ? 'right' : 'left', fromTop !== undefined ? 'top' : 'bottom'] as const;
  const from = (side: Side, at: number): Offset => ({ from: side, mm: side === 'left' || side === 'bottom' ? at - datumOf(side, path) : datumOf(side, path) - at });
  const holes = box.list.holes.flatMap((written): PlannedHole[] => {
    const planned = planHole(written, datumOfBox, { material: panel.material, thickness: panel.thickness, wall: backOf(box) }, work);
    if (!planned) return [];
    // On the face where the box stands, the fitting stands out of the box's wall, with a gasket between that and the panel.
    const out = planned.standsOut?.[box.stands] ?? null;
    const standsOut = { outside: null, inside: null, ...planned.standsOut, [box.stands]: out === null ? null : out + backOf(box) + betweenGasket(planned.size) };
    return [{ ...planned, box: name, inWall: { part: wallPart(placement.box), name: written.hole.name }, standsOut, offsets: [from(xSide, planned.center.x), from(ySide, planned.center.y)] }];
  });
  return { place: { name, rect, wall: backOf(box), crest, stands: box.stands }, holes };
}

/** How far inwards of the box's outside distances from a side start, mm, with the sign of the way inwards. */
function inset(box: Pick<SpecBox, 'measured-from' | 'wall'>, side: Side): number {
  if (box['measured-from'] === 'edges' || side === 'top') return 0;
  return side === 'left' || side === 'bottom' ? box.wall : -box.wall;
}

/**
 * A box's back wall as a panel of its own. Its outside is the face that lies against the panel: one looks at it from
 * outside the tank where the box stands inside, and from within the tank, left and right exchanged, where it stands outside.
 */
export function backWall(name: string, box: WrittenBox, quantity: number): PanelOf {
  const path = ['boxes', name];
  const { wall, width, height } = box;
  const beside = { panel: wall, sealant: box.sealant ?? 0 };
  const isMirrored = box.stands === 'outside';
  return {
    panel: {
      material: box.material,
      width,
      height,
      thickness: backOf(box),
      'drilled-from': box['drilled-from'],
      'measured-from': box['measured-from'],
      joints: { top: { panel: 0, sealant: 0 }, left: beside, right: beside, bottom: beside },
      'keep-clear': isMirrored ? box['keep-clear']?.map(mirrored) : box['keep-clear'],
    },
    holes: [],
    written: isMirrored ? { ...box.list, holes: box.list.holes.map(mirroredWritten) } : box.list,
    found: box.found,
    path,
    holesPath: [...path, 'holes'],
    part: wallPart(name),
    quantity,
    standing: `Outside is the face that lies against the panel; ${isMirrored ? 'the box stands outside the tank, so left and right are exchanged against the spec: where a fix says left, move the hole right in the spec' : 'the box stands inside the tank, so left and right are those of the spec'}.`,
    isBoxWall: true,
    isMirrored,
  };
}

/** The same as seen from the other side: left and right exchanged. */
function mirrored<T extends { 'from-left'?: number | undefined; 'from-right'?: number | undefined }>({ 'from-left': left, 'from-right': right, ...rest }: T): T {
  return { ...rest, ...(right === undefined ? {} : { 'from-left': right }), ...(left === undefined ? {} : { 'from-right': left }) } as T;
}

function mirroredWritten(written: WrittenHole): WrittenHole {
  return { ...written, hole: mirroredHole(written.hole) };
}

function mirroredHole(hole: SoleHole): SoleHole {
  const { 'from-center-x': center, within } = hole;
  return { ...mirrored(hole), ...(center === undefined ? {} : { 'from-center-x': -center }), ...(within ? { within: mirrored(within) } : {}) };
}

/** Writes a box's holes out. Those whose place is sought keep seeking it. */
export function writeBox(name: string, { holes, ...box }: SpecBox, work: Work): WrittenBox {
  const lengthAlong = (axis: Axis) => (axis === 'across' ? box.width + inset(box, 'right') - inset(box, 'left') : box.height + inset(box, 'top') - inset(box, 'bottom'));
  return { ...box, list: writeOut(holes, ['boxes', name, 'holes'], lengthAlong, work), found: [] };
}

/** The box with its sought holes where they were found on its back wall, which is planned by itself for that: the panels behind it have no say. */
export function settledBox(box: WrittenBox, wall: Plan): WrittenBox {
  const holes = box.list.holes.map((written, index): WrittenHole => {
    const planned = wall.holes[index];
    if (written.hole.place === undefined || !planned) return written;
    const { place: _place, within: _within, ...hole } = written.hole;
    const at = Object.fromEntries(planned.offsets.map(({ from, mm }) => [`from-${from}`, mm]));
    return { ...written, hole: { ...hole, ...unplaced, ...(box.stands === 'outside' ? mirrored(at) : at) } };
  });
  return { ...box, list: { ...box.list, holes }, found: wall.found };
}
