/** Patches over random panels, against plain geometry and brute force written here and in random-panels.ts. */
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Plan, Point, Rect } from '../../src/plan/plan.ts';
import { drawJig } from '../../src/render/draw.ts';
import { choosePatches, patchRows, type Patch } from '../../src/render/patches.ts';
import { measuredMarks, type MeasuredTie } from '../../src/render/tape.ts';
import type { Layout } from '../../src/render/layout.ts';
import type { Mark, Text } from '../../src/render/mark.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { loadWide } from '../fonts.ts';
import { planOf } from '../printed/measure.ts';
import { anyPanel, boxCorners, cornersOf, depthOf, distanceToSegment, distanceToShape, insetRing, isInside, onPaper, sidesOf, type Made } from './random-panels.ts';

let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide(['Frag shelf']);
});

interface Job {
  readonly made: Made;
  readonly plan: Plan;
  readonly layout: Layout;
  readonly patches: readonly Patch[];
  /** What the paper meets on the face that it lies on, and the tape on the drilled face; as they lie on the paper, edge by edge. */
  readonly paperRing: readonly Point[];
  readonly tapeRing: readonly Point[];
}

/** Ticks end 7.5 mm outside the drilling circle. */
const tickEnd = 7.5;
const markedRadius = ({ diameter, flange }: Made['holes'][number]) => Math.max(diameter / 2 + tickEnd, flange / 2);

/** By how much what one meets on a face lies inside the true edge, and what it is called. */
function metOn(made: Made, face: 'outside' | 'inside', index: number): { inset: number; what: 'edge' | 'rim line' | 'inner face' } {
  const sides = sidesOf(made.outline[index] as Point, made.outline[(index + 1) % made.outline.length] as Point);
  const rim = Math.max(...sides.map((side) => made.rim[side]));
  // A neighbouring panel stands on the inside, and is there where the spec measures from its inner face.
  const neighbour = face === 'inside' && made.measuredFrom === 'inside' ? Math.max(...sides.map((side) => made.neighbours[side])) : 0;
  return { inset: Math.max(rim, neighbour), what: neighbour > rim ? 'inner face' : rim > 0 ? 'rim line' : 'edge' };
}

const otherFace = { outside: 'inside', inside: 'outside' } as const;

function jobOf(made: Made): Job {
  const plan = planOf(made.spec);
  const chosen = choosePatches(plan);
  if ('problem' in chosen) throw new Error(`no patches: ${chosen.problem}`);
  const ring = (face: 'outside' | 'inside') => insetRing(made.outline, (index) => metOn(made, face, index).inset).map((p) => onPaper(made, p));
  return { made, plan, ...chosen, paperRing: ring(made.isOnFarFace ? otherFace[made.face] : made.face), tapeRing: ring(made.face) };
}

const rounds = 80;

function forAllPatches(panels: fc.Arbitrary<Made>, property: (job: Job) => void, numRuns = rounds): void {
  fc.assert(fc.property(panels, (made) => property(jobOf(made))), { numRuns });
}

const strokes = (ring: readonly Point[]) => ring.map((a, index) => [a, ring[(index + 1) % ring.length] as Point] as const);

/** The part of a segment inside a box: bounds on t from each side. */
function clip([a, b]: readonly [Point, Point], box: Rect): { a: Point; b: Point; length: number } | undefined {
  let [low, high] = [0, 1];
  for (const [start, step, least, most] of [[a.x, b.x - a.x, box.left, box.right], [a.y, b.y - a.y, box.bottom, box.top]] as const) {
    if (Math.abs(step) < 1e-12) {
      if (start < least || start > most) return undefined;
      continue;
    }
    const ends = [(least - start) / step, (most - start) / step].sort((p, q) => p - q) as [number, number];
    [low, high] = [Math.max(low, ends[0]), Math.min(high, ends[1])];
  }
  if (low > high) return undefined;
  const at = (t: number) => ({ x: a.x + t * (b.x - a.x), y: a.y + t * (b.y - a.y) });
  return { a: at(low), b: at(high), length: (high - low) * Math.hypot(b.x - a.x, b.y - a.y) };
}

