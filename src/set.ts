import { jigPages, jigPdf, specWords, type JigOfPanel } from './jig.ts';
import { buildList, listRows } from './list.ts';
import type { Build } from './plan/build.ts';
import { contentsPages, type ContentsRow } from './render/contents.ts';
import { flowPaper, type FlowPaper } from './render/flow.ts';
import { writePdf } from './render/pdf.ts';
import type { Page } from './render/sheet.ts';
import type { Typesetter } from './render/type.ts';
import { waterPages } from './render/water.ts';
import { fingerprintOf, panelWords, type Checked } from './report.ts';
import { waterPageContent, type WaterReport } from './water.ts';
import type { WaterSystem } from './water/system.ts';

/** All words that the spec of a build puts on paper; a typesetter must be able to set them. */
export function buildWords({ title, panels, loose, cut, boxes, water }: Build): string[] {
  return [title, ...panels.flatMap(specWords), ...[...loose, ...cut, ...boxes].map(({ name }) => name), ...(water ? waterWords(water) : [])];
}

function waterWords({ side, lines, tanks }: WaterSystem): string[] {
  return [...side, ...lines, ...tanks, ...tanks.flatMap(({ returns, drains, weirs }) => [...returns, ...drains, ...weirs])].map(({ name }) => name);
}

/**
 * The jigs of a build as one PDF: contents and flow, then jig by jig. The jig of a build that is one panel has its flow after its front pages.
 * @param checked all panels, those without a jig too
 * @param before the pages of contents and flow
 * @param parts those that have a jig, in the same order
 */
export function setPdf(build: Build, checked: readonly Checked[], before: readonly Page[], parts: readonly JigOfPanel[], setter: Typesetter): Promise<Uint8Array> {
  const [first] = parts;
  if (first && checked.length === 1) return jigPdf(first.plan, first.report, { ...first.jig, front: [...first.jig.front, ...before] }, setter);
  return writePdf([...before, ...parts.flatMap(({ jig }) => jigPages(jig))], { title: build.title, fingerprint: fingerprintOf(checked) }, setter);
}

/** The flow pages of a build as a PDF of their own. */
export function waterPdf(build: Build, checked: readonly Checked[], water: WaterReport, setter: Typesetter, paper: FlowPaper, isDraft = false): Promise<Uint8Array> {
  const fingerprint = fingerprintOf(checked);
  return writePdf(waterPages(waterPageContent(water), paper, { title: build.title, fingerprint, isDraft }, setter), { title: build.title, fingerprint }, setter);
}

/** The pages of a build that belong to no one jig: contents, where it has several panels, and flow, where the spec tells of its water. */
export function pagesBefore(build: Build, checked: readonly Checked[], water: WaterReport | null, parts: readonly JigOfPanel[], setter: Typesetter, isDraft = false): Page[] {
  const [first] = parts;
  if (!first) return [];
  const words = { title: build.title, fingerprint: fingerprintOf(checked), isDraft };
  const paper = flowPaper(build, first.jig.layout);
  const flow = water ? waterPages(waterPageContent(water), paper, words, setter) : [];
  if (checked.length === 1) return flow;
  let at = flow.length;
  const rows = checked.map(({ plan, report: { verdict } }): ContentsRow => {
    const part = parts.find((one) => one.plan === plan);
    const count = part ? jigPages(part.jig).length : 0;
    const pages = part ? { first: at, count } : null;
    at += count;
    return { part: plan.part, quantity: plan.quantity, panel: panelWords(plan), holes: plan.holes.length, verdict, pages };
  });
  const set = (count: number) => contentsPages(rows, water ? { verdict: water.verdict, pages: { first: 0, count: flow.length } } : null, listRows(buildList(build, checked, parts, count + flow.length)), paper, words, setter);
  // The list counts these pages too.
  const tried = set(1);
  return [...(tried.length === 1 ? tried : set(tried.length)), ...flow];
}
