import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import { check, verdictsByHole } from './geometry/check.ts';
import { ruleTitles, upperRules, worst, type Finding, type Measure, type Verdict } from './geometry/finding.ts';
import { leastMargin, marginsOf, type LeastMargin, type Margin } from './geometry/margins.ts';
import { timesPlaced } from './geometry/obstacles.ts';
import { ligamentRules, surroundingsOf } from './geometry/surroundings.ts';
import type { Build } from './plan/build.ts';
import type { Plan, PlannedHole } from './plan/plan.ts';
import { coreAllowance } from './trade/bits.ts';
import { cubicMillimetresPer, flowPer, formatFlow, formatHead, formatSpeed, formatVolume } from './trade/flow.ts';
import { notDrilled } from './trade/limits.ts';
import { balanceOf } from './water/balance.ts';
import { waterFindings } from './water/findings.ts';
import { formatLength, plainNumber, roundDown, roundDownToStep, type Unit } from './trade/units.ts';

/** What a check says of a plan. */
export interface Report {
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  readonly byHole: ReadonlyMap<string, Verdict>;
  /** Of each hole of the plan, in its order; null where the material is not drilled. */
  readonly margins: readonly (Margin | null)[];
  /** The least of them. */
  readonly margin: LeastMargin | null;
  /** What the reader must know besides: typical values, chosen diameters. */
  readonly notes: readonly string[];
  readonly fingerprint: string;
}

/** A panel and what its check says. */
export interface Checked {
  readonly plan: Plan;
  readonly report: Report;
}

/** The worst verdict of all panels. */
export function verdictOf(checked: readonly Checked[]): Verdict {
  return worst(checked.map(({ report }) => report.verdict));
}

/** @param unit the unit in which fixes speak; the plan's own if left out */
export function checkPlan(plan: Plan, unit: Unit = plan.units): Report {
  const { panel, holes } = plan;
  const surroundings = surroundingsOf(panel, holes);
  return reportOf(plan, check(panel, holes, unit, surroundings), marginsOf(panel, holes, surroundings));
}

/**
 * Checks all panels of a build, with what is found of the water that goes through their holes. A hole through a panel and a box's back wall is drilled in both or in neither: what the
 * wall refuses is refused on its panels, and what all of a wall's panels refuse is refused on the wall.
 * @param unit the unit in which fixes speak; the build's own if left out
 */
export function checkBuild({ panels, water }: Pick<Build, 'panels' | 'water'>, unit?: Unit): Checked[] {
  const ofWater = water ? waterFindings(water, balanceOf(water)) : [];
  const alone = panels.map((plan) => {
    const report = checkPlan(plan, unit);
    const own = ofWater.filter(({ part }) => part === plan.part);
    return { plan, report: own.length > 0 ? reportOf(plan, [...report.findings, ...own], report.margins) : report };
  });
  const walls = new Map(alone.map((checked) => [checked.plan.part, checked]));
  const keyOf = (part: string, hole: string) => JSON.stringify([part, hole]);
  /** Verdicts on the panels, and the panels' names, by the hole of the wall. */
  const onPanels = new Map<string, { part: string; verdict: Verdict | undefined }[]>();
  for (const { plan: { part, holes }, report } of alone) {
    for (const { name, inWall } of holes) {
      if (!inWall) continue;
      const key = keyOf(inWall.part, inWall.name);
      const others = onPanels.get(key) ?? [];
      others.push({ part, verdict: report.byHole.get(name) });
      onPanels.set(key, others);
    }
  }
  return alone.map((checked) => {
    const { plan, report } = checked;
    const findings = plan.holes.flatMap(({ name, inWall }): Finding[] => {
      const others = inWall ? [{ part: inWall.part, verdict: walls.get(inWall.part)?.report.byHole.get(inWall.name) }] : plan.isBoxWall ? (onPanels.get(keyOf(plan.part, name)) ?? []) : [];
      return others.length > 0 && others.every(({ verdict }) => verdict === 'refused') ? [refusedWith(name, [...new Set(others.map(({ part }) => part))].join('; '))] : [];
    });
    return findings.length > 0 ? { plan, report: reportOf(plan, [...report.findings, ...findings], report.margins) } : checked;
  });
}

/** A hole that is refused on what is drilled with it. */
function refusedWith(hole: string, other: string): Finding {
  const fix = `mend it on ${other} first: no hole is drilled in one of the two alone`;
  return { hole, rule: 'drilled-with', verdict: 'refused', other, measured: 'refused', needed: 'clear or tight', floor: null, good: null, source: 'a fitting through both needs its hole in both', fix, move: null };
}

