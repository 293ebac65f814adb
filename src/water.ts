import { worst, type Verdict } from './geometry/finding.ts';
import type { Build } from './plan/build.ts';
import type { PumpPlot, WaterDiagram, WaterPageContent } from './render/water.ts';
import { faultyFindings, findingJson, findingLines } from './report.ts';
import { cubicMillimetresPer, flowPer, formatFlow, formatHead, formatShare, formatSpeed, formatVolume } from './trade/flow.ts';
import { formatLength, millimetresPer } from './trade/units.ts';
import { pipeSpeed, viscosity, waterCautions } from './trade/water.ts';
import { balanceOf, type Balance, type TankFlow } from './water/balance.ts';
import { capacityOf, carriedBy } from './water/drain.ts';
import { waterFindings, type WaterFinding } from './water/findings.ts';
import { frictionLoss, hazenWilliamsLoss, minorLoss, speedIn, areaOf, type Resistance } from './water/pipe-flow.ts';
import { branchWords, headNeeded, linePipe, mostElbowPipes, returnPipe, throttled, valveLoss } from './water/supply.ts';
import type { Drain, PipeRun, Return, WaterSystem, WaterTank } from './water/system.ts';
import { francisLeastHead } from './water/weir.ts';

/** What a check says of the water. */
export interface WaterReport {
  readonly verdict: Verdict;
  readonly system: WaterSystem;
  readonly balance: Balance;
  readonly findings: readonly WaterFinding[];
  readonly notes: readonly string[];
}

/** Whether the holes of a build carry its water; null where the spec says nothing of it. */
export function checkWater({ water }: Pick<Build, 'water'>): WaterReport | null {
  if (!water) return null;
  const balance = balanceOf(water);
  const findings = waterFindings(water, balance);
  return { verdict: worst(findings.map(({ verdict }) => verdict)), system: water, balance, findings, notes: notesOn(water, balance) };
}

/** What the reader must know besides. */
function notesOn(system: WaterSystem, { supply, tanks, runBack, returnFlow }: Balance): string[] {
  const { pump, flowUnit, units } = system;
  const { solution, curve, valve } = supply;
  const heads = tanks.flatMap(({ tank, level }) => (level === null ? [] : [(lowestCrest(tank) ?? level) - level]));
  const flow = solution.kind === 'flows' ? solution.flow : 0;
  const chosen = system.tanks.flatMap((tank) => [...tank.returns, ...tank.drains].flatMap(({ name, run }) => (run?.isChosen ? [`${name} of ${tank.name}: ${run.name}`] : [])));
  const pipes = system.tanks.flatMap((tank) => [...tank.returns, ...tank.drains]).flatMap(({ run }) => (run ? [run] : []));
  return [
    ...system.untold.map(({ name, made, told }) => `${name} is made ${made} times, and the water tells of ${told}: what the others give and take is in none of this. Tell of each as a tank of its own, unless they have a pump and sump of their own.`),
    ...system.narrowed.map(({ tank, name, pipe, fitting }) => `${name} of ${tank}: the pipe (${pipe}) is wider than its fitting, which is for ${fitting} in. It is counted as if it were as wide all along: it carries less. Take a fitting of that size, or write the pipe as ${fitting} in to be on the safe side.`),
    ...(chosen.length > 0 ? [`Chosen as the smallest trade size that carries its water: ${chosen.join('; ')}.`] : []),
    ...(pump.curve?.length === 2 ? ['The pump is known by two points: a parabola joins them, as small pumps mostly have it (common practice, no source).'] : []),
    ...(curve && flow > curve.known ? [`The pump gives more than its curve tells of (${formatFlow(curve.known, flowUnit)}): led on straight from there.`] : []),
    ...(valve > 0 ? [`The valve behind the pump takes ${formatHead(valveLoss(supply, flow), units)} of its head.`] : []),
    ...(pump.curve === null ? ['The pump is taken to deliver what the spec says, whatever the head: give its curve to see what pipes and elbows cost.'] : []),
    ...system.tanks.flatMap((tank) => tank.returns.filter(({ name }) => curve !== null && solution.kind === 'flows' && returnFlow(tank.name, name) === 0).map(({ name }) => `${name} of ${tank.name} gets no water.`)),
    ...(heads.some((head) => head > 0 && head < francisLeastHead) ? [`Heads over weirs are under ${formatLength(francisLeastHead, units)}, the least that Francis's formula was measured for (USBR, from memory): water clings to the crest and stands some millimetres higher.`] : []),
    ...runBack.unknown.map(({ tank, what }) => (what === 'level' ? `What runs back from ${tank} is not known: tell its weir, or how deep its drains open.` : `What stands in the box of ${tank} is not counted as running back: give the box's depth, and a drain that has a hole in it.`)),
    ...system.tanks.flatMap((tank) => tank.weirs.filter(({ box }) => box === null).map(({ name }) => `What stands behind ${name} of ${tank.name}, down to its drains, is not counted as running back: it belongs to no box of the spec. Keep room for it in the sump.`)),
    ...(pipes.some(({ parts }) => parts.checkValves > 0) ? ['Check valves are not counted on when the power fails: they stick (common practice, no source).'] : []),
    `Friction is that of fresh water at 20 degrees C (${viscosity} mm²/s) in clean plastic pipe, by Darcy and Weisbach with Colebrook's factor.`,
  ];
}

