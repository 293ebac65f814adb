import * as z from 'zod';
import { flowUnits } from '../trade/flow.ts';
import { schedules } from '../trade/pipe.ts';
import { formatLength, type Unit } from '../trade/units.ts';
import { drainKinds } from '../trade/water.ts';
import { atMostOne, bounds, cleanText, fieldsFor, list, named, report, withChoices, type Context } from './fields.ts';

/** How the water goes: pump, lines, tanks with their returns, drains and weirs, sump. @param bare the unit of bare numbers */
export function waterSchema(bare: Unit | undefined) {
  const { length, anyLength, flow, share, pipeSize, name } = fieldsFor(bare);
  const count = (what: string) =>
    z.int({ error: 'is not a whole number' }).min(0, { error: 'is too small' }).max(bounds.parts, { error: 'is too large' }).optional().describe(`how many ${what} are in it, 0 to ${bounds.parts}; none if left out`);
  /** The name of something that stands elsewhere, which may be longer than one that is given: a box's hole may have its box's name before its own. */
  const reference = (what: string) =>
    z.union([z.string(), z.number()], { error: 'is not a name' }).transform((value) => cleanText(String(value))).describe(what).optional();
  const side = (what: string) => length(what, { above: 0, most: bounds.panelSide });

  /** A run of pipe of one bore, and what is in it. */
  const pipe = {
    pipe: pipeSize('nominal size of the pipe, such as 1 in').optional(),
    schedule: z.literal([...schedules]).optional().describe('schedule of the pipe, 40 or 80 (ASTM D1785); 40 if left out'),
    bore: length('inside diameter of the pipe, for hoses and metric pipe, in place of pipe and schedule', { least: 1, most: 1000 }).optional(),
    length: length('length of the pipe', { above: 0, most: bounds.pipe }).optional(),
    elbows: count('elbows of 90 degrees'),
    'elbows-45': count('elbows of 45 degrees'),
    tees: count('tees that the water turns in, into or out of the branch,'),
    'tees-through': count('tees that the water goes straight through'),
    'ball-valves': count('ball valves'),
    'gate-valves': count('gate valves'),
    'check-valves': count('check valves'),
    'other-losses': z
      .number({ error: 'is not a number' })
      .min(0, { error: 'is too small' })
      .max(bounds.losses, { error: 'is too large' })
      .optional()
      .describe(`loss coefficients of all else that is in it, added up, 0 to ${bounds.losses}; none if left out`),
  };
  /** A hole, or a pipe over the rim. */
  const through = {
    hole: reference('the hole that it goes through, by its name'),
    name: name('what it is called, where it goes over the rim').optional(),
    panel: reference('the panel that the hole is in, where several have a hole of that name: front, back, left, right or bottom, or the name of a panel by itself'),
  };

  const line = withChoices(
    z.strictObject({ from: reference('the line that it comes from; the pump if left out'), ...pipe, length: length('length of the pipe', { above: 0, most: bounds.pipe }) }),
    ['pipe', 'bore'],
  )
    .superRefine(checkSchedule)
    .meta({ not: { required: ['schedule', 'bore'] } })
    .describe('a pipe that several returns share');

  const oneReturn = withChoices(
    z.strictObject({
      ...through,
      from: reference('the line that it comes from; the pump if left out'),
      ...pipe,
      rise: length("how far the water is lifted: from the sump's working level up to the opening, or to the tank's water where that is higher", { least: 0, most: bounds.head }).optional(),
      flow: flow('the flow that goes through it, where a valve of its own sets that').optional(),
      'opening-from-top': anyLength("how far the lower edge of its opening lies under the tank's top edge; that of its hole if left out").optional(),
      'siphon-break-from-top': anyLength("how far a hole that lets air into the pipe lies under the tank's top edge").optional(),
    }),
    ['hole', 'name'],
  )
    .superRefine(checkPipe)
    .meta({ not: pipeTwice })
    .describe('a pipe that brings water into the tank');

  const drain = withChoices(
    z.strictObject({
      ...through,
      runs: z.enum(drainKinds).describe('how it runs: full siphon, full of water with no air in it; or open, with air'),
      ...pipe,
      drop: length('how far the water falls: from the water that it drains down to its outlet, or to the water there where that is higher', { above: 0, most: bounds.head }).optional(),
      rated: flow('the flow that it carries, as its maker says, in place of pipe, drop and length').optional(),
      spare: z.boolean({ error: 'is neither true nor false' }).optional().describe('true where it stays dry until another is blocked'),
      into: reference('the tank under water that it runs into, or sump; that of drains-into if left out'),
      'opening-from-top': length("how far the middle of its opening lies under the tank's top edge; the centre of its hole if left out", { least: 0, most: bounds.panelSide }).optional(),
    }),
    ['hole', 'name'],
  )
    .superRefine((value, context) => {
      checkPipe(value, context);
      if (value.rated !== undefined) return;
      if (value.drop === undefined) report(context, 'is missing', { accepted: 'how far the water falls, from the water that is drained to the outlet; or rated', fix: 'add drop' }, ['drop']);
      if (value.length === undefined) report(context, 'is missing', { accepted: 'length of the pipe; or rated', fix: 'add length' }, ['length']);
    })
    .meta({ not: pipeTwice, anyOf: [{ required: ['rated'] }, { required: ['drop', 'length'] }] })
    .describe('a pipe that takes water out of the tank');

  const tooth = (what: string) => length(what, { above: 0, most: 1000 });
  const weir = withChoices(
    z.strictObject({
      box: reference('the box whose weir it is, as it is called on its panel'),
      name: name('what it is called, where it belongs to no box').optional(),
      'crest-from-top': length("how far its crest, the lowest line that water runs over, lies under the tank's top edge; that of the box if left out", { least: 0, most: bounds.panelSide }).optional(),
      length: side('length along the crest, all sides that water runs over, with the teeth'),
      teeth: z
        .strictObject({ width: tooth('width of one tooth'), gap: tooth('width of the slot between two teeth'), height: tooth('height of a tooth over the crest').optional() })
        .optional()
        .describe('teeth on the crest: their width, the gap between two, and their height'),
    }),
    ['box', 'name'],
  )
    .superRefine((value, context) => {
      if (value.box === undefined && value['crest-from-top'] === undefined) report(context, 'is missing', { accepted: "how far its crest lies under the tank's top edge", fix: 'add crest-from-top' }, ['crest-from-top']);
    })
    .meta({ anyOf: [{ required: ['box'] }, { required: ['crest-from-top'] }] })
    .describe('a crest that water runs over, to the drains');

  const tank = z
    .strictObject({
      tank: reference('the tank under tanks that it is; that of the same name if left out'),
      inside: z
        .strictObject({ length: side('inside length'), width: side('inside width'), height: side("inside height, from the bottom's upper face to the top edge") })
        .optional()
        .describe('inside length, width and height, where the build has no such tank'),
      'drains-into': reference('the tank under water that its drains run into; sump if left out'),
      returns: list(oneReturn, bounds.returns, 'returns').optional().describe('the pipes that bring water into it'),
      drains: list(drain, bounds.drains, 'drains').min(1, { error: 'is an empty list' }).describe('the pipes that take water out of it'),
      weirs: list(weir, bounds.drains, 'weirs').optional().describe('the crests that water runs over to its drains'),
    })
    .superRefine((value, context) => atMostOne(value, ['tank', 'inside'], context))
    .meta({ not: { required: ['tank', 'inside'] } })
    .describe('how the water goes in a tank: tank or inside, drains-into, returns, drains, weirs');

  const pump = withChoices(
    z.strictObject({
      curve: z
        .array(z.tuple([flow('flow', 0), length('head', { least: 0, most: bounds.head })], { error: 'is not a point [flow, head]' }), { error: 'is not a list of points [flow, head]' })
        .min(2, { error: 'has fewer than two points' })
        .max(bounds.curvePoints, { error: `has more than ${bounds.curvePoints} points` })
        .optional()
        .describe("the pump's curve as its maker gives it, from no flow on: [[flow, head], …]"),
      flow: flow('the flow that it delivers, where no curve is known').optional(),
      throttle: flow('the flow that a valve behind the pump is set to').optional(),
    }),
    ['curve', 'flow'],
  )
    .superRefine((value, context) => {
      if (value.throttle !== undefined && !value.curve) report(context, 'stands without a curve, and only against a curve can a valve be set', { accepted: 'throttle beside curve', fix: 'give the curve, or remove throttle and write the flow that the pump delivers with its valve' }, ['throttle']);
      checkCurve(value.curve ?? [], context);
    })
    .meta({ dependentRequired: { throttle: ['curve'] } })
    .describe('the pump: its curve, or the flow that it delivers');

  const sump = z
    .strictObject({
      tank: reference('the tank under tanks that is the sump, in place of length and width'),
      length: side('inside length of the sump').optional(),
      width: side('inside width of the sump').optional(),
      'working-level': side('how high the water stands over its bottom while the pump runs'),
      'top-level': side('how high the water may stand over its bottom at most'),
    })
    .superRefine((value, context) => {
      for (const key of ['length', 'width'] as const) {
        if (value.tank !== undefined && value[key] !== undefined) report(context, 'stands beside tank, and only one of them can be true', { accepted: 'length and width, or tank', fix: `remove ${key} or tank` }, [key]);
        if (value.tank === undefined && value[key] === undefined) report(context, 'is missing', { accepted: 'inside length and width of the sump, or tank', fix: `add ${key}` }, [key]);
      }
      const [working, top] = [value['working-level'], value['top-level']];
      if (top <= working) report(context, `is no higher than its working level of ${formatLength(working, bare)}`, { accepted: 'a top level over the working level', fix: 'check both: they are heights over its bottom' }, ['top-level']);
    })
    .meta({ oneOf: [{ required: ['length', 'width'], properties: { tank: false } }, { required: ['tank'], properties: { length: false, width: false } }] })
    .describe('the sump: its inside length and width, or its tank, and the levels of its water');

  return z
    .strictObject({
      'flows-in': z.enum(flowUnits).optional().describe('unit that flows are told in: gph, gpm, L/h or m3/h; gph where units are inches, else L/h'),
      reserve: share('what the drains of a tank shall carry beyond its inflow, as a share of that; 50 % if left out', { least: 0, most: 5 }).optional(),
      pump,
      side: list(z.strictObject({ name: name('what takes it'), flow: flow('the flow that it takes') }).describe('a flow that is taken off: name, flow'), bounds.few, 'flows')
        .optional()
        .describe('flows taken off behind the pump for side equipment, and run straight back into the sump'),
      lines: named(line, 'lines').optional().describe('pipes that several returns share, by name, from the pump on'),
      tanks: named(tank, 'tanks').describe('the tanks that water goes through, by names of your own'),
      sump,
    })
    .superRefine((value, context) => {
      const tanks = Object.entries(value.tanks);
      if (tanks.length === 0) report(context, 'names no tank', { accepted: 'at least one tank that water goes through', fix: 'add a tank by a name, with its returns and drains' }, ['tanks']);
      const most = (have: number, limit: number, what: string, path: string) => {
        if (have > limit) report(context, `has ${have} ${what}`, { accepted: `at most ${limit} ${what}`, fix: 'leave out what is alike, or write several specs' }, [path]);
      };
      most(tanks.length, bounds.waterTanks, 'tanks', 'tanks');
      most(tanks.reduce((sum, [, { returns }]) => sum + (returns?.length ?? 0), 0), bounds.returns, 'returns', 'tanks');
      most(tanks.reduce((sum, [, { drains }]) => sum + drains.length, 0), bounds.drains, 'drains', 'tanks');
      most(Object.keys(value.lines ?? {}).length, bounds.lines, 'lines', 'lines');
      if (tanks.some(([key]) => key === 'sump')) report(context, 'is called sump, which is where all water ends', { accepted: 'names other than sump', fix: 'rename it, or tell it under sump: beside tanks' }, ['tanks', 'sump']);
      if (tanks.length > 0 && tanks.every(([, { returns }]) => !returns?.length)) report(context, 'have no return, so that the pump pumps nowhere', { accepted: 'a return in at least one tank', fix: 'add returns to the tank that the pump feeds' }, ['tanks']);
    })
    .describe('how the water goes: pump, lines, tanks with their returns, drains and weirs, and the sump');
}

