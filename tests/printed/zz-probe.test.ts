import { DOMMatrix, Path2D, createCanvas } from '@napi-rs/canvas';
import * as pdfjs from 'pdfjs-dist/legacy/build/pdf.mjs';
import { readFileSync, writeFileSync } from 'node:fs';
import { test } from 'vitest';
Object.assign(globalThis, { DOMMatrix, Path2D });
test('x', async () => {
  const doc = await pdfjs.getDocument({ data: new Uint8Array(readFileSync('/tmp/ex.pdf')), verbosity: 0, disableFontFace: true }).promise;
  for (const [n, dpi] of [[1,100],[2,100],[3,100],[4,100],[7,100],[4,600]] as const) {
  const page = await doc.getPage(n);
  const t = performance.now();
  const v = page.getViewport({ scale: dpi/72 });
  const c = createCanvas(Math.ceil(v.width), Math.ceil(v.height));
  const g = c.getContext('2d');
  await page.render({ canvas: null, canvasContext: g as never, viewport: v }).promise;
  const t2 = performance.now();
  const d = g.getImageData(0,0,c.width,c.height).data;
  console.log(n, dpi, t2 - t, performance.now()-t2, d.length);
  if (dpi < 200) writeFileSync(`/tmp/p${n}.png`, c.toBuffer('image/png'));
  }
  const page = await doc.getPage(4);
  const t = performance.now();
  const v = page.getViewport({ scale: 600/72, offsetX: -1000, offsetY: -2000 });
  const c = createCanvas(1500, 1500);
  await page.render({ canvas: null, canvasContext: c.getContext('2d') as never, viewport: v }).promise;
  console.log('crop', performance.now() - t);
  writeFileSync(`/tmp/crop.png`, c.toBuffer('image/png'));
});