type WaterTable = WaterPageContent['tables'][number];

/** Tables of the water; those without rows are left out. */
export function waterTables(report: WaterReport): WaterTable[] {
  return [holesTable(report), tanksTable(report), pipesTable(report), elbowsTable(report), runBackTable(report)].filter(({ rows }) => rows.length > 1);
}

/** What goes through each hole, and what it carries. */
function holesTable({ system: { flowUnit }, balance, findings }: WaterReport): WaterTable {
  const flow = (value: number) => formatFlow(value, flowUnit);
  const verdict = (tank: string, name: string) => worst(findings.filter((one) => one.tank === tank && one.pipe === name).map((one) => one.verdict));
  const rows = balance.tanks.flatMap(({ tank, flows }): string[][] => [
    ...tank.returns.map(({ name, run }) => {
      const [through, carries] = [balance.returnFlow(tank.name, name), run ? pipeSpeed.value * areaOf(run.bore) : null];
      return [name, tank.name, 'return', run?.name ?? '', flow(through), carries === null ? '' : flow(carries), carries === null ? '' : formatShare(through / carries), verdict(tank.name, name)];
    }),
    ...tank.drains.map((drain, index) => {
      const { name, run, runs, isSpare } = drain;
      const [through, { reliable }] = [flows[index] ?? 0, capacityOf(drain)];
      return [name, tank.name, `${runs}${isSpare ? ', spare' : ''}`, run?.name ?? 'as rated', flow(through), flow(reliable), formatShare(reliable > 0 ? through / reliable : 0), verdict(tank.name, name)];
    }),
  ]);
  return {
    heading: 'Holes',
    rows: [['hole', 'tank', 'runs as', 'pipe', 'flow', 'carries', 'used', 'verdict'], ...rows],
    words: [`A return carries what runs at ${formatSpeed(pipeSpeed.value, flowUnit)}; a full siphon what its drop drives through pipe and fittings, its valve open; an open drain what a stack 7/24 full carries (Wyly and Eaton, NBS Monograph 31, from memory).`],
  };
}

