/** A spec with so many holes, evenly scattered over a panel that is about square; every one of them is clear. */
export function manyHoles(count: number): string;
