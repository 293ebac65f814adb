import { bounds } from '../spec/fields.ts';
import { shown } from '../spec/problem.ts';
import type { SpecEntry, SpecHole, SpecRow } from '../spec/schema.ts';
import { formatLength, lengthSlack } from '../trade/units.ts';
import type { Path, Work } from './hole.ts';
import type { Spacing } from './plan.ts';

/** A hole by itself: rows spread, repeats and twins made. */
export type SoleHole = Omit<SpecHole, 'repeat' | 'mirror'>;

/** A hole by itself, and the entry of its list that it comes from. */
export interface WrittenHole {
  readonly hole: SoleHole;
  readonly entry: number;
  readonly path: Path;
  /** Where its keys stand: in the entry, or in its row. */
  readonly keysPath: Path;
  readonly isAlone: boolean;
}

/** A list of holes, written out. */
export interface WrittenList {
  readonly holes: readonly WrittenHole[];
  readonly spacings: readonly Spacing[];
}

export type Axis = 'across' | 'up';

/** The distances along each axis: from the side with the lower coordinates, from the other, and from the middle. */
const along = {
  across: { low: 'from-left', high: 'from-right', middle: 'from-center-x', lowSide: 'left', highSide: 'right' },
  up: { low: 'from-bottom', high: 'from-top', middle: 'from-center-y', lowSide: 'bottom', highSide: 'top' },
} as const;

/** The axes that a mirror exchanges the sides of. */
const mirrored = { 'left-right': ['across'], 'top-bottom': ['up'], both: ['up', 'across'] } as const;

/** The distances that say where a hole lies. */
type Distances = { readonly [Key in (typeof along)[Axis]['low' | 'high' | 'middle']]?: number | undefined };

export const unplaced: Distances = { 'from-left': undefined, 'from-right': undefined, 'from-center-x': undefined, 'from-top': undefined, 'from-bottom': undefined, 'from-center-y': undefined };

/** One of several holes: where it is, and what tells its name from the others': its number, or the side of a twin. */
interface Placed {
  readonly at: Distances;
  readonly words: readonly string[];
}

/** Length between the lines that distances along an axis are measured from, mm. */
export type LengthAlong = (axis: Axis, path: Path) => number;

/**
 * Writes a list of holes out: each row is spread, repeated, then mirrored. Distances stay in the terms of the entry:
 * from-left stays from-left, and becomes from-right for a twin. What is wrong is among the problems, and its entry left out.
 */
export function writeOut(entries: readonly SpecEntry[], path: Path, lengthAlong: LengthAlong, work: Work): WrittenList {
  const holes: WrittenHole[] = [];
  const spacings: Spacing[] = [];
  for (const [entry, given] of entries.entries()) {
    const entryPath = [...path, entry];
    const [of, at] = given.row ? [given.row, [...entryPath, 'row']] : [given, entryPath];
    const total = holesOf(given);
    if (holes.length + total > bounds.holes) {
      work.problems.push(work.source.problem(at, `makes ${total} holes${holes.length > 0 ? `, after ${holes.length} before it` : ''}`, `at most ${bounds.holes} holes on a panel`, 'check its counts'));
      break;
    }
    const from = { entry, path: entryPath, keysPath: at };
    if (total === 1) {
      holes.push({ ...from, hole: of, isAlone: !('place' in of && of.place !== undefined) });
    } else {
      const several = severalHoles(of, at, lengthAlong, work);
      if (!several) continue;
      const { repeat: _repeat, mirror: _mirror, ...one } = of;
      const named = several.placed.map(({ at: distances, words }) => ({ ...one, ...unplaced, ...distances, name: [of.name, ...words].join(' ') }));
      if (tellLongName(named, of.name, [...at, 'name'], work)) continue;
      holes.push(...named.map((hole) => ({ ...from, hole, isAlone: false })));
      if (several.spacing) spacings.push(several.spacing);
    }
  }
  return { holes, spacings };
}

