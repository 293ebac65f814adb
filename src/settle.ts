import { whyNoRoom } from './geometry/best.ts';
import { ruleTitles, verdicts, worst, type Rule, type Verdict } from './geometry/finding.ts';
import { distanceOf, nearestPlace, origin, type Circle, type Lines, type Mover, type Movers } from './geometry/movers.ts';
import { clearanceToCore, footprint, leastApart, leastDistance, limitsFor, obstaclesOfOther, placeRules, standingObstacles, type Core, type Level } from './geometry/obstacles.ts';
import type { Panel } from './geometry/panel.ts';
import type { Forbidden } from './geometry/region.ts';
import { settle } from './geometry/settle.ts';
import { distanceBetween, type Point } from './geometry/shape.ts';
import { onSteps, type OnSteps } from './geometry/steps.ts';
import { readBuild, type Build, type Included } from './plan/build.ts';
import type { Plan, PlannedHole } from './plan/plan.ts';
import { noRoomWords } from './places.ts';
import { checkBuild, verdictOf, type Checked } from './report.ts';
import { distancesAcross, distancesUp } from './spec/holes.ts';
import { changed, openLengths, type Change, type Fast, type WrittenLength } from './spec/rewrite.ts';
import { notDrilled, partRoom } from './trade/limits.ts';
import { formatInches, millimetresPer, plainNumber, type Unit } from './trade/units.ts';

/** How holes are settled. */
export interface SettleOptions {
  /** Whether only refused holes are moved, and no farther than to the published minimum. */
  readonly isMinimum: boolean;
  /** Steps that distances are written in, mm: those in mm, cm and m, and those in inches and feet. */
  readonly steps: { readonly metric: number; readonly inches: number };
}

/** Usual steps, mm: 1 mm, and 1/16 in. */
export const usualSteps = { metric: 1, inches: millimetresPer.in / 16 } as const;

/** Into how many parts a step is divided where no place on whole steps is allowed: tenths, and halves of halves. */
const partsOfStep = { metric: [1, 2, 5, 10, 100, 1000], inches: [1, 2, 4, 8, 16, 64] } as const;

/** What became of a hole that was refused or tight where it stood. Lengths in mm, as seen from outside. */
export interface SettledHole {
  readonly name: string;
  /** The panel or box whose entry it is; empty where there is but one panel. */
  readonly of: string;
  readonly before: Verdict;
  /** By all rules, moved or not. */
  readonly after: Verdict;
  readonly outcome: 'moved' | 'stays' | 'no room' | 'not moved';
  readonly moved: { readonly right: number; readonly up: number };
  /** The two distances as the spec gives them: key, mm, and as it is written there. */
  readonly distances: readonly { readonly key: string; readonly mm: number; readonly written: string }[];
  /** What its place keeps now, by the rules that moving can cure; null where it is refused by one of them. */
  readonly level: Level | null;
  /** The part of a step that it had to be put on, mm; 0 where none was fine enough, null where whole steps led to a place. */
  readonly finerStep: number | null;
  /** Why it is not moved, or not settled, and what to do; empty where it is. */
  readonly why: string;
}

/** A spec with its faulty holes moved. */
export interface Settlement {
  /** The new text; null where nothing is to be written. */
  readonly text: string | null;
  readonly holes: readonly SettledHole[];
  /** Sum of all moves, mm. */
  readonly total: number;
  readonly before: Verdict;
  readonly after: Verdict;
  /** What is refused still, or worse than before, for reasons that moving does not mend. */
  readonly notes: readonly string[];
  readonly isSettled: boolean;
}

/** A hole on one of the panels that its entry is drilled in. */
interface Appearance {
  readonly at: number;
  readonly plan: Plan;
  readonly hole: PlannedHole;
}

/** An entry of a list of holes, and all that is drilled by it. */
interface Entry {
  readonly path: PlannedHole['from']['path'];
  readonly isAlone: boolean;
  readonly all: readonly Appearance[];
}

/** What is to be done with a faulty entry. */
interface Faulty {
  readonly entry: Entry;
  readonly before: Verdict;
  /** Its verdict by the rules that moving can cure. */
  readonly fault: Verdict;
  /** Its two distances in the text; or why it cannot be moved. */
  readonly place: readonly [Distance, Distance] | Fast;
}

