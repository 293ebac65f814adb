import { makePanel, rectangle, rectangleNames, sides, sidesOf, type PlacedBox, type Side, type Strips } from '../geometry/panel.ts';
import { boundsOf, edgesOf, insetLine, isInside, selfContact, signedArea, type Point, type Rect } from '../geometry/shape.ts';
import { bounds as holeBounds } from '../spec/fields.ts';
import { shown } from '../spec/problem.ts';
import type { Spec, SpecEntry, SpecPanel } from '../spec/schema.ts';
import { paperByName, usualMargin, type Paper } from '../trade/papers.ts';
import { formatLength, type Unit } from '../trade/units.ts';
import { withPlacesFound } from './best.ts';
import { placeBox } from './box.ts';
import { planHole, tellRepeatedNames, type Path, type Work } from './hole.ts';
import type { Found, Plan, PlannedHole } from './plan.ts';
import { writeOut, type WrittenList } from './written.ts';

const defaultOverlap = 16;

/** A panel to be planned: what the spec says of it, whatever it is part of. */
export interface PanelOf {
  readonly panel: SpecPanel;
  readonly holes: readonly SpecEntry[];
  /** Its holes where they are written out already, in place of the entries. */
  readonly written?: WrittenList;
  /** What was found for those of them whose place was sought. */
  readonly found?: readonly Found[];
  /** Where panel and holes stand in the spec. */
  readonly path: Path;
  readonly holesPath: Path;
  /** Its name in the build; empty where the build is this panel alone. */
  readonly part: string;
  readonly quantity: number;
  readonly standing: string;
  readonly isBoxWall: boolean;
  /** Whether left and right of its holes are exchanged against the spec. */
  readonly isMirrored?: boolean;
}

