/** Whole systems: what goes through drains and over weirs, what runs back, what is found; against sums done by hand. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pipeSizes, type PipeSize } from '../../src/trade/pipe.ts';
import { pipeSpeed } from '../../src/trade/water.ts';
import { balanceOf } from '../../src/water/balance.ts';
import { drained } from '../../src/water/cascade.ts';
import { capacityOf } from '../../src/water/drain.ts';
import { waterFindings, type WaterFinding } from '../../src/water/findings.ts';
import { areaOf, lossOf, speedIn } from '../../src/water/pipe-flow.ts';
import { chooseSizes } from '../../src/water/sizes.ts';
import { linePipe, returnPipe } from '../../src/water/supply.ts';
import type { Line, PipeRun, WaterSystem, WaterTank } from '../../src/water/system.ts';
import { drain, fernTerrace, gph, litresPerHour, line, returned, run, system, tank, weir } from './systems.ts';

const found = (of: WaterSystem) => waterFindings(of, balanceOf(of));
const one = (all: readonly WaterFinding[], rule: string, hole?: string, other?: string) => all.filter((finding) => finding.rule === rule && (hole === undefined || finding.hole === hole) && (other === undefined || finding.other === other));

describe('through each tank what comes in goes out', () => {
  const anyTanks = fc.array(fc.record({ fed: fc.double({ min: 0, max: 1e6, noNaN: true }), drains: fc.array(fc.record({ rated: fc.double({ min: 1e3, max: 1e6, noNaN: true }), isSpare: fc.boolean(), isOpen: fc.boolean(), skips: fc.nat(3) }), { maxLength: 5 }) }), { minLength: 1, maxLength: 8 });
  it('in random cascades, with a drain blocked too', () => {
    fc.assert(
      fc.property(anyTanks, fc.nat(100), (made, which) => {
        const tanks = made.map(({ drains }, at): WaterTank =>
          tank(`tank ${at}`, { drains: drains.map(({ rated, isSpare, isOpen, skips }, index) => drain(`drain ${index}`, { rated, isSpare, runs: isOpen ? 'open' : 'full siphon', into: at + 1 + skips < made.length ? `tank ${at + 1 + skips}` : null })) }),
        );
        const fed = (of: WaterTank) => made[tanks.indexOf(of)]?.fed ?? 0;
        const all = tanks.flatMap((of) => of.drains.map(({ name }) => ({ tank: of.name, drain: name })));
        const blocked = all[which % Math.max(1, all.length)] ?? null;
        for (const each of [null, blocked]) {
          const flows = drained(tanks, fed, each);
          const intoSump = flows.reduce((sum, { tank: of, flows: own, over }) => sum + over + own.reduce((total, flow, index) => total + (of.drains[index]?.into === null ? flow : 0), 0), 0);
          expect(intoSump).toBeCloseTo(made.reduce((sum, { fed: in_ }) => sum + in_, 0), 3);
          for (const { tank: of, inflow, flows: own, over } of flows) {
            expect(Math.abs(inflow - over - own.reduce((sum, flow) => sum + flow, 0))).toBeLessThanOrEqual(1e-9 * inflow);
            for (const [index, flow] of own.entries()) {
              const { most } = capacityOf(of.drains[index] as never);
              expect(flow).toBeLessThanOrEqual(most * (1 + 1e-12));
              if (each && each.tank === of.name && each.drain === of.drains[index]?.name) expect(flow).toBe(0);
              // Spares stay dry while others can take more.
              if (of.drains[index]?.isSpare && flow > 0) for (const [other, its] of own.entries()) if (!of.drains[other]?.isSpare && !(each?.tank === of.name && each.drain === of.drains[other]?.name)) expect(its).toBeCloseTo(of.drains[other]?.rated ?? 0, 3);
            }
          }
        }
      }),
    );
  });

  it('in the fern terrace: the lower tank gets what the upper one drains besides its own return', () => {
    const { tanks, returnFlow, supply } = balanceOf(fernTerrace);
    const [upper, lower] = [returnFlow('upper', 'return'), returnFlow('lower', 'return')];
    expect(upper).toBeGreaterThan(0);
    expect(tanks.map(({ inflow }) => inflow)).toEqual([upper, expect.closeTo(upper + lower, 3)]);
    expect(supply.solution.kind === 'flows' ? supply.solution.flow : 0).toBeCloseTo(litresPerHour(1400), 3);
    expect(upper + lower + litresPerHour(200)).toBeCloseTo(litresPerHour(1400), 3);
  });
});

describe('drains against the inflow', () => {
  const boxes = (feed: number) =>
    system({
      flowUnit: 'gph',
      reserve: 0,
      pump: { curve: null, flow: gph(1500), throttle: null },
      side: [{ name: 'side equipment', flow: gph(feed) }],
      tanks: [tank('reef', { returns: [returned('return', { run: null, rise: null })], drains: [drain('first box', { run: null, drop: null, rated: gph(900) }), drain('second box', { run: null, drop: null, rated: gph(900) })] })],
    });

  // Common practice, no source.
  it('two boxes rated 900 gal/h each carry a 1,500 gal/h pump that also feeds side equipment', () => {
    const all = found(boxes(300));
    expect(one(all, 'drain-capacity')).toMatchObject([{ verdict: 'clear', measured: expect.closeTo(gph(1800), 3), needed: expect.closeTo(gph(1200), 3) }]);
    // One box alone does not: 900 of 1,200.
    expect(one(all, 'drain-blocked').map(({ verdict, measured }) => [verdict, Math.round(measured as number / gph(1))])).toEqual([['tight', 900], ['tight', 900]]);
    expect(one(found(boxes(600)), 'drain-blocked').map(({ verdict }) => verdict)).toEqual(['clear', 'clear']);
  });

  it('refuses where they carry less at the most, and is tight where the reserve is not left', () => {
    const of = (rated: number, reserve: number) => system({ reserve, tanks: [tank('pond', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { rated: litresPerHour(rated) })] })] });
    expect(one(found(of(1499, 0.5)), 'drain-capacity')).toMatchObject([{ verdict: 'refused', part: 'back', hole: 'drain', needed: litresPerHour(1500) }]);
    expect(one(found(of(1500, 0)), 'drain-capacity')).toMatchObject([{ verdict: 'clear' }]);
    expect(one(found(of(2249, 0.5)), 'drain-capacity')).toMatchObject([{ verdict: 'tight', needed: litresPerHour(2250) }]);
    expect(one(found(of(2250, 0.5)), 'drain-capacity')).toMatchObject([{ verdict: 'clear' }]);
  });

  it('names a pipe that carries it', () => {
    const small = system({ tanks: [tank('pond', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { run: run('1/2', 900) })] })] });
    const [finding] = one(found(small), 'drain-capacity');
    expect(finding?.verdict).toBe('refused');
    const size = /pipe of (\S+) in/.exec(finding?.fix ?? '')?.[1] as PipeSize;
    const reserve = litresPerHour(1500 * 1.5);
    expect(capacityOf(drain('drain', { run: run(size, 900) })).reliable).toBeGreaterThanOrEqual(reserve);
    expect(capacityOf(drain('drain', { run: run(pipeSizes[pipeSizes.indexOf(size) - 1] as PipeSize, 900) })).reliable).toBeLessThan(reserve);
  });

  it('finds a tank further down that a blocked drain floods', () => {
    const cascade = system({
      reserve: 0,
      tanks: [
        tank('upper', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { rated: litresPerHour(2000), into: null }), drain('spare', { rated: litresPerHour(2000), isSpare: true, into: 'lower' })] }),
        tank('lower', { drains: [drain('outlet', { rated: litresPerHour(500) })] }),
      ],
    });
    expect(one(found(cascade), 'drain-blocked', 'drain')).toMatchObject([{ verdict: 'tight', other: 'upper, into lower', measured: litresPerHour(500), needed: litresPerHour(1500) }]);
  });
});

describe('when the power fails', () => {
  // 1000 x 400 mm inside: each mm of water is 0.4 L. Crest 50 mm under the top, return open 80 mm under it: 12 L besides what stands over the crest.
  const pond = (opening: number, top: number, siphonBreak: number | null = null) =>
    system({
      sump: { area: 500 * 400, working: 200, top },
      tanks: [tank('pond', { area: 400_000, returns: [returned('return', { run: null, rise: null, opening, siphonBreak })], drains: [drain('drain', { rated: litresPerHour(9000), run: null })], weirs: [weir('notch', { box: null, crest: 50, length: 400 })] })],
    });

  it('counts what stands over the crest and what runs back to the opening of a return', () => {
    const { runBack, tanks } = balanceOf(pond(80, 300));
    const over = (50 - (tanks[0]?.level ?? 0)) * 400_000;
    expect(over).toBeGreaterThan(0);
    expect(runBack.parts).toEqual([{ tank: 'pond', what: 'over the crest', volume: expect.closeTo(over, 3) }, { tank: 'pond', what: 'through a return', volume: 12e6 }]);
    expect(runBack.total).toBeCloseTo(over + 12e6, 3);
    expect(runBack.free).toBe(20e6);
    expect(balanceOf(pond(45, 300)).runBack.parts).toHaveLength(1);
  });

  it('says how high a return must open, and that is enough', () => {
    const [finding] = one(found(pond(200, 300)), 'run-back');
    expect(finding).toMatchObject({ verdict: 'refused', part: 'back', hole: 'return' });
    const allowed = Number(/open at most (\d+) mm/.exec(finding?.fix ?? '')?.[1]);
    expect(one(found(pond(allowed, 300)), 'run-back')[0]?.verdict).not.toBe('refused');
    expect(one(found(pond(allowed + 1, 300)), 'run-back')[0]?.verdict).toBe('refused');
  });

  it('trusts a siphon break only so far', () => {
    expect(one(found(pond(200, 300, 40)), 'run-back')).toMatchObject([{ verdict: 'tight', other: 'pond, with the siphon breaks clogged', source: expect.stringContaining('clogs') }]);
    expect(one(found(pond(75, 300, 40)), 'run-back')).toMatchObject([{ verdict: 'clear', other: null }]);
  });

  it('is refused without a hole to blame where the sump is too small for the crests alone', () => {
    expect(one(found(pond(40, 201)), 'run-back')).toMatchObject([{ verdict: 'refused', part: null, hole: 'sump' }]);
  });

  it('says how much lower the sump must run, and that is enough and not much too much', () => {
    for (const [of, after] of [[pond(80, 270), 'clear'], [pond(80, 280), 'clear'], [pond(40, 201), 'clear'], [pond(100, 300), 'clear'], [pond(100, 300, 40), 'clear']] as const) {
      const lowered = (by: number) => one(found({ ...of, sump: { ...of.sump, working: of.sump.working - by } }), 'run-back')[0]?.verdict;
      const by = Number(/run the sump ([\d.]+) mm lower/.exec(one(found(of), 'run-back')[0]?.fix ?? '')?.[1]);
      expect([by > 0, lowered(by), lowered(by - 0.2)]).toEqual([true, after, 'tight']);
    }
  });

  it('does not lower the sump under its bottom', () => {
    expect(one(found({ ...pond(400, 300), sump: { area: 500 * 400, working: 150, top: 160 } }), 'run-back')[0]?.fix).not.toContain('run the sump');
  });

  it('where one return raised is not enough asks for all, and for a larger sump where that is not enough either', () => {
    const two = (top: number) => {
      const of = pond(200, top);
      const [first] = of.tanks as [WaterTank];
      const raised = (opening: number) => found({ ...of, pump: { ...of.pump, flow: 2 * (of.pump.flow ?? 0) }, tanks: ['left', 'right'].map((name) => ({ ...first, name, returns: first.returns.map((own) => ({ ...own, flow: of.pump.flow, opening })) })) });
      return { now: one(raised(200), 'run-back')[0], after: one(raised(50), 'run-back')[0]?.verdict };
    };
    const [enough, never] = [two(300), two(201)];
    expect(enough).toMatchObject({ now: { verdict: 'refused', part: 'back', hole: 'return', fix: expect.stringContaining('let the returns open no lower than the crests of their tanks') }, after: 'clear' });
    expect(never).toMatchObject({ now: { verdict: 'refused', part: null, hole: 'sump', fix: expect.stringContaining('with a larger sump') }, after: 'refused' });
  });

  it('names a longer weir only where what stands over the crests is enough to save', () => {
    expect(one(found(pond(40, 215)), 'run-back')[0]).toMatchObject({ verdict: 'tight', fix: expect.stringContaining('a longer weir') });
    expect(one(found(pond(40, 201)), 'run-back')[0]).toMatchObject({ verdict: 'refused', fix: expect.stringContaining('a longer weir') });
    // 12 L through the return: raised by the third that is too much, or the sump lower.
    const fix = one(found(pond(80, 275)), 'run-back')[0]?.fix ?? '';
    expect(fix).not.toContain('weir');
    const allowed = Number(/open at most (\d+) mm/.exec(fix)?.[1]);
    expect(one(found(pond(allowed, 275)), 'run-back')[0]?.verdict).toBe('clear');
  });

  it('counts boxes down to their drains, and pipes', () => {
    const { runBack } = balanceOf(fernTerrace);
    const [upper] = fernTerrace.tanks;
    const bore = upper?.drains[0]?.run?.bore ?? 0;
    // Box of 20,000 mm², from the crest (45) down to the lower edge of the drain (160 and half its bore).
    expect(runBack.parts).toContainEqual({ tank: 'upper', what: 'boxes', volume: expect.closeTo(20_000 * (160 + bore / 2 - 45), 3) });
    // Pipes of the upper tank: 900 mm of 3/4 in to it, 900 mm of 1 in from it; the spare is dry.
    expect(runBack.parts).toContainEqual({ tank: 'upper', what: 'pipes', volume: expect.closeTo(900 * areaOf(run('3/4', 0).bore) + 900 * areaOf(bore), 3) });
    expect(runBack.parts).toContainEqual({ tank: null, what: 'pipes', volume: expect.closeTo(1200 * areaOf(run('1', 0).bore), 3) });
  });
});

describe('noise and air', () => {
  const open = (of: Partial<Parameters<typeof drain>[1]>, flow = 700) => system({ reserve: 0, pump: { curve: null, flow: litresPerHour(flow), throttle: null }, tanks: [tank('pond', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { runs: 'open', weir: 'weir box', ...of })], weirs: [weir('weir box', {})] })] });

  it('an open drain is quiet up to a quarter of its section, and not deep under the crest', () => {
    // 1 in schedule 40, bore 1.049 in: 27.8 (1/4)^(5/3) 1.049^(8/3) = 27.8 x 0.09921 x 1.1361 = 3.133 gpm = 711.7 L/h.
    expect(one(found(open({}, 711)), 'drain-quiet')).toMatchObject([{ verdict: 'clear', needed: expect.closeTo(litresPerHour(711.7), -2) }]);
    expect(one(found(open({}, 713)), 'drain-quiet')[0]?.verdict).toBe('tight');
    expect(one(found(open({ opening: 95 })), 'drain-depth')).toMatchObject([{ verdict: 'clear', measured: 50 }]);
    expect(one(found(open({ opening: 96 })), 'drain-depth')).toMatchObject([{ verdict: 'tight', measured: 51 }]);
  });

  it('a spare that has to run is held to the same', () => {
    const of = (flow: number) => one(found(system({ reserve: 0, pump: { curve: null, flow: litresPerHour(flow), throttle: null }, tanks: [tank('pond', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { rated: litresPerHour(1000), run: null }), drain('spare', { runs: 'open', isSpare: true })] })] })), 'drain-quiet', 'spare');
    expect(of(1000)).toEqual([]);
    expect(of(1711)[0]?.verdict).toBe('clear');
    expect(of(1713)[0]?.verdict).toBe('tight');
  });

  it('a full siphon wants water over it: D (1 + 2.3 Fr), ANSI/HI 9.8, from memory', () => {
    const of = (opening: number) => one(found(open({ runs: 'full siphon', opening }, 1500)), 'drain-cover')[0];
    const bore = run('1', 0).bore;
    const speed = speedIn(bore, litresPerHour(1500));
    const needed = bore * (1 + (2.3 * speed) / Math.sqrt(9806.65 * bore));
    expect(of(200)).toMatchObject({ verdict: 'clear', needed: expect.closeTo(needed, 6) });
    expect(of(Math.ceil(45 + needed))?.verdict).toBe('clear');
    expect(of(Math.floor(45 + needed))?.verdict).toBe('tight');
  });

  it('a rated drain opens no higher than the crest before it', () => {
    const of = (opening: number, isSpare: boolean, box: boolean) =>
      one(found(system({ tanks: [tank('pond', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { rated: litresPerHour(9000), run: null, opening: 160, weir: box ? 'weir box' : null }), drain('other', { rated: litresPerHour(900), run: null, isSpare, opening, weir: box ? 'weir box' : null })], weirs: [weir('weir box', box ? {} : { box: null })] })] })), 'drain-opening', 'other')[0];
    for (const box of [true, false]) {
      expect(of(45, false, box)).toMatchObject({ verdict: 'clear', measured: 0 });
      expect(of(44, false, box)).toMatchObject({ verdict: 'tight', measured: -1, fix: 'lower its opening by 1 mm' });
      expect(of(44, true, box)?.verdict).toBe('tight');
    }
  });

  it('of a spare beside a drain over the crest says nothing: it must not be raised over the crest as well', () => {
    const of = (opening: number) => one(found(system({ tanks: [tank('pond', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { weir: 'weir box', opening }), drain('spare', { weir: 'weir box', isSpare: true, opening: 60 })], weirs: [weir('weir box', {})] })] })), 'spare-height');
    expect(of(30)).toEqual([]);
    expect(of(50)).toMatchObject([{ verdict: 'tight', fix: expect.stringContaining('or lower the drains that run') }]);
  });

  it('a spare opens higher than the drains that run', () => {
    const of = (opening: number) => found(system({ tanks: [tank('pond', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { weir: 'weir box' }), drain('spare', { weir: 'weir box', isSpare: true, opening })], weirs: [weir('weir box', {})] })] }));
    expect(one(of(90), 'spare-height', 'spare')).toMatchObject([{ verdict: 'clear', measured: 70 }]);
    expect(one(of(160), 'spare-height', 'spare')).toMatchObject([{ verdict: 'tight', measured: 0 }]);
  });
});

describe('weirs', () => {
  // USBR Water Measurement Manual, ch. 7: Q = 3.33 (L - 0.2 H) H^1.5. L = 1 ft, H = 1 in: 3.33 (1 - 0.2 / 12) (1 / 12)^1.5 = 0.07877 ft³/s = 35.35 gpm = 2121 gph (the table of constructionwork.com has 35.4).
  const notch = (flow: number, crest: number) => system({ flowUnit: 'gph', units: 'in', reserve: 0, pump: { curve: null, flow: gph(flow), throttle: null }, tanks: [tank('pond', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { rated: gph(9000), run: null })], weirs: [weir('notch', { box: null, crest, length: 304.8 })] })] });

  it('the water stands over the crest as the published formula has it', () => {
    expect(45 - (balanceOf(notch(2121, 45)).tanks[0]?.level ?? 0)).toBeCloseTo(25.4, 1);
  });

  it('and must stay under the top edge', () => {
    expect(one(found(notch(2121, 25)), 'weir-head')[0]?.verdict).toBe('refused');
    expect(one(found(notch(2121, 50)), 'weir-head')[0]?.verdict).toBe('tight');
    expect(one(found(notch(2121, 51)), 'weir-head')[0]?.verdict).toBe('clear');
  });

  it('with its drain blocked, a box leads no water, and the other weir takes all', () => {
    const two = system({
      tanks: [tank('pond', { returns: [returned('return', { run: null, rise: null })], drains: [drain('left', { weir: 'left box' }), drain('right', { weir: 'right box' })], weirs: [weir('left box', {}), weir('right box', {})] })],
    });
    const one_ = system({ ...two, tanks: [tank('pond', { ...two.tanks[0], drains: [drain('left', { weir: 'left box' })], weirs: [weir('left box', {})] })] });
    const { blocked, tanks } = balanceOf(two);
    const single = balanceOf(one_).tanks[0]?.level as number;
    expect(blocked.map((each) => each.tanks[0]?.level)).toEqual([single, single]);
    expect(tanks[0]?.level).toBeGreaterThan(single);
    expect(balanceOf(one_).blocked[0]?.tanks[0]?.level).toBeNull();
    expect(one(found(one_), 'weir-blocked')).toMatchObject([{ verdict: 'tight' }]);
  });
});

describe('the pump, its valve and its pipes', () => {
  it('says so where its head does not reach, and names no flow', () => {
    const high = { ...fernTerrace, side: [], pump: { ...fernTerrace.pump, throttle: null }, tanks: fernTerrace.tanks.map((of) => ({ ...of, returns: of.returns.map((own) => ({ ...own, flow: null, rise: 4000 })) })) };
    expect(one(found(high), 'return-reach')).toMatchObject([{ verdict: 'refused', part: null, hole: 'pump', measured: 3200, needed: 4000.001 }]);
    expect(balanceOf(high).tanks.every(({ inflow }) => inflow === 0)).toBe(true);
  });

  it('refuses a return that lies too high beside one that takes all the water', () => {
    const [upper, lower] = fernTerrace.tanks as [WaterTank, WaterTank];
    const dry = { ...fernTerrace, pump: { ...fernTerrace.pump, throttle: null }, tanks: [{ ...upper, returns: upper.returns.map((own) => ({ ...own, rise: 3100 })) }, { ...lower, returns: lower.returns.map((own) => ({ ...own, flow: null })) }] };
    expect(one(found(dry), 'return-reach', 'return', 'upper')).toMatchObject([{ verdict: 'refused', part: 'back' }]);
    expect(one(found(dry), 'return-reach', 'return', 'lower')).toMatchObject([{ verdict: 'clear' }]);
  });

  it('what the pipes on the way to an opening lose, and its rise, are the head behind the valve', () => {
    const { supply, returnFlow, lineFlow } = balanceOf(fernTerrace);
    const [riser] = fernTerrace.lines;
    const [upper] = fernTerrace.tanks[0]?.returns ?? [];
    const lost = lossOf(linePipe(riser as Line, fernTerrace.lines), lineFlow('riser'))[0] + lossOf(returnPipe(upper?.run as PipeRun, 'riser', fernTerrace.lines), returnFlow('upper', 'return'))[0];
    expect(lost + 1900).toBeCloseTo(supply.solution.kind === 'flows' ? supply.solution.head : NaN, 6);
    // From 1 in to 3/4 in, bores of 1.049 and 0.824 in: 0.5 (1 - (0.824 / 1.049)²) = 0.1915 velocity heads more than two elbows of 0.9 and the exit.
    expect(returnPipe(upper?.run as PipeRun, 'riser', fernTerrace.lines).minor).toBeCloseTo(0.1915 + 1.8 + 1, 4);
  });

  it('is tight where the pump gives less than its valve is set to', () => {
    expect(one(found({ ...fernTerrace, pump: { ...fernTerrace.pump, throttle: litresPerHour(2900) } }), 'throttle')[0]?.verdict).toBe('tight');
    expect(one(found(fernTerrace), 'throttle')[0]?.verdict).toBe('clear');
  });

  // Common practice, no source.
  it('throttled, loses little flow to two more elbows when it has head to spare', () => {
    const simple = (throttle: number | null) => system({ pump: { curve: [{ flow: 0, head: 6000 }, { flow: litresPerHour(4000), head: 3000 }, { flow: litresPerHour(6000), head: 0 }], flow: null, throttle }, tanks: [tank('pond', { returns: [returned('return', { run: run('1', 2000, { elbows: 2 }), rise: 1500 })] })] });
    const lost = (throttle: number | null) => {
      const { elbows, returnFlow } = balanceOf(simple(throttle));
      return (elbows[0]?.twoMore ?? NaN) / returnFlow('pond', 'return');
    };
    expect(lost(litresPerHour(1500))).toBeLessThan(0.01);
    expect(lost(null)).toBeGreaterThan(3 * lost(litresPerHour(1500)));
    // In a short 1/2 in pipe behind a small pump two elbows are most of the losses.
    const weak = system({ pump: { curve: [{ flow: 0, head: 1800 }, { flow: litresPerHour(2500), head: 0 }], flow: null, throttle: null }, tanks: [tank('pond', { returns: [returned('return', { run: run('1/2', 300), rise: 1000 })] })] });
    expect(one(found(simple(litresPerHour(1500))), 'elbows')).toMatchObject([{ verdict: 'clear', hole: 'return' }]);
    expect(one(found(weak), 'elbows')).toMatchObject([{ verdict: 'tight', hole: 'return' }]);
  });

  it('refuses no return for its elbows where a flow is given and no rise', () => {
    for (const flow of [null, litresPerHour(1500)]) {
      const all = found(system({ tanks: [tank('pond', { returns: [returned('return', { run: run('3/4', 1500, { elbows: 3 }), rise: null, flow })], drains: [drain('drain', {})] })] }));
      expect(all.filter(({ verdict, fix }) => verdict !== 'clear' && fix === '')).toEqual([]);
      expect(one(all, 'elbows').filter(({ verdict }) => verdict !== 'clear')).toEqual([]);
    }
  });

  it('tells what the elbows of a line and of returns cost', () => {
    const { elbows } = balanceOf(fernTerrace);
    expect(elbows.map(({ name, tank: of, elbows: count }) => [name, of, count])).toEqual([['riser', null, 2], ['return', 'upper', 2], ['return', 'lower', 1]]);
    for (const { head, without, twoMore } of elbows.slice(0, 2)) {
      expect(head).toBeGreaterThan(0);
      expect(without).toBeGreaterThan(0);
      expect(twoMore).toBeGreaterThan(0);
    }
    // A valve of its own holds the flow of the lower return.
    expect(elbows[2]).toMatchObject({ without: null, twoMore: null });
  });
});

describe('sizes left to the tool', () => {
  const open = (size: PipeSize) => ({ ...run(size, 900), isChosen: true });
  const made = (flow: number, reserve: number) =>
    system({
      reserve,
      pump: { curve: null, flow: litresPerHour(flow), throttle: null },
      tanks: [tank('pond', { returns: [returned('return', { run: open('1/2') })], drains: [drain('drain', { run: open('1/2') }), drain('spare', { run: open('1/2'), runs: 'open', isSpare: true })] })],
    });

  it('are the smallest that carry the water', () => {
    fc.assert(
      fc.property(fc.integer({ min: 50, max: 6000 }), fc.constantFrom(0, 0.25, 0.5, 1), (flow, reserve) => {
        const sized = chooseSizes(made(flow, reserve));
        const [of] = sized.tanks as [WaterTank];
        const water = litresPerHour(flow);
        const fits = {
          return: (size: PipeSize) => speedIn(run(size, 0).bore, water) <= pipeSpeed.value,
          drain: (size: PipeSize) => capacityOf(drain('drain', { run: open(size) })).reliable >= water * (1 + reserve),
          spare: (size: PipeSize) => capacityOf(drain('spare', { run: open(size), runs: 'open' })).reliable >= water,
        };
        const smallest = (fit: (size: PipeSize) => boolean) => pipeSizes.find(fit) ?? '2';
        expect([of.returns[0]?.run?.size, of.drains[0]?.run?.size]).toEqual([smallest(fits.return), smallest(fits.drain)]);
        if (fits.spare('2')) expect(of.drains[1]?.run?.size).toBe(smallest(fits.spare));
        expect(of.drains[0]?.run?.bore).toBe(run(of.drains[0]?.run?.size as PipeSize, 0).bore);
      }),
    );
  });

  it('of a spare are not the smallest where the largest drain leaves too little reserve, or has a size of its own that does', () => {
    // 2 in, 900 mm long, falling 700 mm: an open drain is relied on for 5615 L/h, less than 4500 L/h and half of it.
    const sizesOf = (size: PipeSize, isChosen: boolean, flow: number) => {
      const of = made(flow, 0.5);
      const [pond] = of.tanks as [WaterTank];
      return chooseSizes({ ...of, tanks: [{ ...pond, drains: pond.drains.map((own) => ({ ...own, runs: 'open', ...(own.isSpare ? {} : { run: { ...run(size, 900), isChosen } }) })) }] }).tanks[0]?.drains.map((own) => own.run?.size);
    };
    expect(sizesOf('1/2', true, 4500)).toEqual(['2', '2']);
    expect(sizesOf('1', false, 1100)).toEqual(['1', '1-1/4']);
  });

  it('leave alone what the spec gives', () => {
    expect(chooseSizes(fernTerrace)).toEqual(fernTerrace);
  });

  it('of tanks further down are chosen for what comes from above', () => {
    const two = system({
      reserve: 0,
      pump: { curve: null, flow: litresPerHour(3000), throttle: null },
      lines: [line('riser', run('1-1/2', 500))],
      tanks: [tank('upper', { returns: [returned('return', { from: 'riser', run: open('1/2') })], drains: [drain('drain', { run: open('1/2'), into: 'lower' })] }), tank('lower', { drains: [drain('drain', { run: open('1/2') })] })],
    });
    const [upper, lower] = chooseSizes(two).tanks as [WaterTank, WaterTank];
    expect(lower.drains[0]?.run?.size).toBe(upper.drains[0]?.run?.size);
    expect(capacityOf(lower.drains[0] as never).reliable).toBeGreaterThanOrEqual(litresPerHour(3000));
  });
});
