/** Flow in pipes that branch: random trees, held to the laws that a solution keeps, and against a search of its own. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pumpCurve } from '../../src/water/curve.ts';
import { solve, type Branch, type Flows, type Supply } from '../../src/water/network.ts';
import { lossOf, type Resistance } from '../../src/water/pipe-flow.ts';
import type { PumpPoint } from '../../src/water/system.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const linePipe: fc.Arbitrary<Resistance> = fc.record({ bore: between(8, 60), length: fc.oneof(fc.constant(0), between(0, 10_000)), minor: fc.oneof(fc.constant(0), between(0, 20)) });
const outletPipe: fc.Arbitrary<Resistance> = fc.record({ bore: between(8, 60), length: fc.oneof(fc.constant(0), between(0, 10_000)), minor: between(0.5, 20) });
const leaf = fc.oneof(
  { weight: 5, arbitrary: fc.record({ kind: fc.constant('outlet' as const), pipe: outletPipe, rise: fc.oneof(between(-200, 4000), fc.constantFrom(0, 500, 1200)) }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('takes' as const), takes: between(0, 3e5), needs: between(0, 1500) }) },
);

/** One to twelve ends, on lines up to four deep: each line and each end picks the line that it comes from. */
const tree: fc.Arbitrary<readonly Branch[]> = fc
  .record({ lines: fc.array(fc.record({ pipe: linePipe, from: fc.nat() }), { maxLength: 6 }), leaves: fc.array(fc.record({ leaf, from: fc.nat() }), { minLength: 1, maxLength: 12 }) })
  .map(({ lines, leaves }) => {
    const roots: Branch[] = [];
    const made: { feeds: Branch[]; depth: number }[] = [{ feeds: roots, depth: 0 }];
    lines.forEach(({ pipe, from }, index) => {
      const shallow = made.filter(({ depth }) => depth < 4);
      const before = shallow[from % shallow.length] as { feeds: Branch[]; depth: number };
      const feeds: Branch[] = [];
      before.feeds.push({ name: `line ${index}`, pipe, feeds });
      made.push({ feeds, depth: before.depth + 1 });
    });
    leaves.forEach(({ leaf, from }, index) => {
      const { feeds } = made[from % made.length] as { feeds: Branch[] };
      feeds.push(leaf.kind === 'outlet' ? { name: `outlet ${index}`, pipe: leaf.pipe, rise: leaf.rise } : { name: `takes ${index}`, takes: leaf.takes, needs: leaf.needs });
    });
    return roots;
  });

/** The curve, less what a valve takes that is open to some constant. */
function throttled(points: readonly PumpPoint[], valve: number): Supply {
  const curve = pumpCurve(points);
  const at = (flow: number) => {
    const [head, fall] = curve.at(flow);
    return [head - valve * flow ** 2, fall - 2 * valve * flow] as const;
  };
  let [low, high] = [0, curve.end];
  for (let count = 0; count < 100; count += 1) {
    const middle = (low + high) / 2;
    if (at(middle)[0] > 0) low = middle;
    else high = middle;
  }
  return { at, end: low };
}

const pump: fc.Arbitrary<Supply> = fc
  .record({ top: between(300, 8000), steps: fc.array(fc.record({ width: between(1e4, 2e6), left: fc.oneof(fc.constant(1), between(0.02, 1)) }), { minLength: 1, maxLength: 5 }), isWhole: fc.boolean(), valve: fc.oneof(fc.constant(0), between(-12, -7).map((power) => 10 ** power)) })
  .filter(({ steps }) => steps.some(({ left }) => left < 0.99))
  .map(({ top, steps, isWhole, valve }) => {
    let [flow, head] = [0, top];
    const later = steps.map(({ width, left }, index) => {
      flow += width;
      head *= isWhole && index === steps.length - 1 ? 0 : left; // down to no head, or known only in part
      return { flow, head };
    });
    return throttled([{ flow: 0, head: top }, ...later], valve);
  });
const fixed: fc.Arbitrary<Supply> = fc.record({ flow: between(1e4, 5e6) });
const supply = fc.oneof({ weight: 3, arbitrary: pump }, { weight: 1, arbitrary: fixed });

const listed = (branches: readonly Branch[]): Branch[] => branches.flatMap((branch) => [branch, ...('feeds' in branch ? listed(branch.feeds) : [])]);
const outletsOf = (branches: readonly Branch[]) => listed(branches).flatMap((branch) => ('rise' in branch ? [branch] : []));
const takersOf = (branches: readonly Branch[]) => listed(branches).flatMap((branch) => ('takes' in branch ? [branch] : []));
const takenBy = (branches: readonly Branch[]) => takersOf(branches).reduce((total, { takes }) => total + takes, 0);

