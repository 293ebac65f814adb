/** Cautions that go with every jig. Usual workshop practice (common practice, no source), said for the person with the drill. */
export const cautions: readonly string[] = [
  'Eyes and hands: wear safety glasses and cut-proof gloves; long sleeves. Keep others, children and pets away.',
  'Water and mains power: drill wet only with a battery drill, or a mains drill on a circuit protected by a residual-current device (GFCI); keep plugs, leads and switches dry and uphill of the water.',
  'Toughened (tempered) glass shatters when drilled, and a tank may have a toughened bottom and annealed sides. Only the maker can say for sure. Do not drill what you cannot name.',
  'Support the panel flat on a firm, clean, padded surface, with a backing board under the hole; never drill glass under load or with water in the tank.',
  'Dust: glass and acrylic dust harm the lungs; keep the cut wet, wipe up wet, wear a mask rated for fine dust if any is in the air.',
  'Light pressure, low speed, plenty of water; ease off before breaking through, so that the plug does not chip the far side.',
  'Measure the fitting and the bit in your hand. The circles on the sheets are worth no more than the values in the spec.',
  'Leak test: fill the tank where water can do no harm, and watch it for a day before it goes to use.',
  'Limits used here are published minimums and customs, not a promise that your panel will hold. Follow local codes, and leave electrical and structural work to licensed people.',
];

/** Said on every sheet. */
export const printWords = 'Print at 100 % / actual size, not "fit to page". Before drilling, measure both rulers with a steel rule';
