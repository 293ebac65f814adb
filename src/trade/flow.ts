/** Units of flow, and of what goes with it. Everything inside panejig is in mm³/s; volumes in mm³, speeds in mm/s. */
import { millimetresPer, plainNumber, type Unit } from './units.ts';

/** Units that flows are told in. gph and gpm are US gallons. */
export const flowUnits = ['gph', 'gpm', 'L/h', 'm3/h'] as const;
export type FlowUnit = (typeof flowUnits)[number];

/** mm³ in a litre and in a US gallon. Exact: 1 US gal = 231 in³ (NIST Handbook 44, appendix C). */
export const cubicMillimetresPer = { L: 1e6, gal: 231 * millimetresPer.in ** 3 } as const;

/** mm³/s in one of each unit. Exact. */
export const flowPer: Readonly<Record<FlowUnit, number>> = {
  gph: cubicMillimetresPer.gal / 3600,
  gpm: cubicMillimetresPer.gal / 60,
  'L/h': cubicMillimetresPer.L / 3600,
  'm3/h': 1e9 / 3600,
};

/** Digits after the point: about a thousandth of what a tank's pump gives. */
const flowDigits: Readonly<Record<FlowUnit, number>> = { gph: 0, gpm: 1, 'L/h': 0, 'm3/h': 2 };

const isUs = (unit: FlowUnit) => unit === 'gph' || unit === 'gpm';

/** A flow (mm³/s) in the given unit with its name: "900 gph". */
export function formatFlow(flow: number, unit: FlowUnit): string {
  return `${plainNumber(flow / flowPer[unit], flowDigits[unit])} ${unit}`;
}

/** A volume (mm³) in US gallons or litres, as the flows are. */
export function formatVolume(volume: number, unit: FlowUnit): string {
  return isUs(unit) ? `${plainNumber(volume / cubicMillimetresPer.gal, 1)} gal` : `${plainNumber(volume / cubicMillimetresPer.L, 1)} L`;
}

/** A speed (mm/s) in feet or metres a second, as the flows are. */
export function formatSpeed(speed: number, unit: FlowUnit): string {
  return isUs(unit) ? `${plainNumber(speed / millimetresPer.ft, 1)} ft/s` : `${plainNumber(speed / millimetresPer.m, 2)} m/s`;
}

/** A head (mm of water) in feet or metres, as the spec's lengths are. */
export function formatHead(head: number, unit: Unit): string {
  return unit === 'in' ? `${plainNumber(head / millimetresPer.ft, 2)} ft` : `${plainNumber(head / millimetresPer.m, 2)} m`;
}

/** A share as a percentage. */
export function formatShare(share: number): string {
  return `${plainNumber(share * 100, 0)} %`;
}
