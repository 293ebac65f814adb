import type { Level } from '../geometry/obstacles.ts';
import type { Hole, Panel, Side } from '../geometry/panel.ts';
import type { Point, Rect } from '../geometry/shape.ts';
import type { BitFit, BitKind } from '../trade/bits.ts';
import type { FittingSize } from '../trade/fittings.ts';
import type { Paper } from '../trade/papers.ts';
import type { Connection } from '../trade/room.ts';
import type { Unit } from '../trade/units.ts';
import type { PrinterProfile } from './printer.ts';

export { partWidth } from '../geometry/panel.ts';
export type { Point, Rect } from '../geometry/shape.ts';

/** A distance as a person sets it out: from one of the lines that distances are measured from, mm. */
export interface Offset {
  readonly from: Side;
  readonly mm: number;
}

/** The entry of a list of holes in the spec that a hole comes from. */
export interface HoleEntry {
  /** Keys and indices that lead to it; of a box's hole to the box's own list. */
  readonly path: readonly (string | number)[];
  /** Whether it is this hole alone, at the distances that are written there; not so for a hole of several, or one whose place is found. */
  readonly isAlone: boolean;
  /** Whether left and right are exchanged against the spec, as in the back wall of a box that stands outside. */
  readonly isMirrored: boolean;
}

export interface PlannedHole extends Hole {
  /** Distances of the center from two lines, as the spec gives them, from the nearer line where it measures from the middle; of a box's hole from the lines that the box is placed by, from the left where it is placed by the middle. */
  readonly offsets: readonly [Offset, Offset];
  /** Name of the fitting; undefined for a plain diameter. */
  readonly fitting: string | undefined;
  /** Whether the fitting's values are typical ones, so that the fitting in hand must be measured. */
  readonly isTypical: boolean;
  /** The bit to drill it with. */
  readonly bit: HoleBit;
  /** Name of the box whose back wall is drilled with this hole too; null where the hole goes through the panel alone. */
  readonly box: string | null;
  /** That back wall in the build, and what the hole is called there; null where the hole goes through the panel alone. */
  readonly inWall: { readonly part: string; readonly name: string } | null;
  /** All that is known of the fitting; null for a plain diameter. */
  readonly size: FittingSize | null;
  /** The face that the flange and its gasket sit on. */
  readonly flangeOn: 'outside' | 'inside';
  /** What is joined to the fitting on each side of the panel. */
  readonly joined: { readonly outside: Connection; readonly inside: Connection };
  /** What of the spec it comes from. */
  readonly from: HoleEntry;
}

/** Holes that are spread evenly, as a row or by repeating one. */
export interface Spacing {
  readonly name: string;
  /** How many one row has. */
  readonly count: number;
  /** Between centres, mm. */
  readonly apart: number;
  /** How many such rows, twins too. */
  readonly rows: number;
}

/** What was found for a hole whose place was sought. */
export interface Found {
  readonly name: string;
  /** The least that any rule is left over what it asks at that level, mm. */
  readonly spare: number;
  readonly level: Level;
}

/** The bit for a hole. */
export interface HoleBit {
  readonly kind: BitKind;
  /** Outside diameter, mm: the drilling circle. */
  readonly diameter: number;
  /** Whether it is among the bits at hand; null where the spec lists none. */
  readonly isAtHand: boolean | null;
  /** Whether all that it may cut fits the hole, or only its own size. */
  readonly fits: BitFit;
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
  readonly spacings: readonly Spacing[];
  readonly found: readonly Found[];
  /** Whether it is the back wall of a box: its fittings are then those of the panel behind it. */
  readonly isBoxWall: boolean;
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
