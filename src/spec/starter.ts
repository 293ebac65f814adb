import { stringify } from 'yaml';
import { diameterToBuy } from '../trade/bits.ts';
import { typicalFittings, type FittingSize } from '../trade/fittings.ts';
import { materials, notDrilled, partRoom, type Material } from '../trade/limits.ts';
import { papers } from '../trade/papers.ts';
import { formatInches, formatLength, lengthSlack, millimetresPer, plainNumber, units, type Unit } from '../trade/units.ts';
import { parseLength } from './length.ts';
import { diametersFor, distancesFor, placesOnPanel, type HoleToPlace, type PanelToFill, type PlaceOfHole } from './places.ts';
import { bottoms, ends, tankPanels } from './schema.ts';

/** What a starter is made from. Lengths in mm. */
interface Common {
  readonly title: string;
  readonly units: Unit;
  readonly material: Material;
  readonly width: number;
  readonly height: number;
  readonly thickness: number;
  /** Trade name of a typical fitting. */
  readonly fitting: string;
  /** How many holes for it. */
  readonly holes: number;
}

/** A panel by its width and height; or a tank by its outside length (left to right), width (front to back) and height. */
export type StarterAnswers = Common & ({ readonly kind: 'panel' } | { readonly kind: 'tank'; readonly length: number; readonly box: boolean });

/** Answers that no clear spec can be made from: which one, and what to do. */
export interface StarterTrouble {
  readonly about: 'material' | 'thickness' | 'fitting' | 'size';
  readonly found: string;
  readonly accepted: string;
  readonly fix: string;
}

/** A spec to start from, and how many of the holes it has: all, or the most that fit with good practice all round. */
export interface Starter {
  readonly text: string;
  readonly holes: number;
}

/** What a starter takes for granted until somebody measures, mm. Usual values, from memory; each stands in the spec to be changed. */
interface Usual {
  readonly gap: number;
  readonly sealant: number;
  readonly water: number;
  /** The box: where it hangs, its crest under its top, its walls, the bead in its corners, its depth. */
  readonly boxFromTop: number;
  readonly crest: number;
  readonly wall: number;
  readonly bead: number;
  readonly depth: number;
  /** Places are whole multiples of it. */
  readonly step: number;
}
const inch = millimetresPer.in;
const metric: Usual = { gap: 1, sealant: 4, water: 30, boxFromTop: 40, crest: 10, wall: 6, bead: 3, depth: 100, step: 1 };
const usual: Readonly<Record<Unit, Usual>> = {
  mm: metric,
  cm: metric,
  in: { gap: inch / 32, sealant: inch / 8, water: 1.25 * inch, boxFromTop: 1.5 * inch, crest: (3 / 8) * inch, wall: inch / 4, bead: inch / 8, depth: 4 * inch, step: inch / 8 },
};

/** A spec's line and the comment beside it. */
type Line = readonly [text: string, comment?: string];

/**
 * A commented spec to start from, with holes where the check finds them clear. Pure.
 * @returns the spec; or what stands in the way of a clear one
 */
export function starterSpec(answers: StarterAnswers): Starter | StarterTrouble {
  const made = starterFor(answers);
  if (!('found' in made) || made.about === 'material') return made;
  const others = [...typicalFittings.keys()].filter((fitting) => fitting !== answers.fitting && 'text' in starterFor({ ...answers, fitting }));
  return others.length > 0 ? { ...made, fix: `${made.fix}; or take ${others.join(', ')}` } : made;
}

