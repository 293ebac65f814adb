/** Typical fittings by trade name. From memory; they vary by maker, so the fitting in hand must be measured. Lengths in mm. */
import { plainInches } from './pipe.ts';

export interface FittingSize {
  /** Smallest and largest hole that the fitting takes: its body passes the smallest, its gasket covers the largest. */
  readonly hole: { readonly min: number; readonly max: number };
  /** Diameter of the flange. */
  readonly flange?: number | undefined;
  /** Nut across its corners. */
  readonly nut?: number | undefined;
  /** Least and most stack between flange and nut that the fitting clamps: panels and gaskets. */
  readonly grip?: { readonly min: number; readonly max: number } | undefined;
  /** Thread of the connection, as ISO 228-1 designates it: "G 1". The thread of the body, which passes the hole, is larger. */
  readonly thread?: string | undefined;
  /** Nominal size of the pipe that joins on, inches as the trade writes them: "1-1/4". */
  readonly pipe?: string | undefined;
  /** The ring that seals under the flange. */
  readonly gasket?: { readonly inside: number; readonly outside: number; readonly thickness?: number | undefined } | undefined;
  /** How far the clamped fitting stands out of the stack: on its flange side, and on its nut side where the stack is thinnest. */
  readonly standsOut?: { readonly flange?: number | undefined; readonly nut?: number | undefined } | undefined;
}

/** Stack that a bulkhead clamps, up to the most; the least from memory. */
const upTo = (max: number) => ({ min: 2, max });

/**
 * Bulkheads by nominal pipe size. Every value is typical, from memory, and varies by maker. Nuts are a little narrower
 * than flanges, gaskets fit round the body and lie wholly under the flange, and what stands out on the nut side leaves
 * thread for the nut on the thickest stack.
 */
const bulkheads: readonly (readonly [string, Omit<FittingSize, 'thread' | 'pipe'>])[] = [
  ['1/2', { hole: { min: 28, max: 30 }, flange: 45, nut: 42, grip: upTo(20), gasket: { inside: 28, outside: 43, thickness: 3 }, standsOut: { flange: 16, nut: 38 } }],
  ['3/4', { hole: { min: 35, max: 38 }, flange: 54, nut: 50, grip: upTo(22), gasket: { inside: 35, outside: 52, thickness: 3 }, standsOut: { flange: 18, nut: 42 } }],
  ['1', { hole: { min: 44, max: 46 }, flange: 66, nut: 62, grip: upTo(25), gasket: { inside: 44, outside: 63, thickness: 3 }, standsOut: { flange: 20, nut: 48 } }],
  ['1-1/4', { hole: { min: 53, max: 57 }, flange: 78, nut: 72, grip: upTo(27), gasket: { inside: 53, outside: 75, thickness: 3 }, standsOut: { flange: 22, nut: 53 } }],
  ['1-1/2', { hole: { min: 59, max: 62 }, flange: 86, nut: 80, grip: upTo(28), gasket: { inside: 59, outside: 83, thickness: 4 }, standsOut: { flange: 24, nut: 57 } }],
  ['2', { hole: { min: 73, max: 76 }, flange: 102, nut: 95, grip: upTo(30), gasket: { inside: 73, outside: 99, thickness: 4 }, standsOut: { flange: 27, nut: 64 } }],
];

/** Trade names as we write them: "bulkhead 1 in". */
export const typicalFittings: ReadonlyMap<string, FittingSize> = new Map(
  bulkheads.map(([size, fitting]) => [`bulkhead ${size} in`, { ...fitting, thread: `G ${size}`, pipe: size }]),
);

/** A bulkhead whose size is left to the water that goes through it. */
export const openFitting = 'bulkhead';

/** The typical fitting of that trade name, however its size and inch sign are written; undefined if there is none. */
export function typicalFitting(name: string): { name: string; size: FittingSize } | undefined {
  const key = plainInches(name);
  const size = typicalFittings.get(key);
  return size && { name: key, size };
}
