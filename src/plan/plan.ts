import type { Hole, Panel, Side, Strips } from '../geometry/panel.ts';
import { makePanel, rectangle, rectangleNames, sides, sidesOf } from '../geometry/panel.ts';
import { boundsOf, edgesOf, insetLine, isInside, selfContact, signedArea, type Point, type Rect } from '../geometry/shape.ts';
import type { PrinterProfile } from './printer.ts';
import { meant, shown, type Problem } from '../spec/problem.ts';
import { inOrder, readSpec, type Source } from '../spec/read.ts';
import type { Spec, SpecFitting, SpecHole } from '../spec/schema.ts';
import { diameterToBuy } from '../trade/bits.ts';
import { typicalFitting, typicalFittings } from '../trade/fittings.ts';
import { paperByName, usualMargin, type Paper } from '../trade/papers.ts';
import { formatLength, type Unit } from '../trade/units.ts';

export type { Point, Rect } from '../geometry/shape.ts';

/** A distance as a person sets it out: from one of the lines that distances are measured from, mm. */
export interface Offset {
  readonly from: Side;
  readonly mm: number;
}

export interface PlannedHole extends Hole {
  /** Distances of the center from two lines, as the spec gives them; from the nearer line where it measures from the middle. */
  readonly offsets: readonly [Offset, Offset];
  /** Name of the fitting; undefined for a plain diameter. */
  readonly fitting: string | undefined;
  /** Whether the fitting's values are typical ones, so that the fitting in hand must be measured. */
  readonly isTypical: boolean;
  /** The bit to drill it with. */
  readonly bit: HoleBit;
  /** Name of the box whose back wall is drilled with this hole too; null where the hole goes through the panel alone. */
  readonly box: string | null;
  /** What is joined to the fitting on each side of the panel. */
  readonly joined: { readonly outside: Connection; readonly inside: Connection };
}

/** The bit for a hole. */
export interface HoleBit {
  readonly kind: 'diamond core bit' | 'hole saw';
  /** Outside diameter, mm: the drilling circle. */
  readonly diameter: number;
  /** Whether it is among the bits at hand; null where the spec lists none. */
  readonly isAtHand: boolean | null;
}

/** What is joined to a fitting. */
export const connections = ['nothing', 'pipe', 'elbow'] as const;
export type Connection = (typeof connections)[number];

/** A box that stands on a panel and is drilled with it, as seen from outside, in the panel's coordinates. */
export interface PlacedBox {
  readonly name: string;
  /** The outside of its back wall. */
  readonly rect: Rect;
  /** Thickness of its back wall, mm. */
  readonly wall: number;
  /** Height of its weir's crest over the panel's lower edge, mm; null where the spec does not say. */
  readonly crest: number | null;
  /** The face of the panel that it stands on. */
  readonly stands: 'inside' | 'outside';
}

/**
 * The work, resolved: every length in mm, every position in one system, as seen from outside: origin at the lower
 * left corner of the panel's bounds, x to the right, y upwards. What lies on the inside face is mirrored when it is
 * drawn, not here, so that the words of findings and the spec mean the same left and right.
 */
