import { lengthSlack, millimetresPer } from '../trade/units.ts';
import { rootOf, type Sloped } from './root.ts';
import type { Weir } from './system.ts';

/**
 * Francis' coefficient for a sharp crest, mm^0.5/s: 3.33 ft^0.5/s, which is 1.84 m^0.5/s (engineersedge.com, water flow over a
 * rectangular weir; USBR, Water Measurement Manual, chapter 7).
 */
export const francisCoefficient = 3.33 * Math.sqrt(millimetresPer.ft);

/** What each end of a crest takes off its length, as a share of the head. Sources as above. */
const endContraction = 0.1;

/** The least head that Francis' formula was measured for, mm: 0.2 ft (USBR, as above, from memory). Under it water clings to the crest, and the flow is less sure. */
export const francisLeastHead = 0.2 * millimetresPer.ft;

/**
 * What runs over a sharp crest by Francis, Q = C (L - 0.1 n H) H^1.5, mm³/s. He measured crests at least three times as long as
 * the head. Far beyond that the formula would fall, and at last turn negative, though more water runs with every millimetre. So
 * the ends stop growing where the head is as much as the crest is long: with two of them 0.8 L is left, which is 1.47 b H^1.5 in
 * SI for an opening b wide. This is on the cautious side: in a tall slot the jet narrows to π / (π + 2) = 0.611 of it (from
 * memory), and 2/3 · 0.611 · √2g gives 1.80 b H^1.5.
 * @param length of the crest, mm
 * @param head of the still water over the crest, mm; nothing runs where it is 0 or less
 * @param contractions how many ends of the crest stand clear of a side wall: 0 to 2
 */
export function francis(length: number, head: number, contractions: number): number {
  return francisSloped(length, head, contractions)[0];
}

function francisSloped(length: number, head: number, contractions: number): Sloped {
  if (head <= 0) return [0, 0];
  const perHead = endContraction * contractions;
  const root = Math.sqrt(head);
  const crest = length - perHead * Math.min(head, length);
  const slope = 1.5 * crest - (head < length ? perHead * head : 0);
  return [francisCoefficient * crest * head * root, francisCoefficient * slope * root];
}

/**
 * What runs over a weir, mm³/s. A plain crest has two ends. Each slot between two teeth is a small weir of its own, with two
 * ends; as many slots are counted as fit into the length, and nothing that runs over the teeth.
 * @param head of the still water over the crest, mm
 */
export function weirFlow(weir: Pick<Weir, 'length' | 'teeth'>, head: number): number {
  return weirSloped(weir, head)[0];
}

function weirSloped({ length, teeth }: Pick<Weir, 'length' | 'teeth'>, head: number): Sloped {
  if (!teeth) return francisSloped(length, head, 2);
  const slots = Math.max(1, Math.floor((length + teeth.width + lengthSlack) / (teeth.width + teeth.gap)));
  const [flow, slope] = francisSloped(Math.min(teeth.gap, length), head, 2);
  return [slots * flow, slots * slope];
}

/**
 * How far the water stands under the tank's top edge where all weirs together pass that flow, mm; negative over it. At no flow
 * it stands at the lowest crest.
 * @param weirs at least one, each longer than nothing; without any no level would do, and -Infinity is told
 * @param flow at least 0, mm³/s
 */
export function levelOver(weirs: readonly Weir[], flow: number): number {
  const lowest = Math.max(...weirs.map((weir) => weir.crest));
  if (weirs.length === 0 || flow <= 0) return lowest;
  const over = (head: number): Sloped => {
    let [all, rise] = [0, 0];
    for (const weir of weirs) {
      const [own, slope] = weirSloped(weir, head - (lowest - weir.crest));
      all += own;
      rise += slope;
    }
    return [all - flow, rise];
  };
  let most = 1;
  while (over(most)[0] < 0) most *= 2;
  return lowest - rootOf(over, 0, most, most);
}