function tanksTable({ system: { flowUnit, units }, balance }: WaterReport): WaterTable {
  const length = (mm: number) => formatLength(mm, units);
  const rimWords = 'over the rim';
  const levelWords = ({ level, over }: TankFlow) => (over > 0 || (level !== null && level < 0) ? rimWords : level === null ? '' : length(level));
  const worstWords = (name: string) => {
    const states = balance.blocked.flatMap(({ tanks }) => tanks.filter(({ tank, inflow }) => tank.name === name && inflow > 0));
    const isShut = (state: TankFlow) => state.level === null && state.tank.weirs.length > 0;
    return states.length === 0 ? '' : states.some((state) => isShut(state) || levelWords(state) === rimWords) ? rimWords : levelWords(states.reduce((worst, state) => ((state.level ?? 0) < (worst.level ?? 0) ? state : worst)));
  };
  const isOver = balance.tanks.some(({ over }) => over > 0);
  const ifOver = (cell: string) => (isOver ? [cell] : []);
  const rows = balance.tanks.map((state) => {
    const { tank, inflow, level, over } = state;
    const rest = lowestCrest(tank);
    return [tank.name, formatFlow(inflow, flowUnit), ...ifOver(over > 0 ? formatFlow(over, flowUnit) : ''), level === null || rest === null ? '' : length(rest - level), levelWords(state), worstWords(tank.name)];
  });
  // A drain that must fill to carry what comes may not do so.
  const isDoubtful = balance.blocked.some(({ drain, tanks }) => tanks.some(({ tank, inflow, over }) => over === 0 && inflow > carriedBy(tank.drains.filter((own) => tank.name !== drain.tank || own.name !== drain.drain)) * (1 + 1e-9)));
  return {
    heading: 'Tanks',
    rows: [['tank', 'comes in', ...ifOver('runs over the rim'), 'head over the crest', 'water under the top edge', 'worst with a drain blocked'], ...rows],
    words: ['Head over the crest by Francis, Q = 3.33 (L - 0.1 n H) H^1.5 in feet (USBR Water Measurement Manual, ch. 7), two end contractions for each slot, no more of them than for a head as high as the slot is wide.', ...(isDoubtful ? ['With a drain blocked, open drains are taken to fill with water where they must. The findings tell what can be relied on.'] : [])],
  };
}

/** How far the lowest crest lies under the tank's top edge, mm; null where there is no weir. */
function lowestCrest({ weirs }: WaterTank): number | null {
  return weirs.length > 0 ? Math.max(...weirs.map(({ crest }) => crest)) : null;
}

function pipesTable({ system, balance }: WaterReport): WaterTable {
  const { flowUnit, units } = system;
  const row = (name: string, run: PipeRun, pipe: Resistance, flow: number) => [name, run.name, formatLength(run.length, units), formatFlow(flow, flowUnit), formatSpeed(speedIn(run.bore, flow), flowUnit), formatHead(frictionLoss(pipe, flow), units), formatHead(hazenWilliamsLoss(pipe, flow), units), formatHead(minorLoss(pipe, flow), units)];
  const rows = [
    ...system.lines.map((line) => row(line.name, line.run, linePipe(line, system.lines), balance.lineFlow(line.name))),
    ...system.tanks.flatMap((tank) => tank.returns.flatMap(({ name, run, from }) => (run && run.length > 0 ? [row(`${name}, ${tank.name}`, run, returnPipe(run, from, system.lines), balance.returnFlow(tank.name, name))] : []))),
  ];
  return {
    heading: 'Pipes from the pump',
    rows: [['pipe', 'size', 'length', 'flow', 'speed', 'friction', 'by Hazen-Williams', 'in fittings'], ...rows],
    words: ["Friction by Darcy and Weisbach; beside it, as a check, by the trade's Hazen-Williams with C = 150. Fittings by loss coefficients (pe-calc.com, after Crane TP-410)."],
  };
}

function elbowsTable({ system: { flowUnit, units }, balance: { elbows, supply } }: WaterReport): WaterTable {
  const change = (value: number | null, sign: string) => (value === null ? '' : `${sign}${formatFlow(value, flowUnit)}`);
  const rows = (supply.curve ? elbows : []).map(({ name, tank, elbows: count, head, without, twoMore }) => [tank === null ? name : `${name}, ${tank}`, String(count), count === 0 ? '' : formatHead(head, units), count === 0 ? '' : change(without, '+'), change(twoMore, '-')]);
  return {
    heading: 'What elbows cost',
    rows: [['pipe', 'elbows', 'head lost in them', 'without them', 'with two more'], ...rows],
    words: [`Change of the flow in each pipe by itself, the valve behind the pump left as it is set; nothing where a valve of its own holds the flow, nor in systems of more than ${mostElbowPipes} pipes.`],
  };
}

const backWords = { 'over the crest': 'water over the crest', 'down to a drain': 'water down to its lowest drain', 'over the drains': 'water over its drains, guessed', 'through a return': 'back through the return, until it draws air', boxes: 'box, down to its drains', pipes: 'pipes' } as const;

