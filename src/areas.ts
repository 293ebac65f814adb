import { allowedPlaces } from './geometry/allowed.ts';
import { placeRules } from './geometry/obstacles.ts';
import type { Plan, PlannedHole } from './plan/plan.ts';
import type { AllowedArea } from './render/area.ts';
import type { Report } from './report.ts';

/** Where holes may be, and what the reader must know of it. */
export interface ShownAreas {
  readonly areas: readonly AllowedArea[];
  readonly notes: readonly string[];
}

/** Most holes whose areas are shown on the overview. With more, each has less than some 6 mm of it, little more than its name, and the shades say nothing. */
export const mostShown = 200;

/** Refused holes that another place may mend: their own place is all that refuses them. */
export function mendedByPlace({ byHole, findings }: Report): Set<string> {
  const refusals = findings.filter(({ hole, verdict }) => verdict === 'refused' && byHole.has(hole));
  const barred = new Set(refusals.filter(({ rule }) => !placeRules.has(rule)).map(({ hole }) => hole));
  return new Set(refusals.map(({ hole }) => hole).filter((hole) => !barred.has(hole)));
}

/** The areas of the holes that another place can mend, each as far as it is nearer to that hole than to any other. */
export function shownAreas({ panel, holes }: Plan, report: Report): ShownAreas {
  const mended = mendedByPlace(report);
  const isRefused = ({ name }: PlannedHole) => report.byHole.get(name) === 'refused';
  const barred = new Set(holes.filter((hole) => isRefused(hole) && !mended.has(hole.name)).map(({ name }) => name));
  const places = allowedPlaces(panel, holes);
  const nowhere = holes.filter(({ name }, index) => mended.has(name) && places.sizeOf(index, 'minimum') === 0);
  const shown = holes.flatMap(({ name }, index) => (barred.has(name) ? [] : [index]));
  return {
    areas: shown.map((index): AllowedArea => ({ minimum: places.nearRegionOf(index, 'minimum').loops, good: places.nearRegionOf(index, 'good practice').loops })),
    notes: [
      ...(nowhere.length > 0 ? [`No place is left on the panel, the others staying: ${listed(nowhere.map(({ name }) => name))}.`] : []),
      ...(barred.size > 0 ? [`Not shaded, as no other place mends what is refused there: ${listed([...barred])}.`] : []),
    ],
  };
}

/** Names, a dozen of them at most. */
function listed(names: readonly string[]): string {
  const most = 12;
  return names.length > most ? `${names.slice(0, most).join(', ')} and ${names.length - most} more` : names.join(', ');
}