/** One of the two distances of a hole: +1 where more of it is farther right or up. */
type Distance = WrittenLength & { readonly key: string; readonly sign: 1 | -1 };

/**
 * Moves all holes that are refused or tight by a rule that moving can cure, all together with the least movement that is
 * found, and writes their distances anew. Pure.
 * @param text the spec, as it was read into that build
 */
export function settleSpec(text: string, build: Build, include: (name: string) => Included, options: SettleOptions): Settlement {
  const checked = checkBuild(build);
  const before = verdictOf(checked);
  const entries = entriesOf(build);
  const faults = faultsOf(checked);
  const lengths = openLengths(text, build.units);
  const faulty = entries.flatMap((entry): Faulty[] => {
    const verdict = worst(entry.all.map(({ at, hole }) => faults[at]?.get(hole.name) ?? 'clear'));
    if (verdict === 'clear' || (verdict === 'tight' && options.isMinimum)) return [];
    return [{ entry, fault: verdict, before: worst(entry.all.map(({ at, hole }) => verdictAt(checked, at, hole))), place: placeOf(entry, checked, lengths) }];
  });
  const moving = faulty.filter((one): one is Moving => !('found' in one.place));
  const movers = moversOf(moving, build, options);
  const wanted = moving.map(({ entry }): Level => (options.isMinimum || repeatsItself(entry, 'good practice') ? 'minimum' : 'good practice'));
  const found = onSteps(movers, settle(movers, wanted));

  const written = moving.map(({ place }, index) => place.map((distance, axis) => writtenAt(distance, found[index] as OnSteps, axis === 0 ? 'x' : 'y', options)));
  const changes = written.flat().flatMap(({ change }) => change ?? []);
  const newText = changed(text, changes);
  const reading = changes.length > 0 ? readBuild(newText, include) : { build };
  // What is moved keeps its distance from the places that were found for others, so that these find one again.
  if ('problems' in reading) throw new Error(`the settled spec cannot be read: ${reading.problems[0]?.found ?? ''}`);
  const after = checkBuild(reading.build);
  const faultsAfter = faultsOf(after);

  const holes = faulty.flatMap((one): SettledHole | [] => {
    const { entry, place } = one;
    const at = moving.indexOf(one as Moving);
    const name = nameOf(entry, build);
    const verdict = worst(entry.all.map((each) => verdictAt(after, each.at, each.hole)));
    const movable = worst(entry.all.map((each) => faultsAfter[each.at]?.get(each.hole.name) ?? 'clear'));
    const level = movable === 'refused' ? null : movable === 'tight' ? 'minimum' : 'good practice';
    const common = { ...name, before: one.before, after: verdict, level } as const;
    const isCured = level === 'good practice' || (options.isMinimum && level !== null);
    // What is found elsewhere now is told in a note.
    if (at < 0 && isCured && entry.all.some(({ at: panel, hole }) => isElsewhere(hole, after[panel]?.plan))) return [];
    if (at < 0) return { ...common, outcome: isCured ? 'stays' : 'not moved', moved: { right: 0, up: 0 }, distances: [], finerStep: null, why: isCured ? madeRoom : 'found' in place ? `${place.found}: ${place.fix}` : '' };
    const held = found[at] as OnSteps;
    const isMoved = !held.isOut && distanceOf(held.place) > 0;
    return {
      ...common,
      outcome: held.isOut ? 'no room' : isMoved ? 'moved' : 'stays',
      moved: { right: held.place.x, up: held.place.y },
      distances: (written[at] as Written[]).map(({ key, mm, told }) => ({ key, mm, written: told })),
      finerStep: (written[at] as Written[]).find(({ finerStep }) => finerStep !== null)?.finerStep ?? null,
      why: held.isOut ? noRoomOf(one as Moving, moving, build, options) : isMoved ? '' : one.fault === 'refused' || level === 'good practice' ? madeRoom : 'no place that is left meets good practice, and it keeps the published minimum',
    };
  });
  const isUnsettled = holes.some(({ outcome, level }) => outcome === 'no room' || outcome === 'not moved' || level === null);
  return {
    text: changes.length > 0 ? newText : null,
    holes,
    total: holes.reduce((sum, { moved, outcome }) => sum + (outcome === 'moved' ? Math.hypot(moved.right, moved.up) : 0), 0),
    before,
    after: verdictOf(after),
    notes: [...foundAnew(build, reading.build), ...worsened(checked, after, build, holes), ...otherwiseRefused(after, build)],
    isSettled: !isUnsettled && verdictOf(after) !== 'refused',
  };
}

