import type { PipeSize, Schedule } from '../trade/pipe.ts';
import type { FlowUnit } from '../trade/flow.ts';
import type { Unit } from '../trade/units.ts';
import type { DrainKind } from '../trade/water.ts';

export { drainKinds, type DrainKind } from '../trade/water.ts';

/**
 * How the water goes, resolved: lengths in mm, flows in mm³/s, areas in mm², heads in mm of water. What lies in a tank is
 * measured downwards from the tank's top edge.
 */
export interface WaterSystem {
  /** Units that the findings speak in. */
  readonly flowUnit: FlowUnit;
  readonly units: Unit;
  /** What the drains of a tank shall carry beyond the inflow, as a share of it. */
  readonly reserve: number;
  readonly pump: Pump;
  /** Taken off behind the pump for side equipment, and run straight back into the sump. */
  readonly side: readonly { readonly name: string; readonly flow: number }[];
  /** Pipes that several returns share; each stands after the one that it comes from. */
  readonly lines: readonly Line[];
  /** Each drains into tanks that stand after it, or into the sump. */
  readonly tanks: readonly WaterTank[];
  /** Pipes that are wider than the fitting that they go through, with the fitting's nominal size. */
  readonly narrowed: readonly { readonly tank: string; readonly name: string; readonly pipe: string; readonly fitting: PipeSize }[];
  /** Tanks of the build that are made more often than `tanks` has them. */
  readonly untold: readonly { readonly name: string; readonly made: number; readonly told: number }[];
  readonly sump: Sump;
}

export interface Pump {
  /** What it gives against a head, from no flow on: flows rise, heads never do. Null where it is said to deliver `flow`. */
  readonly curve: readonly PumpPoint[] | null;
  /** What it delivers, where no curve is known. */
  readonly flow: number | null;
  /** The flow that a valve behind it is set to, with the pipes as they are; null where there is none. */
  readonly throttle: number | null;
}

export interface PumpPoint {
  readonly flow: number;
  readonly head: number;
}

/** A run of pipe of one bore, and what is in it. */
export interface PipeRun {
  /** As the trade calls it: "1 in schedule 40", "bore 20 mm". */
  readonly name: string;
  /** Nominal size; null where only the bore is given. */
  readonly size: PipeSize | null;
  /** Schedule of its wall (ASTM D1785); null where only the bore is given. */
  readonly schedule: Schedule | null;
  /** Whether the size was left for the tool to choose. */
  readonly isChosen: boolean;
  /** Inside diameter. */
  readonly bore: number;
  readonly length: number;
  readonly parts: PipeParts;
}

/** How many of each stand in a run of pipe. */
export interface PipeParts {
  /** 90 degrees. */
  readonly elbows: number;
  /** 45 degrees. */
  readonly halfElbows: number;
  /** Where the water goes straight on. */
  readonly teesThrough: number;
  /** Where the water turns into or out of the branch. */
  readonly teesBranch: number;
  readonly ballValves: number;
  readonly gateValves: number;
  readonly checkValves: number;
  /** Loss coefficients of anything else, added up. */
  readonly otherLosses: number;
}

export interface Line {
  readonly name: string;
  /** The line that it comes from; null where that is the pump. */
  readonly from: string | null;
  readonly run: PipeRun;
}

/** A hole of the build: its panel's part and its name there. */
export interface HoleRef {
  readonly part: string;
  readonly name: string;
}

export interface WaterTank {
  readonly name: string;
  /** Inside length times width. */
  readonly area: number;
  /** How high its inside is, from the bottom's upper face to the top edge. */
  readonly height: number;
  readonly returns: readonly Return[];
  readonly drains: readonly Drain[];
  readonly weirs: readonly Weir[];
}

export interface Return {
  readonly name: string;
  /** Null where the pipe goes over the rim. */
  readonly hole: HoleRef | null;
  /** The line that it comes from; null where that is the pump. */
  readonly from: string | null;
  /** Null where nothing is told of it; then its flow is given, or it takes all that the pump delivers besides. */
  readonly run: PipeRun | null;
  /** From the sump's working level up to its opening, or to the tank's water where that is higher; null likewise. */
  readonly rise: number | null;
  /** What goes through it, where the spec says so. */
  readonly flow: number | null;
  /** How far the lower edge of its opening lies under the tank's top edge: until the water is there it may run back. */
  readonly opening: number;
  /** How far a hole that lets air in lies under the tank's top edge; null where there is none. */
  readonly siphonBreak: number | null;
}

export interface Drain {
  readonly name: string;
  readonly hole: HoleRef | null;
  readonly runs: DrainKind;
  /** Null where what it carries is given. */
  readonly run: PipeRun | null;
  /** From the water that it drains down to its outlet, or to the water there where that is higher; null where what it carries is given. */
  readonly drop: number | null;
  /** What it carries, where the spec says so. */
  readonly rated: number | null;
  /** Kept dry, for when another is blocked. */
  readonly isSpare: boolean;
  /** The tank that it runs into; null for the sump. */
  readonly into: string | null;
  /** How far the middle of its opening lies under the tank's top edge; null where that is not known. */
  readonly opening: number | null;
  /** The box that it drains: the name of one of the tank's weirs; null where it drains the tank itself. */
  readonly weir: string | null;
  /** Whether its hole is one of a box, told or not: then it does not drain the tank itself. */
  readonly isBoxed: boolean;
}

export interface Weir {
  readonly name: string;
  /** The box that it belongs to, and the part of the panel that the box stands on; null where there is none. */
  readonly box: HoleRef | null;
  /** How far its crest, the lowest line that water runs over, lies under the tank's top edge. */
  readonly crest: number;
  readonly length: number;
  /** Null for a plain crest. */
  readonly teeth: { readonly width: number; readonly gap: number; readonly height: number | null } | null;
  /** Inside length times width of the box behind it; null where that is not known, or there is none. */
  readonly boxArea: number | null;
}

export interface Sump {
  /** Inside length times width. */
  readonly area: number;
  /** Levels over its bottom: with the pump on, and the most that it holds. */
  readonly working: number;
  readonly top: number;
}
