/** What holes are drilled with: kinds of bit, their sizes, speeds, and what keeps the cut cool. Lengths in mm. */
import type { Material } from './limits.ts';
import { lengthSlack, millimetresPer, type Unit } from './units.ts';

export const bitKinds = ['diamond core bit', 'hole saw'] as const;
export type BitKind = (typeof bitKinds)[number];

/** Smallest and largest of something. */
interface Range {
  readonly min: number;
  readonly max: number;
}

/** How a material is drilled. */
export interface Drilling {
  /** Kinds of bit that suit, the best first. */
  readonly kinds: readonly BitKind[];
  /** Speed of the cutting edge, m/s. */
  readonly surfaceSpeed: Range;
  readonly coolant: string;
  readonly backing: string;
  readonly source: string;
}

/** By material; those that must not be drilled have none. Where a bit's maker gives a speed, that one counts. */
export const drilling: Readonly<Partial<Record<Material, Drilling>>> = {
  'annealed glass': {
    kinds: ['diamond core bit'],
    surfaceSpeed: { min: 0.6, max: 1 },
    coolant: 'water on the cut all the time; lift the bit often, so that it gets under the rim',
    backing: 'glass or wood, flat and close under the hole, until the bit is through',
    source: 'common practice, from memory',
  },
  acrylic: {
    kinds: ['hole saw', 'diamond core bit'],
    surfaceSpeed: { min: 0.3, max: 0.6 },
    coolant: 'air, or a little water with a drop of soap; no oil, alcohol or other solvent, which crack acrylic',
    backing: 'wood or scrap acrylic, clamped flat and close under the hole',
    source: 'common practice, from memory: slow, clearing the chips, so that nothing melts',
  },
};

/** What a bit cuts over its own size at most, in diameter: it never runs quite true. Common practice, no source. */
export const coreAllowance = 0.5;

/** Diameters this near count as the same bit: what bits of one nominal size differ by. Our choice, no source. */
export const bitSlack = 0.05;

/** Speeds are told in such steps, rpm: no drill is set more finely. */
const speedStep = 5;

/**
 * Speeds for a bit of that diameter, rpm: n = 60 v / (π d), rounded inwards, so that all of them keep the surface speed.
 * Left unrounded where no step lies between, on bits over a metre wide.
 * @returns undefined for a material that is not drilled
 */
export function speedRange(diameter: number, material: Material): Range | undefined {
  const surfaceSpeed = drilling[material]?.surfaceSpeed;
  if (!surfaceSpeed) return undefined;
  if (!(diameter > 0)) throw new RangeError(`A bit of ${diameter} mm has no speed: its diameter must be above 0.`);
  const turns = (metresPerSecond: number) => (60_000 * metresPerSecond) / (Math.PI * diameter);
  const [slowest, fastest] = [turns(surfaceSpeed.min), turns(surfaceSpeed.max)];
  const [min, max] = [Math.ceil(slowest / speedStep) * speedStep, Math.floor(fastest / speedStep) * speedStep];
  return min <= max ? { min, max } : { min: slowest, max: fastest };
}

/** Steps that bits are sold in, the commonest first: whole millimetres, or eighths, then sixteenths of an inch. Common practice, no source. */
export function usualSteps(unit: Unit): readonly number[] {
  return unit === 'in' ? [millimetresPer.in / 8, millimetresPer.in / 16] : [1];
}

/**
 * The diameter to drill for a hole range: a usual one near its middle, rather below than above it, that leaves
 * {@link coreAllowance} to the largest hole; else a usual one that just lies in the range; else the middle itself.
 */
export function diameterToBuy({ min, max }: Range, unit: Unit): number {
  const middle = (min + max) / 2;
  const usual = usualSteps(unit).flatMap((step) => {
    const below = Math.floor(middle / step + 1e-9);
    return [below * step, (below + 1) * step];
  });
  const within = (most: number) => usual.find((diameter) => diameter >= min - lengthSlack && diameter <= most + lengthSlack);
  return within(max - coreAllowance) ?? within(max) ?? middle;
}

/** Whether a bit is there; null where nobody has listed the bits at hand. */
export function stockWords(isAtHand: boolean | null): string {
  return isAtHand === null ? 'own or to buy' : isAtHand ? 'at hand' : 'to buy';
}

/** How well a bit fits a hole: all it may cut stays within the range, or only its own size does. */
export type BitFit = 'whole' | 'nominal';

/** How a bit of that diameter fits; undefined if it does not. A hole of one exact diameter is fitted whole by that bit. */
function fitOf({ min, max }: Range, diameter: number): BitFit | undefined {
  if (max - min < lengthSlack) return Math.abs(diameter - min) <= bitSlack + lengthSlack ? 'whole' : undefined;
  if (diameter < min - lengthSlack || diameter > max + lengthSlack) return undefined;
  return diameter + coreAllowance <= max + lengthSlack ? 'whole' : 'nominal';
}

/**
 * The best of the bits at hand for a hole range: of those that suit the material, one that fits whole before one whose
 * own size only fits, then the better kind, then the nearest to the middle, then the smaller, then the first given.
 * @returns undefined if none fits, or the material is not drilled
 */
export function chooseBit<T extends { readonly diameter: number; readonly kind: BitKind }>(hole: Range, bits: readonly T[], material: Material): { readonly bit: T; readonly fits: BitFit } | undefined {
  const kinds = drilling[material]?.kinds ?? [];
  const middle = (hole.min + hole.max) / 2;
  const candidates = bits.flatMap((bit) => {
    const fits = fitOf(hole, bit.diameter);
    return fits && kinds.includes(bit.kind) ? [{ bit, fits, rank: [fits === 'whole' ? 0 : 1, kinds.indexOf(bit.kind), Math.abs(bit.diameter - middle), bit.diameter] }] : [];
  });
  const [best] = candidates.sort((a, b) => compareRanks(a.rank, b.rank));
  return best && { bit: best.bit, fits: best.fits };
}

/** Which of two lists of numbers comes first, by the first place where they differ. */
function compareRanks(a: readonly number[], b: readonly number[]): number {
  return a.map((value, index) => value - (b[index] as number)).find((difference) => difference !== 0) ?? 0;
}
