import { expect, test } from 'vitest';
import { fit, graphemes, isLatin, latinTypesetter, wideFacesFor, wrap } from '../../src/render/type.ts';
import type { Typesetter, WideIndex } from '../../src/render/type.ts';
import { readFileSync } from 'node:fs';
import { fontPath, loadLatin, loadWide } from '../fonts.ts';

const latin = loadLatin();
const index = JSON.parse(readFileSync(fontPath('wide.json'), 'utf8')) as WideIndex;
const mixed = 'Quarantäne 水槽 № 3 — حوض الأسماك 🐠 Ёлка Ωμέγα שלום';

/** Texts of the glyphs in visual order. */
function glyphTexts(setter: Typesetter, text: string): string[] {
  return setter.shape(text).flatMap((run) => run.glyphs.map((glyph) => glyph.text));
}

function faceNames(setter: Typesetter, text: string): string[] {
  return setter.shape(text).map((run) => run.face.name);
}

test('Latin text is told from other text', () => {
  for (const text of ['Ø 35 mm', 'Größe ½″ × 3′ – “x” … ±', 'u\u0308ber', '']) expect(isLatin(text, latin)).toBe(true);
  for (const text of ['水', 'q\u0303', 'Łódź', '🐠', 'a\u202Eb', 'שלום']) expect(isLatin(text, latin)).toBe(false);
});

test('widths are the sums of the advances in the face', () => {
  const setter = latinTypesetter(latin);
  // Advances of H and i in Noto Sans: 741 and 258 of 1000 units; in its bold 759 and 305.
  expect(setter.width('Hi')).toBeCloseTo(0.999, 9);
  expect(setter.width('Hi', 'bold')).toBeCloseTo(1.064, 9);
  expect(setter.width('')).toBe(0);
});

test('control characters are spaces, lone surrogates and unknown characters replacement signs', () => {
  const setter = latinTypesetter(latin);
  expect(glyphTexts(setter, 'a\tb\r\nc')).toEqual(['a', ' ', 'b', ' ', ' ', 'c']);
  expect(glyphTexts(setter, 'a\uD83Db')).toEqual(['a', '\uFFFD', 'b']);
  expect(setter.unprintable.size).toBe(0);
  expect(glyphTexts(setter, '水')).toEqual(['水']);
  expect([...setter.unprintable]).toEqual(['水']);
});

test('only the faces that a text needs are asked for', () => {
  const needed = (text: string): string[] => wideFacesFor([text], index, latin);
  expect(needed('plain')).toEqual([]);
  expect(needed('水')).toEqual(['japanese']);
  expect(needed('Ёлка')).toEqual(['sans', 'sans-bold']);
  expect(needed('e\u0301\u0331')).toEqual(['sans', 'sans-bold']);
  expect(needed(mixed)).toEqual(['arabic', 'arabic-bold', 'hebrew', 'hebrew-bold', 'sans', 'sans-bold', 'japanese', 'emoji']);
});

test('right-to-left text is set right to left, joined, with brackets turned round and numbers kept', async () => {
  const setter = await loadWide(['حوض', 'שלום']);
  expect(glyphTexts(setter, 'שלום').join('')).toBe('םולש');
  expect(glyphTexts(setter, 'שלום 35 mm').join('')).toBe('mm 35 םולש');
  const [open] = setter.shape('(')[0]?.glyphs ?? [];
  const bracketed = setter.shape('(שלום)').flatMap((run) => run.glyphs);
  expect(bracketed[0]).toMatchObject({ id: open?.id, text: ')' });
  const isolated = setter.shape('ح')[0]?.glyphs[0]?.id;
  const initial = setter.shape('حو')[0]?.glyphs.find((glyph) => glyph.text === 'ح')?.id;
  expect(initial).not.toBe(isolated);
});

test('bidi controls steer the order and are not drawn', async () => {
  const setter = await loadWide(['a\u202Eb']);
  expect(glyphTexts(setter, 'x\u202Eabc\u202Cy').join('')).toBe('xcbay');
});

