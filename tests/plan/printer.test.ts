/** Printer profiles: the arithmetic of scales, written out here, and every way a measurement, a name or a file can be wrong. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { makeProfile, nameRefusal, prescale, profileText, profileWords, readProfile, readingErrorAt, type Measurement, type PrinterProfile, type Refusal } from '../../src/plan/printer.ts';
import { papers, type Paper } from '../../src/trade/papers.ts';

const paperNamed = (name: string) => papers.find((paper) => paper.name === name) as Paper;
const a4 = paperNamed('A4');

/** Scales of a ruler page, set here for the test: 30 mm short of the paper's sides (ISO 216, ANSI/ASME Y14.1). */
const nominalOn = (paper: Paper) => ({ across: Math.floor(paper.width - 30), down: Math.floor(paper.height - 30) });
const nominal = { across: 180, down: 267 };

function made(measurement: Partial<Measurement> = {}): PrinterProfile | Refusal {
  return makeProfile({ name: 'office', paper: a4, ...nominal, ...measurement }, nominalOn);
}

function profileOf(measurement: Partial<Measurement> = {}): PrinterProfile {
  const profile = made(measurement);
  if ('found' in profile) throw new Error(`the test's own measurement is refused: ${profile.found}`);
  return profile;
}

function refusalOf(measurement: Partial<Measurement>): Refusal {
  const refusal = made(measurement);
  if (!('found' in refusal)) throw new Error(`not refused: ${JSON.stringify(measurement)}`);
  return refusal;
}

/** A measured length within 3 % of nominal. */
const within = (length: number) => fc.double({ min: length * 0.97, max: length * 1.03, noNaN: true });
const anyProfile = fc.record({ across: within(nominal.across), down: within(nominal.down) }).map(profileOf);

describe('what a profile does', () => {
  test('a page multiplied by its prescale comes out true: printer error times prescale is 1', () => {
    fc.assert(
      fc.property(anyProfile, (profile) => {
        const upright = prescale(profile, 'portrait');
        // Plain proportion: the printer makes nominal into measured.
        expect(upright.x * (profile.across.measured / nominal.across)).toBeCloseTo(1, 12);
        expect(upright.y * (profile.down.measured / nominal.down)).toBeCloseTo(1, 12);
      }),
    );
  });

  test('literal: 181.26 of 180 is 100.7 %, so a page shrinks across by 180 / 181.26', () => {
    const { x, y } = prescale(profileOf({ across: 181.26, down: 264 }), 'portrait');
    expect(x).toBeCloseTo(0.993049, 6);
    expect(y).toBeCloseTo(1.011364, 6);
  });

  test('across is the short side of the paper: a landscape page has it upright', () => {
    const profile = profileOf({ across: 181, down: 265 });
    const [portrait, landscape] = [prescale(profile, 'portrait'), prescale(profile, 'landscape')];
    expect(landscape).toEqual({ x: portrait.y, y: portrait.x });
    expect(portrait.x).toBeLessThan(1);
    expect(portrait.y).toBeGreaterThan(1);
  });

  test('its words', () => {
    expect(profileWords(profileOf({ across: 181.26, down: 264.063, date: '2026-11-20' }))).toBe('printer profile "office", measured 2026-11-20 on A4: across 100.7 %, down 98.9 %');
    expect(profileWords(profileOf())).toBe('printer profile "office", measured on A4: across 100 %, down 100 %');
  });
});

describe('what a reading error leaves', () => {
  test('it is the largest error over all readings within 0.5 mm, found by trying them', () => {
    const place = fc.double({ min: -2000, max: 2000, noNaN: true });
    fc.assert(
      fc.property(anyProfile, place, place, fc.constantFrom('portrait' as const, 'landscape' as const), (profile, dx, dy, orientation) => {
        // A printer of true factor t / n, prescaled by n / m, prints d as d t / m.
        const [x, y] = orientation === 'portrait' ? [profile.across, profile.down] : [profile.down, profile.across];
        const errors = [-0.5, -0.2, 0, 0.3, 0.5].flatMap((ex) => [-0.5, -0.1, 0.4, 0.5].map((ey) => Math.hypot(dx * ((x.measured + ex) / x.measured) - dx, dy * ((y.measured + ey) / y.measured) - dy)));
        const found = readingErrorAt(profile, dx, dy, orientation);
        expect(Math.max(...errors)).toBeLessThanOrEqual(found + 1e-9);
        expect(Math.max(...errors)).toBeGreaterThanOrEqual(found - 1e-9);
      }),
    );
  });

  test('literal: as far along as the scales are long, 0.5 mm each way', () => {
    expect(readingErrorAt(profileOf(), 180, 0, 'portrait')).toBeCloseTo(0.5, 12);
    expect(readingErrorAt(profileOf(), 180, -267, 'portrait')).toBeCloseTo(Math.SQRT1_2, 12);
    expect(readingErrorAt(profileOf(), 267, 180, 'landscape')).toBeCloseTo(Math.SQRT1_2, 12);
    expect(readingErrorAt(profileOf(), 0, 0, 'portrait')).toBe(0);
  });
});