function runBackTable({ system: { flowUnit, sump, units }, balance: { runBack } }: WaterReport): WaterTable {
  const volume = (value: number) => formatVolume(value, flowUnit);
  const { parts, total, free } = runBack;
  const rise = formatLength(total / sump.area, units);
  return {
    heading: 'When the power fails',
    rows: [['from', 'what runs back', 'volume'], ...parts.map(({ tank, what, volume: value }) => [tank ?? 'lines', backWords[what], volume(value)]), ['all', '', volume(total)], ['sump', 'free over the working level', volume(free)]],
    words: [`The sump rises by ${rise}, of ${formatLength(sump.top - sump.working, units)} that it has. Switch the pump off once before you trust it, and mark both levels.`],
  };
}

/** The verdict on the water in a sentence. */
export function waterVerdictWords({ verdict }: WaterReport): string {
  return {
    clear: 'Flow verdict: clear. By this estimate the holes carry the water, with the reserve that was asked for.',
    tight: 'Flow verdict: tight. It may run, but under good practice: see the findings.',
    refused: 'Flow verdict: refused. By this estimate the holes do not carry the water as planned: see the findings.',
  }[verdict];
}

/** All that the flow pages show. */
export function waterPageContent(report: WaterReport): WaterPageContent {
  const { system, findings, notes } = report;
  return {
    verdict: waterVerdictWords(report),
    diagram: diagramOf(report),
    tables: waterTables(report),
    plot: plotOf(report),
    findings: faultyFindings({ findings }).map((finding) => findingLines(finding, system.units)),
    notes,
    cautions: waterCautions,
  };
}

function diagramOf({ system, balance, findings }: WaterReport): WaterDiagram {
  const { flowUnit, units, sump, side, tanks } = system;
  const { solution } = balance.supply;
  const flow = (value: number) => formatFlow(value, flowUnit);
  const isFaulty = (tank: string, name: string) => findings.some((one) => one.verdict === 'refused' && one.tank === tank && one.pipe === name);
  const levelWords = ({ tank, level }: TankFlow) => (level === null ? [] : [level < 0 ? 'water over the rim' : `water ${formatLength(level, units)} under the top edge`, `crest ${formatLength(lowestCrest(tank) ?? 0, units)} under it`]);
  const numberOf = (name: string | null) => (name === null ? ('sump' as const) : tanks.findIndex((tank) => tank.name === name));
  return {
    tanks: balance.tanks.map((one) => ({ name: one.tank.name, words: [`in ${flow(one.inflow)}`, ...levelWords(one)], weirs: one.tank.weirs.map(({ name, length }) => ({ name, words: `crest ${formatLength(length, units)} long` })) })),
    sump: { words: [`working level ${formatLength(sump.working, units)}`, `top level ${formatLength(sump.top, units)}`, `takes ${formatVolume(balance.runBack.free, flowUnit)}, gets ${formatVolume(balance.runBack.total, flowUnit)}`] },
    pump: { words: solution.kind === 'flows' ? [flow(solution.flow), ...(balance.supply.curve ? [`at ${formatHead(solution.head + valveLoss(balance.supply, solution.flow), units)}${balance.supply.valve > 0 ? ' before its valve' : ''}`] : [])] : ['no flow'] },
    side: side.map(({ name, flow: taken }) => ({ name, words: flow(taken) })),
    pipes: balance.tanks.flatMap(({ tank, flows }, at) => [
      ...tank.returns.map(({ name }: Return) => ({ name, words: flow(balance.returnFlow(tank.name, name)), from: 'pump' as const, to: at, isSpare: false, isFaulty: isFaulty(tank.name, name) })),
      ...tank.drains.map(({ name, into, isSpare }: Drain, index) => ({ name, words: isSpare && (flows[index] ?? 0) === 0 ? 'spare' : flow(flows[index] ?? 0), from: at, to: numberOf(into), isSpare, isFaulty: isFaulty(tank.name, name) })),
    ]),
  };
}

/** Steps in which curves are drawn. */
const plotSteps = 48;

