import { ruleTitles, upperRules, type Finding, type Measure, type Rule, type Verdict } from '../geometry/finding.ts';
import { formatFlow, formatHead, formatShare, formatVolume } from '../trade/flow.ts';
import { weir as weirRoom } from '../trade/limits.ts';
import { boreOf, pipeSizes, type PipeSize } from '../trade/pipe.ts';
import { formatLength, lengthSlack, roundDownToStep, roundUpToStep } from '../trade/units.ts';
import { drainCover, openDepth, pipeSpeed, pumpedLosses, sparedShare, spareOver } from '../trade/water.ts';
import type { Balance, TankFlow } from './balance.ts';
import { capacityOf, quietFlow } from './drain.ts';
import type { Solution } from './network.ts';
import { speedIn } from './pipe-flow.ts';
import type { RunBack } from './run-back.ts';
import { inSize } from './sizes.ts';
import { branchWords, lineKey } from './supply.ts';
import type { Drain, HoleRef, WaterSystem, WaterTank } from './system.ts';

/** A finding on the water, and the panel with the hole or box that it is about; null where it is about no hole of the build. */
export interface WaterFinding extends Finding {
  readonly part: string | null;
}

/** What a finding is made of. */
interface Case {
  readonly rule: Rule;
  /** Hole or box of the build, or only a name where there is none. */
  readonly about: HoleRef | string;
  readonly other: string | null;
  readonly measured: number;
  /** What is refused and what is tight, and who says so. */
  readonly floor?: Bound | undefined;
  readonly good?: Bound | undefined;
  readonly of?: Measure['of'];
  /** How to mend it. */
  readonly fix: string;
}

interface Bound {
  readonly value: number;
  readonly source: string;
}

/** Flows and volumes count as enough within this share, for what rounding leaves. */
const shareSlack = 1e-9;

