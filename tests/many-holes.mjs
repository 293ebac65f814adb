/**
 * Panels with thousands of holes, for the bench and for tests of what must work at any size: the plug wall of a coral
 * nursery. Lengths in mm.
 */

/** Side of the square that each hole has for itself: about twenty holes on a sheet of A4. */
const pitch = 41;
/** How far a hole stands off the middle of its square at most, across and up: the nearest two, and the edge, are further away than any hole is wide. */
const scatter = 5;
/** What the holes are: bare ones of three sizes, and a fitting with a flange. */
const kinds = ['diameter: 6', 'diameter: 8', 'diameter: 9', 'fitting: plug cup'];

/** Numbers from 0 to 1, always the same (Numerical Recipes' linear congruential generator). */
function evenly(seed) {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

/** A spec with so many holes, evenly scattered over a panel that is about square; every one of them is clear. */
export function manyHoles(count) {
  const columns = Math.ceil(Math.sqrt(count));
  const rows = Math.ceil(count / columns);
  const next = evenly(count);
  const off = () => (2 * next() - 1) * scatter;
  const holes = Array.from({ length: count }, (_, index) => {
    const [left, top] = [(index % columns + 0.5) * pitch + off(), (Math.floor(index / columns) + 0.5) * pitch + off()];
    return `  - {name: plug ${index + 1}, ${kinds[Math.floor(next() * kinds.length)]}, from-left: ${left.toFixed(1)}, from-top: ${top.toFixed(1)}}`;
  });
  return `title: Coral nursery, plug wall
units: mm
panel: {material: acrylic, width: ${columns * pitch}, height: ${rows * pitch}, thickness: 5}
fittings: {plug cup: {hole: 10, flange: 18}}
holes:
${holes.join('\n')}
sheets: {paper: A4}
`;
}
