/** Systems of our own invention for tests: a fern terrace, and parts to build others of. */
import { flowPer } from '../../src/trade/flow.ts';
import { boreOf, type PipeSize, type Schedule } from '../../src/trade/pipe.ts';
import type { Drain, Line, PipeParts, PipeRun, Return, WaterSystem, WaterTank, Weir } from '../../src/water/system.ts';

export const gph = (flow: number) => flow * flowPer.gph;
export const litresPerHour = (flow: number) => flow * flowPer['L/h'];

const none: PipeParts = { elbows: 0, halfElbows: 0, teesThrough: 0, teesBranch: 0, ballValves: 0, gateValves: 0, checkValves: 0, otherLosses: 0 };

export function run(size: PipeSize, length: number, parts: Partial<PipeParts> = {}, schedule: Schedule = 40): PipeRun {
  return { name: `${size} in schedule ${schedule}`, size, schedule, isChosen: false, bore: boreOf(size, schedule), length, parts: { ...none, ...parts } };
}

export const line = (name: string, own: PipeRun, from: string | null = null): Line => ({ name, from, run: own });

export const returned = (name: string, of: Partial<Return>): Return => ({ name, hole: { part: 'back', name }, from: null, run: run('3/4', 1500), rise: 1200, flow: null, opening: 40, siphonBreak: null, ...of });

export const drain = (name: string, of: Partial<Drain>): Drain => ({ name, hole: { part: 'back', name }, runs: 'full siphon', run: run('1', 900), drop: 700, rated: null, isSpare: false, into: null, opening: 160, weir: null, isBoxed: typeof of.weir === 'string', ...of });

export const weir = (name: string, of: Partial<Weir>): Weir => ({ name, box: { part: 'back', name }, crest: 45, length: 300, teeth: null, boxArea: 20_000, ...of });

export const tank = (name: string, of: Partial<WaterTank>): WaterTank => ({ name, area: 860 * 430, height: 440, returns: [], drains: [], weirs: [], ...of });

export function system(of: Partial<WaterSystem>): WaterSystem {
  return { flowUnit: 'L/h', units: 'mm', reserve: 0.5, pump: { curve: null, flow: litresPerHour(1500), throttle: null }, side: [], lines: [], tanks: [], narrowed: [], untold: [], sump: { area: 700 * 350, working: 200, top: 300 }, ...of };
}

/** Two tiers over a sump: the upper tank drains into the lower one, its spare straight into the sump. */
export const fernTerrace = system({
  pump: { curve: [{ flow: 0, head: 3200 }, { flow: litresPerHour(1500), head: 2500 }, { flow: litresPerHour(3000), head: 0 }], flow: null, throttle: litresPerHour(1400) },
  side: [{ name: 'plant filter', flow: litresPerHour(200) }],
  lines: [line('riser', run('1', 1200, { elbows: 2 }))],
  tanks: [
    tank('upper', {
      returns: [returned('return', { from: 'riser', run: run('3/4', 900, { elbows: 2 }), rise: 1900 })],
      drains: [drain('drain', { into: 'lower', weir: 'weir box' }), drain('spare drain', { runs: 'open', run: run('1-1/2', 1400), drop: 1200, isSpare: true, opening: 90, weir: 'weir box' })],
      weirs: [weir('weir box', {})],
    }),
    tank('lower', {
      returns: [returned('return', { from: 'riser', run: run('3/4', 300, { elbows: 1 }), rise: 1100, flow: litresPerHour(500), opening: 60 })],
      drains: [drain('drain', { weir: 'weir box' }), drain('spare drain', { runs: 'open', run: run('2', 900), isSpare: true, opening: 90, weir: 'weir box' })],
      weirs: [weir('weir box', { length: 400 })],
    }),
  ],
});
