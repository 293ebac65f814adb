import type { Plan } from './plan/plan.ts';
import { drawJig, type DrawOptions } from './render/draw.ts';
import { frontPages } from './render/front.ts';
import { faceWords, orientationOf } from './render/guides.ts';
import { chooseLayout, contentOf, type Layout, type LayoutTrouble } from './render/layout.ts';
import { writePdf } from './render/pdf.ts';
import { sheetPages, type Page } from './render/sheet.ts';
import type { Typesetter } from './render/type.ts';
import { faultyFindings, findingLines, holeRows, panelWords, type Report } from './report.ts';

/** A jig, ready to be written: the front pages, then the sheets. */
export interface Jig {
  readonly layout: Layout;
  readonly front: readonly Page[];
  readonly sheets: readonly Page[];
  /** Characters that no typeface at hand could print. */
  readonly unprintable: ReadonlySet<string>;
}

/** All words that the spec puts on paper; a typesetter must be able to set them. */
export function specWords(plan: Plan): string[] {
  return [plan.title, ...plan.holes.flatMap((hole) => [hole.name, hole.fitting ?? '']), ...plan.panel.keepClear.map((area) => area.name)];
}

/**
 * Draws the jig of a checked plan.
 * @param isDraft strikes every sheet; without it a plan with refused holes must not come here
 * @throws RangeError when the verdict is refused and no draft was asked for
 */
export function makeJig(plan: Plan, report: Report, setter: Typesetter, isDraft = false): Jig | LayoutTrouble {
  if (report.verdict === 'refused' && !isDraft) throw new RangeError('a refused hole yields no jig');
  const layout = chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in layout) return layout;
  const refused = [...report.byHole].filter(([, verdict]) => verdict === 'refused').map(([name]) => name);
  const options: DrawOptions = { withoutCircle: new Set(refused) };
  const orientation = orientationOf(plan, layout);
  const words = { title: plan.title, face: plan.face, lies: faceWords(plan, orientation), orientation, printer: '', panel: panelWords(plan), fingerprint: report.fingerprint, isDraft };
  const sheets = sheetPages(drawJig(plan, layout, setter, options), layout, words, setter);
  const front = frontPages(
    plan,
    layout,
    {
      ...words,
      verdict: verdictWords(report),
      holes: holeRows(plan, report),
      findings: faultyFindings(report).map((finding) => findingLines(finding, plan.units)),
      notes: report.notes,
    },
    setter,
    options,
  );
  return { layout, front, sheets, unprintable: setter.unprintable };
}

function verdictWords({ verdict }: Report): string {
  return {
    clear: 'Verdict: clear. Every hole is beyond good practice.',
    tight: 'Verdict: tight. Within the published minimum, but under good practice: see the findings.',
    refused: 'Verdict: refused. Do not drill: see the findings.',
  }[verdict];
}

/** The jig as one PDF at true size; the same jig gives the same bytes. */
export function jigPdf(plan: Plan, report: Report, jig: Jig, setter: Typesetter): Promise<Uint8Array> {
  return writePdf([...jig.front, ...jig.sheets], { title: plan.title, fingerprint: report.fingerprint }, setter);
}
