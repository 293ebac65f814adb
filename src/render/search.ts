/**
 * The search for the best division into sheets, in one system for both ways of running: u along a run of sheets, v across
 * the runs, both growing as one reads. Lengths in mm. Knows nothing of paper or holes by name.
 */

export interface Span {
  readonly lo: number;
  readonly hi: number;
}

export interface Box {
  readonly u: Span;
  readonly v: Span;
}

/** A straight line that sheets are laid to. */
export interface Stretch {
  readonly from: { readonly u: number; readonly v: number };
  readonly to: { readonly u: number; readonly v: number };
}

export interface Field {
  readonly lines: readonly Stretch[];
  /** What no seam should cut: circles with their ticks. */
  readonly holes: readonly Box[];
}

export interface Room {
  /** Largest core along a run and across it: the window less one overlap. */
  readonly along: number;
  readonly across: number;
  /** Smallest core: one overlap, so that the strips of two seams do not meet. */
  readonly least: number;
  /** How far a first core may start inside the line it shows (negative: outside). */
  readonly inset: number;
}

export interface Run {
  readonly v: Span;
  /** Sheets along the run; a space between two is a gap with nothing on it. */
  readonly cells: readonly Span[];
}

/** What a division costs; compared in this order. */
export interface Cost {
  /** Times that a seam cuts a hole. */
  readonly cuts: number;
  readonly sheets: number;
  /** Times that a seam lies within {@link lineRoom} of a line that runs along it. */
  readonly lines: number;
  /**
   * Sum over the holes of the seams and gaps to the end of their run that is nearer to their middle, and of the seams to
   * the nearer of the first and last run.
   */
  readonly chain: number;
}

export interface Division {
  readonly runs: readonly Run[];
  readonly cost: Cost;
}

/** A seam this near to a parallel edge or rim line is hard to tell from it, mm (our choice). */
const lineRoom = 3;
/** The paper on both sides of a gap stays this far apart, mm (our choice). */
const gapRoom = 1;

/** One number in place of a {@link Cost}: each part outweighs all that follow it, up to 900 cuts, 9,999 sheets, 999 lines. */
const weights = { cut: 1e13, sheet: 1e9, line: 1e6 } as const;

export function costNumber({ cuts, sheets, lines, chain }: Cost): number {
  return cuts * weights.cut + sheets * weights.sheet + lines * weights.line + chain;
}

function costOf(number: number): Cost {
  const take = (weight: number, rest: number) => [Math.floor(rest / weight), rest % weight] as const;
  const [cuts, first] = take(weights.cut, number);
  const [sheets, second] = take(weights.sheet, first);
  const [lines, chain] = take(weights.line, second);
  return { cuts, sheets, lines, chain };
}

/** With more stops than this in reach of a seam, only the furthest for each number of cuts are weighed. */
const mostStops = 24;
/** With more holes than this, the runs are placed before they are divided, not together with their division. */
const mostTogether = 120;

/**
 * The best division of a field into runs of sheets, each run with seams of its own (as bricks are laid): first the fewest
 * cuts, then the fewest sheets, then the fewest lines along seams, then the shortest chains. Sheets are laid wherever
 * there is a line or a hole; between two places where a run meets a line it may have one gap, so every hole's sheet is
 * joined along its run to a sheet with a line. A gap is so wide that the paper on both sides of it does not meet.
 *
 * Exact for fields whose lines run along u or v and at most {@link mostTogether} holes, {@link mostStops} in reach of a
 * seam, where no more than two runs in a row must be of the smallest height: any division can be changed, without new
 * cuts, sheets or longer chains, so that every seam is pushed onwards until it meets a hole or a line, or is as far from
 * the one before it (or as near to the one after) as it may be; dynamic programming weighs all of those. With slanted
 * lines the sheets that a run needs also change between these stops, so it is exact only among them. With more stops or
 * holes it weighs fewer divisions and may miss the best.
 *
 * @param room windows of at least three overlaps: along and across at least twice `least`
 */
