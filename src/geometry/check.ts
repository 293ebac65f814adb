import { coreAllowance } from '../trade/bits.ts';
import { cover, floors, notDrilled, roomBehind } from '../trade/limits.ts';
import { formatLength, lengthSlack, roundDownToStep, roundUpToStep, type Unit } from '../trade/units.ts';
import { boxFindings } from './boxes.ts';
import { clearanceFinding, nearer, ruleTitles, strictest, worst, type Finding, type Limit, type Rule, type Verdict } from './finding.ts';
import { clearanceToCore, type Obstacle } from './obstacles.ts';
import type { Hole, Panel } from './panel.ts';
import { surroundingsOf, type Surroundings } from './surroundings.ts';

/**
 * Checks every hole of a panel against every rule.
 *
 * For each hole and rule the findings that are not clear are told, the worst {@link mostTold} of them, or else the one
 * with the least room. A pair of holes is told from both sides, as each hole has its own move.
 * @param unit the unit in which fixes speak; numbers stay in mm
 * @param surroundings of these holes, where they have been sorted already
 */
export function check(panel: Panel, holes: readonly Hole[], unit: Unit = 'mm', surroundings: Surroundings = surroundingsOf(panel, holes)): Finding[] {
  const byHole = holes.map((hole, index) => [
    ...checkAlone(panel, hole, unit),
    ...surroundings.told(index).flatMap(({ rule, obstacles }) => obstacles.flatMap((obstacle) => obstacleFinding(hole, rule, obstacle, unit))),
  ]);
  const order = Object.keys(ruleTitles);
  const ofBoxes = notDrilled[panel.material] ? [] : boxFindings(panel, unit);
  return [...byHole.flatMap((findings) => tellConflicts(findings).sort((a, b) => order.indexOf(a.rule) - order.indexOf(b.rule))), ...ofBoxes];
}

/** The verdict of each hole and box by name. A refused box takes the holes that are drilled with it along. */
export function verdictsByHole(holes: readonly Hole[], findings: readonly Finding[]): Map<string, Verdict> {
  const result = new Map<string, Verdict>(holes.map((hole) => [hole.name, 'clear']));
  for (const { hole, verdict } of findings) result.set(hole, worst([result.get(hole) ?? 'clear', verdict]));
  for (const { name, box } of holes) if (box && result.get(box) === 'refused') result.set(name, 'refused');
  return result;
}

function checkAlone(panel: Panel, hole: Hole, unit: Unit): Finding[] {
  const { material, thickness: t } = panel;
  const refusal = notDrilled[material];
  const findings: Finding[] = [materialFinding(panel, hole)];
  if (refusal) return findings;

  findings.push(...diameterFindings(panel, hole, unit));
  if (hole.grip) findings.push(gripFinding(hole, hole.grip, t, unit));
  findings.push(...coverFindings(hole), ...roomFindings(panel, hole, unit));
  return findings;
}

function obstacleFinding(hole: Hole, rule: Rule, { name, core, radius, limits }: Obstacle, unit: Unit): Finding {
  const place = nearer({ name, clearance: clearanceToCore(hole.center, core) }, radius);
  return clearanceFinding(hole, rule, name, place.clearance, limits, unit);
}

function materialFinding({ material }: Panel, hole: Hole): Finding {
  const refusal = notDrilled[material];
  return {
    hole: hole.name,
    rule: 'material',
    verdict: refusal ? 'refused' : 'clear',
    other: null,
    measured: material,
    needed: 'annealed glass or acrylic',
    floor: null,
    good: null,
    source: refusal?.source ?? 'wagnercompanies.com, drilling tempered glass',
    fix: refusal ? `${refusal.reason}: ${refusal.fix}` : '',
    move: null,
  };
}

function diameterFindings(panel: Panel, hole: Hole, unit: Unit): Finding[] {
  const sets = floors[panel.material];
  const least = strictest(sets.flatMap((set) => (set.leastDiameter ? [{ value: set.leastDiameter(panel.thickness), source: set.source }] : [])));
  const shares = sets.flatMap((set) => (set.largestShare ? [{ value: set.largestShare * panel.narrowest, source: set.source }] : []));
  const finding = (rule: Rule, limit: Limit, isShort: boolean, fix: string): Finding => ({
    hole: hole.name,
    rule,
    verdict: isShort ? 'refused' : 'clear',
    other: null,
    measured: hole.diameter,
    needed: limit.value,
    floor: limit.value,
    good: null,
    source: limit.source,
    fix: isShort ? fix : '',
    move: null,
  });
  return [
    ...(least ? [finding('least-diameter', least, hole.diameter < least.value - lengthSlack, `drill at least ${formatLength(roundUpToStep(least.value, unit), unit)} in glass this thick`)] : []),
    ...shares.map((limit) =>
      finding('largest-diameter', limit, hole.diameter > limit.value + lengthSlack, `drill at most ${formatLength(roundDownToStep(limit.value, unit), unit)}, a third of the panel's narrowest dimension: choose a smaller fitting`),
    ),
  ];
}