function plotOf({ system, balance: { supply } }: WaterReport): PumpPlot | null {
  const { curve, valve, solution } = supply;
  if (!curve || solution.kind !== 'flows') return null;
  const { flowUnit, units, pump } = system;
  const [perFlow, perHead] = [flowPer[flowUnit], units === 'in' ? millimetresPer.ft : millimetresPer.m];
  const point = (flow: number, head: number) => ({ flow: flow / perFlow, head: head / perHead });
  const along = (end: number, headAt: (flow: number) => number | null) =>
    Array.from({ length: plotSteps + 1 }, (_, index) => (index / plotSteps) * end).flatMap((flow) => {
      const head = headAt(flow);
      return head === null || head < -1e-6 ? [] : [point(flow, Math.max(0, head))];
    });
  const closed = throttled(curve, valve);
  const most = Math.max(...(pump.curve ?? []).map(({ head }) => head));
  const needed = along(curve.end, (flow) => {
    const head = headNeeded(system, flow);
    return head === null || head > 1.1 * most ? null : head;
  });
  return {
    flowTitle: `flow, ${flowUnit}`,
    headTitle: units === 'in' ? 'head, ft' : 'head, m',
    curves: [
      { name: 'pump', kind: 'pump', points: along(curve.end, (flow) => curve.at(flow)[0]) },
      ...(valve > 0 ? [{ name: 'pump with its valve', kind: 'throttled' as const, points: along(closed.end, (flow) => closed.at(flow)[0]) }] : []),
      ...(needed.length > 1 ? [{ name: 'pipes', kind: 'system' as const, points: needed }] : []),
    ],
    given: (pump.curve ?? []).map(({ flow, head }) => point(flow, head)),
    meets: { ...point(solution.flow, solution.head), words: `${formatFlow(solution.flow, flowUnit)} at ${formatHead(solution.head, units)}` },
  };
}

/** For programs: flows in L/h, heads and lengths in mm, speeds in m/s, volumes in L. */
export function waterJson({ verdict, system, balance, findings, notes }: WaterReport) {
  const litres = (flow: number) => flow / flowPer['L/h'];
  const { solution } = balance.supply;
  const valve = solution.kind === 'flows' ? valveLoss(balance.supply, solution.flow) : 0;
  const { runBack } = balance;
  return {
    verdict,
    units: { flow: 'L/h', head: 'mm', length: 'mm', volume: 'L' },
    pump: solution.kind === 'flows' ? { state: 'runs', flow: litres(solution.flow), head: solution.head + valve, valve, pipes: solution.head } : solution.kind === 'no solution' ? { state: 'no solution', why: solution.why, has: solution.has, needs: solution.needs, branch: solution.branch === null ? null : branchWords(system, solution.branch) } : { state: 'not converged', residual: solution.residual },
    side: system.side.map(({ name, flow }) => ({ name, flow: litres(flow) })),
    lines: system.lines.map(({ name, run }) => ({ name, pipe: run.name, bore: run.bore, flow: litres(balance.lineFlow(name)), speed: speedIn(run.bore, balance.lineFlow(name)) / 1000 })),
    tanks: balance.tanks.map(({ tank, inflow, flows, over, level }) => ({
      name: tank.name,
      inflow: litres(inflow),
      over: litres(over),
      level,
      returns: tank.returns.map(({ name, hole, run }) => ({ name, panel: hole?.part ?? null, pipe: run?.name ?? null, bore: run?.bore ?? null, flow: litres(balance.returnFlow(tank.name, name)) })),
      drains: tank.drains.map((drain, index) => {
        const { reliable, most } = capacityOf(drain);
        const flow = flows[index] ?? 0;
        return { name: drain.name, panel: drain.hole?.part ?? null, runs: drain.runs, spare: drain.isSpare, pipe: drain.run?.name ?? null, bore: drain.run?.bore ?? null, flow: litres(flow), carries: litres(reliable), most: litres(most), used: reliable > 0 ? flow / reliable : null };
      }),
      weirs: tank.weirs.map(({ name, crest, length }) => ({ name, crest, length })),
    })),
    blocked: balance.blocked.map(({ drain, tanks }) => ({ tank: drain.tank, drain: drain.drain, tanks: tanks.map(({ tank, level, over, flows }) => ({ name: tank.name, level, over: litres(over), flows: flows.map(litres) })) })),
    elbows: balance.elbows.map(({ name, tank, elbows, head, without, twoMore }) => ({ pipe: name, tank, elbows, head, without: without === null ? null : litres(without), twoMore: twoMore === null ? null : litres(twoMore) })),
    powerFails: { parts: runBack.parts.map(({ tank, what, volume }) => ({ tank, what, volume: volume / cubicMillimetresPer.L })), total: runBack.total / cubicMillimetresPer.L, free: runBack.free / cubicMillimetresPer.L },
    findings: findings.map(findingJson),
    notes,
  };
}
