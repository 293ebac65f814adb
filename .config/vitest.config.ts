import { defineConfig } from 'vitest/config';

export default defineConfig({
  root: new URL('..', import.meta.url).pathname,
  test: { include: ['tests/**/*.test.ts'], globalSetup: 'tests/built.ts', setupFiles: 'tests/seed.ts', testTimeout: 120_000, maxWorkers: '100%', reporters: ['default'] },
});
