import { edgesOf, type Segment } from '../geometry/shape.ts';
import type { Plan, PlannedHole, Point, Rect } from '../plan/plan.ts';
import { formatInches, formatLength } from '../trade/units.ts';
import { boardHole, chooseBoards, clipToConvex, fenceWidth, inwardsOf, longSide, runningClearance, solid, thinSide, type Board, type Stop } from './board.ts';
import { alignmentMarks, holeMarks, labelMarks, nameAlong, panelMarks, partNames, visibleBounds, type LabelLine } from './draw.ts';
import { flowPaper, pageFlow } from './flow.ts';
import { tapeWords, tieLines, tieMarks, tieRows, type Orientation } from './guides.ts';
import { bleed, boxIndex, chooseLayout, contentOf, divisionWords, faceTransform, roomyFormats, type Layout, type LayoutTrouble, type SheetFormat } from './layout.ts';
import { laidOutline, withArticle } from './lines.ts';
import { boxOf, circle, clipSegment, grown, isWithin, line, markBounds, path, text, type Mark, type Pen } from './mark.ts';
import { rulerLengths, sheetPages, windowSearch, type Page, type SheetWords } from './sheet.ts';
import type { Typesetter } from './type.ts';

/** The cutting plans of guide boards: a page that tells how to make them, then each board at true size. */

const pens = {
  stop: { width: 0.35, gray: 0, dashes: [8, 2] },
  edge: { width: 0.2, gray: 0.4, dashes: [1.5, 1.5] },
  arrow: { width: 0.35, gray: 0 },
} as const satisfies Record<string, Pen>;

/** Thickness of a board, as told (common practice, no source). */
const boardWords = '18 mm plywood, or what else keeps flat when wet';

/** Least white around a board on a sheet, mm. */
const leastWhite = 0.3;
/** Room for words along a side, mm. */
const wordsStrip = 5;
/** A bead of sealant under this is rounding, mm. */
const leastSealant = 0.01;

/** A board, its plan and the sheets of that. */
export interface BoardPlan {
  readonly name: string;
  readonly board: Board;
  readonly layout: Layout;
  /** The board as a panel of its own, in the coordinates of the drilled face: its outline is the edge, its holes are the board holes. */
  readonly plan: Plan;
}

export interface BoardPages {
  readonly plans: readonly BoardPlan[];
  readonly pages: readonly Page[];
  /** What the reader must know: holes without a board, boards that lie over something. */
  readonly notes: readonly string[];
}

/**
 * The cutting plans of all guide boards.
 * @param jig the layout of the jig's sheets, for the paper of the page that tells how
 * @param refused names of holes that get no board hole
 */
export function boardPages(plan: Plan, jig: Layout, refused: ReadonlySet<string>, words: SheetWords, setter: Typesetter): BoardPages | LayoutTrouble {
  const { boards, without } = chooseBoards(plan, refused);
  const plans: BoardPlan[] = [];
  for (const [index, board] of boards.entries()) {
    const own = planOfBoard(plan, board);
    const layout = boardLayout(own, board, plan);
    if ('problem' in layout) return layout;
    const name = `G${index + 1}`;
    const cells = layout.cells.map((cell) => ({ ...cell, name: layout.cells.length === 1 ? name : `${name}-${cell.name}` }));
    plans.push({ name, board, layout: { ...layout, cells }, plan: own });
  }
  const notes = boardNotes(plan, plans, without);
  const sheets = plans.flatMap((one, index) => planSheets(one, plan, `guide board ${index + 1} of ${plans.length}`, words, setter));
  return { plans, notes, pages: plans.length + notes.length === 0 ? [] : [...guidePages(plan, jig, plans, notes, words, setter), ...sheets] };
}