function starterFor(answers: StarterAnswers): Starter | StarterTrouble {
  const { material, thickness, units: unit, height } = answers;
  const length = (mm: number) => formatLength(mm, unit);
  const refusal = notDrilled[material];
  if (refusal) return { about: 'material', found: refusal.reason, accepted: materials.filter((one) => !notDrilled[one]).join(', '), fix: refusal.fix };

  const { gap, sealant } = usual[unit];
  const width = answers.kind === 'tank' ? answers.length : answers.width;
  const strip = thickness + sealant;
  const panel: PanelToFill = { material, width, height, thickness, strips: { sides: strip, top: 0, bottom: strip } };
  const within = Math.min(width, height, ...(answers.kind === 'tank' ? [answers.width] : [])) - 2 * (thickness + gap);
  if (within <= 0) return { about: 'thickness', found: `${length(thickness)} leaves nothing between the panels on either side`, accepted: 'panels thinner than the work is wide', fix: 'check the sizes and their units' };

  const size = typicalFittings.get(answers.fitting) as FittingSize;
  const diameter = diameterToBuy(size.hole, unit);
  const hole: HoleToPlace = { diameter, reach: Math.max(diameter, size.flange ?? 0, size.nut ?? 0) / 2 };
  const { least, most } = diametersFor(panel);
  if (diameter < least - lengthSlack) return { about: 'fitting', found: `${answers.fitting} has a hole of ${length(diameter)}, too small for glass of ${length(thickness)}`, accepted: `holes of at least ${length(least)}`, fix: 'take a larger fitting or thinner glass' };
  if (diameter > most + lengthSlack) return { about: 'size', found: `a hole of ${length(diameter)} for ${answers.fitting} is more than a third of the panel's narrowest side`, accepted: `holes of at most ${length(most)}`, fix: 'take a smaller fitting or a larger panel' };

  const isBoxed = answers.kind === 'tank' && answers.box;
  const gasket = size.gasket?.thickness ?? 0;
  const stack = thickness + (isBoxed ? usual[unit].wall + 2 * gasket : gasket);
  if (size.grip && (stack < size.grip.min - lengthSlack || stack > size.grip.max + lengthSlack)) {
    return { about: 'fitting', found: `${answers.fitting} clamps ${length(size.grip.min)} to ${length(size.grip.max)}, and ${isBoxed ? 'panel, wall of the box and gaskets' : 'panel and gasket'} are ${length(stack)} together`, accepted: 'a fitting that clamps the stack', fix: 'take another fitting, or another thickness' };
  }
  const box = isBoxed ? boxFor(answers, panel, hole) : undefined;
  const places = isBoxed ? (box?.places ?? []) : placesOnPanel(answers.holes, panel, hole, usual[unit].step);
  if (places.length === 0) {
    const what = isBoxed ? 'box with a hole' : 'hole';
    return { about: 'size', found: `a panel of ${length(width)} by ${length(height)} has no room for one ${what} for ${answers.fitting} with good practice all round`, accepted: `at least ${length(distancesFor(panel, hole).side)} from the middle of a hole to each side`, fix: 'take a smaller fitting or a larger panel' };
  }
  const lines = answers.kind === 'panel' ? panelLines(answers, places) : tankLines(answers, places, box);
  return { text: textOf([...headLines(answers), ...lines, ...tailLines(answers)]), holes: places.length };
}

/** An overflow box for the back panel, and its holes from its own left and top edge. */
interface Box {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
  readonly places: readonly PlaceOfHole[];
}

/** A box round one row of holes, on the middle of the back panel. Undefined where it finds no room. */
function boxFor({ holes, units: unit, width: tankWidth }: StarterAnswers, panel: PanelToFill, hole: HoleToPlace): Box | undefined {
  const { wall, bead, boxFromTop, crest, depth, gap, step } = usual[unit];
  const up = (mm: number) => Math.ceil((mm - lengthSlack) / step) * step;
  const onPanel = distancesFor(panel, hole);
  const onWall = distancesFor({ material: 'acrylic', thickness: wall, strips: { sides: wall + bead, top: 0, bottom: wall + bead } }, hole);
  const [side, pitch] = [up(onWall.side), up(Math.max(onPanel.between, onWall.between))];
  const room = panel.width - 2 * (panel.strips.sides + partRoom.good);
  const count = Math.min(holes, Math.floor((room - 2 * side + lengthSlack) / pitch) + 1);
  if (count < 1) return undefined;
  const width = 2 * side + (count - 1) * pitch;
  const fromSide = (panel.width - width) / 2 + side;
  const fromCorner = Math.sqrt(Math.max(0, onPanel.corner ** 2 - fromSide ** 2));
  const fromTop = up(Math.max(onWall.top, crest + hole.reach + partRoom.good, Math.max(onPanel.top, fromCorner) - boxFromTop));
  const height = fromTop + up(onWall.bottom);
  const below = panel.height - boxFromTop - fromTop;
  if (boxFromTop + height + partRoom.good + panel.strips.bottom > panel.height || below < Math.max(onPanel.bottom, fromCorner)) return undefined;
  const inside = tankWidth - 2 * (panel.thickness + gap);
  const places = Array.from({ length: count }, (_, index) => ({ fromLeft: side + index * pitch, fromTop }));
  return { width, height, depth: Math.min(depth, inside / 2), places };
}