/** What a window offers to lay it by: 2 for lines that cross, 1 for one line, 0 for none. Its outermost millimetre does not count. */
function fixesOf(ring: readonly Point[], window: Rect): 0 | 1 | 2 {
  const inner = { left: window.left + 1, right: window.right - 1, bottom: window.bottom + 1, top: window.top - 1 };
  const pieces = strokes(ring).flatMap((stroke) => {
    const piece = clip(stroke, inner);
    return piece ? [{ ...piece, isWhole: piece.length > Math.hypot(stroke[0].x - stroke[1].x, stroke[0].y - stroke[1].y) - 1e-6 }] : [];
  });
  const angle = (p: (typeof pieces)[number]) => (Math.atan2(p.b.y - p.a.y, p.b.x - p.a.x) * 180) / Math.PI;
  const isAcross = (p: (typeof pieces)[number], q: (typeof pieces)[number]) => {
    const turn = Math.abs(angle(p) - angle(q)) % 180;
    return Math.min(turn, 180 - turn) > 20;
  };
  const isCorner = pieces.some((p) => pieces.some((q) => isAcross(p, q) && ((p.length >= 40 && q.length >= 40) || (p.length >= 80 && q.isWhole && q.length >= 20))));
  return isCorner ? 2 : pieces.some(({ length }) => length >= 80) ? 1 : 0;
}

/** The window that a sheet has for the panel: 13 mm on the right and 30 mm at the bottom are for rulers and title. */
function windowSizes({ sheets: { paper, margin, overlap } }: Plan): { width: number; height: number }[] {
  return [[paper.width, paper.height], [paper.height, paper.width]]
    .map(([width = 0, height = 0]) => ({ width: width - 2 * margin - 13, height: height - 2 * margin - 30 }))
    .filter(({ width, height }) => Math.min(width, height) >= 3 * overlap);
}

/** Every way to part things into groups, each only once. */
function* partitions<T>(things: readonly T[]): Generator<T[][]> {
  const [first, ...rest] = things;
  if (first === undefined) {
    yield [];
    return;
  }
  for (const parts of partitions(rest)) {
    yield [[first], ...parts];
    for (let index = 0; index < parts.length; index += 1) yield parts.map((part, at) => (at === index ? [first, ...part] : part));
  }
}

function boxesOf(made: Made): Rect[] {
  // 1 mm of white round the marks.
  return made.holes.map((hole) => {
    const [{ x, y }, r] = [onPaper(made, hole.center), markedRadius(hole) + 1];
    return { left: x - r, right: x + r, bottom: y - r, top: y + r };
  });
}

function around(boxes: readonly Rect[]): Rect {
  return { left: Math.min(...boxes.map((b) => b.left)), right: Math.max(...boxes.map((b) => b.right)), bottom: Math.min(...boxes.map((b) => b.bottom)), top: Math.max(...boxes.map((b) => b.top)) };
}

