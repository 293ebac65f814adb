/** Random panels in our own scenario, as spec texts, and plain geometry to judge what is drawn on them. Lengths in mm. */
import fc from 'fast-check';
import type { Point, Rect } from '../../src/plan/plan.ts';
import { markBounds, type Mark } from '../../src/render/mark.ts';

/** What a random panel was made of. Strips are top, right, bottom, left, 0 where there is none. */
export interface Made {
  readonly spec: string;
  readonly outline: readonly Point[];
  readonly rim: Strips;
  readonly neighbours: Strips;
  readonly sealant: number;
  readonly measuredFrom: 'edges' | 'rim' | 'inside';
  readonly face: 'outside' | 'inside';
  readonly isOnFarFace: boolean;
  readonly units: 'mm' | 'in';
  readonly holes: readonly { readonly name: string; readonly center: Point; readonly diameter: number; readonly flange: number }[];
}

export type Strips = Readonly<Record<'top' | 'right' | 'bottom' | 'left', number>>;

const points = (...list: readonly (readonly [number, number])[]) => list.map(([x, y]) => ({ x, y }));

/** Outlines that fill a width and a height, counter-clockwise; left and bottom edges straight, so that all can be measured from. */
const shapes: Readonly<Record<string, (w: number, h: number) => readonly Point[]>> = {
  rectangle: (w, h) => points([0, 0], [w, 0], [w, h], [0, h]),
  'cut corner': (w, h) => points([0, 0], [w, 0], [w, h * 0.6], [w * 0.7, h], [0, h]),
  'two slants': (w, h) => points([0, 0], [w, 0], [w * 0.85, h * 0.9], [w * 0.4, h], [0, h * 0.7]),
  notch: (w, h) => points([0, 0], [w, 0], [w, h], [w * 0.7, h], [w * 0.7, h * 0.75], [w * 0.4, h * 0.75], [w * 0.4, h], [0, h]),
  U: (w, h) => points([0, 0], [w, 0], [w, h], [w * 0.65, h], [w * 0.65, h * 0.4], [w * 0.35, h * 0.4], [w * 0.35, h], [0, h]),
  L: (w, h) => points([0, 0], [w, 0], [w, h * 0.45], [w * 0.5, h * 0.45], [w * 0.5, h], [0, h]),
};

/** Even-odd rule. */
export function isInside({ x, y }: Point, ring: readonly Point[]): boolean {
  return ring.reduce((inside, a, index) => {
    const b = ring[(index + 1) % ring.length] as Point;
    return a.y > y !== b.y > y && x < a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x) ? !inside : inside;
  }, false);
}

const whole = (least: number, most: number) => fc.integer({ min: least, max: most });
const share = fc.double({ min: 0.02, max: 0.98, noNaN: true });

/**
 * @param most.isSound false leaves holes in that run into each other or over the edge, as only a draft can show
 */
