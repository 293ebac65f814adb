/** Values of hydraulics, each with its source. Lengths in mm, speeds in mm/s. */

/** Standard gravity, mm/s². Exact: NIST SP 811, appendix B. */
export const gravity = 9806.65;

/** Kinematic viscosity of fresh water at 20 °C, mm²/s. From memory, as in any steam or water table. Warmer water runs a little easier. */
export const viscosity = 1.004;

/** Roughness of plastic pipe, mm, as Moody's chart has it for drawn tubing (pe-calc.com, after Crane TP-410). */
export const plasticRoughness = 0.0015;

/** Hazen-Williams coefficient of plastic pipe: Illinois Administrative Code, title 77, part 906, appendix A, exhibit I. */
export const plasticC = 150;

/** Loss coefficients: so many velocity heads are lost in each. */
export interface Losses {
  readonly elbow: number;
  readonly halfElbow: number;
  readonly teeThrough: number;
  readonly teeBranch: number;
  readonly ballValve: number;
  readonly gateValve: number;
  readonly checkValve: number;
}

/**
 * Loss coefficients of fittings (pe-calc.com, minor loss coefficients, after Crane TP-410), for pipes that a pump pushes
 * through: where it gives a range, its upper end.
 */
export const pumpedLosses: Losses = { elbow: 0.9, halfElbow: 0.4, teeThrough: 0.9, teeBranch: 2, ballValve: 0.05, gateValve: 0.2, checkValve: 2.5 };

/** The same for drains, whose capacity must not be told too large: another source gives 1.5 for an elbow (lmnoeng.com). */
export const drainLosses: Losses = { ...pumpedLosses, elbow: 1.5 };

/** Loss at a pipe's end under water, and at a drain's opening that stands out into the water (the upper end of 0.8 to 1.0). Sources as above. */
export const [exitLoss, entranceLoss] = [1, 1];

/** Reynolds numbers: laminar below, turbulent above, by the sources of {@link pumpedLosses}. */
export const [laminarBelow, turbulentAbove] = [2300, 4000];

/** Speed in plastic pipe, mm/s: 5 ft/s. Common practice, from memory. */
export const pipeSpeed = { value: 1524, source: 'common practice, from memory: 5 ft/s in plastic pipe, for noise and water hammer' } as const;

/**
 * Water that must stand over the opening of a pipe that runs full, mm, so that no whirl draws air into it: D (1 + 2.3 Fr), Fr =
 * v / √(g D). ANSI/HI 9.8 (pump intakes), from memory.
 * @param bore mm @param speed mm/s
 */
export function drainCover(bore: number, speed: number): number {
  return bore * (1 + (2.3 * speed) / Math.sqrt(gravity * bore));
}

/** How deep an open drain may lie under the crest before the fall is heard, mm; its bore, where that is more. Common practice, no source. */
export const openDepth = 50;

/** How far a spare opens over the drains that run, mm; half its bore, where that is more. Common practice, no source. */
export const spareOver = 10;

/** Share of the sump's free volume that may run back. Common practice, no source. */
export const sparedShare = 0.8;

/** What is said wherever flows are told. */
export const waterCautions: readonly string[] = [
  'An estimate for planning, from clean pipes and still water: teeth clog, pipes foul, valves stick. Keep a spare drain, and test with water, a blocked drain and the pump switched off before you trust it.',
  'Follow local codes. Electrical work near water is for licensed people: circuits with a residual-current device (GFCI), leads with a drip loop.',
];

/** How a drain runs: full of water to its end, with no air in it; or with air, water on the walls of the pipe alone. */
export const drainKinds = ['full siphon', 'open'] as const;
export type DrainKind = (typeof drainKinds)[number];
