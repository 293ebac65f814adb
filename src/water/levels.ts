import type { Blocked } from './cascade.ts';
import type { Weir, WaterTank } from './system.ts';
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

/** Where the water comes to rest when the pump stops: at the lowest crest, or in a tank without weirs at the lower edge of its lowest drain; null where that is not known. */
export function restLevel({ weirs, drains }: WaterTank): number | null {
  if (weirs.length > 0) return Math.max(...weirs.map(({ crest }) => crest));
  const edges = drains.flatMap(({ opening, run }) => (opening === null ? [] : [opening + (run?.bore ?? 0) / 2]));
  return edges.length > 0 ? Math.max(...edges) : null;
}