describe('the choice of patches', () => {
  test('shows every hole whole, on exactly one, on paper', () => {
    forAllPatches(anyPanel({ holes: 30, isSound: false }), ({ made, plan, patches, layout }) => {
      expect(patches.flatMap(({ holes }) => holes.map(({ name }) => name)).sort()).toEqual(made.holes.map(({ name }) => name).sort());
      expect(patches.length).toBeLessThanOrEqual(made.holes.length);
      expect(layout.cells).toEqual(patches.map(({ cell }) => cell));
      for (const { cell: { window }, holes } of patches) {
        expect(windowSizes(plan).some(({ width, height }) => window.right - window.left <= width + 1e-9 && window.top - window.bottom <= height + 1e-9)).toBe(true);
        for (const { name } of holes) {
          const hole = made.holes.find((one) => one.name === name) as Made['holes'][number];
          const { x, y } = onPaper(made, hole.center);
          // A hole at the very edge of a panel may have ticks on paper that shows no more of the surroundings: 8 mm.
          const xs = made.outline.map((p) => p.x);
          const ys = made.outline.map((p) => p.y);
          const paper = { left: Math.min(...xs) - 8, right: Math.max(...xs) + 8, bottom: Math.min(...ys) - 8, top: Math.max(...ys) + 8 };
          const r = markedRadius(hole);
          expect(Math.max(x - r, paper.left)).toBeGreaterThanOrEqual(window.left - 1e-9);
          expect(Math.min(x + r, paper.right)).toBeLessThanOrEqual(window.right + 1e-9);
          expect(Math.max(y - r, paper.bottom)).toBeGreaterThanOrEqual(window.bottom - 1e-9);
          expect(Math.min(y + r, paper.top)).toBeLessThanOrEqual(window.top + 1e-9);
        }
      }
    });
  });

  test('is the fewest of all partitions into groups that fit a sheet', () => {
    forAllPatches(anyPanel({ holes: 7, side: 900, papers: ['A4', 'Letter', '180 x 180 mm'] }), ({ made, plan, patches }) => {
      const boxes = boxesOf(made);
      const least = Math.min(...windowSizes(plan).map(({ width, height }) => {
        let fewest = Infinity;
        for (const parts of partitions(boxes)) {
          const doFit = parts.every((part) => {
            const box = around(part);
            return box.right - box.left <= width + 1e-9 && box.top - box.bottom <= height + 1e-9;
          });
          if (doFit) fewest = Math.min(fewest, parts.length);
        }
        return fewest;
      }));
      expect(patches.length).toBe(least);
    });
  });

  test('lays a single hole to a corner or an edge where any window around it reaches one', () => {
    forAllPatches(anyPanel({ holes: 1, side: 700 }), ({ made, plan, patches, paperRing }) => {
      const [box] = boxesOf(made) as [Rect];
      const [patch] = patches as [Patch];
      const best = Math.max(...windowSizes(plan).map((size) => bestFixes(paperRing, box, size)));
      expect(reachedBy(patch)).toBeGreaterThanOrEqual(best);
    });
  });

  test('of as few patches, those that corners and edges fix best: almost always as good as any partition, never far behind', () => {
    let [count, behind] = [0, 0];
    forAllPatches(anyPanel({ holes: 5, side: 800, papers: ['A4', 'Letter'] }), ({ made, plan, patches, paperRing }) => {
      const boxes = boxesOf(made);
      const known = new Map<string, number>();
      const best = Math.max(...windowSizes(plan).flatMap((size) => [...partitions(boxes)].map((parts) => {
        if (parts.length !== patches.length) return 0;
        const fixes = parts.map((part) => {
          const box = around(part);
          if (box.right - box.left > size.width || box.top - box.bottom > size.height) return -Infinity;
          const key = [size.width, ...Object.values(box)].join(' ');
          const found = known.get(key) ?? bestFixes(paperRing, box, size);
          known.set(key, found);
          return found;
        });
        return fixes.reduce((sum, one) => sum + one, 0);
      })));
      const reached = patches.reduce((sum, patch) => sum + reachedBy(patch), 0);
      expect(best - reached).toBeLessThanOrEqual(2);
      count += 1;
      if (reached < best) behind += 1;
    });
    expect(behind).toBeLessThanOrEqual(0.05 * count);
  });
});

const reachedBy = ({ laidTo, measured }: Patch) => (laidTo.length === 0 ? 0 : measured.length > 0 ? 1 : 2);

/** The most that any of many windows round a box offers to lay it by. */
function bestFixes(ring: readonly Point[], box: Rect, { width, height }: { width: number; height: number }): number {
  let best = 0;
  for (const left of steps(box.right - width, box.left)) {
    for (const bottom of steps(box.top - height, box.bottom)) best = Math.max(best, fixesOf(ring, { left, right: left + width, bottom, top: bottom + height }));
  }
  return best;
}

/** About fifteen places from one to another, both ends among them. */
function steps(from: number, to: number): number[] {
  return Array.from({ length: 16 }, (_, index) => from + ((to - from) * index) / 15);
}

/** The edge that a tie goes to, by its name. */
function edgeOf({ plan, tapeRing }: Job, { from }: MeasuredTie): { index: number; a: Point; b: Point } {
  const index = plan.panel.edges.findIndex(({ name }) => [name, `rim line (${name})`, `inner face at ${name}`, `inner face at the ${name}`].includes(from));
  expect(index, from).toBeGreaterThanOrEqual(0);
  return { index, a: tapeRing[index] as Point, b: tapeRing[(index + 1) % tapeRing.length] as Point };
}

