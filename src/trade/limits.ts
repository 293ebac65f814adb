/** Limits for holes in flat panels: each with its source. Lengths in mm; t is the panel's thickness, d the hole's diameter. */

export const materials = ['annealed glass', 'toughened glass', 'unknown glass', 'acrylic'] as const;
export type Material = (typeof materials)[number];

/** One published or customary set of limits. A limit that the source does not give is left out. */
export interface LimitSet {
  readonly source: string;
  /** Least ligament from a hole to an edge. */
  readonly toEdge?: (t: number, d: number) => number;
  /** Least ligament between two holes; d is the larger of the two. */
  readonly betweenHoles?: (t: number, d: number) => number;
  /** Least distance from a hole's edge to the tip of a corner. */
  readonly toCorner?: (t: number, d: number) => number;
  readonly leastDiameter?: (t: number) => number;
  /** Largest diameter as a share of the panel's narrowest dimension. */
  readonly largestShare?: number;
}

/** EN figures as restated by a glazing reference: infoglass.cz, minimum distance of holes from the edge. */
const en12150: LimitSet = {
  source: 'EN 12150-1:2015, clause 7',
  toEdge: (t) => 2 * t,
  betweenHoles: (t) => 2 * t,
  toCorner: (t) => 6 * t,
  leastDiameter: (t) => t,
};

/** As published by two fabricators: wagnercompanies.com (drilling tempered glass), germansystemwindows.com (holes). */
const usFabrication: LimitSet = {
  source: 'US fabrication practice after ASTM C1048',
  toEdge: (t) => Math.max(6.4, 2 * t),
  betweenHoles: (t) => Math.max(9.5, 2 * t),
  toCorner: (t) => 6.5 * t,
  leastDiameter: (t) => Math.max(6.4, t + 1.6),
  largestShare: 1 / 3,
};

const acrylicFloor: LimitSet = {
  source: 'acrylic floor, from memory: half a diameter, never under the thickness',
  toEdge: (t, d) => Math.max(t, d / 2),
  betweenHoles: (t, d) => Math.max(t, d / 2),
};

/** Published floors by material: under any of them a hole is refused. Materials that must not be drilled have none. */
export const floors: Readonly<Record<Material, readonly LimitSet[]>> = {
  'annealed glass': [en12150, usFabrication],
  'toughened glass': [],
  'unknown glass': [],
  acrylic: [acrylicFloor],
};

/** Good practice by material: between floor and this a hole is tight. */
export const goodPractice: Readonly<Record<Material, LimitSet>> = {
  'annealed glass': { source: 'common practice, no source: one diameter of glass', toEdge: (_t, d) => d, betweenHoles: (_t, d) => d },
  'toughened glass': { source: '' },
  'unknown glass': { source: '' },
  acrylic: { source: 'good practice in acrylic, from memory: one diameter', toEdge: (_t, d) => d, betweenHoles: (_t, d) => d },
};

/** Why a material is never drilled, and what to do instead. */
export const notDrilled: Readonly<Partial<Record<Material, { reason: string; fix: string; source: string }>>> = {
  'toughened glass': {
    reason: 'toughened (tempered) glass shatters when it is drilled',
    fix: 'do not drill this panel; have a new one made with its holes before toughening, or use a fitting that needs no hole',
    source: 'wagnercompanies.com, drilling tempered glass',
  },
  'unknown glass': {
    reason: 'glass of unknown temper may be toughened, and toughened glass shatters when it is drilled',
    fix: "ask the tank's maker which panels are toughened (crossed polarising filters show temper patterns, but only the maker can say for sure); then write the material found",
    source: 'common practice, no source',
  },
};

/**
 * Room around a flange or nut, mm. Parts may not overlap (floor 0); under `good` there is no room left for a gasket
 * to spread or for fingers on the nut. Common practice, no source.
 */
export const partRoom = {
  floor: 0,
  good: 3,
  floorSource: 'parts may not overlap',
  goodSource: 'common practice, no source: 3 mm for the gasket to spread and the nut to turn',
} as const;

/** What a flange or gasket must cover of the panel round the hole, mm. Common practice, no source. */
export const cover = {
  floor: 0,
  good: 3,
  floorSource: 'a flange or gasket no wider than the hole seals nothing',
  goodSource: 'common practice, no source: 3 mm of seal all round, with the bit cutting 0.5 mm over its size',
} as const;

/** What stands out of a panel's face must find room there. */
export const roomBehind = { source: "the fitting's own length, with sockets and elbows as usual (schedule 40, from memory)" } as const;

/** The crest of a weir under the panel's top edge and under the water, mm. Common practice, no source. */
export const weir = {
  toTop: 25,
  topFloorSource: 'water would run over the panel before it runs over the weir',
  topGoodSource: 'common practice, no source: 25 mm for the head over the weir and for waves',
  waterSource: 'water runs into the box only where it stands over the crest',
} as const;

/**
 * Largest interior angle, degrees, at which two edges make a corner in the sense of the corner rule.
 * Our choice, no source: it keeps outlines that imitate an arc by short straight pieces from being all corners.
 */
export const widestCorner = 170;