/** The same, but what takes water is content with any head. */
const content = (branches: readonly Branch[]): Branch[] =>
  branches.map((branch) => ('takes' in branch ? { ...branch, needs: -Infinity } : 'feeds' in branch ? { ...branch, feeds: content(branch.feeds) } : branch));

/** What is wrong with a solution: the laws that it must keep, worked out from the flows that it tells alone. */
function faultOf(branches: readonly Branch[], supply: Supply, { flow, head, branches: found, residual }: Flows): string | null {
  const scale = Math.max(1, Math.abs(head), ...outletsOf(branches).map(({ rise }) => Math.abs(rise)));
  const slack = 1e-8 * scale;
  if ([flow, head, residual].some(Number.isNaN)) return 'NaN';
  if (residual > 1e-8) return `residual ${residual}`;
  if ('at' in supply && Math.abs(supply.at(flow)[0] - head) > slack) return 'the head is not that of the pump';
  if ('flow' in supply && Math.abs(supply.flow - flow) > 1e-9 * supply.flow) return `${flow} flows of ${supply.flow}`;
  const check = (branches: readonly Branch[], into: number, before: number): string | null => {
    const flows = branches.map(({ name }) => found.get(name)?.flow ?? Number.NaN);
    const total = flows.reduce((total, flow) => total + flow, 0);
    if (!(Math.abs(total - into) <= 1e-9 * into)) return `${into} flow in and ${total} out`;
    for (const branch of branches) {
      const { flow, head } = found.get(branch.name) as { flow: number; head: number };
      if (!(flow >= 0)) return `${branch.name} flows ${flow}`;
      if ('takes' in branch) {
        if (flow !== branch.takes || Math.abs(head - before) > slack) return `${branch.name} takes ${flow} at ${head} in place of ${before}`;
        if (head < branch.needs - slack) return `${branch.name} has ${head}`;
        continue;
      }
      const after = before - lossOf(branch.pipe, flow)[0];
      if (Math.abs(after - head) > slack) return `${branch.name} is told a head of ${head}, not ${after}`;
      if ('rise' in branch && (flow > 0 ? Math.abs(after - branch.rise) > slack : before > branch.rise + slack)) return `${branch.name} at ${branch.rise} passes ${flow} at a head of ${after}`;
      const fault = 'feeds' in branch ? check(branch.feeds, flow, after) : null;
      if (fault) return fault;
    }
    return null;
  };
  return check(branches, flow, head);
}

describe('10,000 random trees', () => {
  it('flow as they must, or are rightly said not to', () => {
    const kinds = { flows: 0, 'does not reach': 0, 'takes too much': 0, 'one takes too much': 0, dry: 0 };
    fc.assert(
      fc.property(tree, supply, (branches, supply) => {
        const solution = solve(branches, supply);
        const taken = takenBy(branches);
        const rises = outletsOf(branches).map(({ rise }) => rise);
        if (solution.kind === 'not converged') throw new Error(`not converged: ${solution.residual}`);
        if (solution.kind === 'flows') {
          expect(faultOf(branches, supply, solution)).toBe(null);
          expect('flow' in supply ? taken <= supply.flow && (rises.length > 0 || taken === supply.flow) : taken < supply.end && (taken > 0 || Math.min(...rises) < supply.at(0)[0])).toBe(true);
          kinds.flows += 1;
          if (outletsOf(branches).some(({ name }) => solution.branches.get(name)?.flow === 0)) kinds.dry += 1;
          return;
        }
        if (solution.why === 'does not reach') {
          expect('at' in supply && taken === 0 && Math.min(...rises) >= supply.at(0)[0]).toBe(true);
          kinds['does not reach'] += 1;
        } else if (solution.branch === null) {
          expect('at' in supply ? taken >= supply.end : taken > supply.flow || rises.length === 0).toBe(true);
          kinds['takes too much'] += 1;
        } else {
          // Were it content with any head, the water would flow, and not stand as high there as it needs.
          const { branch: name, has, needs } = solution;
          const without = solve(content(branches), supply);
          if (without.kind !== 'flows') throw new Error(without.kind);
          expect(faultOf(content(branches), supply, without)).toBe(null);
          expect(without.branches.get(name)?.head).toBeCloseTo(has, 6);
          expect(has).toBeLessThan(needs);
          kinds['one takes too much'] += 1;
        }
      }),
      { numRuns: 10_000, endOnFailure: true },
    );
    // All cases came up often.
    for (const [kind, count] of Object.entries(kinds)) expect(count, kind).toBeGreaterThan(50);
  });
});