/** Where a ray first meets a ring. */
function firstHit(from: Point, way: Point, ring: readonly Point[]): { index: number; distance: number } {
  const hits = strokes(ring).flatMap(([a, b], index) => {
    const det = way.x * (b.y - a.y) - way.y * (b.x - a.x);
    if (Math.abs(det) < 1e-9) return [];
    const t = ((a.x - from.x) * (b.y - a.y) - (a.y - from.y) * (b.x - a.x)) / det;
    const u = ((a.x - from.x) * way.y - (a.y - from.y) * way.x) / det;
    return t > 0 && u >= -1e-9 && u <= 1 + 1e-9 ? [{ index, distance: t }] : [];
  });
  return hits.sort((p, q) => p.distance - q.distance)[0] ?? { index: -1, distance: NaN };
}

function shownMarks({ plan, layout }: Pick<Job, 'plan' | 'layout'>, patch: Patch): Mark[] {
  return drawJig({ ...plan, holes: patch.holes }, { ...layout, cells: [patch.cell] }, setter, { withoutCircle: new Set(), besides: measuredMarks(patch.measured, plan, setter) });
}

const panels = anyPanel({ holes: 6 });

describe('measured distances', () => {
  test('go square from the cross over open panel to the edge that they name, and are as long as they say', () => {
    let count = 0;
    forAllPatches(panels, (job) => {
      for (const tie of job.patches.flatMap(({ measured }) => measured)) {
        const { index, a, b } = edgeOf(job, tie);
        const what = metOn(job.made, job.made.face, index).what;
        expect(tie.from.startsWith(what === 'edge' ? job.plan.panel.edges[index]?.name as string : what), `${tie.from} is a ${what}`).toBe(true);
        expect(Math.abs(Math.hypot(tie.way.x, tie.way.y) - 1)).toBeLessThan(1e-9);
        expect(Math.abs(tie.way.x * (b.x - a.x) + tie.way.y * (b.y - a.y))).toBeLessThan(1e-6);
        const hit = firstHit(tie.at, tie.way, job.tapeRing);
        expect(hit.index).toBe(index);
        expect(Math.abs(hit.distance - tie.length)).toBeLessThan(1e-6);
        expect(isInside(tie.at, job.tapeRing)).toBe(true);
        // A tape's hook needs some edge on both sides.
        const foot = { x: tie.at.x + tie.way.x * tie.length, y: tie.at.y + tie.way.y * tie.length };
        for (const end of [a, b]) expect(Math.hypot(foot.x - end.x, foot.y - end.y)).toBeGreaterThan(9.9);
        count += 1;
      }
    });
    expect(count).toBeGreaterThan(rounds / 2);
  });

  test('are whole millimetres or sixteenths of an inch; the 1/32 in that is printed is the nearest, and mostly as good', () => {
    const errors: number[] = [];
    forAllPatches(panels, (job) => {
      for (const patch of job.patches) {
        const words = measuredMarks(patch.measured, job.plan, setter).flatMap((mark) => (mark.kind === 'text' && mark.layer === 'tie' && mark.weight === 'bold' ? [mark.text] : []));
        expect(words).toHaveLength(patch.measured.length);
        const rows = patchRows([patch], job.plan).slice(1);
        patch.measured.forEach(({ length }, index) => {
          const unit = job.made.units === 'in' ? 25.4 / 16 : 1;
          expect(Math.abs(length / unit - Math.round(length / unit))).toBeLessThan(1e-9);
          const form = words[index] as string;
          expect(rows[index]?.[3]).toContain(form);
          const [, millimetres = 'none', whole = '0', top = '0', bottom = '1'] = /^([\d.]+) mm \((?:(\d+)(?:-|(?= )))?(?:(\d+)\/(\d+))? ?in\)$/.exec(form) ?? /^$/.exec('') ?? [];
          const [, inchWhole = '0', inchTop = '0', inchBottom = '1', inMillimetres = 'none'] = /^(?:(\d+)(?:-|(?= )))?(?:(\d+)\/(\d+))? ?in \(([\d.]+) mm\)$/.exec(form) ?? [];
          const [mm, inches] = job.made.units === 'in' ? [Number(inMillimetres), Number(inchWhole) + Number(inchTop) / Number(inchBottom)] : [Number(millimetres), Number(whole) + Number(top) / Number(bottom)];
          expect(Math.abs(mm - length), form).toBeLessThan(0.051);
          expect([1, 2, 4, 8, 16, 32]).toContain(Number(job.made.units === 'in' ? inchBottom : bottom));
          const error = Math.abs(inches * 25.4 - length);
          expect(error, form).toBeLessThan(0.4);
          errors.push(error);
        });
      }
    });
    expect(errors.filter((error) => error < 0.06).length).toBeGreaterThan(0.95 * errors.length);
  });

  test('with what lies on the patch fix it: a misreading of 0.5 mm in each moves no hole of it by more than 5 mm', () => {
    let worst = 0;
    forAllPatches(panels, (job) => {
      for (const { laidTo, measured, holes } of job.patches) {
        if (measured.length === 0) {
          expect(laidTo.length).toBeGreaterThanOrEqual(2);
          continue;
        }
        // Along a line one distance, which must tell where along it the patch lies; else three, two of them one way.
        expect(measured).toHaveLength(laidTo.length > 0 ? 1 : 3);
        const [piece] = laidTo;
        // Each reading: a point, and the way in which it is held. A line holds the points of its ends, square to it.
        const along = piece && { x: (piece.b.x - piece.a.x) / piece.length, y: (piece.b.y - piece.a.y) / piece.length };
        const held = [...measured, ...(piece && along ? [piece.a, piece.b].map((at) => ({ at, way: { x: -along.y, y: along.x } })) : [])] as [Held, Held, Held];
        for (const hole of holes) {
          const center = onPaper(job.made, hole.center);
          for (const signs of [[1, 1, 1], [1, 1, -1], [1, -1, 1], [-1, 1, 1]] as const) {
            const { x, y } = shiftAt(center, held, signs.map((sign) => sign * 0.5) as [number, number, number]);
            worst = Math.max(worst, Math.hypot(x, y));
            expect(Math.hypot(x, y)).toBeLessThan(5);
          }
        }
      }
    });
    expect(worst).toBeGreaterThan(0.5);
  });

  test('two the same way lie at least 60 mm apart, the third crosses them', () => {
    forAllPatches(panels, ({ patches }) => {
      for (const { measured } of patches.filter((patch) => patch.laidTo.length === 0)) {
        const [p, q, r] = measured as [MeasuredTie, MeasuredTie, MeasuredTie];
        expect(p.way.x * q.way.x + p.way.y * q.way.y).toBeGreaterThan(1 - 1e-9);
        expect(Math.abs((p.at.x - q.at.x) * p.way.y - (p.at.y - q.at.y) * p.way.x)).toBeGreaterThan(60);
        expect(Math.abs(r.way.x * p.way.y - r.way.y * p.way.x)).toBeGreaterThan(0.49);
      }
    });
  });
});

