import { mostShown, shownAreas, type ShownAreas } from './areas.ts';
import { allowedPlaces } from './geometry/allowed.ts';
import type { Plan, PlannedHole } from './plan/plan.ts';
import { profileWords, readingErrorAt, worstReading } from './plan/printer.ts';
import { placeLines } from './places.ts';
import { drillingSheet } from './render/bench.ts';
import { areasOnFace, areaWords } from './render/area.ts';
import type { BoardPlan } from './render/board-draw.ts';
import { boardPages } from './render/board-pages.ts';
import { drawJig, lineNames, visibleBounds, type DrawOptions } from './render/draw.ts';
import { frontPages } from './render/front.ts';
import { faceWords, orientationOf, tieLines, tieMarks } from './render/guides.ts';
import { chooseLayout, contentOf, faceTransform, markedRadius, wholeLayout, type Cell, type Layout, type LayoutTrouble, type SheetFormat } from './render/layout.ts';
import type { Mark } from './render/mark.ts';
import { maskPages } from './render/mask.ts';
import { choosePatches, type Patch } from './render/patches.ts';
import { measuredMarks } from './render/tape.ts';
import { writePdf } from './render/pdf.ts';
import { sheetPages, windowSearch, type Page } from './render/sheet.ts';
import { jigSvg, type DrawingTrouble } from './render/svg.ts';
import type { Typesetter } from './render/type.ts';
import { faultyFindings, findingLines, holeRows, marginColumns, marginWords, panelWords, roomWords, type Report } from './report.ts';
import { formatLength, plainNumber } from './trade/units.ts';

/** A jig, ready to be written: the front pages, of which the drilling sheet is the last, the sheets, then what was asked for besides. */
export interface Jig {
  readonly layout: Layout;
  /** Where the jig is made of patches: what each is laid to. */
  readonly patches: readonly Patch[] | null;
  readonly front: readonly Page[];
  readonly sheets: readonly Page[];
  /** How to make guide boards, and their cutting plans; empty unless asked for. */
  readonly board: readonly Page[];
  readonly boards: readonly BoardPlan[];
  /** Discs that keep paint off the sealing faces; empty unless asked for. */
  readonly mask: readonly Page[];
  /** Formats of all pages with rulers: the sheets, then boards and masks, which may lie another way. */
  readonly formats: readonly SheetFormat[];
  /** What the reader must know of the sheets: holes that lie across a seam, what the printer profile leaves. */
  readonly notes: readonly string[];
  /** Characters that no typeface at hand could print. */
  readonly unprintable: ReadonlySet<string>;
}

export interface JigOptions {
  /** Strikes every sheet; without it a plan with refused holes must not come here. */
  readonly isDraft?: boolean;
  /** A patch for each hole or close group in place of the whole panel. */
  readonly isPatches?: boolean;
  /** Cutting plans of guide boards besides. */
  readonly isBoard?: boolean;
  /** Discs to mask sealing faces with besides. */
  readonly isMask?: boolean;
  /** Shades on the sheets, too, where holes may be. */
  readonly isAreas?: boolean;
}

/** All words that the spec puts on paper; a typesetter must be able to set them. */
export function specWords(plan: Plan): string[] {
  return [plan.title, plan.sheets.printer?.name ?? '', ...plan.holes.flatMap((hole) => [hole.name, hole.fitting ?? '', hole.size?.thread ?? '', hole.box ?? '']), ...plan.panel.boxes.map((box) => box.name), ...plan.panel.keepClear.map((area) => area.name)];
}

/**
 * Draws the jig of a checked plan.
 * @throws RangeError when the verdict is refused and no draft was asked for
 */