/** The same tree with the pipe of one branch made longer, or with more loss in it. */
function hampered(branches: readonly Branch[], name: string, length: number, minor: number): Branch[] {
  return branches.map((branch): Branch => {
    if ('takes' in branch) return branch;
    const { pipe } = branch;
    const changed = branch.name === name ? { ...pipe, length: pipe.length + length, minor: pipe.minor + minor } : pipe;
    return 'feeds' in branch ? { ...branch, pipe: changed, feeds: hampered(branch.feeds, name, length, minor) } : { ...branch, pipe: changed };
  });
}

describe('a longer pipe, or more loss in it', () => {
  it('gives no more flow through it, nor through the pump', () => {
    fc.assert(
      fc.property(tree.map(content), supply, fc.nat(), fc.oneof(fc.constant(0), between(1, 5000)), between(0, 10), (branches, supply, pick, length, minor) => {
        const pipes = listed(branches).filter((branch) => 'pipe' in branch);
        if (pipes.length === 0) return;
        const { name } = pipes[pick % pipes.length] as Branch;
        const [before, after] = [solve(branches, supply), solve(hampered(branches, name, length, minor), supply)];
        expect(after.kind).toBe(before.kind);
        if (before.kind !== 'flows' || after.kind !== 'flows') return;
        const through = (solution: Flows) => solution.branches.get(name)?.flow ?? Number.NaN;
        expect(through(after)).toBeLessThanOrEqual(through(before) + 1e-9 * before.flow);
        expect(after.flow).toBeLessThanOrEqual(before.flow * (1 + 1e-9));
      }),
      { numRuns: 3000, endOnFailure: true },
    );
  });
});

describe('a search of its own', () => {
  /** The flow that loses that head, by halves. */
  function inverse(pipe: Resistance, head: number): number {
    if (head <= 0) return 0;
    let [low, high] = [0, 1];
    while (lossOf(pipe, high)[0] < head) high *= 2;
    for (let count = 0; count < 60; count += 1) {
      const middle = (low + high) / 2;
      if (lossOf(pipe, middle)[0] < head) low = middle;
      else high = middle;
    }
    return (low + high) / 2;
  }

  type Outlet = { readonly pipe: Resistance; readonly rise: number };
  /** Lines one behind the other, with outlets before the first and behind each: from a head behind the last, all others follow upwards. */
  interface Chain {
    readonly first: readonly Outlet[];
    readonly links: readonly { readonly pipe: Resistance; readonly outlets: readonly Outlet[] }[];
  }
  const outlets = fc.array(fc.record({ pipe: outletPipe, rise: between(0, 3000) }), { minLength: 1, maxLength: 3 });
  const chain: fc.Arbitrary<Chain> = fc.record({ first: outlets, links: fc.array(fc.record({ pipe: linePipe, outlets }), { minLength: 1, maxLength: 4 }) });

  const treeOf = ({ first, links }: Chain): Branch[] => {
    const at = (outlets: readonly Outlet[], place: number): Branch[] => outlets.map(({ pipe, rise }, index) => ({ name: `${place}-${index}`, pipe, rise }));
    const from = (place: number): Branch[] => {
      const link = links[place];
      return link ? [{ name: `line ${place}`, pipe: link.pipe, feeds: [...at(link.outlets, place + 1), ...from(place + 1)] }] : [];
    };
    return [...at(first, 0), ...from(0)];
  };

  /** Flows of the outlets by place, and in all, where the head behind the last line is that; and the head that this needs at the pump. */
  function upFrom({ first, links }: Chain, last: number) {
    let [head, flow] = [last, 0];
    const byPlace: number[][] = [];
    for (const { pipe, outlets } of [...links].reverse()) {
      const flows = outlets.map((outlet) => inverse(outlet.pipe, head - outlet.rise));
      byPlace.unshift(flows);
      flow += flows.reduce((total, flow) => total + flow, 0);
      head += lossOf(pipe, flow)[0];
    }
    const flows = first.map((outlet) => inverse(outlet.pipe, head - outlet.rise));
    return { head, flow: flow + flows.reduce((total, flow) => total + flow, 0), byPlace: [flows, ...byPlace] };
  }

  it('by halves in the last head of a chain of lines finds the same flows', () => {
    let compared = 0;
    fc.assert(
      fc.property(chain, supply, (chain, supply) => {
        const solution = solve(treeOf(chain), supply);
        if (solution.kind !== 'flows') return;
        let [low, high] = [-1, 'at' in supply ? supply.at(0)[0] : 1e9];
        for (let count = 0; count < 100; count += 1) {
          const middle = (low + high) / 2;
          const { head, flow } = upFrom(chain, middle);
          if ('at' in supply ? head > supply.at(flow)[0] : flow > supply.flow) high = middle;
          else low = middle;
        }
        const { byPlace, flow } = upFrom(chain, (low + high) / 2);
        expect(Math.abs(flow / solution.flow - 1)).toBeLessThan(1e-6);
        byPlace.forEach((flows, place) => flows.forEach((own, index) => expect(Math.abs(own - (solution.branches.get(`${place}-${index}`)?.flow ?? Number.NaN))).toBeLessThan(1e-6 * flow)));
        compared += 1;
      }),
      { numRuns: 120, endOnFailure: true },
    );
    expect(compared).toBeGreaterThan(80);
  });
});