/** How many holes an entry stands for. */
function holesOf(entry: SpecEntry): number {
  const { count, repeat, mirror } = entry.row ?? { count: 1, ...entry };
  return count * (repeat?.count ?? 1) * (mirror === undefined ? 1 : 2 ** mirrored[mirror].length);
}

/** The holes of a row, a repeat or a mirror, row by row, each with its twins after it. */
function severalHoles(of: SpecHole | SpecRow, path: Path, lengthAlong: LengthAlong, work: Work): { placed: readonly Placed[]; spacing: Spacing | undefined } | undefined {
  const { name, repeat, mirror } = of;
  const row = 'count' in of ? spreadRow(of, path, lengthAlong, work) : { placed: [{ at: of, words: [] }], apart: 0 };
  if (!row) return undefined;
  const [right, up] = [(repeat?.right ?? 0) - (repeat?.left ?? 0), (repeat?.up ?? 0) - (repeat?.down ?? 0)];
  const repeated = repeat
    ? Array.from({ length: repeat.count }, (_, index) => row.placed.map(({ at, words }): Placed => ({ at: moved(moved(at, 'across', index * right), 'up', index * up), words: [[index + 1, ...words].join('-')] }))).flat()
    : row.placed;
  const placed = mirror ? withTwins(repeated, name, mirror, path, lengthAlong, work) : repeated;
  if (!placed || tellCoinciding(placed, name, mirror, path, lengthAlong, work)) return undefined;
  // Of a hole that is repeated the repeats are the row.
  const [count, apart] = 'count' in of ? [of.count, row.apart] : [repeat?.count ?? 1, Math.hypot(right, up)];
  return { placed, spacing: count > 1 ? { name, count, apart, rows: placed.length / count } : undefined };
}

/** The holes of a row from left to right, or from the top down: exactly even, the first and the last at its bounds. */
function spreadRow(row: SpecRow, path: Path, lengthAlong: LengthAlong, { source, problems, units }: Work): { placed: readonly Placed[]; apart: number } | undefined {
  const [axis, start, end] = row['from-left'] !== undefined && row['from-right'] !== undefined ? (['across', 'from-left', 'from-right'] as const) : (['up', 'from-top', 'from-bottom'] as const);
  const told = problems.length;
  const length = lengthAlong(axis, path);
  if (problems.length > told) return undefined;
  const [first, ending] = [row[start] as number, row[end] as number];
  const last = length - ending;
  if (last - first <= lengthSlack) {
    const words = (mm: number) => formatLength(mm, units);
    problems.push(source.problem([...path, end], `${words(ending)} leaves the row no room: with ${start} ${words(first)} it takes ${words(first + ending)} of the ${words(length)} that there are`, `${start} and ${end} that together take less than ${words(length)}`, 'check both and their units'));
    return undefined;
  }
  const apart = (last - first) / (row.count - 1);
  const square = along[axis === 'across' ? 'up' : 'across'];
  const others = { [square.low]: row[square.low], [square.high]: row[square.high], [square.middle]: row[square.middle] };
  const placed = Array.from({ length: row.count }, (_, index): Placed => ({
    at: { ...others, [start]: index === row.count - 1 ? last : first + (index * (last - first)) / (row.count - 1) },
    words: [String(index + 1)],
  }));
  return { placed, apart };
}

/** The distances of a place so far further right or up. */
function moved(at: Distances, axis: Axis, by: number): Distances {
  const { low, high, middle } = along[axis];
  const plus = (mm: number | undefined, more: number) => (mm === undefined ? undefined : mm + more);
  return { ...at, [low]: plus(at[low], by), [high]: plus(at[high], -by), [middle]: plus(at[middle], by) };
}

/** The distances of the place as far beyond the middle line. */
function twin(at: Distances, axis: Axis): Distances {
  const { low, high, middle } = along[axis];
  const center = at[middle];
  return { ...at, [low]: at[high], [high]: at[low], [middle]: center === undefined ? undefined : -center };
}

