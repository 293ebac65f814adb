import { ruleTitles, upperRules, type Finding, type Measure, type Rule, type Verdict } from '../geometry/finding.ts';
import { formatFlow, formatHead, formatShare, formatVolume } from '../trade/flow.ts';
import { weir as weirRoom } from '../trade/limits.ts';
import { boreOf, pipeSizes, type PipeSize } from '../trade/pipe.ts';
import { formatLength, lengthSlack, roundDownToStep, roundUpToStep } from '../trade/units.ts';
import { drainCover, openDepth, pipeSpeed, sparedShare, spareOver } from '../trade/water.ts';
import type { Balance, TankFlow } from './balance.ts';
import { drained } from './cascade.ts';
import { capacityOf, carriedBy, headOverRim, quietFlow } from './drain.ts';
import type { Solution } from './network.ts';
import { speedIn } from './pipe-flow.ts';
import type { RunBack } from './run-back.ts';
import { inSize } from './sizes.ts';
import { branchWords, lineKey } from './supply.ts';
import type { Drain, HoleRef, PipeRun, WaterSystem, WaterTank } from './system.ts';

/** A finding on the water. */
export interface WaterFinding extends Finding {
  /** The panel with the hole or box that it is about; null where it is about no hole of the build. */
  readonly part: string | null;
  /** The water tank, and the return or drain of it, that it is about; null where it is about none. */
  readonly tank: string | null;
  readonly pipe: string | null;
}

/** What a finding is made of. */
interface Case {
  readonly rule: Rule;
  /** Hole or box of the build, or only a name where there is none. */
  readonly about: HoleRef | string;
  readonly tank?: string;
  readonly pipe?: string | undefined;
  readonly other: string | null;
  readonly measured: number;
  /** What is refused and what is tight, and who says so. */
  readonly floor?: Bound | undefined;
  readonly good?: Bound | undefined;
  readonly of?: Measure['of'];
  /** Whether it is refused whatever its numbers are. */
  readonly isRefused?: boolean;
  /** How to mend it. */
  readonly fix: string;
}

interface Bound {
  readonly value: number;
  readonly source: string;
}

/** Flows and volumes count as enough within this share, for what rounding leaves. */
const shareSlack = 1e-9;

function findingOn(unit: WaterSystem['flowUnit'], { rule, about, tank, pipe, other, measured, floor, good, of, isRefused = false, fix }: Case): WaterFinding {
  const slack = (bound: Bound) => (of === undefined ? lengthSlack : Math.abs(bound.value) * shareSlack);
  const breaks = (bound: Bound | undefined) => bound !== undefined && (upperRules.has(rule) ? measured > bound.value + slack(bound) : measured < bound.value - slack(bound));
  const verdict: Verdict = isRefused || breaks(floor) ? 'refused' : breaks(good) ? 'tight' : 'clear';
  const decisive = verdict === 'refused' ? floor : (good ?? floor);
  const ref = typeof about === 'string' ? { part: null, name: about } : about;
  return {
    part: ref.part,
    tank: tank ?? null,
    pipe: pipe ?? null,
    hole: ref.name,
    rule,
    verdict,
    other,
    measured,
    needed: decisive?.value ?? 0,
    floor: floor?.value ?? null,
    good: good?.value ?? null,
    ...(of === undefined ? {} : { measure: { of, unit } }),
    source: decisive?.source ?? '',
    fix: verdict === 'clear' ? '' : fix,
    move: null,
  };
}

/** All that is to be said of the water, in the order of the rules. */
export function waterFindings(system: WaterSystem, balance: Balance): WaterFinding[] {
  // Where no flow fits what is asked, nothing can be said of the rest.
  const rest = () => [...balance.tanks.flatMap((tank) => tankCases(system, balance, tank)), ...runBackCases(system, balance)];
  const cases = [...supplyCases(system, balance), ...(balance.supply.solution.kind === 'flows' ? rest() : [])];
  const order = Object.keys(ruleTitles);
  return cases.map((one) => findingOn(system.flowUnit, one)).sort((a, b) => order.indexOf(a.rule) - order.indexOf(b.rule));
}

