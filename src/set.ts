import { jigPages, jigPdf, specWords, type JigOfPanel } from './jig.ts';
import { buildList, listRows } from './list.ts';
import type { Build } from './plan/build.ts';
import { contentsPages, type ContentsRow } from './render/contents.ts';
import { flowPaper } from './render/flow.ts';
import { writePdf } from './render/pdf.ts';
import type { Page } from './render/sheet.ts';
import type { Typesetter } from './render/type.ts';
import { fingerprintOf, panelWords, type Checked } from './report.ts';

/** All words that the spec of a build puts on paper; a typesetter must be able to set them. */
export function buildWords({ title, panels, loose, cut, boxes }: Build): string[] {
  return [title, ...panels.flatMap(specWords), ...[...loose, ...cut, ...boxes].map(({ name }) => name)];
}

/**
 * The jigs of a build as one PDF: contents, then jig by jig. The jig of a build that is one panel is its own PDF.
 * @param checked all panels, those without a jig too
 * @param before the pages of contents
 * @param parts those that have a jig, in the same order
 */
export function setPdf(build: Build, checked: readonly Checked[], before: readonly Page[], parts: readonly JigOfPanel[], setter: Typesetter): Promise<Uint8Array> {
  const [first] = parts;
  if (first && checked.length === 1) return jigPdf(first.plan, first.report, first.jig, setter);
  return writePdf([...before, ...parts.flatMap(({ jig }) => jigPages(jig))], { title: build.title, fingerprint: fingerprintOf(checked) }, setter);
}

/** The pages before the jigs of a build; none where it is one panel. */
export function contents(build: Build, checked: readonly Checked[], parts: readonly JigOfPanel[], setter: Typesetter, isDraft = false): Page[] {
  const [first] = parts;
  if (!first || checked.length === 1) return [];
  const words = { title: build.title, fingerprint: fingerprintOf(checked), isDraft };
  let at = 0;
  const rows = checked.map(({ plan, report: { verdict } }): ContentsRow => {
    const part = parts.find((one) => one.plan === plan);
    const count = part ? jigPages(part.jig).length : 0;
    const pages = part ? { first: at, count } : null;
    at += count;
    return { part: plan.part, quantity: plan.quantity, panel: panelWords(plan), holes: plan.holes.length, verdict, pages };
  });
  const set = (count: number) => contentsPages(rows, listRows(buildList(build, checked, parts, count)), flowPaper(build, first.jig.layout), words, setter);
  // The list counts these pages too.
  const tried = set(1);
  return tried.length === 1 ? tried : set(tried.length);
}
