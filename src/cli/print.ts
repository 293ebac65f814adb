import { ruleTitles, type Finding } from '../geometry/check.ts';
import type { Plan } from '../plan/plan.ts';
import type { Report } from '../report.ts';
import { formatLength, type Unit } from '../trade/units.ts';

/** The report as a table for people. */
export function reportTable(plan: Plan, report: Report): string {
  const { units } = plan;
  const { bounds, panel } = plan;
  const length = (mm: number) => formatLength(mm, units);
  const rows = plan.holes.map((hole) => {
    const own = report.findings.filter((finding) => finding.hole === hole.name);
    return [hole.name, length(hole.diameter), ...hole.offsets.map((offset) => `${length(offset.mm)} from ${offset.from}`), report.byHole.get(hole.name) ?? '', leastLigament(own, units)];
  });
  const faulty = report.findings.filter((finding) => finding.verdict !== 'clear');
  return [
    plan.title,
    `${length(bounds.right - bounds.left)} x ${length(bounds.top - bounds.bottom)}, ${panel.material}, ${length(panel.thickness)} thick; drilled from ${plan.face}, seen from outside; fingerprint ${report.fingerprint}`,
    '',
    ...columns([['hole', 'drill', 'across', 'up', 'verdict', 'least ligament'], ...rows]),
    ...(faulty.length > 0 ? ['', ...faulty.flatMap((finding) => findingLines(finding, units))] : []),
    ...(report.notes.length > 0 ? ['', ...report.notes.map((note) => `note: ${note}`)] : []),
    '',
    `verdict: ${report.verdict}`,
    'Limits are published minimums, not a promise: glass can break at any of them. Follow local codes.',
  ].join('\n');
}

function findingLines(finding: Finding, units: Unit): string[] {
  const amount = (value: number | string) => (typeof value === 'number' ? formatLength(value, units) : value);
  const other = finding.other ? ` (${finding.other})` : '';
  return [
    `${finding.verdict}: ${finding.hole}: ${ruleTitles[finding.rule]}${other}: ${amount(finding.measured)} measured, ${amount(finding.needed)} needed`,
    `    fix: ${finding.fix}`,
    `    source: ${finding.source}`,
  ];
}

function leastLigament(findings: readonly Finding[], units: Unit): string {
  const ligaments = findings.filter((finding) => finding.rule === 'to-edge' || finding.rule === 'to-corner' || finding.rule === 'between-holes');
  if (ligaments.length === 0) return '';
  const least = ligaments.reduce((a, b) => ((b.measured as number) < (a.measured as number) ? b : a));
  return `${formatLength(least.measured as number, units)} to ${least.other}`;
}

function columns(rows: readonly (readonly string[])[]): string[] {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => (row[column] ?? '').length)));
  return rows.map((row) => row.map((cell, column) => cell.padEnd(widths[column] ?? 0)).join('  ').trimEnd());
}

/** The report for programs: millimetres, rounded to 0.0001. */
export function reportJson(plan: Plan, report: Report): string {
  const rounded = (_key: string, value: unknown) => (typeof value === 'number' ? Math.round(value * 1e4) / 1e4 : value);
  const { verdict, fingerprint, findings, notes } = report;
  return JSON.stringify({ verdict, title: plan.title, fingerprint, findings, notes }, rounded, 2);
}