const usual = 'common practice, no source';
const balanceSource = 'steady flow: what comes in must go out';

/** The smallest size of pipe that will do. */
const smallestSize = (fits: (size: PipeSize) => boolean) => pipeSizes.find(fits);

/** What the pump and its valve give, and what its pipes make of it. */
function supplyCases(system: WaterSystem, balance: Balance): Case[] {
  const { supply, returnFlow, lineFlow, elbows } = balance;
  const { solution } = supply;
  if (solution.kind !== 'flows') return [unsolved(solution, system)];
  const { pump, lines, tanks } = system;
  const headBefore = (line: string | null) => (line === null ? solution.head : (solution.branches.get(lineKey(line))?.head ?? 0));
  const returns = tanks.flatMap((tank) =>
    tank.returns.flatMap(({ name, hole, from, rise, flow, run }): Case[] => {
      const through = returnFlow(tank.name, name);
      const own = { about: hole ?? name, tank: tank.name, pipe: name, other: tank.name };
      return [
        ...(run && rise !== null && flow === null
          ? [{ ...own, rule: 'return-reach' as const, measured: headBefore(from), floor: { value: rise + (through > 0 ? 0 : headStep), source: 'water rises no higher than its head' }, of: 'head' as const, fix: 'no water comes out of it: lower its opening, throttle what lies lower, or take a pump with more head' }]
          : []),
        ...(flow === null && (!run || rise === null) && through <= 0 ? [{ ...own, rule: 'pump-flow' as const, measured: 0, floor: { value: 0, source: balanceSource }, of: 'flow' as const, isRefused: true, fix: 'the others take all that the pump delivers, and nothing is left for it: take less off' }] : []),
        ...(run ? [speedCase(own, run.bore, through)] : []),
        ...elbows.filter((one) => one.tank === tank.name && one.name === name).flatMap(({ twoMore }): Case[] => (twoMore === null || through <= 0 ? [] : [{ ...own, rule: 'elbows', measured: twoMore, good: { value: through * elbowShare, source: `${usual}: a pump with head to spare loses less than a tenth of the flow to two elbows` }, of: 'flow', fix: 'wider pipe, fewer elbows, or a pump with more head: this flow hangs on every fitting' }])),
      ];
    }),
  );
  const valve: Case[] = pump.throttle === null ? [] : [throttleCase(pump.throttle, supply.isShort, solution.flow)];
  return [...returns, ...valve, ...lines.map(({ name, run }) => speedCase({ about: `line ${name}`, other: null }, run.bore, lineFlow(name)))];
}

/** The valve behind the pump against what goes through it. @param isShort whether it cannot be set so @param flow what the pump gives with it as it is, or open where it cannot */
function throttleCase(throttle: number, isShort: boolean, flow: number): Case {
  const common = { rule: 'throttle' as const, about: 'pump', other: null, of: 'flow' as const };
  // Open, it lets through more than it is set to: then what lies behind it asks for more.
  if (isShort && flow > throttle) return { ...common, measured: throttle, good: { value: flow, source: 'what is taken off behind it, and the head that this needs' }, fix: 'set the valve to more, or take less off' };
  return { ...common, measured: isShort ? flow : throttle, good: { value: throttle, source: "the pump's curve against its pipes, with the valve open" }, fix: 'plan with what it gives, or take a larger pump or wider pipes' };
}

/** Share of a return's flow that two more elbows may cost. Common practice, no source. */
const elbowShare = 0.1;

/** Head that a return with no water is short of at least, mm, so that it is told as short. */
const headStep = 0.001;

/** What a case says of the pipe that it is about. */
type CaseOf = Pick<Case, 'about' | 'tank' | 'pipe' | 'other'>;

function speedCase(own: CaseOf, bore: number, flow: number, fix = fasterWords(flow)): Case {
  return { ...own, rule: 'pipe-speed', measured: speedIn(bore, flow), good: pipeSpeed, of: 'speed', fix };
}

