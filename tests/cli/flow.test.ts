/** The flow command, and what check, template and list make of the water, as a user runs them. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PDFDocument } from 'pdf-lib';
import { describe, expect, it } from 'vitest';
import { waterCautions } from '../../src/trade/water.ts';
import { openPdf, wordsOf } from '../printed/measure.ts';
import { commandIn, expectError } from './command.ts';

const { folder, run, file } = commandIn('flow');

/** A panel by itself with a drain and a spare, over a sump. */
function pond({ flow = '300 gph', drain = '{hole: drain, runs: full siphon, pipe: 1 in, drop: 30, length: 40, elbows: 2, opening-from-top: 7}', fitting = 'bulkhead 1 in', opening = 1, top = 14, water = true } = {}): string {
  return `title: Duckweed pond, end panel
units: in
panel: {material: acrylic, width: 30, height: 16, thickness: 3/8}
holes:
  - {name: return, fitting: bulkhead 3/4 in, from-left: 5, from-top: 4}
  - {name: drain, fitting: ${fitting}, from-left: 13, from-top: 5}
  - {name: spare, fitting: bulkhead 1 in, from-left: 20, from-top: 5}
${water ? `water:
  reserve: 0 %
  pump: {flow: ${flow}}
  tanks:
    pond:
      inside: {length: 40, width: 20, height: 16}
      returns: [{hole: return, opening-from-top: ${opening}}]
      drains:
        - ${drain}
        - {hole: spare, runs: full siphon, spare: true, drop: 30, length: 40, opening-from-top: 3}
      weirs: [{name: notch, crest-from-top: 2, length: 12}]
  sump: {length: 24, width: 12, working-level: 8, top-level: ${top}}
` : ''}sheets: {paper: Letter}
`;
}

const jsonOf = (path: string, status = 0) => {
  const ran = run('flow', path, '--json');
  expect({ status: ran.status, stderr: ran.stderr }).toEqual({ status, stderr: '' });
  return JSON.parse(ran.stdout) as { verdict: string; pump: { flow: number }; tanks: { name: string; inflow: number; drains: { name: string; flow: number; carries: number; pipe: string }[] }[]; findings: { rule: string; hole: string; part: string | null; verdict: string; measured: number; unit?: string }[]; powerFails: { total: number; free: number } };
};

