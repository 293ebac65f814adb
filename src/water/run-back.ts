import type { Drained } from './cascade.ts';
import { levelOfDrains, lowerEdge, restLevel, runningLevel } from './levels.ts';
import { volumeOf } from './pipe-flow.ts';
import type { Return, Weir, WaterSystem, WaterTank } from './system.ts';

/** Water that comes to the sump when the pump stops, mm³. */
export interface BackPart {
  /** Null for what several tanks share. */
  readonly tank: string | null;
  readonly what: 'over the crest' | 'down to a drain' | 'over the drains' | 'through a return' | 'boxes' | 'pipes';
  readonly volume: number;
}

export interface RunBack {
  readonly parts: readonly BackPart[];
  readonly total: number;
  /** As much, without what is only guessed to stand over the drains of tanks that have no weir. */
  readonly known: number;
  /** What the sump takes over its working level. */
  readonly free: number;
  /** As much, were every siphon break clogged. */
  readonly clogged: number;
  /** Of each tank whose water runs back through a return, siphon breaks clogged: the return that opens deepest, where the tank's water would rest without it, mm under its top edge, and how much runs back down to its opening, mm³; the most first. */
  readonly siphons: readonly { readonly tank: WaterTank; readonly one: Return; readonly rest: number; readonly volume: number }[];
  /** What could not be worked out, by tank. */
  readonly unknown: readonly { readonly tank: string; readonly what: 'level' | 'box' }[];
}

/** How far under the tank's top edge a return stops running back. Check valves are not counted on: they stick. */
const stopOf = ({ opening, siphonBreak }: Return, isClogged: boolean) => (siphonBreak === null || isClogged ? opening : Math.min(opening, siphonBreak));

/** What runs back into the sump when the power fails: from each tank down to the crest of its weir or the opening of its deepest return, what stands in the boxes over their drains, and all that is in the pipes. */
export function runBack(system: WaterSystem, normal: readonly Drained[]): RunBack {
  const { sump, lines } = system;
  const unknown: RunBack['unknown'][number][] = [];
  const siphoned = (tank: WaterTank, isClogged: boolean) => {
    const rest = restLevel(tank);
    return rest === null ? 0 : tank.area * Math.max(0, ...tank.returns.map((one) => Math.min(stopOf(one, isClogged), tank.height) - rest));
  };
  const parts = normal.flatMap(({ tank, inflow, flows }): BackPart[] => {
    const rest = restLevel(tank);
    if (rest === null) unknown.push({ tank: tank.name, what: 'level' });
    const running = tank.weirs.length > 0 ? runningLevel(tank, inflow) : inflow > 0 ? levelOfDrains(tank, flows) : null;
    const above = tank.weirs.length === 0 ? 'over the drains' : tank.weirs.some(({ crest }) => crest === rest) ? 'over the crest' : 'down to a drain';
    const boxes = tank.weirs.map((weir) => boxVolume(tank, weir));
    if (boxes.includes(null)) unknown.push({ tank: tank.name, what: 'box' });
    const part = (what: BackPart['what'], volume: number): BackPart[] => (volume > 0 ? [{ tank: tank.name, what, volume }] : []);
    return [
      ...part(above, rest === null || running === null ? 0 : tank.area * (rest - Math.max(0, running))),
      ...part('through a return', siphoned(tank, false)),
      ...part('boxes', boxes.reduce<number>((sum, volume) => sum + (volume ?? 0), 0)),
      ...part('pipes', [...tank.returns, ...tank.drains.filter(({ isSpare }) => !isSpare)].reduce((sum, { run }) => sum + (run ? volumeOf(run) : 0), 0)),
    ];
  });
  const shared = lines.reduce((sum, { run }) => sum + volumeOf(run), 0);
  const all = shared > 0 ? [...parts, { tank: null, what: 'pipes' as const, volume: shared }] : parts;
  const total = all.reduce((sum, { volume }) => sum + volume, 0);
  const guessed = parts.reduce((sum, { what, volume }) => sum + (what === 'over the drains' ? volume : 0), 0);
  const free = sump.area * (sump.top - sump.working);
  const clogged = system.tanks.reduce((sum, tank) => sum + siphoned(tank, true) - siphoned(tank, false), total);
  const siphons = system.tanks.flatMap((tank) => {
    const volume = siphoned(tank, true);
    return volume > 0 ? [{ tank, one: tank.returns.reduce((deepest, other) => (other.opening > deepest.opening ? other : deepest)), rest: restLevel(tank) ?? 0, volume }] : [];
  });
  return { parts: all, total, known: total - guessed, free, clogged, siphons: siphons.sort((a, b) => b.volume - a.volume), unknown };
}

/** What stands in a box over the lower edge of its lowest drain, where the water reaches up to the crest; null where that is not known. */
function boxVolume({ drains }: WaterTank, weir: Weir): number | null {
  if (weir.box === null) return 0;
  const edges = drains.filter((drain) => drain.weir === weir.name).map(lowerEdge);
  const known = edges.filter((edge) => edge !== null);
  return weir.boxArea === null || known.length === 0 || known.length < edges.length ? null : weir.boxArea * Math.max(0, Math.max(...known) - weir.crest);
}
