/** Whole systems at random and at their edges: every number told is one, no verdict gets worse by what helps, and fixes mend what they are told for. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { verdicts, type Verdict } from '../../src/geometry/finding.ts';
import { flowPer } from '../../src/trade/flow.ts';
import { boreOf, pipeSizes, type PipeSize } from '../../src/trade/pipe.ts';
import { checkWater, waterJson, waterPageContent, waterTables, type WaterReport } from '../../src/water.ts';
import { capacityOf } from '../../src/water/drain.ts';
import type { WaterFinding } from '../../src/water/findings.ts';
import { chooseSizes, inSize } from '../../src/water/sizes.ts';
import type { Drain, PipeRun, Return, Weir, WaterSystem, WaterTank } from '../../src/water/system.ts';
import { drain, fernTerrace, line, litresPerHour, returned, run, system, tank, weir } from './systems.ts';

const report = (of: WaterSystem): WaterReport => checkWater({ water: of }) as WaterReport;
const found = (of: WaterSystem) => report(of).findings;
const of = (all: readonly WaterFinding[], rule: string) => all.filter((finding) => finding.rule === rule);
const rank = (verdict: Verdict) => verdicts.indexOf(verdict);
const worstOf = (all: readonly WaterFinding[]) => Math.max(0, ...all.map(({ verdict }) => rank(verdict)));

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
/** Mostly as in a fish room; at times as the spec just allows. */
const lengths = (min: number, max: number, odd: number[]) => fc.oneof({ weight: 9, arbitrary: between(min, max) }, { weight: 1, arbitrary: fc.constantFrom(...odd) });
const anyRun = fc.record({ size: fc.constantFrom(...pipeSizes), length: lengths(50, 4000, [1e-9, 1e6]), elbows: fc.nat(4), schedule: fc.constantFrom(40 as const, 80 as const) }).map(({ size, length, elbows, schedule }) => run(size, length, { elbows }, schedule));
const hose = fc.record({ bore: lengths(6, 60, [1, 1000]), length: between(50, 4000) }).map(({ bore, length }): PipeRun => ({ ...run('1', length), name: 'hose', size: null, schedule: null, bore }));
const pipe = fc.oneof({ weight: 4, arbitrary: anyRun }, { weight: 1, arbitrary: hose });
const flows = lengths(50 * flowPer['L/h'], 4000 * flowPer['L/h'], [1e-9, flowPer['m3/h'] * 1000]);
const depths = lengths(0, 300, [0, 1e-9]);
const maybe = <T>(one: fc.Arbitrary<T>) => fc.option(one, { freq: 4 });

