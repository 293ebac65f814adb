import { bestPlace, obstaclesFor, spareAt, whyNoRoom, type BestPlace } from '../geometry/best.ts';
import { ruleTitles } from '../geometry/finding.ts';
import { levels } from '../geometry/obstacles.ts';
import type { Hole, Panel, Side } from '../geometry/panel.ts';
import type { Point, Rect } from '../geometry/shape.ts';
import { distancesAcross, distancesUp } from '../spec/holes.ts';
import { shown, type Problem } from '../spec/problem.ts';
import { notDrilled } from '../trade/limits.ts';
import { formatLength, lengthSlack } from '../trade/units.ts';
import { nearerOffset, type Path, type Work } from './hole.ts';
import type { Found, PlannedHole } from './plan.ts';
import type { SoleHole, WrittenHole } from './written.ts';

type DatumOf = (side: Side, path?: Path) => number;

/** Most holes of a panel whose place is sought: each is placed many times over. */
const mostSought = 12;
/** Places sought times edges, areas and holes that they keep off. Our choice: seconds, not minutes. */
const mostLyingRound = 8000;

/** All holes with places for those whose place is sought, and how much room is left there. Undefined where one has none, which is then among the problems. */
export function withPlacesFound(holes: readonly PlannedHole[], list: readonly WrittenHole[], panel: Panel, bounds: Rect, datumOf: DatumOf, work: Work): { holes: readonly PlannedHole[]; found: readonly Found[] } | undefined {
  const { source, problems } = work;
  const sought = list.flatMap(({ hole: { place, ...given }, path }, index) => (place === undefined ? [] : [{ index, given, path, hole: holes[index] as PlannedHole }]));
  if (sought.length === 0) return { holes, found: [] };
  const lyingRound = panel.edges.length + panel.keepClear.length + holes.length;
  const most = Math.max(1, Math.min(mostSought, Math.floor(mostLyingRound / lyingRound)));
  const one = sought[most];
  if (one) {
    problems.push(source.problem([...one.path, 'place'], `a place is sought for ${sought.length} holes of this panel`, `at most ${most} of a panel${most < mostSought ? ` that has ${lyingRound} edges, areas and holes` : ''}`, 'spread holes that are alike with row or repeat, and leave place: best to the others'));
    return undefined;
  }
  const told = problems.length;
  const ranges = sought.map(({ given, path, hole }) => rangeWithin(given, path, hole.center, bounds, datumOf, work));
  if (problems.length > told) return undefined;
  const standing = holes.filter((_, index) => list[index]?.hole.place === undefined);
  const result = findPlaces(panel, standing, sought.map(({ hole }, index) => ({ hole, within: ranges[index] as Rect })));
  if ('lost' in result) {
    const { hole, path } = sought[result.lost] as (typeof sought)[number];
    problems.push(noPlace(hole, [...path, 'place'], panel, result.others, ranges[result.lost] as Rect, work));
    return undefined;
  }
  const settled = [...holes];
  for (const [at, { index, given, hole }] of sought.entries()) {
    const { center } = result.places[at] as BestPlace;
    const [across, up] = hole.offsets;
    const offsets = [isFixed(given, distancesAcross) ? across : nearerOffset(center.x, 'left', 'right', datumOf), isFixed(given, distancesUp) ? up : nearerOffset(center.y, 'bottom', 'top', datumOf)] as const;
    settled[index] = { ...hole, center, offsets };
  }
  return { holes: settled, found: result.places.map(({ spare, level }, at) => ({ name: (sought[at] as (typeof sought)[number]).hole.name, spare, level })) };
}

const isFixed = (hole: SoleHole, keys: typeof distancesAcross | typeof distancesUp) => keys.some((key) => hole[key] !== undefined);

/** Where the centre of a hole may be sought: on the line that one distance fixes, and within the limits that the spec sets. */
function rangeWithin(hole: SoleHole, path: Path, { x, y }: Point, bounds: Rect, datumOf: DatumOf, { source, problems, units }: Work): Rect {
  const { 'from-left': left, 'from-right': right, 'from-top': top, 'from-bottom': bottom } = hole.within ?? {};
  const limit = (side: Side, mm: number | undefined) => (mm === undefined ? bounds[side] : datumOf(side, path) + (side === 'left' || side === 'bottom' ? mm : -mm));
  const range = {
    ...(isFixed(hole, distancesAcross) ? { left: x, right: x } : { left: limit('left', left), right: limit('right', right) }),
    ...(isFixed(hole, distancesUp) ? { bottom: y, top: y } : { bottom: limit('bottom', bottom), top: limit('top', top) }),
  };
  for (const [low, high] of [['left', 'right'], ['bottom', 'top']] as const) {
    const over = range[low] - range[high];
    if (over <= lengthSlack) continue;
    problems.push(source.problem([...path, 'within'], `its limits from ${low} and ${high} overlap by ${formatLength(over, units)}, so that no place is left between them`, `limits that leave room on a panel of ${[bounds.right - bounds.left, bounds.top - bounds.bottom].map((mm) => formatLength(mm, units)).join(' by ')}`, 'check both and their units'));
  }
  return range;
}

/** Most things that are named as leaving no room. */
const mostNamed = 4;

