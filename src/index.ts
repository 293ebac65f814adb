/** The core: text in, verdict and jig out. Pure, and at home in a browser. */
export * from './plan/plan.ts';
export * from './plan/build.ts';
export * from './report.ts';
export { buildList, listRows, type List, type ListRow } from './list.ts';
export * from './plan/printer.ts';
export { jigDrawing, jigPdf, makeJig, specWords, type Jig, type JigOfPanel } from './jig.ts';
export { buildWords, pagesBefore, setPdf, waterPdf } from './set.ts';
export { checkWater, waterJson, waterTables, type WaterReport } from './water.ts';
export { chooseLayout, contentOf, divisionWords, type Layout } from './render/layout.ts';
export { jsonSchema, type JsonSchema } from './spec/json-schema.ts';
export { settledWords, settleSpec, usualSteps, type SettledHole, type Settlement, type SettleOptions } from './settle.ts';
export { starterSpec, type Starter, type StarterAnswers, type StarterTrouble } from './spec/starter.ts';
export { problemText, type Problem } from './spec/problem.ts';
export { isLatin, latinTypesetter, wideFacesFor, type LatinFaces, type Typesetter, type WideIndex } from './render/type.ts';
export { writePdf } from './render/pdf.ts';
export { rulerDocument, rulerPage, rulerPageLengths, rulerTrouble } from './render/ruler.ts';
export type { Finding, Verdict } from './geometry/finding.ts';
export type { LeastMargin, Margin } from './geometry/margins.ts';

/** The typesetter for scripts beyond Latin: large, so load it only when {@link isLatin} says no. */
export async function loadWideTypesetter() {
  return (await import('./render/type-wide.ts')).wideTypesetter;
}

/** The writer of preview pictures: it loads a renderer, whose WebAssembly module it is handed. */
export async function loadPngWriter() {
  return (await import('./render/png.ts')).svgToPng;
}
