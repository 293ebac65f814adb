import { makeJig, type JigOfPanel } from '../jig.ts';
import { buildList, listRows, type List } from '../list.ts';
import type { BuildOfText } from '../plan/build.ts';
import { checkBuild } from '../report.ts';
import { buildWords, pagesBefore } from '../set.ts';
import { checkWater } from '../water.ts';
import { csvText } from './csv.ts';
import { Stop } from './files.ts';
import { loadTypesetter } from './fonts.ts';
import { columns, toJson } from './print.ts';

export interface ListOptions {
  readonly json?: boolean;
  readonly csv?: boolean;
}

/** Prints what a build needs. Returns the exit code: 0 where panels are refused too, as a list is a count and no verdict. */
export async function printList({ build }: BuildOfText, { json, csv }: ListOptions): Promise<number> {
  if (json && csv) throw new Stop(2, '--json and --csv: a list is printed in one form\n    accepted: --json, --csv, or neither for a table\n    fix: leave one of them out');
  const unit = json ? 'mm' : build.units;
  const checked = checkBuild(build);
  const setter = await loadTypesetter(buildWords(build));
  const jigs = checked.flatMap(({ plan, report }): JigOfPanel[] => {
    const jig = report.verdict === 'refused' ? null : makeJig(plan, report, setter);
    return jig && 'layout' in jig ? [{ plan, report, jig }] : [];
  });
  const before = pagesBefore(build, checked, checkWater(build), jigs, setter);
  const list = buildList(build, checked, jigs, before.length, unit);
  process.stdout.write(json ? `${toJson({ title: build.title, ...list })}\n` : csv ? csvText(csvRows(list)) : `${listTable(build.title, list)}\n`);
  return 0;
}

/** The rows for a spreadsheet; notes are rows too, so that they are not lost on the way. */
function csvRows(list: List): string[][] {
  return [...listRows(list), ...list.notes.map((note) => ['note', note, '', '', ''])];
}

/** The list for people: the name of a group once, a line left free between groups, counts with their ends in line. */
function listTable(title: string, list: List): string {
  const widest = list.rows.reduce((most, { count }) => Math.max(most, String(count).length), 'count'.length);
  const rows = listRows(list).map(([group, item = '', count = '', ...rest]) => [group ?? '', item, count.padStart(widest), ...rest]);
  const isFirst = (index: number) => rows[index]?.[0] !== rows[index - 1]?.[0];
  const lines = columns(rows.map(([group = '', ...cells], index) => [isFirst(index) ? group : '', ...cells]));
  return [title, '', ...lines.flatMap((one, index) => (index > 0 && isFirst(index) ? ['', one] : [one])), '', ...list.notes.map((note) => `note: ${note}`)].join('\n');
}