describe('particular trees', () => {
  const pipe: Resistance = { bore: 20, length: 1000, minor: 3 };
  const curve = pumpCurve([{ flow: 0, head: 3000 }, { flow: 1e6, head: 0 }]);

  it('alike branches share alike, and one pipe is as two of its halves', () => {
    const pair = solve([{ name: 'a', pipe, rise: 1000 }, { name: 'b', pipe, rise: 1000 }], curve) as Flows;
    expect(pair.branches.get('a')?.flow).toBeCloseTo(pair.flow / 2, 6);
    const half = { bore: 20, length: 500, minor: 1.5 };
    const [whole, halves] = [solve([{ name: 'a', pipe, rise: 1000 }], curve), solve([{ name: 'l', pipe: half, feeds: [{ name: 'a', pipe: half, rise: 1000 }] }], curve)] as Flows[];
    expect((halves as Flows).flow).toBeCloseTo((whole as Flows).flow, 6);
  });

  it('an outlet that the head just reaches stays dry, and its neighbours do not mind', () => {
    const alone = solve([{ name: 'a', pipe, rise: 1000 }], curve) as Flows;
    for (const more of [-1e-9, 0, 1e-9]) {
      const both = solve([{ name: 'a', pipe, rise: 1000 }, { name: 'b', pipe, rise: alone.head + more }], curve) as Flows;
      expect(both.kind).toBe('flows');
      expect(both.branches.get('b')?.flow).toBeLessThan(1e-3);
      expect(both.branches.get('a')?.flow).toBeCloseTo(alone.flow, 2);
    }
  });

  it('a given flow that is all taken leaves the outlets dry', () => {
    const found = solve([{ name: 'side', takes: 5e5, needs: 0 }, { name: 'a', pipe, rise: 1000 }, { name: 'b', pipe, rise: 400 }], { flow: 5e5 });
    expect(found).toMatchObject({ kind: 'flows', flow: 5e5, head: 400 });
  });

  it('a given flow that is taken by those who need a head has the largest that is needed', () => {
    const line: Branch = { name: 'l', pipe, feeds: [{ name: 'a', takes: 1e5, needs: 700 }] };
    const found = solve([{ name: 'b', takes: 2e5, needs: 300 }, line], { flow: 3e5 });
    expect(found).toMatchObject({ kind: 'flows', flow: 3e5, head: expect.closeTo(700 + lossOf(pipe, 1e5)[0], 6) });
  });

  it('a line without any loss is as none, and one that feeds nothing passes nothing', () => {
    const none: Resistance = { bore: 20, length: 0, minor: 0 };
    const [with_, without] = [[{ name: 'l', pipe: none, feeds: [{ name: 'a', pipe, rise: 1000 }] }, { name: 'end', pipe, feeds: [] }], [{ name: 'a', pipe, rise: 1000 }]].map((branches) => solve(branches, curve)) as Flows[];
    expect(with_?.flow).toBeCloseTo(without?.flow as number, 6);
    expect(with_?.branches.get('end')?.flow).toBe(0);
  });

  it('two hundred outlets on a hundred lines, ten deep, are no more than a few steps', () => {
    let calls = 0;
    const deep = (depth: number, name: string): Branch[] =>
      depth === 0 ? [] : [{ name: `line ${name}`, pipe: { bore: 40, length: 500, minor: 1 }, feeds: [...deep(depth - 1, `${name}.`), { name: `one ${name}`, pipe, rise: 300 + depth }, { name: `two ${name}`, pipe, rise: 900 - 7 * depth }] }];
    const ten = Array.from({ length: 10 }, (_, index) => deep(10, String(index))).flat();
    const supply: Supply = { at: (flow) => ((calls += 1), curve.at(flow / 20).map((value, index) => (index ? value / 20 : value)) as unknown as readonly [number, number]), end: curve.end * 20 };
    const found = solve(ten, supply) as Flows;
    expect(faultOf(ten, supply, found)).toBe(null);
    expect(calls).toBeLessThan(300);
  });
});
