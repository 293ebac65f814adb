/**
 * The PDF as a file. Streams are unpacked by pdf-lib's own reader and Node's zlib; words and their directions are read by
 * pdfjs-dist (Mozilla's PDF renderer).
 */
import { PDFDict, PDFDocument, PDFName, PDFRawStream, decodePDFRawStream } from 'pdf-lib';
import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, test, vi } from 'vitest';
import { jigPdf, makeJig, specWords } from '../../src/jig.ts';
import { checkPlan } from '../../src/report.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { loadWide } from '../fonts.ts';
import { openPdf, planOf } from '../printed/measure.ts';

const example = readFileSync(new URL('../../templates-spec/quarantine-end-panel.yaml', import.meta.url), 'utf8');

const other = `
title: Frag shelf 水槽
units: in
panel: {material: acrylic, width: 30, height: 20, thickness: 1/4, drilled-from: inside}
holes: [{name: drain, fitting: bulkhead 1 in, from-left: 6, from-top: 6}]`;

/** Places that end in binary fractions far below a micrometre. */
const crooked = `
title: Crooked numbers
units: mm
panel: {material: acrylic, width: 400.0000001, height: 300.0000003, thickness: 5}
holes: [{name: hole, diameter: 30.0000001, from-left: 100.00000001, from-top: 5.000000001 in}]
sheets: {paper: A4, margin: 10.0000001}`;

async function bytesOf(spec: string, given?: Typesetter): Promise<Uint8Array> {
  const plan = planOf(spec);
  const report = checkPlan(plan);
  const setter = given ?? (await loadWide(specWords(plan)));
  const jig = makeJig(plan, report, setter);
  if ('problem' in jig) throw new Error(jig.problem);
  return jigPdf(plan, report, jig, setter);
}

/** Every content stream and form of a PDF, unpacked. */
async function contentOf(bytes: Uint8Array): Promise<string[]> {
  const document = await PDFDocument.load(bytes, { updateMetadata: false });
  const contents = new Set(document.getPages().map(({ node }) => node.get(PDFName.of('Contents'))));
  return document.context.enumerateIndirectObjects().flatMap(([ref, object]) => {
    if (!(object instanceof PDFRawStream)) return [];
    const isForm = object.dict.get(PDFName.of('Subtype')) === PDFName.of('Form');
    return contents.has(ref) || isForm ? [Buffer.from(decodePDFRawStream(object).decode()).toString('latin1')] : [];
  });
}

describe('the same spec gives the same bytes', () => {
  afterEach(() => {
    vi.useRealTimers();
  });

  test('twice over', async () => {
    expect(Buffer.from(await bytesOf(example)).equals(Buffer.from(await bytesOf(example)))).toBe(true);
  });

  test('whatever was printed before, with the same typesetter', async () => {
    const setter = await loadWide([...specWords(planOf(example)), ...specWords(planOf(other))]);
    const first = Buffer.from(await bytesOf(example, setter));
    const between = Buffer.from(await bytesOf(other, setter));
    expect(Buffer.from(await bytesOf(example, setter)).equals(first)).toBe(true);
    expect(Buffer.from(await bytesOf(other, setter)).equals(between)).toBe(true);
    expect(first.equals(between)).toBe(false);
  });

  test('on any day', async () => {
    vi.useFakeTimers({ now: new Date('2001-02-03T04:05:06Z'), toFake: ['Date'] });
    const then = Buffer.from(await bytesOf(example));
    vi.setSystemTime(new Date('2031-12-11T10:09:08Z'));
    expect(Buffer.from(await bytesOf(example)).equals(then)).toBe(true);
  });
});

test('there is no date in it (ISO 32000-1:2008, 14.3.3, and 7.9.4 for the form of dates)', async () => {
  const bytes = await bytesOf(example);
  const document = await PDFDocument.load(bytes, { updateMetadata: false });
  expect(document.getCreationDate()).toBeUndefined();
  expect(document.getModificationDate()).toBeUndefined();
  expect(Buffer.from(bytes).toString('latin1')).not.toMatch(/D:\d{4}/);
});

test.each([['the example', example], ['crooked numbers', crooked]])('%s has no number with an exponent, as PDF has none (ISO 32000-1:2008, 7.3.3)', async (_name, spec) => {
  const contents = await contentOf(await bytesOf(spec));
  expect(contents.length).toBeGreaterThan(3);
  for (const content of contents) {
    const plain = content.replace(/<[0-9A-Fa-f]*>/g, '');
    expect(plain).not.toMatch(/\d[eE][-+]?\d/);
    expect(plain).not.toMatch(/NaN|Infinity|undefined|null/);
    expect(plain.match(/\bq\b/g)?.length).toBe(plain.match(/\bQ\b/g)?.length);
    expect(plain.match(/\bBT\b/g)?.length).toBe(plain.match(/\bET\b/g)?.length);
  }
});

test('every resource that a page names is there', async () => {
  const bytes = await bytesOf(other);
  const document = await PDFDocument.load(bytes, { updateMetadata: false });
  const [page] = document.getPages();
  const resources = page?.node.Resources();
  const namesIn = (kind: string) => new Set(resources?.lookup(PDFName.of(kind), PDFDict).keys().map((key) => key.toString()));
  const [fonts, forms] = [namesIn('Font'), namesIn('XObject')];
  const contents = (await contentOf(bytes)).join('\n');
  const used = (pattern: RegExp) => [...contents.matchAll(pattern)].map(([, name]) => `/${name}`);
  expect(used(/\/(\S+) [\d.]+ Tf/g).length).toBeGreaterThan(10);
  for (const name of used(/\/(\S+) [\d.]+ Tf/g)) expect(fonts).toContain(name);
  expect(used(/\/(\S+) Do/g).length).toBeGreaterThan(1);
  for (const name of used(/\/(\S+) Do/g)) expect(forms).toContain(name);
});

test.each([['outside', example], ['inside', other]])('no text is mirrored on the %s face', async (_face, spec) => {
  const pdf = await openPdf(await bytesOf(spec));
  let count = 0;
  for (let page = 1; page <= pdf.numPages; page += 1) {
    for (const item of (await (await pdf.getPage(page)).getTextContent()).items) {
      if (!('transform' in item)) continue;
      const [a, b, c, d] = item.transform as [number, number, number, number];
      // ISO 32000-1:2008, 8.3.3: a matrix mirrors where its determinant is negative.
      expect(a * d - b * c).toBeGreaterThan(0);
      count += 1;
    }
  }
  expect(count).toBeGreaterThan(50);
});

test('the document\'s title is the work\'s, also in other scripts', async () => {
  for (const [spec, title] of [[example, 'Quarantine tank, end panel'], [other, 'Frag shelf 水槽']] as const) {
    const { info } = await (await openPdf(await bytesOf(spec))).getMetadata();
    expect((info as { Title?: string }).Title).toBe(title);
  }
});

test('fonts are written once, however many pages use them', async () => {
  const large = `
title: Many sheets
units: mm
panel: {material: acrylic, width: 3000, height: 2000, thickness: 6}
holes: [{name: hole, diameter: 40, from-left: 200, from-top: 200}]`;
  const [few, many] = [await bytesOf(example), await bytesOf(large)];
  const [fewPages, manyPages] = [(await openPdf(few)).numPages, (await openPdf(many)).numPages];
  expect(manyPages).toBeGreaterThan(4 * fewPages);
  // Under 8 kB a sheet: a tenth of what a copy of both faces would add.
  expect((many.length - few.length) / (manyPages - fewPages)).toBeLessThan(8000);
});