/** A wider pipe may take more than that: so no more is promised. */
function fasterWords(flow: number): string {
  const size = smallestSize((one) => speedIn(boreOf(one, 40), flow) <= pipeSpeed.value);
  return size ? `pipe of ${size} in (schedule 40) is wide enough for that flow` : 'share the flow among more pipes';
}

/** Where no flow fits what is asked. */
function unsolved(solution: Exclude<Solution, { kind: 'flows' }>, system: WaterSystem): Case {
  const { units, flowUnit } = system;
  const common = { rule: 'return-reach' as const, about: 'pump', of: 'head' as const, isRefused: true };
  if (solution.kind === 'not converged') return { ...common, other: null, measured: 0, floor: { value: 1, source: 'the flow could not be worked out' }, fix: 'check the numbers of pump and pipes; if they are right, this is a fault of ours' };
  const { why, has, needs, branch } = solution;
  if (why === 'does not reach') return { ...common, other: 'lowest opening', measured: has, floor: { value: needs + headStep, source: 'water rises no higher than its head' }, fix: `take a pump with more head than ${formatHead(needs, units)}, or let the returns open lower` };
  if (branch !== null) return { ...common, other: branchWords(system, branch), measured: has, floor: { value: needs, source: 'the pump gives no more than its curve' }, fix: 'take less off, or a larger pump or wider pipes' };
  const taken = { ...common, rule: 'pump-flow' as const, of: 'flow' as const, other: 'all that is taken off', measured: has };
  if (has > needs) return { ...taken, floor: { value: needs, source: balanceSource }, fix: `returns and side take ${formatFlow(needs, flowUnit)} and no more: leave the flow of one return out, or write what the pump delivers with its valve` };
  return { ...taken, floor: { value: needs, source: 'the pump gives no more than its curve' }, fix: 'take less off, or a larger pump' };
}

/** The drains and weirs of a tank. */
function tankCases(system: WaterSystem, { tanks, blocked }: Balance, { tank, inflow, flows, level, over }: TankFlow): Case[] {
  const { reserve, flowUnit } = system;
  const { drains } = tank;
  const flow = (value: number) => formatFlow(value, flowUnit);
  const working = drains.filter(({ isSpare }) => !isSpare);
  const all = carriedBy(working);
  const narrowest = working.length > 0 ? working.reduce((least, drain) => (capacityOf(drain).reliable < capacityOf(least).reliable ? drain : least)) : undefined;
  const wanted = inflow * (1 + reserve);
  const isOver = over > inflow * shareSlack || carriedBy(working, 'most') < inflow * (1 - shareSlack);
  const capacity: Case[] = [
    {
      rule: 'drain-capacity',
      about: narrowest?.hole ?? narrowest?.name ?? tank.name,
      tank: tank.name,
      pipe: narrowest?.name,
      other: tank.name,
      measured: isOver ? carriedBy(working, 'most') : all,
      ...(isOver ? { floor: { value: inflow, source: balanceSource } } : {}),
      good: { value: wanted, source: `inflow and the reserve that the spec asks for, ${formatShare(reserve)} (${usual})` },
      of: 'flow',
      fix: widerWords(narrowest, wanted - (all - (narrowest ? capacityOf(narrowest).reliable : 0)), flow),
    },
  ];
  const usually = new Map(tanks.map((one) => [one.tank.name, one.inflow]));
  const lost = blocked.filter(({ drain }) => drain.tank === tank.name).map((one): Case => {
    const drain = drains.find(({ name }) => name === one.drain.drain) as Drain;
    // The tank that is worst off then: this one, or one that gets more for it.
    const concerned = one.tanks.filter((other) => other.tank === tank || other.inflow > (usually.get(other.tank.name) ?? 0) * (1 + shareSlack));
    const short = concerned.map((other) => ({ name: other.tank.name, inflow: other.inflow, carries: carriedBy(other.tank.drains.filter((its) => other.tank !== tank || its !== drain)) })).reduce((worst, other) => (other.carries * worst.inflow < worst.carries * other.inflow ? other : worst));
    const spare = drains.some(({ isSpare }) => isSpare);
    return { rule: 'drain-blocked', about: drain.hole ?? drain.name, tank: tank.name, pipe: drain.name, other: short.name === tank.name ? tank.name : `${tank.name}, into ${short.name}`, measured: short.carries, good: { value: short.inflow, source: `${usual}: any one drain may clog` }, of: 'flow', fix: `${spare || short.name !== tank.name ? 'larger drains or another spare' : 'a spare drain'}, so that ${short.name} is left with ${flow(short.inflow)}` };
  });
  const mostIn = (index: number) => Math.max(flows[index] ?? 0, ...blocked.map((one) => one.tanks.find((other) => other.tank === tank)?.flows[index] ?? 0));
  const own = drains.flatMap((drain, index) => drainCases(system.units, tank, drain, flows[index] ?? 0, mostIn(index), (size) => drained([inTank(tank, drain, size)], () => inflow)[0]?.flows[index] ?? 0));
  return [...capacity, ...lost, ...own, ...weirCases(system, tank, inflow, level, blocked)];
}

