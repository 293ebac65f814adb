/** The commands new and schema as a user runs them, and the questions of new with answers put in. */
import { existsSync, mkdirSync, readFileSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { askForStarter, type Terminal } from '../../src/cli/new.ts';
import { jsonSchema } from '../../src/spec/json-schema.ts';
import { commandIn, expectError, type Result } from './command.ts';

const { folder, run, file } = commandIn('new');

/** An error that says what to do. */
function expectFix(result: Result, status: number, message: RegExp): void {
  expectError(result, status, message);
  expect(result.stderr).toMatch(/^ {4}fix: \S/m);
}

const written = (name = 'spec.yaml') => parse(readFileSync(join(folder, name), 'utf8')) as Record<string, unknown>;

describe('panejig new', () => {
  it('asks nothing where there is no terminal, and writes spec.yaml, which check finds clear', () => {
    const { status, stdout, stderr } = run('new');
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(stdout).toMatch(/^spec\.yaml: .*1 hole\n[^]*panejig check spec\.yaml\n[^]*panejig template spec\.yaml\n$/);
    const check = run('check', 'spec.yaml');
    expect(check.status).toBe(0);
    expect(check.stdout).toMatch(/^verdict: clear$/m);
  });

  it('writes what the options say of a panel', () => {
    expect(run('new', 'end.yaml', '--title', 'Snail hatchery: end', '--units', 'in', '--kind', 'panel', '--material', 'acrylic', '--width', '24in', '--height', '40 cm', '--thickness', '3/8"', '--fitting', '3/4', '--holes', '3', '--yes').status).toBe(0);
    expect(written('end.yaml')).toMatchObject({ title: 'Snail hatchery: end', units: 'in', panel: { material: 'acrylic', width: 24, height: '400 mm', thickness: '3/8' }, holes: [{ fitting: 'bulkhead 3/4 in' }, {}, {}] });
    expect(run('check', 'end.yaml').stdout).toMatch(/^verdict: clear$/m);
  });

  it('writes a tank with an overflow box, whose panels are all clear', () => {
    expect(run('new', 'tank.yaml', '--kind', 'tank', '--box', '--length', '900mm', '--width', '400mm', '--height', '420mm', '--holes', '2').status).toBe(0);
    expect(written('tank.yaml')).toMatchObject({ boxes: { overflow: { holes: [{ name: 'drain 1' }, { name: 'drain 2' }] } }, tanks: { tank: { length: 900, width: 400, height: 420 } } });
    const { status, stdout } = run('check', 'tank.yaml');
    expect(status).toBe(0);
    expect(stdout).toMatch(/tank, back +1 +2 +clear/);
    expect(stdout).toMatch(/overflow, back wall +1 +2 +clear/);
  });

  it('takes a length or a box to mean a tank', () => {
    expect(run('new', 'a.yaml', '--length', '80cm').status).toBe(0);
    expect(run('new', 'b.yaml', '--box').status).toBe(0);
    expect(written('a.yaml')).toHaveProperty('tanks');
    expect(written('b.yaml')).toHaveProperty('boxes');
  });

  it('writes the most holes that fit, and says so', () => {
    const { status, stdout } = run('new', '--width', '300mm', '--height', '300mm', '--holes', '50');
    expect(status).toBe(0);
    const count = (written()['holes'] as unknown[]).length;
    expect(count).toBeGreaterThan(1);
    expect(stdout).toContain(`note: ${count} of the 50 holes fit`);
    expect(run('check', 'spec.yaml').stdout).toMatch(/^verdict: clear$/m);
  });

  it('writes over nothing: no file, no link, no folder', () => {
    file('mine.yaml', 'title: Mine\n');
    expectFix(run('new', 'mine.yaml'), 3, /mine\.yaml: it is there already[^]*mine-2\.yaml/);
    expect(readFileSync(join(folder, 'mine.yaml'), 'utf8')).toBe('title: Mine\n');
    symlinkSync('nowhere.yaml', join(folder, 'link.yaml'));
    expectFix(run('new', 'link.yaml'), 3, /it is there already/);
    expect(existsSync(join(folder, 'nowhere.yaml'))).toBe(false);
    mkdirSync(join(folder, 'specs'));
    expectFix(run('new', 'specs'), 3, /it is a folder[^]*specs\/spec\.yaml/);
    expectFix(run('new', 'nursery/spec.yaml'), 3, /the folder nursery is not there/);
  });

  it.each<[string, string[], RegExp]>([
    ['a width without its unit', ['--width', '600'], /--width: "600" has no unit\n {4}accepted: a length such as[^]*600mm/],
    ['a thickness in words', ['--thickness', 'thick'], /--thickness: "thick" is not a length/],
    ['a thickness of a metre', ['--thickness', '1m'], /--thickness: "1m" is too large\n {4}accepted: 0\.5 mm to 100 mm/],
    ['a width of nothing', ['--width', '0mm'], /--width: "0mm" is too small/],
    ['a unit that is none', ['--units', 'inches'], /--units: "inches" is none of them\n {4}accepted: mm, cm, in/],
    ['a kind that is none', ['--kind', 'tonk'], /--kind: "tonk"[^]*fix: write tank/],
    ['a material that is none', ['--material', 'acrilic'], /--material: "acrilic"[^]*fix: write acrylic/],
    ['toughened glass', ['--material', 'toughened glass'], /--material: "toughened glass" is always refused: toughened.*shatters[^]*accepted: annealed glass, acrylic/],
    ['glass of unknown temper', ['--material', 'unknown glass'], /--material: "unknown glass" is always refused/],
    ['a fitting that we do not know', ['--fitting', 'bulkhed 1 in'], /--fitting: "bulkhed 1 in"[^]*fix: write bulkhead 1 in/],
    ['no holes', ['--holes', '0'], /--holes: "0" is no number of holes\n {4}accepted: 1 to 200/],
    ['half a hole', ['--holes', '1.5'], /--holes: "1\.5"/],
    ['an empty title', ['--title', ' '], /--title: .*is an empty title/],
    ['a box on a panel', ['--kind', 'panel', '--box'], /--box: a panel has no overflow box[^]*--kind tank/],
    ['a panel with a length', ['--kind', 'panel', '--length', '1m'], /--length: a panel has no length/],
    ['a panel too small for one hole', ['--width', '100mm', '--height', '400mm'], /--width, --height: a hole of 45 mm .* more than a third[^]*bulkhead 1\/2 in/],
    ['a panel that the fitting does not clamp', ['--thickness', '24mm'], /--fitting: bulkhead 1 in clamps 2 mm to 25 mm/],
  ])('tells %s, and writes nothing', (_what, args, message) => {
    expectFix(run('new', ...args), 2, message);
    expect(existsSync(join(folder, 'spec.yaml'))).toBe(false);
  });
});

/** A terminal whose answers are given beforehand, and all that it was told. */
function terminalWith(answers: readonly string[]): Terminal & { readonly asked: string[]; readonly said: string[] } {
  const [left, asked, said] = [[...answers], [] as string[], [] as string[]];
  return {
    asked,
    said,
    question: (text) => {
      asked.push(text);
      return Promise.resolve(left.shift());
    },
    say: (text) => void said.push(text),
  };
}

describe('the questions', () => {
  it('take what stands in brackets where nothing is answered', async () => {
    const terminal = terminalWith(Array.from({ length: 20 }, () => ''));
    const { starter, answers } = await askForStarter({}, terminal);
    expect(answers).toEqual({ title: 'My tank', units: 'mm', kind: 'panel', material: 'annealed glass', width: 600, height: 400, thickness: 10, fitting: 'bulkhead 1 in', holes: 1 });
    expect(terminal.asked).toHaveLength(9);
    expect(terminal.asked[4]).toBe('Width of the panel [600 mm]: ');
    expect(starter.holes).toBe(1);
  });

  it('read bare numbers in the unit that was answered before', async () => {
    const { answers } = await askForStarter({}, terminalWith(['Frag shelf', 'in', 'tank', 'acrylic', '36', '18', '20', '1/2', 'yes', '1 1/2', '2']));
    // NIST SP 811, appendix B.8: 1 in is 25.4 mm.
    expect(answers).toEqual({ title: 'Frag shelf', units: 'in', kind: 'tank', material: 'acrylic', length: 36 * 25.4, width: 18 * 25.4, height: 20 * 25.4, thickness: 12.7, box: true, fitting: 'bulkhead 1-1/2 in', holes: 2 });
  });

  it('take the beginning of a word', async () => {
    const { answers } = await askForStarter({}, terminalWith(['Frag shelf', 'c', 'p', 'anne', '60', '40', '1', '', '']));
    expect(answers).toMatchObject({ units: 'cm', kind: 'panel', material: 'annealed glass', width: 600 });
  });

  it('are asked again after a bad answer, with what is accepted', async () => {
    const terminal = terminalWith(['', '', 'tonk', 'panel', 'toughened glass', 'annealed glass', 'wide', '600', '', '', 'funnel', '', '0', '2']);
    const { answers } = await askForStarter({}, terminal);
    expect(answers).toMatchObject({ kind: 'panel', material: 'annealed glass', width: 600, holes: 2 });
    const said = terminal.said.join('\n');
    for (const words of [/kind: "tonk"/, /material: .*shatters/, /width: "wide" is not a length/, /fitting: "funnel"/, /holes: "0"/]) expect(said).toMatch(words);
  });

  it('are not asked where an option has answered', async () => {
    const terminal = terminalWith(['300', '200', '', '']);
    const { answers } = await askForStarter({ title: 'Hatchery', units: 'mm', kind: 'panel', material: 'acrylic', thickness: 8, fitting: 'bulkhead 1/2 in' }, terminal);
    expect(terminal.asked.map((text) => text.split(' [')[0])).toEqual(['Width of the panel', 'Height of the panel', 'How many holes']);
    expect(answers).toMatchObject({ width: 300, height: 200, thickness: 8 });
  });

  it('that together leave no room are told, and asked again', async () => {
    const terminal = terminalWith(['', '', '', '', '60', '60', '6', '1', '1', '300', '300', '1/2']);
    const { answers, starter } = await askForStarter({}, terminal);
    expect(terminal.said.join('\n')).toMatch(/more than a third|no room[^]*accepted[^]*fix/);
    expect(answers).toMatchObject({ width: 300, height: 300, thickness: 6, fitting: 'bulkhead 1/2 in' });
    expect(starter.holes).toBe(1);
  });

  it('end with an error where options alone leave no room', async () => {
    const given = { title: 'Hatchery', units: 'mm', kind: 'panel', material: 'acrylic', width: 40, height: 40, thickness: 6, fitting: 'bulkhead 2 in', holes: 1 };
    await expect(askForStarter(given, terminalWith([]))).rejects.toMatchObject({ exitCode: 2 });
  });

  it('end with an error where answers end', async () => {
    await expect(askForStarter({}, terminalWith(['Hatchery', 'mm']))).rejects.toMatchObject({ exitCode: 2, message: expect.stringMatching(/nothing was written/) as string });
  });
});

describe('panejig schema', () => {
  it.each([
    [[], 'spec'],
    [['--drawer'], 'drawer'],
  ] as const)('%j prints the JSON Schema of a %s', (args, kind) => {
    const { status, stdout, stderr } = run('schema', ...args);
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(JSON.parse(stdout)).toEqual(jsonSchema(kind));
  });
});