/** Says that a hole has no place, and what leaves it none. */
function noPlace(hole: PlannedHole, path: Path, panel: Panel, others: readonly Hole[], within: Rect, { source, units }: Work): Problem {
  const refusal = notDrilled[panel.material];
  if (refusal) return source.problem(path, `${shown(hole.name)} has no place: ${refusal.reason}`, 'a panel that can be drilled', refusal.fix);
  const reason = whyNoRoom(panel, hole, others, 'minimum', within);
  const named = [...new Set(reason?.between.map(({ rule, name }) => `${ruleTitles[rule]} (${name})`))].slice(0, mostNamed).join(', ');
  const short = reason?.short ?? null;
  return source.problem(
    path,
    `${shown(hole.name)} has no place: ${named && short !== null ? `the best there is falls ${formatLength(short, units)} short of what these ask: ${named}` : 'wherever it may be looked for, a rule leaves it no room'}`,
    'a hole that the published minimum leaves a place',
    'choose a smaller hole or fitting, widen within, or move what it is short of',
  );
}

/** A hole whose place is to be found. */
interface Sought {
  readonly hole: Hole;
  readonly within: Rect;
}

/** The places found, or the first hole that finds none, and beside which others. */
type Places = { readonly places: readonly BestPlace[] } | { readonly lost: number; readonly others: readonly Hole[] };

/** A hole moves only where it gains more than this, mm: less is nothing to a drill. */
const leastGain = 0.05;
/** How often each hole is placed anew at most. */
const mostRounds = 60;
/** Places sought times all that lies round them, up to which several starts are tried, and that all rounds may take: beyond that each is placed once. Our choice, for the sake of time. */
const mostWork = { ofStarts: 10_000, ofRounds: 20_000 };

/** One search for each place, as what it has to look at. */
const workOf = ({ edges, keepClear, boxes }: Panel, standing: readonly Hole[], sought: readonly Sought[]) => sought.length * (edges.length + keepClear.length + boxes.length + standing.length + sought.length);

/** The more room to spare, the better; good practice before all else. */
function isBetter(one: BestPlace, other: BestPlace, by = 0): boolean {
  return one.level === other.level ? one.spare > other.spare + by : one.level === 'good practice';
}

/**
 * Finds places for several holes among those that stand: one after the other, then each again, the others fixed, until
 * none gains. As the first may take the room of the next, shares of the room, side by side and one over the other, are
 * tried as well; they go on from the start that leaves the worst of them the most. Where very much lies round, one start and
 * few turns, or none, must do.
 */
function findPlaces(panel: Panel, standing: readonly Hole[], sought: readonly Sought[]): Places {
  const starts = (sought.length > 1 && workOf(panel, standing, sought) <= mostWork.ofStarts ? [inTurn, sideBySide, oneOverOther] : [inTurn]).map((shareOf) => placeInTurn(panel, standing, sought, shareOf));
  const found = starts.flatMap((start) => ('places' in start ? [start.places] : []));
  const [first, ...others] = found;
  if (!first) return starts[0] as Places;
  return { places: improved(panel, standing, sought, others.reduce((best, places) => (isBetter(worstOf(places), worstOf(best), leastGain) ? places : best), first)) };
}

type ShareOf = (within: Rect, index: number, count: number) => Rect;
const part = (from: number, to: number, share: number) => from + (to - from) * share;
const inTurn: ShareOf = (within) => within;
const sideBySide: ShareOf = ({ left, right, ...rest }, index, count) => ({ ...rest, left: part(left, right, index / count), right: part(left, right, (index + 1) / count) });
const oneOverOther: ShareOf = ({ bottom, top, ...rest }, index, count) => ({ ...rest, top: part(top, bottom, index / count), bottom: part(top, bottom, (index + 1) / count) });

function placeInTurn(panel: Panel, standing: readonly Hole[], sought: readonly Sought[], shareOf: ShareOf): Places {
  const places: BestPlace[] = [];
  for (const [index, { hole, within }] of sought.entries()) {
    const others = [...standing, ...placedAt(sought, places)];
    const place = bestPlace(panel, hole, others, shareOf(within, index, sought.length));
    if (!place) return { lost: index, others };
    places.push(place);
  }
  return { places };
}

/** Each place anew, the others fixed, until none gains. */
function improved(panel: Panel, standing: readonly Hole[], sought: readonly Sought[], start: readonly BestPlace[]): readonly BestPlace[] {
  const places = [...start];
  if (places.length === 1) return places;
  const rounds = Math.min(mostRounds, Math.floor(mostWork.ofRounds / workOf(panel, standing, sought)));
  for (let round = 0; round < rounds; round += 1) {
    let isDone = true;
    for (const [index, { hole, within }] of sought.entries()) {
      const others = [...standing, ...placedAt(sought, places).filter((_, other) => other !== index)];
      const here = placeAt((places[index] as BestPlace).center, panel, hole, others);
      const best = bestPlace(panel, hole, others, within);
      const isGain = best !== undefined && isBetter(best, here, leastGain);
      places[index] = isGain ? best : here;
      isDone &&= !isGain;
    }
    if (isDone) return places;
  }
  // Those that moved last may stand nearer to the others than they did.
  return sought.map(({ hole }, index) => placeAt((places[index] as BestPlace).center, panel, hole, [...standing, ...placedAt(sought, places).filter((_, other) => other !== index)]));
}

/** A place as it is now: the others may have moved since it was found. */
function placeAt(center: Point, panel: Panel, hole: Hole, others: readonly Hole[]): BestPlace {
  const obstacles = obstaclesFor(panel, hole, others);
  const [minimum, good] = levels;
  const spare = spareAt(center, obstacles, good);
  return spare > -lengthSlack ? { center, spare, level: good } : { center, spare: spareAt(center, obstacles, minimum), level: minimum };
}

/** The first holes at the places found for them. */
function placedAt(sought: readonly Sought[], places: readonly BestPlace[]): Hole[] {
  return places.map(({ center }, index) => ({ ...(sought[index] as Sought).hole, center }));
}

function worstOf(places: readonly BestPlace[]): BestPlace {
  return places.reduce((worst, one) => (isBetter(worst, one) ? one : worst));
}