export interface Plan {
  /** Title of the work, with the panel's name where the work has several. */
  readonly title: string;
  /** Name of the panel in its build; empty where the build is this panel alone. */
  readonly part: string;
  /** How many are made alike. */
  readonly quantity: number;
  readonly units: Unit;
  readonly face: 'outside' | 'inside';
  readonly panel: Panel;
  readonly bounds: Rect;
  readonly measuredFrom: 'edges' | 'rim' | 'inside';
  /** The lines that distances are measured from. */
  readonly datum: Rect;
  /** The visible line of the rim and the line of the joints, closed; null where the panel has none. */
  readonly rimLine: readonly Point[] | null;
  readonly jointLine: readonly Point[] | null;
  readonly holes: readonly PlannedHole[];
  readonly boxes: readonly PlacedBox[];
  /** Height of the water over the panel's lower edge, mm; null where the spec does not say. */
  readonly water: number | null;
  /** Free room from each face to the wall, the stand or what else is there, mm; null where the spec does not say. */
  readonly room: { readonly outside: number | null; readonly inside: number | null };
  /** How the panel stands in its tank, in words: "Left edge: the tank's back."; empty for a panel by itself. */
  readonly standing: string;
  readonly sheets: {
    readonly paper: Paper;
    readonly overlap: number;
    readonly margin: number;
    readonly orientation: 'portrait' | 'landscape' | undefined;
    /** Whether the jig is taped to the face that is not drilled, and read through the panel. */
    readonly isOnFarFace: boolean;
    /** The printer's own error, to be undone; null where it is not known. */
    readonly printer: PrinterProfile | null;
  };
}

/** A plan, and where in its text things stand. */
export interface PlanOfText {
  readonly plan: Plan;
  readonly source: Source;
}

export type PlanReading = PlanOfText | { readonly problems: readonly Problem[] };

const defaultOverlap = 16;

/** Reads a spec's text into a plan, or all that is wrong with it. Pure; never throws. */
export function readPlan(text: string): PlanReading {
  const reading = readSpec(text);
  if ('problems' in reading) return reading;
  return makePlan(reading.spec, reading.units, reading.source);
}

/** Fills in what the spec leaves out. Problems that only the resolved work shows are told with their place. */
function makePlan(spec: Spec, units: Unit, source: Source): PlanReading {
  const problems: Problem[] = [];
  const outline = outlineOf(spec.panel, source, problems);
  if (!outline) return { problems };
  const { points, names } = outline;
  const bounds = boundsOf(points);
  const rim = spec.panel.rim ?? {};
  const joints = spec.panel.joints ?? {};
  const strips = (width: (side: Side) => number): Strips => Object.fromEntries(sides.map((side) => [side, width(side)]));
  const datumOf = datumLines(spec.panel, points, bounds, source, problems);

  const keepClear = (spec.panel['keep-clear'] ?? []).flatMap((area, index) => {
    const path = ['panel', 'keep-clear', index];
    const left = area['from-left'] !== undefined ? datumOf('left', path) + area['from-left'] : datumOf('right', path) - (area['from-right'] ?? 0) - area.width;
    const top = area['from-top'] !== undefined ? datumOf('top', path) - area['from-top'] : datumOf('bottom', path) + (area['from-bottom'] ?? 0) + area.height;
    const rect = { left, right: left + area.width, top, bottom: top - area.height };
    const misses = rect.right <= bounds.left || rect.left >= bounds.right || rect.top <= bounds.bottom || rect.bottom >= bounds.top;
    if (misses) problems.push(source.problem(path, `the area ${shown(area.name)} lies wholly off the panel`, `an area on the panel of ${sizeText(bounds, units)}`, 'check its distances and their units'));
    return [{ name: area.name, rect }];
  });

  const panel = makePanel({
    material: spec.panel.material,
    thickness: spec.panel.thickness,
    outline: points,
    names,
    rim: strips((side) => rim[side] ?? 0),
    joints: strips((side) => (joints[side]?.panel ?? 0) + (joints[side]?.sealant ?? 0)),
    keepClear,
  });
  if (panel.thickness >= panel.narrowest) {
    problems.push(source.problem(['panel', 'thickness'], `${formatLength(panel.thickness, units)} is no less than the panel's width of ${formatLength(panel.narrowest, units)}`, 'a panel that is thinner than it is wide', 'check the units of both'));
  }

  const holes = spec.holes.flatMap((hole, index) => {
    const planned = planHole(hole, index, spec, units, datumOf, source, problems);
    if (!planned) return [];
    if (!isInside(planned.center, points)) {
      const { x, y } = planned.center;
      problems.push(source.problem(['holes', index], `${shown(hole.name)} has its centre off the panel, ${formatLength(x - bounds.left, units)} from the left and ${formatLength(y - bounds.bottom, units)} from the bottom edge`, `a centre on the panel of ${sizeText(bounds, units)}`, 'check its distances and their units'));
    }
    return [planned];
  });
  tellRepeatedNames(spec.holes, source, problems);
  if (problems.length > 0) return { problems: inOrder(problems) };

  const lineOf = (strip: 'rim' | 'joint') => (panel.edges.some((edge) => edge[strip] > 0) ? insetLine(points, panel.edges.map((edge) => edge[strip])) : null);
  return {
    source,
    plan: {
      title: spec.title,
      part: '',
      quantity: 1,
      units,
      face: spec.panel['drilled-from'],
      panel,
      bounds,
      measuredFrom: spec.panel['measured-from'],
      datum: { left: datumOf('left'), right: datumOf('right'), top: datumOf('top'), bottom: datumOf('bottom') },
      rimLine: lineOf('rim'),
      jointLine: lineOf('joint'),
      holes,
      boxes: [],
      water: null,
      room: { outside: null, inside: null },
      standing: '',
      sheets: {
        paper: spec.sheets?.paper ?? (paperByName(units === 'in' ? 'Letter' : 'A4') as Paper),
        overlap: spec.sheets?.overlap ?? defaultOverlap,
        margin: spec.sheets?.margin ?? usualMargin,
        orientation: spec.sheets?.orientation,
        isOnFarFace: spec.sheets?.['lies-on'] === 'far-face',
        printer: null,
      },
    },
  };
}

