/** The core: text in, verdict and jig out. Pure, and at home in a browser. */
export * from './plan/plan.ts';
export * from './report.ts';
export * from './jig.ts';
export { problemText, type Problem } from './spec/problem.ts';
export { latinTypesetter, type LatinFaces, type Typesetter } from './render/type.ts';
export type { Finding, Verdict } from './geometry/check.ts';
