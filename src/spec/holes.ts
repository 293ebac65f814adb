import * as z from 'zod';
import { openFitting, typicalFittings } from '../trade/fittings.ts';
import { connections } from '../trade/room.ts';
import type { Unit } from '../trade/units.ts';
import { atMostOne, bounds, exactlyOne, fieldsFor, markedParts, namedParts, oneOfKeys, report, withChoices, type Context } from './fields.ts';

/** Faces of a panel. */
export const faces = ['outside', 'inside'] as const;

/** The distances that may say where a centre is across and up. */
export const distancesAcross = ['from-left', 'from-right', 'from-center-x'] as const;
export const distancesUp = ['from-top', 'from-bottom', 'from-center-y'] as const;

const rowWords = 'a row of holes, spread evenly: its name, count, diameter or fitting, and place';

/** What a hole or row is mirrored about: the vertical middle line, the horizontal one, or both. */
export const mirrors = ['left-right', 'top-bottom', 'both'] as const;

/**
 * An entry of a list of holes: a hole, or a row of holes.
 * @param bare the unit of bare numbers
 * @param fitting the schema of a fitting that is written out
 */
export function holeEntry<F extends z.ZodType>(bare: Unit | undefined, fitting: F) {
  const { length, anyLength, diameter, name } = fieldsFor(bare);
  const connection = (side: string) => z.enum(connections).optional().describe(`what is joined to the fitting on the ${side}: nothing, pipe or elbow`);

  /** A whole number of things, from 2. */
  const several = (what: string, ofOne: string) =>
    z
      .int({ error: 'is not a whole number' })
      .superRefine((value, context) => {
        const accepted = `${what}, 2 to ${bounds.holes}`;
        if (value < 2) report(context, 'is too small', { accepted, fix: value === 1 ? ofOne : 'count the holes again' });
        if (value > bounds.holes) report(context, 'is too large', { accepted, fix: 'count the holes again' });
      })
      .describe(`${what}, 2 to ${bounds.holes}`)
      .meta({ minimum: 2, maximum: bounds.holes });

  /** What is drilled, wherever it is. */
  const drilled = {
    diameter: diameter('diameter of the drilling circle').optional(),
    fitting: z
      .union([z.string().meta({ examples: [...typicalFittings.keys(), openFitting] }), fitting], { error: 'is neither the name of a fitting nor a group with hole, flange, nut, grip' })
      .optional()
      .describe('a fitting named under fittings, a typical one such as bulkhead 1 in, bulkhead alone where the tool is to choose its size by the water that goes through it, or a group with hole, flange, nut, grip'),
  };
  const joined = {
    'flange-on': z.enum(faces).optional().describe('the face that the flange and its gasket sit on; inside, the wet side, if left out'),
    outside: connection('outside'),
    inside: connection('inside'),
  };

  const step = (way: string) => length(`step ${way} from each to the next, centre to centre`, { above: 0, most: bounds.panelSide }).optional();
  const repeat = z
    .strictObject({
      count: several('how many in all, the first included', 'leave repeat out: one alone is the first itself'),
      right: step('to the right'),
      left: step('to the left'),
      up: step('upwards'),
      down: step('downwards'),
    })
    .superRefine((value, context) => {
      atMostOne(value, ['right', 'left'], context);
      atMostOne(value, ['up', 'down'], context);
      const steps = ['right', 'left', 'up', 'down'] as const;
      if (steps.every((key) => value[key] === undefined)) report(context, `has none of ${steps.join(', ')}`, { accepted: 'one of right, left, or one of up, down, or one of each for a slanted row', fix: 'add the step to the next, for example right: 80 mm' });
    })
    .optional()
    .describe('the same again at even steps: count in all, and the step right or left, up or down')
    .meta({ anyOf: oneOfKeys(['right', 'left', 'up', 'down']), allOf: [{ not: { required: ['right', 'left'] } }, { not: { required: ['up', 'down'] } }] });
  const again = {
    repeat,
    mirror: z.enum(mirrors).optional().describe('twins beyond the middle of the panel, or of the lines that distances are measured from: left-right, top-bottom, or both; after repeat'),
  };

  const least = (side: string) => length(`least distance of the centre from the ${side} edge`, { least: 0, most: bounds.panelSide }).optional();
  const hole = withChoices(
    z.strictObject({
      name: name('name of the hole, printed beside it'),
      ...drilled,
      'from-left': anyLength("distance of the hole's centre from the left edge").optional(),
      'from-right': anyLength("distance of the hole's centre from the right edge").optional(),
      'from-center-x': anyLength("distance of the hole's centre to the right of the middle").optional(),
      'from-top': anyLength("distance of the hole's centre from the top edge").optional(),
      'from-bottom': anyLength("distance of the hole's centre from the bottom edge").optional(),
      'from-center-y': anyLength("distance of the hole's centre above the middle").optional(),
      ...joined,
      ...again,
      place: z.enum(['best']).optional().describe('best: the tool finds the place with the most room to spare, in place of distances or of the one that is not given'),
      // A row stands in an entry of its own: what stands beside it is told there.
      row: z.never().optional().describe(rowWords),
      within: z
        .strictObject({ 'from-left': least('left'), 'from-right': least('right'), 'from-top': least('top'), 'from-bottom': least('bottom') })
        .optional()
        .describe('where place: best may look: least distances of the centre from the edges'),
    }),
    ['diameter', 'fitting'],
  )
    .superRefine((value, context) => {
      if (value.place === undefined) checkPlaced(value, context);
      else checkToFind(value, context);
    })
    .describe('a hole: its name, diameter or fitting, and place')
    .meta({
      if: { required: ['place'] },
      then: { properties: { repeat: false, mirror: false }, allOf: [...pairsRefused(distancesAcross), ...pairsRefused(distancesUp), { not: { allOf: [{ anyOf: oneOfKeys(distancesAcross) }, { anyOf: oneOfKeys(distancesUp) }] } }] },
      else: { properties: { within: false }, allOf: [{ oneOf: oneOfKeys(distancesAcross) }, { oneOf: oneOfKeys(distancesUp) }] },
    })
    .register(namedParts, { name: 'hole' });

  const row = withChoices(
    z.strictObject({
      name: name('name of the row; its holes are called by it and their number'),
      count: several('how many holes the row has', 'write it as a hole: without row and count, with one distance across and one up'),
      ...drilled,
      'from-left': anyLength("distance of the leftmost centre from the left edge; of all centres in a row that stands").optional(),
      'from-right': anyLength("distance of the rightmost centre from the right edge; of all centres in a row that stands").optional(),
      'from-center-x': anyLength('distance of all centres to the right of the middle, in a row that stands').optional(),
      'from-top': anyLength('distance of the uppermost centre from the top edge; of all centres in a row that lies').optional(),
      'from-bottom': anyLength('distance of the lowest centre from the bottom edge; of all centres in a row that lies').optional(),
      'from-center-y': anyLength('distance of all centres above the middle, in a row that lies').optional(),
      ...joined,
      ...again,
    }),
    ['diameter', 'fitting'],
  )
    .superRefine(checkBoundsOfRow)
    .describe(rowWords)
    .meta({
      oneOf: [
        { required: ['from-left', 'from-right'], properties: { 'from-center-x': false }, oneOf: oneOfKeys(distancesUp) },
        { required: ['from-top', 'from-bottom'], properties: { 'from-center-y': false }, oneOf: oneOfKeys(distancesAcross) },
      ],
    })
    .register(namedParts, { name: 'row' });
  const rowEntry = z
    .looseObject({ row })
    .superRefine((value, context) => {
      for (const key of Object.keys(value)) {
        if (key === 'place' || key === 'within') report(context, 'stands beside row, and no place is sought for a row', { accepted: 'row alone, with its bounds in it', fix: `remove ${key}, or write a hole with place: best for each` }, [key]);
        else if (key !== 'row') report(context, 'stands beside row', { accepted: 'row alone, with all that is said of the row in it', fix: `write ${key} into the row if it belongs to its holes, else remove it` }, [key]);
      }
    })
    .meta({ additionalProperties: false })
    .transform((value) => ({ row: value.row }))
    .describe('a row of holes')
    .register(namedParts, { name: 'row-entry' })
    .register(markedParts, { key: 'row' });

  return z.union([hole, rowEntry], { error: 'is neither a hole nor a row' }).describe('a hole: its name, diameter or fitting, and place; or a row of them');
}

