/** What a spec may say under water: what is good is read, and whatever is bad is told at its place with a way to mend it. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { problemText, type Problem } from '../../src/spec/problem.ts';
import { readSpec } from '../../src/spec/read.ts';
import { flowPer } from '../../src/trade/flow.ts';
import { schemaErrorsOfText } from './against-schema.ts';
import { marked, terrace, terraceWith } from './fern-terrace.ts';
import { expectProblems, spoiledCharacters, spoiledLines } from './spoiled.ts';

function waterOf(text: string) {
  const reading = readSpec(text);
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  expect(schemaErrorsOfText(text)).toEqual([]);
  return reading.spec.water ?? expect.fail('no water');
}

function problemsOf(text: string): readonly Problem[] {
  const reading = readSpec(text);
  return 'problems' in reading ? reading.problems : [];
}

/** The problem at the § mark of a text. */
function problemAtMark(textWithMark: string): Problem {
  const { text, line, column } = marked(textWithMark);
  const problems = problemsOf(text);
  expect(problems.map((problem) => `${problem.line}:${problem.column}`)).toContain(`${line}:${column}`);
  return problems.find((problem) => problem.line === line && problem.column === column) as Problem;
}

const litresPerHour = flowPer['L/h'];

describe('a good water', () => {
  it('is read with lengths in mm, flows in mm³/s and shares of one', () => {
    expect(waterOf(terrace)).toEqual({
      'flows-in': 'gph',
      reserve: 0.4,
      // 1500 L/h are 1.5e9 mm³ in 3600 s.
      pump: { curve: [[0, 3200], [expect.closeTo(416_666.667, 2), 2400], [expect.closeTo(833_333.333, 2), 0]], throttle: expect.closeTo(500_000, 6) as number },
      side: [{ name: 'plant filter', flow: expect.closeTo(83_333.333, 2) as number }],
      lines: {
        'upper riser': { from: 'riser', pipe: '3/4', length: 900, tees: 1 },
        riser: { pipe: '1', schedule: 80, length: 1500, elbows: 2, 'elbows-45': 3, 'tees-through': 4, 'ball-valves': 5, 'gate-valves': 6, 'check-valves': 7, 'other-losses': 8.5 },
      },
      tanks: {
        lower: {
          'drains-into': 'sump',
          returns: [{ hole: 'return', panel: 'left', from: 'riser', length: 400, rise: 950, flow: expect.closeTo(83_333.333, 2) as number }],
          drains: [
            { hole: 'drain', runs: 'full siphon', drop: 800, length: 900, 'opening-from-top': 90 },
            { hole: 'spare drain', runs: 'open', drop: 800, length: 900, spare: true },
          ],
          weirs: [{ name: 'notch', length: 200, 'crest-from-top': 45 }],
        },
        upper: {
          'drains-into': 'lower',
          returns: [
            { hole: 'return', from: 'upper riser', length: 400, rise: 1500, 'siphon-break-from-top': 50 },
            { name: 'spray bar', from: 'upper riser', bore: 20, length: 600, rise: 1550, 'opening-from-top': -30 },
          ],
          drains: [
            { hole: 'drain', runs: 'full siphon', drop: 540, length: 800, elbows: 2, 'gate-valves': 1 },
            { hole: 'spare drain', runs: 'open', spare: true, rated: expect.closeTo(2000 * litresPerHour, 6) as number, into: 'sump' },
          ],
          weirs: [{ box: 'weir box', length: 480, teeth: { width: 6, gap: 5, height: 30 } }],
        },
      },
      sump: { length: 800, width: 400, 'working-level': 180, 'top-level': 320 },
    });
  });

  it('is the same in JSON', () => {
    expect(waterOf(JSON.stringify(parse(terrace)))).toEqual(waterOf(terrace));
  });

  it('may be left out', () => {
    const reading = readSpec(terrace.slice(0, terrace.indexOf('water:')));
    expect('spec' in reading && reading.spec.water).toBe(undefined);
  });

  it('may stand beside a single panel, and beside panels', () => {
    const water = terrace.slice(terrace.indexOf('water:'));
    const panel = '{material: acrylic, width: 600, height: 400, thickness: 10';
    const holes = 'holes: [{name: drain, diameter: 45, from-left: 100, from-top: 100}]';
    expect(Object.keys(waterOf(`title: Fern shelf\nunits: mm\npanel: ${panel}}\n${holes}\n${water}`))).toContain('pump');
    expect(Object.keys(waterOf(`title: Fern shelf\nunits: mm\npanels: {end: ${panel}, ${holes}}}\n${water}`))).toContain('pump');
  });

  it.each<[string, string, string]>([
    ['the flow that the pump delivers', 'curve: [[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0]]\n    throttle: 1800 L/h', 'flow: 8 gpm'],
    ['a curve that is flat at first', '[1500 L/h, 2.4 m]', '[1500 L/h, 3.2 m]'],
    ['a curve with heads in feet', '[[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0]]', `[[0, "10' 6\\""], [400 gph, 8 ft], [800 gph, 0 ft]]`],
    ['no reserve', 'reserve: 40 %', 'reserve: 0'],
    ['the largest reserve', 'reserve: 40 %', 'reserve: 500 %'],
    ['a pipe size with its sign', 'pipe: 3/4 in', 'pipe: ¾"'],
    ['a sump that is a tank', 'sump: {length: 800, width: 400,', 'sump: {tank: lower,'],
    ['the inside of a tank', '    lower:\n      drains-into: sump', '    moss bowl:\n      inside: {length: 300, width: 300, height: 200}\n      drains-into: sump'],
    ['no side, and no lines', '  side:\n    - {name: plant filter, flow: 300 L/h}\n', ''],
  ])('%s', (_what, part, into) => {
    waterOf(terraceWith(part, into));
  });
});

