/** An entry of a list of holes: a hole, or a row; repeated, mirrored, or to be placed by the tool. */
import { describe, expect, it } from 'vitest';
import { readSpec } from '../../src/spec/read.ts';
import { problemText, type Problem } from '../../src/spec/problem.ts';
import { schemaErrorsOfText } from './against-schema.ts';

/** A spec of a snail hatchery's rack around its holes. */
const rack = (entry: string) => `title: Snail hatchery, rack\nunits: mm\npanel: {material: acrylic, width: 600, height: 400, thickness: 8}\nholes:\n  - ${entry}\n`;

function problemsOf(text: string): readonly Problem[] {
  const reading = readSpec(text);
  return 'problems' in reading ? reading.problems : [];
}

describe('what reader and schema accept', () => {
  it.each([
    ['a row that lies', 'row: {name: a, diameter: 20, count: 4, from-left: 60, from-right: 60 mm, from-top: 2 in}', { row: { name: 'a', diameter: 20, count: 4, 'from-left': 60, 'from-right': 60, 'from-top': 50.8 } }],
    ['a row that stands', 'row: {name: 1, fitting: bulkhead 1 in, count: 2, from-top: 60, from-bottom: 60, from-center-x: -10, flange-on: outside, outside: elbow}', { row: { name: '1', fitting: 'bulkhead 1 in', count: 2, 'from-top': 60, 'from-bottom': 60, 'from-center-x': -10, 'flange-on': 'outside', outside: 'elbow' } }],
    ['a row that is a grid with twins', 'row: {name: a, diameter: 20, count: 4, from-left: 60, from-right: 340, from-bottom: 40, repeat: {count: 2, up: 40}, mirror: both}', { row: { repeat: { count: 2, up: 40 }, mirror: 'both' } }],
    ['a slanted row', '{name: a, diameter: 20, from-left: 60, from-top: 60, repeat: {count: 3, left: 1 cm, down: 5}}', { repeat: { count: 3, left: 10, down: 5 } }],
    ['a twin', '{name: a, diameter: 20, from-left: 60, from-top: 60, mirror: top-bottom}', { mirror: 'top-bottom' }],
    ['the best place anywhere', '{name: a, diameter: 20, place: best}', { name: 'a', diameter: 20, place: 'best' }],
    ['the best place on a line', '{name: a, diameter: 20, place: best, from-center-y: 0, within: {from-left: 0, from-right: 10}}', { 'from-center-y': 0, within: { 'from-left': 0, 'from-right': 10 } }],
    ['the best place within limits', '{name: a, fitting: {hole: 20}, place: best, within: {from-top: 100, from-bottom: 4 cm}}', { within: { 'from-top': 100, 'from-bottom': 40 } }],
  ])('%s', (_what, entry, read) => {
    const reading = readSpec(rack(entry));
    if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
    expect(reading.spec.holes?.[0]).toMatchObject(read);
    expect(schemaErrorsOfText(rack(entry))).toEqual([]);
  });
});