function sizeText(bounds: Rect, units: Unit): string {
  return `${formatLength(bounds.right - bounds.left, units)} by ${formatLength(bounds.top - bounds.bottom, units)}`;
}

/**
 * The outline counter-clockwise with its bounds at the origin, and the names of its edges and corners: an edge that
 * alone looks to a side is named after it, the others after the numbers of their points in the spec.
 */
function outlineOf(panel: Spec['panel'], source: Source, problems: Problem[]) {
  if (!panel.outline) return { points: rectangle(panel.width as number, panel.height as number), names: rectangleNames };

  const path = ['panel', 'outline'];
  const given = panel.outline.map(([x, y], index) => ({ x, y, number: index + 1 }));
  const [first, last] = [given[0], given[given.length - 1]];
  const isClosed = given.length > 3 && first && last && first.x === last.x && first.y === last.y;
  const ring = isClosed ? given.slice(0, -1) : given;
  const accepted = 'the corners in order round the panel, each once, with no crossing edges';
  const repeated = ring.findIndex((p, index) => ring.some((q, other) => other < index && p.x === q.x && p.y === q.y));
  if (repeated >= 0) {
    problems.push(source.problem([...path, repeated], `point ${repeated + 1} stands where an earlier point stands`, accepted, 'remove one of them'));
    return undefined;
  }
  const contact = selfContact(ring);
  if (contact) {
    const edge = (index: number) => `${index + 1}-${((index + 1) % ring.length) + 1}`;
    problems.push(source.problem(path, `its edges ${edge(contact[0])} and ${edge(contact[1])} cross or touch`, accepted, 'check the order of the points'));
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
function datumLines(panel: Spec['panel'], points: readonly Point[], bounds: Rect, source: Source, problems: Problem[]): (side: Side, path?: readonly (string | number)[]) => number {
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
      problems.push(source.problem(path, `distances are measured from ${start}, but panel.${group} has no ${side}`, `panel.${group}.${side}, 0 if there is none on that side`, `add ${side} under panel.${group}, or measure from the edges`));
    }
    if (path && !isStraight(side) && !told.has(side)) {
      told.add(side);
      problems.push(source.problem(path, `distances are measured from ${start}, but the panel has no straight ${side} edge`, 'measured-from: edges for such an outline', 'measure from the edges'));
    }
    return bounds[side] + inwards(side) * (width ?? 0);
  };
}