describe('measurements that no printer makes', () => {
  test('up to 3 % is kept, beyond is refused', () => {
    for (const factor of [0.97, 1.03]) expect(made({ across: 180 * factor, down: 267 * factor })).not.toHaveProperty('found');
    for (const factor of [0.9699, 1.0301]) expect(made({ across: 180 * factor, down: 267 * factor })).toHaveProperty('found');
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 3000, noNaN: true }), fc.double({ min: 0.001, max: 3000, noNaN: true }), (across, down) => {
        const isKept = Math.abs(across / 180 - 1) <= 0.03 && Math.abs(down / 267 - 1) <= 0.03;
        expect('found' in made({ across, down })).toBe(!isKept);
      }),
    );
  });

  // "fit to page" between 94 and 97 %, and rules laid on at 10 mm or 1 in: common practice, no source.
  test.each([
    ['"fit to page" was on', { across: 180 * 0.955, down: 267 * 0.957 }, /fit to page/, /100 %/],
    ['"fit to page" with one axis just within', { across: 180 * 0.9695, down: 267 * 0.9705 }, /fit to page/, /100 %/],
    ['across and down are swapped', { across: 266.5, down: 180.4 }, /swapped/, /swap/],
    ['inches taken for millimetres', { across: 180 / 25.4, down: 267 / 25.4 }, /reading in in .* given in mm/, /--across 7\.087in --down 10\.512in/],
    ['centimetres taken for millimetres', { across: 18.1, down: 26.6 }, /reading in cm .* given in mm/, /--across 18\.1cm --down 26\.6cm/],
    ['millimetres taken for centimetres', { across: 1810, down: 2660 }, /reading in mm .* given in cm/, /--across 181mm/],
    ['inches taken for centimetres', { across: 180 / 2.54, down: 267 / 2.54 }, /reading in in .* given in cm/, /--across 7\.087in/],
    ['millimetres taken for inches', { across: 180 * 25.4, down: 267 * 25.4 }, /reading in mm .* given in in/, /--across 180mm/],
    ['one axis in inches taken for millimetres', { across: 180 / 25.4 }, /reading in in .* given in mm/, /--across 7\.087in$/],
    ['both too long', { across: 200, down: 292 }, /both are too long/, /100 %/],
    ['both too short', { across: 127, down: 189 }, /both are too short/, /100 %/],
    ['the rule was laid on at 10 mm', { across: 190.2, down: 277.1 }, /too long by 10 mm/, /subtract 10 mm/],
    ['the rule was laid on at 1 in', { across: 205.3, down: 292.3 }, /too long by 25\.4 mm/, /subtract 25\.4 mm/],
    ['another line was measured across', { across: 160 }, /only across .* another line/, /nominally 180 mm/],
    ['another line was measured down', { down: 230 }, /only down .* another line/, /nominally 267 mm/],
    ['one too long, one too short', { across: 195, down: 240 }, /one is too long and one too short/, /measure again/],
    ['nothing', { across: 0 }, /nothing or less/, /measure again/],
    ['less than nothing', { across: -180, down: -267 }, /nothing or less/, /measure again/],
  ] as const)('%s', (_what, measured, found, fix) => {
    const refusal = refusalOf(measured);
    expect(refusal.found).toMatch(found);
    expect(refusal.fix).toMatch(fix);
    expect(refusal.accepted).toBe('across from 174.6 mm to 185.4 mm, down from 259 mm to 275 mm (A4, within 3 %)');
  });

  test('the lengths of another paper name that paper', () => {
    for (const [paper, other] of [['A4', 'Letter'], ['Letter', 'A4'], ['A3', 'ANSI C'], ['Legal', 'ANSI B']] as const) {
      const refusal = refusalOf({ paper: paperNamed(paper), ...nominalOn(paperNamed(other)) });
      expect(refusal.found).toContain(`the ruler page for ${other}`);
      expect(refusal.fix).toBe(other.includes(' ') ? `add --paper "${other}"` : `add --paper ${other}`);
    }
  });

  test('not a number is refused', () => {
    for (const value of [NaN, Infinity, -Infinity]) expect(made({ across: value })).toHaveProperty('found');
  });
});

