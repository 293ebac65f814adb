/** What is said of the water: tables and words, against sums done by hand. */
import { describe, expect, it } from 'vitest';
import { checkWater, waterTables, type WaterReport } from '../src/water.ts';
import type { Drain, WaterSystem } from '../src/water/system.ts';
import { drain, litresPerHour, returned, run, system, tank, weir } from './water/systems.ts';

const reportOf = (water: WaterSystem) => checkWater({ water }) as WaterReport;
const table = (of: WaterSystem, heading: string) => waterTables(reportOf(of)).find((one) => one.heading === heading);

describe('notes', () => {
  it('say that what stands behind a weir of no box is not counted', () => {
    const of = (box: null | { part: string; name: string }) => reportOf(system({ tanks: [tank('cistern', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { weir: 'notch' })], weirs: [weir('notch', { box })] })] })).notes.join(' ');
    expect(of(null)).toContain('What stands behind notch of cistern, down to its drains, is not counted');
    expect(of({ part: 'back', name: 'notch' })).not.toContain('not counted');
  });
});

describe('the table of holes', () => {
  it('shows what is found of each pipe, also what runs back through it, and of twins each its own', () => {
    const basin = (name: string, opening: number) => tank(name, { returns: [returned('return', { run: null, rise: null, opening, flow: litresPerHour(700) })], drains: [drain('drain', { rated: litresPerHour(3000), run: null })], weirs: [weir('notch', { box: null })] });
    const twins = system({ pump: { curve: null, flow: litresPerHour(1400), throttle: null }, tanks: [basin('basin', 50), basin('basin 2', 150)] });
    const verdicts = (of: WaterSystem) => table(of, 'Holes')?.rows.filter(([hole]) => hole === 'return').map((row) => [row[1], row.at(-1)]);
    // 860 x 430 mm: the second lets 38.8 L through from the crest, 45 mm under its top, and the sump has 24.5 L free.
    expect(verdicts(twins)).toEqual([['basin', 'clear'], ['basin 2', 'refused']]);
    expect(verdicts({ ...twins, sump: { ...twins.sump, top: 600 } })).toEqual([['basin', 'clear'], ['basin 2', 'clear']]);
  });
});

describe('the table of tanks', () => {
  const cistern = (spares: readonly Drain[], length = 300) =>
    system({ tanks: [tank('cistern', { returns: [returned('return', { run: null, rise: null })], drains: [drain('drain', { rated: litresPerHour(3000), run: null, weir: 'weir box' }), ...spares], weirs: [weir('weir box', { length })] })] });
  const spare = (of: Partial<Drain>) => drain('spare', { runs: 'open', isSpare: true, opening: 90, weir: 'weir box', ...of });
  const now = (of: WaterSystem) => table(of, 'Tanks')?.rows[1]?.at(-2);
  const worst = (of: WaterSystem) => table(of, 'Tanks')?.rows[1]?.at(-1);

  it('says that water runs over the rim where the drains that are left do not carry what comes', () => {
    for (const spares of [[], [spare({ rated: litresPerHour(1499), run: null })]]) {
      expect(now(cistern(spares))).toMatch(/^\d+\.\d mm$/);
      expect(worst(cistern(spares))).toBe('over the rim');
    }
    const enough = cistern([spare({ rated: litresPerHour(1501), run: null })]);
    expect(worst(enough)).toBe(now(enough));
  });

  it('says so, too, where the weir is too short for the water', () => {
    const short = cistern([spare({ rated: litresPerHour(1501), run: null })], 20);
    expect([now(short), worst(short)]).toEqual(['over the rim', 'over the rim']);
  });

  it('says where it counts on an open drain to fill with water', () => {
    // 1 in: relied on for 920 L/h, 1500 L/h and more when full.
    const words = (of: WaterSystem) => table(of, 'Tanks')?.words.join(' ');
    expect(words(cistern([spare({ run: run('1', 900) })]))).toContain('are taken to fill with water');
    expect(words(cistern([spare({ run: run('2', 900) })]))).not.toContain('are taken to fill with water');
  });
});
