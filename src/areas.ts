import type { AllowedPlaces } from './geometry/allowed.ts';
import { placeRules } from './geometry/obstacles.ts';
import type { Plan, PlannedHole } from './plan/plan.ts';
import type { AllowedArea } from './render/area.ts';
import type { Report } from './report.ts';
import { firstNames } from './spec/problem.ts';

/** Where holes may be, and what the reader must know of it. */
export interface ShownAreas {
  readonly areas: readonly AllowedArea[];
  readonly notes: readonly string[];
}

/** Most holes whose areas are shown on the overview. With more, each has less than some 6 mm of it, little more than its name, and the shades say nothing. */
export const mostShown = 200;

/** Refused holes that another place may mend: their own place is all that refuses them, on the panel or on what is drilled with it. */
export function mendedByPlace({ byHole, findings }: Report): Set<string> {
  const refusals = findings.filter(({ hole, verdict }) => verdict === 'refused' && byHole.has(hole));
  const barred = new Set(refusals.filter(({ rule }) => !placeRules.has(rule) && rule !== 'drilled-with').map(({ hole }) => hole));
  return new Set(refusals.map(({ hole }) => hole).filter((hole) => !barred.has(hole)));
}

/** The areas of the holes that another place can mend, each as far as it is nearer to that hole than to any other. */
export function shownAreas({ holes }: Plan, report: Report, places: AllowedPlaces): ShownAreas {
  const mended = mendedByPlace(report);
  const isRefused = ({ name }: PlannedHole) => report.byHole.get(name) === 'refused';
  const barred = new Set(holes.filter((hole) => isRefused(hole) && !mended.has(hole.name)).map(({ name }) => name));
  const inWall = holes.filter((hole) => hole.inWall && !barred.has(hole.name));
  const shown = holes.map((hole, index) => ({ ...hole, index })).filter(({ name }) => !barred.has(name));
  const areas = shown.map(({ index }): AllowedArea => ({ minimum: places.nearRegionOf(index, 'minimum').loops, good: places.nearRegionOf(index, 'good practice').loops }));
  // What is left elsewhere is nearer to other holes, and not shaded for this one.
  const nowhere = shown.filter(({ name, index }, at) => mended.has(name) && areas[at]?.minimum.length === 0 && !places.nearest(index, 'minimum'));
  return {
    areas,
    notes: [
      ...(inWall.length > 0 ? [`Drilled in a back wall, too, which may leave them less room: see its own page for ${listed(inWall.map(({ name }) => name))}.`] : []),
      ...(nowhere.length > 0 ? [`No place is left on the panel, the others staying: ${listed(nowhere.map(({ name }) => name))}.`] : []),
      ...(barred.size > 0 ? [`Not shaded, as what is refused there is no matter of these distances: ${listed([...barred])}.`] : []),
    ],
  };
}

/** Most names in a note. */
const mostNames = 12;

const listed = (names: readonly string[]) => firstNames(names, mostNames);