function reportOf(plan: Plan, findings: readonly Finding[], margins: readonly (Margin | null)[]): Report {
  const byHole = verdictsByHole(plan.holes, findings);
  return { verdict: worst(byHole.values()), findings, byHole, margins, margin: leastMargin(plan.holes, margins), notes: notesOn(plan), fingerprint: fingerprint(plan) };
}

/**
 * Eight hex digits that stand for the work: the panel, its holes and how they are measured, not the paper. Two jigs with
 * the same fingerprint are the same work (SHA-256, FIPS 180-4, cut to 32 bits).
 */
export function fingerprint({ title, face, panel, measuredFrom, datum, holes }: Plan): string {
  const { material, thickness, outline, edges, keepClear, boxes, placement } = panel;
  const strips = edges.map(({ rim, joint }) => [rim, joint]);
  const drilled = holes.map(({ name, center, offsets, diameter, flange, nut, gasket, grip, fitting, isTypical }) => ({ name, center, offsets, diameter, flange, nut, gasket, grip, fitting, isTypical }));
  const words = JSON.stringify([title, face, material, thickness, outline, strips, keepClear, measuredFrom, datum, drilled, ...(boxes.length > 0 ? [boxes] : []), ...(placement > 0 ? [{ placement }] : [])]);
  return shortHash(words);
}

/** Eight hex digits that stand for all panels of a build. */
export function fingerprintOf(checked: readonly Checked[]): string {
  return shortHash(checked.map(({ plan, report }) => `${plan.quantity} ${report.fingerprint}`).join(' '));
}

function shortHash(words: string): string {
  const digits = bytesToHex(sha256(utf8ToBytes(words)));
  return `${digits.slice(0, 4)}-${digits.slice(4, 8)}`;
}

function notesOn(plan: Plan): string[] {
  const typical = new Set(plan.holes.filter((hole) => hole.isTypical).map((hole) => hole.fitting as string));
  return [...[...typical].map((name) => `${name}: typical values, from memory; they vary by maker. Measure the fitting in hand before you drill.`), ...layoutNotes(plan), ...bitNotes(plan), ...roomNotes(plan), ...placementNotes(plan)];
}

/** How far apart the holes of rows and repeats are, and how much room is left where a place was found. */
function layoutNotes({ spacings, found, units }: Plan): string[] {
  const length = (mm: number) => formatLength(mm, units);
  return [
    ...spacings.map(({ name, count, apart, rows }) => `${name}: ${rows > 1 ? `${rows} rows of ` : ''}${count} holes, ${length(apart)} between centres.`),
    ...found.map(({ name, spare, level }) => `${name}: put where it has the most room: ${formatLength(roundDownToStep(Math.max(0, spare), units), units)} more than ${level === 'minimum' ? 'the published minimum asks; no place keeps good practice' : 'good practice asks'}.`),
  ];
}

/** Which holes no bit at hand fits and what to buy for them, and which a bit may cut over their range. */
function bitNotes({ holes, units }: Plan): string[] {
  const length = (mm: number) => formatLength(mm, units);
  const takes = ({ diameter, size }: PlannedHole) => (size && size.hole.min < size.hole.max ? `a hole of ${length(size.hole.min)} to ${length(size.hole.max)}` : `a hole of ${length(size?.hole.min ?? diameter)}`);
  return holes.flatMap((hole) => {
    const { kind, diameter, isAtHand, fits } = hole.bit;
    if (isAtHand === false) return [`${hole.name}: no bit at hand fits ${takes(hole)}. Buy a ${kind} of ${length(diameter)}.`];
    if (fits === 'nominal') return [`${hole.name}: the bit of ${length(diameter)} fits ${takes(hole)}, but a bit cuts up to ${length(coreAllowance)} over its size (common practice, no source): try it on scrap first.`];
    return [];
  });
}

/** Where the spec gives the room behind the panel, holes whose fitting is not known well enough to compare. */
function roomNotes({ holes, panel }: Plan): string[] {
  return (['outside', 'inside'] as const).flatMap((face) => {
    const unknown = panel.room[face] === null ? [] : holes.filter((hole) => hole.size && hole.standsOut?.[face] === null);
    return unknown.length > 0 ? [`room ${face}: not known how far ${unknown.map(({ name }) => name).join(', ')} ${unknown.length > 1 ? 'stand' : 'stands'} out. Write what is missing under the fitting: stands-out, and pipe where something is joined.`] : [];
  });
}