export function bestDivision(field: Field, room: Room): Division {
  const { holes } = field;
  const start = Math.min(...field.lines.map(({ from, to }) => Math.min(from.v, to.v))) + room.inset;
  const end = Math.max(...field.lines.map(({ from, to }) => Math.max(from.v, to.v))) - room.inset;
  const levels = field.lines.filter(({ from, to }) => runsAlong(from.v - to.v, from.u - to.u)).map(({ from }) => from.v);
  const starts = field.lines.map(({ from, to }) => Math.min(from.v, to.v));
  const seamCost = seamCosts(holes.map(({ v }) => v), levels, start, end, starts);
  const divideRun = runDivider(field, room, { lo: start, hi: end });
  const runCost = holes.length <= mostTogether ? (v: Span) => divideRun(v).cost : () => weights.sheet;
  const across = { start, end, most: room.across, least: room.least, seamCost, cellCost: (from: number, to: number) => runCost({ lo: from, hi: to }), content: null };
  const found = bestChain(across);
  const settled = (spans: readonly Span[]) => {
    const runs = spans.map((v) => ({ v, ...divideRun(v) }));
    return { runs, cost: runs.reduce((sum, { cost }) => sum + cost, spans.slice(0, -1).reduce((sum, { hi }) => sum + seamCost.at(hi), 0)) };
  };
  const [tight, eased] = [settled(found.cells), settled(ease(found.cells, across, []))];
  const best = eased.cost <= tight.cost ? eased : tight;
  return { runs: aligned(best.runs), cost: costOf(best.cost) };
}

/** Eases the seams of all runs, the run with the least room for a seam first, the others in line with those where they can. */
function aligned(runs: readonly ({ readonly v: Span } & Divided)[]): Run[] {
  const taken: number[] = [];
  const cells = new Map<unknown, readonly Span[]>();
  const tightness = new Map(runs.map((run) => [run, leastRoom(run)]));
  for (const run of [...runs].sort((a, b) => (tightness.get(a) as number) - (tightness.get(b) as number))) {
    const eased = run.problem ? inLineOrFree(run.cells, run.problem, taken) : run.cells;
    taken.push(...eased.map(({ hi }) => hi));
    cells.set(run, eased);
  }
  return runs.map((run) => ({ v: run.v, cells: cells.get(run) ?? [] }));
}

/** Eased cells with a seam in line with one that is taken; where that cannot be, with all the room there is. */
function inLineOrFree(cells: readonly Span[], problem: ChainProblem, taken: readonly number[]): readonly Span[] {
  const inLine = ease(cells, problem, taken);
  return inLine.slice(0, -1).some(({ hi }) => taken.includes(hi)) ? inLine : ease(cells, problem, []);
}

/** Room of the seam that can move least at the same cost. */
function leastRoom({ cells, problem }: Divided): number {
  if (!problem) return Infinity;
  return cells.slice(0, -1).reduce((sum, { hi }) => {
    const { lo, hi: end } = roomOf(hi, problem.seamCost);
    return Math.min(sum, end - lo);
  }, Infinity);
}

/** Whether a line goes along a way within a millimetre, and is long enough to be taken for a seam. */
function runsAlong(aside: number, along: number): boolean {
  return Math.abs(aside) < 1 && Math.abs(along) > 10;
}

interface Divided {
  readonly cells: readonly Span[];
  readonly cost: number;
  /** What the cells solve; null where a run meets no line. */
  readonly problem: ChainProblem | null;
}

/** Divides runs of a field; runs with the same holes and lines on them are divided once. */
function runDivider({ lines, holes }: Field, room: Room, whole: Span): (v: Span) => Divided {
  const known = new Map<string, Divided>();
  return (given) => {
    // The first and the last run show all that lies beyond them.
    const v = { lo: given.lo <= whole.lo ? -Infinity : given.lo, hi: given.hi >= whole.hi ? Infinity : given.hi };
    const within = holes.map((box, index) => ({ box, index })).filter(({ box }) => box.v.lo < v.hi && box.v.hi > v.lo);
    const pieces = lines.flatMap((line) => pieceWithin(line, v));
    const key = `${within.map(({ index }) => index).join()};${pieces.map(({ lo, hi, isAcross }) => `${Math.round(lo * 1e4)} ${Math.round(hi * 1e4)} ${isAcross}`).join()}`;
    const earlier = known.get(key);
    if (earlier) return earlier;
    const divided = divideRun(within.map(({ box }) => box.u), pieces, room);
    known.set(key, divided);
    return divided;
  };
}