const anyReturn = fc.record({ run: pipe, rise: lengths(0, 2500, [0, 1e5]), flow: fc.option(flows, { freq: 1 }), opening: between(-50, 400), siphonBreak: maybe(between(-20, 200)), line: fc.boolean() });
const anyDrain = fc.record({ run: pipe, drop: lengths(20, 2000, [1e-9, 1e5]), runs: fc.constantFrom('full siphon' as const, 'open' as const), isSpare: fc.boolean(), rated: fc.option(flows, { freq: 1 }), opening: maybe(depths), weir: fc.nat(3), skips: fc.nat(3) });
const anyWeir = fc.record({ crest: depths, length: lengths(20, 900, [1e-9, 10_000]), teeth: maybe(fc.record({ width: lengths(2, 12, [1000]), gap: lengths(1, 12, [1000]), height: maybe(between(1, 40)) })), boxArea: maybe(between(0, 60_000)), isBoxed: fc.boolean() });
const anyTank = fc.record({ area: lengths(2e4, 2e6, [1e-9, 1e8]), height: between(100, 800), returns: fc.array(anyReturn, { maxLength: 3 }), drains: fc.array(anyDrain, { minLength: 1, maxLength: 4 }), weirs: fc.array(anyWeir, { maxLength: 2 }) });
const anyPump = fc.oneof(
  fc.record({ curve: fc.constant(null), flow: flows, throttle: fc.constant(null) }),
  fc.record({ top: between(200, 8000), end: between(100, 8000), level: fc.boolean(), throttle: maybe(flows) }).map(({ top, end, level, throttle }) => {
    const last = end * flowPer['L/h'];
    return { curve: [{ flow: 0, head: top }, ...(level ? [{ flow: last / 3, head: top }, { flow: last / 2, head: top / 3 }, { flow: last * 0.7, head: top / 3 }] : []), { flow: last, head: level ? top / 5 : 0 }], flow: null, throttle };
  }),
);
const anySystem: fc.Arbitrary<WaterSystem> = fc
  .record({ pump: anyPump, reserve: fc.constantFrom(0, 0.5, 5), line: pipe, side: maybe(flows), tanks: fc.array(anyTank, { minLength: 1, maxLength: 4 }), sump: fc.record({ area: lengths(2e4, 1e6, [1e8]), working: between(50, 300), more: lengths(10, 300, [1e-6]) }) })
  .map(({ pump, reserve, line: riser, side, tanks, sump }) =>
    system({
      pump,
      reserve,
      side: side === null ? [] : [{ name: 'side', flow: side }],
      lines: [line('riser', riser)],
      sump: { area: sump.area, working: sump.working, top: sump.working + sump.more },
      tanks: tanks.map((made, at): WaterTank => {
        const weirs = made.weirs.map(({ isBoxed, ...own }, index): Weir => weir(`weir ${index}`, { ...own, box: isBoxed ? { part: 'back', name: `weir ${index}` } : null }));
        return tank(`tank ${at}`, {
          area: made.area,
          height: made.height,
          weirs,
          returns: made.returns.map(({ line: hasLine, ...own }, index): Return => returned(`return ${index}`, { ...own, from: hasLine ? 'riser' : null })),
          drains: made.drains.map(({ skips, weir: which, rated, run: own, drop, ...rest }, index): Drain => drain(`drain ${index}`, { ...rest, rated, run: rated === null ? own : null, drop: rated === null ? drop : null, weir: weirs[which]?.box ? (weirs[which]?.name ?? null) : null, into: at + 1 + skips < tanks.length ? `tank ${at + 1 + skips}` : null })),
        });
      }),
    }),
  )
  // The spec asks for a return.
  .filter(({ tanks }) => tanks.some(({ returns }) => returns.length > 0));

/** All numbers in what is told, however deep. */
function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(numbersIn) : [];
}

const withTank = (water: WaterSystem, name: string, change: (tank: WaterTank) => WaterTank): WaterSystem => ({ ...water, tanks: water.tanks.map((one) => (one.name === name ? change(one) : one)) });