describe('names', () => {
  test.each(['office', 'hall tray 2', 'A4_fine-paper', 'v1.2', '水槽室', 'Büro', 'स्टूडियो', 'x'.repeat(60), 'console', 'com', '2'])('"%s" is one', (name) => {
    expect(nameRefusal(name)).toBeUndefined();
  });

  // Reserved device names and final dots: Microsoft, "Naming Files, Paths, and Namespaces" (from memory). POSIX 3.282: no / in a file name.
  test.each(['', ' ', 'x'.repeat(61), 'a/b', 'a\\b', '..', '../x', '.office', 'office.', 'office ', ' office', '-o', 'a:b', 'a*b', 'a?b', 'a"b', 'a<b', 'a|b', 'a\0b', 'a\nb', 'a\u001bb', 'CON', 'con', 'nul.old', 'Lpt1', 'COM9.x', 'prn', 'aux'])('%j is none', (name) => {
    const refusal = nameRefusal(name);
    expect(refusal?.found).toMatch(/^the printer name /);
    expect(refusal?.accepted).toMatch(/1 to 60 letters/);
    expect(refusal?.found).not.toMatch(/\p{Cc}/u);
  });
});

describe('files', () => {
  test('what is written is read back', () => {
    fc.assert(
      fc.property(anyProfile, fc.option(fc.date({ min: new Date('1990-01-01'), max: new Date('2090-01-01'), noInvalidDate: true }), { nil: undefined }), (profile, day) => {
        const dated = day ? { ...profile, date: day.toISOString().slice(0, 10) } : profile;
        expect(readProfile(profileText(dated), 'office')).toEqual(dated);
      }),
    );
  });

  test('a profile goes by the name of its file, and a byte order mark does no harm', () => {
    expect(readProfile(`\uFEFF${profileText(profileOf())}`, 'attic')).toEqual({ ...profileOf(), name: 'attic' });
  });

  /** The file of a sound profile with some of it changed. */
  function changed(change: (file: Record<string, unknown>) => unknown): string {
    const file = JSON.parse(profileText(profileOf({ date: '2026-11-20' }))) as Record<string, unknown>;
    return JSON.stringify(change(file) ?? file);
  }
  const without = (key: string) => changed((file) => void delete file[key]);
  const withValue = (key: string, value: unknown) => changed((file) => void (file[key] = value));

  test.each([
    ['nothing', '', /not JSON/],
    ['half a profile', profileText(profileOf()).slice(0, 60), /not JSON/],
    ['a list', '[]', /not a printer profile/],
    ['null', 'null', /not a printer profile/],
    ['a number', '7', /not a printer profile/],
    ['another file', '{"name": "my settings"}', /not a printer profile/],
    ['no paper', without('paper'), /its paper is missing/],
    ['no across', without('across'), /its across is missing/],
    ['no measured', withValue('across', { nominal: 180 }), /its across\.measured is missing/],
    ['a measured text', withValue('down', { nominal: 267, measured: '267 mm' }), /its down\.measured is not a number/],
    ['a measured null', withValue('down', { nominal: 267, measured: null }), /its down\.measured is not a number/],
    ['a number beyond all numbers', changed(() => undefined).replace('"measured":180', '"measured":1e999'), /its across\.measured is not a number/],
    ['a factor beyond 3 %', withValue('across', { nominal: 180, measured: 190 }), /its across is off by more than 3 %/],
    ['a nominal of nothing', withValue('across', { nominal: 0, measured: 0 }), /its across\.nominal is too small/],
    ['a nominal below nothing', withValue('across', { nominal: -180, measured: -180 }), /is too small/],
    ['a paper no page may have', withValue('paper', { name: 'wall', width: 9000, height: 9000 }), /its paper\.width is too large/],
    ['a key more', withValue('colour', 'red'), /key that we do not know: "colour"/],
    ['a day that is none', withValue('date', '2026-02-30'), /its date is not a date/],
    ['an old version', withValue('version', 0), /its version is not 1/],
    ['a newer version', withValue('version', 2), /a newer panejig wrote it \(format 2/],
    ['a newer version of other keys', '{"kind": "panejig printer profile", "version": 3, "axes": []}', /a newer panejig wrote it/],
  ])('%s is refused', (_what, text, found) => {
    const refusal = readProfile(text, 'office');
    expect(refusal).toMatchObject({ found: expect.stringMatching(found), accepted: expect.stringContaining('printer profile'), fix: expect.stringMatching(/delete|measure again/) });
  });

  test('whatever stands in a file, reading does not throw', () => {
    fc.assert(fc.property(fc.oneof(fc.string(), fc.json()), (text) => {
      expect(readProfile(text, 'office')).toHaveProperty('found');
    }));
  });
});