interface Piece extends Span {
  /** Whether it goes across the run, as seams in it do. */
  readonly isAcross: boolean;
}

/** The part of a line on a run, as a span along it. What lies on the seam between two runs is the later one's. */
function pieceWithin({ from, to }: Stretch, v: Span): Piece[] {
  const [low, high] = from.v <= to.v ? [from, to] : [to, from];
  if (low.v > v.hi - slack || high.v < v.lo - slack) return [];
  const at = (level: number) => (high.v === low.v ? low.u : low.u + ((level - low.v) / (high.v - low.v)) * (high.u - low.u));
  const ends = high.v === low.v ? [low.u, high.u] : [at(Math.max(low.v, v.lo)), at(Math.min(high.v, v.hi))];
  const [lo, hi] = [Math.min(...ends), Math.max(...ends)];
  return [{ lo, hi, isAcross: runsAlong(hi - lo, high.v - low.v) }];
}

function divideRun(holes: readonly Span[], pieces: readonly Piece[], room: Room): Divided {
  const lines = merged(pieces);
  const [first, last] = [lines[0], lines[lines.length - 1]];
  if (!first || !last) return { cells: [], cost: 0, problem: null };
  const [start, end] = [first.lo + room.inset, last.hi - room.inset];
  const seamCost = seamCosts(holes, pieces.filter(({ isAcross }) => isAcross).map(({ lo, hi }) => (lo + hi) / 2), start, end);
  const problem = { start, end, most: room.along, least: room.least, seamCost, cellCost: () => weights.sheet, content: { lines, all: merged([...lines, ...holes]) } };
  return { ...bestChain(problem), problem };
}

/** Overlapping and touching spans as one, in order. */
function merged(spans: readonly Span[]): Span[] {
  const result: { lo: number; hi: number }[] = [];
  for (const { lo, hi } of [...spans].sort((a, b) => a.lo - b.lo)) {
    const last = result[result.length - 1];
    if (last && lo <= last.hi) last.hi = Math.max(last.hi, hi);
    else result.push({ lo, hi });
  }
  return result;
}

interface SeamCost {
  at(place: number): number;
  chainAt(place: number): number;
  cutsAt(place: number): number;
  /** Places that a seam pushed onwards stops at, in order. */
  readonly stops: readonly number[];
  /** All places where the cost changes, in order. */
  readonly events: readonly number[];
}

const slack = 1e-7;

/**
 * What a seam costs by its place: holes that it cuts, lines that it lies on, holes whose chain it is a part of.
 * @param starts places where more comes onto the part before the seam
 */
function seamCosts(holes: readonly Span[], lines: readonly number[], start: number, end: number, starts: readonly number[] = []): SeamCost {
  const middle = (start + end) / 2;
  const inOrder = (values: readonly number[]) => [...values].sort((a, b) => a - b);
  const [lows, highs] = [inOrder(holes.map(({ lo }) => lo)), inOrder(holes.map(({ hi }) => hi))];
  const isEarly = ({ lo, hi }: Span) => (lo + hi) / 2 < middle;
  const earlyLows = inOrder(holes.filter(isEarly).map(({ lo }) => lo));
  const lateHighs = inOrder(holes.filter((hole) => !isEarly(hole)).map(({ hi }) => hi));
  const [lineLows, lineHighs] = [inOrder(lines.map((at) => at - lineRoom)), inOrder(lines.map((at) => at + lineRoom))];
  const across = (from: readonly number[], to: readonly number[], place: number) => countUpTo(from, place - slack) - countUpTo(to, place + slack);
  const cutsAt = (place: number) => Math.max(0, across(lows, highs, place));
  const chainAt = (place: number) => earlyLows.length - countUpTo(earlyLows, place - slack) + countUpTo(lateHighs, place + slack);
  return {
    cutsAt,
    chainAt,
    at: (place) => cutsAt(place) * weights.cut + Math.max(0, across(lineLows, lineHighs, place)) * weights.line + chainAt(place),
    stops: unique(inOrder([...lows, ...lineLows, ...starts])),
    events: unique(inOrder([...lows, ...highs, ...lineLows, ...lineHighs, ...starts])),
  };
}