/** One sheet where the board fits it, with less white around it if need be; else the best division, as of a jig. */
function boardLayout(own: Plan, { outline, stops }: Board, plan: Plan): Layout | LayoutTrouble {
  const content = contentOf(own);
  const formats = roomyFormats(content, plan.sheets);
  if ('problem' in formats) return formats;
  const bounds = boxOf(outline);
  const roomIn = ({ window }: SheetFormat) => Math.min(window.width - (bounds.right - bounds.left), window.height - (bounds.top - bounds.bottom)) / 2;
  const format = formats.find((one) => roomIn(one) >= leastWhite);
  if (format) {
    const window = grown(bounds, Math.min(bleed, roomIn(format)));
    return { format, runs: 'rows', cells: [{ name: 'A1', window, core: window }], cut: [], longestChain: 0, plain: { sheets: 1, cut: 0 } };
  }
  const fences = stops.filter(({ kind }) => kind === 'fence').map(({ a, b }) => [a, b] as const);
  return chooseLayout({ ...content, lines: [...content.lines, ...fences] }, plan.sheets);
}

function planOfBoard(plan: Plan, { holes, outline, stops, covers }: Board): Plan {
  const toFace = faceTransform(plan);
  // The strip over a fence, and the words along a side, are kept free of labels and crosses, as what lies under a rim.
  const strip = ({ a, b }: Segment) => {
    const stop = stops.find(({ line, side }) => [a, b].every((p) => Math.abs(inwardsOf(line, p) - side) < 1e-6));
    return stop ? (stop.kind === 'fence' ? -stop.side : wordsStrip) : 0;
  };
  const edges = edgesOf(outline).map((edge) => ({ ...edge, name: '', rim: strip(edge), joint: 0 }));
  const bounds = boxOf(outline);
  // An area as far as the board lies over it, near enough: the box of both.
  const shown = covers.map(({ name, rect }) => ({ name, rect: { left: Math.max(rect.left, bounds.left), right: Math.min(rect.right, bounds.right), bottom: Math.max(rect.bottom, bounds.bottom), top: Math.min(rect.top, bounds.top) } }));
  return {
    ...plan,
    face: 'outside',
    panel: { ...plan.panel, outline, edges, corners: [], cornerNames: outline.map(() => ''), keepClear: shown, boxes: [] },
    bounds,
    datum: bounds,
    rimLine: null,
    jointLine: null,
    holes: holes.map((hole): PlannedHole => ({ ...hole, center: toFace(hole.center), diameter: boardHole(hole), flange: undefined, nut: undefined })),
    sheets: { ...plan.sheets, isOnFarFace: false },
  };
}

/** The drilling circle's words, from where it is measured, and where there is little board. */
function holeLines(hole: PlannedHole, own: PlannedHole, board: Board, plan: Plan): LabelLine[] {
  const small = { size: 2.5, weight: 'regular' } as const;
  const thin = thinSide(board, hole, own.center);
  return [
    { words: hole.name, size: 4, weight: 'bold' },
    { words: `board hole ${formatLength(own.diameter, plan.units)} for bit ${formatLength(hole.bit.diameter, plan.units)}`, size: 2.8, weight: 'bold' },
    ...board.stops.map((stop) => ({ words: `${bothWords(inwardsOf(stop.line, own.center) - (stop.kind === 'tape' ? stop.side : 0), plan)} from ${stopName(stop)}`, ...small })),
    ...(thin ? [{ words: `only ${formatLength(thin.mm, plan.units)} of board to ${thin.name ?? 'its side'}`, ...small }] : []),
  ];
}

const stopName = ({ kind, line }: Stop) => ({ fence: `fence (${line.name})`, flush: line.name, tape: `end (${line.name})` })[kind];

/** "75 mm (2.953 in)", "9-5/8 in (244.5 mm)" */
function bothWords(mm: number, { units }: Plan): string {
  return units === 'in' ? `${formatInches(mm)} (${formatLength(mm)})` : `${formatLength(mm, units)} (${formatInches(mm)})`;
}