/** Why a hole that was at fault may stay. */
const madeRoom = 'the others make room for it';

type Moving = Faulty & { readonly place: readonly [Distance, Distance] };

function entriesOf({ panels }: Build): Entry[] {
  const entries = new Map<string, Appearance[]>();
  for (const [at, plan] of panels.entries()) {
    for (const hole of plan.holes) {
      // Of an entry that stands for several holes each is by itself.
      const key = JSON.stringify(hole.from.isAlone ? hole.from.path : [hole.from.path, at, hole.name]);
      const all = entries.get(key);
      if (all) all.push({ at, plan, hole });
      else entries.set(key, [{ at, plan, hole }]);
    }
  }
  return [...entries.values()].map((all) => ({ path: (all[0] as Appearance).hole.from.path, isAlone: (all[0] as Appearance).hole.from.isAlone, all }));
}

/** The worst verdict of each hole by the rules that moving can cure, panel by panel. */
function faultsOf(checked: readonly Checked[]): ReadonlyMap<string, Verdict>[] {
  return checked.map(({ report }) => {
    const faults = new Map<string, Verdict>();
    for (const { hole, rule, verdict } of report.findings) {
      if (verdict !== 'clear' && placeRules.has(rule)) faults.set(hole, worst([verdict, faults.get(hole) ?? 'clear']));
    }
    return faults;
  });
}

const verdictAt = (checked: readonly Checked[], at: number, { name }: PlannedHole) => checked[at]?.report.byHole.get(name) ?? 'clear';

/** What a hole is called, and whose it is. */
function nameOf({ path, all }: Entry, build: Build): { name: string; of: string } {
  const [first] = all as [Appearance];
  return path[0] === 'boxes' ? { name: first.hole.inWall?.name ?? first.hole.name, of: String(path[1]) } : { name: first.hole.name, of: build.panels.length > 1 ? first.plan.part : '' };
}

/** Keys whose distances grow to the left or downwards. */
const backwards: ReadonlySet<string> = new Set(['from-right', 'from-top']);

/** The two distances of an entry, or why it cannot be moved. */
function placeOf(entry: Entry, checked: readonly Checked[], lengths: ReturnType<typeof openLengths>): Faulty['place'] {
  if (!entry.isAlone) return { found: 'it is one of several that an entry stands for, or its place is found by the tool', fix: 'change that entry, or write the hole as an entry of its own' };
  const blocked = entry.all.find(({ plan }) => notDrilled[plan.panel.material]);
  if (blocked) return { found: `${blocked.plan.panel.material} is not drilled anywhere`, fix: 'see panejig check' };
  const inBox = entry.all.find(({ at, hole }) => hole.box && checked[at]?.report.byHole.get(hole.box) === 'refused');
  if (inBox) return { found: `its box ${inBox.hole.box} is refused itself, and boxes are not moved`, fix: 'place the box elsewhere first' };
  if (repeatsItself(entry, 'minimum')) return { found: 'two boxes that it belongs to stand too near to each other', fix: 'place one of the boxes elsewhere' };
  const [across, up] = [lengths.lengthAt(entry.path, distancesAcross), lengths.lengthAt(entry.path, distancesUp)];
  if ('found' in across) return across;
  if ('found' in up) return up;
  const odd = [across, up].find((length) => length.write(length.mm + 1) === undefined);
  if (odd) return { found: `its ${odd.key} is written in a way that cannot be written anew`, fix: `write ${odd.key} as a plain length, such as 60 mm` };
  const signed = (length: WrittenLength & { key: string }): Distance => ({ ...length, sign: backwards.has(length.key) ? -1 : 1 });
  return [signed(across), signed(up)];
}

/** Whether an entry that is drilled twice in a panel, as the hole of a box that stands there twice, is too near to itself: moving it changes nothing of that. */
function repeatsItself({ all }: Entry, level: Level): boolean {
  return all.some((one, index) => all.slice(index + 1).some((other) => other.at === one.at && leastApart(one.plan.panel, one.hole, other.hole, level) > distanceBetween(one.hole.center, other.hole.center) + 1e-6));
}

