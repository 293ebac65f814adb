import type { BuildOfText } from '../plan/build.ts';
import type { Plan } from '../plan/plan.ts';
import { flowPaper } from '../render/flow.ts';
import { checkBuild } from '../report.ts';
import { buildWords, waterPdf } from '../set.ts';
import { problemText } from '../spec/problem.ts';
import { checkWater, waterJson } from '../water.ts';
import { claimOutput, Stop, writeWhole } from './files.ts';
import { loadTypesetter } from './fonts.ts';
import { toJson, waterTable } from './print.ts';

export interface FlowOptions {
  readonly json?: boolean;
  readonly output?: string;
}

/** Prints how the water of a build goes, and writes its pages where asked to. Returns the exit code. */
export async function printFlow({ build, source }: BuildOfText, specPath: string, { json, output }: FlowOptions): Promise<number> {
  const water = checkWater(build);
  if (!water) throw new Stop(2, problemText(source.problem([], 'the spec says nothing of its water', 'a group water with pump, tanks and sump', 'add water, as in templates-spec/fern-terrace.yaml'), specPath));
  const target = output === undefined ? null : claimOutput(output, specPath, false);
  if (target !== null) {
    // A build has a panel.
    const { sheets } = build.panels[0] as Plan;
    const setter = await loadTypesetter(buildWords(build));
    writeWhole(target, await waterPdf(build, checkBuild(build), water, setter, flowPaper(build, { format: sheets })));
  }
  process.stdout.write(`${json ? toJson({ title: build.title, ...waterJson(water) }) : waterTable(build.title, water)}\n`);
  return water.verdict === 'refused' ? 1 : 0;
}