/** The tolerance that the check allows for. */
function placementNotes({ panel, units }: Plan): string[] {
  if (panel.placement === 0 || notDrilled[panel.material]) return [];
  return [`placement: a hole may be drilled up to ${formatLength(panel.placement, units)} off its place. That is taken off all that is measured from it, twice between two holes.`];
}

/** How far each fitting and what is joined to it stands out of both faces, against the room where the spec gives it; of a box's wall the panel behind it tells. */
export function roomWords({ holes, panel, units, isBoxWall }: Plan): string[] {
  if (isBoxWall) return [];
  const length = (mm: number) => formatLength(mm, units);
  return holes.flatMap(({ name, standsOut, flangeOn, joined, isTypical }) => {
    const sides = (['outside', 'inside'] as const).flatMap((face) => {
      const out = standsOut?.[face] ?? null;
      if (out === null) return [];
      const [part, free] = [face === flangeOn ? 'flange' : 'nut', panel.room[face]];
      const what = joined[face] === 'nothing' ? part : `${part} and ${joined[face]}`;
      return [`${length(out)} ${face} (${what})${free === null ? '' : ` of ${length(free)} free`}`];
    });
    return sides.length > 0 ? [`${name} stands out ${sides.join(', ')}${isTypical ? '; typical, from memory' : ''}.`] : [];
  });
}

/** "450 mm x 400 mm annealed glass, 10 mm thick" */
export function panelWords({ bounds, panel, units }: Plan): string {
  const length = (mm: number) => formatLength(mm, units);
  return `${length(bounds.right - bounds.left)} x ${length(bounds.top - bounds.bottom)} ${panel.material}, ${length(panel.thickness)} thick`;
}

/** A table of the holes, titles first: where each is, its verdict and its least ligament. */
export function holeRows(plan: Plan, report: Report): string[][] {
  const length = (mm: number) => formatLength(mm, plan.units);
  const findings = new Map<string, Finding[]>();
  for (const finding of report.findings) {
    const list = findings.get(finding.hole);
    if (list) list.push(finding);
    else findings.set(finding.hole, [finding]);
  }
  const rows = plan.holes.map((hole) => [
    hole.name,
    length(hole.diameter),
    ...hole.offsets.map((offset) => `${length(offset.mm)} from ${offset.from}`),
    hole.fitting ?? '',
    report.byHole.get(hole.name) ?? '',
    leastLigament(findings.get(hole.name) ?? [], plan.units),
  ]);
  return [['hole', 'drill', 'across', 'up', 'fitting', 'verdict', 'least ligament'], ...rows];
}

function leastLigament(findings: readonly Finding[], units: Unit): string {
  const ligaments = findings.filter((finding) => finding.rule === 'to-edge' || finding.rule === 'to-corner' || finding.rule === 'between-holes');
  if (ligaments.length === 0) return '';
  const least = ligaments.reduce((a, b) => ((b.measured as number) < (a.measured as number) ? b : a));
  return `${formatLength(least.measured as number, units)} to ${least.other}`;
}

/** Two columns more for {@link holeRows}. A hole that is refused for another reason than its place is told no drift. */
export function marginColumns({ holes, units }: Plan, { margins, byHole }: Report): string[][] {
  const rows = holes.map(({ name }, index) => {
    const margin = margins[index];
    if (!margin) return ['', ''];
    const isRefused = margin.drift > 0 && byHole.get(name) === 'refused';
    return [ratioWords(margin.ratio, ' times'), isRefused ? '' : driftWords(margin.drift, units)];
  });
  return [['margin', 'drift'], ...rows];
}

/** A share of the minimum, rounded down: no margin is told larger than it is. */
function ratioWords(ratio: number | null, times = ''): string {
  return ratio === null ? '' : ratio <= 0 ? 'none' : `${plainNumber(roundDown(ratio, 0.01), 2)}${times}`;
}

/** A drift of the bit, rounded down to what can be set out. */
function driftWords(drift: number, units: Unit): string {
  const down = roundDownToStep(drift, units);
  return down === 0 ? 'none' : formatLength(down, units);
}

