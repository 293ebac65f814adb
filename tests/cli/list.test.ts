/** The list command as a user runs it: the built dist/cli/main.js in a process of its own. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { PDFDocument } from 'pdf-lib';
import { describe, expect, it } from 'vitest';
import type { ListRow } from '../../src/list.ts';
import { commandIn } from './command.ts';

const { folder, run, file } = commandIn('list');

/** A moss wall's trays; the tap's fitting bears the given name. */
function trays({ fitting = 'tap bulkhead', fromLeft = 100, quantity = 3 } = {}): string {
  return `title: Moss wall, trays
units: mm
fittings:
  ${JSON.stringify(fitting)}: {hole: [28, 30], flange: 45, nut: 42}
panel: {material: acrylic, width: 400, height: 160, thickness: 5, quantity: ${quantity}}
holes:
  - {name: tap, fitting: ${JSON.stringify(fitting)}, from-left: ${fromLeft}, from-top: 80}
  - {name: cable, diameter: 20, from-left: 250, from-top: 80}
`;
}

const csvOf = (path: string) => {
  const { status, stdout, stderr } = run('list', path, '--csv');
  expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
  return { stdout, rows: parse(stdout, { record_delimiter: '\r\n' }) as string[][] };
};
const jsonOf = (path: string) => {
  const { status, stdout, stderr } = run('list', path, '--json');
  expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
  return JSON.parse(stdout) as { title: string; rows: ListRow[]; notes: string[] };
};

describe('the table', () => {
  it('groups what is needed, names each group once, and ends with notes', () => {
    const { status, stdout, stderr } = run('list', file('trays.yaml', trays()));
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(stdout).toMatch(/^Moss wall, trays\n\ngroup +item +count +unit +detail\n/);
    expect(stdout).toMatch(/^panels +panel +3 +piece +400 mm x 160 mm acrylic, 5 mm thick$/m);
    expect(stdout).toMatch(/^fittings +tap bulkhead +3 +piece /m);
    expect(stdout).toMatch(/^bits .*\n {2,}hole saw, \d/m);
    expect(stdout).toMatch(/^note: Holes with a diameter and no fitting: 3\./m);
    expect(stdout.match(/^bits /gm)).toHaveLength(1);
    expect(stdout).not.toMatch(/ $/m);
  });

  it.each([
    ['a panel', trays({ quantity: 1 })],
    ['a build, with its contents', `${trays({ quantity: 1 }).replace('panel: {', 'panels:\n  front: {').replace('quantity: 1}\nholes:', 'holes: [{name: tap, diameter: 20, from-left: 100, from-top: 80}]}').replace(/ {2}- [^]*/, '')}  side: {material: acrylic, width: 300, height: 160, thickness: 5, holes: [{name: tap, diameter: 20, from-left: 100, from-top: 80}]}\n`],
  ])('counts the pages that the jigs of %s are printed on', async (_what, spec) => {
    const path = file('once.yaml', spec);
    expect(run('template', path).status).toBe(0);
    const pages = (await PDFDocument.load(readFileSync(join(folder, 'out/once.pdf')))).getPageCount();
    expect(jsonOf(path).rows.filter(({ group }) => group === 'paper').map(({ item, count }) => [item, count])).toEqual([['A4', pages]]);
  });

  it('is the same for the same spec', () => {
    const path = file('trays.yaml', trays());
    expect(run('list', path).stdout).toBe(run('list', path).stdout);
  });
});

