import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import { check, verdictsByHole, worst, type Finding, type Verdict } from './geometry/check.ts';
import type { Plan } from './plan/plan.ts';
import type { Unit } from './trade/units.ts';

/** What a check says of a plan. */
export interface Report {
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  readonly byHole: ReadonlyMap<string, Verdict>;
  /** What the reader must know besides: typical values, chosen diameters. */
  readonly notes: readonly string[];
  readonly fingerprint: string;
}

/** @param unit the unit in which fixes speak; the plan's own if left out */
export function checkPlan(plan: Plan, unit: Unit = plan.units): Report {
  const findings = check(plan.panel, plan.holes, unit);
  const byHole = verdictsByHole(plan.holes, findings);
  return { verdict: worst(byHole.values()), findings, byHole, notes: notesOn(plan), fingerprint: fingerprint(plan) };
}

/**
 * Eight hex digits that stand for the work: the panel, its holes and how they are measured, not the paper. Two jigs with
 * the same fingerprint are the same work (SHA-256, FIPS 180-4, cut to 32 bits).
 */
export function fingerprint({ title, face, panel, measuredFrom, datum, holes }: Plan): string {
  const digits = bytesToHex(sha256(utf8ToBytes(JSON.stringify({ title, face, panel, measuredFrom, datum, holes }))));
  return `${digits.slice(0, 4)}-${digits.slice(4, 8)}`;
}

function notesOn(plan: Plan): string[] {
  const typical = new Set(plan.holes.filter((hole) => hole.isTypical).map((hole) => hole.fitting as string));
  return [...typical].map((name) => `${name}: typical values, from memory; they vary by maker. Measure the fitting in hand before you drill.`);
}