export function anyPanel(most: { holes: number; side?: number; least?: number; diameter?: number; shapes?: readonly string[]; papers?: readonly string[]; isSound?: boolean }): fc.Arbitrary<Made> {
  const { holes: mostHoles, side = 2000, least = 200, diameter = 90, isSound = true } = most;
  return fc
    .record({
      shape: fc.constantFrom(...(most.shapes ?? Object.keys(shapes))),
      width: whole(least, side),
      height: whole(least, side),
      face: fc.constantFrom('outside' as const, 'inside' as const),
      isOnFarFace: fc.boolean(),
      units: fc.constantFrom('mm' as const, 'in' as const),
      measuredFrom: fc.constantFrom('edges' as const, 'rim' as const, 'inside' as const),
      rimSides: fc.tuple(fc.boolean(), fc.boolean(), fc.boolean(), fc.boolean()),
      rimWidth: whole(6, 20),
      neighbour: whole(5, 12),
      sealant: whole(0, 3),
      jointSides: fc.tuple(fc.boolean(), fc.boolean(), fc.boolean(), fc.boolean()),
      paper: fc.constantFrom(...(most.papers ?? ['A4', 'Letter', 'Legal', 'A3', '400 x 500 mm'])),
      overlap: whole(10, 24),
      places: fc.array(fc.record({ x: share, y: share, diameter: whole(8, diameter), hasFlange: fc.boolean() }), { minLength: 1, maxLength: mostHoles }),
    })
    .map(({ shape, width, height, face, isOnFarFace, units, measuredFrom, rimSides, rimWidth, neighbour, sealant, jointSides, paper, overlap, places }) => {
      const outline = (shapes[shape] as (typeof shapes)[string])(width, height);
      const strips = (sides: readonly boolean[], size: number): Strips => ({ top: sides[0] ? size : 0, right: sides[1] ? size : 0, bottom: sides[2] ? size : 0, left: sides[3] ? size : 0 });
      const [rim, neighbours] = [strips(rimSides, rimWidth), strips(jointSides, neighbour)];
      const start = { edges: { left: 0, bottom: 0 }, rim, inside: neighbours }[measuredFrom];
      const centers = places.map(({ x, y, ...rest }) => ({ center: { x: Math.round(x * width), y: Math.round(y * height) }, ...rest })).filter(({ center }) => isInside(center, outline));
      const sound = centers.filter(({ center, diameter: drilled }, index) => {
        const isOffEdges = outline.every((a, at) => distanceToSegment(center, a, outline[(at + 1) % outline.length] as Point) > drilled / 2 + 5);
        return isOffEdges && centers.slice(0, index).every((other) => Math.hypot(other.center.x - center.x, other.center.y - center.y) > (other.diameter + drilled) / 2 + 10);
      });
      const chosen = isSound ? sound : centers;
      const kept = chosen.length > 0 ? chosen : [{ center: { x: Math.round(width * 0.2), y: Math.round(height * 0.2) }, diameter: 10, hasFlange: false }];
      const holes = kept.map(({ center, diameter: drilled, hasFlange }, index) => ({ name: `h${index + 1}`, center, diameter: drilled, flange: hasFlange ? drilled + 22 : 0 }));
      const group = (name: string, of: (side: keyof Strips) => string) => `${name}: {${(['top', 'right', 'bottom', 'left'] as const).map((side) => `${side}: ${of(side)}`).join(', ')}}`;
      const lines = holes.map(({ name, center, diameter: drilled, flange }) => {
        const size = flange > 0 ? `fitting: {hole: [${drilled} mm, ${drilled} mm], flange: ${flange} mm}` : `diameter: ${drilled} mm`;
        return `  - {name: ${name}, ${size}, from-left: ${center.x - start.left} mm, from-bottom: ${center.y - start.bottom} mm}`;
      });
      const spec = `
title: Frag shelf
units: ${units}
panel:
  material: acrylic
  thickness: 5 mm
  drilled-from: ${face}
  measured-from: ${measuredFrom}
  outline: [${outline.map(({ x, y }) => `[${x} mm, ${y} mm]`).join(', ')}]
  ${group('rim', (side) => `${rim[side]} mm`)}
  ${group('joints', (side) => `{panel: ${neighbours[side]} mm, sealant: ${neighbours[side] > 0 ? sealant : 0} mm}`)}
holes:
${lines.join('\n')}
sheets: {paper: ${paper}, overlap: ${overlap} mm, lies-on: ${isOnFarFace ? 'far-face' : 'drilled-face'}}`;
      return { spec, outline, rim, neighbours, sealant, measuredFrom, face, isOnFarFace, units, holes };
    });
}

/** A point of the panel, seen from outside, as it lies on the paper: mirrored about the panel's middle for the inside. */
export function onPaper({ face, outline }: Pick<Made, 'face' | 'outline'>, { x, y }: Point): Point {
  const xs = outline.map((p) => p.x);
  return face === 'inside' ? { x: Math.min(...xs) + Math.max(...xs) - x, y } : { x, y };
}