interface Held {
  readonly at: Point;
  readonly way: Point;
}

/** How a point moves when a sheet is moved so that three readings change by given amounts: x, y and a turn, by Cramer's rule. */
function shiftAt(center: Point, held: readonly [Held, Held, Held], changes: readonly [number, number, number]): Point {
  const rows = held.map(({ at, way }) => [way.x, way.y, way.y * (at.x - center.x) - way.x * (at.y - center.y)] as [number, number, number]) as [Three, Three, Three];
  const det = ([a, b, c]: readonly [Three, Three, Three]) => a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
  const swapped = (column: number) => rows.map((row, index) => row.map((value, at) => (at === column ? changes[index] : value))) as [Three, Three, Three];
  return { x: det(swapped(0)) / det(rows), y: det(swapped(1)) / det(rows) };
}

type Three = [number, number, number];

describe('lines that a patch is laid to', () => {
  test('are on it, are what the paper meets on the face that it lies on, and are named after it', () => {
    forAllPatches(panels, ({ made, plan, patches, paperRing }) => {
      const face = made.isOnFarFace ? otherFace[made.face] : made.face;
      for (const { cell: { window }, laidTo } of patches) {
        for (const { name, a, b } of laidTo) {
          const index = plan.panel.edges.findIndex((edge) => [edge.name, `rim line (${edge.name})`, `inner face at ${edge.name}`, `inner face at the ${edge.name}`].includes(name));
          expect(name.startsWith({ edge: plan.panel.edges[index]?.name ?? '', 'rim line': 'rim line', 'inner face': 'inner face' }[metOn(made, face, index).what])).toBe(true);
          for (const p of [a, b]) {
            expect(distanceToSegment(p, paperRing[index] as Point, paperRing[(index + 1) % paperRing.length] as Point)).toBeLessThan(1e-6);
            expect(isInside(p, boxCorners(window))).toBe(true);
          }
        }
      }
    });
  });

  test('every line that it is laid to is drawn on it', () => {
    forAllPatches(panels, (job) => {
      for (const patch of job.patches) {
        const drawn = shownMarks(job, patch).flatMap((mark) => (mark.layer === 'panel' || mark.layer === 'rim' || mark.layer === 'joint' ? (mark.kind === 'path' ? strokes(mark.points) : mark.kind === 'line' ? [[mark.a, mark.b] as const] : []) : []));
        // Not to its ends: beside a rim an edge goes on as far as the rim is wide.
        for (const { a, b } of patch.laidTo) {
          const parts = [0.2, 0.5, 0.8].map((share) => ({ x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) }));
          expect(parts.some((at) => drawn.some(([p, q]) => distanceToSegment(at, p, q) < 1e-6))).toBe(true);
        }
      }
    });
  });
});

