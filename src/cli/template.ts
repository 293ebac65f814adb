export async function writeTemplate(..._: unknown[]): Promise<number> { return 0; }