/** For a hole of a panel no less than what any other hole there asks between the two centers, mm. */
function mostAsked(panel: Panel, holes: readonly PlannedHole[]): (hole: PlannedHole) => number {
  let [widest, reach] = [0, 0];
  for (const hole of holes) [widest, reach] = [Math.max(widest, hole.diameter), Math.max(reach, footprint(hole).radius)];
  // Limits grow with the diameter.
  const { floor, good } = limitsFor(panel, 'betweenHoles', widest);
  const ligament = Math.max(floor?.value ?? 0, good?.value ?? 0, partRoom.good);
  return (hole) => footprint(hole).radius + reach + 2 * panel.placement + ligament;
}

/** The faulty entries as what may be moved. @param without a rule that is left out, to see whether it leaves no room */
function moversOf(moving: readonly Moving[], build: Build, { steps }: SettleOptions, without?: Rule): Movers {
  const taken = new Set(moving.flatMap(({ entry }) => entry.all.map(({ hole }) => hole)));
  const fixed = build.panels.map(({ holes }) => holes.filter((hole) => !taken.has(hole)));
  const asked = build.panels.map(({ panel, holes }) => mostAsked(panel, holes));
  const most = moving.map(({ entry }) => entry.all.map(({ at, hole }) => (asked[at] as (hole: PlannedHole) => number)(hole)));
  const radii = new Map<string, readonly Circle[]>();
  return {
    all: moving.map(({ entry, place }, one): Mover => {
      // The wall of a box lies within the panels that it stands on.
      const home = entry.all.find(({ plan }) => plan.isBoxWall) ?? (entry.all[0] as Appearance);
      const outline = home.plan.panel.outline.map((p) => moveTo(home.hole, p));
      const standing = entry.all.flatMap(({ plan: { panel }, hole }) =>
        standingObstacles(panel, hole).filter(({ rule }) => rule !== without || rule === 'to-edge').map((obstacle) => ({ core: moveToCore(hole, obstacle.core), rule: obstacle.rule, minimum: leastDistance(obstacle, 'minimum'), 'good practice': leastDistance(obstacle, 'good practice') })),
      );
      return {
        outline: home.hole.from.isMirrored ? outline.reverse() : outline,
        near(to, reach, level) {
          const found: Forbidden[] = [];
          for (const obstacle of standing) {
            // The panel ends at its edge, whatever else is left out.
            const radius = obstacle.rule === without ? 0.001 : obstacle[level];
            if (radius > -Infinity && clearanceToCore(to, obstacle.core).distance - radius < reach) found.push({ core: obstacle.core, radius });
          }
          for (const [index, { at, plan: { panel }, hole }] of entry.all.entries()) {
            const center = moveTo(hole, origin);
            const far = reach + ((most[one] as number[])[index] as number);
            for (const other of fixed[at] as PlannedHole[]) {
              // What is far off is left out before anything is made for it.
              const [x, y] = [center.x + (hole.from.isMirrored ? -other.center.x : other.center.x) - to.x, center.y + other.center.y - to.y];
              if (x * x + y * y >= far * far) continue;
              const core: Core = { kind: 'point', at: moveTo(hole, other.center) };
              const obstacles = obstaclesOfOther(panel, hole, other).filter(({ rule }) => rule !== without);
              const radius = Math.max(...obstacles.map((obstacle) => leastDistance(obstacle, level)));
              if (radius > 0 && distanceBetween(to, core.at) - radius < reach) found.push({ core, radius });
            }
          }
          return found;
        },
        across: linesOf(place[0], steps),
        up: linesOf(place[1], steps),
      };
    }),
    apart(one, other, level) {
      const key = `${one} ${other} ${level}`;
      const known = radii.get(key);
      if (known) return known;
      const circles = (moving[one] as Moving).entry.all.flatMap((a) => (moving[other] as Moving).entry.all.filter(({ at }) => at === a.at).map((b): Circle => ({ at: moveTo(a.hole, b.hole.center), radius: leastApart(a.plan.panel, a.hole, b.hole, level) })));
      radii.set(key, circles);
      return circles;
    },
    room(one, other) {
      let least = Infinity;
      for (const [index, a] of (moving[one] as Moving).entry.all.entries()) {
        for (const b of (moving[other] as Moving).entry.all) {
          if (a.at === b.at) least = Math.min(least, distanceBetween(a.hole.center, b.hole.center) - ((most[one] as number[])[index] as number));
        }
      }
      return least;
    },
  };
}