describe('what is drawn on a patch', () => {
  test('crosses and words lie wholly on it, with few holes on no hole; no words are cut short', () => {
    forAllPatches(anyPanel({ holes: 4, diameter: 60 }), (job) => {
      for (const patch of job.patches) {
        const ties = measuredMarks(patch.measured, job.plan, setter).filter(({ layer }) => layer === 'tie');
        for (const mark of ties) {
          const shape = cornersOf(mark);
          for (const p of shape) expect(isInside(p, boxCorners(patch.cell.window))).toBe(true);
          if (mark.kind === 'text') expect(mark.text).not.toContain('…');
          for (const { name } of patch.holes) {
            const hole = job.made.holes.find((one) => one.name === name) as Made['holes'][number];
            expect(distanceToShape(onPaper(job.made, hole.center), shape)).toBeGreaterThan(markedRadius(hole));
          }
        }
      }
    });
  });

  test('with few holes nothing overlaps: crosses, words, lines, names, labels', () => {
    forAllPatches(anyPanel({ holes: 2, least: 300, diameter: 50 }), expectNoOverlap);
  });
});

/** Crosses and words of distances touch no line, and no other words. */
function expectNoOverlap(job: Pick<Job, 'plan' | 'layout' | 'patches'>): void {
  for (const patch of job.patches) {
    const marks = shownMarks(job, patch);
    const ties = measuredMarks(patch.measured, job.plan, setter).filter(({ layer }) => layer === 'tie');
    const texts = marks.filter((mark): mark is Text => mark.kind === 'text');
    for (const mark of ties) {
      const shape = cornersOf(mark);
      for (const other of texts) {
        const isOwn = ties.some((tie) => tie.kind === 'text' && tie.text === other.text && Math.hypot(tie.at.x - other.at.x, tie.at.y - other.at.y) < 1e-9);
        if (!isOwn || mark.kind === 'line') expect(depthOf(shape, cornersOf(other)), other.text).toBeLessThan(0.3);
      }
      const lines = marks.flatMap((one) => (one.kind === 'path' && one.layer === 'panel' ? strokes(one.points) : one.kind === 'line' && (one.layer === 'rim' || one.layer === 'joint') ? [[one.a, one.b] as const] : []));
      for (const stroke of lines) expect(depthOf(shape, stroke)).toBeLessThan(0);
    }
    const ownWords = ties.filter((mark): mark is Text => mark.kind === 'text');
    ownWords.forEach((word, index) => ownWords.slice(index + 1).forEach((other) => expect(depthOf(cornersOf(word), cornersOf(other))).toBeLessThan(0)));
  }
}

