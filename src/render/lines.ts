import { edgesOf, insetLine, leftNormal } from '../geometry/shape.ts';
import type { Plan, Point } from '../plan/plan.ts';
import { faceTransform } from './layout.ts';

/** A straight line of the panel that paper can be laid to or a tape hooked on, mm of the drilled face. */
export interface PanelLine {
  readonly name: string;
  readonly a: Point;
  readonly b: Point;
  /** Into the panel, length 1. */
  readonly inwards: Point;
  /** How far inside the true edge it lies, and the sealant before it, mm. */
  readonly inset: number;
  readonly sealant: number;
  readonly isInnerFace: boolean;
}

/**
 * What one meets first on a face of the panel: the rim where there is one, else the edge. On the inside, where distances
 * start at inner faces, a neighbouring panel stands on the edge, and its inner face is met.
 */
export function panelLines(plan: Plan, face: Plan['face']): PanelLine[] {
  const toFace = faceTransform(plan);
  const { outline, edges } = plan.panel;
  const neighbours = edges.map((edge) => {
    if (face === 'outside' || plan.measuredFrom !== 'inside' || edge.joint === 0) return 0;
    // Joints belong to the edges that look to their side; an edge at 45° looks to two.
    const { x, y } = leftNormal(edge);
    const sides = [...(Math.abs(x) > Math.abs(y) - 1e-6 ? [x > 0 ? 'left' : 'right'] as const : []), ...(Math.abs(y) > Math.abs(x) - 1e-6 ? [y > 0 ? 'bottom' : 'top'] as const : [])];
    return Math.max(...sides.map((side) => (side === 'left' || side === 'bottom' ? plan.datum[side] - plan.bounds[side] : plan.bounds[side] - plan.datum[side])));
  });
  const turn = plan.face === 'outside' ? 1 : -1;
  const insets = edges.map(({ rim }, index) => Math.max(rim, neighbours[index] as number));
  return edgesOf(insetLine(outline, insets)).map(({ a: from, b: to }, index) => {
    const { name, rim, joint } = edges[index] as Plan['panel']['edges'][number];
    const [a, b, neighbour] = [toFace(from), toFace(to), neighbours[index] as number];
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    const isInnerFace = neighbour > rim;
    return {
      name: isInnerFace ? `inner face at ${withArticle(name)}` : rim > 0 ? `rim line (${name})` : name,
      a, b, isInnerFace,
      inset: insets[index] as number,
      sealant: isInnerFace ? joint - neighbour : 0,
      inwards: { x: (-(b.y - a.y) / length) * turn, y: ((b.x - a.x) / length) * turn },
    };
  });
}

/** "the top edge", "edge 3-4", "the rim line (edge 3-4)". */
export const withArticle = (name: string) => (/^edge /.test(name) ? name : `the ${name}`);

/** The face that the paper lies on. */
export function paperFace({ face, sheets }: Plan): Plan['face'] {
  return sheets.isOnFarFace ? (face === 'outside' ? 'inside' : 'outside') : face;
}

/** The lines that the paper is laid to. */
export function laidLines(plan: Plan): PanelLine[] {
  return panelLines(plan, paperFace(plan));
}

/** The outline that stays of the paper when it is cut to the lines that it is laid to, in the coordinates of the drilled face. */
export function laidOutline(plan: Plan): Point[] {
  return laidLines(plan).map(({ a }) => a);
}

/** Words read from left to right, or upwards, along a direction: whether they go with it, and their angle in degrees. */
export function reading({ x, y }: Point): { isForward: boolean; angle: number; up: Point } {
  const isForward = x > 1e-9 || (Math.abs(x) <= 1e-9 && y > 0);
  const [u, v] = isForward ? [x, y] : [-x, -y];
  return { isForward, angle: (Math.atan2(v, u) * 180) / Math.PI, up: { x: -v, y: u } };
}