/** The move of a hole that brings its center to a place on its panel. */
function moveTo({ center, from }: PlannedHole, { x, y }: Point): Point {
  return { x: from.isMirrored ? center.x - x : x - center.x, y: y - center.y };
}

function moveToCore(hole: PlannedHole, core: Core): Core {
  switch (core.kind) {
    case 'point':
      return { kind: 'point', at: moveTo(hole, core.at) };
    case 'segment': {
      const [a, b] = [moveTo(hole, core.a), moveTo(hole, core.b)];
      // The panel stays on the left.
      return hole.from.isMirrored ? { kind: 'segment', a: b, b: a } : { kind: 'segment', a, b };
    }
    case 'rect': {
      const [p, q] = [moveTo(hole, { x: core.rect.left, y: core.rect.bottom }), moveTo(hole, { x: core.rect.right, y: core.rect.top })];
      return { kind: 'rect', rect: { left: Math.min(p.x, q.x), right: Math.max(p.x, q.x), bottom: p.y, top: q.y } };
    }
  }
}

/** The moves that bring a distance to whole steps. */
function linesOf({ mm, sign, isInches }: Distance, steps: SettleOptions['steps']): Lines {
  const kind = isInches ? 'inches' : 'metric';
  return { origin: -sign * mm, step: steps[kind], parts: partsOfStep[kind] };
}

/** One distance of a hole as it is written in the new text. */
interface Written {
  readonly key: string;
  readonly mm: number;
  readonly told: string;
  readonly change: Change | undefined;
  /** The part of a step that it had to be written in, mm; 0 where none was fine enough, null where whole steps were. */
  readonly finerStep: number | null;
}

function writtenAt(distance: Distance, { place, division, isOut }: OnSteps, axis: 'x' | 'y', { steps }: SettleOptions): Written {
  const { key, sign, range } = distance;
  const by = isOut ? 0 : place[axis];
  const { step, parts } = linesOf(distance, steps);
  const fine = division === null ? 0 : step / (parts[division] ?? 1);
  const aimed = distance.mm + sign * by;
  const mm = fine === 0 ? Math.round(aimed * 1e7) / 1e7 : Math.round(aimed / fine) * fine;
  const text = Math.abs(by) < 1e-9 ? undefined : distance.write(mm);
  return { key, mm: text === undefined ? distance.mm : mm, told: distance.told(text), change: text === undefined ? undefined : { range, text }, finerStep: text === undefined || division === 0 ? null : fine };
}

/** Where more holes than this must move, it is their number that leaves no room. */
const mostExplained = 40;

/** Why a hole finds no place that keeps the published minimum, and what would help. */
function noRoomOf(one: Moving, moving: readonly Moving[], build: Build, options: SettleOptions): string {
  if (moving.length > mostExplained) return 'the holes that must move leave no place that keeps the published minimum: take smaller fittings, fewer holes or a larger panel';
  const hasRoom = (without?: Rule) => nearestPlace(moversOf(moving, build, options, without).all[moving.indexOf(one)] as Mover, origin, 'minimum', () => []) !== undefined;
  if (hasRoom()) return 'the other holes that must move leave it no place that keeps the published minimum: take smaller fittings, fewer holes or a larger panel';
  const [{ plan, hole }, ...more] = one.entry.all as [Appearance, ...Appearance[]];
  const taken = new Set(moving.flatMap(({ entry }) => entry.all.map((each) => each.hole)));
  const reason = more.length > 0 ? undefined : whyNoRoom(plan.panel, hole, plan.holes.filter((other) => !taken.has(other)), 'minimum');
  if (reason) return noRoomWords(reason, build.units);
  const rules = [...placeRules].filter(hasRoom).map((rule) => ruleTitles[rule]);
  return `no place keeps the published minimum in all that it is drilled in${rules.length > 0 ? `; without the rule "${rules.join('" or the rule "')}" there would be one` : ''}: take a smaller fitting or a larger box`;
}

