import { jigPages, jigPdf, type JigOfPanel } from './jig.ts';
import type { Build } from './plan/build.ts';
import { writePdf } from './render/pdf.ts';
import type { Typesetter } from './render/type.ts';
import { fingerprintOf, type Checked } from './report.ts';

/**
 * The jigs of a build as one PDF: a contents page, then jig by jig; one jig alone is its own PDF.
 * @param checked all panels, those without a jig too
 */
export function setPdf(build: Build, checked: readonly Checked[], parts: readonly JigOfPanel[], setter: Typesetter): Promise<Uint8Array> {
  const [alone] = parts;
  if (alone && checked.length === 1) return jigPdf(alone.plan, alone.report, alone.jig, setter);
  const pages = parts.flatMap(({ jig }) => jigPages(jig));
  return writePdf(pages, { title: build.title, fingerprint: fingerprintOf(checked) }, setter);
}
