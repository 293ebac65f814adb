/** Cautions that go with every jig: what each is about, and what it says. Usual workshop practice (common practice, no source), said for the person with the drill. */
export const cautions: readonly (readonly [about: string, words: string])[] = [
  ['Eyes and hands', 'Safety glasses, cut-proof gloves, long sleeves; nothing loose near the bit. Keep others, children and pets away.'],
  ['Mains power', 'Drill wet by battery, or on mains with a residual-current device (GFCI); plugs, leads, switches dry and uphill of the water.'],
  ['Toughened', 'Toughened (tempered) glass shatters when drilled; a tank may have a toughened bottom and annealed sides. Only the maker can say for sure. Do not drill what you cannot name.'],
  ['Support', 'Panel flat on a firm, clean, padded surface, backing board under the hole. Never drill glass under load, or with water in the tank.'],
  ['Dust', 'Glass and acrylic dust harm the lungs: keep the cut wet, wipe up wet, wear a mask for fine dust if any is in the air.'],
  ['Pressure', 'Light pressure, low speed, plenty of water. Ease off before breaking through, so that the plug does not chip the far side.'],
  ['Measure', 'The fitting and the bit in your hand: the circles on the sheets are worth no more than the values in the spec.'],
  ['Leak test', 'Fill the tank where water can do no harm, and watch it for a day before it goes to use.'],
  ['Limits', 'Published minimums and customs, no promise. Follow local codes; leave electrical and structural work to licensed people.'],
];

/** Said on every sheet. */
export const printWords = 'Print at 100 % / actual size, not "fit to page". Before drilling, measure both rulers with a steel rule';