export function makeJig(plan: Plan, report: Report, setter: Typesetter, { isDraft = false, isPatches = false, isBoard = false, isMask = false, isAreas = false }: JigOptions = {}): Jig | LayoutTrouble {
  if (report.verdict === 'refused' && !isDraft) throw new RangeError('a refused hole yields no jig');
  const chosen = isPatches ? choosePatches(plan) : chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in chosen) return chosen;
  const { layout, patches } = 'patches' in chosen ? chosen : { layout: chosen, patches: null };
  const options = drawOptions(report);
  const isShown = plan.holes.length <= mostShown;
  const allowed = allowedPlaces(plan.panel, plan.holes);
  const areas = isShown || isAreas ? shownAreas(plan, report, allowed) : { areas: [], notes: [] };
  const words = { ...sheetWords(plan, layout, report, isDraft), outline: patches ? plan.panel.outline.map(faceTransform(plan)) : null };
  const boards = isBoard ? boardPages(plan, layout, options.withoutCircle, words, setter) : { plans: [], pages: [], notes: [] };
  if ('problem' in boards) return boards;
  const mask = isMask ? maskPages(plan, options.withoutCircle, words, setter) : { pages: [], notes: [], format: layout.format };
  const formats = [layout.format, ...boards.plans.map((board) => board.layout.format), ...(mask.pages.length > 0 ? [mask.format] : [])];
  const notes = [...cutNotes(plan, layout), ...printerNotes(plan, layout), ...boards.notes, ...mask.notes];
  const ties = patches ? [] : tieLines(plan, layout, lineNames(plan, layout, setter));
  const shown = patches ? patchMarks(plan, layout, patches, setter, options) : windowSearch(drawJig(plan, layout, setter, { ...options, besides: tieMarks(ties, plan, setter, layout.cells) }));
  const under = windowSearch(isAreas ? areasOnFace(plan, areas.areas) : []);
  const sheets = sheetPages((cell) => [...under(cell), ...shown(cell)], layout, isAreas ? { ...words, areas: areaWords.sheet } : words, setter);
  const verdict = verdictWords(report);
  const margins = marginColumns(plan, report);
  const front = frontPages(
    plan,
    layout,
    patches,
    ties,
    {
      ...words,
      verdict,
      holes: holeRows(plan, report).map((row, index) => [...row, ...(margins[index] ?? [])]),
      margin: marginWords(plan, report),
      places: placeLines(plan, report, allowed),
      findings: faultyFindings(report).map((finding) => findingLines(finding, plan.units, plan.panel.placement)),
      notes: [...report.notes, ...notes],
      areaNotes: areaNotes(areas, isShown, isAreas),
    },
    setter,
    { ...options, areas: isShown ? areas.areas : [] },
  );
  const bench = drillingSheet(plan, layout, ties, { ...words, verdict }, setter, { isPatches, refused: options.withoutCircle, room: roomWords(plan) });
  return { layout, patches, front: [...front, ...bench], sheets, board: boards.pages, boards: boards.plans, mask: mask.pages, formats, notes, unprintable: setter.unprintable };
}

/** What is said of the shaded areas below the overview. */
function areaNotes({ areas, notes }: ShownAreas, isShown: boolean, isAreas: boolean): string[] {
  return [
    ...(isShown ? [] : [`Where holes may be is not shaded here, as the areas of more than ${mostShown} holes would be too small to read${isAreas ? ': see the sheets' : '; --areas shades them on the sheets'}.`]),
    ...(isAreas && areas.length > 0 ? ['The sheets are shaded, too: plan by the shades, drill by the circles alone.'] : []),
    ...notes,
  ];
}

function drawOptions(report: Report): DrawOptions {
  return { withoutCircle: new Set([...report.byHole].filter(([, verdict]) => verdict === 'refused').map(([name]) => name)) };
}

/** What is said of the work on all that is drawn. */
function sheetWords(plan: Plan, layout: Layout, { fingerprint }: Report, isDraft: boolean) {
  const { title, face, sheets } = plan;
  const orientation = orientationOf(plan, layout);
  return { title, face, visible: visibleBounds(plan), lies: faceWords(plan, orientation), orientation, printer: sheets.printer ? profileWords(sheets.printer) : '', panel: panelWords(plan), fingerprint, isDraft };
}

/**
 * The whole jig as one SVG drawing at true size, for cutters and plotters, or why it cannot be drawn.
 * @throws RangeError when the verdict is refused and no draft was asked for
 */