describe('panejig flow', () => {
  it('tells the flow of each hole in the units of the spec, with the cautions', () => {
    const { status, stdout, stderr } = run('flow', file('pond.yaml', pond()));
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(stdout).toMatch(/^Duckweed pond, end panel: flow of water, an estimate for planning\n/);
    expect(stdout).toMatch(/^drain +pond +full siphon +1 in schedule 40 +300 gph +\d+ gph +\d+ % +clear$/m);
    expect(stdout).toMatch(/^spare +pond +full siphon, spare +1 in schedule 40 +0 gph/m);
    for (const caution of waterCautions) expect(stdout).toContain(caution);
    expect(stdout).not.toMatch(/ $/m);
  });

  it('writes its pages on office paper where the sheets are for a plotter: Letter, as the spec is in inches', async () => {
    const path = file('plotter.yaml', pond().replace('paper: Letter', 'paper: 24 x 36 in'));
    expect(run('flow', path, '-o', join(folder, 'plotter.pdf')).status).toBe(0);
    const [page] = (await PDFDocument.load(readFileSync(join(folder, 'plotter.pdf')))).getPages();
    expect(page?.getSize()).toEqual({ width: expect.closeTo(8.5 * 72, 6), height: expect.closeTo(11 * 72, 6) });
  });

  it('prints JSON in litres and millimetres: 300 gph are 1135.6 L/h', () => {
    const { pump, tanks, powerFails } = jsonOf(file('pond.yaml', pond()));
    // NIST Handbook 44, appendix C: 1 US gal = 3.785411784 L.
    expect(pump.flow).toBeCloseTo(300 * 3.785411784, 3);
    expect(tanks[0]?.drains.map(({ name, flow }) => [name, flow])).toEqual([['drain', expect.closeTo(1135.6235, 3)], ['spare', 0]]);
    // 24 by 12 by 6 in, 1728 in³ or 28.3168 L.
    expect(powerFails.free).toBeCloseTo(28.3168, 3);
  });

  it('exits 1 where a drain carries too little, and check refuses its hole', () => {
    const path = file('small.yaml', pond({ flow: '2000 gph' }));
    expect(jsonOf(path, 1).findings.find(({ rule }) => rule === 'drain-capacity')).toMatchObject({ verdict: 'refused', hole: 'drain', unit: 'L/h' });
    const checked = run('check', path);
    expect(checked.status).toBe(1);
    expect(checked.stdout).toMatch(/^refused: drain: what the drains carry, against the inflow and reserve \(pond\): \d+ gph measured, 2000 gph needed$/m);
    expect(run('template', path).status).toBe(1);
    expect(existsSync(join(folder, 'out/small.pdf'))).toBe(false);
  });

  it('exits 1 without a hole to blame where the sump is too small, and the jig is made', () => {
    const path = file('low.yaml', pond({ top: 8.1 }));
    expect(jsonOf(path, 1).findings.find(({ rule }) => rule === 'run-back')).toMatchObject({ verdict: 'refused', hole: 'sump', part: null });
    const made = run('template', path);
    expect(made.status).toBe(1);
    expect(made.stdout).toMatch(/^Flow verdict: refused\./m);
    expect(existsSync(join(folder, 'out/low.pdf'))).toBe(true);
  });

  it('chooses a bulkhead, and its hole goes through the check', () => {
    const open = '{hole: drain, runs: full siphon, drop: 30, length: 40, elbows: 2, opening-from-top: 7}';
    const sizes = ['100 gph', '600 gph', '1200 gph', '2500 gph'].map((flow) => jsonOf(file('open.yaml', pond({ flow, fitting: 'bulkhead', drain: open }))).tanks[0]?.drains[0]?.pipe);
    expect(new Set(sizes).size).toBeGreaterThan(2);
    const [size = ''] = /^\S+ in/.exec(sizes[1] ?? '') ?? [];
    expect(run('check', file('open.yaml', pond({ flow: '600 gph', fitting: 'bulkhead', drain: open }))).stdout).toMatch(new RegExp(`^drain .* bulkhead ${size} `, 'm'));
  });

  it('writes its pages, and is told what it cannot do', async () => {
    const path = file('pond.yaml', pond());
    expect(run('flow', path, '-o', 'pond-flow.pdf').status).toBe(0);
    const pdf = await openPdf(new Uint8Array(readFileSync(join(folder, 'pond-flow.pdf'))));
    const words = await wordsOf({ pdf }, 1);
    for (const said of ['Flow of water, an estimate for planning', 'Flow verdict: clear', 'spare drain, and test with water', 'notch']) expect(words.replaceAll('\n', ' ')).toContain(said);
    expectError(run('flow', file('dry.yaml', pond({ water: false }))), 2, /says nothing of its water[^]*accepted: [^]*fix: /);
    expectError(run('flow', path, '-o', path), 2, /is the spec itself/);
    expect(run('flow', '--help').stdout).toContain('licensed people');
  });
});

describe('the water beside the jigs', () => {
  it('stands after the front pages of a panel, and is counted by the list', async () => {
    const path = file('pond.yaml', pond());
    expect(run('template', path).status).toBe(0);
    const pages = async (name: string) => (await PDFDocument.load(readFileSync(join(folder, name)))).getPageCount();
    const withWater = await pages('out/pond.pdf');
    expect(run('template', file('dry.yaml', pond({ water: false }))).status).toBe(0);
    expect(run('flow', path, '-o', 'alone.pdf').status).toBe(0);
    expect(withWater).toBe((await pages('out/dry.pdf')) + (await pages('alone.pdf')));
    const rows = (JSON.parse(run('list', path, '--json').stdout) as { rows: { group: string; count: number }[] }).rows;
    expect(rows.find(({ group }) => group === 'paper')?.count).toBe(withWater);
  });

  it('is told in check, in words and JSON', () => {
    const path = file('deep.yaml', pond({ opening: 9 }));
    const { stdout, status } = run('check', path);
    expect(status).toBe(1);
    expect(stdout).toMatch(/^refused: return: water that runs back when the power fails \(pond\): [\d.]+ gal measured, at most [\d.]+ gal\n {4}fix: let return of pond open at most /m);
    const json = JSON.parse(run('check', path, '--json').stdout) as { verdict: string; panels: { findings: { rule: string; unit?: string; measured: number }[] }[]; water: { verdict: string } };
    expect([json.verdict, json.water.verdict]).toEqual(['refused', 'refused']);
    expect(json.panels[0]?.findings.find(({ rule }) => rule === 'run-back')).toMatchObject({ unit: 'L' });
    expect(JSON.parse(run('check', file('dry.yaml', pond({ water: false })), '--json').stdout)).not.toHaveProperty('water');
  });

  it('has a file of its own with --each', () => {
    const spec = readFileSync(new URL('../../templates-spec/fern-terrace.yaml', import.meta.url), 'utf8');
    const { status, stdout } = run('template', file('terrace.yaml', spec), '--each');
    expect(status).toBe(0);
    expect(stdout).toMatch(/^out\/terrace-flow\.pdf: the flow of water$/m);
    expect(existsSync(join(folder, 'out/terrace-flow.pdf'))).toBe(true);
  });
});