function planHole(hole: SpecHole, index: number, spec: Spec, units: Unit, datumOf: (side: Side, path?: readonly (string | number)[]) => number, source: Source, problems: Problem[]): PlannedHole | undefined {
  const path = ['holes', index];
  const fitting = fittingOf(hole, spec, units, [...path, 'fitting'], source, problems);
  if (!fitting) return undefined;
  const across = along(hole['from-left'], hole['from-right'], hole['from-center-x'], 'left', 'right', (side) => datumOf(side, path));
  const up = along(hole['from-bottom'], hole['from-top'], hole['from-center-y'], 'bottom', 'top', (side) => datumOf(side, path));
  const bit = { kind: spec.panel.material === 'acrylic' ? 'hole saw' : 'diamond core bit', diameter: fitting.diameter, isAtHand: null } as const;
  return { name: hole.name, center: { x: across.at, y: up.at }, offsets: [across.offset, up.offset], ...fitting, bit, box: null, joined: { outside: 'nothing', inside: 'nothing' } };
}

/** A coordinate from the one distance that is given, and the offset to set it out by. */
function along(low: number | undefined, high: number | undefined, middle: number | undefined, lowSide: Side, highSide: Side, datumOf: (side: Side) => number): { at: number; offset: Offset } {
  if (low !== undefined) return { at: datumOf(lowSide) + low, offset: { from: lowSide, mm: low } };
  if (high !== undefined) return { at: datumOf(highSide) - high, offset: { from: highSide, mm: high } };
  const [start, end] = [datumOf(lowSide), datumOf(highSide)];
  const at = (start + end) / 2 + (middle ?? 0);
  return { at, offset: at - start <= end - at ? { from: lowSide, mm: at - start } : { from: highSide, mm: end - at } };
}

/** The drilling diameter and the parts around it. */
function fittingOf(hole: SpecHole, spec: Spec, units: Unit, path: readonly (string | number)[], source: Source, problems: Problem[]): Pick<PlannedHole, 'diameter' | 'flange' | 'nut' | 'grip' | 'fitting' | 'isTypical'> | undefined {
  if (hole.diameter !== undefined) return { diameter: hole.diameter, fitting: undefined, isTypical: false };
  const sized = (fitting: SpecFitting, name: string, isTypical: boolean) => ({
    diameter: diameterToBuy(fitting.hole, units),
    flange: fitting.flange,
    nut: fitting.nut,
    grip: fitting.grip,
    fitting: name,
    isTypical,
  });
  if (typeof hole.fitting === 'object') return sized(hole.fitting, 'own fitting', false);
  const name = hole.fitting as string;
  const own = Object.hasOwn(spec.fittings ?? {}, name) ? spec.fittings?.[name] : undefined;
  if (own) return sized(own, name, false);
  const typical = typicalFitting(name);
  if (typical) return sized(typical.size as SpecFitting, typical.name, true);
  const known = [...Object.keys(spec.fittings ?? {}), ...typicalFittings.keys()];
  const guess = meant(name, known);
  problems.push(source.problem(path, `unknown fitting ${shown(name)}`, `${known.slice(0, 12).join(', ')}, or a group with hole, flange, nut, grip`, guess ? `did you mean ${guess}?` : 'measure the fitting and write it under fittings'));
  return undefined;
}

function tellRepeatedNames(holes: readonly SpecHole[], source: Source, problems: Problem[]): void {
  const first = new Map<string, number>();
  for (const [index, { name }] of holes.entries()) {
    const earlier = first.get(name);
    if (earlier === undefined) first.set(name, index);
    else problems.push(source.problem(['holes', index, 'name'], `${shown(name)} is also the name of hole ${earlier + 1}`, 'a name of its own for each hole', `rename one, for example ${shown(`${name} 2`)}`));
  }
}
