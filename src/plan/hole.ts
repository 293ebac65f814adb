import type { Side } from '../geometry/panel.ts';
import { meant, shown, type Problem } from '../spec/problem.ts';
import type { Source } from '../spec/read.ts';
import type { SpecBit, SpecFitting } from '../spec/schema.ts';
import { chooseBit, diameterToBuy, drilling } from '../trade/bits.ts';
import { openFitting, typicalFitting, typicalFittings, type FittingSize } from '../trade/fittings.ts';
import type { Material } from '../trade/limits.ts';
import { pipeSizes, plainInches, type PipeSize } from '../trade/pipe.ts';
import { standOut } from '../trade/room.ts';
import type { Unit } from '../trade/units.ts';
import type { WrittenBox } from './box.ts';
import type { HoleBit, Offset, PlannedHole } from './plan.ts';
import type { WrittenHole } from './written.ts';

export type Path = readonly (string | number)[];

/** What all panels of a spec are planned with. */
export interface Work {
  readonly title: string;
  readonly units: Unit;
  readonly source: Source;
  /** Fittings of the spec's own, by name. */
  readonly fittings: ReadonlyMap<string, SpecFitting>;
  /** Bits at hand; null where neither the spec nor what it includes lists any. */
  readonly bits: readonly SpecBit[] | null;
  readonly boxes: ReadonlyMap<string, WrittenBox>;
  /** How far from its place a hole may be drilled, mm. */
  readonly placement: number;
  /** Sizes of the bulkheads whose size the spec leaves open, by the entry of their hole ({@link entryKey}); the smallest where none is known. */
  readonly sizes: ReadonlyMap<string, PipeSize>;
  /** Filled with the entries that leave it open, and where each does. */
  readonly open: Map<string, { readonly name: string; readonly path: Path }>;
  /** Filled with what is wrong. */
  readonly problems: Problem[];
}

/** What a hole is drilled through. */
export interface Through {
  readonly material: Material;
  /** Thickness of the panel, mm. */
  readonly thickness: number;
  /** The back wall that lies against the panel there, mm. */
  readonly wall?: number;
}

/** The size of a bulkhead whose size is open, until the water asks for more. */
export const [smallestSize] = pipeSizes;

/** An entry of a list of holes, to be found by. */
export const entryKey = (path: Path) => JSON.stringify(path);

/** Thickness of a gasket that nobody has measured, mm. Typical, from memory. */
const usualGasket = 3;

/**
 * A hole of the spec in the coordinates of what it lies on; one whose place is sought lies in the middle until it is found.
 * @param datumOf where the line lies that distances from a side start at
 * @returns undefined where its fitting is not known, which is then among the problems
 */
export function planHole(written: WrittenHole, datumOf: (side: Side, path: Path) => number, through: Through, work: Work): PlannedHole | undefined {
  const { hole, path, isAlone } = written;
  const fitting = fittingOf(written, work);
  if (!fitting) return undefined;
  const across = offsetAlong(hole['from-left'], hole['from-right'], hole['from-center-x'], 'left', 'right', (side) => datumOf(side, path));
  const up = offsetAlong(hole['from-bottom'], hole['from-top'], hole['from-center-y'], 'bottom', 'top', (side) => datumOf(side, path));
  const { name, size, isTypical } = fitting;
  const bit = bitFor(size?.hole ?? { min: hole.diameter as number, max: hole.diameter as number }, through.material, work);
  const flangeOn = hole['flange-on'] ?? 'inside';
  const joined = { outside: hole.outside ?? 'nothing', inside: hole.inside ?? 'nothing' } as const;
  const standsOut = (face: 'outside' | 'inside') => {
    const own = size?.standsOut?.[face === flangeOn ? 'flange' : 'nut'];
    return own === undefined ? null : (standOut(own, joined[face], size?.pipe) ?? null);
  };
  return {
    name: hole.name,
    center: { x: across.at, y: up.at },
    offsets: [across.offset, up.offset],
    diameter: bit.diameter,
    flange: size?.flange,
    nut: size?.nut,
    grip: size?.grip,
    stack: size ? stackOf(size, through) : undefined,
    gasket: size?.gasket?.outside,
    standsOut: { outside: standsOut('outside'), inside: standsOut('inside') },
    box: null,
    inWall: null,
    fitting: name,
    isTypical,
    bit,
    size,
    flangeOn,
    joined,
    from: { path, isAlone, isMirrored: false },
  };
}

/** Thickness of the gasket between a panel and a box's back wall, mm: as that under the fitting's flange. */
export const betweenGasket = (size: FittingSize | null) => size?.gasket?.thickness ?? usualGasket;

