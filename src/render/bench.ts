import type { Plan, PlannedHole } from '../plan/plan.ts';
import { speedRange, stockWords } from '../trade/bits.ts';
import { cautions } from '../trade/cautions.ts';
import { drillingSteps, leakTestHours, neverDrilled, thickFrom, type DrillingSteps } from '../trade/drilling.ts';
import { formatBoth, formatLength, formatThirtySeconds, plainNumber } from '../trade/units.ts';
import { flowPaper, pageFlow, type FlowCell, type Step } from './flow.ts';
import { tapeWords, type TieLine } from './guides.ts';
import type { Layout } from './layout.ts';
import { rulerLengths, type Page, type SheetWords } from './sheet.ts';
import type { Typesetter } from './type.ts';

/** The drilling sheet: what a person takes to the bench and works from with a pen. */

export interface BenchWords extends SheetWords {
  readonly verdict: string;
}

export interface BenchOptions {
  /** Whether the jig is made of patches. */
  readonly isPatches: boolean;
  /** Names of the holes that must not be drilled. */
  readonly refused: ReadonlySet<string>;
  /** What is to be said of the room behind the panel, in sentences. */
  readonly room: readonly string[];
}

/** Most pieces made alike that have boxes and lines of their own. */
const mostBoxes = 4;

/** Sizes of type, mm, from the best to read to the smallest that still is, and that of headings. */
const [sizes, headingSize] = [[3, 2.85, 2.7, 2.6, 2.5, 2.4], 3.4] as const;
/** Where there are more holes, no size of type saves pages that are worth the search. */
const mostFitted = 100;

/** The drilling sheet of a panel: on as few pages as can be, one where its holes leave room, in the largest type that fits them. */
export function drillingSheet(plan: Plan, layout: Layout, ties: readonly TieLine[], words: BenchWords, setter: Typesetter, options: BenchOptions): Page[] {
  let best: Page[] | undefined;
  for (const size of plan.holes.length > mostFitted ? [2.7] : sizes) {
    const pages = sheetOf(plan, layout, ties, words, setter, options, size);
    if (!best || pages.length < best.length) best = pages;
    if (best.length === 1) break;
  }
  return best ?? [];
}

function sheetOf(plan: Plan, layout: Layout, ties: readonly TieLine[], words: BenchWords, setter: Typesetter, options: BenchOptions, size: number): Page[] {
  const foot = (page: number, pages: number) => `drilling sheet${pages > 1 ? `, page ${page} of ${pages}` : ''}, then the sheets`;
  const flow = pageFlow(flowPaper(plan, layout), 'drilling sheet', foot, words, setter);
  const steps = drillingSteps[plan.panel.material];
  const count = plan.quantity <= mostBoxes ? plan.quantity : 1;
  const forEach = plan.quantity > mostBoxes ? `, for each of ${plan.quantity}` : '';

  flow.words(`Drilling sheet: ${words.title}`, { size: 4.6, weight: 'bold', most: 2 });
  const facts = [words.panel, `drill from the ${words.face.toUpperCase()} face`, ...(plan.quantity > 1 ? [quantityWords(plan.quantity)] : []), `fingerprint ${words.fingerprint}`];
  flow.words(facts.join(' · '), { size });
  if (plan.standing !== '') flow.words(plan.standing, { size });
  flow.words(words.verdict, { size: size * 1.1, weight: 'bold' });

  const { rows, notes } = holeTable(plan, options.refused, count);
  const isHopeless = plan.holes.every(({ name }) => options.refused.has(name));
  if (!steps || isHopeless) {
    flow.heading('Do not drill', 30);
    flow.words(neverDrilled[plan.panel.material] ?? 'No hole of this panel may be drilled where it is planned: see the findings.', { size: 4, weight: 'bold' });
  }
  flow.heading('Cautions', flow.namedHeight(cautions, size), headingSize);
  flow.named(cautions, size);
  if (!steps) return flow.pages();
  if (isHopeless) {
    flow.heading('Holes', 14, headingSize);
    flow.table(rows.map(([, name = '', what = '']) => [name, what]), size);
    return flow.pages();
  }

  flow.heading(`Before${forEach}`, 20, headingSize);
  flow.steps(before(plan, layout, ties, steps, options.isPatches), count, size);
  flow.heading(`Drill from the ${words.face} face${forEach}`, 30, headingSize);
  flow.named([...steps.each, ['Through', plan.panel.thickness >= thickFrom ? steps.through.thick : steps.through.thin], ['Plug', plugWords(plan)]], size);
  flow.table(rows, size, notes);
  if (options.room.length > 0) flow.list(options.room, '!', size);
  flow.heading(`After${forEach}`, 20, headingSize);
  flow.steps(after(steps), count, size);
  flow.writing('Notes, drilled by, date:', size);
  return flow.pages();
}

function quantityWords(quantity: number): string {
  return quantity <= mostBoxes ? `make ${quantity}: a tick box for each, in order` : `make ${quantity}: tick when all are done`;
}