function headLines({ title, units: unit, kind }: StarterAnswers): Line[] {
  return [
    [`# A ${kind} to drill: change what differs from what you measure. What stands after a # is for you alone.`],
    [`title: ${stringify(title, { lineWidth: 0 }).trim()}`, 'printed on every sheet'],
    [`units: ${unit}`, `of numbers that carry none, or ${others(units, unit)}; a length may carry its own: 35 mm, 1 3/8 in`],
    [''],
  ];
}

function panelLines(answers: StarterAnswers, places: readonly PlaceOfHole[]): Line[] {
  const { material, width, height, thickness, units: unit } = answers;
  const { sealant } = usual[unit];
  const joint = `{panel: ${written(thickness, unit)}, sealant: ${written(sealant, unit)}}`;
  return [
    ['panel:', 'as you see it from outside'],
    [`  material: ${material}`, materialWords(material)],
    [`  width: ${written(width, unit)}`, 'left to right, true edge to true edge'],
    [`  height: ${written(height, unit)}`, 'bottom to top, true edge to true edge'],
    [`  thickness: ${written(thickness, unit)}`, 'measured at an edge'],
    ...faceLines('  '),
    ['  rim: {top: 0, right: 0, bottom: 0, left: 0}', 'strips that a frame covers'],
    ['  joints:', 'strips that neighbouring panels and their sealant take; leave out a side that has none'],
    [`    right: ${joint}`],
    [`    bottom: ${joint}`],
    [`    left: ${joint}`],
    ...keepClearLines('  '),
    [''],
    ...holeLines(answers, places, '', false),
  ];
}

function tankLines(answers: StarterAnswers & { kind: 'tank' }, places: readonly PlaceOfHole[], box: Box | undefined): Line[] {
  const { material, length, width, height, thickness, units: unit } = answers;
  const { gap, sealant, water, boxFromTop, crest, wall, bead } = usual[unit];
  const [bottom, end] = ['between walls', 'between front and back'] as const satisfies [(typeof bottoms)[number], (typeof ends)[number]];
  const boxLines = (of: Box): Line[] => [
    ['boxes:'],
    ['  overflow:', 'a name of your own'],
    ['    material: acrylic', materialWords('acrylic')],
    [`    width: ${written(of.width, unit)}`, 'outside, left to right'],
    [`    height: ${written(of.height, unit)}`, 'outside, bottom to top'],
    [`    depth: ${written(of.depth, unit)}`, 'outside, from its back wall to its front'],
    [`    wall: ${written(wall, unit)}`, 'thickness of its walls'],
    [`    sealant: ${written(bead, unit)}`, 'bead inside its corners'],
    ['    stands: inside', 'on which face of the panel: inside or outside'],
    [`    weir-from-top: ${written(crest, unit)}`, 'its crest, where the water goes in, under its top'],
    ['    measured-from: edges', 'where your tape starts, or inside (the inner face of its walls)'],
    ...holeLines(answers, places, '    ', true),
    [''],
  ];
  return [
    ...(box ? boxLines(box) : []),
    ['tanks:'],
    ['  tank:', 'a name of your own'],
    [`    material: ${material}`, materialWords(material)],
    [`    length: ${written(length, unit)}`, 'outside, left to right'],
    [`    width: ${written(width, unit)}`, 'outside, front to back'],
    [`    height: ${written(height, unit)}`, 'outside, with the bottom'],
    [`    thickness: ${written(thickness, unit)}`, `of all panels, or a group with ${tankPanels.join(', ')}`],
    [`    bottom: ${bottom}`, `or ${others(bottoms, bottom)}`],
    [`    ends: ${end}`, `how left and right meet front and back, or ${others(ends, end)}`],
    [`    gap: ${written(gap, unit)}`, 'sealant between an edge and the face that it meets'],
    [`    sealant: ${written(sealant, unit)}`, 'bead inside the corners'],
    ['    rim: {top: 0, bottom: 0}', 'height of a frame, from the top of the walls and from the underside of the tank'],
    [`    water-from-top: ${written(water, unit)}`, 'how far the water stays under the top edge'],
    ['    panels:', `the panels that are drilled: ${tankPanels.join(', ')}`],
    ['      back:', 'as you see it from outside, from behind'],
    ...faceLines('        '),
    ...keepClearLines('        '),
    ...(box ? ([['        boxes:', 'where each stands: one of from-left, from-right, from-center-x, and one of from-top, from-bottom'], [`          - {box: overflow, from-center-x: 0, from-top: ${written(boxFromTop, unit)}}`]] as const) : holeLines(answers, places, '        ', false)),
  ];
}

