import { floors, goodPractice, partRoom, type LimitSet, type Material } from '../trade/limits.ts';
import { lengthSlack } from '../trade/units.ts';

/** Where the centre of a hole lies, mm from the panel's left and top edge. */
export interface PlaceOfHole {
  readonly fromLeft: number;
  readonly fromTop: number;
}

/** A hole and what its fitting covers round it. Lengths in mm. */
export interface HoleToPlace {
  readonly diameter: number;
  /** Radius of the widest part. */
  readonly reach: number;
}

/** A panel to place holes on. Lengths in mm. */
export interface PanelToFill {
  readonly material: Material;
  readonly width: number;
  readonly height: number;
  readonly thickness: number;
  /** Strips that neighbours or a frame take along its edges. */
  readonly strips: { readonly sides: number; readonly top: number; readonly bottom: number };
}

/** Distances of hole centres that leave good practice and more than every floor, mm. */
export interface Distances {
  /** From the sides, the top and the bottom. */
  readonly side: number;
  readonly top: number;
  readonly bottom: number;
  /** From the tip of a corner; 0 where the material asks for none. */
  readonly corner: number;
  readonly between: number;
}

/** What the limits ask of such a hole in such a panel. */
export function distancesFor({ material, thickness, strips }: Omit<PanelToFill, 'width' | 'height'>, { diameter, reach }: HoleToPlace): Distances {
  const most = (key: 'toEdge' | 'toCorner' | 'betweenHoles') =>
    Math.max(0, ...limitsOf(material).map((set) => set[key]?.(thickness, diameter) ?? 0));
  const ofPart = (strip: number) => Math.max(diameter / 2 + most('toEdge'), reach + strip + partRoom.good);
  const toCorner = most('toCorner');
  return {
    side: ofPart(strips.sides),
    top: ofPart(strips.top),
    bottom: ofPart(strips.bottom),
    corner: toCorner > 0 ? diameter / 2 + toCorner : 0,
    between: Math.max(diameter + most('betweenHoles'), 2 * reach + partRoom.good),
  };
}

/** Least and largest diameter that the material takes at that thickness and in a panel that narrow, mm. */
export function diametersFor({ material, thickness, width, height }: PanelToFill): { readonly least: number; readonly most: number } {
  const sets = limitsOf(material);
  return {
    least: Math.max(0, ...sets.map((set) => set.leastDiameter?.(thickness) ?? 0)),
    most: Math.min(...sets.map((set) => (set.largestShare ?? 1) * Math.min(width, height))),
  };
}

/**
 * Spreads holes in rows from the top, each row evenly across the panel, with good practice all round.
 * @param step places are whole multiples of it, mm, as a tape measure shows them
 * @returns as many places as are asked for, or the most that fit in rows; empty if not even one does
 */
export function placesOnPanel(count: number, panel: PanelToFill, hole: HoleToPlace, step: number): readonly PlaceOfHole[] {
  const { side, top, bottom, corner, between } = distancesFor(panel, hole);
  const up = (mm: number) => Math.ceil((mm - lengthSlack) / step);
  const down = (mm: number) => Math.floor((mm + lengthSlack) / step);
  const [left, right, pitch] = [up(side), down(panel.width - side), up(between)];
  if (right < left) return [];
  /** Rows of that many holes: where their columns and the rows lie, in steps, and how many rows fit. */
  const rowsOf = (columns: number) => {
    const spacing = columns === 1 ? 0 : Math.min(Math.floor((right - left) / (columns - 1)), Math.max(pitch, down(panel.width / columns)));
    const first = Math.floor((left + right - (columns - 1) * spacing) / 2);
    const last = first + (columns - 1) * spacing;
    const across = Math.min(first * step, panel.width - last * step);
    const fromCorner = Math.sqrt(Math.max(0, corner ** 2 - across ** 2));
    const [highest, lowest] = [up(Math.max(top, fromCorner)), down(panel.height - Math.max(bottom, fromCorner))];
    return { columns, spacing, first, highest, rows: lowest < highest ? 0 : Math.floor((lowest - highest) / pitch) + 1 };
  };
  const widest = Math.floor((right - left) / pitch) + 1;
  const all = Array.from({ length: Math.min(widest, count) }, (_, index) => rowsOf(index + 1));
  const fits = all.filter(({ columns, rows }) => columns * rows >= count).sort((a, b) => Math.ceil(count / a.columns) - Math.ceil(count / b.columns) || a.columns - b.columns);
  const [most] = [...all].sort((a, b) => b.columns * b.rows - a.columns * a.rows);
  const chosen = fits[0] ?? most;
  if (!chosen) return [];
  return Array.from({ length: Math.min(count, chosen.columns * chosen.rows) }, (_, index) => ({
    fromLeft: (chosen.first + (index % chosen.columns) * chosen.spacing) * step,
    fromTop: (chosen.highest + Math.floor(index / chosen.columns) * pitch) * step,
  }));
}

function limitsOf(material: Material): readonly LimitSet[] {
  return [...floors[material], goodPractice[material]];
}