/** How many of the values, in order, are at most a limit. */
function countUpTo(values: readonly number[], limit: number): number {
  let [low, high] = [0, values.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((values[middle] as number) <= limit) low = middle + 1;
    else high = middle;
  }
  return low;
}

function unique(values: readonly number[]): number[] {
  return values.filter((value, index) => index === 0 || value - (values[index - 1] as number) > slack);
}

interface ChainProblem {
  readonly start: number;
  readonly end: number;
  /** Largest and smallest length of a cell. */
  readonly most: number;
  readonly least: number;
  readonly seamCost: SeamCost;
  cellCost(from: number, to: number): number;
  /** Lines and all that must be on paper, where gaps are allowed. */
  readonly content: { readonly lines: readonly Span[]; readonly all: readonly Span[] } | null;
}

/** The cheapest cells from start to end, by dynamic programming over the stops of {@link bestDivision}. */
function bestChain(problem: ChainProblem): { cells: readonly Span[]; cost: number } {
  const { start, end, most, least, seamCost, cellCost, content } = problem;
  // Two cells of a run that are no longer than `least` are better one; two runs may have to be two.
  const stops = stopsOf(unique([...seamCost.stops, end].flatMap((stop) => (content ? [stop - least, stop] : [stop - 2 * least, stop - least, stop])).sort((a, b) => a - b)), seamCost);
  const gaps = roomyGaps(stops.places, problem);
  interface State {
    readonly cost: number;
    readonly cell: Span | null;
    readonly next: State | null;
  }
  const done: State = { cost: 0, cell: null, next: null };
  const known = new Map<number, State>();

  /** @param hasGap whether the run has a gap since it last met a line */
  const from = (place: number, hasGap: boolean): State => {
    // Places of one key are nearer than `slack`, so that cells go on from each other.
    const key = Math.round((place / slack) * 2) * 2 + (hasGap ? 1 : 0);
    const earlier = known.get(key);
    if (earlier) return earlier;
    let best: State = { cost: Infinity, cell: null, next: null };
    const weigh = (to: number, rest: State, seam: number) => {
      const cost = cellCost(place, to) + seam + rest.cost;
      if (cost < best.cost) best = { cost, cell: { lo: place, hi: to }, next: rest };
    };
    if (end - place <= most + slack) weigh(Math.max(end, place), done, 0);
    for (const to of stopsInReach(stops, place, problem).reverse()) {
      weigh(to, from(to, hasGap && !meetsLine(content, place, to)), seamCost.at(to));
    }
    for (const { to, next } of gapsInReach(gaps, place, hasGap, problem)) weigh(to, from(next, true), seamCost.chainAt(next));
    known.set(key, best);
    return best;
  };

  const first = from(start, false);
  const cells: Span[] = [];
  for (let state: State | null = first; state?.cell; state = state.next) cells.push(state.cell);
  return { cells, cost: first.cost };
}

interface Stops {
  /** In order. */
  readonly places: readonly number[];
  /** For each stop the holes that a seam there cuts, and the nearest stop before it with fewer; -1 for none. */
  cutsOfAll(): { readonly cuts: readonly number[]; readonly fewer: readonly number[] };
}

function stopsOf(places: readonly number[], { cutsAt }: SeamCost): Stops {
  let known: ReturnType<Stops['cutsOfAll']> | undefined;
  const count = () => {
    const cuts = places.map(cutsAt);
    const fewer: number[] = [];
    for (const [index, own] of cuts.entries()) {
      let before = index - 1;
      while (before >= 0 && (cuts[before] as number) >= own) before = fewer[before] as number;
      fewer.push(before);
    }
    return { cuts, fewer };
  };
  return { places, cutsOfAll: () => (known ??= count()) };
}