/** Holes whose place the tool finds, and finds elsewhere now. */
function foundAnew(before: Build, after: Build): string[] {
  return before.panels.flatMap((plan, at) =>
    plan.found.flatMap(({ name }) => {
      const was = plan.holes.find((hole) => hole.name === name);
      return was && isElsewhere(was, after.panels[at]) ? [`${calledOf({ name, of: before.panels.length > 1 ? plan.part : '' })} stands elsewhere now, as its place is found anew beside the holes that were moved`] : [];
    }),
  );
}

function isElsewhere(was: PlannedHole, after: Plan | undefined): boolean {
  const is = after?.holes.find(({ name }) => name === was.name);
  return is !== undefined && distanceBetween(was.center, is.center) > 1e-3;
}

/** Holes that were not to be moved, and are worse off for what was. */
function worsened(before: readonly Checked[], after: readonly Checked[], build: Build, holes: readonly SettledHole[]): string[] {
  const told = new Set(holes.map(({ of, name }) => JSON.stringify([of, name])));
  return entriesOf(build).flatMap((entry) => {
    const name = nameOf(entry, build);
    const [was, is] = [before, after].map((checked) => worst(entry.all.map(({ at, hole }) => verdictAt(checked, at, hole)))) as [Verdict, Verdict];
    return verdicts.indexOf(is) > verdicts.indexOf(was) && !told.has(JSON.stringify([name.of, name.name])) ? [`${calledOf(name)} was ${was} and is ${is} now, as a hole beside it was moved no farther than to the published minimum`] : [];
  });
}

/** What is refused still by rules that moving does not mend. */
function otherwiseRefused(after: readonly Checked[], build: Build): string[] {
  return after.flatMap(({ plan, report }) => {
    const byName = new Map<string, Set<Rule>>();
    for (const { hole, rule, verdict } of report.findings) {
      if (verdict === 'refused' && !placeRules.has(rule)) byName.set(hole, (byName.get(hole) ?? new Set()).add(rule));
    }
    return [...byName].map(([name, rules]) => `${calledOf({ name, of: build.panels.length > 1 ? plan.part : '' })} is refused by what moving a hole does not mend: ${[...rules].map((rule) => ruleTitles[rule]).join(', ')}; see panejig check`);
  });
}

/** "back: drain", or the name alone where there is but one panel. */
export function calledOf({ name, of }: { readonly name: string; readonly of: string }): string {
  return of ? `${of}: ${name}` : name;
}

/** A settled hole in a sentence: how far it was moved, in the panel's own terms as seen from outside, and where to; or why not. */
export function settledWords(hole: SettledHole, unit: Unit): string {
  const { outcome, moved, distances, level, finerStep, why, before, after } = hole;
  const called = calledOf(hole);
  if (outcome === 'no room' || outcome === 'not moved') return `${called}: ${outcome === 'no room' ? 'no room' : 'not moved'}, ${before === after ? `${before} still` : `${before} before, ${after} now`}: ${why}`;
  if (outcome === 'stays') return `${called}: stays where it is: ${why} (${level === 'minimum' ? 'published minimum' : (level ?? 'still refused')})`;
  const length = (mm: number) => (unit === 'in' ? formatInches(mm) : `${plainNumber(mm / millimetresPer[unit], 3)} ${unit}`);
  const ways = [
    Math.abs(moved.right) < 1e-9 ? '' : `${length(Math.abs(moved.right))} ${moved.right > 0 ? 'right' : 'left'}`,
    Math.abs(moved.up) < 1e-9 ? '' : `${length(Math.abs(moved.up))} ${moved.up > 0 ? 'up' : 'down'}`,
  ];
  const kept = level === null ? 'still refused' : level === 'minimum' ? 'published minimum' : level;
  const finer = finerStep === null ? '' : finerStep === 0 ? '; no step leads into the room that there is' : `; in steps of ${length(finerStep)}, as no whole one leads into the room that there is`;
  return `${called}: moved ${ways.filter(Boolean).join(' and ')}: ${distances.map(({ key, written }) => `${key} ${written}`).join(', ')} (${kept}${finer})`;
}
