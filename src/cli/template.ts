import { jigDrawing, jigPdf, makeJig, specWords } from '../jig.ts';
import type { Plan, PlanOfText } from '../plan/plan.ts';
import type { PrinterProfile } from '../plan/printer.ts';
import { divisionWords } from '../render/layout.ts';
import type { Patch } from '../render/patches.ts';
import { rulerLengths } from '../render/sheet.ts';
import { checkPlan } from '../report.ts';
import { problemText } from '../spec/problem.ts';
import { paperForms } from '../spec/schema.ts';
import { formatLength } from '../trade/units.ts';
import { claimOutput, defaultOutput, Stop, writeWhole } from './files.ts';
import { loadTypesetter } from './fonts.ts';
import { paperOption } from './options.ts';
import { claimPictures, drawPictures } from './pictures.ts';
import { loadProfile } from './profiles.ts';
import { reportTable } from './print.ts';

export interface TemplateOptions {
  readonly output?: string;
  readonly paper?: string;
  readonly draft?: boolean;
  readonly patches?: boolean;
  readonly board?: boolean;
  readonly mask?: boolean;
  readonly farFace?: boolean;
  readonly printer?: string;
  readonly svg?: boolean;
  readonly png?: boolean;
}

/** Writes the jig of a plan and says where it is and how to print it. Returns the exit code. */
export async function writeTemplate({ plan: read, source }: PlanOfText, specPath: string, options: TemplateOptions): Promise<number> {
  const kept = options.printer === undefined ? undefined : await loadProfile(options.printer);
  const plan = withOptions(read, options, kept?.profile ?? null);
  const report = checkPlan(plan);
  const isDraft = options.draft === true;
  if (report.verdict === 'refused' && !isDraft) {
    process.stdout.write(`${reportTable(plan, report)}\n\nNo jig was written: a refused hole yields none. Mend the spec, or ask for a draft with --draft.\n`);
    return 1;
  }
  const path = options.output ?? defaultOutput(specPath);
  const target = claimOutput(path, specPath, options.output === undefined);
  const claimed = claimPictures(options, { path, target }, specPath, options.output === undefined);
  const setter = await loadTypesetter(specWords(plan));
  const jig = makeJig(plan, report, setter, { isDraft, isPatches: options.patches === true, isBoard: options.board === true, isMask: options.mask === true });
  if ('problem' in jig) {
    const { key = 'paper', problem, fix } = jig;
    const accepted = key === 'paper' ? paperForms : 'room for the drawing beside margins, rulers and overlaps';
    const isOption = key === 'paper' && options.paper !== undefined;
    throw new Stop(2, isOption ? `--paper: ${problem}\n    accepted: ${accepted}\n    fix: ${fix}` : problemText(source.problem(['sheets', key], problem, accepted, fix), specPath));
  }
  const pdf = await jigPdf(plan, report, jig, setter);
  const pictures = claimed.length > 0 ? await drawPictures(claimed, jigDrawing(plan, report, setter, isDraft), specPath) : [];
  writeWhole(target, pdf);
  for (const picture of pictures) writeWhole(picture.target, picture.bytes);

  const { format, cells } = jig.layout;
  const { across, down } = rulerLengths(format);
  const lines = [
    `${path}: ${jig.front.length} front page${jig.front.length === 1 ? '' : 's'} and ${cells.length} sheet${cells.length === 1 ? '' : 's'} (${format.paper.name} ${format.orientation})${isDraft ? ', DRAFT' : ''}`,
    ...(jig.patches ? [`patches: ${patchedWords(jig.patches)}`] : [`sheets: ${divisionWords(jig.layout)}`]),
    ...(options.board ? [`guide boards: ${jig.boards.length} board${jig.boards.length === 1 ? '' : 's'}, ${jig.board.length} page${jig.board.length === 1 ? '' : 's'} after the sheets`] : []),
    ...(options.mask ? [`mask: two discs a hole, ${jig.mask.length} page${jig.mask.length === 1 ? '' : 's'} at the end`] : []),
    ...claimed.map(({ path, kind }) => `${path}: the whole jig ${kind === 'svg' ? 'at true size, for a machine that cuts or plots; measure its ruler before you cut' : 'as a preview'}`),
    `verdict: ${report.verdict}${report.verdict === 'clear' ? '' : ': see panejig check, or the front pages'}`,
    ...[...report.notes, ...jig.notes].map((note) => `note: ${note}`),
    ...(kept ? [`note: the printer profile is ${kept.path}${kept.hides === undefined ? '' : `; in this folder it hides ${kept.hides}`}`] : []),
    ...(jig.unprintable.size > 0 ? [`note: no typeface at hand has ${[...jig.unprintable].slice(0, 8).join(' ')}; a box stands in its place`] : []),
    `Print at 100 % / actual size. Before drilling, measure both rulers on every sheet: across ${formatLength(across)}, down ${formatLength(down)}.`,
  ];
  process.stdout.write(`${lines.join('\n')}\n`);
  return report.verdict === 'refused' ? 1 : 0;
}

/** The plan with what the command line says of the sheets. */
function withOptions(plan: Plan, { paper, farFace }: TemplateOptions, printer: PrinterProfile | null): Plan {
  const sheets = { ...plan.sheets, ...(paper === undefined ? {} : { paper: paperOption(paper, plan.units) }), ...(farFace ? { isOnFarFace: true } : {}), printer };
  return { ...plan, sheets };
}

function patchedWords(patches: readonly Patch[]): string {
  const byLines = patches.filter(({ measured }) => measured.length === 0).length;
  return `${byLines} laid to lines on ${byLines === 1 ? 'it' : 'them'} alone, ${patches.length - byLines} by distances to set out with a tape measure`;
}