export function jigDrawing(plan: Plan, report: Report, setter: Typesetter, { isDraft = false, isAreas = false }: JigOptions = {}): string | DrawingTrouble {
  if (report.verdict === 'refused' && !isDraft) throw new RangeError('a refused hole yields no jig');
  const layout = wholeLayout(contentOf(plan));
  const areas = isAreas ? areasOnFace(plan, shownAreas(plan, report, allowedPlaces(plan.panel, plan.holes)).areas) : [];
  const words = { ...sheetWords(plan, layout, report, isDraft), ...(isAreas ? { areas: areaWords.drawing } : {}) };
  return jigSvg([...areas, ...drawJig(plan, layout, setter, drawOptions(report))], words, setter);
}

/** Most holes across seams that are told one by one. */
const mostCutNotes = 6;

function cutNotes(plan: Plan, layout: Layout): string[] {
  const { cut } = layout;
  const told = cut.slice(0, mostCutNotes).map((at) => cutNote(plan.holes[at] as PlannedHole, plan, layout));
  return cut.length > mostCutNotes ? [...told, `${cut.length - mostCutNotes} more holes lie across seams.`] : told;
}

/** Why a hole lies across a seam, and what to do there. */
function cutNote(hole: PlannedHole, { units }: Plan, { format }: Layout): string {
  const wide = 2 * markedRadius(hole);
  const { window, paper } = format;
  const why = wide > Math.min(window.width, window.height) ? `its circle with the ticks, ${formatLength(wide, units)} wide, is larger than a sheet of ${paper.name} shows` : 'no division was found that keeps it off';
  return `${hole.name} lies across a seam: ${why}. Alignment marks stand beside the places where the seam meets the circle: tape there with care, or choose a larger paper.`;
}

/** What a printer profile leaves: the largest error at the hole furthest from where the spec measures it from. */
function printerNotes({ holes, sheets: { printer, paper }, units }: Plan, { format }: Layout): string[] {
  if (!printer) return [];
  const [first, ...more] = holes.map((hole) => ({ hole, error: readingErrorAt(printer, hole.offsets[0].mm, hole.offsets[1].mm, format.orientation) }));
  const { hole, error } = more.reduce((worst, one) => (one.error > worst.error ? one : worst), first as { hole: PlannedHole; error: number });
  const [across, up] = hole.offsets.map(({ mm, from }) => `${formatLength(Math.abs(mm), units)} from ${from}`);
  return [
    `${profileWords(printer)}. A reading error of ${formatLength(worstReading)} on its ruler page leaves at most ${plainNumber(error, 2)} mm at ${hole.name}, the furthest hole (${across}, ${up}).`,
    ...(printer.paper.width === paper.width && printer.paper.height === paper.height ? [] : [`The profile was measured on ${printer.paper.name}; a printer may feed ${paper.name} the other way round. Print its ruler page with the profile and measure it before you trust it.`]),
  ];
}

/** The marks of each patch: its own holes, and what it is laid to. */
function patchMarks(plan: Plan, layout: Layout, patches: readonly Patch[], setter: Typesetter, options: DrawOptions): (cell: Cell) => readonly Mark[] {
  const marks = new Map(
    patches.map((patch) => [patch.cell, drawJig({ ...plan, holes: patch.holes }, { ...layout, cells: [patch.cell] }, setter, { ...options, besides: measuredMarks(patch.measured, plan, setter) })]),
  );
  return (cell) => marks.get(cell) ?? [];
}

function verdictWords({ verdict }: Report): string {
  return {
    clear: 'Verdict: clear. Every hole is beyond good practice.',
    tight: 'Verdict: tight. Within the published minimum, but under good practice: see the findings.',
    refused: 'Verdict: refused. Do not drill: see the findings.',
  }[verdict];
}

/** A panel, its check and its jig. */
export interface JigOfPanel {
  readonly plan: Plan;
  readonly report: Report;
  readonly jig: Jig;
}

/** All pages of a jig, in the order in which they are printed. */
export function jigPages({ front, sheets, board, mask }: Jig): Page[] {
  return [...front, ...sheets, ...board, ...mask];
}

/** The jig as one PDF at true size; the same jig gives the same bytes. */
export function jigPdf(plan: Plan, report: Report, jig: Jig, setter: Typesetter): Promise<Uint8Array> {
  return writePdf(jigPages(jig), { title: plan.title, fingerprint: report.fingerprint }, setter);
}
