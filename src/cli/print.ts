import type { Plan } from '../plan/plan.ts';
import { faultyFindings, findingLines, holeRows, panelWords, type Report } from '../report.ts';

/** The report as a table for people. */
export function reportTable(plan: Plan, report: Report): string {
  const faulty = faultyFindings(report);
  return [
    plan.title,
    `${panelWords(plan)}; drilled from ${plan.face}; left and right as seen from outside; fingerprint ${report.fingerprint}`,
    '',
    ...columns(holeRows(plan, report)),
    ...(faulty.length > 0 ? [''] : []),
    ...faulty.flatMap((finding) => {
      const [what, fix, source] = findingLines(finding, plan.units);
      return [what, `    ${fix}`, `    ${source}`];
    }),
    ...(report.notes.length > 0 ? ['', ...report.notes.map((note) => `note: ${note}`)] : []),
    '',
    `verdict: ${report.verdict}`,
    'Limits are published minimums, not a promise: glass can break at any of them. Follow local codes.',
  ].join('\n');
}

function columns(rows: readonly (readonly string[])[]): string[] {
  const widths = (rows[0] ?? []).map((_, column) => rows.reduce((most, row) => Math.max(most, (row[column] ?? '').length), 0));
  return rows.map((row) => row.map((cell, column) => cell.padEnd(widths[column] ?? 0)).join('  ').trimEnd());
}

/** The report for programs: millimetres, rounded to 0.0001. */
export function reportJson(plan: Plan, report: Report): string {
  const rounded = (_key: string, value: unknown) => (typeof value === 'number' ? Math.round(value * 1e4) / 1e4 : value);
  const { verdict, fingerprint, findings, notes } = report;
  return JSON.stringify({ verdict, title: plan.title, fingerprint, findings, notes }, rounded, 2);
}
