/** Builds of several panels as a user checks and prints them: the built dist/cli/main.js in a process of its own. What is on the pages is read by pdf.js. */
import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { openPdf, wordsOf } from '../printed/measure.ts';
import { root } from '../built.ts';
import { commandIn } from './command.ts';

const { folder, run, file, files, digest } = commandIn('build');

/** The words of each page of a PDF. */
async function pagesOf(name: string): Promise<string[]> {
  const pdf = await openPdf(new Uint8Array(readFileSync(join(folder, name))));
  const pages: string[] = [];
  for (let number = 1; number <= pdf.numPages; number += 1) pages.push((await wordsOf({ pdf }, number)).replaceAll('\n', ' '));
  return pages;
}

const clearHole = '{name: drain, diameter: 40, from-left: 150, from-top: 120}';
// 5 mm of glass are left to the edge.
const refusedHole = '{name: inlet, diameter: 40, from-left: 25, from-top: 120}';

/** A spec of three panels; the second is refused, or whichever holes are given. */
function rack({ left = clearHole, right = refusedHole, names = ['west tray', 'east tray', 'lid'], rest = '' } = {}): string {
  return `title: Quarantine rack
units: mm
panels:
  ${names[0]}: {material: annealed glass, width: 320, height: 400, thickness: 8, holes: [${left}]}
  ${names[1]}: {material: annealed glass, width: 320, height: 400, thickness: 8, holes: [${right}]}
  ${names[2]}: {material: acrylic, width: 300, height: 200, thickness: 5, quantity: 4, holes: [{name: feed, diameter: 30, from-left: 150, from-top: 100}]}
${rest}`;
}
const clear = clearHole.replace('drain', 'inlet');

describe('check', () => {
  test('tells each panel, then all of them; one that is refused gives exit 1', () => {
    file('rack.yaml', rack());
    const { status, stdout, stderr } = run('check', 'rack.yaml');
    expect({ status, stderr }).toEqual({ status: 1, stderr: '' });
    const places = ['west tray · Quarantine rack', 'east tray · Quarantine rack', 'lid · Quarantine rack', 'verdict: refused'].map((words) => stdout.indexOf(words));
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(places[0]).toBeGreaterThanOrEqual(0);
    expect(stdout).toMatch(/^west tray +1 +1 +clear$/m);
    expect(stdout).toMatch(/^east tray +1 +1 +refused$/m);
    expect(stdout).toMatch(/^lid +4 +1 +clear$/m);
    expect(stdout).toContain('refused: inlet: ligament to edge (left edge): 5 mm measured, 16 mm needed');
    expect(files()).toEqual(['rack.yaml']);
  });

  test('all clear gives exit 0', () => {
    file('rack.yaml', rack({ right: clear }));
    expect(run('check', 'rack.yaml').status).toBe(0);
  });

  test('--json has the panels by name, each with its findings in millimetres', () => {
    file('rack.yaml', rack().replace('units: mm', 'units: cm').replaceAll(/\d+(?=[,}])/g, (number) => String(Number(number) / 10)).replace('quantity: 0.4', 'quantity: 4'));
    const { status, stdout } = run('check', 'rack.yaml', '--json');
    expect(status).toBe(1);
    const told = JSON.parse(stdout) as { title: string; verdict: string; panels: { name: string; quantity: number; verdict: string; fingerprint: string; findings: { rule: string; verdict: string; measured: unknown }[] }[] };
    expect([told.title, told.verdict]).toEqual(['Quarantine rack', 'refused']);
    expect(told.panels.map(({ name, quantity, verdict }) => [name, quantity, verdict])).toEqual([['west tray', 1, 'clear'], ['east tray', 1, 'refused'], ['lid', 4, 'clear']]);
    expect(told.panels[1]?.findings.filter(({ verdict }) => verdict === 'refused')).toEqual([expect.objectContaining({ rule: 'to-edge', measured: 5 })]);
    expect(new Set(told.panels.map(({ fingerprint }) => fingerprint)).size).toBe(3);
  });

  test('the files that are included lie beside the spec, wherever the command runs', () => {
    file('rack/rack.yaml', rack({ right: clear, rest: 'include: bench/bits.yaml\n' }));
    file('rack/bench/bits.yaml', 'units: mm\nbits: [40]\n');
    const { status, stdout } = run('check', 'rack/rack.yaml');
    expect(status).toBe(0);
    expect(stdout).toContain('note: feed: no bit at hand fits a hole of 30 mm. Buy a hole saw of 30 mm.');
    expect(stdout).not.toContain('drain: no bit');
  });

  test.each([
    ['is not there', undefined, /^rack\.yaml:7:10: include\[0\]: "bits\.yaml": cannot be read: there is no such file[\s\S]*fix: /],
    ['is no text', 'bits: \u0000', /^bits\.yaml:1:1: the file is not text/],
    ['has a slip', 'units: mm\nbits: [wide]\n', /^bits\.yaml:2:8: bits\[0\]: "wide" is not a length/],
    ['is a spec', rack(), /^bits\.yaml:1:1: title: unknown key "title"/],
  ])('a file that %s: exit 2, told by its name and place', (_what, content, words) => {
    file('rack.yaml', rack({ right: clear, rest: 'include: bits.yaml\n' }));
    if (content !== undefined) file('bits.yaml', content);
    for (const command of ['check', 'template']) {
      const before = files();
      const { status, stdout, stderr } = run(command, 'rack.yaml');
      expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
      expect(stderr).toMatch(words);
      expect(files()).toEqual(before);
    }
  });
});