function findingOn(unit: WaterSystem['flowUnit'], { rule, about, other, measured, floor, good, of, fix }: Case): WaterFinding {
  const slack = (bound: Bound) => (of === undefined ? lengthSlack : Math.abs(bound.value) * shareSlack);
  const breaks = (bound: Bound | undefined) => bound !== undefined && (upperRules.has(rule) ? measured > bound.value + slack(bound) : measured < bound.value - slack(bound));
  const verdict: Verdict = breaks(floor) ? 'refused' : breaks(good) ? 'tight' : 'clear';
  const decisive = verdict === 'refused' ? floor : (good ?? floor);
  const ref = typeof about === 'string' ? { part: null, name: about } : about;
  return {
    part: ref.part,
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

/** The smallest pipe of schedule 40 that will do. */
const smallestSize = (fits: (size: PipeSize) => boolean) => pipeSizes.find(fits);

/** What the pump and its valve give, and what its pipes make of it. */
function supplyCases(system: WaterSystem, balance: Balance): Case[] {
  const { supply, returnFlow, lineFlow, elbows } = balance;
  const { solution } = supply;
  if (solution.kind !== 'flows') return [unsolved(solution, system)];
  const { pump, lines, tanks } = system;
  const headBefore = (line: string | null) => (line === null ? solution.head : (solution.branches.get(lineKey(line))?.head ?? 0));
  const returns = tanks.flatMap((tank) =>
    tank.returns.flatMap(({ name, hole, from, rise, flow, run }): Case[] => [
      ...(run && rise !== null && flow === null
        ? [{ rule: 'return-reach' as const, about: hole ?? name, other: tank.name, measured: headBefore(from), floor: { value: rise + (returnFlow(tank.name, name) > 0 ? 0 : headStep), source: 'water rises no higher than its head' }, of: 'head' as const, fix: 'no water comes out of it: lower its opening, throttle what lies lower, or take a pump with more head' }]
        : []),
      ...(run ? [speedCase(hole ?? name, tank.name, run.bore, returnFlow(tank.name, name))] : []),
    ]),
  );
  const valve: Case[] = pump.throttle === null ? [] : [{ rule: 'throttle', about: 'pump', other: null, measured: supply.isShort ? solution.flow : pump.throttle, good: { value: pump.throttle, source: "the pump's curve against its pipes, with the valve open" }, of: 'flow', fix: 'plan with what it gives, or take a larger pump or wider pipes' }];
  // Where a flow is given without a rise, the pump's head is not known to pay for it.
  const cost = elbows.filter((one) => one.elbows > 0 && one.head <= solution.head).map(({ name, tank, head, elbows: count }): Case => {
    const hole = tanks.find((one) => one.name === tank)?.returns.find((one) => one.name === name)?.hole;
    return { rule: 'elbows', about: hole ?? lineName(name, tank), other: `${tank === null ? '' : `${tank}, `}${count} of 90 degrees`, measured: head, floor: { value: solution.head, source: `loss coefficient ${pumpedLosses.elbow} each: pe-calc.com, minor loss coefficients, after Crane TP-410` }, of: 'head', fix: '' };
  });
  return [...returns, ...valve, ...lines.map(({ name, run }) => speedCase(`line ${name}`, null, run.bore, lineFlow(name))), ...cost];
}

/** Head that a return with no water is short of at least, mm, so that it is told as short. */
const headStep = 0.001;

const lineName = (name: string, tank: string | null) => (tank === null ? `line ${name}` : name);

function speedCase(about: HoleRef | string, other: string | null, bore: number, flow: number): Case {
  const size = smallestSize((one) => speedIn(boreOf(one, 40), flow) <= pipeSpeed.value);
  return { rule: 'pipe-speed', about, other, measured: speedIn(bore, flow), good: pipeSpeed, of: 'speed', fix: size ? `pipe of ${size} in is wide enough` : 'share the flow among more pipes' };
}

/** Where no flow fits what is asked. */
function unsolved(solution: Exclude<Solution, { kind: 'flows' }>, system: WaterSystem): Case {
  const { units } = system;
  const case_ = { rule: 'return-reach' as const, about: 'pump' };
  if (solution.kind === 'not converged') return { ...case_, other: null, measured: 0, floor: { value: 1, source: 'the flow could not be worked out' }, of: 'head', fix: 'check the numbers of pump and pipes; if they are right, this is a fault of ours' };
  const { why, has, needs, branch } = solution;
  if (why === 'does not reach') return { ...case_, other: 'lowest opening', measured: has, floor: { value: needs + headStep, source: 'water rises no higher than its head' }, of: 'head', fix: `take a pump with more head than ${formatHead(needs, units)}, or let the returns open lower` };
  return { ...case_, other: branch === null ? 'all that is taken off' : branchWords(system, branch), measured: has, floor: { value: needs, source: 'the pump gives no more than its curve' }, of: branch === null ? 'flow' : 'head', fix: 'take less off, or a larger pump' };
}

/** The drains and weirs of a tank. */
function tankCases(system: WaterSystem, { blocked }: Balance, { tank, inflow, flows, level, over }: TankFlow): Case[] {
  const { reserve, flowUnit } = system;
  const { drains } = tank;
  const flow = (value: number) => formatFlow(value, flowUnit);
  const working = drains.filter(({ isSpare }) => !isSpare);
  const carried = (some: readonly Drain[], which: 'reliable' | 'most' = 'reliable') => some.reduce((sum, drain) => sum + capacityOf(drain)[which], 0);
  const all = carried(working);
  const narrowest = working.length > 0 ? working.reduce((least, drain) => (capacityOf(drain).reliable < capacityOf(least).reliable ? drain : least)) : undefined;
  const wanted = inflow * (1 + reserve);
  const isOver = over > inflow * shareSlack || carried(working, 'most') < inflow * (1 - shareSlack);
  const capacity: Case[] = [
    {
      rule: 'drain-capacity',
      about: narrowest?.hole ?? narrowest?.name ?? tank.name,
      other: tank.name,
      measured: isOver ? carried(working, 'most') : all,
      ...(isOver ? { floor: { value: inflow, source: balanceSource } } : {}),
      good: { value: wanted, source: `inflow and the reserve that the spec asks for, ${formatShare(reserve)} (${usual})` },
      of: 'flow',
      fix: widerWords(narrowest, wanted - (all - (narrowest ? capacityOf(narrowest).reliable : 0)), flow),
    },
  ];
  const lost = blocked.filter(({ drain }) => drain.tank === tank.name).map((one): Case => {
    const drain = drains.find(({ name }) => name === one.drain.drain) as Drain;
    // The tank that is worst off then, be it this one or one that it drains into.
    const short = one.tanks.map((other) => ({ name: other.tank.name, inflow: other.inflow, carries: carried(other.tank.drains.filter((its) => other.tank !== tank || its !== drain)) })).reduce((worst, other) => (other.carries * worst.inflow < worst.carries * other.inflow ? other : worst));
    const spare = drains.some(({ isSpare }) => isSpare);
    return { rule: 'drain-blocked', about: drain.hole ?? drain.name, other: short.name === tank.name ? tank.name : `${tank.name}, into ${short.name}`, measured: short.carries, good: { value: short.inflow, source: `${usual}: any one drain may clog` }, of: 'flow', fix: `${spare || short.name !== tank.name ? 'larger drains or another spare' : 'a spare drain'}, so that ${short.name} is left with ${flow(short.inflow)}` };
  });
  const own = drains.flatMap((drain, index) => drainCases(system, tank, drain, flows[index] ?? 0));
  return [...capacity, ...lost, ...own, ...weirCases(system, tank, inflow, level, blocked)];
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

/** Height, noise, air and speed of one drain. */
function drainCases({ units }: WaterSystem, tank: WaterTank, drain: Drain, flow: number): Case[] {
  const { run, runs, opening, isSpare, hole, name } = drain;
  const about = hole ?? name;
  const crest = crestBefore(tank, drain);
  const depth = opening === null || crest === null ? null : opening - crest;
  const rivals = tank.drains.filter((other) => !other.isSpare && other.weir === drain.weir && other.opening !== null && other.opening >= (crest ?? other.opening));
  const highest = Math.min(...rivals.map((other) => other.opening as number));
  const bore = run?.bore ?? 0;
  return [
    ...(depth !== null && crest !== null ? [{ rule: 'drain-crest' as const, about, other: tank.name, measured: depth, good: { value: 0, source: `${usual}: else water stands over the crest before it comes to the drain` }, fix: `lower its opening to ${formatLength(crest, units)} under the top edge or more, as deep as the crest` }] : []),
    ...(run && runs === 'open' && (!isSpare || flow > 0) ? [{ rule: 'drain-quiet' as const, about, other: tank.name, measured: flow, good: { value: quietFlow(bore), source: `a stack a quarter full: Wyly and Eaton, NBS Monograph 31, from memory; beyond it air and water gurgle (${usual})` }, of: 'flow' as const, fix: quieterWords(flow) }] : []),
    ...(run && runs === 'open' && !isSpare && depth !== null ? [{ rule: 'drain-depth' as const, about, other: tank.name, measured: depth, good: { value: Math.max(bore, openDepth), source: `${usual}: water that falls farther into an open drain is heard, and draws air` }, fix: 'raise its opening: an elbow turned up or a standpipe, then tell it as opening-from-top' }] : []),
    ...(run && runs === 'full siphon' && !isSpare && depth !== null ? [{ rule: 'drain-cover' as const, about, other: tank.name, measured: depth, good: { value: drainCover(bore, speedIn(bore, flow)), source: 'D (1 + 2.3 v / sqrt(g D)): ANSI/HI 9.8, from memory' }, fix: 'lower its opening, or turn an elbow down, so that no whirl draws air' }] : []),
    ...(run && runs === 'full siphon' && !isSpare ? [speedCase(about, tank.name, bore, flow)] : []),
    ...(isSpare && opening !== null && rivals.length > 0 ? [{ rule: 'spare-height' as const, about, other: tank.name, measured: highest - opening, good: { value: Math.max(bore / 2, spareOver), source: `${usual}: a spare stays dry until another is blocked` }, fix: 'raise the opening of the spare: an elbow turned up or a standpipe, then tell it as opening-from-top; or lower the drains that run' }] : []),
  ];
}

function quieterWords(flow: number): string {
  const size = smallestSize((one) => quietFlow(boreOf(one, 40)) >= flow);
  return size ? `pipe of ${size} in runs quietly; or let a full siphon take most of it` : 'let a full siphon take most of it, or more drains';
}

/** The water over a tank's weirs, as it runs and with each drain blocked in turn. */
function weirCases({ units }: WaterSystem, tank: WaterTank, inflow: number, level: number | null, blocked: Balance['blocked']): Case[] {
  const [first] = tank.weirs;
  if (!first || level === null) return [];
  const good = { value: weirRoom.toTop, source: weirRoom.topGoodSource };
  const lower = (now: number) => `lower the crest by ${formatLength(roundUpToStep(Math.max(0, good.value - now), units), units)}, or make the weir longer`;
  const about = first.box ?? first.name;
  const worst = blocked.flatMap(({ drain, tanks }) => {
    const at = tanks.find((one) => one.tank.name === tank.name);
    return at && inflow > 0 ? [{ drain, level: at.level ?? 0, isShut: at.level === null }] : [];
  });
  const highest = worst.length > 0 ? worst.reduce((top, one) => (one.level < top.level ? one : top)) : null;
  return [
    { rule: 'weir-head', about, other: tank.name, measured: level, floor: { value: 0, source: 'Francis, Q = 3.33 (L - 0.1 n H) H^1.5: USBR Water Measurement Manual, ch. 7; water would run over the rim' }, good, fix: lower(level) },
    ...(highest ? [{ rule: 'weir-blocked' as const, about, other: `${tank.name}, without ${highest.drain.drain}`, measured: highest.level, good: { value: rimRoom, source: `${usual}: any one drain may clog` }, fix: highest.isShut ? 'no other weir leads to a drain: give its box a spare' : lower(highest.level) }] : []),
    ...tank.weirs.flatMap(({ name, box, crest, teeth }): Case[] => (teeth?.height ? [{ rule: 'weir-teeth', about: box ?? name, other: tank.name, measured: crest - level, good: { value: teeth.height, source: `${usual}: over its teeth a weir lets fish and leaves through` }, fix: 'a longer weir, wider slots or higher teeth' }] : [])),
  ];
}

/** What must be left under the rim with a drain blocked, mm: it does not run over. */
const rimRoom = 1;

/** What runs back when the power fails. */
function runBackCases(system: WaterSystem, { runBack }: Balance): Case[] {
  const { sump, units, flowUnit } = system;
  const { total, clogged, free, unknown } = runBack;
  if (unknown.some(({ what }) => what === 'level')) return [];
  const roomy = free * sparedShare;
  const isClogged = total <= roomy && clogged > free;
  const measured = isClogged ? clogged : total;
  // Lowered, the sump has more room, of which a share must stay free as before.
  const deeper = roundUpToStep(Math.max(0, (isClogged ? clogged - free : total / sparedShare - free) / sump.area), units);
  const lower = deeper < sump.working ? [`run the sump ${formatLength(deeper, units)} lower`] : [];
  const limit = isClogged || total > free ? free : roomy;
  const { words, blamed } = raisedReturns(system, runBack, limit);
  const crests = runBack.parts.reduce((sum, { what, volume }) => (what === 'over the crest' ? sum + volume : sum), 0);
  const ways = [...(words === null ? [...(crests > measured - limit ? ['a longer weir'] : []), 'a larger sump'] : [words]), ...lower];
  return [
    {
      rule: 'run-back',
      about: blamed ? (blamed.one.hole ?? blamed.one.name) : 'sump',
      other: [...(blamed ? [blamed.tank.name] : []), ...(isClogged ? ['with the siphon breaks clogged'] : [])].join(', ') || null,
      measured,
      floor: isClogged ? undefined : { value: free, source: 'what the sump holds between its working level and its top level' },
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
  if (allowed >= rest) return { words: `let ${one.name} of ${tank.name} open at most ${formatLength(units === 'in' ? roundDownToStep(allowed, units) : Math.floor(allowed), units)} under the top edge`, blamed: first };
  const raised = siphons.length > 1 ? 'let the returns open no lower than the crests of their tanks' : `let ${one.name} of ${tank.name} open no lower than its crest`;
  return clogged - siphons.reduce((sum, each) => sum + each.volume, 0) <= limit ? { words: raised, blamed: first } : { words: `${raised}, with a larger sump`, blamed: null };
}
