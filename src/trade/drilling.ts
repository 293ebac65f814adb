/**
 * How a hole is drilled, step by step, by material: what a person does with hands and tools, whatever the jig. All of it
 * is common practice, no source; where the maker of bit, panel or fitting says otherwise, the maker is right.
 */
import type { Material } from './limits.ts';

export interface DrillingSteps {
  /** What the bit must be. */
  readonly bit: string;
  /** On what the panel lies, and what is under the hole. */
  readonly support: string;
  /** Before the jig is taped on. */
  readonly tape: string;
  /** When the jig lies, the last thing before the drill turns. */
  readonly ready: string;
  /** While a hole is drilled: what it is about, and what to do. */
  readonly each: readonly (readonly [about: string, words: string])[];
  /** How the bit is let through, in a panel under {@link thickFrom} and in a thicker one. */
  readonly through: { readonly thin: string; readonly thick: string };
  readonly after: readonly string[];
}

/** Thickness from which a panel is better finished from its other face, mm (common practice, no source). */
export const thickFrom = 10;

const mount = 'Mount the fittings: gasket on the wet side, faces clean, nut hand-tight, then what the maker of the fitting says and no more.';

/** Materials that must not be drilled have none. */
export const drillingSteps: Readonly<Partial<Record<Material, DrillingSteps>>> = {
  'annealed glass': {
    bit: 'A core bit must run true and carry diamond all round its rim.',
    support: 'Lay the panel flat on firm padding, with backing flat and close under every hole. Upright panel: fix it behind.',
    tape: 'Put tape on both faces over every hole: it keeps chips down and the bit from skating.',
    ready: 'Water: a dam of putty round each hole on a flat panel, a gentle feed from above on an upright one. Clear tape keeps the paper dry.',
    each: [
      ['Start', 'Hold the bit aslant until it has ground a notch, then bring it upright; or start through a guide fixed to the panel. It must not skate.'],
      ['Water', 'On the cut all the time. Lift the bit every few seconds, so that water gets in and the slurry out.'],
      ['Pressure', 'Little more than the weight of the drill. If the slurry goes dry or the bit squeals, stop and add water.'],
    ],
    through: {
      thin: 'Ease off when the bit is nearly through: pushed, it chips the far face.',
      thick: 'When the bit just shows on the far face, finish from there, if jig or centre mark is carried over to it: neither face chips. Else ease off.',
    },
    after: [
      'Take off tape and jig. Seam the edge of each hole on both faces: wet diamond pad or silicon carbide stone. Rinse off all dust, dry.',
      'Look at each hole from both faces in raking light. A crack, or a chip deeper than a fingernail is thick (about 0.5 mm): do not fill the tank.',
      'Measure each hole, write it in the table, and try the fitting: it must go in without force.',
      mount,
    ],
  },
  acrylic: {
    bit: 'A sharp hole saw or circle cutter for plastics; diamond is not needed.',
    support: 'Lay the panel flat and clamp it on a backing board, close under every hole. Upright panel: clamp it behind.',
    tape: 'Keep the protective film on, or put masking tape on both faces over every hole.',
    ready: 'Cooling: compressed air, or water with a drop of soap, never oil or alcohol. Try the speed on a scrap of the same sheet.',
    each: [
      ['Start', 'Slowly, with the pilot drill on the centre cross or the bit in a guide. A circle cutter runs only in a drill press, at its slowest speed.'],
      ['Chips', 'Lift the bit often, clear the chips, let the cut cool. If it squeaks, smells or pulls strings, stop: acrylic that melts grips the bit.'],
      ['Pressure', 'Light and steady. Let the teeth cut; a bit that grabs cracks the panel.'],
    ],
    through: {
      thin: 'Ease off when the bit is nearly through, and let it run on into the backing board.',
      thick: 'Ease off when the bit is nearly through, and let it run on into the backing board.',
    },
    after: [
      'Take off tape and jig. Deburr the edge of each hole on both faces with a scraper or fine wet abrasive paper.',
      'Wash off the chips with water and mild soap. No solvent, glass cleaner or alcohol near drilled edges: stressed, they crack.',
      'Look at each hole from both faces in raking light. A crack, crazing or a melted edge: do not fill the tank.',
      'Measure each hole, write it in the table, and try the fitting: no force. Anneal the panel where the maker of the sheet says so.',
      mount,
    ],
  },
};

/** How long a leak test lasts, hours (common practice, no source). */
export const leakTestHours = 24;

/** What is said in place of steps. */
export const neverDrilled: Readonly<Partial<Record<Material, string>>> = {
  'toughened glass': 'Toughened (tempered) glass must not be drilled: it shatters. Have a new panel made with the holes in it.',
  'unknown glass': 'Glass that nobody can name must not be drilled: it may be toughened, and shatter. Ask its maker, or have a new panel made with the holes in it.',
};
