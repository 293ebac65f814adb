/** How the water goes, put together from the spec and from where its holes are; and bulkheads whose size the water says. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { readBuild, type Build } from '../../src/plan/build.ts';
import { checkBuild } from '../../src/report.ts';
import { buildList } from '../../src/list.ts';
import { settleSpec, usualSteps } from '../../src/settle.ts';
import { problemText, type Problem } from '../../src/spec/problem.ts';
import { pipeSizes } from '../../src/trade/pipe.ts';
import { checkWater } from '../../src/water.ts';
import { chooseSizes } from '../../src/water/sizes.ts';
import type { WaterSystem } from '../../src/water/system.ts';
import { schemaErrorsOfText } from '../spec/against-schema.ts';
import { marked, terrace, terraceWith } from '../spec/fern-terrace.ts';
import { spoiledCharacters, spoiledLines } from '../spec/spoiled.ts';

const noFiles = () => ({ found: 'none', fix: '' });

function buildOf(text: string): Build {
  const reading = readBuild(text);
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  return reading.build;
}

const systemOf = (text: string): WaterSystem => buildOf(text).water ?? expect.fail('no water');

function tankOf(text: string, name: string) {
  return systemOf(text).tanks.find((tank) => tank.name === name) ?? expect.fail(`no ${name}`);
}

function problemsOf(text: string): readonly Problem[] {
  const reading = readBuild(text);
  return 'problems' in reading ? reading.problems : [];
}

/** The only problem of a text, which must stand at its § mark. */
function problemAtMark(textWithMark: string): Problem {
  const { text, line, column } = marked(textWithMark);
  const problems = problemsOf(text);
  expect(problems.map((problem) => `${problem.line}:${problem.column} ${problem.found}`)).toEqual([expect.stringContaining(`${line}:${column} `) as string]);
  return problems[0] as Problem;
}

const noParts = { elbows: 0, halfElbows: 0, teesThrough: 0, teesBranch: 0, ballValves: 0, gateValves: 0, checkValves: 0, otherLosses: 0 };
/** A run of the given size and inside diameter, in inches: ASTM D1785, outside less twice the least wall. */
const run = (size: string, schedule: 40 | 80, bore: number, length: number, parts = {}) => ({ name: `${size} in schedule ${schedule}`, size, schedule, isChosen: false, bore: expect.closeTo(bore * 25.4, 9) as number, length, parts: { ...noParts, ...parts } });
const flow = (litresPerHour: number) => expect.closeTo((litresPerHour * 1e6) / 3600, 6) as number;

describe('the fern terrace, worked by hand', () => {
  const system = systemOf(terrace);

  it('pump, side, units and sump', () => {
    expect(system).toMatchObject({
      flowUnit: 'gph',
      units: 'mm',
      reserve: 0.4,
      pump: { curve: [{ flow: 0, head: 3200 }, { flow: flow(1500), head: 2400 }, { flow: flow(3000), head: 0 }], flow: null, throttle: flow(1800) },
      side: [{ name: 'plant filter', flow: flow(300) }],
      sump: { area: 800 * 400, working: 180, top: 320 },
    });
  });

  it('each line stands after the one that it comes from', () => {
    expect(system.lines).toEqual([
      // 1 in, schedule 80: 1.315 - 2 x 0.179 = 0.957 in.
      { name: 'riser', from: null, run: run('1', 80, 0.957, 1500, { elbows: 2, halfElbows: 3, teesThrough: 4, ballValves: 5, gateValves: 6, checkValves: 7, otherLosses: 8.5 }) },
      // 3/4 in, schedule 40: 1.050 - 2 x 0.113 = 0.824 in.
      { name: 'upper riser', from: 'riser', run: run('3/4', 40, 0.824, 900, { teesBranch: 1 }) },
    ]);
  });

  it('the upper tank, which drains into the lower one, stands first', () => {
    expect(system.tanks.map(({ name }) => name)).toEqual(['upper', 'lower']);
    expect(system.tanks[0]).toEqual({
      name: 'upper',
      // Inside 900 - 8 - 8 by 450 - 10 - 10; 460 less a bottom of 12. The gap lies between edges and faces.
      area: 884 * 430,
      height: 448,
      returns: [
        // The lower edge of the pipe: 80 + 0.824 in / 2.
        { name: 'return', hole: { part: 'upper, back', name: 'return' }, from: 'upper riser', run: run('3/4', 40, 0.824, 400), rise: 1500, flow: null, opening: expect.closeTo(80 + (0.824 * 25.4) / 2, 9) as number, siphonBreak: 50 },
        { name: 'spray bar', hole: null, from: 'upper riser', run: { name: 'bore 20 mm', size: null, schedule: null, isChosen: false, bore: 20, length: 600, parts: noParts }, rise: 1550, flow: null, opening: -30, siphonBreak: null },
      ],
      drains: [
        // The box hangs 25 under the edge and is 220 high; its hole lies 75 over its foot: 25 + 220 - 75. 1 in, schedule 40: 1.315 - 2 x 0.133 = 1.049 in.
        { name: 'drain', hole: { part: 'upper, back', name: 'drain' }, runs: 'full siphon', run: run('1', 40, 1.049, 800, { elbows: 2, gateValves: 1 }), drop: 540, rated: null, isSpare: false, into: 'lower', opening: 170, weir: 'weir box', isBoxed: true },
        { name: 'spare drain', hole: { part: 'upper, back', name: 'spare drain' }, runs: 'open', run: null, drop: null, rated: flow(2000), isSpare: true, into: null, opening: 150, weir: 'weir box', isBoxed: true },
      ],
      // Crest: 25 and 15 under the box's top. Inside of the box: 300 - 2 x 6 by 120 - 8 - 6.
      weirs: [{ name: 'weir box', box: { part: 'upper, back', name: 'weir box' }, crest: 40, length: 480, teeth: { width: 6, gap: 5, height: 30 }, boxArea: 288 * 106 }],
    });
  });

  it('the lower tank, with its bottom between the walls and drains in it', () => {
    expect(system.tanks[1]).toEqual({
      name: 'lower',
      area: 880 * 430,
      height: 390,
      // Of two holes of one name, the one in the left panel. 1/2 in, schedule 40: 0.840 - 2 x 0.109 = 0.622 in.
      returns: [{ name: 'left return', hole: { part: 'lower, left', name: 'return' }, from: 'riser', run: run('1/2', 40, 0.622, 400), rise: 950, flow: flow(300), opening: expect.closeTo(70 + (0.622 * 25.4) / 2, 9) as number, siphonBreak: null }],
      drains: [
        { name: 'drain', hole: { part: 'lower, bottom', name: 'drain' }, runs: 'full siphon', run: run('1', 40, 1.049, 900), drop: 800, rated: null, isSpare: false, into: null, opening: 90, weir: null, isBoxed: false },
        { name: 'spare drain', hole: { part: 'lower, bottom', name: 'spare drain' }, runs: 'open', run: run('1-1/2', 40, 1.9 - 2 * 0.145, 900), drop: 800, rated: null, isSpare: true, into: null, opening: null, weir: null, isBoxed: false },
      ],
      weirs: [{ name: 'notch', box: null, crest: 45, length: 200, teeth: null, boxArea: null }],
    });
  });

  it('what is drilled is the same as without water', () => {
    expect(buildOf(terrace.slice(0, terrace.indexOf('water:')))).toEqual({ ...buildOf(terrace), water: null });
  });
});