function faceLines(indent: string): Line[] {
  return [
    [`${indent}drilled-from: outside`, 'the face that the drill goes in at, or inside'],
    [`${indent}measured-from: edges`, "where your tape starts, or rim (the frame's visible line), inside (the neighbours' inner face)"],
  ];
}

function keepClearLines(indent: string): Line[] {
  return [
    [`${indent}# keep-clear:`, 'areas that nothing may enter'],
    [`${indent}#   - {name: heater bracket, from-right: 40 mm, from-bottom: 40 mm, width: 90 mm, height: 120 mm}`],
  ];
}

function holeLines({ units: unit, fitting }: StarterAnswers, places: readonly PlaceOfHole[], indent: string, isBoxed: boolean): Line[] {
  const word = isBoxed ? 'drain' : 'hole';
  return [
    [`${indent}holes:`, 'where the middle of each lies, by two distances:'],
    [`${indent}  # one of from-left, from-right, from-center-x, and one of from-top, from-bottom, from-center-y`],
    ...places.map(({ fromLeft, fromTop }, index): Line => {
      const name = places.length > 1 ? `${word} ${index + 1}` : word;
      return [`${indent}  - {name: ${name}, fitting: ${fitting}, from-left: ${written(fromLeft, unit)}, from-top: ${written(fromTop, unit)}}`];
    }),
    ...(isBoxed ? [] : [[`${indent}  # - {name: air line, diameter: 12 mm, from-center-x: 0, from-bottom: 150 mm}`, 'no fitting: the bit is that wide'] as const]),
  ];
}

function tailLines({ units: unit, fitting }: StarterAnswers): Line[] {
  const paper = unit === 'in' ? 'Letter' : 'A4';
  const [overlap, margin] = unit === 'in' ? [(5 / 8) * inch, (3 / 8) * inch] : [16, 10];
  return [
    [''],
    [`# ${fitting} has typical values, which vary by maker. Measure yours, write it here, and name it in the holes:`],
    ['# fittings:'],
    ['#   my fitting: {hole: [44 mm, 46 mm], flange: 66 mm, nut: 62 mm, grip: [3 mm, 25 mm]}'],
    ['# bits: [45 mm, 36 mm]', 'the bits you have: each hole takes the one that fits'],
    [''],
    ['sheets:'],
    [`  paper: ${paper}`, `or ${others(papers.map(({ name }) => name), paper)}, or a size such as 24 x 36 in`],
    [`  overlap: ${written(overlap, unit)}`, 'what neighbouring sheets share'],
    [`  margin: ${written(margin, unit)}`, 'what your printer leaves white along the paper'],
  ];
}

function materialWords(material: Material): string {
  return `or ${others(materials.filter((one) => !notDrilled[one]), material)}; ${materials.filter((one) => notDrilled[one]).join(' and ')} are always refused`;
}

function others(all: readonly string[], but: string): string {
  return all.filter((one) => one !== but).join(', ');
}

/** A length as it is written in a spec with that unit: bare where its digits say it wholly, else with its own unit. */
function written(mm: number, unit: Unit): string {
  if (unit !== 'in') return plainNumber(mm / millimetresPer[unit], 7);
  const text = formatInches(mm).replace(/ in$/, '');
  const reading = parseLength(text, unit);
  return 'mm' in reading && Math.abs(reading.mm - mm) < lengthSlack ? text : `${plainNumber(mm, 7)} mm`;
}

/** Comments stand in one column beside the lines that are not too long. */
const widestColumn = 44;

function textOf(lines: readonly Line[]): string {
  const column = Math.min(widestColumn, Math.max(...lines.flatMap(([text, comment]) => (comment && text.length < widestColumn ? [text.length] : []))));
  return `${lines.map(([text, comment]) => (comment ? `${text.padEnd(column)}  # ${comment}` : text)).join('\n')}\n`;
}