/** All that is drawn of a board, at true size. Words find their places one after the other: tie lines, holes, sides, the arrow. */
export function drawBoard({ board, layout, plan: own }: BoardPlan, plan: Plan, setter: Typesetter): Mark[] {
  // On a strip too narrow for a tie line's words, its cross stands alone: the words at its other end say all.
  const ties = tieMarks(tieLines(own, layout), plan, setter).filter((mark) => mark.kind !== 'text' || layout.cells.some(({ window }) => isWithin(markBounds(mark), window)));
  const fences = board.stops.filter(({ kind }) => kind === 'fence').map(({ a, b }) => line('rim', a, b, pens.stop));
  const drawn = [...panelMarks(own, (p) => p, setter), ...edgeMarks(board, plan), ...fences, ...ties];
  const original = new Map(own.holes.map((hole, index) => [hole, board.holes[index] as PlannedHole]));
  const options = { withoutCircle: new Set<string>() };
  const holes = own.holes.flatMap((hole) => holeMarks(hole));
  const labels = labelMarks(own, own.holes, layout, drawn, setter, options, (hole) => holeLines(original.get(hole) as PlannedHole, hole, board, plan));
  const aligned = alignmentMarks(own, own.holes, layout);
  const taken = [...drawn, ...holes, ...labels, ...partNames(own.holes, layout, setter)];
  const sides = board.stops.flatMap((stop) => sideWords(stop, layout, own, [...taken, ...aligned], plan, setter));
  return [...taken, ...sides, ...arrowMarks(laidOutline(own), layout, [...taken, ...sides], plan, setter), ...aligned];
}

/** The panel's edges under the board that it is not laid to, and what lies on the panel there. */
function edgeMarks(board: Board, plan: Plan): Mark[] {
  const toFace = faceTransform(plan);
  const fences = board.stops.filter(({ kind }) => kind === 'fence').map(({ line: { a, b } }) => ({ a, b }));
  return edgesOf(plan.panel.outline.map(toFace)).flatMap((edge): Mark[] => {
    const isFence = fences.some(({ a, b }) => Math.hypot(a.x - edge.a.x, a.y - edge.a.y) + Math.hypot(b.x - edge.b.x, b.y - edge.b.y) < 0.01);
    const piece = clipToConvex(edge, board.outline, 0.5);
    return piece && !isFence ? [line('joint', piece.a, piece.b, pens.edge)] : [];
  });
}

/** What is to be done along a side, on each sheet that shows enough of it: inside the board; for a fence on its strip beyond the edge. */
function sideWords({ kind, line: { name, sealant }, side, a, b }: Stop, layout: Layout, own: Plan, taken: readonly Mark[], plan: Plan, setter: Typesetter): Mark[] {
  const apart = tapeWords(side, plan);
  // The panel's lines have the panel on their left, mirrored on their right.
  const isForward = plan.face === 'outside' || kind === 'tape';
  const [from, to] = isForward === (kind !== 'fence') ? [a, b] : [b, a];
  const forms = {
    fence: [`fence: screw a strip under the board here, its side on this line, against ${withArticle(name)}`, `fence under the board, against ${withArticle(name)}`, `fence: ${name}`, name],
    flush: [`saw exactly here: this side lies against ${withArticle(name)}${sealant > leastSealant ? '; bevel its underside clear of the sealant' : ''}`, `saw exactly: lies against ${withArticle(name)}`, `against ${withArticle(name)}`, name],
    tape: [`set this end with a tape, ${apart} from ${withArticle(name)}`, `this end ${apart} from ${withArticle(name)}`, `${apart} from ${name}`],
  }[kind];
  const depths = kind === 'fence' ? [0, 5, 10] : [0];
  const isFree = freeOf(taken);
  return layout.cells.flatMap((cell): Mark[] => {
    const piece = clipSegment(from, to, cell.core);
    if (!piece) return [];
    const at = (share: number) => ({ x: piece[0].x + share * (piece[1].x - piece[0].x), y: piece[0].y + share * (piece[1].y - piece[0].y) });
    const places = forms.flatMap((form) => [0.5, 0.35, 0.65, 0.2, 0.8].flatMap((middle) => depths.map((beyond) => ({ form, beyond, half: Math.min(middle, 1 - middle), middle }))));
    for (const { form, beyond, half, middle } of places) {
      const words = nameAlong({ a: at(middle - half), b: at(middle + half), forms: [form], beyond, room: 4 }, cell, own, setter);
      if (words.length > 0 && words.every((mark) => isFree(markBounds(mark)))) return words;
    }
    return [];
  });
}