type Keyed = Readonly<Record<string, unknown>>;

const givenOf = (value: Keyed, keys: readonly string[]) => keys.filter((key) => value[key] !== undefined);

/** A hole whose place is given. */
function checkPlaced(value: Keyed, context: Context): void {
  exactlyOne(value, distancesAcross, context, 'place: best');
  exactlyOne(value, distancesUp, context, 'place: best');
  if (value['within'] !== undefined) report(context, 'stands without place: best', { accepted: 'within beside place: best alone', fix: 'remove within, or write place: best in place of a distance' }, ['within']);
}

/** A hole whose place is to be found: along both axes, or along the one whose distance is not given. */
function checkToFind(value: Keyed, context: Context): void {
  for (const key of ['repeat', 'mirror'] as const) {
    if (value[key] !== undefined) report(context, 'stands beside place: best, which is for one hole at a time', { accepted: 'repeat and mirror of a hole at given distances', fix: `remove ${key} and write a hole with place: best for each, or give distances in place of place` }, [key]);
  }
  const axes = [{ keys: distancesAcross, limits: ['from-left', 'from-right'] }, { keys: distancesUp, limits: ['from-top', 'from-bottom'] }];
  for (const { keys, limits } of axes) {
    atMostOne(value, keys, context);
    const [fixed] = givenOf(value, keys);
    const idle = fixed ? givenOf((value['within'] ?? {}) as Keyed, limits) : [];
    for (const key of idle) report(context, `limits what ${fixed} has fixed`, { accepted: 'limits across where no distance across is given, and limits up where none up is', fix: `remove ${key} here, or ${fixed} of the hole` }, ['within', key]);
  }
  if (axes.every(({ keys }) => givenOf(value, keys).length > 0)) report(context, 'stands beside distances across and up, which leave nothing to find', { accepted: 'place: best with at most one distance', fix: 'remove place, or a distance' }, ['place']);
}

/** A row has both bounds along it, and one distance square to it. */
function checkBoundsOfRow(value: Keyed, context: Context): void {
  const has = (...keys: string[]) => givenOf(value, keys).length === keys.length;
  const [lies, stands] = [has('from-left', 'from-right'), has('from-top', 'from-bottom')];
  const accepted = 'from-left and from-right with one distance up, or from-top and from-bottom with one distance across';
  if (lies && stands) return report(context, 'stands beside from-left, from-right and from-top, and a row has both bounds along one way only', { accepted, fix: 'for a row that lies remove from-top or from-bottom, for one that stands from-left or from-right' }, ['from-bottom']);
  if (!lies && !stands) return report(context, 'has both bounds neither across nor up', { accepted, fix: 'give the places of the first and the last centre: from-left and from-right, or from-top and from-bottom' });
  const middle = lies ? 'from-center-x' : 'from-center-y';
  if (has(middle)) report(context, `stands beside both bounds, which spread the row already`, { accepted, fix: `remove ${middle}` }, [middle]);
  exactlyOne(value, lies ? distancesUp : distancesAcross, context);
}

const pairsRefused = ([a, b, c]: readonly [string, string, string]) => [[a, b], [a, c], [b, c]].map((pair) => ({ not: { required: pair } }));
