/**
 * The ruler and printer commands as a user runs them: the built dist/cli/main.js in a process of its own, in a temporary
 * folder with settings of its own.
 */
import { PDFDocument } from 'pdf-lib';
import { chmodSync, lstatSync, mkdirSync, readFileSync, rmSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { commandIn } from './command.ts';

const { folder, home, run, file, files } = commandIn('printer');

/** Settings folders: XDG Base Directory Specification ($XDG_CONFIG_HOME); %APPDATA% and ~/Library/Preferences: common practice, no source. */
const settings = { win32: join(home, 'AppData', 'panejig', 'Config', 'printers'), darwin: join(home, 'Library', 'Preferences', 'panejig', 'printers') }[process.platform as string] ?? join(home, 'config', 'panejig', 'printers');
const userFile = (name: string) => join(settings, `${name}.json`);
const localFile = (name: string) => join(folder, '.panejig', 'printers', `${name}.json`);
const fileOf = (path: string) => JSON.parse(readFileSync(path, 'utf8')) as Record<string, unknown>;

/** An error in the house form: its exit code, what was found, accepted, fix; nothing on stdout, nothing new on disk. */
function expectRefusal(status: number, args: string[], found: RegExp, fix = /./): string {
  const before = [...files(), ...files(home)];
  const result = run(...args);
  expect({ status: result.status, stdout: result.stdout }).toEqual({ status, stdout: '' });
  const [first = '', ...rest] = result.stderr.trimEnd().split('\n');
  expect(first).toMatch(found);
  expect(rest[rest.length - 1]).toMatch(/^ {4}fix: /);
  expect(rest[rest.length - 1]).toMatch(fix);
  if (status === 2) expect(rest[0]).toMatch(/^ {4}accepted: /);
  expect([...files(), ...files(home)]).toEqual(before);
  return result.stderr;
}

const told = new Map<string, { across: number; down: number }>();

/** What the ruler page of these options says its scales are, mm. */
function toldLengths(...args: string[]): { across: number; down: number } {
  const known = told.get(args.join());
  if (known) return known;
  const found = /across (\d+) mm, down (\d+) mm/.exec(run('ruler', ...args, '-o', 'lengths.pdf').stdout);
  if (!found) throw new Error('the command does not tell the lengths');
  rmSync(join(folder, 'lengths.pdf'));
  const lengths = { across: Number(found[1]), down: Number(found[2]) };
  told.set(args.join(), lengths);
  return lengths;
}

/** Arguments that keep a profile of a printer that draws so many times too long. */
function measured(name: string, across: number, down: number, ...more: string[]): string[] {
  const nominal = toldLengths();
  return ['printer', name, '--across', `${(nominal.across * across).toFixed(2)}mm`, '--down', `${(nominal.down * down).toFixed(2)}mm`, ...more];
}

describe('panejig ruler', () => {
  // Points: ISO 216 A4 210 x 297 mm; ANSI/ASME Y14.1 A (Letter) 8.5 x 11 in; 72 points to the inch.
  test.each([
    [[], 'ruler-a4.pdf', [(210 / 25.4) * 72, (297 / 25.4) * 72]],
    [['--paper', 'LETTER'], 'ruler-letter.pdf', [612, 792]],
    [['--paper', 'ansi b', '--margin', '1/2 in'], 'ruler-ansi-b.pdf', [792, 1224]],
    [['--paper', '24 x 36 in'], 'ruler-609.6-mm-x-914.4-mm.pdf', [1728, 2592]],
  ] as const)('%j writes one page of the paper to out/%s', async (args, name, [width, height]) => {
    const { status, stdout, stderr } = run('ruler', ...args);
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(files()).toEqual(['out', join('out', name)]);
    expect(stdout).toContain(join('out', name));
    expect(stdout).toMatch(/100 % \/ actual size[^]*panejig printer NAME .*--across …mm --down …mm/);
    const document = await PDFDocument.load(readFileSync(join(folder, 'out', name)), { updateMetadata: false });
    expect(document.getPageCount()).toBe(1);
    const [page] = document.getPages();
    expect(page?.getWidth()).toBeCloseTo(width, 3);
    expect(page?.getHeight()).toBeCloseTo(height, 3);
    expect(document.getSubject()).toMatch(/^ruler page/);
  });

  test('the command that it tells keeps a profile when the lengths are filled in', () => {
    for (const args of [['--paper', 'ansi b'], ['--paper', '24 x 36 in', '--margin', '15mm'], ['--margin', '0.5 in']]) {
      const { across, down } = toldLengths(...args);
      const command = run('ruler', ...args).stdout.trimEnd().split('\n').pop() ?? '';
      // A prompt's words: quotes keep spaces together (POSIX, Shell Command Language, 2.2.3).
      const words = [...command.replace('NAME', 'office').replace('…mm', `${across}mm`).replace('…mm', `${down}mm`).matchAll(/"([^"]*)"|(\S+)/g)].map(([, inQuotes, bare]) => inQuotes ?? bare ?? '');
      expect(words[0]).toBe('panejig');
      const { status, stdout } = run(...words.slice(1));
      expect(status, command).toBe(0);
      expect(stdout).toContain('across 100 %, down 100 %');
    }
  });

  test('-o names the file; ours is overwritten, others are not', () => {
    expect(run('ruler', '-o', 'page.pdf').status).toBe(0);
    expect(run('ruler', '-o', 'page.pdf', '--paper', 'Letter').status).toBe(0);
    expect(files()).toEqual(['page.pdf']);
    file('notes.pdf', 'my notes');
    expectRefusal(3, ['ruler', '-o', 'notes.pdf'], /did not make/);
    expect(readFileSync(join(folder, 'notes.pdf'), 'utf8')).toBe('my notes');
    expectRefusal(3, ['ruler', '-o', 'gone/page.pdf'], /folder gone is not there/);
    mkdirSync(join(folder, 'made'));
    expectRefusal(3, ['ruler', '-o', 'made'], /is a folder/, /made.ruler-a4\.pdf/);
    file('out', 'a file');
    expectRefusal(3, ['ruler'], /cannot make the folder out/);
  });

  test.each([
    [['--paper', 'A9'], /not a paper we know/, /A4/],
    [['--paper', '24 x 36'], /"24 x 36" has no unit/, /"24 x 36 in"/],
    [['--paper', '20 x 30 mm'], /20 mm by 30 mm/, /choose sides/],
    [['--paper', '140 x 140 mm', '--margin', '40mm'], /no room/, /larger paper/],
    [['--margin', '10'], /--margin: "10" has no unit/, /10mm/],
    [['--margin', '-5mm'], /less than nothing/, /white strip/],
    [['--margin', '51mm'], /too large/, /white strip/],
    [['--margin', '1,5 cm'], /comma/, /1\.5/],
    [['--margin', 'wide'], /not a length/, /35 mm/],
    [['--printer', 'office'], /no printer profile "office"/, /panejig ruler/],
    [['--printer', '../office'], /printer name "\.\.\/office"/, /plain name/],
  ] as const)('%j is refused', (args, found, fix) => {
    expectRefusal(2, ['ruler', ...args], found, fix);
  });

  test('--printer prescales the page on the profile\'s own paper, and says so', async () => {
    const { across, down } = toldLengths('--paper', 'Letter');
    expect(run('printer', 'office', '--paper', 'Letter', '--across', `${across * 1.007}mm`, '--down', `${down * 0.989}mm`).status).toBe(0);
    const { status, stdout } = run('ruler', '--printer', 'office');
    expect(status).toBe(0);
    expect(stdout).toContain('printer profile "office", measured on Letter: across 100.7 %, down 98.9 %');
    expect(files()).toEqual(['out', join('out', 'ruler-letter-office.pdf')]);
    const document = await PDFDocument.load(readFileSync(join(folder, 'out', 'ruler-letter-office.pdf')), { updateMetadata: false });
    expect(document.getPages()[0]?.getWidth()).toBeCloseTo(612, 3);
    expect(run('ruler', '--printer', 'office', '--paper', 'A4').stdout).toMatch(/note: .*measured on Letter/);
  });
});

describe('panejig printer NAME --across --down', () => {
  test('keeps what was measured in the user\'s settings, and shows it', () => {
    const { across, down } = toldLengths();
    const kept = run('printer', 'office', '--across', `${across + 1.2} mm`, '--down', `${(down - 2) / 10}cm`, '--date', '2026-11-20');
    expect({ status: kept.status, stderr: kept.stderr }).toEqual({ status: 0, stderr: '' });
    expect(files()).toEqual([]);
    expect(fileOf(userFile('office'))).toEqual({
      kind: 'panejig printer profile', version: 1, paper: { name: 'A4', width: 210, height: 297 },
      across: { nominal: across, measured: across + 1.2 }, down: { nominal: down, measured: down - 2 }, date: '2026-11-20',
    });
    for (const { stdout } of [kept, run('printer', 'office')]) {
      expect(stdout).toContain('printer profile "office", measured 2026-11-20 on A4');
      expect(stdout).toContain(`kept in ${userFile('office')}`);
      expect(stdout).toContain((across / (across + 1.2)).toFixed(5));
      expect(stdout).toContain((down / (down - 2)).toFixed(5));
      expect(stdout).not.toContain('note:');
    }
  });

  test('inches do as well; a date is kept only if it is given', () => {
    const { across, down } = toldLengths();
    const sixteenths = Math.round((across / 25.4) * 16);
    const { status } = run('printer', 'office', '--across', `${Math.floor(sixteenths / 16)} ${sixteenths % 16}/16 in`, '--down', `${down}mm`);
    expect(status).toBe(0);
    expect((fileOf(userFile('office'))['across'] as { measured: number }).measured).toBeCloseTo((sixteenths / 16) * 25.4, 3);
    expect(fileOf(userFile('office'))).not.toHaveProperty('date');
  });

  test('--margin and --paper decide what is nominal', () => {
    const { across, down } = toldLengths('--paper', 'Legal', '--margin', '25mm');
    expect(run('printer', 'hall', '--paper', 'legal', '--margin', '25mm', '--across', `${across}mm`, '--down', `${down}mm`).status).toBe(0);
    expect(fileOf(userFile('hall'))).toMatchObject({ paper: { name: 'Legal' }, across: { nominal: across }, down: { nominal: down } });
  });

  test('remeasuring overwrites our own profile', () => {
    run(...measured('office', 1.007, 0.989));
    const first = readFileSync(userFile('office'), 'utf8');
    expect(run(...measured('office', 1.002, 0.989)).status).toBe(0);
    expect(readFileSync(userFile('office'), 'utf8')).not.toBe(first);
    expect(files(home).filter((name) => !lstatSync(join(home, name)).isDirectory())).toHaveLength(1);
  });

  test('--here keeps it in the folder, where it wins, and each tells of the other', () => {
    run(...measured('office', 1.007, 0.989));
    const here = run(...measured('office', 1.01, 1.01, '--here'));
    expect(here.stdout).toContain(`kept in ${join('.panejig', 'printers', 'office.json')}`);
    expect(here.stdout).toContain(`hides ${userFile('office')}`);
    expect(files()).toEqual(['.panejig', join('.panejig', 'printers'), join('.panejig', 'printers', 'office.json')]);
    const shown = run('printer', 'office').stdout;
    expect(shown).toContain('across 101 %, down 101 %');
    expect(shown).toContain(`hides ${userFile('office')}`);
    const user = run(...measured('office', 1.002, 1.002)).stdout;
    expect(user).toMatch(/note: .*\.panejig.*office\.json hides it/);
    expect(run('printer', 'office').stdout).toContain('across 101 %');
    rmSync(localFile('office'));
    expect(run('printer', 'office').stdout).toContain('across 100.2 %');
  });

  test('names of several words and scripts', () => {
    for (const name of ['hall tray 2', 'Büro', '水槽室']) {
      expect(run(...measured(name, 1.001, 1.001)).status).toBe(0);
      expect(run('printer', name).stdout).toContain(`"${name}"`);
      expect(run('ruler', '--printer', name).stdout).toContain(name);
    }
  });

  test('a printer far off is kept with a second thought', () => {
    expect(run(...measured('office', 1.02, 1)).stdout).toMatch(/note: .*1\.5 %.*100 %/);
    expect(run(...measured('office', 1.014, 1)).stdout).not.toContain('note:');
  });
});

describe('measurements that are refused', () => {
  test.each([
    ['no unit', ['--across', '180', '--down', '250mm'], /--across: "180" has no unit/, /180mm, 180cm or "180 in"/],
    ['a bare fraction', ['--across', '7 7/16', '--down', '250mm'], /--across: "7 7\/16" has no unit/, /"7 7\/16 in"/],
    ['no length', ['--across', 'long', '--down', '250mm'], /not a length/, /35 mm/],
    ['a comma', ['--across', '180,2mm', '--down', '250mm'], /comma/, /180\.2mm/],
    ['nothing', ['--across', '', '--down', '250mm'], /not a length/, /35 mm/],
    ['less than nothing', ['--across', '-180mm', '--down', '250mm'], /nothing or less/, /measure again/],
    ['endless digits', ['--across', `${'9'.repeat(400)}mm`, '--down', '250mm'], /more digits/, /measured length/],
    ['one scale alone', ['--across', '180mm'], /--down is not given/, /panejig ruler/],
    ['the other alone', ['--down', '250mm'], /--across is not given/, /panejig ruler/],
    ['neither', ['--here'], /neither --across nor --down/, /panejig ruler/],
    ['neither, with a date', ['--date', '2026-11-20'], /neither/, /panejig ruler/],
    ['a day that is none', ['--across', '180mm', '--down', '250mm', '--date', '2026-02-30'], /"2026-02-30" is not a day/, /2026-11-20/],
    ['a date of another form', ['--across', '180mm', '--down', '250mm', '--date', '20.11.2026'], /not a day/, /2026-11-20/],
    ['a paper that is none', ['--across', '180mm', '--down', '250mm', '--paper', 'A9'], /not a paper/, /A4/],
    ['a margin without room', ['--across', '180mm', '--down', '250mm', '--paper', '140 x 140 mm', '--margin', '50mm'], /no room/, /larger paper/],
  ])('%s', (_what, args, found, fix) => {
    expectRefusal(2, ['printer', 'office', ...args], found, fix);
  });

  test('"fit to page" and other slips, told with the likely cause', () => {
    for (const [across, down, found] of [[0.955, 0.955, /fit to page/], [1.3, 1.3, /too long/], [0.9, 1, /another line/], [1 / 25.4, 1 / 25.4, /reading in in/], [0.1, 0.1, /reading in cm/]] as const) {
      expectRefusal(2, measured('office', across, down), found);
    }
    const letter = toldLengths('--paper', 'Letter');
    expectRefusal(2, ['printer', 'office', '--across', `${letter.across}mm`, '--down', `${letter.down}mm`], /Letter/, /--paper Letter/);
    const a4 = toldLengths();
    expectRefusal(2, ['printer', 'office', '--across', `${a4.down}mm`, '--down', `${a4.across}mm`], /swapped/);
  });

  test('an earlier profile stays when a measurement is refused', () => {
    run(...measured('office', 1.007, 0.989));
    const kept = readFileSync(userFile('office'), 'utf8');
    expectRefusal(2, measured('office', 0.9, 0.9), /too short/);
    expect(readFileSync(userFile('office'), 'utf8')).toBe(kept);
  });

  test.each(['../office', 'a/b', 'a\\b', '.office', 'con', 'LPT1.old', 'x'.repeat(61), '', 'office.'])('the name %j', (name) => {
    for (const args of [[name], [name, '--across', '180mm', '--down', '250mm', '--here']]) expectRefusal(2, ['printer', ...args], /printer name/, /plain name/);
  });

  test('usage errors: exit 2', () => {
    for (const args of [['printer'], ['printer', 'a', 'b'], ['printer', 'a', '--sparkle'], ['printer', 'a', '--across'], ['ruler', 'a']]) expect(run(...args).status, args.join(' ')).toBe(2);
    expect([...files(), ...files(home)]).toEqual([]);
  });
});

describe('profiles that are not there or damaged', () => {
  test('an unknown one: the others are listed, and the nearest is meant', () => {
    run(...measured('office', 1.001, 1.001));
    run(...measured('attic', 1.001, 1.001, '--here'));
    file(join(settings, 'notes.txt'), 'no profile');
    for (const args of [['printer', 'offise'], ['ruler', '--printer', 'offise']]) {
      const { status, stderr } = run(...args);
      expect(status).toBe(2);
      expect(stderr).toMatch(/no printer profile "offise"\n {4}accepted: attic, office\n {4}fix: did you mean office\?/);
    }
    expect(run('printer', 'studio').stderr).toMatch(/accepted: attic, office\n {4}fix: print a ruler page/);
  });

  const sound = JSON.stringify({ kind: 'panejig printer profile', version: 1, paper: { name: 'A4', width: 210, height: 297 }, across: { nominal: 180, measured: 181 }, down: { nominal: 250, measured: 250 } });
  test.each([
    ['an empty file', '', /not JSON/],
    ['half a file', sound.slice(0, 50), /not JSON/],
    ['another program\'s file', '{"colour": "red"}', /not a printer profile/],
    ['bytes that are no text', '\u0000\u0001\u001b[31m', /not JSON/],
    ['a key missing', sound.replace('"down"', '"up"'), /down is missing/],
    ['a factor beyond 3 %', sound.replace('181', '190'), /more than 3 %/],
    ['a number that is none', sound.replace('181', '1e999'), /not a number/],
    ['a newer format', sound.replace('"version":1', '"version":2'), /newer panejig/],
    ['a file of 100 kB', sound.padEnd(100_000), /larger than/],
  ])('%s is told with its path, and stays: exit 3', (_what, content, found) => {
    expect(content).not.toBe(sound);
    file(userFile('office'), content);
    file(localFile('attic'), content);
    const keep = ['--across', '180mm', '--down', '250mm'];
    for (const args of [['printer', 'office'], ['ruler', '--printer', 'office'], ['printer', 'office', ...keep], ['printer', 'attic'], ['printer', 'attic', '--here', ...keep]]) {
      const stderr = expectRefusal(3, args, found, /delete|move it away/);
      expect(stderr).toContain(args.includes('office') ? userFile('office') : join('.panejig', 'printers', 'attic.json'));
      expect(stderr).not.toContain('\u001b');
    }
    expect(readFileSync(userFile('office'), 'utf8')).toBe(content);
    expect(readFileSync(localFile('attic'), 'utf8')).toBe(content);
  });

  test('the sound file that these were made from is read', () => {
    file(userFile('office'), sound);
    expect(run('printer', 'office').status).toBe(0);
  });

  test('a folder in its place: exit 3', () => {
    mkdirSync(userFile('office'), { recursive: true });
    expectRefusal(3, ['printer', 'office'], /not an ordinary file/);
    expectRefusal(3, ['printer', 'office', '--across', '180mm', '--down', '250mm'], /not an ordinary file/);
  });

  test('a file where the folder of profiles should be: exit 3', () => {
    file('.panejig', 'mine');
    expectRefusal(3, [...measured('office', 1, 1), '--here'], /cannot make the folder/);
    expect(readFileSync(join(folder, '.panejig'), 'utf8')).toBe('mine');
  });

  test.skipIf(process.platform === 'win32')('a profile behind a symlink is renewed, and the link stays', () => {
    file(join(home, 'shared.json'), sound);
    mkdirSync(settings, { recursive: true });
    symlinkSync(join(home, 'shared.json'), userFile('office'));
    expect(run(...measured('office', 1.002, 1)).status).toBe(0);
    expect(lstatSync(userFile('office')).isSymbolicLink()).toBe(true);
    expect(fileOf(join(home, 'shared.json'))).toMatchObject({ down: { nominal: 250, measured: 250 } });
    expect(readFileSync(join(home, 'shared.json'), 'utf8')).not.toBe(sound);
  });

  test.skipIf(process.platform === 'win32' || process.getuid?.() === 0)('settings that may not be written: exit 3', () => {
    mkdirSync(settings, { recursive: true });
    chmodSync(settings, 0o500);
    expectRefusal(3, measured('office', 1, 1), /cannot write/, /--here/);
    chmodSync(settings, 0o700);
  });
});
