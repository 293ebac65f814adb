/** The check command as a user runs it: the built dist/cli/main.js in a process of its own. */
import { execFileSync, spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { main, root } from '../built.ts';
import { commandIn, expectError } from './command.ts';

const { folder, run, file } = commandIn('check');

/** The frag shelf's back panel: its holes are the text's holes. */
function spec(holes: string, units = 'mm'): string {
  return `title: Frag shelf, back\nunits: ${units}\npanel: {material: annealed glass, width: 600 mm, height: 400 mm, thickness: 10 mm}\nholes:\n${holes}`;
}
const clearHole = '  - {name: drain, diameter: 45 mm, from-left: 200 mm, from-top: 150 mm}\n';
const tightHole = '  - {name: drain, diameter: 45 mm, from-left: 60 mm, from-top: 150 mm}\n';
const refusedHole = '  - {name: drain, diameter: 45 mm, from-left: 40 mm, from-top: 150 mm}\n';

describe('exit codes', () => {
  it('0 for a clear spec', () => {
    const { status, stdout, stderr } = run('check', file('clear.yaml', spec(clearHole)));
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(stdout).toMatch(/^verdict: clear$/m);
  });

  it('0 for a tight spec', () => {
    const { status, stdout } = run('check', file('tight.yaml', spec(tightHole)));
    expect(status).toBe(0);
    expect(stdout).toMatch(/^verdict: tight$/m);
  });

  it('1 for a refused spec, whose report is still whole', () => {
    const { status, stdout, stderr } = run('check', file('refused.yaml', spec(refusedHole)));
    expect({ status, stderr }).toEqual({ status: 1, stderr: '' });
    expect(stdout).toMatch(/^verdict: refused$/m);
  });

  it('2 for a spec with problems, each at file:line:column', () => {
    const path = file('slip.yaml', spec(clearHole).replace('diameter', 'diametre'));
    expectError(run('check', path), 2, /slip\.yaml:5:\d+: holes\[0\].*diametre[^]*accepted: [^]*fix: did you mean diameter\?/);
  });

  it('2 for an unknown command, an unknown option, a missing or a second argument, and no command', () => {
    const path = file('clear.yaml', spec(clearHole));
    expectError(run('chekc', path), 2, /unknown command 'chekc'/);
    expectError(run('check', path, '--jsno'), 2, /unknown option '--jsno'/);
    expectError(run('check'), 2, /missing required argument 'spec'/);
    expectError(run('check', path, path), 2, /too many arguments/);
    expectError(run(), 2, /Usage: panejig/);
  });

  it('0 for help and version, on stdout', () => {
    for (const args of [['--help'], ['check', '--help'], ['help', 'check']]) {
      const { status, stdout, stderr } = run(...args);
      expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
      expect(stdout).toMatch(/Usage: panejig/);
    }
    expect(run('--version')).toEqual({ status: 0, stdout: '0.1.0\n', stderr: '' });
  });

  it('3 for a file that is not there, a folder, and a path through a file', () => {
    expectError(run('check', join(folder, 'missing.yaml')), 3, /cannot read .*missing\.yaml: there is no such file[^]*fix: /);
    expectError(run('check', folder), 3, /cannot read .*: it is a folder[^]*fix: /);
    expectError(run('check', join(file('clear.yaml', spec(clearHole)), 'deeper.yaml')), 3, /not a folder[^]*fix: /);
  });
});

describe('what is no spec is refused in words', () => {
  it.each<[string, () => string, RegExp]>([
    ['an endless device', () => '/dev/zero', /larger than \d+ bytes/],
    ['an empty device', () => '/dev/null', /the file is empty/],
    ['an empty file', () => file('empty.yaml', ''), /empty\.yaml:1:1: the file is empty/],
    ['a binary file', () => file('photo.jpg', Uint8Array.from([0xff, 0xd8, 0xff, 0xe0, 0, 16, 0x4a, 0x46])), /not UTF-8/],
    ['a binary file that is valid UTF-8', () => file('zeros.bin', new Uint8Array(1000)), /not text/],
    ['a UTF-16 file', () => file('utf16.yaml', Buffer.from(`\uFEFF${spec(clearHole)}`, 'utf16le')), /not UTF-8/],
    ['a UTF-16 file without its mark', () => file('utf16n.yaml', Buffer.from(spec(clearHole), 'utf16le')), /not text/],
    ['a file too large', () => file('large.yaml', `${spec(clearHole)}#${'x'.repeat(4 * 1024 * 1024)}`), /larger than \d+ bytes/],
    ['deep brackets', () => file('deep.yaml', '['.repeat(100_000)), /nested too deeply/],
    ['a list', () => file('list.yaml', '- Kelp\n'), /list\.yaml:1:1: the file holds a list of 1/],
  ])('%s', (_what, path, message) => {
    expectError(run('check', path()), 2, message);
  });

  it('control characters of a spec do not reach the terminal', () => {
    const path = file('bell.yaml', spec(clearHole).replace('annealed glass', '"\\e[31mred\\a"').replace('name: drain', 'name: "a\\e[2Jb"'));
    const { stderr } = run('check', path);
    expect(stderr).toContain('red');
    expect(stderr.replace(/\n/g, ' ')).not.toMatch(/\p{Cc}/u);
  });
});

describe('the table', () => {
  it('has a row for each hole: name, drill, place, fitting, verdict, least ligament', () => {
    const { stdout } = run('check', file('two.yaml', spec(`${clearHole}  - {name: return, diameter: 32 mm, from-right: 90 mm, from-bottom: 120 mm}\n`)));
    expect(stdout).toMatch(/^hole +drill +across +up +fitting +verdict +least ligament$/m);
    expect(stdout).toMatch(/^drain +45 mm +200 mm from left +150 mm from top +clear +127\.5 mm to top edge$/m);
    expect(stdout).toMatch(/^return +32 mm +90 mm from right +120 mm from bottom +clear +74 mm to right edge$/m);
    expect(stdout).toMatch(/^600 mm x 400 mm annealed glass, 10 mm thick; /m);
  });

  it('tells the least ligament of a pair under both of its holes', () => {
    const { stdout } = run('check', file('pair.yaml', spec(`${clearHole}  - {name: return, diameter: 45 mm, from-left: 250 mm, from-top: 150 mm}\n`)));
    expect(stdout).toMatch(/^drain .* 5 mm to return$/m);
    expect(stdout).toMatch(/^return .* 5 mm to drain$/m);
  });

  it('tells what is measured and needed, what to do and who asks for it', () => {
    const { stdout } = run('check', file('refused.yaml', spec(refusedHole)));
    expect(stdout).toMatch(/^refused: drain: ligament to edge \(left edge\): 17\.5 mm measured, 20 mm needed$/m);
    expect(stdout).toMatch(/^ {4}fix, for this rule alone: move 2\.5 mm right for the minimum, 27\.5 mm right for good practice$/m);
    expect(stdout).toMatch(/^ {4}source: EN 12150-1:2015, clause 7; US fabrication practice after ASTM C1048$/m);
  });

  it('never says that what is measured is what is needed, and still refuses it', () => {
    // 42.46 - 22.5 = 19.96 mm of glass where 20 mm are needed.
    const { status, stdout } = run('check', file('near.yaml', spec('  - {name: drain, diameter: 45 mm, from-left: 42.46 mm, from-top: 150 mm}\n')));
    expect(status).toBe(1);
    const [, measured, needed] = /ligament to edge \(left edge\): (.*) measured, (.*) needed/.exec(stdout) ?? [];
    expect(needed).toBe('20 mm');
    expect(measured).not.toBe(needed);
  });

  it('speaks inches where the spec does', () => {
    const { stdout } = run('check', file('inches.yaml', spec('  - {name: drain, diameter: 1 3/4, from-left: 1 1/2, from-top: 6}\n', 'in')));
    expect(stdout).toMatch(/^drain +1-3\/4 in +1-1\/2 in from left +6 in from top/m);
    expect(stdout).toMatch(/fix, for this rule alone: move .*\/\d+ in right/);
  });

  it('notes typical fittings', () => {
    const { stdout } = run('check', file('typical.yaml', spec('  - {name: drain, fitting: bulkhead 1 in, from-left: 200 mm, from-top: 150 mm}\n')));
    expect(stdout).toMatch(/^note: bulkhead 1 in: typical values, from memory.*Measure the fitting in hand/m);
  });

  it('says which hole has the least margin, and how far off its place it bears drilling', () => {
    expect(run('check', file('tight.yaml', spec(tightHole))).stdout).toMatch(/^drain has the least margin: 1\.87 times the minimum \(ligament to left edge\); it bears drilling 17\.5 mm off its place\.$/m);
  });

  it('says what placement is taken off, of each measure too', () => {
    const { stdout } = run('check', file('placed.yaml', `${spec(refusedHole)}placement: 1.5 mm\n`));
    expect(stdout).toMatch(/^refused: drain: ligament to edge \(left edge\): 16 mm measured, 1\.5 mm of placement taken off, 20 mm needed$/m);
    expect(stdout).toMatch(/^note: placement: a hole may be drilled up to 1\.5 mm off its place\./m);
  });

  it('is the same for the same spec', () => {
    const path = file('tight.yaml', spec(tightHole));
    expect(run('check', path).stdout).toBe(run('check', path).stdout);
  });
});

describe('--json', () => {
  const shelf = (holes: string) => `title: Snail hatchery\nunits: mm\npanel: {material: acrylic, width: 400, height: 300, thickness: 5}\nholes:\n${holes}`;

  it('tells of each hole how much of the panel its centre may be on: acrylic asks for half a diameter at the least, one for good practice', () => {
    const { report } = json(file('shelf.yaml', shelf('  - {name: drain, diameter: 20, from-left: 200, from-top: 150}\n')));
    expect(report).toMatchObject({ area: 400 * 300 });
    const { allowed, nearest } = (report as unknown as { holes: [{ allowed: Record<'minimum' | 'goodPractice', { area: number; share: number }>; nearest: unknown }] }).holes[0];
    // 10 + 10 and 10 + 20 from every edge.
    expect(allowed.minimum.area).toBeCloseTo(360 * 260, 2);
    expect(allowed.minimum.share).toBeCloseTo((360 * 260) / (400 * 300), 4);
    expect(allowed.goodPractice.area).toBeCloseTo(340 * 240, 2);
    expect(nearest).toEqual({ minimum: null, goodPractice: null });
  });

  it('tells the nearest place at both levels, or what leaves no room', () => {
    const { report } = json(file('shelf.yaml', shelf('  - {name: drain, diameter: 20, from-right: 12.5, from-top: 150}\n  - {name: main, diameter: 160, from-left: 120, from-top: 150}\n')));
    const [drain, main] = (report as unknown as { holes: { nearest: unknown }[] }).holes;
    expect(drain?.nearest).toEqual({
      minimum: { place: { x: 380, y: 150 }, exact: { x: 380, y: 150 }, move: { right: -7.5, up: 0 }, step: 1, distances: { 'from-right': 20, 'from-top': 150 } },
      // A good 160 mm between them: 120 + 80 + 160 + 10 = 370, and 30 from the edge.
      goodPractice: { place: { x: 370, y: 150 }, exact: { x: 370, y: 150 }, move: { right: -17.5, up: 0 }, step: 1, distances: { 'from-right': 30, 'from-top': 150 } },
    });
    // 80 + 160 from both the top and the bottom is 180 more than there is: 90 short on either side.
    // 80 + 80 are 10 more than the 150 to the middle.
    expect(main?.nearest).toMatchObject({ minimum: { place: null, short: 10, narrower: 10 }, goodPractice: { place: null, short: 90, between: expect.arrayContaining([{ rule: 'to-edge', other: 'top edge' }, { rule: 'to-edge', other: 'bottom edge' }]) as unknown } });
  });

  function json(path: string) {
    const { status, stdout, stderr } = run('check', path, '--json');
    expect(stderr).toBe('');
    const whole = JSON.parse(stdout) as { verdict: string; title: string; panels: { findings: Record<string, unknown>[] }[] };
    return { status, whole, report: whole.panels[0] as { findings: Record<string, unknown>[] } };
  }

  it('is one object of verdict, title and panels, each with name, quantity, verdict, fingerprint, placement, area, margin, holes, findings and notes', () => {
    const { status, whole, report } = json(file('refused.yaml', spec(refusedHole)));
    expect(status).toBe(1);
    expect(whole).toEqual({ verdict: 'refused', title: 'Frag shelf, back', panels: [report] });
    expect(report).toEqual({ name: 'Frag shelf, back', quantity: 1, verdict: 'refused', fingerprint: expect.stringMatching(/^[0-9a-f]{4}-[0-9a-f]{4}$/) as string, placement: 0, area: expect.any(Number) as number, margin: expect.any(Object) as object, holes: expect.any(Array) as unknown[], findings: expect.any(Array) as unknown[], notes: [] });
    for (const finding of report.findings) expect(Object.keys(finding)).toEqual(['hole', 'rule', 'verdict', 'other', 'measured', 'needed', 'floor', 'good', 'source', 'fix', 'move']);
    expect(report.findings.find((finding) => finding['rule'] === 'to-edge')).toEqual({
      hole: 'drain',
      rule: 'to-edge',
      verdict: 'refused',
      other: 'left edge',
      measured: 17.5,
      needed: 20,
      floor: 20,
      good: 45,
      source: 'EN 12150-1:2015, clause 7; US fabrication practice after ASTM C1048',
      fix: 'move 2.5 mm right for the minimum, 27.5 mm right for good practice',
      move: { right: 2.5, up: 0 },
    });
  });

  it('tells the margin of each hole, and the least of the panel with the hole that has it', () => {
    // drain: 60 - 22.5 = 37.5 mm to the left edge, where 2 t = 20 mm are the least (EN 12150-1:2015, clause 7). return: 127.5 mm to the top.
    const { report } = json(file('margins.yaml', spec(`${tightHole}  - {name: return, diameter: 45 mm, from-left: 300 mm, from-top: 150 mm}\n`)));
    const drain = { ratio: 1.875, rule: 'to-edge', other: 'left edge', drift: 17.5, driftRule: 'to-edge', driftOther: 'left edge' };
    expect(report).toMatchObject({
      placement: 0,
      margin: { ...drain, hole: 'drain', driftHole: 'drain' },
      holes: [{ name: 'drain', verdict: 'tight', margin: drain }, { name: 'return', verdict: 'clear', margin: { driftOther: 'top edge', drift: 107.5 } }],
    });
  });

  it('has no margin where nothing is drilled', () => {
    const { report } = json(file('toughened.yaml', spec(clearHole).replace('annealed', 'toughened')));
    expect(report).toMatchObject({ margin: null, holes: [{ name: 'drain', verdict: 'refused', margin: null }] });
  });

  it('is in millimetres whatever the units of the spec', () => {
    const holes = '  - {name: drain, diameter: 45 mm, from-left: 40 mm, from-top: 150 mm}\n';
    const [metric, inches] = [json(file('metric.yaml', spec(holes, 'mm'))), json(file('inch.yaml', spec(holes, 'in')))];
    expect(inches.report.findings).toEqual(metric.report.findings);
  });

  it('tells problems in words on stderr, and nothing on stdout', () => {
    expectError(run('check', file('bad.yaml', spec(clearHole).replace('annealed', 'tempered')), '--json'), 2, /write toughened glass/);
  });
});

describe('a reader that goes away', () => {
  it('is no error: stdout closed at once', () => {
    const many = Array.from({ length: 3000 }, (_, index) => `  - {name: h${index}, diameter: 12 mm, from-left: ${20 + (index % 60) * 9} mm, from-top: ${20 + Math.floor(index / 60) * 7} mm}\n`).join('');
    const path = file('many.yaml', spec(many));
    const child = spawn(process.execPath, [main, 'check', path, '--json'], { stdio: ['ignore', 'pipe', 'pipe'] });
    child.stdout.destroy();
    let stderr = '';
    child.stderr.setEncoding('utf8').on('data', (text: string) => (stderr += text));
    return new Promise<void>((done, fail) => {
      child.on('error', fail);
      child.on('close', (code) => {
        try {
          expect(stderr).toBe('');
          expect(code).toBe(1);
          done();
        } catch (error) {
          fail(error as Error);
        }
      });
    });
  });

  it('is no error: piped into head', () => {
    const path = file('clear.yaml', spec(clearHole));
    const out = execFileSync('sh', ['-c', '"$0" "$1" check "$2" | head -n 1', process.execPath, main, path], { encoding: 'utf8' });
    expect(out).toBe('Frag shelf, back\n');
  });
});

describe('the examples', () => {
  it.each(execFileSync('git', ['ls-files', 'templates-spec'], { cwd: root, encoding: 'utf8' }).trim().split('\n').filter((path) => !path.endsWith('/drawer.yaml')))('%s can be read', (path) => {
    const { status, stderr } = run('check', join(root, path));
    expect(stderr).toBe('');
    expect([0, 1]).toContain(status);
  });
});

it('a manifold laid out by rows, repeats, twins and the tool is clear, and told hole by hole', () => {
  const { status, stdout, stderr } = run('check', join(root, 'templates-spec/hatchery-manifold.yaml'));
  expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
  expect(stdout).toMatch(/^verdict: clear$/m);
  for (const name of ['outlet 1', 'outlet 6', 'tie 1-1 left', 'tie 2-2 right', 'air 3', 'feed']) expect(stdout).toMatch(new RegExp(`^${name} +\\d+ mm `, 'm'));
  // 640 mm less 60 on either side, in five gaps.
  expect(stdout).toMatch(/^note: outlet: 6 holes, 104 mm between centres\.$/m);
});

it('a hole that finds no place is an error of the spec', () => {
  const { status, stdout, stderr } = run('check', file('full.yaml', 'title: Frag shelf\nunits: mm\npanel: {material: acrylic, width: 200, height: 100, thickness: 6}\nholes: [{name: drain, diameter: 60, place: best}]\n'));
  expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
  // 50 mm to either edge, less the radius of 30; half a diameter is needed.
  expect(stderr).toMatch(/full\.yaml:4:44: holes\[0\]\.place: "drain" has no place: the best there is falls 10 mm short of what these ask: ligament to edge \(bottom edge\), ligament to edge \(top edge\)$/m);
});

it('the specs in README are clear, as it tells them', () => {
  file('drawer.yaml', readFileSync(join(root, 'templates-spec/drawer.yaml'), 'utf8'));
  const specs = [...readFileSync(join(root, 'README.md'), 'utf8').matchAll(/```yaml\n([^]*?)```/g)].map((found) => found[1] as string);
  expect(specs).toHaveLength(4);
  for (const text of specs) {
    const { status, stdout, stderr } = run('check', file('readme.yaml', text));
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(stdout).toMatch(/^verdict: clear$/m);
  }
});
