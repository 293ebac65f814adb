/** Holes to be moved on a plain rectangle with round things that stand fast, as plain as they can be told: what moves are held against by brute force. */
import type { Lines, Mover, Movers } from '../../src/geometry/movers.ts';
import { clearanceToCore, type Core, type Level } from '../../src/geometry/obstacles.ts';
import { rectangle } from '../../src/geometry/panel.ts';
import { distanceBetween, edgesOf, type Point } from '../../src/geometry/shape.ts';

export interface Simple {
  readonly width: number;
  readonly height: number;
  /** Where each hole stands, how far its center must stay from the edges, and how far it keeps others away by itself. */
  readonly holes: readonly { readonly at: Point; readonly edge: number; readonly own: number }[];
  readonly fixed: readonly { readonly at: Point; readonly own: number }[];
  /** What good practice asks in place of the minimum, as a factor. */
  readonly good?: number;
}

const share = ({ good = 1 }: Simple, level: Level) => (level === 'good practice' ? good : 1);

/** How much room a hole at that place has beyond what is asked; negative where it is not allowed. */
export function roomAt(simple: Simple, index: number, place: Point, level: Level = 'minimum'): number {
  const { width, height, holes, fixed } = simple;
  const { edge, own } = holes[index] as Simple['holes'][number];
  const by = share(simple, level);
  return Math.min(place.x - edge * by, width - place.x - edge * by, place.y - edge * by, height - place.y - edge * by, ...fixed.map((other) => distanceBetween(place, other.at) - (own + other.own) * by));
}

/** The same as the search is given it. @param lines where holes may be written */
export function moversOf(simple: Simple, lines: (at: number) => Lines = () => ({ origin: 0, step: 1, parts: [1] })): Movers {
  const { width, height, holes, fixed } = simple;
  return {
    all: holes.map(({ at, edge, own }): Mover => {
      const outline = rectangle(width, height).map(({ x, y }) => ({ x: x - at.x, y: y - at.y }));
      return {
        outline,
        near(to, reach, level) {
          const by = share(simple, level);
          const all = [
            ...edgesOf(outline).map((core) => ({ core: { kind: 'segment', ...core } as Core, radius: edge * by })),
            ...fixed.map((other) => ({ core: { kind: 'point', at: { x: other.at.x - at.x, y: other.at.y - at.y } } as Core, radius: (own + other.own) * by })),
          ];
          return all.filter(({ core, radius }) => clearanceToCore(to, core).distance - radius < reach);
        },
        across: lines(at.x),
        up: lines(at.y),
      };
    }),
    apart(one, other, level) {
      const [a, b] = [holes[one], holes[other]] as [Simple['holes'][number], Simple['holes'][number]];
      return [{ at: { x: b.at.x - a.at.x, y: b.at.y - a.at.y }, radius: (a.own + b.own) * share(simple, level) }];
    },
    room(one, other) {
      const [a, b] = [holes[one], holes[other]] as [Simple['holes'][number], Simple['holes'][number]];
      return distanceBetween(a.at, b.at) - (a.own + b.own) * (simple.good ?? 1);
    },
  };
}
