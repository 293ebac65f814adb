import { drainCover } from '../trade/water.ts';
import type { Blocked } from './cascade.ts';
import { speedIn } from './pipe-flow.ts';
import type { Drain, Weir, WaterTank } from './system.ts';
import { levelOver } from './weir.ts';

/** Where the water of a tank stands. Lengths in mm, downwards from the tank's top edge. */

/** The weirs that still lead to a drain. */
function openWeirs({ name, weirs, drains }: WaterTank, blocked: Blocked | null): Weir[] {
  if (blocked?.tank !== name) return [...weirs];
  return weirs.filter((weir) => {
    const own = drains.filter((drain) => drain.weir === weir.name);
    return own.length === 0 || own.some((drain) => drain.name !== blocked.drain);
  });
}

/** Where the water stands while that much goes over the tank's weirs; null where none is told, or none leads to a drain. */
export function runningLevel(tank: WaterTank, flow: number, blocked: Blocked | null = null): number | null {
  const weirs = openWeirs(tank, blocked);
  return weirs.length === 0 ? null : levelOver(weirs, flow);
}

/** The drains that take water out of the tank itself: neither a box nor a weir without one stands before them. */
function ownDrains({ weirs, drains }: WaterTank): readonly Drain[] {
  return weirs.some(({ box }) => box === null) ? [] : drains.filter(({ weir, isBoxed }) => weir === null && !isBoxed);
}

/** How far the lower edge of a drain's opening lies under the tank's top edge; null where that is not known. */
export function lowerEdge({ opening, run }: Drain): number | null {
  return opening === null ? null : opening + (run?.bore ?? 0) / 2;
}

/** Where the water comes to rest when the pump stops: at the lowest crest, or at the lower edge of a drain of the tank itself that lies lower; null where that is not known. */
export function restLevel(tank: WaterTank): number | null {
  const edges = ownDrains(tank).map(lowerEdge);
  const known = edges.filter((edge) => edge !== null);
  const lowest = Math.max(...tank.weirs.map(({ crest }) => crest), ...known);
  return known.length < edges.length || lowest === -Infinity ? null : Math.min(lowest, tank.height);
}

/**
 * Where the water of a tank without weirs stands at most, for what runs back: an open drain's opening is full then, and over a
 * full siphon stands what keeps air out ({@link drainCover}). Common practice, no source.
 * @param flows through its drains
 */
export function levelOfDrains({ drains }: WaterTank, flows: readonly number[]): number | null {
  const levels = drains.flatMap(({ opening, run, runs, isSpare }, index) => {
    if (opening === null || isSpare) return [];
    const bore = run?.bore ?? 0;
    return [opening - (run && runs === 'full siphon' ? drainCover(bore, speedIn(bore, flows[index] ?? 0)) : bore / 2)];
  });
  return levels.length === 0 ? null : Math.min(...levels);
}
