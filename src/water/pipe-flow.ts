import { flowPer } from '../trade/flow.ts';
import { millimetresPer } from '../trade/units.ts';
import { gravity, laminarBelow, plasticC, plasticRoughness, turbulentAbove, viscosity, type Losses } from '../trade/water.ts';
import { cubicAt, rootOf, type Sloped } from './root.ts';
import type { PipeRun } from './system.ts';

/** What resists the flow in a run of pipe of one bore. Lengths in mm. */
export interface Resistance {
  readonly bore: number;
  readonly length: number;
  /** Loss coefficients of all that is in it, added up: so many velocity heads. */
  readonly minor: number;
}

export const areaOf = (bore: number) => (Math.PI / 4) * bore * bore;

/** Speed in a full pipe, mm/s. @param flow mm³/s @param bore mm */
export const speedIn = (bore: number, flow: number) => flow / areaOf(bore);

/** Velocity head v² / 2g, mm. @param speed mm/s */
export const velocityHead = (speed: number) => (speed * speed) / (2 * gravity);

/** What resists the flow in a run of pipe. @param ends the losses where water goes in and out, added up */
export function resistanceOf({ bore, length, parts }: PipeRun, losses: Losses, ends: number): Resistance {
  const minor =
    parts.elbows * losses.elbow + parts.halfElbows * losses.halfElbow + parts.teesThrough * losses.teeThrough + parts.teesBranch * losses.teeBranch +
    parts.ballValves * losses.ballValve + parts.gateValves * losses.gateValve + parts.checkValves * losses.checkValve;
  return { bore, length, minor: minor + parts.otherLosses + ends };
}

/** What a run of pipe holds when full, mm³. */
export function volumeOf({ bore, length }: PipeRun): number {
  return areaOf(bore) * length;
}

/**
 * Darcy's friction factor: 64 / Re in laminar flow; Colebrook and White in turbulent flow, 1/√f = -2 log10(ε / 3.7 D +
 * 2.51 / (Re √f)), solved to the last digits; between the two, where nothing is certain, a cubic in the logarithms that
 * meets both without a step or a kink, so that the loss always rises with the flow.
 * @param reynolds Reynolds number v D / ν, more than 0
 * @param roughness over the bore, ε / D
 */
export function frictionFactor(reynolds: number, roughness: number): number {
  return friction(reynolds, roughness)[0];
}

/** The friction factor, and the slope of its logarithm over that of the Reynolds number. */
function friction(reynolds: number, roughness: number): Sloped {
  if (reynolds <= laminarBelow) return [64 / reynolds, -1];
  if (reynolds >= turbulentAbove) return colebrook(reynolds, roughness);
  const [factor, slope] = colebrook(turbulentAbove, roughness);
  const width = Math.log(turbulentAbove / laminarBelow);
  const [logarithm, rise] = cubicAt(Math.log(reynolds / laminarBelow) / width, [Math.log(64 / laminarBelow), -width], [Math.log(factor), slope * width]);
  return [Math.exp(logarithm), rise / width];
}

function colebrook(reynolds: number, roughness: number): Sloped {
  const [rough, smooth] = [roughness / 3.7, 2.51 / reynolds];
  // In x = 1 / √f: x + 2 log10(rough + smooth x) = 0. Haaland's formula (from memory) is within 2 % of it, and each of Newton's steps doubles the digits.
  const slopeAt = (x: number) => 1 + (2 / Math.LN10) * (smooth / (rough + smooth * x));
  let x = -1.8 * Math.log10(rough ** 1.11 + 6.9 / reynolds);
  for (let step = 0; step < 4; step += 1) x -= (x + 2 * Math.log10(rough + smooth * x)) / slopeAt(x);
  // From the slope of x over Re at a fixed equation.
  const alongRe = ((2 / Math.LN10) * (smooth * x)) / (rough + smooth * x) / slopeAt(x);
  return [1 / (x * x), (-2 * alongRe) / x];
}

/** Head that is lost to friction by Darcy and Weisbach, f L / D v² / 2g, mm. */
export function frictionLoss(pipe: Resistance, flow: number): number {
  return lossOf({ ...pipe, minor: 0 }, flow)[0];
}

/** Head that is lost in the parts of a pipe, ΣK v² / 2g, mm. */
export function minorLoss(pipe: Resistance, flow: number): number {
  return pipe.minor * velocityHead(speedIn(pipe.bore, flow));
}

/** Head that is lost in a run of pipe, mm, and how it grows with the flow. @param flow at least 0, mm³/s */
export function lossOf({ bore, length, minor }: Resistance, flow: number): Sloped {
  const perFlow = 1 / areaOf(bore);
  const speed = flow * perFlow;
  const turbulent = (minor * speed * perFlow) / gravity;
  const reynolds = (speed * bore) / viscosity;
  const laminar = (32 * viscosity * length * perFlow) / (gravity * bore * bore);
  if (reynolds <= laminarBelow) return [laminar * flow + (turbulent * flow) / 2, laminar + turbulent];
  const [factor, slope] = friction(reynolds, plasticRoughness / bore);
  const rubbed = (factor * (length / bore) * speed * speed) / (2 * gravity);
  return [rubbed + (turbulent * flow) / 2, (rubbed * (2 + slope)) / flow + turbulent];
}

/** The flow at which a run of pipe loses that head, mm³/s; without end where it loses none. @param head mm */
export function flowAt(pipe: Resistance, head: number): Sloped {
  if (head <= 0) return [0, 0];
  if (pipe.length <= 0 && pipe.minor <= 0) return [Infinity, Infinity];
  let most = areaOf(pipe.bore) * Math.sqrt((2 * gravity * head) / Math.max(pipe.minor, pipe.length > 0 ? 1e-3 : 0));
  while (lossOf(pipe, most)[0] < head) most *= 2;
  const flow = rootOf((flow) => {
    const [loss, slope] = lossOf(pipe, flow);
    return [loss - head, slope];
  }, 0, most, most);
  return [flow, 1 / lossOf(pipe, flow)[1]];
}

/**
 * Head that is lost to friction by Hazen and Williams, mm: h = 0.2083 (100 / C)^1.852 q^1.852 / d^4.8655, ft of water for
 * 100 ft of pipe, q in gpm, d in inches (as ISO and NFPA have it).
 */
export function hazenWilliamsLoss({ bore, length }: Resistance, flow: number, c: number = plasticC): number {
  const gpm = flow / flowPer.gpm;
  return (length / 100) * 0.2083 * (100 / c) ** 1.852 * (gpm ** 1.852 / (bore / millimetresPer.in) ** 4.8655);
}
