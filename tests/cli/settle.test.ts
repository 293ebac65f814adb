/** The settle command as a user runs it: the built dist/cli/main.js in a process of its own. */
import { chmodSync, mkdirSync, readFileSync, statSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { root } from '../built.ts';
import { commandIn, expectError } from './command.ts';

const { folder, run, file, files, digest } = commandIn('settle');

const text = (path: string) => readFileSync(join(folder, path), 'utf8');

/** The lines that differ, of texts of as many lines, old beside new; the first line of a settled file is settle's own. */
function differences(before: string, after: string): [string, string][] {
  const own = after.startsWith('# made by panejig settle');
  const [old, now] = [before.split('\n'), after.split('\n').slice(own ? 1 : 0)];
  expect(now).toHaveLength(old.length);
  return old.flatMap((line, index): [string, string][] => (line === now[index] ? [] : [[line, now[index] as string]]));
}

const numbersOut = (line: string) => line.replace(/\d+\/\d+|\d+(?:\.\d+)?(?:[ -]\d+\/\d+)?/g, '#');

/** The coral nursery's back panel: comments, odd spaces, an order of keys of its own. */
const nursery = `# Coral nursery, back panel
title:   Coral nursery   # as on the label
units: mm

holes:
  # the drain is too near to the edge
  - {name: drain 1,   diameter: 45 mm, from-left: 150 mm, from-top: 34 mm }   # keep high
  - from-right: 40      # was 60 once
    name: return
    from-bottom: 200
    diameter: 30.0

panel: {material: annealed glass, width: 600, height: 400, thickness: 10}
`;

describe('the new spec', () => {
  it('differs from the old one in nothing but the numbers of faulty holes, and the old one stays', () => {
    file('nursery.yaml', nursery);
    const before = digest('nursery.yaml');
    const { status, stdout, stderr } = run('settle', 'nursery.yaml');
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(digest('nursery.yaml')).toBe(before);
    expect(files()).toEqual(['nursery-settled.yaml', 'nursery.yaml']);
    // Good practice, common practice without a source: a diameter of glass to the edge. 45 + 22.5 and 30 + 15.
    expect(differences(nursery, text('nursery-settled.yaml'))).toEqual([
      ['  - {name: drain 1,   diameter: 45 mm, from-left: 150 mm, from-top: 34 mm }   # keep high', '  - {name: drain 1,   diameter: 45 mm, from-left: 150 mm, from-top: 68 mm }   # keep high'],
      ['  - from-right: 40      # was 60 once', '  - from-right: 45      # was 60 once'],
    ]);
    expect(text('nursery-settled.yaml')).toMatch(/^# made by panejig settle from nursery\.yaml \([0-9a-f]{8}\)/);
    expect(stdout).toMatch(/^drain 1: moved 34 mm down: from-left 150 mm, from-top 68 mm \(good practice\)$/m);
    expect(stdout).toMatch(/^return: moved 5 mm left: from-right 45 mm, from-bottom 200 mm \(good practice\)$/m);
    expect(stdout).toMatch(/^moved: 2 of 2, together by 39 mm$/m);
    expect(stdout).toMatch(/^verdict: refused before, clear now$/m);
    expect(stdout).toMatch(/before you drill, see that each new place suits what is behind it/);
    expect(run('check', 'nursery-settled.yaml').stdout).toMatch(/^verdict: clear$/m);
  });

  it('keeps only the published minimum with --minimum, and moves no hole that is tight', () => {
    file('nursery.yaml', nursery);
    const { status, stdout } = run('settle', 'nursery.yaml', '--minimum');
    expect(status).toBe(0);
    // EN 12150-1:2015, clause 7: 2 t, so 20 mm and the radius of 22.5 mm; 43 in whole millimetres.
    expect(differences(nursery, text('nursery-settled.yaml'))).toEqual([[expect.stringContaining('from-top: 34 mm'), expect.stringContaining('from-top: 43 mm')]]);
    expect(stdout).toMatch(/^drain 1: moved 9 mm down: .* \(published minimum\)$/m);
    expect(stdout).not.toMatch(/^return/m);
  });

  it('leaves a hole where it stands where another makes room for it', () => {
    file('pair.yaml', 'title: Pair\nunits: mm\npanel: {material: acrylic, width: 500, height: 300, thickness: 8}\nholes:\n  - {name: a, diameter: 30, from-left: 200, from-top: 150}\n  - {name: b, diameter: 30, from-left: 235, from-top: 150}\n');
    // Acrylic, from memory: half a diameter between at the least, 45 mm between the middles.
    const { status, stdout } = run('settle', 'pair.yaml', '--minimum');
    expect(status).toBe(0);
    expect(stdout).toMatch(/^(a|b): stays where it is: the others make room for it \(published minimum\)$/m);
    expect(stdout).toMatch(/^moved: 1 of 2, together by 10 mm$/m);
  });

  it('stands on the steps that are asked for', () => {
    file('nursery.yaml', nursery);
    run('settle', 'nursery.yaml', '--step', '5mm');
    expect(text('nursery-settled.yaml')).toContain('from-top: 70 mm');
    run('settle', 'nursery.yaml', '--step', '0.5 mm');
    expect(text('nursery-settled.yaml')).toContain('from-top: 67.5 mm');
  });

  it('has the byte order mark and the line ends of the old one', () => {
    const windows = `\uFEFF${nursery.replace(/\n/g, '\r\n')}`;
    file('nursery.yaml', windows);
    run('settle', 'nursery.yaml');
    const settled = text('nursery-settled.yaml');
    expect(settled).toMatch(/^\uFEFF# made by panejig settle [^\r\n]*\r\n# Coral nursery, back panel\r\n/);
    expect(settled.split('\n').slice(1).join('\n')).toBe(windows.slice(1).replace('34 mm', '68 mm').replace('from-right: 40', 'from-right: 45'));
  });

  it('is JSON where the old one is, with no comment in it', () => {
    const spec = { title: 'Pump cabinet sump', units: 'mm', panel: { material: 'acrylic', width: 500, height: 300, thickness: 8 }, holes: [{ name: 'feed', diameter: 30, 'from-left': 20, 'from-top': '150 mm' }] };
    file('sump.json', JSON.stringify(spec, null, 4));
    expect(run('settle', 'sump.json').status).toBe(0);
    const settled = JSON.parse(text('sump-settled.json')) as typeof spec;
    expect(settled).toEqual({ ...spec, holes: [{ ...spec.holes[0], 'from-left': 45 }] });
    // The same again is no overwriting; another is.
    expect(run('settle', 'sump.json').status).toBe(0);
    expectError(run('settle', 'sump.json', '--minimum'), 3, /sump-settled\.json: a file that settle did not make, or that was changed since, is in the way/);
  });

  it('keeps fractions of inches, and each distance in its own unit', () => {
    const inches = `title: Frag shelf\nunits: in\npanel: {material: annealed glass, width: 24, height: 16, thickness: 3/8}\nholes:\n  - {name: drain, diameter: 1 3/4, from-left: 2, from-top: 6 1/2}\n  - {name: return, diameter: 30 mm, from-right: 1-1/4", from-bottom: 180 mm}\n  - {name: line, diameter: 20 mm, from-center-x: -11 in, from-center-y: 0' 5"}\n`;
    file('inches.yaml', inches);
    const { status, stdout } = run('settle', 'inches.yaml');
    expect(status).toBe(0);
    const settled = text('inches-settled.yaml');
    // 1-3/4 and half of it; 30 mm and half of it are 1.772 in, 1-13/16 in sixteenths.
    expect(settled).toContain('{name: drain, diameter: 1 3/4, from-left: 2-5/8, from-top: 6 1/2}');
    expect(settled).toContain('from-right: 1-13/16", from-bottom: 180 mm}');
    expect(stdout).toMatch(/^drain: moved 5\/8 in right: from-left 2-5\/8 in, from-top 6 1\/2 in \(good practice\)$/m);
    expect(differences(inches, settled).map(([old]) => numbersOut(old))).toEqual(differences(inches, settled).map(([, now]) => numbersOut(now)));
    expect(run('check', 'inches-settled.yaml').stdout).toMatch(/^verdict: clear$/m);
  }, 60_000);
});

/** A box that stands on two panels, one of them of a tank, whose hole is too near to the box's left edge. */
const hatchery = (stands: 'inside' | 'outside') => `title: Snail hatchery
units: mm
boxes:
  weir box:
    material: acrylic
    width: 240
    height: 200
    wall: 6
    stands: ${stands}
    holes:
      - {name: drain, diameter: 40, from-left: 30, from-bottom: 100}   # nearer than its wall allows
tanks:
  hatchery:
    material: annealed glass
    length: 800
    width: 400
    height: 450
    thickness: 8
    bottom: under walls
    ends: between front and back
    panels:
      back:
        boxes: [{box: weir box, from-center-x: 0, from-top: 40}]
        holes:
          - {name: return, diameter: 30, from-left: 25, from-top: 80}
panels:
  spare:
    material: annealed glass
    width: 700
    height: 500
    thickness: 8
    boxes: [{box: weir box, from-left: 200, from-top: 60}]
`;

describe('a build', () => {
  it.each(['inside', 'outside'] as const)('moves a hole of a box that stands %s once, for its wall and all panels', (stands) => {
    file('hatchery.yaml', hatchery(stands));
    const { status, stdout } = run('settle', 'hatchery.yaml');
    expect(status).toBe(0);
    const found = differences(hatchery(stands), text('hatchery-settled.yaml')).map(([, now]) => now.trim());
    // 40 + 20 from the box's edge; 30 + 15 from the panel's.
    expect(found).toEqual(['- {name: drain, diameter: 40, from-left: 60, from-bottom: 100}   # nearer than its wall allows', '- {name: return, diameter: 30, from-left: 45, from-top: 80}']);
    expect(stdout).toMatch(/^weir box: drain: moved 30 mm right: from-left 60 mm, from-bottom 100 mm \(good practice\)$/m);
    expect(stdout).toMatch(/^hatchery, back: return: moved 20 mm right/m);
    expect(run('check', 'hatchery-settled.yaml').stdout).toMatch(/^verdict: clear$/m);
  });

  it('moves a box\'s hole where one of its panels alone asks for it, in the terms of the box', () => {
    const spec = hatchery('outside').replace('diameter: 40, from-left: 30', 'diameter: 20, from-left: 30').replace('height: 500\n    thickness: 8', 'height: 500\n    thickness: 15').replace('from-left: 200, from-top: 60', 'from-left: 5, from-top: 60').replace('from-left: 25, from-top: 80', 'from-left: 90, from-top: 200');
    file('hatchery.yaml', spec);
    const { status, stdout } = run('settle', 'hatchery.yaml', '--minimum');
    expect(status).toBe(0);
    // EN 12150-1:2015, clause 7: 2 t of 15 mm glass and the radius of 10 mm are 40 from the panel's edge, and the box begins at 5.
    expect(stdout).toMatch(/^weir box: drain: moved 5 mm right: from-left 35 mm, from-bottom 100 mm \(good practice\)$/m);
    expect(run('check', 'hatchery-settled.yaml').stdout).not.toMatch(/^refused/m);
  });

  it('does not move the holes of a box that is refused itself', () => {
    file('hatchery.yaml', hatchery('inside').replace('from-left: 200, from-top: 60', 'from-left: -10, from-top: 60'));
    const { status, stdout } = run('settle', 'hatchery.yaml');
    expect(status).toBe(1);
    expect(stdout).toMatch(/^weir box: drain: not moved, refused still: its box weir box is refused itself.*place the box elsewhere first$/m);
    expect(stdout).toMatch(/^hatchery, back: return: moved/m);
  });

  it('does not move what is written once and used in several places', () => {
    file('twins.yaml', 'title: Twins\nunits: mm\npanels:\n  one: {material: acrylic, width: 400, height: 300, thickness: 8, holes: &same [{name: a, diameter: 30, from-left: 20, from-top: 150}]}\n  two: {material: acrylic, width: 400, height: 300, thickness: 8, holes: *same}\n');
    const { status, stdout } = run('settle', 'twins.yaml');
    expect(status).toBe(1);
    expect(stdout).toMatch(/^one: a: not moved, tight still|^one: a: not moved, refused still/m);
    expect(stdout).toMatch(/used in several places \(&same\)/);
    expect(stdout).toMatch(/used in several places \(\*same\)/);
    expect(files()).toEqual(['twins.yaml']);
  });

  it('finds what the spec includes, and does not touch it', () => {
    file('drawer.yaml', 'units: mm\nfittings:\n  own bulkhead: {hole: [44, 46], flange: 66, nut: 62, grip: [3, 25]}\n');
    file('shelf.yaml', 'title: Shelf\nunits: mm\ninclude: drawer.yaml\npanel: {material: acrylic, width: 400, height: 300, thickness: 8}\nholes:\n  - {name: a, fitting: own bulkhead, from-left: 40, from-top: 150}\n');
    const before = digest('drawer.yaml');
    expect(run('settle', 'shelf.yaml').status).toBe(0);
    expect(digest('drawer.yaml')).toBe(before);
    expect(run('check', 'shelf-settled.yaml').stdout).toMatch(/^verdict: clear$/m);
    mkdirSync(join(folder, 'other'));
    expectError(run('settle', 'shelf.yaml', '-o', 'other/shelf.yaml'), 2, /includes files that are not found from there/);
    expect(files(join(folder, 'other'))).toEqual([]);
  });
});

describe('where it is written', () => {
  it('over a file that settle made and nobody has changed, and over no other', () => {
    file('nursery.yaml', nursery);
    run('settle', 'nursery.yaml');
    expect(run('settle', 'nursery.yaml', '--minimum').status).toBe(0);
    expect(text('nursery-settled.yaml')).toContain('from-top: 43 mm');
    file('nursery-settled.yaml', text('nursery-settled.yaml').replace('from-top: 43 mm', 'from-top: 44 mm'));
    const before = digest('nursery-settled.yaml');
    expectError(run('settle', 'nursery.yaml'), 3, /nursery-settled\.yaml: a file that settle did not make, or that was changed since, is in the way[^]*fix: /);
    expect(digest('nursery-settled.yaml')).toBe(before);
    expect(run('settle', 'nursery.yaml', '-o', 'second.yaml').status).toBe(0);
    expect(text('second.yaml')).toContain('from-top: 68 mm');
  });

  it('over no file that is no text', () => {
    file('nursery.yaml', nursery);
    file('nursery-settled.yaml', Uint8Array.from([0xff, 0xd8, 0xff, 0xe0]));
    expectError(run('settle', 'nursery.yaml'), 3, /is in the way/);
  });

  it('a settled file can be settled again, and has one mark', () => {
    file('nursery.yaml', nursery);
    run('settle', 'nursery.yaml', '--minimum');
    expect(run('settle', 'nursery-settled.yaml').status).toBe(0);
    expect(text('nursery-settled-settled.yaml').match(/made by panejig settle/g)).toHaveLength(1);
    expect(text('nursery-settled-settled.yaml')).toContain('from-top: 68 mm');
  });

  it('in the spec itself only with --in-place, with its mode and its links kept', () => {
    file('nursery.yaml', nursery);
    chmodSync(join(folder, 'nursery.yaml'), 0o640);
    symlinkSync('nursery.yaml', join(folder, 'link.yaml'));
    expectError(run('settle', 'nursery.yaml', '-o', 'nursery.yaml'), 2, /is the spec itself[^]*--in-place/);
    expectError(run('settle', 'nursery.yaml', '-o', 'link.yaml'), 2, /is the spec itself/);
    expectError(run('settle', 'nursery.yaml', '-o', 'other.yaml', '--in-place'), 2, /--in-place and -o/);
    expect(text('nursery.yaml')).toBe(nursery);
    expect(run('settle', 'link.yaml', '--in-place').status).toBe(0);
    expect(files()).toEqual(['link.yaml', 'nursery.yaml']);
    expect(differences(nursery, text('nursery.yaml'))).toHaveLength(2);
    expect(statSync(join(folder, 'nursery.yaml')).mode & 0o777).toBe(0o640);
  });

  it('nowhere where the folder is not there, or the place is one', () => {
    file('nursery.yaml', nursery);
    mkdirSync(join(folder, 'nursery-settled.yaml'));
    expectError(run('settle', 'nursery.yaml'), 3, /it is a folder/);
    expectError(run('settle', 'nursery.yaml', '-o', 'no/such.yaml'), 3, /the folder no is not there/);
  });
});

describe('nothing to do, and what cannot be done', () => {
  it('says so where nothing is faulty, and writes nothing', () => {
    file('clear.yaml', nursery.replace('34 mm', '90 mm').replace('from-right: 40', 'from-right: 60'));
    const { status, stdout } = run('settle', 'clear.yaml');
    expect(status).toBe(0);
    expect(stdout).toMatch(/^Nothing to settle: no hole is refused or tight by a rule that moving can cure\.$/m);
    expect(files()).toEqual(['clear.yaml']);
  });

  it('does not move holes of rows, repeats and twins, nor those whose place is found, and says what to do instead', () => {
    file('rows.yaml', 'title: Hatchery\nunits: mm\npanel: {material: acrylic, width: 500, height: 300, thickness: 8}\nholes:\n  - row: {name: feed, count: 3, diameter: 20, from-left: 20, from-right: 60, from-top: 150}\n  - {name: weep, diameter: 12, from-left: 60, from-top: 10, repeat: {count: 2, right: 80}}\n  - {name: drain, diameter: 30, from-left: 20, from-bottom: 60}\n  - {name: spare, diameter: 20, place: best}\n');
    const { status, stdout } = run('settle', 'rows.yaml');
    expect(status).toBe(1);
    expect(stdout).toMatch(/^feed 1: not moved, tight still: it is one of several that an entry stands for.*: change that entry, or write the hole as an entry of its own$/m);
    expect(stdout.match(/^weep \d: not moved, refused still/gm)).toHaveLength(2);
    expect(stdout).toMatch(/^drain: moved 25 mm right: from-left 45 mm, from-bottom 60 mm \(good practice\)$/m);
    expect(stdout).not.toMatch(/^(feed 2|spare):/m);
    expect(stdout).toMatch(/^rows-settled\.yaml: the new spec; not all is settled in it$/m);
  });

  it('a hole of a row stays where another makes room for it, and all is settled then', () => {
    // 28 between centres less both radii, 11 + 2, leaves 15; good practice in acrylic, from memory, asks one diameter, 22.
    file('plenum.yaml', 'title: Snail hatchery, air plenum\nunits: mm\npanel: {material: acrylic, width: 500, height: 260, thickness: 5}\nholes:\n  - row: {name: air, diameter: 4, count: 3, from-left: 100, from-right: 100, from-bottom: 60}\n  - {name: feed, diameter: 22, from-left: 250, from-bottom: 88}\n');
    const { status, stdout } = run('settle', 'plenum.yaml');
    expect(stdout).toMatch(/^air 2: stays where it is: the others make room for it \(good practice\)$/m);
    expect(stdout).toMatch(/^feed: moved 7 mm up: from-left 250 mm, from-bottom 95 mm \(good practice\)$/m);
    expect(stdout).toMatch(/^verdict: tight before, clear now$/m);
    expect(stdout).not.toMatch(/still|not all/);
    expect(status).toBe(0);
  });

  it('a hole whose place is found anew, and is clear there, is told to stand elsewhere, not to stay', () => {
    // Good practice in acrylic, from memory: 70 between the drain and the spare, 40 between the spare and the pin. On its line the spare has neither.
    file('anew.yaml', 'title: Snail hatchery, lid\nunits: mm\npanel: {material: acrylic, width: 400, height: 300, thickness: 6}\nholes:\n  - {name: drain, diameter: 40, from-left: 150, from-top: 20}\n  - {name: pin, diameter: 20, from-left: 230, from-top: 70}\n  - {name: spare, diameter: 20, place: best, from-top: 70, within: {from-left: 150, from-right: 170}}\n');
    expect(run('check', 'anew.yaml').stdout).toMatch(/^tight: spare: /m);
    const { status, stdout } = run('settle', 'anew.yaml');
    expect(run('check', 'anew-settled.yaml').stdout).toMatch(/^verdict: clear$/m);
    expect(stdout).toMatch(/^note: spare stands elsewhere now/m);
    expect(stdout).not.toMatch(/^spare:/m);
    expect(status).toBe(0);
  });

  it('a hole of a row that another leaves more room is told as it is now', () => {
    // The feed finds no place on a strip of 70 where it keeps good practice: 22 to both edges and 11 + 11, and 22 from the row.
    file('lane.yaml', 'title: Snail hatchery, air lane\nunits: mm\npanel: {material: acrylic, width: 300, height: 70, thickness: 5}\nholes:\n  - row: {name: air, diameter: 4, count: 7, from-left: 20, from-right: 20, from-bottom: 20}\n  - {name: feed, diameter: 22, from-left: 150, from-bottom: 35}\n');
    const { status, stdout } = run('settle', 'lane.yaml');
    expect(stdout).toMatch(/^air 4: not moved, refused before, tight now: it is one of several/m);
    expect(status).toBe(1);
  });

  it('leaves a hole whose place is found its room, and tells where it is found anew', () => {
    // Acrylic, from memory: 15 mm to the edge and between at the least.
    file('best.yaml', 'title: Cube\nunits: mm\npanel: {material: acrylic, width: 200, height: 60, thickness: 8}\nholes:\n  - {name: drain, diameter: 30, from-left: 40, from-top: 20}\n  - {name: spare, diameter: 30, place: best, from-top: 30, within: {from-left: 84, from-right: 110}}\n');
    const { status, stdout } = run('settle', 'best.yaml');
    expect(status).toBe(1);
    expect(stdout).toMatch(/^drain: moved 10 mm down: .* \(published minimum\)$/m);
    expect(stdout).toMatch(/^spare: not moved, tight still: /m);
    expect(stdout).toMatch(/^note: spare stands elsewhere now, as its place is found anew/m);
    expect(run('check', 'best-settled.yaml').stdout).not.toMatch(/^refused/m);
  });

  it('names the holes that find no room, and the rule', () => {
    file('narrow.yaml', 'title: Strip\nunits: mm\npanel: {material: annealed glass, width: 300, height: 70, thickness: 10}\nholes:\n  - {name: a, diameter: 40, from-left: 100, from-top: 30}\n');
    const { status, stdout } = run('settle', 'narrow.yaml');
    expect(status).toBe(1);
    expect(stdout).toMatch(/^a: no room, refused still: no place on this panel: 5 mm too little to .*\(ligament to edge\)/m);
    expect(stdout).toMatch(/^No spec was written\.$/m);
    // 40 mm is more than a third of 70 mm, which moving does not mend.
    expect(stdout).toMatch(/^note: a is refused by what moving a hole does not mend: largest diameter; see panejig check$/m);
    expect(files()).toEqual(['narrow.yaml']);
  });

  it('writes what could be settled where not all could', () => {
    file('part.yaml', nursery.replace('drain 1,   diameter: 45 mm', 'drain 1,   diameter: 5 mm').replace('34 mm', '10 mm'));
    const { status, stdout } = run('settle', 'part.yaml');
    expect(status).toBe(1);
    expect(stdout).toMatch(/^part-settled\.yaml: the new spec; not all is settled in it$/m);
    expect(stdout).toMatch(/^note: drain 1 is refused by .*: least diameter/m);
  });

  it('takes the minimum where there is no room for good practice, and says so', () => {
    // Acrylic, from memory: half a diameter of ligament at the least, a diameter at good practice; 30 and 45 mm from the middle.
    file('low.yaml', 'title: Strip\nunits: mm\npanel: {material: acrylic, width: 500, height: 80, thickness: 8}\nholes:\n  - {name: a, diameter: 30, from-left: 200, from-top: 24}\n  - {name: b, diameter: 30, from-left: 350, from-top: 40}\n');
    const { status, stdout } = run('settle', 'low.yaml');
    expect(status).toBe(0);
    expect(stdout).toMatch(/^a: moved 6 mm down: .* \(published minimum\)$/m);
    expect(stdout).toMatch(/^b: stays where it is: no place that is left meets good practice, and it keeps the published minimum \(published minimum\)$/m);
  });

  it('2 for a spec with problems, a bad step, and 3 for a file that is not there', () => {
    file('slip.yaml', nursery.replace('diameter', 'diametre'));
    expectError(run('settle', 'slip.yaml'), 2, /slip\.yaml:7:\d+: .*did you mean diameter/s);
    file('nursery.yaml', nursery);
    expectError(run('settle', 'nursery.yaml', '--step', '5'), 2, /--step: "5" has no unit/);
    expectError(run('settle', 'nursery.yaml', '--step', '0mm'), 2, /--step: "0mm" is too small/);
    expectError(run('settle', 'missing.yaml'), 3, /cannot read missing\.yaml/);
    expect(files()).toEqual(['nursery.yaml', 'slip.yaml']);
  });
});

describe('--json', () => {
  it('tells in millimetres what was moved', () => {
    file('nursery.yaml', nursery);
    const { status, stdout } = run('settle', 'nursery.yaml', '--json');
    expect(status).toBe(0);
    expect(JSON.parse(stdout)).toEqual({
      title: 'Coral nursery',
      isSettled: true,
      verdict: { before: 'refused', after: 'clear' },
      written: 'nursery-settled.yaml',
      total: 39,
      holes: [
        { hole: 'drain 1', of: '', called: 'drain 1', outcome: 'moved', verdict: { before: 'refused', after: 'clear' }, level: 'good practice', moved: { right: 0, up: -34 }, distances: { 'from-left': 150, 'from-top': 68 }, written: { 'from-left': '150 mm', 'from-top': '68 mm' }, finerStep: null, why: '' },
        { hole: 'return', of: '', called: 'return', outcome: 'moved', verdict: { before: 'tight', after: 'clear' }, level: 'good practice', moved: { right: -5, up: 0 }, distances: { 'from-right': 45, 'from-bottom': 200 }, written: { 'from-right': '45 mm', 'from-bottom': '200 mm' }, finerStep: null, why: '' },
      ],
      notes: [],
    });
  });
});

it('a hundred holes that are all in each other\'s way are moved until the check clears them', () => {
  const holes = Array.from({ length: 100 }, (_, index) => `  - {name: h${index}, diameter: 12, from-left: ${50 + (index % 10) * 16}, from-top: ${50 + Math.floor(index / 10) * 16}}`).join('\n');
  file('crowd.yaml', `title: Snail hatchery\nunits: mm\npanel: {material: acrylic, width: 1000, height: 1000, thickness: 5}\nholes:\n${holes}\n`);
  const { status, stdout } = run('settle', 'crowd.yaml');
  expect(status).toBe(0);
  expect(stdout).toMatch(/^moved: 99 of 100, /m);
  expect(run('check', 'crowd-settled.yaml').stdout).toMatch(/^verdict: clear$/m);
});

it('the example of a panel that is refused is settled but for the hole that is too small', () => {
  const spec = readFileSync(join(root, 'templates-spec/too-close.yaml'), 'utf8');
  file('too-close.yaml', spec);
  const { status, stdout } = run('settle', 'too-close.yaml');
  expect(status).toBe(1);
  expect(differences(spec, text('too-close-settled.yaml')).map(([old]) => numbersOut(old))).toEqual(differences(spec, text('too-close-settled.yaml')).map(([, now]) => numbersOut(now)));
  expect(stdout).toMatch(/^note: air line is refused by what moving a hole does not mend: least diameter/m);
  const { findings } = (JSON.parse(run('check', 'too-close-settled.yaml', '--json').stdout) as { panels: { findings: { hole: string; rule: string; verdict: string }[] }[] }).panels[0] as { findings: { hole: string; rule: string; verdict: string }[] };
  expect(findings.filter(({ verdict }) => verdict === 'refused').map(({ hole, rule }) => [hole, rule])).toEqual([['air line', 'least-diameter']]);
});