/** How far from the middle a place lies, right or up, mm. */
function fromMiddle(at: Distances, axis: Axis, length: number): number {
  const { low, high, middle } = along[axis];
  const [fromLow, fromHigh] = [at[low], at[high]];
  return fromLow !== undefined ? fromLow - length / 2 : fromHigh !== undefined ? length / 2 - fromHigh : (at[middle] ?? 0);
}

/** Each hole with its twins, each called by the sides of the middle that it lies on. */
function withTwins(placed: readonly Placed[], name: string, mirror: keyof typeof mirrored, path: Path, lengthAlong: LengthAlong, { source, problems }: Work): readonly Placed[] | undefined {
  const told = problems.length;
  const axes = mirrored[mirror].map((axis) => ({ axis, length: lengthAlong(axis, path) }));
  if (problems.length > told) return undefined;
  for (const { at, words } of placed) {
    const onLine = axes.filter(({ axis, length }) => Math.abs(fromMiddle(at, axis, length)) < lengthSlack);
    if (onLine.length === 0) continue;
    const [other] = onLine.length === 1 && mirror === 'both' ? (['left-right', 'top-bottom'] as const).filter((one) => mirrored[one][0] !== onLine[0]?.axis) : [];
    problems.push(source.problem([...path, 'mirror'], `${shown([name, ...words].join(' '))} lies on the middle line, and its twin would fall on it`, 'holes that lie off the middle line', other ? `write mirror: ${other}` : 'remove mirror, or move the holes off the middle line'));
    return undefined;
  }
  return axes.reduce<readonly Placed[]>(
    (all, { axis, length }) =>
      all.flatMap(({ at, words }) => {
        const isLow = fromMiddle(at, axis, length) < 0;
        const { lowSide, highSide } = along[axis];
        return [{ at, words: [...words, isLow ? lowSide : highSide] }, { at: twin(at, axis), words: [...words, isLow ? highSide : lowSide] }];
      }),
    placed,
  );
}

/** Tells two holes of an entry that would lie in one place. */
function tellCoinciding(placed: readonly Placed[], name: string, mirror: keyof typeof mirrored | undefined, path: Path, lengthAlong: LengthAlong, { source, problems }: Work): boolean {
  // Distances along an axis that nothing is mirrored along are all from one line, whatever the length.
  const axes = (['across', 'up'] as const).map((axis) => ({ axis, length: mirror && mirrored[mirror].some((one) => one === axis) ? lengthAlong(axis, path) : 0 }));
  const first = new Map<string, Placed>();
  for (const one of placed) {
    const key = axes.map(({ axis, length }) => fromMiddle(one.at, axis, length).toFixed(3).replace(/^-(0\.0+)$/, '$1')).join();
    const earlier = first.get(key);
    if (earlier) {
      const [a, b] = [earlier, one].map(({ words }) => shown([name, ...words].join(' ')));
      problems.push(source.problem([...path, mirror ? 'mirror' : 'repeat'], `${a} and ${b} would lie in one place`, 'a place of its own for each hole', mirror ? 'remove mirror, or keep the holes on one side of the middle' : 'check the step: it leads onto the holes of the row'));
      return true;
    }
    first.set(key, one);
  }
  return false;
}

/** Tells a name that is too long once number and side stand behind it. */
function tellLongName(holes: readonly { readonly name: string }[], name: string, path: Path, { source, problems }: Work): boolean {
  const longest = Math.max(...holes.map((hole) => [...hole.name].length));
  if (longest <= bounds.nameLength) return false;
  problems.push(source.problem(path, `${shown(name)} makes names of ${longest} characters, with number and side`, `here a name of at most ${bounds.nameLength - longest + [...name].length} characters`, 'shorten it; it must fit beside the hole'));
  return true;
}
