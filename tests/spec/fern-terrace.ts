/** Two planted tanks, one above the other, over a sump: what is drilled, and how the water goes. */
export const terrace = `title: Fern terrace
units: mm
boxes:
  weir box:
    width: 300
    height: 220
    depth: 120
    wall: 6
    back: 8
    weir-from-top: 15
    holes:
      - {name: drain, fitting: bulkhead 1 in, from-left: 80, from-bottom: 75}
      - {name: spare drain, fitting: bulkhead 1-1/4 in, from-right: 95, from-bottom: 95}
tanks:
  upper:
    material: annealed glass
    length: 900
    width: 450
    height: 460
    thickness: {front: 10, back: 10, left: 8, right: 8, bottom: 12}
    bottom: under walls
    ends: between front and back
    gap: 1
    panels:
      back:
        boxes: [{box: weir box, from-center-x: 0, from-top: 25}]
        holes:
          - {name: return, fitting: bulkhead 3/4 in, from-left: 110, from-top: 80}
          - {name: mister, diameter: 12, from-left: 200, from-top: 60}
  lower:
    material: annealed glass
    length: 900
    width: 450
    height: 400
    thickness: 10
    bottom: between walls
    ends: between front and back
    panels:
      back:
        holes:
          - {name: return, fitting: bulkhead 1/2 in, from-right: 110, from-top: 70}
      left:
        holes:
          - {name: return, fitting: bulkhead 1/2 in, from-left: 200, from-top: 70}
      bottom:
        holes:
          - {name: drain, fitting: bulkhead 1 in, from-left: 300, from-top: 200}
          - {name: spare drain, fitting: bulkhead 1-1/2 in, from-left: 450, from-top: 200}
water:
  flows-in: gph
  reserve: 40 %
  pump:
    curve: [[0, 3.2 m], [1500 L/h, 2.4 m], [3000 L/h, 0]]
    throttle: 1800 L/h
  side:
    - {name: plant filter, flow: 300 L/h}
  lines:
    upper riser: {from: riser, pipe: 3/4 in, length: 900, tees: 1}
    riser: {pipe: 1 in, schedule: 80, length: 1500, elbows: 2, elbows-45: 3, tees-through: 4, ball-valves: 5, gate-valves: 6, check-valves: 7, other-losses: 8.5}
  tanks:
    lower:
      drains-into: sump
      returns:
        - {hole: return, panel: left, from: riser, length: 400, rise: 950, flow: 300 L/h}
      drains:
        - {hole: drain, runs: full siphon, drop: 800, length: 900, opening-from-top: 90}
        - {hole: spare drain, runs: open, drop: 800, length: 900, spare: true}
      weirs:
        - {name: notch, length: 200, crest-from-top: 45}
    upper:
      drains-into: lower
      returns:
        - {hole: return, from: upper riser, length: 400, rise: 1500, siphon-break-from-top: 50}
        - {name: spray bar, from: upper riser, bore: 20 mm, length: 600, rise: 1550, opening-from-top: -30}
      drains:
        - {hole: drain, runs: full siphon, drop: 540, length: 800, elbows: 2, gate-valves: 1}
        - {hole: spare drain, runs: open, spare: true, rated: 2000 L/h, into: sump}
      weirs:
        - {box: weir box, length: 480, teeth: {width: 6, gap: 5, height: 30}}
  sump: {length: 800, width: 400, working-level: 180, top-level: 320}
`;

/** The terrace with one part changed. */
export function terraceWith(part: string, into: string): string {
  if (!terrace.includes(part)) throw new Error(`the terrace holds no ${part}`);
  return terrace.replace(part, () => into);
}

/** The text without its § mark, and the line and column where the mark stood. */
export function marked(text: string): { text: string; line: number; column: number } {
  const before = (text.split('§')[0] as string).split('\n');
  return { text: text.replace('§', ''), line: before.length, column: (before[before.length - 1] as string).length + 1 };
}