describe('a wrong key or value under water is told at its place, with what is accepted and a fix', () => {
  it.each<[string, string, string, string, RegExp, RegExp, RegExp]>([
    ['an unknown unit', 'flows-in: gph', 'flows-in: §hogsheads', 'water.flows-in', /"hogsheads"/, /gph, gpm, L\/h, m3\/h/, /accepted words/],
    ['a unit in other letters', 'flows-in: gph', 'flows-in: §GPH', 'water.flows-in', /"GPH"/, /gph/, /write gph/],
    ['litres an hour as letters', 'flows-in: gph', 'flows-in: §lph', 'water.flows-in', /"lph"/, /L\/h/, /write L\/h/],
    ['a reserve without its sign', 'reserve: 40 %', 'reserve: §40', 'water.reserve', /40 has no % sign/, /beyond its inflow.*50 % or 0\.5/, /write 40 %/],
    ['a reserve in words', 'reserve: 40 %', 'reserve: §half', 'water.reserve', /"half" is not a share/, /50 % or 0\.5/, /write a share/],
    ['a reserve below nothing', 'reserve: 40 %', 'reserve: §-10 %', 'water.reserve', /too small/, /at least 0 % and at most 500 %/, /check/],
    ['a reserve of six times', 'reserve: 40 %', 'reserve: §600 %', 'water.reserve', /too large/, /at most 500 %/, /check/],
    ['a reserve that is a list', 'reserve: 40 %', 'reserve: §[40]', 'water.reserve', /a list of 1 is not a share/, /50 %/, /write a share/],
    ['no pump', '  pump:\n    curve: [[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0]]\n    throttle: 1800 L/h\n', '', 'water.pump', /is missing/, /the pump: its curve, or the flow/, /add pump/],
    ['a pump that gives nothing', '    curve: [[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0]]\n    throttle: 1800 L/h\n', '    flow: §0\n', 'water.pump.flow', /0 is too small/, /more than 0 m3\/h/, /check/],
    ['a curve and a flow', '    throttle: 1800 L/h', '    flow: §1800 L/h', 'water.pump.flow', /beside curve/, /exactly one of curve, flow/, /keep one/],
    ['neither', '    curve: [[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0]]\n    throttle: 1800 L/h\n', '    §{}\n', 'water.pump', /none of curve, flow/, /exactly one/, /add one of curve, flow/],
    ['a throttle without a curve', 'curve: [[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0]]\n    throttle: 1800 L/h', 'flow: 2000 L/h\n    throttle: §1800 L/h', 'water.pump.throttle', /without a curve/, /throttle beside curve/, /give the curve/],
    ['a throttle without a unit', 'throttle: 1800 L/h', 'throttle: §1800', 'water.pump.throttle', /1800 has no unit/, /a flow such as 900 gph/, /write 1800 gph or 1800 L\/h/],
    ['a flow with a comma', 'throttle: 1800 L/h', 'throttle: §1,8 m3/h', 'water.pump.throttle', /comma/, /a flow such as/, /1\.8 m3\/h or 18 m3\/h/],
    ['a flow beyond any pump', 'throttle: 1800 L/h', 'throttle: §1001 m3/h', 'water.pump.throttle', /too large/, /at most 1000 m3\/h/, /check/],
    ['a comma in a flow between braces', '{name: plant filter, flow: 300 L/h}', '{name: plant filter, flow: §1,300 L/h}', 'water.side[0].flow', /"1,300 L\/h" has a comma/, /the flow that it takes/, /write 1\.300 L\/h or 1300 L\/h/],
    ['a comma in a length between braces', 'drop: 540, length: 800', 'drop: 540, length: §1,2 m', 'water.tanks.upper.drains[0].length', /"1,2 m" has a comma/, /length of the pipe/, /write 1\.2 m or 12 m/],
    ['a comma between bare digits', 'drop: 540, length: 800', 'drop: 540, length: 1,§200', 'water.tanks.upper.drains[0].200', /unknown key "200"/, /length/, /without a comma/],
    ['yes for true', 'length: 900, spare: true', 'length: 900, spare: §yes', 'water.tanks.lower.drains[1].spare', /"yes" is neither true nor false/, /true where it stays dry/, /write true/],
    ['neither true nor false', 'length: 900, spare: true', 'length: 900, spare: §3', 'water.tanks.lower.drains[1].spare', /3 is neither true nor false/, /true where it stays dry/, /write true or false/],
    ['a drop for a rise', 'length: 400, rise: 950', 'length: 400, §drop: 950', 'water.tanks.lower.returns[0].drop', /unknown key "drop"/, /rise/, /did you mean rise\?/],
    ['a rise for a drop', 'runs: full siphon, drop: 540', 'runs: full siphon, §rise: 540', 'water.tanks.upper.drains[0].rise', /unknown key "rise"/, /drop/, /did you mean drop\?/],
    ['a weir where a list of them belongs, though it has a length', '      weirs:\n        - {name: notch, length: 200', '      weirs:\n        §{name: notch, length: 1200', 'water.tanks.lower.weirs', /is not a list/, /crests/, /write a list/],
    ['a list of lines', '    upper riser: {from: riser, pipe: 3/4 in, length: 900, tees: 1}\n    riser:', '    §- upper riser: {from: riser, pipe: 3/4 in, length: 900, tees: 1}\n    - riser:', 'water.lines', /is not a group of names/, /by name/, /write a group/],
    ['a curve of one point', '[[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0]]', '§[[0, 3.2 m]]', 'water.pump.curve', /fewer than two points/, /pump's curve/, /write at least 2/],
    ['a point of one value', '[1500 L/h, 2.4 m]', '§[1500 L/h]', 'water.pump.curve[1]', /not a point \[flow, head\]/, /pump's curve/, /./],
    ['a flow where the head stands', '[1500 L/h, 2.4 m]', '[§2.4 m, 1500 L/h]', 'water.pump.curve[1][0]', /"2\.4 m" is not a flow/, /a flow such as/, /write a flow/],
    ['a curve that begins with a flow', '[[0, 3.2 m]', '[§[10 L/h, 3.2 m]', 'water.pump.curve[0]', /begins with a flow/, /from no flow on/, /\[0, 3\.2 m\]/],
    ['a curve whose flows fall', '[3000 L/h, 0]', '§[1500 L/h, 0]', 'water.pump.curve[2]', /no more flow than the point before/, /rising flows/, /order the points/],
    ['a curve whose heads rise', '[3000 L/h, 0]', '§[3000 L/h, 2.5 m]', 'water.pump.curve[2]', /more head than the point before/, /falling heads/, /check/],
    ['a curve that is flat', '[[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0]]', '[[0, 3 m], §[1500 L/h, 3 m]]', 'water.pump.curve[1]', /as much head at its end/, /falling heads/, /head is down to nothing/],
    ['a head beyond any pump', '[[0, 3.2 m]', '[[0, §101 m]', 'water.pump.curve[0][1]', /too large/, /at most 100000 mm/, /check/],
    ['a side flow without a name', '{name: plant filter, flow: 300 L/h}', '§{flow: 300 L/h}', 'water.side[0].name', /is missing/, /what takes it/, /add name/],
    ['a side that is no list', '\n    - {name: plant filter, flow: 300 L/h}', ' §{name: plant filter, flow: 300 L/h}', 'water.side', /not a list/, /side equipment/, /write a list/],
    ['a line without a pipe', '{from: riser, pipe: 3/4 in, length: 900', '§{from: riser, length: 900', 'water.lines.upper riser', /none of pipe, bore/, /exactly one/, /add one of pipe, bore/],
    ['a line with two', 'pipe: 3/4 in, length: 900', 'pipe: 3/4 in, bore: §20 mm, length: 900', 'water.lines.upper riser.bore', /beside pipe/, /exactly one/, /keep one of pipe, bore/],
    ['a line without a length', 'pipe: 3/4 in, length: 900, tees: 1', 'pipe: 3/4 in, tees: 1', 'water.lines.upper riser.length', /is missing/, /length of the pipe/, /add length/],
    ['a pipe that is none', 'pipe: 3/4 in', 'pipe: §7/8 in', 'water.lines.upper riser.pipe', /"7\/8 in" is not a pipe size/, /1\/2 in, 3\/4 in, 1 in/, /nominal size/],
    ['a schedule that is none', 'schedule: 80', 'schedule: §120', 'water.lines.riser.schedule', /found 120/, /40, 80/, /write/],
    ['a schedule beside a bore', 'bore: 20 mm', 'bore: 20 mm, schedule: §40', 'water.tanks.upper.returns[1].schedule', /beside bore/, /schedule beside pipe/, /remove schedule or bore/],
    ['half an elbow', 'elbows: 2, elbows-45', 'elbows: §1.5, elbows-45', 'water.lines.riser.elbows', /1\.5 is not a whole number/, /how many elbows of 90 degrees.*0 to 100/, /write the elbows/],
    ['fewer elbows than none', 'elbows: 2, elbows-45', 'elbows: §-1, elbows-45', 'water.lines.riser.elbows', /-1 is too small/, /0 to 100/, /write/],
    ['101 elbows', 'elbows: 2, elbows-45', 'elbows: §101, elbows-45', 'water.lines.riser.elbows', /101 is too large/, /0 to 100/, /write/],
    ['losses below nothing', 'other-losses: 8.5', 'other-losses: §-1', 'water.lines.riser.other-losses', /too small/, /0 to 1000/, /write/],
    ['a slip in valves', 'ball-valves: 5', '§ball-valve: 5', 'water.lines.riser.ball-valve', /unknown key/, /ball-valves/, /did you mean ball-valves\?/],
    ['no tanks', terrace.slice(terrace.indexOf('  tanks:\n    lower'), terrace.indexOf('  sump: {length')), '', 'water.tanks', /is missing/, /tanks that water goes through/, /add tanks/],
    ['tanks without one', terrace.slice(terrace.indexOf('  tanks:\n    lower'), terrace.indexOf('  sump: {length')), '  tanks: §{}\n', 'water.tanks', /names no tank/, /at least one tank/, /add a tank/],
    ['a tank called sump', '    upper:\n      drains-into', '    sump:\n      §drains-into', 'water.tanks.sump', /is called sump/, /other than sump/, /rename/],
    ['a tank that is told twice', '    upper:\n      drains-into', '    upper:\n      tank: upper\n      inside: §{length: 800, width: 400, height: 400}\n      drains-into', 'water.tanks.upper.inside', /beside tank/, /exactly one of tank, inside/, /keep one/],
    ['no drains', terrace.slice(terrace.indexOf('      drains:\n        - {hole: drain, runs: full siphon, drop: 800'), terrace.indexOf('      weirs:\n        - {name: notch')), '', 'water.tanks.lower.drains', /is missing/, /take water out/, /add drains/],
    ['a drain through nothing', '{hole: drain, runs: full siphon, drop: 800', '§{runs: full siphon, drop: 800', 'water.tanks.lower.drains[0]', /none of hole, name/, /exactly one/, /add one of hole, name/],
    ['a drain through a hole and over the rim', '{hole: drain, runs: full siphon, drop: 800', '{hole: drain, name: §hose, runs: full siphon, drop: 800', 'water.tanks.lower.drains[0].name', /beside hole/, /exactly one/, /keep one/],
    ['a panel without a hole', '{name: spray bar,', '{name: spray bar, panel: §back,', 'water.tanks.upper.returns[1].panel', /without a hole/, /panel beside hole/, /remove panel/],
    ['a drain that does not say how it runs', '{hole: drain, runs: full siphon, drop: 800', '§{hole: drain, drop: 800', 'water.tanks.lower.drains[0].runs', /is missing/, /full siphon, open/, /add runs/],
    ['a drain that runs otherwise', 'runs: full siphon, drop: 800', 'runs: §siphon, drop: 800', 'water.tanks.lower.drains[0].runs', /"siphon"/, /full siphon, open/, /write full siphon/],
    ['a drain without a drop', 'runs: full siphon, drop: 800', 'runs: full siphon', 'water.tanks.lower.drains[0].drop', /is missing/, /how far the water falls.*or rated/, /add drop/],
    ['a drain without a length', 'drop: 540, length: 800', 'drop: 540', 'water.tanks.upper.drains[0].length', /is missing/, /length of the pipe; or rated/, /add length/],
    ['a spare in words', 'spare: true, rated', 'spare: §perhaps, rated', 'water.tanks.upper.drains[1].spare', /"perhaps" is neither true nor false/, /true where it stays dry/, /write/],
    ['a weir of nothing', '{name: notch, length: 200', '§{length: 200', 'water.tanks.lower.weirs[0]', /none of box, name/, /exactly one/, /add one of box, name/],
    ['a weir of a box with a name', '{box: weir box, length: 480', '{box: weir box, name: §comb, length: 480', 'water.tanks.upper.weirs[0].name', /beside box/, /exactly one/, /keep one/],
    ['a weir without a crest', 'length: 200, crest-from-top: 45', 'length: 200', 'water.tanks.lower.weirs[0].crest-from-top', /is missing/, /lies under the tank's top edge/, /add crest-from-top/],
    ['a weir without a length', '{box: weir box, length: 480, teeth', '§{box: weir box, teeth', 'water.tanks.upper.weirs[0].length', /is missing/, /length along the crest/, /add length/],
    ['teeth without gaps', 'gap: 5', 'gap: §0', 'water.tanks.upper.weirs[0].teeth.gap', /too small/, /slot between two teeth.*more than 0 mm/, /check/],
    ['a sump without a width', 'length: 800, width: 400', 'length: 800', 'water.sump.width', /is missing/, /length and width of the sump, or tank/, /add width/],
    ['a sump told twice', '{length: 800, width: 400,', '{tank: lower, width: §400,', 'water.sump.width', /beside tank/, /length and width, or tank/, /remove width or tank/],
    ['a top level under the working one', 'top-level: 320', 'top-level: §180', 'water.sump.top-level', /180 is no higher than its working level of 180 mm/, /over the working level/, /check both/],
    ['no sump', '  sump: {length: 800, width: 400, working-level: 180, top-level: 320}\n', '', 'water.sump', /is missing/, /the sump: its inside length/, /add sump/],
    ['water that is no group', terrace.slice(terrace.indexOf('water:')), 'water: §plenty\n', 'water', /"plenty"/, /how the water goes/, /write a group of keys: flows-in, reserve, pump/],
  ])('%s', (_what, part, into, key, found, accepted, fix) => {
    const text = terraceWith(part, into);
    const told = into.includes('§') ? problemAtMark(text) : (problemsOf(text).find((problem) => problem.key === key) ?? expect.fail(`no problem at ${key}: ${problemsOf(text).map((problem) => problem.key).join()}`));
    expect(told.key).toBe(key);
    expect(told.found).toMatch(found);
    expect(told.accepted).toMatch(accepted);
    expect(told.fix).toMatch(fix);
  });

  it('no return in any tank', () => {
    const whole = parse(terrace) as { water: { tanks: Record<string, { returns?: unknown }> } };
    for (const tank of Object.values(whole.water.tanks)) delete tank.returns;
    expect(problemsOf(JSON.stringify(whole))).toEqual([expect.objectContaining({ key: 'water.tanks', found: 'have no return, so that the pump pumps nowhere' })]);
  });

  it('more than anyone builds: 51 tanks, 201 returns, 201 drains, 101 lines', () => {
    const many = <T>(count: number, make: (index: number) => T) => Array.from({ length: count }, (_, index) => make(index));
    const tank = (returns: number, drains: number) => ({ inside: { length: 300, width: 300, height: 300 }, returns: many(returns, (index) => ({ name: `r${index}`, from: 'l0', flow: '9 gph', 'opening-from-top': 0 })), drains: many(drains, (index) => ({ name: `d${index}`, runs: 'open', rated: '9 gph' })) });
    const text = (tanks: number, returns: number, drains: number, lines: number) => {
      const all = { ...Object.fromEntries(many(tanks - 1, (index) => [`t${index}`, tank(0, 1)])), last: tank(returns, drains - tanks + 1) };
      const { water, ...rest } = parse(terrace) as { water: object };
      return JSON.stringify({ ...rest, water: { ...water, lines: Object.fromEntries(many(lines, (index) => [`l${index}`, { pipe: '1 in', length: 300 }])), tanks: all } });
    };
    expect(problemsOf(text(50, 200, 200, 100))).toEqual([]);
    expect(problemsOf(text(51, 200, 200, 100))).toEqual([expect.objectContaining({ key: 'water.tanks', found: 'has 51 tanks', accepted: 'at most 50 tanks' })]);
    expect(problemsOf(text(50, 200, 200, 101))).toEqual([expect.objectContaining({ key: 'water.lines', found: 'has 101 lines' })]);
    expect(problemsOf(text(1, 201, 200, 1))[0]?.found).toMatch(/201 returns|more than 200 returns/);
    expect(problemsOf(text(50, 200, 201, 1))).toEqual([expect.objectContaining({ key: 'water.tanks', found: 'has 201 drains' })]);
  });

  it('a bare length without units is told, a bare 0 flow is none', () => {
    const text = terrace.replace('units: mm\n', '');
    const problems = problemsOf(text);
    expect(problems.every(({ found }) => /has no unit, and the spec names none/.test(found))).toBe(true);
  });
});

describe('whatever the text, the answer is a spec or problems that can be acted on', () => {
  const water = terrace.slice(terrace.indexOf('water:'));
  const small = `title: Fern shelf\nunits: mm\npanel: {material: acrylic, width: 600, height: 400, thickness: 10}\nholes: [{name: drain, diameter: 45, from-left: 100, from-top: 100}]\n${water}`;

  function expectAnswer(text: string): void {
    const reading = readSpec(text);
    if ('spec' in reading) {
      // What the reader accepts, the JSON Schema accepts.
      expect(schemaErrorsOfText(text)).toEqual([]);
      return;
    }
    expectProblems(reading.problems, text);
  }

  it('with lines lost, doubled or swapped', () => {
    fc.assert(fc.property(spoiledLines(small), expectAnswer), { numRuns: 300 });
  });

  it('with characters lost or pieces put in', () => {
    fc.assert(fc.property(spoiledCharacters(small), expectAnswer), { numRuns: 300 });
  });

  it('with any value under water replaced by any JSON, or one that is odd', () => {
    const pathsIn = (value: unknown, path: readonly (string | number)[]): (readonly (string | number)[])[] => (typeof value !== 'object' || value === null ? [path] : [path, ...Object.entries(value).flatMap(([key, inner]) => pathsIn(inner, [...path, Array.isArray(value) ? Number(key) : key]))]);
    const paths = pathsIn((parse(small) as { water: unknown }).water, ['water']);
    const odd = fc.oneof(fc.jsonValue({ maxDepth: 2 }), fc.constantFrom<unknown>(0, -1, 1e-9, 1e300, '5 gph', '9 %', '3 m', 'sump', 'upper', 'riser', true, null));
    fc.assert(
      fc.property(fc.constantFrom(...paths), odd, (path, value) => {
        const whole = parse(small) as Record<string | number, unknown>;
        const holder = path.slice(0, -1).reduce<Record<string | number, unknown>>((at, step) => at[step] as Record<string | number, unknown>, whole);
        holder[path[path.length - 1] as string] = value;
        expectAnswer(JSON.stringify(whole, null, 1));
      }),
      { numRuns: 600 },
    );
  });
});
