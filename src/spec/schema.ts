import * as z from 'zod';
import { largestPage, paperByName, papers, smallestPage, type Paper } from '../trade/papers.ts';
import { materials } from '../trade/limits.ts';
import { bitKinds } from '../trade/bits.ts';
import { pipes, threadOf } from '../trade/pipe.ts';
import { formatLength, units, type Unit } from '../trade/units.ts';
import { bounds, cleanText, fieldsFor, list, named, namedParts, report, withChoices } from './fields.ts';
import { faces, holeEntry } from './holes.ts';
import { parseLength } from './length.ts';
import { waterSchema } from './water.ts';

/** The panels of a tank, as seen from outside: left and right as one stands before its front. */
export const tankPanels = ['front', 'back', 'left', 'right', 'bottom'] as const;
export type TankPanel = (typeof tankPanels)[number];

/** How a tank's bottom meets its walls, and its ends the front and back. */
export const bottoms = ['under walls', 'between walls'] as const;
export const ends = ['between front and back', 'over front and back'] as const;

/** The parts that a spec is made of. @param bare the unit of bare numbers, already peeked from the text */
function partsFor(bare: Unit | undefined) {
  const { length, anyLength, strip, diameter, pipeSize, name, sides, range } = fieldsFor(bare);
  const face = z.enum(faces);

  const fitting = z
    .strictObject({
      hole: range('hole that the fitting takes'),
      flange: diameter('diameter of the flange').optional(),
      nut: diameter('nut across its corners').optional(),
      grip: range('thickness that the fitting clamps, from the least to the most stack').optional(),
      thread: z.string({ error: 'is not the name of a thread' }).optional().describe('thread of its connection, such as G 1 (ISO 228-1)'),
      pipe: pipeSize('nominal size of the pipe that it takes, such as 1 in').optional(),
      gasket: z
        .strictObject({
          inside: diameter('inside diameter of the gasket'),
          outside: diameter('outside diameter of the gasket'),
          thickness: length('thickness of the gasket', { above: 0, most: 50 }).optional(),
        })
        .superRefine((value, context) => {
          if (value.inside >= value.outside) report(context, 'is no less than its outside diameter', { accepted: 'an inside diameter less than the outside one', fix: 'swap or check the two' }, ['inside']);
        })
        .optional()
        .describe('its gasket: inside and outside diameter, and thickness'),
      'stands-out': z
        .strictObject({ flange: strip('length that stands out on the side of the flange').optional(), nut: strip('length that stands out on the side of the nut').optional() })
        .optional()
        .describe('how far the clamped fitting stands out of the panel on either side'),
    })
    .superRefine((value, context) => {
      if (value.flange !== undefined && value.flange <= value.hole.max) {
        report(context, `is ${formatLength(value.flange)}, which does not cover a hole of ${formatLength(value.hole.max)}`, { accepted: 'a flange wider than the largest hole', fix: 'measure the flange and the hole range again' }, ['flange']);
      }
      // The body that passes the hole is wider still than the thread or pipe of its connection.
      const thread = value.thread === undefined ? undefined : threadOf(value.thread);
      const passes = [
        ...(thread ? [{ key: 'thread', wide: pipes.get(thread)?.threadMajor ?? 0 }] : []),
        ...(value.pipe ? [{ key: 'pipe', wide: pipes.get(value.pipe)?.outside ?? 0 }] : []),
      ];
      for (const { key, wide } of passes) {
        if (wide >= value.hole.min) report(context, `is ${formatLength(wide)} wide, which does not pass a hole of ${formatLength(value.hole.min)}`, { accepted: 'a thread and pipe that pass the smallest hole', fix: 'measure the hole range again, and check the size' }, [key]);
      }
    })
    .describe('a fitting: hole, flange, nut, grip, thread, pipe, gasket, stands-out')
    .register(namedParts, { name: 'fitting' });

  const bit = z
    .union([
      diameter('outside diameter of the bit').transform((mm) => ({ diameter: mm, kind: undefined })),
      z.strictObject({ diameter: diameter('outside diameter of the bit'), kind: z.enum(bitKinds).optional().describe('what the bit is; a diamond core bit if left out') }),
    ], { error: 'is neither a diameter nor a group with diameter and kind' })
    .transform(({ diameter: mm, kind }) => ({ diameter: mm, kind: kind ?? ('diamond core bit' as const) }))
    .describe('a bit at hand: its outside diameter, or {diameter, kind}');

  const keepClear = withChoices(
    z.strictObject({
      name: name('name of the area'),
      'from-left': anyLength("distance of the area's left side from the left edge").optional(),
      'from-right': anyLength("distance of the area's right side from the right edge").optional(),
      'from-top': anyLength("distance of the area's top side from the top edge").optional(),
      'from-bottom': anyLength("distance of the area's bottom side from the bottom edge").optional(),
      width: length('width of the area', { above: 0, most: bounds.panelSide }),
      height: length('height of the area', { above: 0, most: bounds.panelSide }),
    }),
    ['from-left', 'from-right'],
    ['from-top', 'from-bottom'],
  )
    .describe('an area that nothing may enter')
    .register(namedParts, { name: 'area' });
  const keepClears = list(keepClear, bounds.keepClear, 'areas').optional().describe('areas that nothing may enter');

  const hole = holeEntry(bare, fitting);
  const holes = list(hole, bounds.holes, 'holes').min(1, { error: 'is an empty list' }).describe('the holes to drill');

  const placement = length('how far from its place a hole may be drilled; taken off every ligament', { least: 0, most: 50 });

  const placedBox = withChoices(
    z.strictObject({
      box: z.string({ error: (issue) => (issue.input === undefined ? 'is missing' : 'is not the name of a box') }).describe('a box named under boxes'),
      name: name('name of this one, where the panel has several').optional(),
      'from-left': anyLength("distance of the box's left side from the left edge").optional(),
      'from-right': anyLength("distance of the box's right side from the right edge").optional(),
      'from-center-x': anyLength("distance of the box's middle to the right of the panel's").optional(),
      'from-top': anyLength("distance of the box's top from the top edge").optional(),
      'from-bottom': anyLength("distance of the box's bottom from the bottom edge").optional(),
    }),
    ['from-left', 'from-right', 'from-center-x'],
    ['from-top', 'from-bottom'],
  )
    .describe('a box on this panel: its name and its place')
    .register(namedParts, { name: 'placed-box' });

  const joint = z
    .union([
      strip('thickness of the neighbouring panel').transform((thickness) => ({ panel: thickness, sealant: 0 })),
      z.strictObject({ panel: strip('thickness of the neighbouring panel'), sealant: strip('width of the sealant bead beside it') }),
    ], { error: 'is neither a length nor a group with panel and sealant' })
    .describe('thickness of the neighbouring panel, or {panel, sealant}');

  const material = z.enum(materials).describe('what the panel is made of');
  const thickness = length('thickness of the panel', { above: 0, most: bounds.thickness });
  const rim = sides(strip('width of the strip that the rim covers')).optional().describe('strips covered by a frame: top, right, bottom, left');
  const drilledFrom = face.default('outside').describe('the face that the drill goes in at');
  const quantity = z.int({ error: 'is not a whole number' }).min(1, { error: 'is too small' }).max(bounds.quantity, { error: 'is too large' }).optional().describe(`how many are made alike, 1 to ${bounds.quantity}; 1 if left out`);
  const water = strip("how far the water stays under the top edge").optional();

  /** What may be said of every panel, whatever gives its size. */
  const ofPanel = {
    'drilled-from': drilledFrom,
    'measured-from': z
      .enum(['edges', 'rim', 'inside'])
      .default('edges')
      .describe("where distances start: the true edges, the rim's visible line, or the inner face of the neighbouring panels"),
    rim,
    'keep-clear': keepClears,
    room: z
      .strictObject({ outside: strip('free room on the outside, to the wall or stand').optional(), inside: strip('free room on the inside').optional() })
      .optional()
      .describe('free room behind each face: outside, inside'),
    boxes: list(placedBox, bounds.few, 'boxes').optional().describe('boxes that stand on this panel and are drilled with it'),
  };

  const soloPanel = {
    material,
    width: length('width of the panel, true edge to true edge', { above: 0, most: bounds.panelSide }).optional(),
    height: length('height of the panel, true edge to true edge', { above: 0, most: bounds.panelSide }).optional(),
    outline: z
      .array(z.tuple([anyLength('x of a point, to the right'), anyLength('y of a point, upwards')], { error: 'is not a point [x, y]' }), { error: 'is not a list of points [x, y]' })
      .min(3, { error: 'has fewer than three points' })
      .max(bounds.outlinePoints, { error: `has more than ${bounds.outlinePoints} points` })
      .optional()
      .describe('corners of the panel in order, as seen from outside: [[x, y], …], x to the right, y upwards'),
    thickness,
    ...ofPanel,
    joints: sides(joint).optional().describe('strips taken by neighbouring panels: top, right, bottom, left'),
    'water-from-top': water,
    quantity,
  };
  const sized = (value: { outline?: unknown; width?: unknown; height?: unknown }, context: Parameters<typeof report>[0]) => {
    if (value.outline) {
      for (const key of ['width', 'height'] as const) {
        if (value[key] !== undefined) report(context, `stands beside an outline, and only one of them can be true`, { accepted: 'width and height, or outline', fix: `remove ${key} or outline` }, [key]);
      }
      return;
    }
    for (const key of ['width', 'height'] as const) {
      if (value[key] === undefined) report(context, 'is missing', { accepted: 'width and height, or outline', fix: `add ${key}` }, [key]);
    }
  };
  const sizes = { oneOf: [{ required: ['width', 'height'], properties: { outline: false } }, { required: ['outline'], properties: { width: false, height: false } }] };
  const panel = z.strictObject(soloPanel).superRefine(sized).meta(sizes);
  const listedPanel = z.strictObject({ ...soloPanel, holes: holes.optional() }).superRefine(sized).meta(sizes);

  const box = z
    .strictObject({
      material: material.default('acrylic').describe('what the box is made of'),
      width: length('outside width of the box', { above: 0, most: bounds.panelSide }),
      height: length('outside height of the box', { above: 0, most: bounds.panelSide }),
      depth: length('outside depth of the box, from its back wall to its front', { above: 0, most: bounds.panelSide }).optional(),
      wall: length('thickness of its walls', { above: 0, most: bounds.thickness }),
      back: length('thickness of its back wall, where it differs', { above: 0, most: bounds.thickness }).optional(),
      sealant: strip('width of the sealant or cement bead inside its corners').optional(),
      stands: face.default('inside').describe('the face of the panel that the box stands on'),
      'drilled-from': drilledFrom,
      'measured-from': z.enum(['edges', 'inside']).default('edges').describe("where distances start: the box's outside edges, or the inner face of its walls"),
      'weir-from-top': strip("how far its weir's crest, where the water goes in, lies under its top edge").optional(),
      'keep-clear': keepClears,
      holes,
    })
    .describe('a box that is drilled with the panel behind it');

  const tank = z
    .strictObject({
      quantity,
      material,
      length: length('outside length of the tank, left to right', { above: 0, most: bounds.panelSide }),
      width: length('outside width of the tank, front to back', { above: 0, most: bounds.panelSide }),
      height: length('outside height of the tank, its bottom included', { above: 0, most: bounds.panelSide }),
      thickness: z
        .union([
          thickness.transform((mm) => ({ front: mm, back: mm, left: mm, right: mm, bottom: mm })),
          z.strictObject({ front: thickness, back: thickness, left: thickness, right: thickness, bottom: thickness }),
        ], { error: (issue) => (issue.input === undefined ? 'is missing' : `is neither a length nor a group with ${tankPanels.join(', ')}`) })
        .describe(`thickness of all panels, or a group with ${tankPanels.join(', ')}`),
      bottom: z.enum(bottoms).describe('how the bottom meets the walls: under them, or between them'),
      ends: z.enum(ends).describe('how left and right meet front and back: between them, or over their edges'),
      gap: length('thickness of the sealant where an edge meets a face', { least: 0, most: 20 }).optional(),
      sealant: strip('width of the sealant bead inside the corners').optional(),
      rim: z.strictObject({ top: strip('height of the frame round the top, from the top edge of the walls').optional(), bottom: strip('height of the frame round the bottom, from the underside of the tank').optional() }).optional().describe('height of the frame that covers the walls: top, bottom'),
      'water-from-top': water,
      panels: z
        .strictObject(
          Object.fromEntries(
            tankPanels.map((which) => [which, z.strictObject({ material: material.optional(), ...ofPanel, holes: holes.optional() }).optional().describe(`what is on the ${which} panel: holes, boxes, keep-clear`)]),
          ) as Record<TankPanel, z.ZodOptional<z.ZodObject<{ material: z.ZodOptional<typeof material>; holes: z.ZodOptional<typeof holes> } & typeof ofPanel, z.core.$strict>>>,
        )
        .describe(`the panels that are drilled: ${tankPanels.join(', ')}, as seen from outside`),
    })
    .describe('a tank by its outside size');

  const sheets = z.strictObject({
    paper: z
      .string({ error: 'is not the name or size of a paper' })
      .transform((text, context): Paper => {
        const paper = parsePaper(text, bare);
        if ('name' in paper) return paper;
        report(context, paper.problem, { accepted: paperForms, fix: paper.fix });
        return z.NEVER;
      })
      .optional()
      .describe(`paper to print on: ${papers.map((paper) => paper.name).join(', ')}, or a size such as 24 x 36 in`),
    orientation: z.enum(['portrait', 'landscape']).optional().describe('how the paper lies; the one with fewer sheets if left out'),
    'lies-on': z
      .enum(['drilled-face', 'far-face'])
      .optional()
      .describe('the face the sheets are taped to: the one that is drilled, or the far one of a clear panel, to be read through it'),
    overlap: length('strip that neighbouring sheets share', { least: 8, most: 100 }).optional(),
    margin: length('strip along the paper that the printer cannot reach', { least: 0, most: 50 }).optional(),
  });

  const unit = z.enum(units).optional().describe('unit of numbers that carry none: mm, cm or in');
  const fittings = z.record(z.string(), fitting).optional().describe('fittings of your own, by name');
  const bits = list(bit, bounds.few, 'bits').optional().describe('bits at hand: the tool takes the one that fits');
  return { unit, fittings, bits, panel, listedPanel, holes, placement, box, tank, sheets };
}