function gripFinding(hole: Hole, grip: { min: number; max: number }, panelThickness: number, unit: Unit): Finding {
  const thickness = hole.stack ?? panelThickness;
  const isThin = thickness < grip.min - lengthSlack;
  const isThick = thickness > grip.max + lengthSlack;
  return {
    hole: hole.name,
    rule: 'grip',
    verdict: isThin || isThick ? (hole.isTypical ? 'tight' : 'refused') : 'clear',
    other: null,
    measured: thickness,
    needed: isThick ? grip.max : grip.min,
    floor: isThick ? grip.max : grip.min,
    good: null,
    source: hole.isTypical ? 'typical grip, from memory: measure the fitting in hand' : "the fitting's own grip",
    fix: isThin || isThick ? `the fitting clamps ${formatLength(grip.min, unit)} to ${formatLength(grip.max, unit)}: choose one that clamps a ${hole.stack !== undefined && hole.stack > panelThickness + lengthSlack ? 'stack' : 'panel'} of ${formatLength(thickness, unit)}` : '',
    move: null,
  };
}

/** The ring of panel that flange or gasket covers round the hole, as wide as the bit may cut it. */
function coverFindings(hole: Hole): Finding[] {
  const covers = [...(hole.flange === undefined ? [] : [{ other: 'flange', wide: hole.flange }]), ...(hole.gasket === undefined ? [] : [{ other: 'gasket', wide: hole.gasket }])];
  if (covers.length === 0) return [];
  const { other, wide } = covers.reduce((least, one) => (one.wide < least.wide ? one : least));
  const measured = (wide - hole.diameter - coreAllowance) / 2;
  const isShort = measured < cover.good - lengthSlack;
  const isOpen = measured < cover.floor - lengthSlack;
  const verdict = isOpen ? 'refused' : isShort ? 'tight' : 'clear';
  const fix = verdict === 'clear' ? '' : `a smaller bit, or a fitting with a wider ${other}: it seals on what it covers round the hole`;
  return [{ hole: hole.name, rule: 'cover', verdict, other, measured, needed: isOpen ? cover.floor : cover.good, floor: cover.floor, good: cover.good, source: isOpen ? cover.floorSource : cover.goodSource, fix, move: null }];
}

/** What stands out of each face against the room that is there. */
function roomFindings(panel: Panel, hole: Hole, unit: Unit): Finding[] {
  return (['outside', 'inside'] as const).flatMap((face): Finding[] => {
    const [free, needed] = [panel.room[face], hole.standsOut?.[face] ?? null];
    if (free === null || needed === null) return [];
    const isShort = free < needed - lengthSlack;
    const fix = isShort ? `keep ${formatLength(roundUpToStep(needed, unit), unit)} free ${face}, or join something shorter there` : '';
    return [{ hole: hole.name, rule: 'room', verdict: isShort ? 'tight' : 'clear', other: face, measured: free, needed, floor: null, good: needed, source: roomBehind.source, fix, move: null }];
  });
}

/** Says so where two refusals of one hole ask for opposite moves: then no place nearby helps. */
function tellConflicts(findings: readonly Finding[]): Finding[] {
  const moves = findings.filter((finding) => finding.verdict === 'refused').flatMap((finding) => (finding.move ? [finding.move] : []));
  const opposes = (a: { right: number; up: number }, b: { right: number; up: number }) =>
    a.right * b.right + a.up * b.up < -0.9 * Math.hypot(a.right, a.up) * Math.hypot(b.right, b.up);
  return findings.map((finding) => {
    const { move } = finding;
    if (finding.verdict !== 'refused' || !move || !moves.some((other) => opposes(move, other))) return finding;
    return { ...finding, fix: `${finding.fix}; another rule asks for the opposite, so ${finding.rule.startsWith('between-') ? 'move the other hole, ' : ''}choose a smaller hole or quite another place` };
  });
}
