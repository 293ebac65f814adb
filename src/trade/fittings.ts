/** Typical fittings by trade name. From memory; they vary by maker, so the fitting in hand must be measured. Lengths in mm. */

export interface FittingSize {
  /** Smallest and largest hole that the fitting takes. */
  readonly hole: { readonly min: number; readonly max: number };
  /** Diameter of the flange. */
  readonly flange?: number | undefined;
  /** Nut across its corners. */
  readonly nut?: number | undefined;
  /** Least and most thickness of the stack that the fitting clamps. */
  readonly grip?: { readonly min: number; readonly max: number } | undefined;
}

/** Nominal pipe sizes of the bulkheads, inches as the trade writes them, with hole range and flange (from memory). */
const bulkheads: readonly (readonly [string, FittingSize])[] = [
  ['1/2', { hole: { min: 28, max: 30 }, flange: 45 }],
  ['3/4', { hole: { min: 35, max: 38 }, flange: 54 }],
  ['1', { hole: { min: 44, max: 46 }, flange: 66 }],
  ['1-1/4', { hole: { min: 53, max: 57 }, flange: 78 }],
  ['1-1/2', { hole: { min: 59, max: 62 }, flange: 86 }],
  ['2', { hole: { min: 73, max: 76 }, flange: 102 }],
];

/** Trade names as we write them: "bulkhead 1 in". */
export const typicalFittings: ReadonlyMap<string, FittingSize> = new Map(
  bulkheads.map(([size, fitting]) => [`bulkhead ${size} in`, fitting]),
);

/** The typical fitting of that trade name, however its size and inch sign are written; undefined if there is none. */
export function typicalFitting(name: string): { name: string; size: FittingSize } | undefined {
  const key = name
    .toLowerCase()
    .replace(/["”″]|''|′′|(?<=[\d\s])in(?:ch(?:es)?)?\b/g, ' in')
    .replace(/[½¼¾]/g, (sign) => ({ '½': ' 1/2', '¼': ' 1/4', '¾': ' 3/4' })[sign] ?? sign)
    .replace(/\s+/g, ' ')
    .trim()
    .replace(/(\d) (\d+\/\d+)/, '$1-$2');
  const size = typicalFittings.get(key);
  return size && { name: key, size };
}