describe('template', () => {
  test('one refused panel: exit 1; the others are written, its own jig is not', async () => {
    file('rack.yaml', rack());
    const { status, stdout, stderr } = run('template', 'rack.yaml');
    expect({ status, stderr }).toEqual({ status: 1, stderr: '' });
    expect(stdout).toContain('east tray: refused, no jig: see panejig check');
    expect(stdout).toContain('verdict: refused');
    expect(files()).toEqual(['out', 'out/rack.pdf', 'rack.yaml']);
    const [contents = '', ...pages] = await pagesOf('out/rack.pdf');
    expect(contents).toContain('east tray');
    expect(contents).toMatch(/east tray [^·]*refused +no jig/);
    expect(pages.length).toBeGreaterThan(0);
    // Every page behind the contents belongs to one of the other two, and both have some.
    for (const words of pages) expect(words).toMatch(/(west tray|lid) · Quarantine rack/);
    for (const part of ['west tray', 'lid']) expect(pages.some((words) => words.includes(`${part} · Quarantine rack`))).toBe(true);
    expect(pages.join(' ')).not.toMatch(/east tray|\binlet\b|DRAFT/);
    expect(pages.join(' ')).toMatch(/\bdrain\b[\s\S]*\bfeed\b/);
  });

  test('all clear: exit 0, all jigs in the order of the spec', async () => {
    file('rack.yaml', rack({ right: clear }));
    expect(run('template', 'rack.yaml').status).toBe(0);
    const pages = (await pagesOf('out/rack.pdf')).slice(1);
    const parts = pages.map((words) => /(west tray|east tray|lid) · Quarantine rack/.exec(words)?.[1] ?? words);
    expect(parts.filter((part, index) => part !== parts[index - 1])).toEqual(['west tray', 'east tray', 'lid']);
  });

  test('all refused: exit 1, the findings, nothing is written', () => {
    file('rack.yaml', rack({ left: refusedHole }).replace('diameter: 30, from-left: 150', 'diameter: 30, from-left: 16'));
    const { status, stdout, stderr } = run('template', 'rack.yaml');
    expect({ status, stderr }).toEqual({ status: 1, stderr: '' });
    expect(stdout).toContain('No jig was written');
    expect(stdout.match(/^refused: /gm)?.length).toBeGreaterThanOrEqual(3);
    expect(files()).toEqual(['rack.yaml']);
  });

  test('a jig of an earlier run that the panel is refused for by now is told, and left as it is', () => {
    file('rack.yaml', rack({ right: clear }));
    run('template', 'rack.yaml', '--each');
    const before = digest('out/rack-east-tray.pdf');
    file('rack.yaml', rack());
    const { status, stdout } = run('template', 'rack.yaml', '--each');
    expect(status).toBe(1);
    expect(stdout.match(/^note: .* is of an earlier run: do not drill by it\.$/gm)).toEqual(['note: out/rack-east-tray.pdf is of an earlier run: do not drill by it.']);
    expect(digest('out/rack-east-tray.pdf')).toBe(before);
    file('rack.yaml', rack({ left: refusedHole }).replace('diameter: 30, from-left: 150', 'diameter: 30, from-left: 16'));
    expect(run('template', 'rack.yaml').stdout.match(/is of an earlier run/g)).toHaveLength(3);
  });

  test('the lengths of all rulers are told, those of boards and masks that lie another way too', async () => {
    for (const name of ['nursery-twins.yaml', 'drawer.yaml']) file(name, readFileSync(join(root, 'templates-spec', name), 'utf8'));
    const { stdout } = run('template', 'nursery-twins.yaml', '--board', '--mask', '-o', 'all.pdf');
    const lengths = (text: string) => [...new Set([...text.matchAll(/across (\d+) mm, down (\d+) mm/g)].map(([, across, down]) => `${across} ${down}`))].sort();
    const onSheets = (await pagesOf('all.pdf')).flatMap((page) => /measure both rulers with a steel rule: .*/.exec(page) ?? []);
    expect(lengths(onSheets.join('\n')).length).toBeGreaterThan(1);
    expect(lengths(/^Print at 100 %.*/m.exec(stdout)?.[0] ?? '')).toEqual(lengths(onSheets.join('\n')));
  });

  test('a panel that no jig can be laid out for is named', () => {
    file('rack.yaml', rack({ right: clear }).replace('width: 300, height: 200', 'width: 19000, height: 19000'));
    const { status, stderr } = run('template', 'rack.yaml');
    expect(status).toBe(2);
    expect(stderr).toMatch(/lid: the panel would need more than \d+ sheets of A4/);
    expect(files()).not.toContain(join('out', 'rack.pdf'));
  });

  test('whatever script the names are in, also those of panels that are not drilled, the contents page sets them', async () => {
    file('rack.yaml', rack({ right: clear, rest: '  水槽の蓋: {material: acrylic, width: 300, height: 200, thickness: 5}\n' }));
    expect(run('template', 'rack.yaml').stdout).not.toContain('no typeface');
    expect((await pagesOf('out/rack.pdf'))[0]).toContain('水槽の蓋');
  });

  test('--draft: a jig of the refused panel too, struck DRAFT on every sheet, and still exit 1', async () => {
    file('rack.yaml', rack());
    const { status, stdout } = run('template', 'rack.yaml', '--draft');
    expect(status).toBe(1);
    expect(stdout).toMatch(/out\/rack\.pdf: 3 jigs, .*DRAFT/);
    const pages = await pagesOf('out/rack.pdf');
    for (const part of ['west tray', 'east tray', 'lid']) expect(pages.some((words) => words.includes(`${part} · Quarantine rack`))).toBe(true);
    for (const words of pages) expect(words).toContain('DRAFT');
  });

  test('--each: a file for each panel, and nothing else', async () => {
    file('rack.yaml', rack({ right: clear }));
    const { status, stdout } = run('template', 'rack.yaml', '--each', '-o', 'jig.pdf');
    expect(status).toBe(0);
    expect(files()).toEqual(['jig-east-tray.pdf', 'jig-lid.pdf', 'jig-west-tray.pdf', 'rack.yaml']);
    for (const part of ['west tray', 'east tray', 'lid']) {
      const name = `jig-${part.replace(' ', '-')}.pdf`;
      expect(stdout).toContain(`${name}: `);
      const pages = await pagesOf(name);
      for (const words of pages) expect(words).toContain(`${part} · Quarantine rack`);
    }
  });

  test('--each writes each jig as it is alone: the same pages as in the set', async () => {
    file('rack.yaml', rack({ right: clear }));
    run('template', 'rack.yaml', '-o', 'set.pdf');
    run('template', 'rack.yaml', '--each', '-o', 'jig.pdf');
    const set = (await pagesOf('set.pdf')).slice(1);
    const each = (await Promise.all(['west-tray', 'east-tray', 'lid'].map((part) => pagesOf(`jig-${part}.pdf`)))).flat();
    expect(each).toEqual(set);
  });

  test('--each with one refused: its file is not written; one of an earlier run stays as it is', () => {
    file('rack.yaml', rack({ right: clear }));
    run('template', 'rack.yaml', '--each');
    const before = ['west-tray', 'east-tray', 'lid'].map((part) => digest(`out/rack-${part}.pdf`));
    file('rack.yaml', rack({ left: clearHole.replace('150', '160') }));
    expect(run('template', 'rack.yaml', '--each').status).toBe(1);
    const after = ['west-tray', 'east-tray', 'lid'].map((part) => digest(`out/rack-${part}.pdf`));
    expect(after.map((one, index) => one === before[index])).toEqual([false, true, true]);
    rmSync(join(folder, 'out'), { recursive: true });
    run('template', 'rack.yaml', '--each');
    expect(files()).toEqual(['out', 'out/rack-lid.pdf', 'out/rack-west-tray.pdf', 'rack.yaml']);
  });

  test('--each with --draft: a file of the refused panel too', async () => {
    file('rack.yaml', rack());
    expect(run('template', 'rack.yaml', '--each', '--draft').status).toBe(1);
    expect(files()).toEqual(['out', 'out/rack-east-tray.pdf', 'out/rack-lid.pdf', 'out/rack-west-tray.pdf', 'rack.yaml']);
    for (const words of await pagesOf('out/rack-east-tray.pdf')) expect(words).toContain('DRAFT');
  });

  test('--each --svg --png: a picture of each panel beside its PDF', () => {
    file('rack.yaml', rack());
    expect(run('template', 'rack.yaml', '--each', '--svg', '--png').status).toBe(1);
    expect(files()).toEqual(['out', 'out/rack-lid.pdf', 'out/rack-lid.png', 'out/rack-lid.svg', 'out/rack-west-tray.pdf', 'out/rack-west-tray.png', 'out/rack-west-tray.svg', 'rack.yaml']);
  });

  test('--each of a spec of one panel is that panel\'s file', () => {
    file('rack.yaml', `title: Rack\nunits: mm\npanel: {material: annealed glass, width: 320, height: 400, thickness: 8}\nholes: [${clearHole}]\n`);
    expect(run('template', 'rack.yaml', '--each').status).toBe(0);
    expect(files()).toEqual(['out', 'out/rack.pdf', 'rack.yaml']);
  });

  test('--each where names come to the same file: each has a file of its own', async () => {
    const names = ['end (A)', 'end a', '"🐌"'];
    file('rack.yaml', rack({ right: clear, names }));
    expect(run('template', 'rack.yaml', '--each', '-o', 'jig.pdf').status).toBe(0);
    expect(files()).toEqual(['jig-end-a-2.pdf', 'jig-end-a.pdf', 'jig-panel.pdf', 'rack.yaml']);
    expect((await pagesOf('jig-end-a.pdf'))[0]).toContain('end (A) · Quarantine rack');
    expect((await pagesOf('jig-end-a-2.pdf'))[0]).toContain('end a · Quarantine rack');
  });

  test.each([['jig-lid.pdf'], ['jig-west-tray.pdf']])('--each with a foreign file at %s: exit 3, none is written, it stays as it is', (name) => {
    file('rack.yaml', rack({ right: clear }));
    file(name, 'my notes');
    const { status, stdout, stderr } = run('template', 'rack.yaml', '--each', '-o', 'jig.pdf');
    expect({ status, stdout }).toEqual({ status: 3, stdout: '' });
    expect(stderr).toMatch(/did not make/);
    expect(files()).toEqual([name, 'rack.yaml'].sort());
    expect(readFileSync(join(folder, name), 'utf8')).toBe('my notes');
  });

  test('--each: a foreign file at the place of a refused panel is in nobody\'s way', () => {
    file('rack.yaml', rack());
    file('jig-east-tray.pdf', 'my notes');
    expect(run('template', 'rack.yaml', '--each', '-o', 'jig.pdf').status).toBe(1);
    expect(files()).toEqual(['jig-east-tray.pdf', 'jig-lid.pdf', 'jig-west-tray.pdf', 'rack.yaml']);
    expect(readFileSync(join(folder, 'jig-east-tray.pdf'), 'utf8')).toBe('my notes');
  });

  test('--each where a panel\'s file would be the spec: exit 2, it stays as it is', () => {
    file('jig-lid.pdf', rack({ right: clear }));
    const before = digest('jig-lid.pdf');
    const { status, stderr } = run('template', 'jig-lid.pdf', '--each', '-o', 'jig.pdf');
    expect(status).toBe(2);
    expect(stderr).toMatch(/spec itself/);
    expect(digest('jig-lid.pdf')).toBe(before);
    expect(files()).toEqual(['jig-lid.pdf']);
  });

  test('--each: files of an earlier run are overwritten', () => {
    file('rack.yaml', rack({ right: clear }));
    run('template', 'rack.yaml', '--each');
    const before = digest('out/rack-lid.pdf');
    file('rack.yaml', rack({ right: clear }).replace('diameter: 30', 'diameter: 28'));
    expect(run('template', 'rack.yaml', '--each').status).toBe(0);
    expect(digest('out/rack-lid.pdf')).not.toBe(before);
  });

  test('the same spec gives the same files', () => {
    file('rack.yaml', rack());
    run('template', 'rack.yaml', '-o', 'one.pdf');
    run('template', 'rack.yaml', '-o', 'two.pdf');
    expect(digest('one.pdf')).toBe(digest('two.pdf'));
  });

  test.each([
    ['a panel without a size', rack().replace('width: 300, ', ''), /^rack\.yaml:6:\d+: panels\.lid\.width: is missing/],
    ['a hole off one panel', rack({ left: clearHole.replace('150', '1500') }), /^rack\.yaml:4:\d+: panels\.west tray\.holes\[0\]: "drain" has its centre off the panel/],
    ['a panel beside panels', rack({ rest: 'panel: {material: acrylic, width: 100, height: 100, thickness: 5}\n' }), /^rack\.yaml:7:8: panel: stands beside panels/],
    ['a box that is nowhere', rack({ rest: 'boxes: {trap: {width: 100, height: 100, wall: 4, holes: [{name: a, diameter: 20, from-left: 50, from-top: 50}]}}\n' }), /^rack\.yaml:7:9: boxes\.trap: the box "trap" stands on no panel/],
  ])('%s: exit 2, its place, nothing is written', (_what, text, words) => {
    file('rack.yaml', text);
    for (const args of [[], ['--each'], ['--draft'], ['-o', 'jig.pdf', '--svg']]) {
      const { status, stdout, stderr } = run('template', 'rack.yaml', ...args);
      expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
      expect(stderr).toMatch(words);
      expect(stderr).toMatch(/\n {4}accepted: .*\n {4}fix: /);
      expect(files()).toEqual(['rack.yaml']);
    }
  });

  test('a tank with a box: the jigs of the panel and of the box\'s wall, each with the pattern of holes', async () => {
    file('hatchery.yaml', `title: Snail hatchery
units: mm
boxes:
  trap: {width: 200, height: 150, wall: 5, stands: inside, holes: [{name: overflow, diameter: 30, from-left: 60, from-top: 75}]}
tanks:
  hatchery:
    quantity: 2
    material: annealed glass
    length: 600
    width: 300
    height: 350
    thickness: 8
    bottom: under walls
    ends: between front and back
    panels:
      back: {boxes: [{box: trap, from-left: 100, from-top: 40}]}
`);
    const { status, stdout } = run('template', 'hatchery.yaml');
    expect(status).toBe(0);
    expect(stdout).toMatch(/2 jigs/);
    const pages = (await pagesOf('out/hatchery.pdf')).slice(1);
    for (const part of ['hatchery, back', 'trap, back wall']) {
      const own = pages.filter((words) => words.includes(`${part} · Snail hatchery`));
      expect(own.some((words) => words.includes('overflow'))).toBe(true);
    }
    // The wall of 350 - 8 mm by 600, in the report of the check.
    expect(run('check', 'hatchery.yaml').stdout).toContain('600 mm x 342 mm annealed glass, 8 mm thick');
  });
});