describe('exit codes', () => {
  it('0 where a panel is refused, as a list is no verdict; a note says so in every form', () => {
    const path = file('refused.yaml', trays({ fromLeft: 18 }));
    expect(run('check', path).status).toBe(1);
    const { status, stdout } = run('list', path);
    expect(status).toBe(0);
    expect(stdout).toMatch(/^note: the panel: refused\. Do not drill it: see panejig check\./m);
    expect(jsonOf(path).notes[0]).toMatch(/refused\. Do not drill it/);
    expect(csvOf(path).rows.find(([group]) => group === 'note')?.[1]).toMatch(/refused\. Do not drill it/);
  });

  it('2 for both forms at once, with what to do', () => {
    const { status, stdout, stderr } = run('list', file('trays.yaml', trays()), '--json', '--csv');
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
    expect(stderr).toMatch(/^--json and --csv: [^\n]+\n {4}accepted: [^\n]+\n {4}fix: leave one of them out\n$/);
  });

  it('2 for a spec with problems and for an unknown option, 3 for a file that is not there', () => {
    const slip = run('list', file('slip.yaml', trays().replace('flange', 'flnage')));
    expect(slip).toMatchObject({ status: 2, stdout: '' });
    expect(slip.stderr).toMatch(/slip\.yaml:4:\d+: [^]*fix: did you mean flange\?/);
    expect(run('list', file('trays.yaml', trays()), '--tsv')).toMatchObject({ status: 2, stdout: '' });
    expect(run('list', join(folder, 'nowhere.yaml'))).toMatchObject({ status: 3, stdout: '' });
  });
});

describe('--json', () => {
  it('is one object of title, rows and notes', () => {
    const { title, rows, notes, ...rest } = jsonOf(file('trays.yaml', trays()));
    expect([title, rest]).toEqual(['Moss wall, trays', {}]);
    for (const row of rows) expect(Object.keys(row)).toEqual(['group', 'item', 'count', 'unit', 'detail']);
    expect(rows.find(({ group }) => group === 'fittings')).toEqual({ group: 'fittings', item: 'tap bulkhead', count: 3, unit: 'piece', detail: 'for a hole of 28 mm to 30 mm' });
    expect(notes.length).toBeGreaterThan(0);
  });

  it('tells sizes in millimetres whatever the units of the spec', () => {
    const inches = jsonOf(file('inches.yaml', 'title: Moss wall, shelf\nunits: in\npanel: {material: acrylic, width: 16, height: 8, thickness: 1/4}\nholes: [{name: cable, diameter: 1-3/4, from-left: 8, from-top: 4}]\n'));
    expect(inches.rows.filter(({ group }) => group === 'panels' || group === 'bits').map(({ item, detail }) => [item, detail])).toEqual([
      ['panel', '406.4 mm x 203.2 mm acrylic, 6.35 mm thick'],
      ['hole saw, 44.45 mm', 'own or to buy; 1 through 6.35 mm acrylic'],
    ]);
  });
});

describe('--csv', () => {
  it('has titles, a row for each thing, then the notes, each of five cells', () => {
    const path = file('trays.yaml', trays());
    const { rows, stdout } = csvOf(path);
    const { rows: things, notes } = jsonOf(path);
    expect(rows[0]).toEqual(['group', 'item', 'count', 'unit', 'detail']);
    expect(rows.slice(1)).toEqual([...things.map(({ group, item, count, unit, detail }) => [group, item, String(count), unit, detail]), ...notes.map((note) => ['note', note, '', '', ''])]);
    // RFC 4180, section 2, rule 1: each line ends with CR LF.
    expect(stdout.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
  });

  it.each([
    ['tap, "long" neck', 'tap, "long" neck'],
    ['=cmd|\' /C calc\'!A0', '\'=cmd|\' /C calc\'!A0'],
    ['=HYPERLINK("http://moss.example","tap")', '\'=HYPERLINK("http://moss.example","tap")'],
    ['+1 tap', "'+1 tap"],
    ['-1 tap', "'-1 tap"],
    ['@tap', "'@tap"],
    [' =tap', "'=tap"],
    ['tap\nof\r\ntwo lines', 'tap of two lines'],
    ['Zapfhahn ½" 水', 'Zapfhahn ½" 水'],
  ])('a fitting called %j stands in its own cell', (fitting, cell) => {
    const { rows } = csvOf(file('named.yaml', trays({ fitting })));
    expect(rows.find(([group]) => group === 'fittings')).toEqual(['fittings', cell, '3', 'piece', 'for a hole of 28 mm to 30 mm']);
    expect(rows.every((row) => row.length === 5)).toBe(true);
  });
});