/** The tank with another size of pipe in one of its drains. */
function inTank(tank: WaterTank, drain: Drain, size: PipeSize): WaterTank {
  return { ...tank, drains: tank.drains.map((one) => (one === drain && one.run ? { ...one, run: inSize(one.run, size) } : one)) };
}

/** The next size that carries so much. */
function widerWords(drain: Drain | undefined, needed: number, flow: (value: number) => string): string {
  const { run } = drain ?? {};
  const size = drain && run ? smallestSize((one) => capacityOf({ ...drain, run: inSize(run, one) }).reliable >= needed) : undefined;
  if (size && drain && run) return `pipe of ${size} in as ${drain.runs === 'open' ? 'an open drain' : 'a full siphon'} carries ${flow(capacityOf({ ...drain, run: inSize(run, size) }).reliable)}; or another drain`;
  return drain ? `another drain that carries ${flow(needed - capacityOf(drain).reliable)}, or less inflow` : `a drain that carries ${flow(needed)}`;
}

/** The crest that water runs over to a drain, mm under the tank's top edge: that of its box's weir, or that of the tank's only weir, where it belongs to no box; null where neither is told. */
function crestBefore({ weirs }: WaterTank, { weir: name }: Drain): number | null {
  const [first, ...others] = weirs;
  const own = name === null ? (others.length === 0 && first?.box === null ? first : undefined) : weirs.find((weir) => weir.name === name);
  return own?.crest ?? null;
}

/** Height, noise, air and speed of one drain. @param most what goes through it with another blocked, where that is more than `flow` @param flowIn what would go through it with another size of pipe: a wider one takes more of what drains share */
function drainCases(units: WaterSystem['units'], tank: WaterTank, drain: Drain, flow: number, most: number, flowIn: (size: PipeSize) => number): Case[] {
  const { run, runs, opening, isSpare, hole, name } = drain;
  const crest = crestBefore(tank, drain);
  const depth = opening === null || crest === null ? null : opening - crest;
  const rivals = tank.drains.filter((other) => !other.isSpare && other.weir === drain.weir && other.opening !== null && other.opening >= (crest ?? other.opening));
  const highest = Math.min(...rivals.map((other) => other.opening as number));
  const own = { about: hole ?? name, tank: tank.name, pipe: name, other: tank.name };
  const isSiphon = runs === 'full siphon' && !isSpare;
  const raise = 'raise its opening: an elbow turned up or a standpipe, then tell it as opening-from-top';
  const lower = 'lower its opening, or turn an elbow down, so that no whirl draws air';
  // The water over a siphon is held down by what else is open beside it: a drain with air, or the spare.
  const lips = tank.drains.flatMap((other) => (other.weir === drain.weir && other !== drain && (other.isSpare || other.runs === 'open') ? (other.opening ?? []) : []));
  const cover = opening === null || crest === null ? null : opening - Math.max(crest, ...lips);
  return [
    ...(run && runs === 'open' && (!isSpare || flow > 0) ? [{ ...own, rule: 'drain-quiet' as const, measured: flow, good: { value: quietFlow(run.bore), source: `a stack a quarter full: Wyly and Eaton, NBS Monograph 31, from memory; beyond it air and water gurgle (${usual})` }, of: 'flow' as const, fix: quieterWords(run, flowIn) }] : []),
    ...(run && !isSpare && runs === 'open' && depth !== null ? [{ ...own, rule: 'drain-depth' as const, measured: depth, good: { value: Math.max(run.bore, openDepth), source: `${usual}: water that falls farther into an open drain is heard, and draws air` }, fix: raise }] : []),
    ...(run && isSiphon && cover !== null ? [{ ...own, rule: 'drain-cover' as const, measured: cover, good: { value: drainCover(run.bore, speedIn(run.bore, flow)), source: 'D (1 + 2.3 v / sqrt(g D)): ANSI/HI 9.8, from memory' }, fix: lower }] : []),
    ...(depth !== null && !(run && isSiphon) ? [openingCase(own, depth, run ? headOverRim(run.bore, most) : 0, units)] : []),
    ...(run && isSiphon ? [speedCase(own, run.bore, flow, slowerWords(run, flowIn))] : []),
    ...(isSpare && opening !== null && rivals.length > 0 ? [{ ...own, rule: 'spare-height' as const, measured: highest - opening, good: { value: Math.max((run?.bore ?? 0) / 2, spareOver), source: `${usual}: a spare stays dry until another is blocked` }, fix: `${raise}; or lower the drains that run` }] : []),
  ];
}