describe('what neither accepts is told at its place', () => {
  it.each<[string, string, string, RegExp, RegExp, RegExp]>([
    ['a row of one', 'row: {name: a, diameter: 20, count: §1, from-left: 60, from-right: 60, from-top: 60}', 'row.count', /^1 is too small$/, /2 to 20000/, /write it as a hole/],
    ['a row of none', 'row: {name: a, diameter: 20, count: §0, from-left: 60, from-right: 60, from-top: 60}', 'row.count', /^0 is too small$/, /2 to 20000/, /count the holes/],
    ['a row past counting', 'row: {name: a, diameter: 20, count: §20001, from-left: 60, from-right: 60, from-top: 60}', 'row.count', /too large/, /2 to 20000/, /count the holes/],
    ['a row of a half', 'row: {name: a, diameter: 20, count: §2.5, from-left: 60, from-right: 60, from-top: 60}', 'row.count', /not a whole number/, /2 to 20000/, /count/],
    ['a row that does not say how many', 'row: §{name: a, diameter: 20, from-left: 60, from-right: 60, from-top: 60}', 'row.count', /is missing/, /2 to 20000/, /add count/],
    ['a row without a name', 'row: §{diameter: 20, count: 3, from-left: 60, from-right: 60, from-top: 60}', 'row.name', /is missing/, /name of the row/, /add name/],
    ['a row of nothing', 'row: §{name: a, count: 3, from-left: 60, from-right: 60, from-top: 60}', 'row', /none of diameter, fitting/, /exactly one/, /add one of diameter, fitting/],
    ['a row with one bound', 'row: §{name: a, diameter: 20, count: 3, from-left: 60, from-top: 60}', 'row', /both bounds neither across nor up/, /from-left and from-right with one distance up/, /first and the last centre/],
    ['a row by its middle', 'row: §{name: a, diameter: 20, count: 3, from-center-x: 60, from-top: 60}', 'row', /both bounds neither/, /from-top and from-bottom with one distance across/, /first and the last centre/],
    ['a row with bounds both ways', 'row: {name: a, diameter: 20, count: 3, from-left: 60, from-right: 60, from-top: 60, from-bottom: §60}', 'row.from-bottom', /along one way only/, /from-left and from-right/, /for a row that lies remove/],
    ['a row that lies nowhere', 'row: §{name: a, diameter: 20, count: 3, from-left: 60, from-right: 60}', 'row', /none of from-top, from-bottom, from-center-y/, /exactly one/, /add one of/],
    ['a row that lies at two heights', 'row: {name: a, diameter: 20, count: 3, from-left: 60, from-right: 60, from-top: 60, from-center-y: §0}', 'row.from-center-y', /beside from-top/, /exactly one/, /keep one/],
    ['a row with bounds and a middle', 'row: {name: a, diameter: 20, count: 3, from-top: 60, from-bottom: 60, from-left: 60, from-center-y: §0}', 'row.from-center-y', /stands beside both bounds/, /from-top and from-bottom/, /remove from-center-y/],
    ['a name beside its row', '{name: §a, row: {name: a, diameter: 20, count: 3, from-left: 60, from-right: 60, from-top: 60}}', 'name', /stands beside row/, /row alone/, /write name into the row/],
    ['repeat beside its row', '{row: {name: a, diameter: 20, count: 3, from-left: 60, from-right: 60, from-top: 60}, repeat: §{count: 2, down: 40}}', 'repeat', /stands beside row/, /row alone/, /write repeat into the row/],
    ['a place sought for a row', '{row: {name: a, diameter: 20, count: 3, from-left: 60, from-right: 60, from-top: 60}, place: §best}', 'place', /no place is sought for a row/, /row alone/, /remove place/],
    ['a place sought within a row', 'row: {name: a, diameter: 20, count: 3, from-left: 60, from-right: 60, from-top: 60, §place: best}', 'row.place', /unknown key "place"/, /name, count, diameter/, /./],
    ['a row that is a number', 'row: §4', 'row', /found 4/, /a row of holes/, /write a group of keys: name, count/],
    ['an empty row', 'row: §', 'row', /an empty value/, /a row of holes/, /write a group of keys/],
    ['an entry that is a word', '§return', '', /neither a hole nor a row/, /a hole: its name/, /write a group of keys/],
    ['a slip in row', '{§rows: {name: a}}', 'rows', /unknown key "rows"/, /name, diameter/, /did you mean row\?/],
    ['repeat as a number', '{name: a, diameter: 20, from-left: 60, from-top: 60, repeat: §3}', 'repeat', /found 3/, /count in all/, /write a group of keys: count, right/],
    ['repeat with no step', '{name: a, diameter: 20, from-left: 60, from-top: 60, repeat: §{count: 3}}', 'repeat', /none of right, left, up, down/, /slanted/, /add the step/],
    ['repeat of one', '{name: a, diameter: 20, from-left: 60, from-top: 60, repeat: {count: §1, right: 40}}', 'repeat.count', /^1 is too small/, /the first included/, /leave repeat out/],
    ['repeat both left and right', '{name: a, diameter: 20, from-left: 60, from-top: 60, repeat: {count: 3, right: 40, left: §40}}', 'repeat.left', /beside right/, /exactly one of right, left/, /keep one/],
    ['repeat both up and down', '{name: a, diameter: 20, from-left: 60, from-top: 60, repeat: {count: 3, up: 40, down: §40}}', 'repeat.down', /beside up/, /exactly one of up, down/, /keep one/],
    ['a mirror that is none', '{name: a, diameter: 20, from-left: 60, from-top: 60, mirror: §across}', 'mirror', /found "across"/, /left-right, top-bottom, both/, /accepted words/],
    ['a place that is none', '{name: a, diameter: 20, place: §middle}', 'place', /found "middle"/, /best/, /accepted words/],
    ['twins of a sought place', '{name: a, diameter: 20, place: best, mirror: §both}', 'mirror', /beside place: best/, /given distances/, /remove mirror/],
    ['repeats of a sought place', '{name: a, diameter: 20, place: best, repeat: §{count: 2, up: 40}}', 'repeat', /beside place: best/, /given distances/, /remove repeat/],
    ['nothing left to seek', '{name: a, diameter: 20, from-left: 60, from-top: 60, place: §best}', 'place', /leave nothing to find/, /at most one distance/, /remove place/],
    ['two distances across for a sought place', '{name: a, diameter: 20, from-left: 60, from-right: §60, place: best}', 'from-right', /beside from-left/, /exactly one/, /keep one/],
    ['limits without a sought place', '{name: a, diameter: 20, from-left: 60, from-top: 60, within: §{from-left: 10}}', 'within', /stands without place: best/, /beside place: best alone/, /remove within/],
    ['neither a place nor what to seek', '§{name: a, diameter: 20, from-top: 60}', '', /none of from-left/, /or place: best/, /add one of/],
  ])('%s', (_what, entry, key, found, accepted, fix) => {
    const text = rack(entry);
    const before = (text.split('§')[0] as string).split('\n');
    const problems = problemsOf(text.replace('§', ''));
    const problem = problems.find((one) => found.test(one.found)) ?? expect.fail(problems.map((one) => problemText(one, 'spec')).join('\n'));
    expect([problem.line, problem.column], problemText(problem, 'spec')).toEqual([before.length, (before[before.length - 1] as string).length + 1]);
    expect(problem.key).toBe(key ? `holes[0].${key}` : 'holes[0]');
    expect(problem.accepted).toMatch(accepted);
    expect(problem.fix).toMatch(fix);
    expect(schemaErrorsOfText(text.replace('§', ''))).not.toEqual([]);
  });

  // Only the reader can say these: the schema accepts all that the reader accepts, and more.
  it.each<[string, string, string, RegExp, RegExp]>([
    ['a limit of what is fixed', '{name: a, diameter: 20, from-top: 60, place: best, within: {from-bottom: 40, from-left: 4}}', 'within.from-bottom', /^40 limits what from-top has fixed$/, /remove from-bottom here, or from-top of the hole/],
    ['a step backwards', '{name: a, diameter: 20, from-left: 60, from-top: 60, repeat: {count: 3, right: -40}}', 'repeat.right', /too small/, /check the value/],
    ['a limit off the panel', '{name: a, diameter: 20, place: best, within: {from-left: -4}}', 'within.from-left', /too small/, /check the value/],
  ])('%s', (_what, entry, key, found, fix) => {
    const [problem, ...more] = problemsOf(rack(entry));
    expect([problem?.key, more]).toEqual([`holes[0].${key}`, []]);
    expect(problem?.found).toMatch(found);
    expect(problem?.fix).toMatch(fix);
    expect(schemaErrorsOfText(rack(entry))).toEqual([]);
  });
});