test('a grapheme is set in one face', async () => {
  const texts = ['e\u0301\u0331', '👨‍👩‍👧', '❤️', '1️⃣', 'น้ำ', 'Ẽ'];
  const setter = await loadWide(texts);
  for (const text of texts) expect(faceNames(setter, text)).toHaveLength(1);
  expect(glyphTexts(setter, '👨‍👩‍👧')).toEqual(['👨‍👩‍👧']);
  expect(glyphTexts(setter, '1️⃣')).toHaveLength(1);
  expect(setter.unprintable.size).toBe(0);
});

test('glyphs give back the characters of the text, each once', async () => {
  const texts = [mixed, 'الضَّوْء', 'शब्द', 'Nguyễn Văn Łódź'];
  const setter = await loadWide(texts);
  for (const text of texts) {
    const set = glyphTexts(setter, text).join('').normalize('NFD');
    expect([...set].sort()).toEqual([...text.normalize('NFD')].sort());
  }
});

test('what no face covers is drawn as a replacement sign and noted', async () => {
  const setter = await loadWide(['水𓀀']);
  expect(glyphTexts(setter, '水𓀀')).toEqual(['水', '𓀀']);
  expect([...setter.unprintable]).toEqual(['𓀀']);
});

test('nonsense in a script that needs shaping is still set', async () => {
  const setter = await loadWide(['ح']);
  expect(setter.width('\u06CD\u00A0\uFE72\uFDB6\uFE71')).toBeGreaterThan(0);
  expect(setter.width('\u0651\u200D\u0651')).toBeGreaterThanOrEqual(0);
});

test('a text a hundred times over is a hundred times as wide', async () => {
  const text = mixed.repeat(100);
  const setter = await loadWide([text]);
  expect(setter.width(text)).toBeCloseTo(100 * setter.width(mixed), 0);
});

test('fit shortens by whole graphemes to the width', async () => {
  const family = '👨‍👩‍👧';
  const texts = [family.repeat(9), mixed, 'Quarantine tank, end panel'];
  const setter = await loadWide(texts);
  for (const text of texts) {
    expect(fit(setter, text, 'regular', setter.width(text))).toBe(text);
    const short = fit(setter, text, 'regular', setter.width(text) * 0.6);
    expect(short.endsWith('…')).toBe(true);
    expect(text.startsWith(short.slice(0, -1))).toBe(true);
    expect(setter.width(short)).toBeLessThanOrEqual(setter.width(text) * 0.6);
    const kept = graphemes(short).length - 1;
    const longer = `${graphemes(text).slice(0, kept + 2).join('')}…`;
    expect(setter.width(longer)).toBeGreaterThan(setter.width(text) * 0.6);
  }
  expect(fit(setter, 'abc', 'regular', 0.1)).toBe('');
});

test('fit and wrap end on very long text', () => {
  const setter = latinTypesetter(latin);
  const text = 'drill slowly '.repeat(20_000);
  expect(fit(setter, text, 'regular', 20).length).toBeLessThan(60);
  expect(wrap(setter, text, 'regular', 20).length).toBeGreaterThan(5000);
});

test('wrap breaks at spaces, and inside a word only if it is wider than a line', async () => {
  const japanese = '検疫水槽の背面パネル用の穴あけ型紙';
  const setter = await loadWide([japanese]);
  expect(wrap(setter, 'one two  three', 'regular', setter.width('one two'))).toEqual(['one two', 'three']);
  expect(wrap(setter, '', 'regular', 5)).toEqual([]);
  const lines = wrap(setter, japanese, 'regular', 6);
  expect(lines.join('')).toBe(japanese);
  expect(lines.every((line) => setter.width(line) <= 6)).toBe(true);
  expect(lines).toHaveLength(3);
  expect(wrap(setter, 'wide', 'regular', 0.01)).toEqual(['w', 'i', 'd', 'e']);
});
