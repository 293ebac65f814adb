import { allowedPlaces } from '../geometry/allowed.ts';
import { worst, type Finding, type Verdict } from '../geometry/finding.ts';
import type { Level } from '../geometry/obstacles.ts';
import type { Build } from '../plan/build.ts';
import { areaSizes, otherPlaces, placeLines, type Place } from '../places.ts';
import { faultyFindings, findingJson, findingLines, holeRows, marginWords, panelWords, verdictOf, type Checked } from '../report.ts';
import { formatFlow, formatHead } from '../trade/flow.ts';
import type { Unit } from '../trade/units.ts';
import { waterCautions } from '../trade/water.ts';
import { waterJson, waterTables, waterVerdictWords, type WaterReport } from '../water.ts';

/** The worst verdict of all panels and of the water. */
export function verdictOfAll(checked: readonly Checked[], water: WaterReport | null): Verdict {
  return worst([verdictOf(checked), ...(water ? [water.verdict] : [])]);
}

/** The report of all panels as tables for people, and what is said of the water. */
export function buildTable(checked: readonly Checked[], water: WaterReport | null): string {
  const isAlone = checked.length === 1;
  return [
    ...checked.flatMap((one) => [...panelTable(one), '']),
    ...(isAlone ? [] : columns([['panel', 'make', 'holes', 'verdict'], ...checked.map(({ plan, report }) => [plan.part, String(plan.quantity), String(plan.holes.length), report.verdict])]).concat('')),
    ...(water ? [`${waterVerdictWords(water)} See panejig flow.`, ...findingsText(faultyFindings({ findings: water.findings.filter(({ part }) => part === null) }), water.system.units), ''] : []),
    `verdict: ${verdictOfAll(checked, water)}`,
    'Limits are published minimums, not a promise: glass can break at any of them. Follow local codes.',
  ].join('\n');
}

function panelTable({ plan, report }: Checked): string[] {
  const faulty = faultyFindings(report);
  const margin = marginWords(plan, report);
  const places = placeLines(plan, report);
  return [
    plan.title,
    `${panelWords(plan)}; drilled from ${plan.face}; left and right as seen from outside; fingerprint ${report.fingerprint}${plan.quantity > 1 ? `; make ${plan.quantity}` : ''}`,
    ...(plan.standing ? [plan.standing] : []),
    '',
    ...columns(holeRows(plan, report)),
    ...(margin ? ['', margin] : []),
    ...(faulty.length > 0 ? [''] : []),
    ...findingsText(faulty, plan.units, plan.panel.placement),
    ...(places.length > 0 ? [''] : []),
    ...places.flatMap(([first = '', ...rest]) => [rest.length > 0 ? `nearest place for ${first}` : first, ...rest.map((words) => `    ${words}`)]),
    ...(report.notes.length > 0 ? ['', ...report.notes.map((note) => `note: ${note}`)] : []),
  ];
}

function findingsText(findings: readonly Finding[], units: Unit, placement = 0): string[] {
  return findings.flatMap((finding) => {
    const [what, fix, source] = findingLines(finding, units, placement);
    return [what, `    ${fix}`, `    ${source}`];
  });
}

/** All that is known of the water, as tables for people. */
export function waterTable(title: string, water: WaterReport): string {
  const { system, balance, findings, notes } = water;
  const { solution } = balance.supply;
  return [
    `${title}: flow of water, an estimate for planning`,
    ...(solution.kind === 'flows' ? [`The pump gives ${formatFlow(solution.flow, system.flowUnit)}${balance.supply.curve ? `, ${formatHead(solution.head, system.units)} of head at the pipes` : ''}.`] : []),
    ...waterTables(water).flatMap(({ heading, rows, words }) => ['', heading, ...columns(rows), ...words]),
    ...['', ...findingsText(faultyFindings({ findings }), system.units)],
    ...notes.map((note) => `note: ${note}`),
    '',
    waterVerdictWords(water),
    ...waterCautions,
  ].join('\n');
}

/** Rows in columns, as wide as their widest cell. */
export function columns(rows: readonly (readonly string[])[]): string[] {
  const widths = (rows[0] ?? []).map((_, column) => rows.reduce((most, row) => Math.max(most, (row[column] ?? '').length), 0));
  return rows.map((row) => row.map((cell, column) => cell.padEnd(widths[column] ?? 0)).join('  ').trimEnd());
}

/** For programs: millimetres, rounded to 0.0001. */
export function toJson(value: unknown): string {
  return JSON.stringify(value, (_key: string, part: unknown) => (typeof part === 'number' ? Math.round(part * 1e4) / 1e4 : part), 2);
}

/** The report of all panels for programs. */
export function buildJson(build: Build, checked: readonly Checked[], water: WaterReport | null): string {
  return toJson({ verdict: verdictOfAll(checked, water), title: build.title, panels: checked.map((one) => panelJson(one, build.title)), ...(water ? { water: waterJson(water) } : {}) });
}

function panelJson({ plan, report }: Checked, title: string) {
  const { verdict, fingerprint, margin, margins, byHole, findings, notes } = report;
  const allowed = allowedPlaces(plan.panel, plan.holes);
  const [areas, others] = [areaSizes(plan, allowed), otherPlaces(plan, report, allowed)];
  return {
    name: plan.part || title,
    quantity: plan.quantity,
    verdict,
    fingerprint,
    placement: plan.panel.placement,
    area: allowed.panelSize,
    margin,
    holes: plan.holes.map(({ name }, index) => ({ name, verdict: byHole.get(name), margin: margins[index], allowed: areas?.[index] ?? null, nearest: nearestJson(others.get(name) ?? []) })),
    findings: findings.map(findingJson),
    notes,
  };
}

/** The nearest places by level; null where none was sought. */
function nearestJson(places: readonly Place[]) {
  const of = (level: Level) => {
    const found = places.find((one) => one.level === level);
    if (!found) return null;
    if ('noRoom' in found) return { place: null, short: found.noRoom.short, narrower: found.noRoom.narrower, between: found.noRoom.between.map(({ rule, name }) => ({ rule, other: name })) };
    const { center, exact, move, step, offsets } = found.place;
    return { place: center, exact, move, step, distances: Object.fromEntries(offsets.map(({ from, mm }) => [`from-${from}`, mm])) };
  };
  return { minimum: of('minimum'), goodPractice: of('good practice') };
}