/**
 * The spec, as one zod schema; types, messages, the JSON Schema and documents come from it.
 * @param bare the unit of bare numbers, already peeked from the spec
 * @returns a schema whose output has every length in mm
 */
export function specSchema(bare: Unit | undefined) {
  const { unit, fittings, bits, panel, listedPanel, holes, placement, box, tank, sheets } = partsFor(bare);
  return z
    .strictObject({
      title: z
        .union([z.string(), z.number()], { error: (issue) => (issue.input === undefined ? 'is missing' : 'is not a text') })
        .transform((value, context) => {
          const text = cleanText(String(value));
          const count = [...text].length;
          if (text === '') report(context, 'is an empty title', { fix: 'name the work; it is printed on every sheet' });
          if (count > bounds.titleLength) report(context, `has ${count} characters`, { accepted: `a title of at most ${bounds.titleLength} characters`, fix: 'shorten it; it is printed on every sheet' });
          return text;
        })
        .describe('title printed on every sheet'),
      units: unit,
      include: z
        .union([z.string().transform((file) => [file]), z.array(z.string({ error: 'is not the name of a file' })).max(bounds.few, { error: `has more than ${bounds.few} files` })], { error: 'is neither the name of a file nor a list of them' })
        .optional()
        .describe('files with fittings and bits of your own, beside this one'),
      fittings,
      bits,
      boxes: named(box, 'boxes').optional().describe('boxes that are drilled with the panel behind them, by name'),
      panel: panel.optional().describe('the panel, where the spec is of one'),
      holes: holes.optional(),
      panels: named(listedPanel, 'panels').optional().describe('several panels, by name'),
      tanks: named(tank, 'tanks').optional().describe('tanks by their outside size, by name'),
      placement: placement.optional(),
      sheets: sheets.optional().describe('the paper, and how sheets share it'),
      water: waterSchema(bare).optional(),
    })
    .superRefine((value, context) => {
      const several = (['panels', 'tanks'] as const).find((key) => value[key] !== undefined);
      if (value.panel && several) report(context, `stands beside ${several}`, { accepted: 'panel with holes, or panels and tanks', fix: `write the panel under panels, by a name of its own and with its holes, or remove ${several}` }, ['panel']);
      if (!value.panel && !several) report(context, 'is missing', { accepted: 'panel with holes, or panels, or tanks', fix: 'add panel' }, ['panel']);
      if (!value.panel && value.holes) report(context, 'stands without a panel', { accepted: 'holes within the panel that they belong to', fix: several ? 'move the holes under their panel' : 'add panel' }, ['holes']);
      if (value.panel && !several && !value.holes && !value.panel.boxes) report(context, 'is missing', { accepted: 'the holes to drill', fix: 'add holes' }, ['holes']);
    })
    .describe('a panel, or a build of several, to be drilled')
    .meta({
      oneOf: [
        { required: ['panel'], properties: { panels: false, tanks: false }, anyOf: [{ required: ['holes'] }, { properties: { panel: { required: ['boxes'] } } }] },
        { anyOf: [{ required: ['panels'] }, { required: ['tanks'] }], properties: { panel: false, holes: false } },
      ],
    });
}