/** Fills in what the spec leaves out. Undefined where it cannot be planned; why, and what else only the resolved work shows, is among the problems. */
export function planPanel(of: PanelOf, sheets: Spec['sheets'], work: Work): Plan | undefined {
  const { panel: spec, path } = of;
  const { units, source, problems } = work;
  const outline = outlineOf(spec, path, work);
  if (!outline) return undefined;
  const { points, names } = outline;
  const bounds = boundsOf(points);
  const rim = spec.rim ?? {};
  const joints = spec.joints ?? {};
  const strips = (width: (side: Side) => number): Strips => Object.fromEntries(sides.map((side) => [side, width(side)]));
  const datumOf = datumLines(spec, path, points, bounds, work);
  const tellOff = ({ name, rect }: { name: string; rect: Rect }, what: 'area' | 'box', at: Path) => {
    const misses = rect.right <= bounds.left || rect.left >= bounds.right || rect.top <= bounds.bottom || rect.bottom >= bounds.top;
    if (misses) problems.push(source.problem(at, `the ${what} ${shown(name)} lies wholly off the panel`, `${what === 'area' ? 'an area' : 'a box'} on the panel of ${sizeText(bounds, units)}`, 'check its distances and their units'));
  };

  const keepClear = (spec['keep-clear'] ?? []).map((area, index) => {
    const at = [...path, 'keep-clear', index];
    const left = area['from-left'] !== undefined ? datumOf('left', at) + area['from-left'] : datumOf('right', at) - (area['from-right'] ?? 0) - area.width;
    const top = area['from-top'] !== undefined ? datumOf('top', at) - area['from-top'] : datumOf('bottom', at) + (area['from-bottom'] ?? 0) + area.height;
    const rect = { left, right: left + area.width, top, bottom: top - area.height };
    const planned = { name: area.name, rect };
    tellOff(planned, 'area', at);
    return planned;
  });
  const list = of.written ?? writeOut(of.holes, of.holesPath, (axis, at) => (axis === 'across' ? datumOf('right', at) - datumOf('left', at) : datumOf('top', at) - datumOf('bottom', at)), work);
  const count = (spec.boxes ?? []).reduce((sum, { box }) => sum + (work.boxes.get(box)?.list.holes.length ?? 0), list.holes.length);
  if (count > holeBounds.holes) {
    problems.push(source.problem([...path, 'boxes'], `the panel has ${count} holes with those of its boxes`, `at most ${holeBounds.holes} holes on a panel`, 'check the counts of holes and boxes'));
    return undefined;
  }
  const placed = (spec.boxes ?? []).flatMap((placement, index) => {
    const at = [...path, 'boxes', index];
    const box = placeBox(placement, at, datumOf, spec, work);
    if (box) tellOff(box.place, 'box', at);
    return box ? [box] : [];
  });
  tellRepeatedNames((spec.boxes ?? []).map(({ box, name = box }, entry) => ({ name, entry, isAlone: true, keysPath: [...path, 'boxes', entry] })), 'box', work);

  const panel = makePanel({
    material: spec.material,
    thickness: spec.thickness,
    outline: points,
    names,
    rim: strips((side) => Math.max(0, rim[side] ?? 0)),
    joints: strips((side) => Math.max(0, (joints[side]?.panel ?? 0) + (joints[side]?.sealant ?? 0))),
    keepClear,
    boxes: placed.map(({ place }): PlacedBox => place),
    water: spec['water-from-top'] === undefined ? null : bounds.top - spec['water-from-top'],
    room: { outside: spec.room?.outside ?? null, inside: spec.room?.inside ?? null },
    placement: work.placement,
  });
  if (panel.thickness >= panel.narrowest) {
    problems.push(source.problem([...path, 'thickness'], `${formatLength(panel.thickness, units)} is no less than the panel's width of ${formatLength(panel.narrowest, units)}`, 'a panel that is thinner than it is wide', 'check the units of both'));
  }

  const told = new Set<number>();
  const own = list.holes.flatMap((written): PlannedHole[] => {
    const { hole, entry, path: at } = written;
    const planned = planHole(written, datumOf, { material: spec.material, thickness: spec.thickness }, work);
    if (!planned) return [];
    if (hole.place === undefined && !told.has(entry) && !isInside(planned.center, points)) {
      told.add(entry);
      const { x, y } = planned.center;
      problems.push(source.problem(at, `${shown(hole.name)} has its centre off the panel, ${formatLength(x - bounds.left, units)} from the left and ${formatLength(y - bounds.bottom, units)} from the bottom edge`, `a centre on the panel of ${sizeText(bounds, units)}`, 'check its distances and their units'));
    }
    // A box's wall is checked for room; the stack is checked on the panel that it stands on.
    const here = { ...planned, from: { ...planned.from, isMirrored: of.isMirrored ?? false } };
    return [of.isBoxWall ? { ...here, grip: undefined } : here];
  });
  tellRepeatedNames(list.holes.map((written) => ({ ...written, name: written.hole.name })), 'hole', work);
  const planned = [...own, ...withOwnNames(own, placed)];
  if (problems.length === 0) tellSharedNames(placed.map(({ place }) => place), planned, [...path, 'boxes'], work);
  if (problems.length > 0) return undefined;
  const settled = withPlacesFound(planned, list.holes, panel, bounds, datumOf, work);
  if (!settled) return undefined;

  const lineOf = (strip: 'rim' | 'joint') => (panel.edges.some((edge) => edge[strip] > 0) ? insetLine(points, panel.edges.map((edge) => edge[strip])) : null);
  return {
    title: of.part ? `${of.part} · ${work.title}` : work.title,
    part: of.part,
    quantity: of.quantity,
    units,
    face: spec['drilled-from'],
    panel,
    bounds,
    measuredFrom: spec['measured-from'],
    datum: { left: datumOf('left'), right: datumOf('right'), top: datumOf('top'), bottom: datumOf('bottom') },
    rimLine: lineOf('rim'),
    jointLine: lineOf('joint'),
    holes: settled.holes,
    spacings: list.spacings,
    found: [...(of.found ?? []), ...settled.found],
    isBoxWall: of.isBoxWall,
    standing: of.standing,
    sheets: {
      paper: sheets?.paper ?? (paperByName(units === 'in' ? 'Letter' : 'A4') as Paper),
      overlap: sheets?.overlap ?? defaultOverlap,
      margin: sheets?.margin ?? usualMargin,
      orientation: sheets?.orientation,
      isOnFarFace: sheets?.['lies-on'] === 'far-face',
      printer: null,
    },
  };
}

/** The holes of boxes; a name that another hole or a box of the panel has too gets its box's name before it. */
function withOwnNames(own: readonly PlannedHole[], placed: readonly { readonly place: PlacedBox; readonly holes: readonly PlannedHole[] }[]): PlannedHole[] {
  const count = countOfNames([...own, ...placed.flatMap(({ place, holes }) => [place, ...holes])]);
  const isTaken = (name: string) => (count.get(name) ?? 0) > 1;
  return placed.flatMap(({ place, holes }) => holes.map((hole) => (isTaken(hole.name) ? { ...hole, name: `${place.name} ${hole.name}` } : hole)));
}

function countOfNames(all: readonly { readonly name: string }[]): Map<string, number> {
  const count = new Map<string, number>();
  for (const { name } of all) count.set(name, (count.get(name) ?? 0) + 1);
  return count;
}

/** Tells boxes that have the name of a hole, or whose holes still have the name of another: a verdict must say of which it speaks. */
function tellSharedNames(boxes: readonly PlacedBox[], holes: readonly PlannedHole[], path: Path, { source, problems }: Work): void {
  const count = countOfNames(holes);
  for (const [index, box] of boxes.entries()) {
    const isShared = (hole: PlannedHole) => hole.name === box.name || (hole.box === box.name && (count.get(hole.name) ?? 0) > 1);
    const shared = holes.find(isShared);
    if (shared) problems.push(source.problem([...path, index, 'name'], `${shown(shared.name)} would be the name of two: of ${shared.name === box.name ? 'this box' : 'a hole of this box'} and of another hole`, 'a name of its own for each box and hole of a panel', 'rename the hole, or give the box a name of its own with name'));
  }
}

