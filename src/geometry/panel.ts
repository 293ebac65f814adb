import type { Material } from '../trade/limits.ts';
import { widestCorner } from '../trade/limits.ts';
import { edgesOf, interiorAngles, leftNormal, narrowestWidth, type Point, type Rect, type Segment } from './shape.ts';

/** One side of a panel's outline, with the strips along it. Widths in mm, 0 where there is none. */
export interface Edge extends Segment {
  readonly name: string;
  /** Width of the strip covered by a rim. */
  readonly rim: number;
  /** Width of the strip taken by a neighbouring panel and its sealant. */
  readonly joint: number;
}

export interface Corner {
  readonly name: string;
  readonly at: Point;
}

/** An area that nothing may enter. */
export interface KeepClear {
  readonly name: string;
  readonly rect: Rect;
}

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

/** A panel as seen from outside, lower left corner of its bounds at the origin. */
export interface Panel {
  readonly material: Material;
  readonly thickness: number;
  /** Counter-clockwise. */
  readonly outline: readonly Point[];
  readonly edges: readonly Edge[];
  /** Those that are corners to the check. */
  readonly corners: readonly Corner[];
  /** Names of all points of the outline. */
  readonly cornerNames: readonly string[];
  readonly keepClear: readonly KeepClear[];
  readonly boxes: readonly PlacedBox[];
  /** Height of the water over the panel's lower edge; null where it is not known. */
  readonly water: number | null;
  /** Free room from each face to what is behind it; null where it is not known. */
  readonly room: { readonly outside: number | null; readonly inside: number | null };
  /** Least width of the panel in any direction. */
  readonly narrowest: number;
  /** How far from its place a hole may be drilled, mm: taken off all that is measured from a hole. */
  readonly placement: number;
}

/** A round opening and the parts that will sit around it. */
export interface Hole {
  readonly name: string;
  readonly center: Point;
  readonly diameter: number;
  readonly flange?: number | undefined;
  /** Across corners. */
  readonly nut?: number | undefined;
  /** Stack that the fitting clamps. */
  readonly grip?: { readonly min: number; readonly max: number } | undefined;
  /** Whether the fitting's values are typical ones, which nobody has measured. */
  readonly isTypical?: boolean | undefined;
  /** Stack that it has to clamp; the panel's thickness if left out. */
  readonly stack?: number | undefined;
  /** Outside diameter of the gasket. */
  readonly gasket?: number | undefined;
  /** How far the fitting and what is joined to it stand out of each face; null where it is not known. */
  readonly standsOut?: { readonly outside: number | null; readonly inside: number | null } | undefined;
  /** Name of the box whose back wall is drilled with this hole too; null where it goes through the panel alone. */
  readonly box?: string | null | undefined;
}

/** Width of the widest part that lies round a hole, mm: flange, gasket, or nut across its corners; 0 where none is known. */
export function partWidth({ flange = 0, gasket = 0, nut = 0 }: Pick<Hole, 'flange' | 'gasket' | 'nut'>): number {
  return Math.max(flange, gasket, nut);
}

export const sides = ['top', 'right', 'bottom', 'left'] as const;
export type Side = (typeof sides)[number];
export type Strips = Readonly<Partial<Record<Side, number>>>;

/** The side or sides that an edge belongs to, by where its outside looks; a 45° edge belongs to two. */
export function sidesOf(edge: Segment): Side[] {
  const inwards = leftNormal(edge);
  const [x, y] = [-inwards.x, -inwards.y];
  const steep = Math.abs(x) - Math.abs(y);
  const found: Side[] = [];
  if (steep > -1e-6) found.push(x > 0 ? 'right' : 'left');
  if (steep < 1e-6) found.push(y > 0 ? 'top' : 'bottom');
  return found;
}

/** Outline of a rectangle, from the lower left corner counter-clockwise. */
export function rectangle(width: number, height: number): Point[] {
  return [{ x: 0, y: 0 }, { x: width, y: 0 }, { x: width, y: height }, { x: 0, y: height }];
}

/** Names for the edges and corners of {@link rectangle}, in its order. */
export const rectangleNames: OutlineNames = {
  edges: ['bottom edge', 'right edge', 'top edge', 'left edge'],
  corners: ['bottom left corner', 'bottom right corner', 'top right corner', 'top left corner'],
};

export interface OutlineNames {
  /** Edge i runs from point i to the next. */
  readonly edges: readonly string[];
  readonly corners: readonly string[];
}

/**
 * The panel of an outline.
 * @param of.outline simple polygon, counter-clockwise, mm
 * @param of.names one name per edge and corner, in the outline's order
 */
export function makePanel(of: {
  material: Material;
  thickness: number;
  outline: readonly Point[];
  names: OutlineNames;
  rim: Strips;
  joints: Strips;
  keepClear: readonly KeepClear[];
  boxes?: readonly PlacedBox[];
  water?: number | null;
  room?: Panel['room'];
  placement?: number;
}): Panel {
  const { material, thickness, outline, names, keepClear, boxes = [], water = null, room = { outside: null, inside: null }, placement = 0 } = of;
  const widest = (edge: Segment, strips: Strips) => Math.max(...sidesOf(edge).map((side) => strips[side] ?? 0));
  const edges = edgesOf(outline).map((edge, index) => ({ ...edge, name: names.edges[index] as string, rim: widest(edge, of.rim), joint: widest(edge, of.joints) }));
  const angles = interiorAngles(outline);
  const corners = outline.map((at, index) => ({ name: names.corners[index] as string, at })).filter((_, index) => (angles[index] as number) <= widestCorner);
  return { material, thickness, outline, edges, corners, cornerNames: names.corners, keepClear, boxes, water, room, narrowest: narrowestWidth(outline), placement };
}