/** What the fitting has to clamp: panel and gasket, and behind a box its back wall and one gasket more. */
function stackOf(size: FittingSize, { thickness, wall }: Through): number {
  return wall === undefined ? thickness + (size.gasket?.thickness ?? 0) : thickness + wall + 2 * betweenGasket(size);
}

/** A coordinate from the one distance that is given, and the offset to set it out by. */
function offsetAlong(low: number | undefined, high: number | undefined, middle: number | undefined, lowSide: Side, highSide: Side, datumOf: (side: Side) => number): { at: number; offset: Offset } {
  if (low !== undefined) return { at: datumOf(lowSide) + low, offset: { from: lowSide, mm: low } };
  if (high !== undefined) return { at: datumOf(highSide) - high, offset: { from: highSide, mm: high } };
  const at = (datumOf(lowSide) + datumOf(highSide)) / 2 + (middle ?? 0);
  return { at, offset: nearerOffset(at, lowSide, highSide, datumOf) };
}

/** The offset from the nearer of two lines. */
export function nearerOffset(at: number, lowSide: Side, highSide: Side, datumOf: (side: Side) => number): Offset {
  const [fromLow, fromHigh] = [at - datumOf(lowSide), datumOf(highSide) - at];
  return fromLow <= fromHigh ? { from: lowSide, mm: fromLow } : { from: highSide, mm: fromHigh };
}

/** The bit for a hole range: of those at hand the one that fits best, else the one to buy. */
function bitFor(hole: { readonly min: number; readonly max: number }, material: Material, { bits, units }: Work): HoleBit {
  const chosen = bits ? chooseBit(hole, bits, material) : undefined;
  if (chosen) return { kind: chosen.bit.kind, diameter: hole.min === hole.max ? hole.min : chosen.bit.diameter, isAtHand: true, fits: chosen.fits };
  const [kind = 'diamond core bit'] = drilling[material]?.kinds ?? [];
  return { kind, diameter: hole.min === hole.max ? hole.min : diameterToBuy(hole, units), isAtHand: bits ? false : null, fits: 'whole' };
}

/** The fitting of a hole, its size null for a plain diameter; undefined where no fitting has that name. */
function fittingOf({ hole, path: entry, keysPath }: WrittenHole, { fittings, sizes, open, source, problems }: Work): { name: string | undefined; size: FittingSize | null; isTypical: boolean } | undefined {
  const path = [...keysPath, 'fitting'];
  if (hole.diameter !== undefined) return { name: undefined, size: null, isTypical: false };
  if (typeof hole.fitting === 'object') return { name: 'own fitting', size: sizeOf(hole.fitting), isTypical: false };
  const name = hole.fitting as string;
  const own = fittings.get(name);
  if (own) return { name, size: sizeOf(own), isTypical: false };
  const isOpen = plainInches(name) === openFitting;
  if (isOpen && !open.has(entryKey(entry))) open.set(entryKey(entry), { name: hole.name, path });
  const typical = typicalFitting(isOpen ? `${openFitting} ${sizes.get(entryKey(entry)) ?? smallestSize} in` : name);
  if (typical) return { ...typical, isTypical: true };
  const known = [...fittings.keys(), ...typicalFittings.keys()];
  const guess = meant(name, [...known, openFitting]);
  problems.push(source.problem(path, `unknown fitting ${shown(name)}`, `${known.slice(0, 12).join(', ')}, or a group with hole, flange, nut, grip`, guess ? `did you mean ${guess}?` : 'measure the fitting and write it under fittings'));
  return undefined;
}

function sizeOf({ hole, flange, nut, grip, thread, pipe, gasket, 'stands-out': standsOut }: SpecFitting): FittingSize {
  return { hole, flange, nut, grip, thread, pipe, gasket, standsOut };
}

/** A name in a list of holes or boxes, the entry that gives it, and where its keys stand. */
type NamedEntry = Pick<WrittenHole, 'entry' | 'keysPath' | 'isAlone'> & { readonly name: string };

/** Tells names that stand twice in a list of holes or boxes; those of one row once. */
export function tellRepeatedNames(all: readonly NamedEntry[], what: 'hole' | 'box', { source, problems }: Work): void {
  const first = new Map<string, NamedEntry>();
  let told = -1;
  for (const one of all) {
    const { name, entry, isAlone, keysPath } = one;
    const earlier = first.get(name);
    if (!earlier) first.set(name, one);
    else if (told !== entry) {
      told = entry;
      const fix = what === 'box' ? `give one a name of its own: name: ${name} 2` : isAlone && earlier.isAlone ? `rename one, for example ${shown(`${name} 2`)}` : 'rename one of the two entries';
      problems.push(source.problem([...keysPath, 'name'], `${shown(name)} is also the name of ${earlier.isAlone ? what : `a ${what} of entry`} ${earlier.entry + 1}`, `a name of its own for each ${what}`, fix));
    }
  }
}