describe('any system', () => {
  it('is told in numbers and words alone, and what comes in goes out', () => {
    fc.assert(
      fc.property(anySystem, (water) => {
        const all = report(water);
        const json = waterJson(all);
        expect(numbersIn(json).filter((number) => !Number.isFinite(number))).toEqual([]);
        const words = JSON.stringify([waterTables(all), waterPageContent(all), json]);
        expect(words).not.toMatch(/NaN|Infinity|undefined/);
        if (json.pump.state !== 'runs') {
          expect(all.verdict).toBe('refused');
          return;
        }
        // What the JSON tells adds up by itself: pump = side + returns, and each tank's inflow is what drains and rim take.
        const total = (some: readonly number[]) => some.reduce((sum, flow) => sum + flow, 0);
        const { flow = 0 } = json.pump;
        expect(Math.abs(flow - total(json.side.map((one) => one.flow)) - total(json.tanks.flatMap(({ returns }) => returns.map((one) => one.flow))))).toBeLessThanOrEqual(1e-6 * flow);
        for (const one of json.tanks) expect(Math.abs(one.inflow - one.over - total(one.drains.map((drained) => drained.flow)))).toBeLessThanOrEqual(1e-6 * flow);
        const outflow = total(json.tanks.flatMap((one, at) => [one.over, ...one.drains.map((drained, index) => (water.tanks[at]?.drains[index]?.into === null ? drained.flow : 0))]));
        expect(Math.abs(outflow - total(json.tanks.flatMap(({ returns }) => returns.map((one) => one.flow))))).toBeLessThanOrEqual(1e-6 * flow);
        expect(json.powerFails.total).toBeCloseTo(total(json.powerFails.parts.map(({ volume }) => volume)), 6);
        // And is the balance, in litres.
        for (const [at, one] of json.tanks.entries()) expect(one.inflow * flowPer['L/h']).toBeCloseTo(all.balance.tanks[at]?.inflow ?? NaN, 3);
      }),
      { numRuns: 400 },
    );
  });

  const pick = <T>(all: readonly T[], number: number): T => all[number % all.length] as T;

  it('gets no worse by a larger pipe in a drain', () => {
    fc.assert(
      fc.property(anySystem, fc.nat(), fc.nat(), (water, which, other) => {
        const before = pick(water.tanks, which);
        const wider = pick(before.drains, other);
        const size = wider.run?.size;
        if (!wider.run || !size || size === '2') return;
        const next = pipeSizes[pipeSizes.indexOf(size) + 1] as PipeSize;
        const after = withTank(water, before.name, (one) => ({ ...one, drains: one.drains.map((own) => (own === wider ? { ...own, run: inSize(own.run as PipeRun, next) } : own)) }));
        const [old, now] = [found(water), found(after)];
        const ofTank = (all: readonly WaterFinding[], rule: string) => of(all, rule).filter(({ tank: name }) => name === before.name);
        expect(worstOf(ofTank(now, 'drain-capacity'))).toBeLessThanOrEqual(worstOf(ofTank(old, 'drain-capacity')));
        const own = (all: readonly WaterFinding[]) => ofTank(all, 'drain-blocked').filter(({ other: into }) => into === before.name);
        if (own(now).length === ofTank(now, 'drain-blocked').length && own(old).length === ofTank(old, 'drain-blocked').length) expect(worstOf(own(now))).toBeLessThanOrEqual(worstOf(own(old)));
      }),
      { numRuns: 400 },
    );
  });

  it('gets no worse by a longer weir, a higher top level of the sump, or a pump that is said to give less', () => {
    fc.assert(
      fc.property(anySystem, fc.nat(), between(1, 3), (water, which, factor) => {
        const before = pick(water.tanks, which);
        const longer = withTank(water, before.name, (one) => ({ ...one, weirs: one.weirs.map((own) => ({ ...own, length: own.length * factor })) }));
        const old = found(water);
        for (const rule of ['weir-head', 'weir-blocked', 'weir-teeth']) expect(worstOf(of(found(longer), rule))).toBeLessThanOrEqual(worstOf(of(old, rule)));
        const higher = { ...water, sump: { ...water.sump, top: water.sump.top * factor } };
        expect(worstOf(of(found(higher), 'run-back'))).toBeLessThanOrEqual(worstOf(of(old, 'run-back')));
        const { flow } = water.pump;
        if (flow === null || water.tanks.some(({ returns }) => returns.some((one) => one.flow !== null)) || water.side.length > 0) return;
        const weaker = { ...water, pump: { ...water.pump, flow: flow / factor } };
        // With less water all comes out of the lower returns: so only where there is one.
        if (water.tanks.flatMap(({ returns }) => returns).length !== 1) return;
        for (const rule of ['drain-capacity', 'drain-blocked', 'weir-head', 'weir-blocked', 'pipe-speed', 'drain-quiet']) expect(worstOf(of(found(weaker), rule))).toBeLessThanOrEqual(worstOf(of(old, rule)));
      }),
      { numRuns: 400 },
    );
  });
});