export type SpecWater = z.output<ReturnType<typeof waterSchema>>;
export type SpecWaterTank = SpecWater['tanks'][string];
export type SpecReturn = NonNullable<SpecWaterTank['returns']>[number];
export type SpecDrain = SpecWaterTank['drains'][number];
export type SpecWeir = NonNullable<SpecWaterTank['weirs']>[number];
export type SpecLine = NonNullable<SpecWater['lines']>[string];

type Keyed = Readonly<Record<string, unknown>>;

/** For the JSON Schema: a pipe that is told twice. */
const pipeTwice = { anyOf: [{ required: ['pipe', 'bore'] }, { required: ['schedule', 'bore'] }] };

function checkSchedule(value: Keyed, context: Context): void {
  if (value['schedule'] !== undefined && value['bore'] !== undefined) report(context, 'stands beside bore, which says how wide the pipe is already', { accepted: 'schedule beside pipe', fix: 'remove schedule or bore' }, ['schedule']);
}

/** What may be said of the pipe of a return or drain, and of the hole that it goes through. */
function checkPipe(value: Keyed, context: Context): void {
  atMostOne(value, ['pipe', 'bore'], context);
  checkSchedule(value, context);
  if (value['panel'] !== undefined && value['hole'] === undefined) report(context, 'stands without a hole', { accepted: 'panel beside hole', fix: 'remove panel, or name the hole' }, ['panel']);
}

/** A pump's curve begins at no flow; its flows rise, its heads never do, and its last head is less than its first. */
function checkCurve(points: readonly (readonly [flow: number, head: number])[], context: Context): void {
  const accepted = 'points from no flow on, with rising flows and falling heads, such as [[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0 m]]';
  const [first] = points;
  const last = points[points.length - 1];
  if (!first || !last) return;
  if (first[0] !== 0) report(context, 'begins with a flow', { accepted, fix: 'begin with the head at no flow, such as [0, 3.2 m]' }, ['curve', 0]);
  for (const [index, [flow, head]] of points.entries()) {
    const before = points[index - 1];
    if (before && flow <= before[0]) report(context, 'has no more flow than the point before it', { accepted, fix: 'order the points by flow, each flow once' }, ['curve', index]);
    if (before && head > before[1]) report(context, 'has more head than the point before it', { accepted, fix: 'check flow and head of both points' }, ['curve', index]);
  }
  if (points.length > 1 && last[1] === first[1]) report(context, 'has as much head at its end as at its beginning', { accepted, fix: 'give the flow where the head is down to nothing' }, ['curve', points.length - 1]);
}

