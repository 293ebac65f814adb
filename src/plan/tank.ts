import type { Side } from '../geometry/panel.ts';
import { tankPanels, type SpecPanel, type SpecTank, type TankPanel } from '../spec/schema.ts';
import { formatLength } from '../trade/units.ts';
import type { Work } from './hole.ts';
import type { PanelOf } from './panel.ts';

/** One panel of a tank as it must be cut, as seen from outside. Lengths in mm. */
export interface TankPanelSize {
  readonly width: number;
  readonly height: number;
  readonly thickness: number;
  /**
   * What its neighbours take along each side: their thickness where they stand on its face, less than nothing where a gap
   * parts its edge from them, and the bead of sealant.
   */
  readonly joints: Readonly<Record<Side, { readonly panel: number; readonly sealant: number }>>;
}

/** What lies at the sides of each panel as one looks at it from outside; the bottom from below, its front edge up. */
const neighbours = {
  front: { left: 'left', right: 'right' },
  back: { left: 'right', right: 'left' },
  left: { left: 'back', right: 'front' },
  right: { left: 'front', right: 'back' },
} as const satisfies Record<Exclude<TankPanel, 'bottom'>, { left: TankPanel; right: TankPanel }>;

/**
 * True sizes of a tank's panels and the strips that their neighbours take, from its outside size and how they meet. Where
 * one panel's edge meets another's face, the gap of sealant between is taken off the one whose edge it is. The arithmetic
 * of any butt-jointed tank: outside size less what stands before and behind.
 */
export function tankPanelSizes(tank: Pick<SpecTank, 'length' | 'width' | 'height' | 'thickness' | 'bottom' | 'ends' | 'gap' | 'sealant'>): Record<TankPanel, TankPanelSize> {
  const { length, width, height, thickness: t, gap = 0, sealant = 0 } = tank;
  const isUnder = tank.bottom === 'under walls';
  const isBetween = tank.ends === 'between front and back';
  /** A neighbour that stands on this panel's face takes its thickness; the face of one that this panel's edge butts on lies a gap before that edge. */
  const stands = (panel: number) => ({ panel, sealant });
  const butts = { panel: 0 - gap, sealant };
  const inLength = length - t.left - t.right - 2 * gap;
  const inWidth = width - t.front - t.back - 2 * gap;
  const wall = (which: keyof typeof neighbours): TankPanelSize => {
    const isEnd = which === 'left' || which === 'right';
    const { left, right } = neighbours[which];
    const isButting = isEnd === isBetween;
    return {
      width: isEnd ? (isBetween ? inWidth : width) : isBetween ? length : inLength,
      height: isUnder ? height - t.bottom - gap : height,
      thickness: t[which],
      joints: { top: { panel: 0, sealant: 0 }, bottom: isUnder ? butts : stands(t.bottom), left: isButting ? butts : stands(t[left]), right: isButting ? butts : stands(t[right]) },
    };
  };
  const bottom: TankPanelSize = {
    width: isUnder ? length : inLength,
    height: isUnder ? width : inWidth,
    thickness: t.bottom,
    joints: isUnder ? { top: stands(t.front), bottom: stands(t.back), left: stands(t.left), right: stands(t.right) } : { top: butts, bottom: butts, left: butts, right: butts },
  };
  return { front: wall('front'), back: wall('back'), left: wall('left'), right: wall('right'), bottom };
}

/** The space in a tank, between the inner faces and from the bottom's upper face to the top edge, mm. Gaps of sealant lie between edges and faces, and take nothing of it. */
export function insideOf({ length, width, height, thickness: t }: Pick<SpecTank, 'length' | 'width' | 'height' | 'thickness'>): { readonly length: number; readonly width: number; readonly height: number } {
  return { length: length - t.left - t.right, width: width - t.front - t.back, height: height - t.bottom };
}

/** How a panel lies in its tank, for the person who marks its faces. */
const standings: Readonly<Record<TankPanel, string>> = {
  front: "As seen from outside, before the tank: its left edge is the tank's left.",
  back: "As seen from outside, from behind: its left edge is the tank's right.",
  left: "As seen from outside, at the tank's left end: its left edge is the tank's back.",
  right: "As seen from outside, at the tank's right end: its left edge is the tank's front.",
  bottom: "As seen from outside, from below: its top edge is the tank's front, its left edge the tank's left.",
};

/** Strips that the tank's frame covers of a wall. It starts at the tank's underside: over a bottom that lies under the walls it may end below their edge, at less than nothing. */
function rimOfWall({ rim, bottom, thickness, gap = 0 }: SpecTank): SpecPanel['rim'] {
  if (!rim) return undefined;
  const under = bottom === 'under walls' ? thickness.bottom + gap : 0;
  return { top: rim.top ?? 0, right: 0, bottom: rim.bottom ? rim.bottom - under : 0, left: 0 };
}

/** The panels of a tank that have something to drill, as panels of their own. */
export function panelsOfTank(name: string, tank: SpecTank, work: Work): PanelOf[] {
  const sizes = tankPanelSizes(tank);
  const path = ['tanks', name];
  const thin = tankPanels.find((which) => sizes[which].width <= 0 || sizes[which].height <= 0);
  const { length, width, height, thickness: t, gap = 0 } = tank;
  const isFull = Math.min(length - t.left - t.right - 2 * gap, width - t.front - t.back - 2 * gap, height - t.bottom - gap) <= 0;
  if (thin || isFull) {
    const size = [tank.length, tank.width, tank.height].map((mm) => formatLength(mm, work.units)).join(' by ');
    work.problems.push(work.source.problem([...path, 'thickness'], `its panels leave ${thin ? `nothing of the ${thin}` : 'no room'} in a tank of ${size}`, 'panels thinner than the tank', 'check the sizes of the tank and their units'));
    return [];
  }
  return tankPanels.flatMap((which): PanelOf[] => {
    const given = tank.panels[which];
    if (!given || (!given.holes && !given.boxes?.length)) return [];
    const { holes = [], material = tank.material, ...rest } = given;
    const { joints, ...size } = sizes[which];
    const isWall = which !== 'bottom';
    const panel: SpecPanel = {
      ...rest,
      ...size,
      material,
      joints,
      rim: rest.rim ?? (isWall ? rimOfWall(tank) : undefined),
      'water-from-top': isWall ? tank['water-from-top'] : undefined,
    };
    return [{ panel, holes, path: [...path, 'panels', which], holesPath: [...path, 'panels', which, 'holes'], part: `${name}, ${which}`, quantity: tank.quantity ?? 1, standing: standings[which], isBoxWall: false }];
  });
}