/** The least margin of a panel in a sentence; empty where nothing is drilled. */
export function marginWords({ panel, units }: Plan, { margin, byHole }: Report): string {
  if (!margin) return '';
  const { ratio, hole, rule, other, drift, driftHole, driftRule, driftOther } = margin;
  const ligament = `ligament to ${other}`;
  const least = ratio === null ? '' : `${hole} has the least margin: ${ratio <= 0 ? `no ${ligament} is left` : `${ratioWords(ratio)} times the minimum (${ligament})`}; `;
  const isSame = driftHole === hole && driftRule === rule && driftOther === other;
  const isLigament = ligamentRules.includes(driftRule);
  const who = driftHole === hole ? 'it' : driftHole;
  if (roundDownToStep(drift, units) === 0) return `${least}${who} bears no drilling off its place${isSame ? '' : ` (${isLigament ? 'ligament' : 'hole or part'} to ${driftOther})`}.`;
  const until = isSame ? '' : isLigament ? `, until its ligament to ${driftOther} is at the minimum` : `, until hole or part meets ${driftRule === 'between-parts' ? 'that of ' : ''}${driftOther}`;
  const besides = panel.placement > 0 ? ` besides the ${formatLength(panel.placement, units)} of placement` : '';
  const but = byHole.get(driftHole) === 'refused' ? '; but it is refused for what the findings tell' : '';
  const bears = driftHole === hole ? `it bears drilling ${driftWords(drift, units)} off its place` : `${driftHole} bears drilling off its place least: ${driftWords(drift, units)}`;
  return `${least}${bears}${besides}${until}${but}.`;
}

/** What a finding says, how to mend it, and who says so. @param placement the tolerance taken off what is measured, mm */
export function findingLines(finding: Finding, units: Unit, placement = 0): [what: string, fix: string, source: string] {
  const { measure } = finding;
  const amount = (value: number | string) => (typeof value === 'number' ? (measure ? amountOf(value, measure, units) : formatLength(value, units)) : value);
  const other = finding.other ? ` (${finding.other})` : '';
  // A measure that is short by less than the last digit is told with more digits.
  const isClose = finding.verdict !== 'clear' && typeof finding.measured === 'number' && amount(finding.measured) === amount(finding.needed);
  const measured = !isClose ? amount(finding.measured) : measure ? `hardly ${upperRules.has(finding.rule) ? 'more' : 'less'}` : `${plainNumber(finding.measured as number, 4)} mm`;
  const needed = upperRules.has(finding.rule) ? `at most ${amount(finding.needed)}` : `${amount(finding.needed)} needed`;
  const times = placement > 0 ? (timesPlaced[finding.rule] ?? 0) : 0;
  const taken = times > 0 ? `, ${amount(times * placement)} of placement taken off` : '';
  return [`${finding.verdict}: ${finding.hole}: ${ruleTitles[finding.rule]}${other}: ${measured} measured${taken}, ${needed}`, `${finding.move ? 'fix, for this rule alone' : 'fix'}: ${finding.fix}`, `source: ${finding.source}`];
}

/** A number of a finding that is no length, with its unit. */
function amountOf(value: number, { of, unit }: Measure, units: Unit): string {
  return { flow: () => formatFlow(value, unit), volume: () => formatVolume(value, unit), speed: () => formatSpeed(value, unit), head: () => formatHead(value, units) }[of]();
}

/** Units of a program's findings that are no lengths, and how much of ours is one of each. */
const jsonUnits: Readonly<Record<Measure['of'], { readonly unit: string; readonly per: number }>> = {
  flow: { unit: 'L/h', per: flowPer['L/h'] },
  volume: { unit: 'L', per: cubicMillimetresPer.L },
  speed: { unit: 'm/s', per: 1000 },
  head: { unit: 'mm', per: 1 },
};

/** A finding for programs: lengths and heads in mm, else with its unit. */
export function findingJson({ measure, ...finding }: Finding): object {
  if (!measure) return finding;
  const { unit, per } = jsonUnits[measure.of];
  const told = <T>(value: T) => (typeof value === 'number' ? value / per : value);
  const { measured, needed, floor, good } = finding;
  return { ...finding, measured: told(measured), needed: told(needed), floor: told(floor), good: told(good), unit };
}

/** The findings that are not clear, the refused first. */
export function faultyFindings<F extends Finding>({ findings }: { readonly findings: readonly F[] }): F[] {
  return [...findings.filter((finding) => finding.verdict === 'refused'), ...findings.filter((finding) => finding.verdict === 'tight')];
}