describe('what may be left out', () => {
  it('flows are told in L/h, in gph where the spec is in inches; drains carry half as much again', () => {
    const plain = terrace.replace('  flows-in: gph\n  reserve: 40 %\n', '');
    expect(systemOf(plain)).toMatchObject({ flowUnit: 'L/h', reserve: 0.5 });
    expect(systemOf(plain.replace('units: mm', 'units: in').replace(/(?<=[ [{-])-?\d+(?=[,}\n])/g, (number) => `${number} mm`).replace(/(elbows|elbows-45|tees|tees-through|(?:ball|gate|check)-valves|schedule): (\d+) mm/g, '$1: $2').replace('[[0 mm', '[[0'))).toMatchObject({ flowUnit: 'gph', units: 'in', sump: { working: 180 } });
  });

  it('the pipe of a fitting of the spec', () => {
    const own = terraceWith('{name: return, fitting: bulkhead 3/4 in,', '{name: return, fitting: {hole: 40, pipe: 1 in},');
    expect(tankOf(own, 'upper').returns[0]?.run).toMatchObject({ size: '1', isChosen: false });
    const written = terraceWith('{hole: return, from: upper riser, length: 400,', '{hole: return, from: upper riser, pipe: 1 in, schedule: 80, length: 400,');
    expect(tankOf(written, 'upper').returns[0]?.run).toMatchObject({ name: '1 in schedule 80' });
  });

  it('pipe, length and rise of a return whose flow is given, and of the only one that has none', () => {
    const mister = terraceWith('        - {name: spray bar,', '        - {hole: mister, flow: 20 L/h}\n        - {name: spray bar,');
    // Without a pipe the hole itself: 60 + 12 / 2.
    expect(tankOf(mister, 'upper').returns[1]).toMatchObject({ run: null, rise: null, flow: flow(20), opening: 66 });
    const only = terrace.replace(/curve: .*\n {4}throttle: .*/, 'flow: 1800 L/h').replace(/ {8}- \{name: spray bar.*\n/, '').replace('from: upper riser, length: 400, rise: 1500, ', 'from: upper riser, ');
    expect(tankOf(only, 'upper').returns[0]).toMatchObject({ run: { size: '3/4', length: 0 }, rise: null, flow: null });
  });

  it('a pipe that is wider than the fitting of its hole is counted at its own size, and a note says so', () => {
    const text = terraceWith('{hole: drain, runs: full siphon, drop: 540', '{hole: drain, runs: full siphon, pipe: 1-1/4 in, drop: 540');
    expect(systemOf(terrace).narrowed).toEqual([]);
    expect(systemOf(text).narrowed).toEqual([{ tank: 'upper', name: 'drain', pipe: '1-1/4 in schedule 40', fitting: '1' }]);
    expect(checkWater(buildOf(text))?.notes).toContainEqual(expect.stringContaining('drain of upper: the pipe (1-1/4 in schedule 40) is wider than its fitting, which is for 1 in.'));
    expect(systemOf(text.replace('pipe: 1-1/4 in', 'pipe: 1 in, schedule: 80')).narrowed).toEqual([]);
  });

  it('the crest of a box may be given anew, and a box without depth has no known area', () => {
    const text = terraceWith('{box: weir box, length: 480,', '{box: weir box, crest-from-top: 47, length: 480,').replace('    depth: 120\n', '').replace('    weir-from-top: 15\n', '');
    expect(tankOf(text, 'upper').weirs[0]).toMatchObject({ crest: 47, boxArea: null });
  });

  it('a weir of a box that its drains are in: they drain the tank', () => {
    const text = terrace.replace(/ {6}weirs:\n {8}- \{box.*\n/, '');
    expect(tankOf(text, 'upper').drains.map(({ weir }) => weir)).toEqual([null, null]);
  });

  it('a tank of the build: another name, or an inside', () => {
    const renamed = terrace.replace('    upper:\n      drains-into', '    top tier:\n      tank: upper\n      drains-into');
    expect(tankOf(renamed, 'top tier')).toEqual({ ...tankOf(terrace, 'upper'), name: 'top tier' });
    const inside = terrace.replace('    upper:\n      drains-into', '    pot:\n      inside: {length: 300, width: 20 cm, height: 250}\n      drains-into').replace('{hole: return, from: upper riser', '{name: hose, pipe: 1 in, opening-from-top: 0, from: upper riser').replace('{hole: drain, runs: full siphon, drop: 540', '{name: drain, pipe: 1 in, runs: full siphon, drop: 540').replace('{hole: spare drain, runs: open, spare: true, rated', '{name: spare drain, runs: open, spare: true, rated').replace(/ {6}weirs:\n {8}- \{box.*\n/, '');
    expect(tankOf(inside, 'pot')).toMatchObject({ area: 300 * 200, height: 250, drains: [{ hole: null, opening: null }, { hole: null, opening: null }] });
  });

  it('a sump that is a tank has its inside', () => {
    const text = `${terrace.replace('sump: {length: 800, width: 400,', 'sump: {tank: cabinet,').replace('water:\n', '  cabinet: {material: annealed glass, length: 700, width: 380, height: 350, thickness: 8, bottom: between walls, ends: between front and back, panels: {}}\nwater:\n')}`;
    expect(systemOf(text).sump).toEqual({ area: 684 * 364, working: 180, top: 320 });
  });

  it('holes of panels that belong to no tank', () => {
    const text = `title: Fern shelf
units: mm
panel: {material: acrylic, width: 600, height: 400, thickness: 10}
holes:
  - {name: return, fitting: bulkhead 3/4 in, from-left: 100, from-top: 70}
  - row: {name: drain, fitting: bulkhead 1 in, count: 2, from-left: 250, from-right: 100, from-top: 120}
water:
  pump: {flow: 1200 L/h}
  tanks:
    shelf: {inside: {length: 580, width: 300, height: 390}, returns: [{hole: return}], drains: [{hole: drain 1, runs: full siphon, drop: 500, length: 700}, {hole: drain 2, runs: open, drop: 500, length: 700, spare: true}]}
  sump: {length: 500, width: 300, working-level: 150, top-level: 280}
`;
    expect(tankOf(text, 'shelf')).toMatchObject({ returns: [{ hole: { part: '', name: 'return' } }], drains: [{ hole: { part: '', name: 'drain 1' }, opening: 120 }, { hole: { part: '', name: 'drain 2' } }] });
  });

  it('a hole whose name is longer than names that are given, as its box stands before it', () => {
    const long = 'weir box that stands by the ferns and the two old stones';
    const text = terrace.replaceAll('weir box', long).replace('{name: mister, diameter: 12,', '{name: drain, diameter: 12,').replace('{hole: drain, runs: full siphon, drop: 540', `{hole: ${long} drain, runs: full siphon, drop: 540`);
    expect(tankOf(text, 'upper').drains[0]).toMatchObject({ name: `${long} drain`, weir: long });
  });

  it('twins share the holes of the one tank that the spec tells of', () => {
    const twins = terrace.replace('  upper:\n    material', '  upper:\n    quantity: 2\n    material').replace('    upper:\n      drains-into: lower', '    left tier:\n      tank: upper\n      drains-into: lower\n      drains: [{hole: drain, runs: open, rated: 900 L/h}]\n    upper:\n      drains-into: lower');
    expect(systemOf(twins).tanks.map(({ name, drains }) => [name, drains[0]?.hole])).toEqual([['left tier', { part: 'upper, back', name: 'drain' }], ['upper', { part: 'upper, back', name: 'drain' }], ['lower', { part: 'lower, bottom', name: 'drain' }]]);
  });

  it('tanks stand in the order of the spec where nothing drains into another', () => {
    expect(systemOf(terraceWith('drains-into: lower', 'drains-into: sump')).tanks.map(({ name }) => name)).toEqual(['lower', 'upper']);
    // A spare of its own way is a way too.
    expect(systemOf(terraceWith('drains-into: lower', 'drains-into: sump').replace('into: sump}', 'into: lower}')).tanks.map(({ name }) => name)).toEqual(['upper', 'lower']);
  });
});

describe('what leads nowhere is told at its place, with what there is and a fix', () => {
  const upperReturn = '{hole: return, from: upper riser, length: 400, rise: 1500,';
  it.each<[string, string, string, string, RegExp, RegExp, RegExp]>([
    ['a slip in a hole', '{hole: drain, runs: full siphon, drop: 540', '{hole: §drian, runs: full siphon, drop: 540', 'water.tanks.upper.drains[0].hole', /no hole of the tank "upper" is called "drian"/, /return, mister, drain, spare drain/, /did you mean drain\?/],
    ['a hole that there is not', '{hole: drain, runs: full siphon, drop: 540', '{hole: §overflow, runs: full siphon, drop: 540', 'water.tanks.upper.drains[0].hole', /"overflow"/, /return, mister, drain, spare drain/, /name a hole that there is/],
    ['a hole of another tank', '{hole: drain, runs: full siphon, drop: 800', '{hole: §mister, runs: full siphon, drop: 800', 'water.tanks.lower.drains[0].hole', /no hole of the tank "lower" is called "mister"/, /return, drain, spare drain/, /name a hole/],
    ['a hole of another panel', '{hole: return, panel: left, from: riser', '{hole: §return, panel: bottom, from: riser', 'water.tanks.lower.returns[0].hole', /no hole of the panel bottom of the tank "lower" is called "return"/, /drain, spare drain/, /name a hole/],
    ['a panel that is none', 'panel: left, from: riser', 'panel: §lefft, from: riser', 'water.tanks.lower.returns[0].panel', /no panel "lefft" of the tank "lower" is drilled/, /back, left, bottom/, /did you mean left\?/],
    ['a hole that two panels have', '{hole: return, panel: left, from', '{hole: §return, from', 'water.tanks.lower.returns[0].hole', /"return" is the name of holes in several panels: back, left/, /with its panel/, /add panel: back or left/],
    ['a hole named twice', '{hole: spare drain, runs: open, spare: true, rated: 2000 L/h', '{hole: §drain, runs: open, spare: true, rated: 2000 L/h', 'water.tanks.upper.drains[1].hole', /the hole "drain" is named twice in this tank/, /one pipe goes through it/, /remove one/],
    ['a hole that a return and a drain name', '{hole: spare drain, runs: open, spare: true, rated: 2000 L/h', '{hole: §return, runs: open, spare: true, rated: 2000 L/h', 'water.tanks.upper.drains[1].hole', /the hole "return" is named twice/, /one pipe/, /remove one/],
    ['a name that another has', '{hole: spare drain, runs: open, spare: true, rated: 2000 L/h', '{name: §drain, runs: open, spare: true, rated: 2000 L/h', 'water.tanks.upper.drains[1].name', /"drain" is also the name of another/, /a name of its own/, /rename/],
    ['a tank that is none', '    upper:\n      drains-into', '    top tier:\n      tank: §uper\n      drains-into', 'water.tanks.top tier.tank', /unknown tank "uper"/, /upper, lower/, /did you mean upper\?/],
    ['no tank of that name', '    upper:\n      drains-into', '    §uper:\n      drains-into', 'water.tanks.uper', /"uper" says neither tank nor inside/, /tank: the name of a tank/, /write tank: upper, or add inside/],
    ['an inside beside the tank of that name', '    upper:\n      drains-into', '    upper:\n      inside: §{length: 300, width: 300, height: 300}\n      drains-into', 'water.tanks.upper.inside', /there is a tank "upper" under tanks/, /where the build has no such tank/, /remove inside/],
    ['a tank that it drains into', 'drains-into: lower', 'drains-into: §lwer', 'water.tanks.upper.drains-into', /unknown tank "lwer"/, /lower, upper, sump/, /did you mean lower\?/],
    ['a tank that a drain runs into', 'into: sump}', 'into: §smp}', 'water.tanks.upper.drains[1].into', /unknown tank "smp"/, /lower, upper, sump/, /did you mean sump\?/],
    ['a tank that drains into itself', 'drains-into: lower', 'drains-into: §upper', 'water.tanks.upper.drains-into', /in a circle: upper drains into itself/, /the sump in the end/, /write sump/],
    ['tanks that drain into each other', 'drains-into: sump', 'drains-into: upper', 'water.tanks.upper.drains-into', /in a circle: upper drains into lower, lower into upper/, /the sump in the end/, /write sump/],
    ['a drain that leads round', 'opening-from-top: 90}', 'opening-from-top: 90, into: upper}', 'water.tanks.upper.drains-into', /upper drains into lower, lower into upper/, /the sump/, /write sump/],
    ['a line that is none', '{hole: return, from: upper riser', '{hole: return, from: §uper riser', 'water.tanks.upper.returns[0].from', /unknown line "uper riser"/, /upper riser, riser/, /did you mean upper riser\?/],
    ['the pump by name', 'upper riser: {from: riser', 'upper riser: {from: §pump', 'water.lines.upper riser.from', /unknown line "pump"/, /upper riser, riser/, /remove from: where it is left out/],
    ['lines that lead round', 'riser: {pipe: 1 in,', 'riser: {from: upper riser, pipe: 1 in,', 'water.lines.upper riser.from', /in a circle: upper riser comes from riser, riser from upper riser/, /from the pump in the end/, /remove from/],
    ['a line that comes from itself', 'riser: {from: riser', 'riser: {from: §upper riser', 'water.lines.upper riser.from', /in a circle: upper riser comes from itself/, /pump/, /remove from/],
    ['a line that feeds nothing', '  lines:\n', '  lines:\n    §branch: {from: riser, pipe: 1 in, length: 500}\n', 'water.lines.branch', /no return and no other line comes from "branch"/, /lines that something comes from/, /write from: branch at a return/],
    ['a box that is none', '{box: weir box, length: 480', '{box: §wier box, length: 480', 'water.tanks.upper.weirs[0].box', /no box of the tank "upper" is called "wier box"/, /weir box/, /did you mean weir box\?/],
    ['a box that stands on another tank', '{name: notch, length: 200, crest-from-top: 45}', '{box: §weir box, length: 200}', 'water.tanks.lower.weirs[0].box', /no box of the tank "lower" is called "weir box"/, /a box that stands on a panel/, /write name and crest-from-top/],
    ['a box told twice', '      weirs:\n        - {box: weir box, length: 480', '      weirs:\n        - {box: weir box, length: 100}\n        - {box: §weir box, length: 480', 'water.tanks.upper.weirs[1].box', /"weir box" is also the name of another/, /a name of its own/, /rename/],
    ['a box without a crest', '    weir-from-top: 15\n', '', 'water.tanks.upper.weirs[0].box', /the box "weir box" has no weir-from-top/, /a box with weir-from-top, or crest-from-top/, /add weir-from-top/],
    ['no rise', upperReturn, '§{hole: return, from: upper riser, length: 400,', 'water.tanks.upper.returns[0].rise', /is missing/, /how far the water is lifted.*against the pump's curve; or flow/, /add rise/],
    ['no length', upperReturn, '§{hole: return, from: upper riser, rise: 1500,', 'water.tanks.upper.returns[0].length', /is missing/, /length of the pipe.*or flow/, /add length/],
    ['no pipe', '{hole: return, from: upper riser, length: 400,', '§{hole: mister, from: upper riser, length: 400,', 'water.tanks.upper.returns[0]', /no pipe is known for "mister": the fitting of the hole "mister" has none/, /pipe: a nominal size.*or bore/, /add pipe or bore/],
    ['no pipe over the rim', '{name: spray bar, from: upper riser, bore: 20 mm,', '§{name: spray bar, from: upper riser,', 'water.tanks.upper.returns[1]', /no pipe is known for "spray bar": it goes through no hole/, /pipe/, /add pipe or bore/],
    ['a return over the rim without its opening', ', opening-from-top: -30', '', 'water.tanks.upper.returns[1].opening-from-top', /is missing/, /needed where the pipe goes over the rim/, /add opening-from-top/],
    // The upper tank is 460 - 12 mm high inside, the lower one 400 - 10.
    ['a return that opens under the bottom', 'opening-from-top: -30', 'opening-from-top: §449', 'water.tanks.upper.returns[1].opening-from-top', /449 mm is under the bottom: the tank is 448 mm high inside/, /at most 448 mm/, /check the value and its unit/],
    ['a siphon break under the bottom', 'siphon-break-from-top: 50', 'siphon-break-from-top: §50 cm', 'water.tanks.upper.returns[0].siphon-break-from-top', /500 mm is under the bottom/, /at most 448 mm/, /check the value/],
    ['a drain that opens under the bottom', 'opening-from-top: 90', 'opening-from-top: §900', 'water.tanks.lower.drains[0].opening-from-top', /900 mm is under the bottom/, /at most 390 mm/, /check the value/],
    ['a crest under the bottom', 'crest-from-top: 45', 'crest-from-top: §45 cm', 'water.tanks.lower.weirs[0].crest-from-top', /450 mm is under the bottom/, /at most 390 mm/, /check the value/],
    // 300 wide, 120 deep: water can run over 300 + 2 x 120 mm.
    ['a weir that is longer than its box', '{box: weir box, length: 480', '{box: weir box, length: §541', 'water.tanks.upper.weirs[0].length', /541 mm is more than the box "weir box" has: its three free sides are 540 mm long/, /at most 540 mm/, /measure along the crest/],
    ['a sump that is a tank of the water', 'sump: {length: 800, width: 400,', 'sump: {tank: §lower,', 'water.sump.tank', /"lower" is also the tank of "lower", which drains into the sump/, /a tank of its own/, /name another/],
    ['a sump that is no tank', 'sump: {length: 800, width: 400,', 'sump: {tank: §cabinet,', 'water.sump.tank', /unknown tank "cabinet"/, /upper, lower/, /write the tank under tanks/],
  ])('%s', (_what, part, into, key, found, accepted, fix) => {
    const text = terraceWith(part, into);
    const problem = into.includes('§') ? problemAtMark(text) : (problemsOf(text)[0] ?? expect.fail('no problem'));
    expect(problem.key).toBe(key);
    expect(problem.found).toMatch(found);
    expect(problem.accepted).toMatch(accepted);
    expect(problem.fix).toMatch(fix);
    expect(problemsOf(text.replace('§', ''))).toHaveLength(1);
    expect(schemaErrorsOfText(text.replace('§', ''))).toEqual([]);
  });

  it('a return in the bottom without its opening', () => {
    const text = terraceWith('{hole: return, panel: left, from', '§{hole: drain, from').replace('{hole: drain, runs: full siphon, drop: 800', '{name: hose, pipe: 1 in, runs: full siphon, drop: 800');
    expect(problemAtMark(text.replace('flow: 300 L/h}', 'flow: 300 L/h}'))).toMatchObject({ key: 'water.tanks.lower.returns[0].opening-from-top', accepted: expect.stringContaining('where the hole is in the bottom') as string });
  });

  it('the second tank that names a hole which is made once', () => {
    const text = terrace.replace('    upper:\n      drains-into: lower', '    left tier:\n      tank: upper\n      drains: [{hole: drain, runs: open, rated: 900 L/h}]\n    upper:\n      drains-into: lower').replace('{hole: drain, runs: full siphon, drop: 540', '{hole: §drain, runs: full siphon, drop: 540');
    expect(problemAtMark(text)).toMatchObject({ found: 'the hole "drain" is named by 2 tanks under water, and there is only one such panel', fix: expect.stringContaining('give quantity') as string });
  });

  it('several returns that share what a pump delivers need length and rise, whatever else is known', () => {
    const text = terrace.replace(/curve: .*\n {4}throttle: .*/, 'flow: 1800 L/h').replace('length: 400, rise: 1500, ', '').replace('{hole: return, from: upper riser', '§{hole: return, from: upper riser');
    const { text: plain, line, column } = marked(text);
    expect(problemsOf(plain)).toEqual(['length', 'rise'].map((key) => expect.objectContaining({ line, column, key: `water.tanks.upper.returns[0].${key}`, accepted: expect.stringContaining('where several returns share the water') as string })));
  });

  it('boxes of one name on two panels', () => {
    const text = terraceWith('      back:\n        boxes', '      front: {boxes: [{box: weir box, from-center-x: 0, from-top: 25}]}\n      back:\n        boxes').replace('{box: weir box, length: 480', '{box: §weir box, length: 480').replace('{hole: drain, runs: full siphon, drop: 540', '{hole: drain, panel: back, runs: full siphon, drop: 540').replace('{hole: spare drain, runs: open, spare: true, rated', '{hole: spare drain, panel: back, runs: open, spare: true, rated');
    expect(problemAtMark(text)).toMatchObject({ found: '"weir box" is the name of boxes on several panels: front, back', fix: 'give each a name of its own where it is placed' });
  });

  it('a sump whose water stands over its edge', () => {
    const text = terrace.replace('sump: {length: 800, width: 400, working-level: 180, top-level: 320}', 'sump: {tank: cabinet, working-level: 180, top-level: §345}').replace('water:\n', '  cabinet: {material: annealed glass, length: 700, width: 380, height: 350, thickness: 8, bottom: between walls, ends: between front and back, panels: {}}\nwater:\n');
    // 350 less a bottom of 8.
    expect(problemAtMark(text)).toMatchObject({ key: 'water.sump.top-level', found: '345 mm is over the top edge: the sump is 342 mm high inside', accepted: 'at most 342 mm' });
  });

  it('nine lines in a row', () => {
    const lines = (count: number) => terraceWith('  lines:\n', `  lines:\n${Array.from({ length: count - 2 }, (_, index) => `    l${index + 3}: {from: ${index === 0 ? 'upper riser' : `l${index + 2}`}, pipe: 1 in, length: 100}\n`).join('')}`).replace('{hole: return, from: upper riser', `{hole: return, from: l${count}`);
    expect(problemsOf(lines(8))).toEqual([]);
    expect(problemsOf(lines(9))).toEqual([expect.objectContaining({ key: 'water.lines.l9.from', found: '"l9" is number 9 of lines that come one from the other', accepted: 'at most 8 in a row' })]);
  });
});

/** The terrace with the size of the box's spare drain left open, and what goes through it. */
const open = (spare: string, hole = 'fitting: bulkhead,') => terraceWith('{name: spare drain, fitting: bulkhead 1-1/4 in,', `{name: spare drain, ${hole}`).replace('{hole: spare drain, runs: open, spare: true, rated: 2000 L/h, into: sump}', spare);
const rank = (size: string | null | undefined) => pipeSizes.findIndex((one) => one === size);

describe('fitting: bulkhead, whose size the water says', () => {
  const spare = '{hole: spare drain, runs: open, spare: true, drop: 1400, length: 1800, into: sump}';
  const holesOf = (build: Build) => build.panels.flatMap(({ part, holes }) => holes.map(({ name, fitting, isTypical, diameter, size }) => ({ part, name, fitting, isTypical, diameter, pipe: size?.pipe })));
  const sparesOf = (text: string) => holesOf(buildOf(text)).filter(({ part, name }) => name === 'spare drain' && !part.startsWith('lower'));

  it('panel and back wall have the same hole, and the run has that size', () => {
    const build = buildOf(open(spare));
    const [onPanel, onWall, ...more] = sparesOf(open(spare));
    expect(more).toEqual([]);
    expect([onPanel?.part, onWall?.part]).toEqual(['upper, back', 'weir box, back wall']);
    expect({ ...onPanel, part: '' }).toEqual({ ...onWall, part: '' });
    const run = build.water?.tanks[0]?.drains[1]?.run;
    expect(run).toMatchObject({ isChosen: true, size: onPanel?.pipe, length: 1800 });
    expect(onPanel).toMatchObject({ fitting: `bulkhead ${run?.size} in`, isTypical: true });
  });

  it('is the smallest that carries its water: what is chosen stays, and one size less is chosen larger', () => {
    const system = systemOf(open(spare));
    const size = system.tanks[0]?.drains[1]?.run?.size;
    expect(rank(size)).toBeGreaterThan(0);
    expect(chooseSizes(system)).toEqual(system);
    // The same hole drilled with that size written is the same build.
    const written = buildOf(open(spare, `fitting: bulkhead ${size} in,`));
    expect(written.panels).toEqual(buildOf(open(spare)).panels);
  });

  it('grows with the flow', () => {
    const sizes = ['500 L/h', '1000 L/h', '1800 L/h', '2600 L/h'].map((throttle) => rank(systemOf(open(spare).replace('throttle: 1800 L/h', `throttle: ${throttle}`).replace('flow: 300 L/h}\n  lines', 'flow: 100 L/h}\n  lines')).tanks[0]?.drains[1]?.run?.size));
    expect(sizes).toEqual([...sizes].sort((a, b) => a - b));
    expect(new Set(sizes).size).toBeGreaterThan(1);
  });

  it('a pipe that is written says the size, and is not chosen', () => {
    const text = open(spare.replace('runs: open', 'pipe: 2 in, runs: open'));
    expect(sparesOf(text).map(({ fitting }) => fitting)).toEqual(['bulkhead 2 in', 'bulkhead 2 in']);
    expect(systemOf(text).tanks[0]?.drains[1]?.run).toMatchObject({ size: '2', isChosen: false });
  });

  it('of a rated drain the pipe says it', () => {
    expect(sparesOf(open('{hole: spare drain, runs: open, spare: true, pipe: 1 in, rated: 2000 L/h}')).map(({ fitting }) => fitting)).toEqual(['bulkhead 1 in', 'bulkhead 1 in']);
    const problem = problemAtMark(open('{hole: spare drain, runs: open, spare: true, rated: §2000 L/h}'));
    expect(problem).toMatchObject({ key: 'water.tanks.upper.drains[1].rated', fix: 'add pipe, or write the size of the bulkhead at the hole' });
  });

  it('a bore does not say it', () => {
    expect(problemAtMark(open(spare.replace('runs: open', 'bore: §40, runs: open')))).toMatchObject({ key: 'water.tanks.upper.drains[1].bore', fix: 'write pipe in place of bore, or the size of the bulkhead at the hole' });
  });

  it('the largest of all its uses counts: twins, and the holes of a row', () => {
    const twins = open(spare).replace('  upper:\n    material', '  upper:\n    quantity: 2\n    material').replace('    upper:\n      drains-into: lower', '    left tier:\n      tank: upper\n      drains-into: lower\n      drains: [{hole: spare drain, pipe: 2 in, runs: open, drop: 500, length: 900}]\n    upper:\n      drains-into: lower');
    expect(sparesOf(twins).map(({ fitting }) => fitting)).toEqual(['bulkhead 2 in', 'bulkhead 2 in']);
    // The other twin's pipe joins on the fitting that both have.
    expect(systemOf(twins).tanks.find(({ name }) => name === 'upper')?.drains[1]?.run).toMatchObject({ size: '2', isChosen: true });
    const row = terraceWith('          - {name: mister, diameter: 12, from-left: 200, from-top: 60}', '          - row: {name: outlet, fitting: Bulkhead, count: 2, from-right: 120, from-left: 620, from-top: 300}').replace('{name: spray bar, from: upper riser, bore: 20 mm', '{hole: outlet 2, pipe: 1-1/2 in, from: upper riser');
    expect(holesOf(buildOf(row)).filter(({ name }) => name.startsWith('outlet')).map(({ name, fitting }) => [name, fitting])).toEqual([['outlet 1', 'bulkhead 1-1/2 in'], ['outlet 2', 'bulkhead 1-1/2 in']]);
  });

  it('a return is chosen by its speed', () => {
    const text = terraceWith('{name: return, fitting: bulkhead 3/4 in,', '{name: return, fitting: bulkhead,');
    const { run } = tankOf(text, 'upper').returns[0] ?? expect.fail();
    expect(run?.isChosen).toBe(true);
    // The opening follows the pipe that was chosen.
    expect(tankOf(text, 'upper').returns[0]?.opening).toBeCloseTo(80 + (run?.bore ?? NaN) / 2, 9);
  });

  it.each([
    ['where nothing names the hole', '{name: mister, diameter: 12,', '{name: mister, fitting: §bulkhead,'],
    ['where the spec tells of no water', '{name: mister, diameter: 12,', '{name: mister, fitting: §bulkhead,'],
    ['in a row', '{name: mister, diameter: 12, from-left: 200, from-top: 60}', 'row: {name: mister, fitting: §bulkhead, count: 2, from-left: 620, from-right: 120, from-top: 300}'],
  ])('is told %s', (what, part, into) => {
    const text = terraceWith(part, into);
    const problem = problemAtMark(what.includes('no water') ? text.slice(0, text.indexOf('water:')) : text);
    expect(problem.found).toMatch(/^"bulkhead" leaves the size open, and nothing under water says what goes through "mister( 1)?"$/);
    expect(problem.fix).toBe('write its size, such as bulkhead 1 in, or name the hole as a return or drain under water');
  });

  it('is told where no flow fits what is asked, so that no size is guessed: a pump that does not reach', () => {
    const text = open(spare, 'fitting: §bulkhead,').replace('[[0, 3.2 m], [1500 L/h, 2.4 m]', '[[0, 0.9 m], [1500 L/h, 0.8 m]');
    const problem = problemAtMark(text);
    expect(problem).toMatchObject({ key: 'boxes.weir box.holes[1].fitting', fix: expect.stringContaining('write its size, such as bulkhead 1 in, and see panejig flow') as string });
    // Where the sizes are written, what the pump lacks is the check's to tell.
    expect(problemsOf(text.replace('§bulkhead', 'bulkhead 1 in'))).toEqual([]);
    expect(problemsOf(text.replace('§', '').replace('runs: open, spare: true, drop: 1400', 'pipe: 1 in, runs: open, spare: true, drop: 1400'))).toEqual([]);
  });

  it('is told once for a hole of a box, which is drilled twice', () => {
    const text = open('').replace(/ {8}- \n/, '').replace('fitting: bulkhead,', 'fitting: §bulkhead,');
    expect(problemAtMark(text)).toMatchObject({ key: 'boxes.weir box.holes[1].fitting' });
  });

  it('a fitting of the spec that is called so is that fitting', () => {
    const text = terrace.replace('boxes:\n', 'fittings: {bulkhead: {hole: 33, pipe: 1/2 in}}\nboxes:\n').replace('{name: mister, diameter: 12,', '{name: mister, fitting: bulkhead,');
    expect(holesOf(buildOf(text)).find(({ name }) => name === 'mister')).toMatchObject({ fitting: 'bulkhead', isTypical: false, diameter: 33 });
  });

  it('a place is found for the hole in the size that it has', () => {
    const text = terraceWith('{name: return, fitting: bulkhead 3/4 in, from-left: 110, from-top: 80}', '{name: return, fitting: bulkhead, place: best, within: {from-left: 60}}');
    const build = buildOf(text);
    const [hole = expect.fail()] = build.panels[0]?.holes ?? [];
    expect(hole.size?.pipe).toBe(tankOf(text, 'upper').returns[0]?.run?.size);
    expect(tankOf(text, 'upper').returns[0]?.opening).toBeCloseTo(447 - hole.center.y + (tankOf(text, 'upper').returns[0]?.run?.bore ?? NaN) / 2, 9);
    expect(build.panels[0]?.found.map(({ name }) => name)).toEqual(['return']);
  });

  it('is measured, counted and listed by its size', () => {
    const build = buildOf(open(spare));
    const size = build.water?.tanks[0]?.drains[1]?.run?.size;
    const checked = checkBuild(build);
    expect(checked[0]?.report.notes).toContain(`bulkhead ${size} in: typical values, from memory; they vary by maker. Measure the fitting in hand before you drill.`);
    expect(buildList(build, checked, []).rows.filter(({ group, item }) => group === 'fittings' && item === `bulkhead ${size} in`)).toHaveLength(1);
  });

  it('keeps its open size when the spec is settled', () => {
    const text = open(spare).replace('from-right: 95, from-bottom: 95', 'from-right: 20, from-bottom: 95');
    const build = buildOf(text);
    const settled = settleSpec(text, build, noFiles, { isMinimum: false, steps: usualSteps });
    expect(settled.holes).toEqual([expect.objectContaining({ name: 'spare drain', outcome: 'moved' })]);
    expect(settled.text).toContain('{name: spare drain, fitting: bulkhead, from-right:');
    const after = buildOf(settled.text ?? '');
    expect(after.water?.tanks[0]?.drains[1]?.run).toEqual(build.water?.tanks[0]?.drains[1]?.run);
    expect(checkBuild(after).map(({ report }) => report.byHole.get('spare drain'))).toContain('clear');
  });
});

describe('whatever the text, the answer is a build or problems that can be acted on', () => {
  const text = open('{hole: spare drain, runs: open, spare: true, drop: 1400, length: 1800, into: sump}');

  function expectAnswer(given: string): void {
    const reading = readBuild(given);
    if ('build' in reading) {
      const { water } = reading.build;
      if (!water) return;
      const numbers = JSON.stringify(water, (_key, value: unknown) => (typeof value === 'number' && !Number.isFinite(value) ? 'odd' : value));
      expect(numbers).not.toContain('"odd"');
      // Each drains into later ones.
      for (const [index, { drains }] of water.tanks.entries()) for (const { into } of drains) if (into !== null) expect(water.tanks.findIndex(({ name }) => name === into)).toBeGreaterThan(index);
      for (const [index, { from }] of water.lines.entries()) if (from !== null) expect(water.lines.slice(0, index).map(({ name }) => name)).toContain(from);
      for (const { returns, drains } of water.tanks) {
        for (const { hole } of [...returns, ...drains]) if (hole) expect(reading.build.panels.find(({ part }) => part === hole.part)?.holes.map(({ name }) => name)).toContain(hole.name);
      }
      return;
    }
    expect(reading.problems.length).toBeGreaterThan(0);
    const lines = given.split('\n');
    for (const problem of reading.problems) {
      expect(problem.line).toBeLessThanOrEqual(lines.length);
      expect(problem.column).toBeLessThanOrEqual((lines[problem.line - 1] as string).length + 1);
      for (const words of [problem.found, problem.accepted, problem.fix]) {
        expect(words).not.toBe('');
        expect(words).not.toMatch(/undefined|\[object|\bnull\b/);
      }
    }
  }

  it('the terrace itself', () => {
    expect(problemsOf(text)).toEqual([]);
    expectAnswer(text);
  });

  it('with lines lost, doubled or swapped', () => {
    fc.assert(fc.property(spoiledLines(text), expectAnswer), { numRuns: 150 });
  });

  it('with characters lost or pieces put in', () => {
    fc.assert(fc.property(spoiledCharacters(text), expectAnswer), { numRuns: 150 });
  });

  it('with any value under water replaced by another that stands there, or by one that is odd', () => {
    const pathsIn = (value: unknown, path: readonly (string | number)[]): (readonly (string | number)[])[] => (typeof value !== 'object' || value === null ? [path] : [path, ...Object.entries(value).flatMap(([key, inner]) => pathsIn(inner, [...path, Array.isArray(value) ? Number(key) : key]))]);
    const content = () => parse(text) as Record<string | number, unknown>;
    const paths = pathsIn(content()['water'], ['water']).slice(1);
    const valueAt = (path: readonly (string | number)[]) => path.reduce<unknown>((at, step) => (at as Record<string | number, unknown>)[step], content());
    const odd = fc.oneof(fc.constantFrom(...paths).map(valueAt), fc.constantFrom<unknown>(0, 1, 1e-9, 999, '5 gph', 'sump', 'upper', 'lower', 'riser', 'drain', 'return', 'weir box', 'constructor', '__proto__', true));
    fc.assert(
      fc.property(fc.constantFrom(...paths), odd, (path, value) => {
        const whole = content();
        const holder = path.slice(0, -1).reduce<Record<string | number, unknown>>((at, step) => at[step] as Record<string | number, unknown>, whole);
        holder[path[path.length - 1] as string] = value;
        expectAnswer(JSON.stringify(whole, null, 1));
      }),
      { numRuns: 400 },
    );
  });
});