/** Whether a drain that air enters lies deep enough under the crest for all its water to get in: else the water rises over the crest, and the weir leads no more. @param depth of its opening under the crest @param head that it needs over its opening, mm */
function openingCase(own: CaseOf, depth: number, head: number, units: WaterSystem['units']): Case {
  const source = `${usual}: its opening turned up, Francis along its rim; with less, the water rises over the crest`;
  return { ...own, rule: 'drain-opening', measured: depth, good: { value: head, source }, fix: `lower its opening by ${formatLength(roundUpToStep(Math.max(0, head - depth), units), units)}` };
}

function slowerWords(run: PipeRun, flowIn: (size: PipeSize) => number): string {
  const size = smallestSize((one) => speedIn(inSize(run, one).bore, flowIn(one)) <= pipeSpeed.value);
  return size ? `pipe of ${size} in is wide enough` : 'share the flow among more drains';
}

function quieterWords(run: PipeRun, flowIn: (size: PipeSize) => number): string {
  const size = smallestSize((one) => quietFlow(inSize(run, one).bore) >= flowIn(one));
  return size ? `pipe of ${size} in runs quietly; or let a full siphon take most of it` : 'let a full siphon take most of it, or more drains';
}

/** The water over a tank's weirs, as it runs and with each drain blocked in turn. */
function weirCases({ units }: WaterSystem, tank: WaterTank, inflow: number, level: number | null, blocked: Balance['blocked']): Case[] {
  const [first, ...others] = tank.weirs;
  if (!first || level === null) return [];
  const good = { value: weirRoom.toTop, source: weirRoom.topGoodSource };
  const lower = (now: number) => `lower ${others.length > 0 ? 'all crests' : 'the crest'} by ${formatLength(roundUpToStep(Math.max(0, good.value - now), units), units)}, or make the weir longer`;
  const own = { about: first.box ?? first.name, tank: tank.name };
  const worst = blocked.flatMap(({ drain, tanks }) => {
    const at = tanks.find((one) => one.tank.name === tank.name);
    return at && inflow > 0 ? [{ drain, level: at.level ?? 0, isShut: at.level === null }] : [];
  });
  const highest = worst.find(({ isShut }) => isShut) ?? (worst.length > 0 ? worst.reduce((top, one) => (one.level < top.level ? one : top)) : null);
  return [
    { ...own, rule: 'weir-head', other: tank.name, measured: level, floor: { value: 0, source: 'Francis, Q = 3.33 (L - 0.1 n H) H^1.5: USBR Water Measurement Manual, ch. 7; water would run over the rim' }, good, fix: lower(level) },
    ...(highest ? [{ ...own, rule: 'weir-blocked' as const, other: `${tank.name}, without ${highest.drain.drain}`, measured: highest.level, good: { value: rimRoom, source: `${usual}: any one drain may clog` }, fix: highest.isShut ? 'no other weir leads to a drain: give its box a spare' : lower(highest.level) }] : []),
    ...tank.weirs.flatMap(({ name, box, crest, teeth }): Case[] => (teeth?.height ? [{ rule: 'weir-teeth', about: box ?? name, tank: tank.name, other: tank.name, measured: crest - level, good: { value: teeth.height, source: `${usual}: over its teeth a weir lets fish and leaves through` }, fix: 'a longer weir, wider slots or higher teeth' }] : [])),
  ];
}