describe('particular panels', () => {
  const panel = (rest: string, holes: string, sheets = 'paper: A4', units = 'mm') => planOf(`
title: Pump cabinet
units: ${units}
panel: {material: acrylic, thickness: 6 mm, ${rest}}
holes: [${holes}]
sheets: {${sheets}}`);

  const chosen = (plan: Plan) => {
    const found = choosePatches(plan);
    if ('problem' in found) throw new Error(found.problem);
    return found;
  };

  test('a hole larger than the paper: says how wide it is, and what to do', () => {
    // 300 mm and twice 7.5 mm for the ticks; A4 shows 177 x 247 mm or 264 x 160 mm.
    const found = choosePatches(panel('width: 1200, height: 900', '{name: porthole, diameter: 300, from-left: 600, from-bottom: 450}, {name: small, diameter: 20, from-left: 60, from-bottom: 60}'));
    if (!('problem' in found)) throw new Error('patches, though one cannot be');
    expect(found.problem).toContain('porthole');
    expect(found.problem).toContain('315 mm');
    expect(found.problem).toContain('A4');
    expect(found.fix).toContain('--patches');
  });

  // Found by random panels: short distances gave way to others a little longer, which touch nothing, only at a tenth more.
  test.each([
    ['the inner line of a joint behind the edge', {
      units: 'mm', outline: '[[0, 0], [537, 0], [537, 323], [349.05, 323], [349.05, 129.2], [187.95, 129.2], [187.95, 323], [0, 323]]', sheets: 'paper: A4, overlap: 10',
      rest: 'drilled-from: outside, joints: {right: {panel: 5, sealant: 2}}',
      holes: '{name: h1, diameter: 24, from-left: 243, from-bottom: 18}, {name: h2, diameter: 8, from-left: 40, from-bottom: 10}',
    }],
    ['the name of the edge', {
      units: 'in', outline: '[[0, 0], [564 mm, 0], [564 mm, 135 mm], [282 mm, 135 mm], [282 mm, 300 mm], [0, 300 mm]]', sheets: 'paper: Letter, overlap: 19 mm',
      rest: 'drilled-from: outside, rim: {bottom: 6 mm}, joints: {top: {panel: 5 mm, sealant: 1 mm}, right: {panel: 5 mm, sealant: 1 mm}}',
      holes: '{name: h1, fitting: {hole: [11 mm, 11 mm], flange: 33 mm}, from-left: 220 mm, from-bottom: 12 mm}, {name: h2, fitting: {hole: [28 mm, 28 mm], flange: 50 mm}, from-left: 410 mm, from-bottom: 54 mm}',
    }],
    ['the rim line, aslant, where few places are off it', {
      units: 'mm', outline: '[[0, 0], [1198, 0], [1018.3, 270], [479.2, 300], [0, 210]]', sheets: 'paper: A4, overlap: 10',
      rest: 'drilled-from: outside, rim: {top: 12, bottom: 12}',
      holes: '{name: h1, diameter: 26, from-left: 658, from-bottom: 19}',
    }],
    ['the label of a hole', {
      units: 'mm', outline: '[[0, 0], [1195, 0], [1195, 1901], [0, 1901]]', sheets: 'paper: A4, overlap: 22',
      rest: 'drilled-from: inside, measured-from: inside, rim: {top: 19, right: 19}, joints: {top: {panel: 6, sealant: 2}, right: {panel: 6, sealant: 2}, bottom: {panel: 6, sealant: 2}, left: {panel: 6, sealant: 2}}',
      holes: '{name: h1, diameter: 13, from-left: 168, from-bottom: 1466}, {name: h2, fitting: {hole: [39, 39], flange: 61}, from-left: 210, from-bottom: 1271}',
    }],
  ])('the cross and words of a distance keep off %s', (_, { units, outline, rest, holes, sheets }) => {
    const plan = panel(`outline: ${outline}, ${rest}`, holes, sheets, units);
    const { patches, layout } = chosen(plan);
    expect(patches.flatMap(({ measured }) => measured).length).toBeGreaterThan(0);
    expectNoOverlap({ plan, layout, patches });
  });

  test('a panel smaller than the paper is one patch that shows all, with nothing to measure', () => {
    const { patches } = chosen(panel('width: 120, height: 90', '{name: a, diameter: 20, from-left: 40, from-bottom: 45}, {name: b, diameter: 20, from-left: 85, from-bottom: 45}'));
    expect(patches).toHaveLength(1);
    expect(patches[0]?.measured).toEqual([]);
    expect(patches[0]?.laidTo.map(({ name }) => name).sort()).toEqual(['bottom edge', 'left edge', 'right edge', 'top edge']);
  });

  test('a strip of 30 mm is laid to its end, though that is short', () => {
    const { patches } = chosen(panel('width: 900, height: 30', '{name: a, diameter: 6, from-left: 50, from-bottom: 15}'));
    expect(patches[0]?.measured).toEqual([]);
    expect(patches[0]?.laidTo.map(({ name }) => name)).toContain('left edge');
  });

  test('on a slanted edge, the distance goes to another edge: to the same it would stay as it is wherever the patch slides', () => {
    const { patches } = chosen(panel('outline: [[0, 0], [1600, 0], [1600, 600], [1200, 900], [0, 900]]', '{name: a, diameter: 50, from-left: 1330, from-bottom: 700}'));
    expect(patches[0]?.laidTo.map(({ name }) => name)).toEqual(['edge 3-4']);
    expect(patches[0]?.measured.map(({ from }) => from)).toHaveLength(1);
    expect(patches[0]?.measured.map(({ from }) => from)).not.toContain('edge 3-4');
  });

  test('a triangle has no level and upright edges to measure to on every side: distances go square to its slants', () => {
    const plan = panel('outline: [[0, 0], [2000, 0], [1000, 1700]]', '{name: a, diameter: 50, from-left: 1000, from-bottom: 620}');
    const { patches } = chosen(plan);
    expect(patches[0]?.measured).toHaveLength(3);
    for (const { at, way, length } of patches[0]?.measured ?? []) expect(firstHit(at, way, plan.panel.outline).distance).toBeCloseTo(length, 6);
  });

  test('inside, a rim that covers the inner face is what the tape meets; on the outside nothing stands on the edge', () => {
    const of = (face: string, rim: number) => chosen(panel(`width: 2000, height: 1200, drilled-from: ${face}, measured-from: inside, joints: {left: 10, right: 10, top: 10, bottom: 10}, rim: {left: ${rim}, right: ${rim}, top: ${rim}, bottom: ${rim}}`, '{name: a, diameter: 40, from-left: 990, from-bottom: 590}')).patches[0]?.measured.map(({ from }) => from.replace(/ (at|\().*/, ''));
    expect(new Set(of('inside', 0))).toEqual(new Set(['inner face']));
    expect(new Set(of('inside', 6))).toEqual(new Set(['inner face']));
    expect(new Set(of('inside', 25))).toEqual(new Set(['rim line']));
    expect(new Set(of('outside', 25))).toEqual(new Set(['rim line']));
    for (const name of of('outside', 0) ?? []) expect(name).toMatch(/^(left|right|top|bottom) edge$/);
  });

  test('200 holes are grouped with no more patches than a plain grid of windows needs', () => {
    const holes = Array.from({ length: 200 }, (_, index) => `{name: h${index}, diameter: ${10 + (index % 5) * 4}, from-left: ${60 + ((index * 7919) % 1880)}, from-bottom: ${60 + ((index * 104729) % 880)}}`);
    const { patches } = chosen(panel('width: 2000, height: 1000', holes.join(', ')));
    // Each sheet of 264 x 160 mm answers for the holes with centres in a field that is smaller by the widest marks, 26 + 15 + 2 mm.
    expect(patches.length).toBeLessThanOrEqual(Math.ceil(2000 / (264 - 43)) * Math.ceil(1000 / (160 - 43)));
  });
});