describe('fixes mend what they are told for', () => {
  /** A length in a fix, mm. */
  const mm = (fix: string, words: RegExp) => Number(words.exec(fix)?.[1] ?? NaN);
  const pipeIn = (fix: string) => /pipe of (\S+) in/.exec(fix)?.[1] as PipeSize | undefined;

  it('pipes of drains: wide enough, quiet, slow', () => {
    let tried = 0;
    fc.assert(
      fc.property(anySystem, (water) => {
        for (const { rule, tank: name, pipe: own, verdict, fix } of found(water)) {
          const size = pipeIn(fix);
          if (verdict === 'clear' || size === undefined || name === null || !['drain-capacity', 'drain-quiet', 'pipe-speed'].includes(rule)) continue;
          if (!water.tanks.some((one) => one.name === name && one.drains.some((its) => its.name === own))) continue;
          const mended = withTank(water, name, (one) => ({ ...one, drains: one.drains.map((its) => (its.name === own && its.run ? { ...its, run: inSize(its.run, size) } : its)) }));
          expect(of(found(mended), rule).filter((one) => one.tank === name && one.pipe === own && one.verdict !== 'clear')).toEqual([]);
          tried += 1;
        }
      }),
      { numRuns: 400 },
    );
    expect(tried).toBeGreaterThan(50);
  });

  it('crests that are lowered', () => {
    let tried = 0;
    fc.assert(
      fc.property(anySystem, (water) => {
        for (const { rule, tank: name, verdict, fix } of found(water)) {
          const by = mm(fix, /lower (?:the crest|all crests) by (\S+) mm/);
          if (verdict === 'clear' || name === null || Number.isNaN(by)) continue;
          const mended = withTank(water, name, (one) => ({ ...one, weirs: one.weirs.map((own) => ({ ...own, crest: own.crest + by })) }));
          expect(of(found(mended), rule).filter((one) => one.tank === name && one.verdict !== 'clear')).toEqual([]);
          tried += 1;
        }
      }),
      { numRuns: 300 },
    );
    expect(tried).toBeGreaterThan(30);
  });

  it('returns that open higher, and a sump that runs lower', () => {
    let [raised, lowered] = [0, 0];
    // Returns that open deep, behind weirs, over a sump that may hold it.
    const opened = fc.record({ opening: fc.integer({ min: 0, max: 300 }), siphonBreak: maybe(fc.integer({ min: 0, max: 100 })) });
    const deep = fc
      .record({ tanks: fc.array(fc.record({ area: fc.integer({ min: 100000, max: 1000000 }), crest: fc.integer({ min: 10, max: 60 }), returns: fc.array(opened, { minLength: 1, maxLength: 3 }) }), { minLength: 1, maxLength: 3 }), free: fc.integer({ min: 1000000, max: 300000000 }), working: fc.integer({ min: 100, max: 400 }) })
      .map(({ tanks, free, working }) =>
        system({
          sump: { area: free / 100, working, top: working + 100 },
          lines: [line('riser', run('1', 500))],
          tanks: tanks.map(({ returns, ...own }, at) => tank(`tank ${at}`, { area: own.area, weirs: [weir('notch', { box: null, crest: own.crest, length: 900 })], returns: returns.map((its, index) => returned(`return ${index}`, { ...its, from: 'riser' })), drains: [drain('drain', {})] })),
        }),
      );
    fc.assert(
      fc.property(fc.oneof(anySystem, deep), (water) => {
        for (const { tank: name, pipe: own, verdict, fix } of of(found(water), 'run-back')) {
          if (verdict === 'clear') continue;
          const lower = mm(fix, /run the sump (\S+) mm lower/);
          if (!Number.isNaN(lower)) {
            const mended = { ...water, sump: { ...water.sump, working: water.sump.working - lower } };
            expect(of(found(mended), 'run-back').map((one) => one.verdict)).not.toContain('refused');
            expect(worstOf(of(found(mended), 'run-back'))).toBe(0);
            lowered += 1;
          }
          const [most, good] = [mm(fix, /open at most (\S+) mm/), mm(fix, /\((\S+) mm to spare/)];
          if (Number.isNaN(most) || name === null) continue;
          const at = (depth: number) => withTank(water, name, (one) => ({ ...one, returns: one.returns.map((its) => (fix.includes('all returns') || its.name === own ? { ...its, opening: Math.min(its.opening, depth) } : its)) }));
          expect(worstOf(of(found(at(most)), 'run-back'))).toBeLessThan(2);
          if (verdict === 'tight' || !Number.isNaN(good)) expect(worstOf(of(found(at(Number.isNaN(good) ? most : good)), 'run-back'))).toBe(0);
          raised += 1;
        }
      }),
      { numRuns: 1000 },
    );
    expect([raised > 50, lowered > 50]).toEqual([true, true]);
  });
});

describe('sizes that are chosen', () => {
  it('carry the water wherever the largest would', () => {
    const open = (water: WaterSystem, size: PipeSize, opened: readonly boolean[]): WaterSystem => {
      let at = 0;
      const sized = (own: PipeRun | null) => (own?.size && opened[at++ % opened.length] ? { ...inSize(own, size), isChosen: true } : own);
      return { ...water, tanks: water.tanks.map((one) => ({ ...one, returns: one.returns.map((its) => ({ ...its, run: sized(its.run) })), drains: one.drains.map((its) => ({ ...its, run: sized(its.run) })) })) };
    };
    fc.assert(
      fc.property(anySystem, fc.array(fc.boolean(), { minLength: 1, maxLength: 7 }), (water, opened) => {
        const chosen = chooseSizes(open(water, '1/2', opened));
        const largest = open(water, '2', opened);
        const now = found(chosen);
        if (report(largest).balance.supply.solution.kind !== 'flows') return;
        expect(report(chosen).balance.supply.solution.kind).toBe('flows');
        // Tank by tank, as what flows on hangs on the sizes above.
        for (const { name } of chosen.tanks) {
          const wide = found(withTank(chosen, name, (one) => ({ ...one, drains: one.drains.map((its) => (its.run?.isChosen ? { ...its, run: inSize(its.run, '2') } : its)) })));
          const ofTank = (all: readonly WaterFinding[], rule: string) => worstOf(of(all, rule).filter(({ tank: own, other }) => own === name && other === name));
          for (const rule of ['drain-capacity', 'drain-blocked']) if (ofTank(wide, rule) === 0) expect(ofTank(now, rule), rule).toBe(0);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('let through what a valve of its own sets, though the smallest size would not', () => {
    const curve = [{ flow: 0, head: 3000 }, { flow: litresPerHour(3000), head: 0 }];
    const water = system({ pump: { curve, flow: null, throttle: null }, tanks: [tank('hatchery', { returns: [returned('return', { flow: litresPerHour(2000), run: { ...run('1/2', 2000), isChosen: true }, rise: 1000 })], drains: [drain('drain', { rated: litresPerHour(9000) })] })] });
    // 2000 L/h at 1.5 m/s wants a bore of 21.7 mm: 1 in has 26.6, 3/4 in 20.9 (ASTM D1785).
    expect(chooseSizes(water).tanks[0]?.returns[0]?.run?.size).toBe('1');
    expect(boreOf('3/4', 40)).toBeLessThan(21.7);
  });

  it('let a spare grow where the drains that run are given, and short of the reserve', () => {
    const water = system({ pump: { curve: null, flow: litresPerHour(1500), throttle: null }, tanks: [tank('hatchery', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { rated: litresPerHour(1600), run: null, drop: null }), drain('spare', { isSpare: true, run: { ...run('1/2', 2000), isChosen: true } })] })] });
    expect(capacityOf(chooseSizes(water).tanks[0]?.drains[1] as Drain).reliable).toBeGreaterThanOrEqual(litresPerHour(1500));
  });

  it('carry what a blocked drain further up sends down another way', () => {
    const open = { ...run('1/2', 900), isChosen: true };
    const water = system({
      pump: { curve: null, flow: litresPerHour(1500), throttle: null },
      tanks: [
        tank('upper', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { rated: litresPerHour(3000), run: null, drop: null }), drain('spare', { rated: litresPerHour(3000), run: null, drop: null, isSpare: true, into: 'lower' })] }),
        tank('lower', { drains: [drain('drain', { run: open })] }),
      ],
    });
    expect(capacityOf(chooseSizes(water).tanks[1]?.drains[0] as Drain).reliable).toBeGreaterThanOrEqual(litresPerHour(1500));
  });
});

describe('no flow that fits', () => {
  const pond = (returns: readonly Return[], pump: Partial<WaterSystem['pump']>) => system({ pump: { curve: null, flow: null, throttle: null, ...pump }, tanks: [tank('pond', { returns, drains: [drain('drain', { rated: litresPerHour(9000), run: null, drop: null })] })] });
  const fixed = (name: string, flow: number) => returned(name, { flow: litresPerHour(flow), run: null, rise: null });
  const curve = [{ flow: 0, head: 3000 }, { flow: litresPerHour(3000), head: 0 }];

  it('is refused, not left without a word: returns that take less than the pump is said to deliver', () => {
    expect(report(pond([fixed('return', 1500)], { flow: litresPerHour(2000) }))).toMatchObject({ verdict: 'refused', findings: [{ rule: 'pump-flow', verdict: 'refused', fix: expect.stringContaining('1500 L/h and no more') }] });
  });

  it('is refused where all that the curve has is taken', () => {
    expect(report(pond([fixed('return', 3000)], { curve }))).toMatchObject({ verdict: 'refused', findings: [{ rule: 'pump-flow' }] });
  });

  it('refuses a return that gets what is left, where nothing is', () => {
    expect(of(found(pond([fixed('left', 2000), returned('right', { run: null, rise: null })], { flow: litresPerHour(2000) })), 'pump-flow')).toMatchObject([{ verdict: 'refused', hole: 'right', tank: 'pond', pipe: 'right' }]);
  });

  it('is tight where the valve behind the pump is set to less than is taken behind it', () => {
    expect(of(found(pond([fixed('return', 1500)], { curve, throttle: litresPerHour(1000) })), 'throttle')).toMatchObject([{ verdict: 'tight', measured: litresPerHour(1000), needed: litresPerHour(1500) }]);
  });

  it('elbows refuse nothing, however little is known of the head', () => {
    const one = pond([returned('return', { run: run('3/4', 0, { elbows: 2 }), rise: null })], { flow: litresPerHour(1500) });
    expect(found(one).filter(({ pipe: own, verdict }) => own === 'return' && verdict === 'refused')).toEqual([]);
  });
});

describe('what runs back', () => {
  const pond = (own: Partial<WaterTank>, top = 300) => system({ sump: { area: 200_000, working: 200, top }, tanks: [tank('pond', { area: 400_000, returns: [returned('return', { run: null, rise: null, opening: 20 })], ...own })] });
  const parts = (water: WaterSystem) => report(water).balance.runBack.parts.map(({ what, volume }) => [what, Math.round(volume / 1e3)]);

  it('runs out of a drain in the tank itself that lies under the crest', () => {
    const level = report(pond({ weirs: [weir('weir box', { crest: 45 })], drains: [drain('in the box', { weir: 'weir box' })] })).balance.tanks[0]?.level ?? NaN;
    // The lower edge of the drain lies 100 + 1.049 in / 2 under the edge: 113.3.
    const water = pond({ weirs: [weir('weir box', { crest: 45, boxArea: 0 })], drains: [drain('in the box', { weir: 'weir box', run: null, drop: null, rated: 1e6 }), drain('in the wall', { opening: 100, run: run('1', 0) })] });
    expect(parts(water)).toEqual([['down to a drain', Math.round(400 * (100 + (1.049 * 25.4) / 2 - level))]]);
    expect(of(found(water), 'run-back')).toMatchObject([{ verdict: 'refused' }]);
    // One whose opening is turned up over the crest takes nothing.
    expect(parts(pond({ weirs: [weir('weir box', { crest: 45, boxArea: 0 })], drains: [drain('in the box', { weir: 'weir box', run: null, drop: null, rated: 1e6 }), drain('turned up', { opening: 20, run: run('1', 0) })] }))[0]?.[0]).toBe('over the crest');
  });

  it('is not known where a drain opens nobody knows how deep', () => {
    const { balance, findings, notes } = report(pond({ drains: [drain('in the wall', { opening: 60 }), drain('in the bottom', { opening: null })] }));
    expect(balance.runBack.unknown).toEqual([{ tank: 'pond', what: 'level' }]);
    expect(of(findings, 'run-back')).toEqual([]);
    expect(notes.join(' ')).toMatch(/What runs back from pond is not known/);
    expect(report(pond({ drains: [drain('in a box without a weir', { isBoxed: true })] })).balance.runBack.unknown).toEqual([{ tank: 'pond', what: 'level' }]);
  });

  it('of a tank without a weir is guessed, and a guess is never more than tight', () => {
    // An open drain runs with its opening full at most: as much as its bore over the lower edge.
    const open = pond({ drains: [drain('drain', { runs: 'open', run: run('1', 0), opening: 60 })] });
    expect(parts(open)).toEqual([['over the drains', Math.round(400 * 1.049 * 25.4)]]);
    const siphon = pond({ drains: [drain('drain', { run: run('1', 0), opening: 200 })] }, 201);
    expect(of(found(siphon), 'run-back')).toMatchObject([{ verdict: 'tight', part: null }]);
  });

  it('is refused already where what is known is more than the sump holds', () => {
    const water = system({ sump: { area: 1000, working: 200, top: 201 }, lines: [line('riser', run('2', 3000))], tanks: [tank('pond', { returns: [returned('return', { from: 'riser', run: null, rise: null })], drains: [drain('drain', { opening: null })] })] });
    expect(of(found(water), 'run-back')).toMatchObject([{ verdict: 'refused' }]);
  });
});

describe('findings stand where they belong', () => {
  it('a tank that is short by itself is no fault of a drain elsewhere', () => {
    const rated = (flow: number) => ({ rated: litresPerHour(flow), run: null, drop: null });
    const two = system({
      lines: [line('riser', run('1', 500))],
      tanks: [
        tank('fern', { returns: [returned('fern return', { from: 'riser' })], drains: [drain('first', rated(4000)), drain('second', rated(4000))] }),
        tank('moss', { returns: [returned('moss return', { from: 'riser' })], drains: [drain('only', rated(10))] }),
      ],
    });
    expect(of(found(two), 'drain-blocked').filter(({ tank: name }) => name === 'fern').map(({ verdict, other }) => [verdict, other])).toEqual([['clear', 'fern'], ['clear', 'fern']]);
  });

  it('in the table of the holes, of tanks whose names begin alike and holes of one name', () => {
    const rated = (flow: number) => ({ rated: litresPerHour(flow), run: null, drop: null });
    const all = system({
      reserve: 0,
      lines: [line('riser', run('1', 500))],
      tanks: [
        tank('fern, upper', { returns: [returned('return', { from: 'riser' })], drains: [{ ...drain('back drain', rated(10)), hole: { part: 'back', name: 'drain' } }] }),
        tank('fern', { returns: [returned('return', { from: 'riser' })], drains: [drain('drain', rated(4000)), drain('spare', { ...rated(4000), isSpare: true })] }),
      ],
    });
    const { tables, diagram } = waterPageContent(report(all));
    const rows = tables.find(({ heading }) => heading === 'Holes')?.rows ?? [];
    expect(rows.filter(([name]) => name?.includes('drain')).map((row) => [row[0], row[1], row.at(-1)])).toEqual([['back drain', 'fern, upper', 'refused'], ['drain', 'fern', 'clear']]);
    expect(diagram.pipes.filter(({ isFaulty }) => isFaulty).map(({ name, from }) => [name, from])).toEqual([['back drain', 0]]);
  });

  it('a spare must lie so deep under the crest that its water gets in', () => {
    const spare = (opening: number) => of(found(withTank(fernTerrace, 'upper', (one) => ({ ...one, drains: one.drains.map((own) => (own.isSpare ? { ...own, opening } : own)) }))), 'drain-opening').find(({ tank: name }) => name === 'upper');
    // Francis along the rim, in feet: H = (Q / (3.33 pi D))^(2/3). 700 L/h = 0.006867 ft³/s, D = 1.61 in: 0.0289 ft = 8.8 mm under the crest at 45.
    expect(report(fernTerrace).balance.tanks[0]?.inflow).toBeCloseTo(litresPerHour(700), 3);
    expect(spare(45 + 8.9)).toMatchObject({ verdict: 'clear', needed: expect.closeTo(8.8, 1) });
    expect(spare(45 + 8.7)).toMatchObject({ verdict: 'tight', pipe: 'spare drain', fix: 'lower its opening by 0.1 mm' });
    expect(spare(20)).toMatchObject({ verdict: 'tight', measured: -25 });
  });

  it('the water over a full siphon stands no higher than the opening of the spare beside it', () => {
    const cover = (opening: number) => of(found(withTank(fernTerrace, 'upper', (one) => ({ ...one, drains: one.drains.map((own) => (own.isSpare ? { ...own, opening } : own)) }))), 'drain-cover').find(({ tank: name }) => name === 'upper')?.measured;
    // The siphon opens at 160, the crest lies at 45.
    expect(cover(90)).toBe(70);
    expect(cover(40)).toBe(115);
  });
});

it('two hundred returns and drains are worked out', () => {
  const many = system({
    pump: { curve: [{ flow: 0, head: 6000 }, { flow: litresPerHour(100_000), head: 0 }], flow: null, throttle: litresPerHour(60_000) },
    lines: Array.from({ length: 100 }, (_, at) => line(`line ${at}`, run('2', 1000, { elbows: 1 }), at % 8 === 0 ? null : `line ${at - 1}`)),
    tanks: Array.from({ length: 50 }, (_, at) => tank(`tank ${at}`, { returns: Array.from({ length: 4 }, (_, index) => returned(`return ${index}`, { from: `line ${(at * 4 + index) % 100}`, rise: 1000 + at * 10 })), drains: Array.from({ length: 4 }, (_, index) => drain(`drain ${index}`, { into: index === 0 && at < 49 ? `tank ${at + 1}` : null, weir: 'weir' })), weirs: [weir('weir', { length: 900 })] })),
  });
  const { supply, elbows } = report(many).balance;
  expect(supply.solution.kind).toBe('flows');
  expect(elbows.every(({ twoMore }) => twoMore === null)).toBe(true);
});