/** What must be left under the rim with a drain blocked, mm: it does not run over. */
const rimRoom = 1;

/** What runs back when the power fails. */
function runBackCases(system: WaterSystem, { runBack }: Balance): Case[] {
  const { sump, units, flowUnit } = system;
  const { total, known, clogged, free, unknown } = runBack;
  const roomy = free * sparedShare;
  if (unknown.some(({ what }) => what === 'level') && total <= roomy && clogged <= free) return [];
  const isClogged = total <= roomy && clogged > free;
  const measured = isClogged ? clogged : total;
  const deeper = roundUpToStep(Math.max(0, (Math.max(total / sparedShare, clogged) - free) / sump.area), units);
  const lower = deeper < sump.working ? [`run the sump ${formatLength(deeper, units)} lower`] : [];
  const limit = isClogged || known > free ? free : roomy;
  const { words, blamed } = raisedReturns(system, runBack, limit);
  const crests = runBack.parts.reduce((sum, { what, volume }) => (what === 'over the crest' ? sum + volume : sum), 0);
  const ways = [...(words === null ? [...(crests > measured - limit ? ['a longer weir'] : []), 'a larger sump'] : [words]), ...lower];
  return [
    {
      ...(blamed ? { about: blamed.one.hole ?? blamed.one.name, tank: blamed.tank.name, pipe: blamed.one.name } : { about: 'sump' }),
      rule: 'run-back',
      other: [...(blamed ? [blamed.tank.name] : []), ...(isClogged ? ['with the siphon breaks clogged'] : [])].join(', ') || null,
      measured,
      floor: isClogged || known <= free ? undefined : { value: free, source: 'what the sump holds between its working level and its top level' },
      good: { value: isClogged ? free : roomy, source: isClogged ? `${usual}: a hole that lets air in clogs` : `${usual}: a fifth of the free volume kept for what was measured or counted short (${formatVolume(free, flowUnit)} free)` },
      of: 'volume',
      fix: ways.length > 1 ? `${ways.slice(0, -1).join(', ')}, or ${ways.at(-1)}` : (ways[0] ?? ''),
    },
  ];
}

/** How returns that open too deep are to be raised so that no more than the limit runs back, and the one that is to blame, null where the sump is too small all the same; words are null where none opens too deep. */
function raisedReturns({ units }: WaterSystem, { clogged, siphons }: RunBack, limit: number): { words: string | null; blamed: RunBack['siphons'][number] | null } {
  const [first] = siphons;
  if (!first || clogged <= limit) return { words: null, blamed: null };
  const { tank, one, rest, volume } = first;
  const allowed = rest + (limit - (clogged - volume)) / tank.area;
  const subject = tank.returns.some((other) => other !== one && other.opening > allowed) ? `all returns of ${tank.name}` : `${one.name} of ${tank.name}`;
  if (allowed >= rest) return { words: `let ${subject} open at most ${formatLength(units === 'in' ? roundDownToStep(allowed, units) : Math.floor(allowed), units)} under the top edge`, blamed: first };
  const raised = siphons.length > 1 ? 'let the returns open no lower than the crests of their tanks' : `let ${one.name} of ${tank.name} open no lower than its crest`;
  return clogged - siphons.reduce((sum, each) => sum + each.volume, 0) <= limit ? { words: raised, blamed: first } : { words: `${raised}, with a larger sump`, blamed: null };
}