function sizeText(bounds: Rect, units: Unit): string {
  return `${formatLength(bounds.right - bounds.left, units)} by ${formatLength(bounds.top - bounds.bottom, units)}`;
}

/**
 * The outline counter-clockwise with its bounds at the origin, and the names of its edges and corners: an edge that
 * alone looks to a side is named after it, the others after the numbers of their points in the spec.
 */
function outlineOf(panel: SpecPanel, path: Path, { source, problems }: Work) {
  if (!panel.outline) return { points: rectangle(panel.width as number, panel.height as number), names: rectangleNames };

  const given = panel.outline.map(([x, y], index) => ({ x, y, number: index + 1 }));
  const [first, last] = [given[0], given[given.length - 1]];
  const isClosed = given.length > 3 && first && last && first.x === last.x && first.y === last.y;
  const ring = isClosed ? given.slice(0, -1) : given;
  const accepted = 'the corners in order round the panel, each once, with no crossing edges';
  const repeated = ring.findIndex((p, index) => ring.some((q, other) => other < index && p.x === q.x && p.y === q.y));
  if (repeated >= 0) {
    problems.push(source.problem([...path, 'outline', repeated], `point ${repeated + 1} stands where an earlier point stands`, accepted, 'remove one of them'));
    return undefined;
  }
  const contact = selfContact(ring);
  if (contact) {
    const edge = (index: number) => `${index + 1}-${((index + 1) % ring.length) + 1}`;
    problems.push(source.problem([...path, 'outline'], `its edges ${edge(contact[0])} and ${edge(contact[1])} cross or touch`, accepted, 'check the order of the points'));
    return undefined;
  }
  const { left, bottom } = boundsOf(ring);
  const counterClockwise = signedArea(ring) > 0 ? ring : [...ring].reverse();
  const numbers = counterClockwise.map((point) => point.number);
  const sidesOfEdges = edgesOf(counterClockwise).map(sidesOf);
  const soleSide = (index: number) => {
    const [side, ...more] = sidesOfEdges[index] ?? [];
    return more.length === 0 && sidesOfEdges.filter((others) => others.length === 1 && others[0] === side).length === 1 ? side : undefined;
  };
  return {
    points: counterClockwise.map(({ x, y }) => ({ x: x - left, y: y - bottom })),
    names: {
      edges: numbers.map((number, index) => (soleSide(index) ? `${soleSide(index)} edge` : `edge ${number}-${numbers[(index + 1) % numbers.length]}`)),
      corners: numbers.map((number) => `corner ${number}`),
    },
  };
}

/**
 * Where the line lies that distances from a side are measured from. Where they start at a rim or an inner face, the
 * strip on that side must be given, and the side must have a straight edge that a tape can hook on.
 */
function datumLines(panel: SpecPanel, panelPath: Path, points: readonly Point[], bounds: Rect, { source, problems }: Work): (side: Side, path?: Path) => number {
  const called = panelPath.join('.');
  const measuredFrom = panel['measured-from'];
  const inwards = (side: Side) => (side === 'left' || side === 'bottom' ? 1 : -1);
  const isStraight = (side: Side) =>
    edgesOf(points).some((edge) => sidesOf(edge).includes(side) && [edge.a, edge.b].every((p) => Math.abs((side === 'left' || side === 'right' ? p.x : p.y) - bounds[side]) < 1e-6));
  const told = new Set<Side>();
  return (side, path) => {
    if (measuredFrom === 'edges') return bounds[side];
    const [group, width] = measuredFrom === 'rim' ? (['rim', panel.rim?.[side]] as const) : (['joints', panel.joints?.[side]?.panel] as const);
    const start = measuredFrom === 'rim' ? "the rim's visible line" : 'the inner face of the neighbouring panels';
    if (path && width === undefined && !told.has(side)) {
      told.add(side);
      problems.push(source.problem(path, `distances are measured from ${start}, but ${called}.${group} has no ${side}`, `${called}.${group}.${side}, 0 if there is none on that side`, `add ${side} under ${called}.${group}, or measure from the edges`));
    }
    if (path && !isStraight(side) && !told.has(side)) {
      told.add(side);
      problems.push(source.problem(path, `distances are measured from ${start}, but the panel has no straight ${side} edge`, 'measured-from: edges for such an outline', 'measure from the edges'));
    }
    return bounds[side] + inwards(side) * (width ?? 0);
  };
}