/** Everything up to the first hole. */
function before(plan: Plan, layout: Layout, ties: readonly TieLine[], steps: DrillingSteps, isPatches: boolean): Step[] {
  const { bounds, units, panel } = plan;
  const { across, down } = rulerLengths(layout.format);
  const jig = isPatches ? 'each patch' : 'the jig';
  const length = (mm: number) => formatLength(mm, units);
  const allowed = Math.max(...ties.map((tie) => tie.allowed));
  const allowedWords = units === 'in' ? `${formatLength(allowed)} (${formatThirtySeconds(allowed)})` : formatLength(allowed);
  return [
    { words: `Measure each fitting and each bit in hand; write the bit in the table. ${steps.bit}` },
    {
      words: `Print at 100 %. Measure both rulers${layout.cells.length > 1 ? ' of every sheet, note the worst' : ''}: over 0.5 mm off is scrap.`,
      blanks: [`across ${formatLength(across)}`, `down ${formatLength(down)}`],
    },
    ...(ties.length > 0
      ? [{
          words: `Put the jig together. Before you cut, measure the tie lines: over ${allowedWords} off, mend the seams.`,
          blanks: ties.map((tie) => `tie line ${tie.number}: ${tapeWords(tie.length, plan)}`),
        }]
      : []),
    {
      words: plan.quantity > 1 ? 'Measure each panel, note the worst: over 1 mm off needs a new jig.' : 'Measure the panel: over 1 mm off needs a new jig.',
      blanks: [`width ${length(bounds.right - bounds.left)}`, `height ${length(bounds.top - bounds.bottom)}`, `thickness ${length(panel.thickness)}`],
    },
    { words: steps.support },
    { words: `${steps.tape} ${tapeOnWords(plan, jig)}` },
    { words: `Check the distances of each hole once more with a tape measure, ${measuredFromWords[plan.measuredFrom]}, against the table${panel.placement > 0 ? `: over ${length(panel.placement)} off, do not drill` : ''}.` },
    { words: steps.ready },
  ];
}

function tapeOnWords({ face, sheets }: Plan, jig: string): string {
  if (!sheets.isOnFarFace) return `Tape ${jig} to the ${face} face, print towards you.`;
  const far = face === 'outside' ? 'inside' : 'outside';
  return `Tape ${jig} to the ${far} face, print against the panel; the drill goes in at the ${face} face.`;
}

const measuredFromWords = {
  edges: 'from the true edges of the panel',
  rim: 'from the visible line of the rim',
  inside: 'from the inner faces of the neighbouring panels',
} as const satisfies Record<Plan['measuredFrom'], string>;

/** First row: titles; then a row for each hole, and what is said below it. */
function holeTable(plan: Plan, refused: ReadonlySet<string>, count: number): { rows: FlowCell[][]; notes: string[] } {
  const [boxes, lines] = [{ boxes: count }, { lines: count }];
  const rows = plan.holes.map((hole): FlowCell[] => {
    if (refused.has(hole.name)) return ['', hole.name, 'refused: do not drill', '', '', ''];
    const speed = speedRange(hole.bit.diameter, plan.panel.material);
    return [boxes, hole.name, bitWords(hole, plan), speed ? `${plainNumber(speed.min, 0)} to ${plainNumber(speed.max, 0)}` : '', { lines: 1 }, lines];
  });
  return { rows: [['', 'hole', 'bit', 'rpm', 'bit measured', 'hole measured'], ...rows], notes: ['', ...plan.holes.map((hole) => (refused.has(hole.name) ? '' : holeNote(hole, plan)))] };
}

/** "diamond core bit, 1-3/4 in (44.45 mm), to buy" */
function bitWords({ bit }: PlannedHole, { units }: Plan): string {
  const diameter = units === 'in' ? formatBoth(bit.diameter, units) : formatLength(bit.diameter, units);
  return `${bit.kind}, ${diameter}, ${stockWords(bit.isAtHand)}`;
}

/** From where it is drilled, where the centre is, and what else is drilled with the hole. */
function holeNote({ offsets, box }: PlannedHole, { units, face }: Plan): string {
  const center = `from the ${face}, centre ${offsets.map(({ mm, from }) => `${formatLength(mm, units)} from ${from}`).join(', ')}`;
  return box === null ? center : `${center}; also through the back wall of ${box}, by the box's own jig`;
}

function plugWords({ face, isBoxWall }: Plan): string {
  const falls = isBoxWall ? (face === 'outside' ? 'into the box' : 'out of its back') : face === 'outside' ? 'into the tank' : 'outside';
  return `Flat panel: it drops on the backing. Upright: it falls ${falls}, so catch it. Stuck in the bit: take the drill off its power, then push it out.`;
}

/** Everything after the last hole. */
function after({ after }: DrillingSteps): Step[] {
  const test = { words: `Leak test: fill the tank where water can do no harm, dry paper under every fitting, and wait ${leakTestHours} hours.`, blanks: ['filled at', 'dry at'] };
  return [...after.map((words) => ({ words })), test];
}