/** Places for the next seam, the furthest last. */
function stopsInReach({ places, cutsOfAll }: Stops, place: number, { end, most, least, seamCost, content }: ChainProblem): number[] {
  const [near, far] = [place + least, Math.min(place + most, end - least)];
  if (far < near - slack) return [];
  const [first, after] = [countUpTo(places, near - slack), countUpTo(places, far + slack)];
  const count = Math.max(0, after - first);
  // As far as may be is a place of its own, from which more of the same follow: only where stops are few.
  const ownPlace = count < (content ? mostStops : 10 * mostStops) && (count === 0 || far - (places[after - 1] as number) > slack) ? [far] : [];
  if (count + ownPlace.length <= mostStops) return [...places.slice(first, after), ...ownPlace];
  const { cuts, fewer } = cutsOfAll();
  const kept = [...ownPlace];
  let fewest = ownPlace.length > 0 ? seamCost.cutsAt(far) : Infinity;
  for (let at = after - 1; at >= first; at = fewer[at] as number) {
    if ((cuts[at] as number) >= fewest) continue;
    fewest = cuts[at] as number;
    kept.push(places[at] as number);
  }
  return kept.slice(-mostStops).reverse();
}

function meetsLine(content: ChainProblem['content'], from: number, to: number): boolean {
  return content !== null && content.lines.some(({ lo, hi }) => lo <= to && hi >= from);
}

interface Gap {
  /** Where what lies before the gap ends. */
  readonly hi: number;
  /** Where more comes, or the last cell must begin. */
  readonly more: number;
  /** Where the run goes on behind it: there, or as far before a stop as it must. */
  readonly next: number;
}

/** Gaps in order, and their {@link Gap.hi} and {@link Gap.more}, which grow with them. */
interface Gaps {
  readonly all: readonly Gap[];
  readonly his: readonly number[];
  readonly mores: readonly number[];
}

/** Gaps with room for the paper on both sides of them. */
function roomyGaps(stops: readonly number[], { content, end, least }: ChainProblem): Gaps {
  const all = (content?.all ?? []).slice(0, -1).flatMap(({ hi }, index): Gap[] => {
    const more = Math.min((content?.all[index + 1] as Span).lo, end - least);
    const nearby = stops.slice(countUpTo(stops, more + slack), countUpTo(stops, more + least - slack)).map((stop) => stop - least);
    return [more, ...nearby].filter((next) => next - hi > least + gapRoom - slack).map((next) => ({ hi, more, next }));
  });
  return { all, his: all.map(({ hi }) => hi), mores: all.map(({ more }) => more) };
}

/** Ways to end a cell at a gap. */
function gapsInReach({ all, his, mores }: Gaps, place: number, hasGap: boolean, { content, most, least }: ChainProblem): { to: number; next: number }[] {
  if (all.length === 0) return [];
  // Before these the run goes on too soon, behind them the cell is too short.
  const [first, after] = [countUpTo(mores, place + 2 * least + gapRoom - 3 * slack), countUpTo(his, place + most + 3 * slack)];
  return all.slice(first, Math.max(first, after)).flatMap(({ hi, next }) => {
    const to = Math.min(place + most, next - least - gapRoom);
    if (to < Math.max(hi, place + least) - slack) return [];
    return hasGap && !meetsLine(content, place, to) ? [] : [{ to, next }];
  });
}

/**
 * Moves every seam into the middle of the room it has at the same cost, clear of holes and lines by as much as all seams of
 * its chain can be, and lets sheets beside a gap use all of their paper. Each chain of sheets is a system of difference
 * constraints: its bounds are tightened until they hold together.
 * @param taken places of seams in other runs, to be in line with where there is room
 */