/** Sides that an edge looks to, by its normal. */
export function sidesOf(a: Point, b: Point): (keyof Strips)[] {
  // Outside lies on the right of a counter-clockwise edge.
  const [x, y] = [b.y - a.y, a.x - b.x];
  const [level, upright] = [x > 0 ? 'right' : 'left', y > 0 ? 'top' : 'bottom'] as const;
  return Math.abs(Math.abs(x) - Math.abs(y)) < 1e-6 * Math.hypot(x, y) ? [level, upright] : [Math.abs(x) > Math.abs(y) ? level : upright];
}

/** Each edge of the ring moved inwards by its own width: corners by Cramer's rule on the two lines n · p = c. */
export function insetRing(ring: readonly Point[], width: (index: number) => number): Point[] {
  const lines = ring.map((a, index) => {
    const b = ring[(index + 1) % ring.length] as Point;
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    const n = { x: -(b.y - a.y) / length, y: (b.x - a.x) / length };
    return { n, c: n.x * a.x + n.y * a.y + width(index) };
  });
  return lines.map(({ n, c }, index) => {
    const before = lines[(index + lines.length - 1) % lines.length] as (typeof lines)[number];
    const det = before.n.x * n.y - before.n.y * n.x;
    return { x: (before.c * n.y - c * before.n.y) / det, y: (before.n.x * c - n.x * before.c) / det };
  });
}

/** Corners of what a mark covers, lines without their width; text from its descenders to its capitals. */
export function cornersOf(mark: Mark): readonly Point[] {
  if (mark.kind === 'line') return [mark.a, mark.b];
  if (mark.kind === 'path') return mark.points;
  if (mark.kind === 'circle') return boxCorners({ left: mark.center.x - mark.radius, right: mark.center.x + mark.radius, bottom: mark.center.y - mark.radius, top: mark.center.y + mark.radius });
  if (mark.kind === 'area') return boxCorners(markBounds(mark));
  const start = { left: 0, center: -mark.width / 2, right: -mark.width }[mark.align];
  const [cos, sin] = [Math.cos((mark.angle * Math.PI) / 180), Math.sin((mark.angle * Math.PI) / 180)];
  const corner = (x: number, y: number) => ({ x: mark.at.x + x * cos - y * sin, y: mark.at.y + x * sin + y * cos });
  const [low, high] = [-0.22 * mark.size, 0.75 * mark.size];
  return [corner(start, low), corner(start + mark.width, low), corner(start + mark.width, high), corner(start, high)];
}

export function boxCorners({ left, right, bottom, top }: Rect): Point[] {
  return points([left, bottom], [right, bottom], [right, top], [left, top]);
}

/** How deep two convex shapes lie in each other: separating axes, mm; negative where they are apart. */
export function depthOf(p: readonly Point[], q: readonly Point[]): number {
  const axes = [p, q].flatMap((ring) => ring.map((a, index) => {
    const b = ring[(index + 1) % ring.length] as Point;
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    return length > 0 ? { x: -(b.y - a.y) / length, y: (b.x - a.x) / length } : { x: 1, y: 0 };
  }));
  // A stroke has one normal only; its own direction separates too.
  const all = axes.flatMap(({ x, y }) => [{ x, y }, { x: -y, y: x }]);
  return Math.min(...all.map(({ x, y }) => {
    const [mine, theirs] = [p, q].map((ring) => ring.map((at) => at.x * x + at.y * y)) as [number[], number[]];
    return Math.min(Math.max(...mine) - Math.min(...theirs), Math.max(...theirs) - Math.min(...mine));
  }));
}

/** Distance from a point to a segment. */
export function distanceToSegment(p: Point, a: Point, b: Point): number {
  const squared = (b.x - a.x) ** 2 + (b.y - a.y) ** 2;
  const t = squared === 0 ? 0 : Math.min(1, Math.max(0, ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / squared));
  return Math.hypot(p.x - a.x - t * (b.x - a.x), p.y - a.y - t * (b.y - a.y));
}

/** Distance from a point to a convex shape, 0 inside it. */
export function distanceToShape(p: Point, ring: readonly Point[]): number {
  if (ring.length > 2 && isInside(p, ring)) return 0;
  return Math.min(...ring.map((a, index) => distanceToSegment(p, a, ring[(index + 1) % ring.length] as Point)));
}
