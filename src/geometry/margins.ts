import type { Rule } from './finding.ts';
import type { Hole, Panel } from './panel.ts';
import { surroundingsOf, type Surroundings } from './surroundings.ts';

/**
 * How much a hole has over what is asked of it at least, all other holes staying where they are. The tolerance of placement
 * is taken off first.
 */
export interface Margin {
  /** The smallest ratio of a ligament to its published minimum; null where no ligament has one. */
  readonly ratio: number | null;
  /** The ligament's rule, and what it is measured to. */
  readonly rule: Rule | null;
  readonly other: string | null;
  /** How far the hole may be drilled off its place, whichever way, before it breaks a minimum, mm; 0 where one is broken as it stands. */
  readonly drift: number;
  /** What it would meet first. */
  readonly driftRule: Rule;
  readonly driftOther: string;
}

/** The least of all margins of a panel's holes: the smallest ratio and the smallest drift, which two holes may have. */
export interface LeastMargin extends Margin {
  readonly hole: string | null;
  readonly driftHole: string;
}

/** The margin of each hole; null where the material is not drilled. */
export function marginsOf(panel: Panel, holes: readonly Hole[], { least }: Surroundings = surroundingsOf(panel, holes)): (Margin | null)[] {
  return holes.map((_, index) => {
    const { ratio, spare } = least(index);
    if (!spare) return null;
    return { ratio: ratio?.value ?? null, rule: ratio?.rule ?? null, other: ratio?.other ?? null, drift: Math.max(0, spare.value), driftRule: spare.rule, driftOther: spare.other };
  });
}

/** Of equal ones the first hole's counts; null where no hole has a margin. */
export function leastMargin(holes: readonly Pick<Hole, 'name'>[], margins: readonly (Margin | null)[]): LeastMargin | null {
  let least: LeastMargin | null = null;
  for (const [index, margin] of margins.entries()) {
    if (!margin) continue;
    const name = holes[index]?.name ?? '';
    const { ratio, rule, other, drift, driftRule, driftOther } = margin;
    if (!least) {
      least = { ...margin, hole: ratio === null ? null : name, driftHole: name };
      continue;
    }
    if (ratio !== null && ratio < (least.ratio ?? Infinity)) least = { ...least, ratio, rule, other, hole: name };
    if (drift < least.drift) least = { ...least, drift, driftRule, driftOther, driftHole: name };
  }
  return least;
}