function ease(cells: readonly Span[], problem: ChainProblem, taken: readonly number[]): readonly Span[] {
  const { most, least, seamCost, content } = problem;
  const chains: Span[][] = [];
  for (const cell of cells) {
    const last = chains[chains.length - 1];
    if (last && cell.lo - (last[last.length - 1] as Span).hi < slack) last.push(cell);
    else chains.push([cell]);
  }
  const eased = chains.map((chain) => {
    const [first, last] = [chain[0] as Span, chain[chain.length - 1] as Span];
    const seams = chain.slice(0, -1).map(({ hi }) => hi);
    const afterGap = chains[chains.indexOf(chain) + 1]?.[0];
    const covered = afterGap ? Math.max(first.lo, ...(content?.all ?? []).map(({ hi }) => hi).filter((hi) => hi < last.hi + slack)) : last.hi;
    const ends = { start: first.lo, from: covered, to: afterGap ? afterGap.lo - least - gapRoom : last.hi, most, least };
    const rooms = seams.map((seam) => roomOf(seam, seamCost));
    const bounds = clearances.filter((clearance) => taken.length === 0 || clearance <= besideOthers).map((clearance) => tightened(rooms.map((room) => narrowed(room, clearance)), ends)).find((all) => all.every(({ lo, hi }) => lo <= hi + slack)) ?? rooms;
    const places = [...seams];
    for (const index of seams.keys()) {
      tighten(bounds, ends);
      const room = bounds[index] as { lo: number; hi: number };
      // The middle of a hole that must be cut is its centre, which a person needs whole.
      const share = seamCost.cutsAt(seams[index] as number) > 0 ? 0.3 : 0.5;
      const middle = room.lo <= room.hi ? room.lo + share * (room.hi - room.lo) : (seams[index] as number);
      const [inLine = middle] = taken.filter((place) => place >= room.lo && place <= room.hi).sort((a, b) => Math.abs(a - middle) - Math.abs(b - middle));
      places[index] = inLine;
      bounds[index] = { lo: inLine, hi: inLine };
    }
    const borders = [first.lo, ...places, afterGap ? Math.max(covered, (places[places.length - 1] ?? first.lo) + least) : last.hi];
    return borders.slice(1).map((hi, index) => ({ lo: borders[index] as number, hi }));
  });
  // Beside a gap.
  eased.forEach((chain, index) => {
    const after = eased[index + 1];
    const [last, next] = [chain[chain.length - 1], after?.[0]];
    if (!after || !last || !next) return;
    const middle = (last.hi + next.lo) / 2;
    const half = (least + gapRoom) / 2;
    chain[chain.length - 1] = { lo: last.lo, hi: Math.min(last.lo + most, middle - half) };
    after[0] = { lo: Math.max(next.hi - most, middle + half), hi: next.hi };
  });
  return eased.flat();
}

/** What all seams keep from the nearest change of cost if they can, mm (our choice). */
const clearances = [16, 8, 4, 2, 1, 0];
/** What is enough where a seam can be in line with others, mm (our choice). */
const besideOthers = 4;

function narrowed({ lo, hi }: Span, by: number): { lo: number; hi: number } {
  const most = Math.min(by, (hi - lo) / 2);
  return { lo: lo + most, hi: hi - most };
}

/** Where a seam may lie at the same cost: up to where the next thing begins or ends. */
function roomOf(seam: number, { events, at }: SeamCost): { lo: number; hi: number } {
  const above = countUpTo(events, seam - slack);
  const room = { lo: events[above - 1] ?? -Infinity, hi: events[above] ?? Infinity };
  // Where one thing ends and another begins at once, there is none.
  return at((Math.max(room.lo, seam - 1) + seam) / 2) <= at(seam) ? room : { lo: seam, hi: seam };
}

interface ChainEnds {
  readonly start: number;
  /** The least and the largest place of the last cell's end. */
  readonly from: number;
  readonly to: number;
  readonly most: number;
  readonly least: number;
}

function tightened(bounds: { lo: number; hi: number }[], ends: ChainEnds): { lo: number; hi: number }[] {
  tighten(bounds, ends);
  return bounds;
}

/** Tightens bounds of seams until all can hold together: cells between them at least `least` and at most `most` long. */
function tighten(bounds: { lo: number; hi: number }[], { start, from, to, most, least }: ChainEnds): void {
  for (let isChanged = true, rounds = 0; isChanged && rounds < 100; rounds += 1) {
    isChanged = false;
    bounds.forEach((bound, index) => {
      const before = bounds[index - 1] ?? { lo: start, hi: start };
      const after = bounds[index + 1] ?? { lo: from, hi: to };
      const lo = Math.max(bound.lo, before.lo + least, after.lo - most);
      const hi = Math.min(bound.hi, before.hi + most, after.hi - least);
      if (lo > bound.lo + slack || hi < bound.hi - slack) isChanged = true;
      bound.lo = lo;
      bound.hi = hi;
    });
  }
}