/** A file of fittings and bits that specs include. */
export function drawerSchema(bare: Unit | undefined) {
  const { unit, fittings, bits } = partsFor(bare);
  return z.strictObject({ units: unit, fittings, bits }).describe('fittings and bits at hand');
}

export type Spec = z.output<ReturnType<typeof specSchema>>;
export type Drawer = z.output<ReturnType<typeof drawerSchema>>;
export type SpecPanel = NonNullable<Spec['panel']>;
/** An entry of a list of holes: a hole, or a row. */
export type SpecEntry = NonNullable<Spec['holes']>[number];
export type SpecHole = Extract<SpecEntry, { name: string }>;
export type SpecRow = Extract<SpecEntry, { row: object }>['row'];
export type SpecFitting = NonNullable<Spec['fittings']>[string];
export type SpecBit = NonNullable<Spec['bits']>[number];
export type SpecBox = NonNullable<Spec['boxes']>[string];
export type SpecTank = NonNullable<Spec['tanks']>[string];
export type PlacedBoxSpec = NonNullable<SpecPanel['boxes']>[number];

/** What a paper may look like, for messages. */
export const paperForms = `${papers.map((paper) => paper.name).join(', ')}, or a size such as 610 x 914 mm or 24 x 36 in`;

/** A paper by name (any case) or by size ("24 x 36 in"), or why not. A size's first number may borrow the second's unit. */
export function parsePaper(text: string, bare: Unit | undefined): Paper | { problem: string; fix: string } {
  const named = paperByName(text);
  if (named) return named;
  const size = /^(.+?)\s*(?:x|×|by)\s*(.+)$/i.exec(text.trim());
  if (!size) return { problem: 'is not a paper we know', fix: `write one of ${paperForms}` };
  const [, first = '', second = ''] = size;
  const height = parseLength(second, bare);
  if ('problem' in height) return { problem: `has a second side that ${height.problem}`, fix: height.fix };
  const unitOfSecond = /[a-z"']+$/i.exec(second)?.[0] ?? '';
  const width = parseLength(/[a-z"']$/i.test(first) ? first : `${first} ${unitOfSecond}`.trim(), bare);
  if ('problem' in width) return { problem: `has a first side that ${width.problem}`, fix: width.fix };
  const [short, long] = [Math.min(width.mm, height.mm), Math.max(width.mm, height.mm)];
  if (!(short >= smallestPage && long <= largestPage)) {
    return { problem: `is ${formatLength(short)} by ${formatLength(long)}`, fix: `choose sides from ${formatLength(smallestPage)} (room for rulers and words) to ${formatLength(largestPage)} (the most a PDF page may have)` };
  }
  return { name: `${formatLength(width.mm, bare)} x ${formatLength(height.mm, bare)}`, width: short, height: long };
}