/** Tells whether a box is free of marks. */
function freeOf(taken: readonly Mark[]): (box: Rect) => boolean {
  const find = boxIndex(taken.map(markBounds));
  return (box) => find(box).every((at) => !doesTouch(taken[at] as Mark, box));
}

/** Which way is up, and which face lies under the board; where there is room for it, on the board. */
function arrowMarks(outline: readonly Point[], layout: Layout, taken: readonly Mark[], plan: Plan, setter: Typesetter): Mark[] {
  const up = plan.panel.edges.some(({ name }) => name === 'top edge') ? 'this way to the top edge' : 'this way up on the panel';
  const rows = [up, `the ${plan.face.toUpperCase()} face lies under it`, boardWords];
  const size = 2.8;
  const widest = Math.max(...rows.map((row) => setter.width(row, 'bold') * size));
  const isFreeOf = freeOf(taken);
  const isFree = (box: Rect) => edgesOf(outline).every(({ a, b }) => [{ x: box.left, y: box.bottom }, { x: box.right, y: box.bottom }, { x: box.left, y: box.top }, { x: box.right, y: box.top }].every((p) => (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0)) && isFreeOf(box);
  for (const width of [9 + widest, 7]) {
    for (const cell of layout.cells) {
      // Clear of the strips that two sheets show.
      const core = layout.cells.length > 1 ? grown(cell.core, -layout.format.overlap / 2) : cell.core;
      for (let y = core.top - 18; y > core.bottom; y -= 3) {
        for (let x = core.left + 2; x < core.right - width; x += 3) {
          const box = { left: x, right: x + width, bottom: y, top: y + 15 };
          if (!isFree(grown(box, 2)) || !isWithin(box, core)) continue;
          const words = width > 7 ? rows.map((row, at) => text(setter, 'orientation', { x: x + 9, y: y + 10.6 - 4 * at }, row, { size, weight: 'bold' })) : [];
          return [...arrow({ x: x + 3.5, y }, 15), ...words];
        }
      }
    }
  }
  return [];
}

/** Whether a mark leaves ink in a box; the outline does so only along its sides. */
function doesTouch(mark: Mark, box: Rect): boolean {
  if (mark.kind === 'line') return clipToConvex(mark, cornersOf(box), 0) !== undefined;
  if (mark.kind === 'path' && mark.fill === null) return edgesOf(mark.points).some((side) => clipToConvex(side, cornersOf(box), 0));
  return true;
}

function cornersOf({ left, right, bottom, top }: Rect): Point[] {
  return [{ x: left, y: bottom }, { x: right, y: bottom }, { x: right, y: top }, { x: left, y: top }];
}

function arrow({ x, y }: Point, length: number): Mark[] {
  const tip = { x, y: y + length };
  return [line('orientation', { x, y }, tip, pens.arrow), path('orientation', [tip, { x: x - 2, y: tip.y - 5 }, { x: x + 2, y: tip.y - 5 }], null, 0)];
}

function planSheets(one: BoardPlan, plan: Plan, title: string, words: SheetWords, setter: Typesetter): Page[] {
  const { board, layout, plan: own } = one;
  const visible = visibleBounds(own);
  const { left, right, top } = boxOf(board.outline);
  // On the map the triangle stands for the arrow: it points upwards.
  const orientation: Orientation = { ...words.orientation, at: { x: (left + right) / 2, y: top }, inwards: { x: 0, y: -1 } };
  const lies = `Top of a board that lies on the ${plan.face.toUpperCase()} face, print towards you, triangle and arrow up on the panel.`;
  return sheetPages(windowSearch(drawBoard(one, plan, setter)), layout, { ...words, title: `${title}: ${plan.title}`, lies, orientation, visible, outline: board.outline, nameSize: layout.cells.length === 1 ? 9 : 6.5 }, setter);
}

function boardNotes(plan: Plan, plans: readonly BoardPlan[], without: readonly PlannedHole[]): string[] {
  const names = (list: readonly { name: string }[]) => list.map(({ name }) => name).join(', ');
  return [
    ...(without.length > 0 ? [`No guide board for ${names(without)}: nothing within ${formatLength(longSide, plan.units)} to lay it to, or a rim or neighbouring panel in its way. Guide the bit by other means.`] : []),
    ...plans.filter(({ board }) => board.stops.some(({ kind }) => kind === 'tape')).map(({ name, board }) => `Guide board ${name} (${names(board.holes)}) has no corner within reach: ${board.stops.every(({ kind }) => kind === 'tape') ? 'both its ends are' : 'one end is'} set with a tape measure.`),
    ...plans.filter(({ board }) => board.covers.length > 0).map(({ name, board }) => `Guide board ${name} lies over ${names(board.covers)}: where that stands out of the ${plan.face} face, cut the board back there.`),
  ];
}

/** How to make and use the boards. */
function guidePages(plan: Plan, jig: Layout, plans: readonly BoardPlan[], notes: readonly string[], words: SheetWords, setter: Typesetter): Page[] {
  const flow = pageFlow(flowPaper(plan, jig), 'guide boards', (page, pages) => `guide boards, page ${page} of ${pages}, then their plans`, words, setter);
  flow.words(`Guide boards: ${plan.title}`, { size: 5.6, weight: 'bold', most: 2 });
  flow.words(`Each lies on the ${plan.face} face and keeps the bit from skating. Their plans follow at true size, as one looks down on the board.`, { size: 2.9 });
  if (notes.length > 0) flow.list(notes, '!');
  if (plans.length === 0) return flow.pages();
  flow.figure(80, (box) => boardsFigure(plan, plans, box, setter));
  flow.table(boardRows(plan, plans));
  const [first] = plans;
  const { across, down } = rulerLengths((first as BoardPlan).layout.format);
  flow.heading('Make the boards');
  flow.list(makeSteps(plan, plans, formatLength(across), formatLength(down)));
  flow.heading('Drill with them');
  flow.list(useSteps(plan, plans));
  const ties = plans.flatMap(({ plan: own, layout }) => tieLines(own, layout));
  if (ties.length > 0) {
    flow.heading('Tie lines', 30);
    flow.table(tieRows(ties, plan));
    flow.words('One too long, the other too short: a sheet slid along its seam, or lies turned. Both wrong the same way: the printer scales. One wrong alone: a seam on its way is open or overlaps too far.', { size: 2.8 });
  }
  return flow.pages();
}

function boardRows(plan: Plan, plans: readonly BoardPlan[]): string[][] {
  const rows = plans.map(({ name, board, layout }) => {
    const { left, right, bottom, top } = boxOf(board.outline);
    const laid = board.stops.map((stop) => (stop.kind === 'tape' ? `end ${tapeWords(stop.side, plan)} from ${withArticle(stop.line.name)}` : stopName(stop)));
    return [name, board.holes.map((hole) => `${hole.name} ${formatLength(boardHole(hole), plan.units)}`).join(', '), `${formatLength(right - left, plan.units)} x ${formatLength(top - bottom, plan.units)}`, laid.join('; '), divisionWords(layout).split(';')[0] ?? ''];
  });
  return [['board', 'board holes', 'size over all', 'lies against', 'plan'], ...rows];
}

function makeSteps(plan: Plan, plans: readonly BoardPlan[], across: string, down: string): string[] {
  const has = (kind: Stop['kind']) => plans.some(({ board }) => board.stops.some((stop) => stop.kind === kind));
  const sealants = plans.flatMap(({ board }) => board.stops.map(({ line: { sealant } }) => sealant));
  const sealant = Math.max(0, ...sealants);
  const custom = (mm: number) => (plan.units === 'in' ? `${formatLength(mm)} (${formatInches(mm)})` : formatLength(mm, plan.units));
  return [
    `Print at 100 % / actual size and measure both rulers on every sheet: across ${across}, down ${down}.${plans.some(({ layout }) => layout.cells.length > 1) ? ' Join the sheets of a board as those of a jig: cut along the seam line, halves of the marks together, then measure its tie lines.' : ''}`,
    `Board: ${boardWords}. Thicker guides better, as long as the bit still reaches through board and panel (${formatLength(plan.panel.thickness, plan.units)}): measure its reach.`,
    'Glue the plan on, or prick its lines and crosses through. Saw along the full outline.',
    ...(has('flush') ? [`A side that lies against a rim line or an inner face must be straight and true: saw it proud and plane it to the line.${sealant > leastSealant ? ` A bead of sealant runs along the inner face: bevel the underside by at least ${custom(Math.ceil(sealant + 2))}, so that the board does not stand on it.` : ''}`] : []),
    ...(has('fence') ? [`Fence: screw a straight strip, about ${custom(fenceWidth)} wide, under the board, its side along the long dashes. Make it a little thinner than the panel, so that it touches nothing but the edge. It must not stand on the tank's sealant: scrape no sealant off, notch the strip.`] : []),
    `Bore each board hole upright, on a drill stand if you can, with the same bit or with a hole saw of the size told: the bit and ${custom(runningClearance)} of running clearance in diameter. Check with the bit in your hand: it must turn freely and not wobble.`,
    `Around each hole the board is solid for ${custom(solid)}, but for what its label tells. Thickness, clearance, widths and this are common practice, without a source.`,
  ];
}

function useSteps(plan: Plan, plans: readonly BoardPlan[]): string[] {
  const hasNumbers = plans.some(({ board }) => board.stops.some(({ line: { name } }) => /edge \d/.test(name)));
  const tapes = plans.flatMap(({ board }) => board.stops).filter(({ kind }) => kind === 'tape');
  return [
    `Lay the board on the ${plan.face} face, arrow up on the panel, and push it against both its lines.${plan.face === 'inside' ? ' Edges are named as seen from outside: on the inside face the left edge lies on your right.' : ''}${hasNumbers ? ' Edge 3-4 runs from corner 3 to corner 4 of the drawing on the first page.' : ''}${tapes.length > 0 ? ' An end that a tape sets: measure square to the edge that it names, at both corners of that end.' : ''}`,
    'Check each hole through the board with a tape measure against the table of holes before you drill.',
    'Tape the board down, or clamp it with pads where the panel lies on its support. No clamp, screw or weight may load an edge of the glass: the fence only touches it.',
    'Water must still reach the bit: the board keeps it off. Lift the bit often and fill the hole again, and stop where the cut runs dry.',
    'Light pressure and low speed as without a board; ease off before the bit breaks through. The cautions of the first pages hold.',
  ];
}

/** The panel with its boards, not to size. */
function boardsFigure(plan: Plan, plans: readonly BoardPlan[], box: Rect, setter: Typesetter): Mark[] {
  const outline = plan.panel.outline.map(faceTransform(plan));
  const all = boxOf([...outline, ...plans.flatMap(({ board }) => board.outline)]);
  const room = { width: box.right - box.left, height: box.top - box.bottom - 6 };
  const scale = Math.min(room.width / (all.right - all.left), room.height / (all.top - all.bottom), 1);
  const place = ({ x, y }: Point) => ({ x: box.left + (x - all.left) * scale, y: box.top - 2 - (all.top - y) * scale });
  const boards = plans.flatMap(({ name, board, plan: own }): Mark[] => {
    const ring = board.outline.map(place);
    const corner = ring.reduce((best, p) => (p.x - p.y > best.x - best.y ? p : best));
    return [
      path('panel', ring, { width: 0.3, gray: 0 }),
      ...own.holes.map(({ center, diameter }) => circle('hole', place(center), (diameter / 2) * scale, { width: 0.2, gray: 0 })),
      ...board.stops.filter(({ kind }) => kind !== 'tape').map(({ a, b }) => line('rim', place(a), place(b), { width: 0.7, gray: 0 })),
      text(setter, 'label', { x: corner.x - 1, y: corner.y + 1 }, name, { size: 3, weight: 'bold', align: 'right' }),
    ];
  });
  const foot = text(setter, 'label', { x: box.left, y: box.bottom + 0.5 }, `Not to size, as one looks at the ${plan.face} face. Thick: what a board lies against.`, { size: 2.1, gray: 0.3 });
  return [path('panel', outline.map(place), { width: 0.15, gray: 0.4, dashes: [1, 0.8] }), ...boards, foot];
}

