import { join } from 'node:path';
import { profileWords, quoted } from '../plan/printer.ts';
import { writePdf } from '../render/pdf.ts';
import { rulerDocument, rulerPage, rulerPageLengths } from '../render/ruler.ts';
import { formatLength } from '../trade/units.ts';
import { claimPlace, Stop, writeWhole } from './files.ts';
import { loadTypesetter } from './fonts.ts';
import { marginOption, paperOption } from './options.ts';
import { loadProfile } from './profiles.ts';

export interface RulerOptions {
  readonly paper?: string;
  readonly margin?: string;
  readonly printer?: string;
  readonly output?: string;
}

/** Writes a page to measure the printer by, and says what to do with it. Returns the exit code. */
export async function writeRuler(options: RulerOptions): Promise<number> {
  const kept = options.printer === undefined ? undefined : await loadProfile(options.printer);
  const profile = kept?.profile;
  const paper = options.paper === undefined && profile ? profile.paper : paperOption(options.paper);
  const margin = marginOption(options.margin);
  const setter = await loadTypesetter([profile?.name ?? '', paper.name]);
  const page = rulerPage(paper, margin, setter, profile);
  if ('problem' in page) throw new Stop(2, `${page.problem}\n    accepted: a paper with room for scales of 80 mm, a square and the words\n    fix: ${page.fix}`);
  const usual = `ruler-${paper.name.toLowerCase().replaceAll(' ', '-')}${profile ? `-${profile.name}` : ''}.pdf`;
  const path = options.output ?? join('out', usual);
  const target = claimPlace(path, usual, options.output === undefined);
  writeWhole(target, await writePdf([page], rulerDocument(paper, margin, profile), setter));

  const { across, down } = rulerPageLengths(paper, margin, profile);
  const lines = [
    `${path}: ruler page for ${paper.name}: across ${formatLength(across)}, down ${formatLength(down)}${profile ? `, ${profileWords(profile)}` : ''}`,
    ...(profile && profile.paper.name !== paper.name ? [`note: the profile was measured on ${profile.paper.name}; another paper may come out otherwise`] : []),
    ...(setter.unprintable.size > 0 ? [`note: no typeface at hand has ${[...setter.unprintable].slice(0, 8).join(' ')}; a box stands in its place`] : []),
    `Print at 100 % / actual size, on the same paper, tray and quality as the jig. Measure both scales with a steel rule${profile ? '.' : ', then type:'}`,
    ...(profile ? [] : [`panejig printer NAME --paper ${quoted(paper.name)}${options.margin === undefined ? '' : ` --margin ${quoted(options.margin)}`} --across …mm --down …mm`]),
  ];
  process.stdout.write(`${lines.join('\n')}\n`);
  return 0;
}
