/** The template command as a user runs it: the built dist/cli/main.js in a process of its own, in a temporary folder. */
import { PDFDocument } from 'pdf-lib';
import { linkSync, mkdirSync, readFileSync, symlinkSync, truncateSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { commandIn } from './command.ts';

const { folder, run, file, files, digest } = commandIn('template');

const clearHole = '{name: drain, diameter: 40, from-left: 150, from-top: 120}';
const refusedHole = '{name: drain, diameter: 40, from-left: 25, from-top: 120}';

function spec({ holes = clearHole, title = 'Quarantine rack, back panel', rest = '' } = {}): string {
  return `title: ${JSON.stringify(title)}\nunits: mm\npanel: {material: annealed glass, width: 320, height: 400, thickness: 8}\nholes: [${holes}]\n${rest}`;
}

async function pageSizes(name: string): Promise<[number, number][]> {
  const document = await PDFDocument.load(readFileSync(join(folder, name)), { updateMetadata: false });
  return document.getPages().map((page) => [page.getWidth(), page.getHeight()]);
}

function isPdf(name: string): boolean {
  return readFileSync(join(folder, name)).subarray(0, 5).toString('latin1') === '%PDF-';
}

describe('where the jig goes', () => {
  test('to out/<name of the spec>.pdf, the folder made when needed', () => {
    file('rack.yaml', spec());
    const { status, stdout, stderr } = run('template', 'rack.yaml');
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(stdout).toContain(join('out', 'rack.pdf'));
    expect(files()).toEqual(['out', 'out/rack.pdf', 'rack.yaml']);
    expect(isPdf('out/rack.pdf')).toBe(true);
  });

  test('to the file of -o, and nowhere else', () => {
    file('rack.yaml', spec());
    expect(run('template', 'rack.yaml', '-o', 'jig.pdf').status).toBe(0);
    expect(files()).toEqual(['jig.pdf', 'rack.yaml']);
    expect(isPdf('jig.pdf')).toBe(true);
  });

  test('a jig of an earlier run is overwritten', () => {
    file('rack.yaml', spec());
    run('template', 'rack.yaml', '-o', 'jig.pdf');
    const first = digest('jig.pdf');
    file('rack.yaml', spec({ title: 'Another title' }));
    expect(run('template', 'rack.yaml', '-o', 'jig.pdf').status).toBe(0);
    expect(digest('jig.pdf')).not.toBe(first);
  });

  test('through a symlink: the link stays and the jig behind it is renewed', () => {
    file('rack.yaml', spec());
    run('template', 'rack.yaml', '-o', 'jig.pdf');
    const first = digest('jig.pdf');
    symlinkSync('jig.pdf', join(folder, 'link.pdf'));
    file('rack.yaml', spec({ title: 'Another title' }));
    expect(run('template', 'rack.yaml', '-o', 'link.pdf').status).toBe(0);
    expect(digest('jig.pdf')).not.toBe(first);
    expect(files()).toEqual(['jig.pdf', 'link.pdf', 'rack.yaml']);
  });

  test('the same spec gives the same file', () => {
    file('rack.yaml', spec());
    run('template', 'rack.yaml', '-o', 'one.pdf');
    run('template', 'rack.yaml', '-o', 'two.pdf');
    expect(digest('one.pdf')).toBe(digest('two.pdf'));
  });
});

describe('what it says', () => {
  test('the sheets, the verdict, how to print and how long the rulers are', () => {
    file('rack.yaml', spec());
    const { stdout } = run('template', 'rack.yaml');
    expect(stdout).toMatch(/\d+ sheets? \(A4/);
    expect(stdout).toContain('verdict: clear');
    expect(stdout).toContain('100 %');
    expect(stdout).toMatch(/across \d+ mm, down \d+ mm/);
  });

  test('that typical values must be measured', () => {
    file('rack.yaml', spec({ holes: '{name: drain, fitting: bulkhead 3/4 in, from-left: 150, from-top: 120}' }));
    expect(run('template', 'rack.yaml').stdout).toMatch(/typical values.*[Mm]easure/);
  });
});

describe('--paper', () => {
  // Points: ISO 216 A4 210 x 297 mm; ANSI/ASME Y14.1 A (Letter) 8.5 x 11 in, B 11 x 17 in; 72 points to the inch.
  test.each([
    ['a4', [(210 / 25.4) * 72, (297 / 25.4) * 72]],
    ['LETTER', [612, 792]],
    ['Ansi b', [792, 1224]],
    ['ansi-B', [792, 1224]],
    ['24 x 36 in', [1728, 2592]],
  ] as const)('%s', async (paper, [width, height]) => {
    file('rack.yaml', spec({ rest: 'sheets: {orientation: portrait}' }));
    expect(run('template', 'rack.yaml', '--paper', paper, '-o', 'jig.pdf').status).toBe(0);
    const sizes = await pageSizes('jig.pdf');
    const [lastWidth = 0, lastHeight = 0] = sizes[sizes.length - 1] ?? [];
    expect(lastWidth).toBeCloseTo(width, 3);
    expect(lastHeight).toBeCloseTo(height, 3);
  });

  test.each(['A9', 'foolscap', '', '10 x 10 mm', '9000 x 9000 mm', '-5 x 20 in', 'x'])('"%s" is no paper: exit 2, nothing written', (paper) => {
    file('rack.yaml', spec());
    const { status, stdout, stderr } = run('template', 'rack.yaml', `--paper=${paper}`);
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
    expect(stderr).toMatch(/paper/);
    expect(stderr).toMatch(/fix: /);
    expect(stderr).toContain('A4');
    expect(files()).toEqual(['rack.yaml']);
  });
});

describe('what the sheets are', () => {
  test('the division is told, beside what a plain grid would do', () => {
    file('rack.yaml', spec());
    expect(run('template', 'rack.yaml').stdout).toMatch(/sheets: \d+ sheets, no hole on a seam; a plain grid (does as well|needs \d+ and cuts (no hole|\d+ holes?))/);
  });

  test('a hole larger than a sheet is named, and why it lies across a seam', () => {
    file('sink.yaml', `title: Pump cabinet, top\nunits: mm\npanel: {material: acrylic, width: 900, height: 900, thickness: 8}\nholes: [{name: basin, diameter: 400, from-left: 450, from-top: 450}]\n`);
    const { status, stdout } = run('template', 'sink.yaml');
    expect(status).toBe(0);
    expect(stdout).toContain('1 hole on a seam');
    expect(stdout).toMatch(/note: basin lies across a seam: its circle with the ticks, 415 mm wide, is larger than a sheet of A4 shows/);
  });

  test('--board and --mask: pages after the sheets, told in a line each', async () => {
    file('rack.yaml', spec());
    expect(run('template', 'rack.yaml', '-o', 'plain.pdf').stdout).not.toMatch(/guide board|mask/);
    const { status, stdout } = run('template', 'rack.yaml', '--board', '--mask', '-o', 'both.pdf');
    expect(status).toBe(0);
    expect(stdout).toMatch(/^guide boards: 1 board, (\d+) pages after the sheets$/m);
    expect(stdout).toMatch(/^mask: two discs a hole, 1 page at the end$/m);
    const boards = Number(/guide boards: 1 board, (\d+) pages/.exec(stdout)?.[1]);
    expect(await pageSizes('both.pdf')).toHaveLength((await pageSizes('plain.pdf')).length + boards + 1);
  });

  test('--areas shades the sheets and the SVG; without it neither is', () => {
    file('rack.yaml', spec());
    expect(run('template', 'rack.yaml', '-o', 'plain.pdf', '--svg').status).toBe(0);
    const shaded = run('template', 'rack.yaml', '-o', 'shaded.pdf', '--svg', '--areas');
    expect({ status: shaded.status, stderr: shaded.stderr }).toEqual({ status: 0, stderr: '' });
    expect(readFileSync(join(folder, 'plain.svg'), 'utf8')).not.toContain('<g id="area">');
    expect(readFileSync(join(folder, 'shaded.svg'), 'utf8')).toMatch(/<g id="area">\n<title>areas where centres may be, not to be cut<\/title>\n<path [^>]*fill="#f2f2f2"/);
    expect(digest('plain.pdf')).not.toBe(digest('shaded.pdf'));
  });

  test('--patches: a sheet for each close group', async () => {
    file('wall.yaml', `title: Frag room, wall\nunits: mm\npanel: {material: acrylic, width: 2000, height: 1000, thickness: 8}\nholes: [{name: a, diameter: 40, from-left: 100, from-top: 100}, {name: b, diameter: 40, from-left: 1000, from-top: 500}]\n`);
    const { status, stdout } = run('template', 'wall.yaml', '--patches');
    expect(status).toBe(0);
    expect(stdout).toContain('and 2 sheets');
    expect(stdout).toContain('patches: 1 laid to lines on it alone, 1 by distances to set out with a tape measure');
    expect((await pageSizes('out/wall.pdf')).length).toBeLessThanOrEqual(5);
  });

  test('--patches where a circle is larger than the paper: exit 2, the place in the spec, nothing written', () => {
    file('sink.yaml', `title: Pump cabinet, top\nunits: mm\npanel: {material: acrylic, width: 900, height: 900, thickness: 8}\nholes: [{name: basin, diameter: 400, from-left: 450, from-top: 450}]\nsheets: {paper: A4}\n`);
    const { status, stderr } = run('template', 'sink.yaml', '--patches');
    expect(status).toBe(2);
    expect(stderr).toMatch(/^sink\.yaml:5:17: sheets\.paper: .*basin.*415 mm.*A4.*\n {4}accepted: .*\n {4}fix: .*--patches/);
    expect(files().filter((name) => name.endsWith('.pdf'))).toEqual([]);
  });

  test.each([['margin', 'sheets: {paper: 140 x 150 mm, margin: 45}', 'margin of 45 mm'], ['overlap', 'sheets: {paper: 140 x 150 mm, margin: 5, overlap: 60}', 'overlap of 60 mm']])('a %s that leaves no room: exit 2, its place in the spec', (key, rest, found) => {
    file('rack.yaml', spec({ rest }));
    const { status, stderr } = run('template', 'rack.yaml');
    expect(status).toBe(2);
    expect(stderr).toMatch(new RegExp(`^rack\\.yaml:5:\\d+: sheets\\.${key}: .*\\n {4}accepted: .*\\n {4}fix: `));
    expect(stderr).toContain(found);
    expect(files().filter((name) => name.endsWith('.pdf'))).toEqual([]);
  });

  test('--far-face writes another jig than without; so does lies-on in the spec', () => {
    file('rack.yaml', spec());
    file('far.yaml', spec({ rest: 'sheets: {lies-on: far-face}' }));
    for (const args of [['rack.yaml', '-o', 'near.pdf'], ['rack.yaml', '--far-face', '-o', 'flag.pdf'], ['far.yaml', '-o', 'key.pdf']]) expect(run('template', ...args).status).toBe(0);
    expect(digest('flag.pdf')).not.toBe(digest('near.pdf'));
    expect(digest('key.pdf')).toBe(digest('flag.pdf'));
  });
});

describe('--printer', () => {
  test('the profile of this folder is used, told with its error at the furthest hole, and where it is', async () => {
    file('rack.yaml', spec());
    expect(run('printer', 'office', '--across', '181.2mm', '--down', '248.4mm', '--date', '2026-11-20', '--here').status).toBe(0);
    const { status, stdout } = run('template', 'rack.yaml', '--printer', 'office');
    expect(status).toBe(0);
    expect(stdout).toContain('printer profile "office", measured 2026-11-20 on A4: across 100.67 %, down 99.36 %');
    // 150 mm and 120 mm from the edges that the spec measures from, by a reading 0.5 mm off on 181.2 and 248.4 mm.
    const error = Math.max(...[[150, 120], [120, 150]].map(([across = 0, down = 0]) => 0.5 * Math.hypot(across / 181.2, down / 248.4)));
    const [, told] = /leaves at most ([\d.]+) mm at drain, the furthest hole \(150 mm from left, 120 mm from top\)/.exec(stdout) ?? [];
    expect(Math.abs(Number(told) - error)).toBeLessThan(0.1);
    expect(stdout).toContain(join('.panejig', 'printers', 'office.json'));
    for (const [width, height] of await pageSizes('out/rack.pdf')) expect([Math.min(width, height), Math.max(width, height)].map((side) => Math.round((side * 25.4 * 1000) / 72))).toEqual([210_000, 297_000]);
  });

  test.each(['nobody', '../office', ''])('"%s" is no profile: exit 2, nothing written', (name) => {
    file('rack.yaml', spec());
    const { status, stderr } = run('template', 'rack.yaml', '--printer', name);
    expect(status).toBe(2);
    expect(stderr).toMatch(/\n {4}accepted: .*\n {4}fix: /);
    expect(files()).toEqual(['rack.yaml']);
  });

  test('a damaged profile: exit 3, it stays as it is, nothing written', () => {
    file('rack.yaml', spec());
    file('.panejig/printers/office.json', '{"kind": "panejig printer profile", "across"');
    const { status, stderr } = run('template', 'rack.yaml', '--printer', 'office');
    expect(status).toBe(3);
    expect(stderr).toContain('it is not JSON');
    expect(readFileSync(join(folder, '.panejig/printers/office.json'), 'utf8')).toBe('{"kind": "panejig printer profile", "across"');
    expect(files().filter((name) => name.endsWith('.pdf'))).toEqual([]);
  });
});

describe('--svg and --png', () => {
  test('are written beside the PDF, and again over their own', () => {
    file('rack.yaml', spec());
    for (let round = 0; round < 2; round += 1) {
      const { status, stdout } = run('template', 'rack.yaml', '--svg', '--png');
      expect(status).toBe(0);
      for (const kind of ['svg', 'png']) expect(stdout).toContain(join('out', `rack.${kind}`));
    }
    expect(files()).toEqual(['out', 'out/rack.pdf', 'out/rack.png', 'out/rack.svg', 'rack.yaml']);
    expect(readFileSync(join(folder, 'out/rack.svg'), 'utf8')).toMatch(/<circle [^>]*r="20"/);
    // PNG, third edition, 5.2: the signature.
    expect([...readFileSync(join(folder, 'out/rack.png')).subarray(0, 8)]).toEqual([137, 80, 78, 71, 13, 10, 26, 10]);
  });

  test('a foreign file in the way of one: exit 3, none is written', () => {
    file('rack.yaml', spec());
    file('jig.png', 'a picture of someone else');
    expect(run('template', 'rack.yaml', '-o', 'jig.pdf', '--svg', '--png').status).toBe(3);
    expect(files()).toEqual(['jig.png', 'rack.yaml']);
  });

  test('a refused hole yields none', () => {
    file('rack.yaml', spec({ holes: refusedHole }));
    expect(run('template', 'rack.yaml', '--svg', '--png').status).toBe(1);
    expect(files()).toEqual(['rack.yaml']);
  });
});

describe('a refused hole', () => {
  test('leads to the draft, whose first page shows where the hole may be, unless no place mends it', () => {
    file('rack.yaml', spec({ holes: refusedHole }));
    expect(run('template', 'rack.yaml').stdout).toContain('ask for a draft with --draft: its first page shows where holes may be.');
    file('rack.yaml', spec({ holes: refusedHole.replace('diameter: 40', 'diameter: 4') }));
    expect(run('template', 'rack.yaml').stdout).toContain('ask for a draft with --draft.');
  });

  test('exit 1, the findings, nothing written', () => {
    file('rack.yaml', spec({ holes: refusedHole }));
    const { status, stdout, stderr } = run('template', 'rack.yaml');
    expect({ status, stderr }).toEqual({ status: 1, stderr: '' });
    expect(stdout).toContain('verdict: refused');
    expect(stdout).toContain('fix, for this rule alone: move');
    expect(stdout).toContain('--draft');
    expect(files()).toEqual(['rack.yaml']);
  });

  test('an earlier jig in its place stays as it is', () => {
    file('rack.yaml', spec());
    run('template', 'rack.yaml');
    const before = digest('out/rack.pdf');
    file('rack.yaml', spec({ holes: refusedHole }));
    expect(run('template', 'rack.yaml').status).toBe(1);
    expect(digest('out/rack.pdf')).toBe(before);
  });

  test('with --draft: a jig is written, the exit code is still 1', () => {
    file('rack.yaml', spec({ holes: refusedHole }));
    const { status, stdout } = run('template', 'rack.yaml', '--draft');
    expect(status).toBe(1);
    expect(stdout).toContain('DRAFT');
    expect(isPdf('out/rack.pdf')).toBe(true);
  });

  test('a sound spec may be printed as a draft too', () => {
    file('rack.yaml', spec());
    const { status, stdout } = run('template', 'rack.yaml', '--draft');
    expect(status).toBe(0);
    expect(stdout).toContain('DRAFT');
  });
});

describe('places that must not or cannot be written', () => {
  /** Refused with that exit code, a fix in words, and the folder as it was. */
  function expectRefusal(status: 2 | 3, args: string[], message: RegExp): void {
    const before = files();
    const result = run('template', ...args);
    expect(result.stderr).toMatch(message);
    expect(result.stderr).toMatch(/fix: /);
    expect({ status: result.status, stdout: result.stdout }).toEqual({ status, stdout: '' });
    expect(files()).toEqual(before);
  }

  test('the spec itself: exit 2', () => {
    file('rack.yaml', spec());
    const before = digest('rack.yaml');
    expectRefusal(2, ['rack.yaml', '-o', 'rack.yaml'], /spec itself/);
    expectRefusal(2, ['rack.yaml', '-o', `..${folder.slice(folder.lastIndexOf('/'))}/rack.yaml`], /spec itself/);
    expect(digest('rack.yaml')).toBe(before);
  });

  test('the spec through a symlink or a hard link, either way round: exit 2', () => {
    file('rack.yaml', spec());
    symlinkSync('rack.yaml', join(folder, 'soft.pdf'));
    linkSync(join(folder, 'rack.yaml'), join(folder, 'hard.pdf'));
    const before = digest('rack.yaml');
    expectRefusal(2, ['rack.yaml', '-o', 'soft.pdf'], /spec itself/);
    expectRefusal(2, ['rack.yaml', '-o', 'hard.pdf'], /spec itself/);
    expectRefusal(2, ['soft.pdf', '-o', 'rack.yaml'], /spec itself/);
    expect(digest('rack.yaml')).toBe(before);
  });

  test('a folder that is not there: exit 3', () => {
    file('rack.yaml', spec());
    expectRefusal(3, ['rack.yaml', '-o', 'nowhere/jig.pdf'], /folder nowhere is not there/);
  });

  test('a folder: exit 3', () => {
    file('rack.yaml', spec());
    mkdirSync(join(folder, 'jigs'));
    expectRefusal(3, ['rack.yaml', '-o', 'jigs'], /folder/);
    expectRefusal(3, ['rack.yaml', '-o', '.'], /folder/);
  });

  test('under a file: exit 3', () => {
    file('rack.yaml', spec());
    file('note.txt', 'a file');
    expectRefusal(3, ['rack.yaml', '-o', 'note.txt/jig.pdf'], /cannot write/);
  });

  test('a device: exit 3', () => {
    file('rack.yaml', spec());
    expectRefusal(3, ['rack.yaml', '-o', '/dev/null'], /not an ordinary file/);
  });

  test.each([['a text', 'my notes'], ['an empty file', ''], ['another PDF', '%PDF-1.7\n1 0 obj\n<< /Producer (another program) >>\nendobj\n']])('%s of someone else stays byte for byte: exit 3', (_what, content) => {
    file('rack.yaml', spec());
    file('jig.pdf', content);
    expectRefusal(3, ['rack.yaml', '-o', 'jig.pdf'], /did not make/);
    expect(readFileSync(join(folder, 'jig.pdf'), 'utf8')).toBe(content);
  });

  test('a foreign file at the default place: exit 3', () => {
    file('rack.yaml', spec());
    file('out/rack.pdf', 'my notes');
    expectRefusal(3, ['rack.yaml'], /did not make/);
  });

  test('a file where the default folder should be: exit 3', () => {
    file('rack.yaml', spec());
    file('out', 'a file');
    expectRefusal(3, ['rack.yaml'], /cannot/);
  });

  test('a dangling symlink is replaced by the jig; no folder is made behind it', () => {
    file('rack.yaml', spec());
    symlinkSync('gone/jig.pdf', join(folder, 'link.pdf'));
    expect(run('template', 'rack.yaml', '-o', 'link.pdf').status).toBe(0);
    expect(isPdf('link.pdf')).toBe(true);
    expect(files()).toEqual(['link.pdf', 'rack.yaml']);
  });

  test('a name of 300 characters: exit 3', () => {
    file('rack.yaml', spec());
    expectRefusal(3, ['rack.yaml', '-o', `${'j'.repeat(300)}.pdf`], /too long|cannot write/);
  });
});

describe('specs that are wrong or strange', () => {
  test('a spec that is not there, or is a folder: exit 3', () => {
    mkdirSync(join(folder, 'specs'));
    for (const name of ['gone.yaml', 'specs', 'gone/rack.yaml']) {
      const { status, stdout, stderr } = run('template', name);
      expect({ status, stdout }).toEqual({ status: 3, stdout: '' });
      expect(stderr).toMatch(/cannot read/);
    }
    expect(files()).toEqual(['specs']);
  });

  test('a panel that no office paper can hold: exit 2 and what to change', () => {
    file('rack.yaml', spec({ rest: 'sheets: {paper: A4, overlap: 80}' }));
    const { status, stderr } = run('template', 'rack.yaml');
    expect(status).toBe(2);
    expect(stderr).toMatch(/fix: .*(paper|overlap)/);
    expect(files().filter((name) => name.endsWith('.pdf'))).toEqual([]);
  });

  test.each(['Becken 🐠 drei', 'حوض الأسماك', '検疫水槽の背面', 'Ёлка Ωμέγα', 'שלום'])('the title "%s" makes a jig', async (title) => {
    file('rack.yaml', spec({ title }));
    const { status, stderr } = run('template', 'rack.yaml', '-o', 'jig.pdf');
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    const document = await PDFDocument.load(readFileSync(join(folder, 'jig.pdf')), { updateMetadata: false });
    expect(document.getTitle()).toBe(title);
  });

  test('characters that no typeface has make a jig and a note', () => {
    file('rack.yaml', spec({ title: 'Rack \u{13080}' }));
    const { status, stdout } = run('template', 'rack.yaml');
    expect(status).toBe(0);
    expect(stdout).toMatch(/no typeface.*\u{13080}/u);
  });

  test('a title of 5,000 characters: exit 2, the line named', () => {
    file('rack.yaml', spec({ title: 'x'.repeat(5000) }));
    const { status, stderr } = run('template', 'rack.yaml');
    expect(status).toBe(2);
    expect(stderr).toMatch(/rack\.yaml:1:/);
    expect(stderr).toMatch(/5000 characters/);
    expect(stderr.length).toBeLessThan(2000);
  });

  /** A run that must end with exit 2 and a short message. */
  function expectRefusal(name: string, message: RegExp): void {
    const { status, stdout, stderr } = run('template', name);
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
    expect(stderr).toMatch(message);
    expect(stderr.length).toBeLessThan(5000);
    expect(files().filter((found) => found.endsWith('.pdf'))).toEqual([]);
  }

  test('100,000 holes: exit 2, quickly, with a clear message', () => {
    const holes = Array.from({ length: 100_000 }, (_, index) => `{name: h${index}, diameter: 9, from-left: 9, from-top: 9}`);
    file('many.yaml', spec({ holes: holes.join(', ') }));
    expectRefusal('many.yaml', /larger than|holes/);
  });

  test('as many holes as fit a file of the largest size: exit 2, quickly, with a clear message', () => {
    const holes = Array.from({ length: 60_000 }, (_, index) => `{name: h${index}, diameter: 9, from-left: 9, from-top: 9}`);
    file('many.yaml', spec({ holes: holes.join(', ') }));
    expectRefusal('many.yaml', /more than 20000 holes/);
  });

  test('a file of 50 MB: exit 2', () => {
    file('huge.yaml', '');
    truncateSync(join(folder, 'huge.yaml'), 50 * 1024 * 1024);
    expectRefusal('huge.yaml', /larger than/);
  });

  test('usage errors: exit 2', () => {
    file('rack.yaml', spec());
    for (const args of [['template'], ['template', 'rack.yaml', '--sparkle'], ['template', 'rack.yaml', '-o'], ['template', 'rack.yaml', 'two.yaml'], ['print', 'rack.yaml']]) {
      expect(run(...args).status, args.join(' ')).toBe(2);
    }
    expect(files()).toEqual(['rack.yaml']);
  });
});
