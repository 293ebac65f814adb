import tseslint from 'typescript-eslint';

/** Folders a folder may import from, besides itself. Arrows go one way; nothing imports cli. */
const mayImport = {
  trade: [],
  geometry: ['trade'],
  water: ['geometry', 'trade'],
  spec: ['trade'],
  plan: ['spec', 'geometry', 'water', 'trade'],
  render: ['spec', 'plan', 'trade'],
};
const folders = [...Object.keys(mayImport), 'cli'];
const fileAndProcess = [
  { group: ['node:*', 'fs', 'fs/*', 'path', 'os', 'process', 'child_process', 'module', 'url'], message: 'Only src/cli touches files, the process and the terminal.' },
];
const purity = {
  'no-restricted-globals': ['error', 'process', 'Buffer', 'require', '__dirname', 'setTimeout', 'setInterval', 'fetch', 'performance', 'crypto'],
  'no-restricted-properties': ['error',
    { object: 'Date', property: 'now', message: 'The core is pure: same input, same bytes out.' },
    { object: 'Math', property: 'random', message: 'The core is pure: same input, same bytes out.' }],
  'no-restricted-syntax': ['error', { selector: "NewExpression[callee.name='Date']", message: 'The core is pure: same input, same bytes out.' }],
};

export default tseslint.config(
  { ignores: ['node_modules', 'dist', 'out'] },
  ...tseslint.configs.recommended,
  {
    rules: {
      eqeqeq: 'error',
      'prefer-const': 'error',
      'no-console': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
    },
  },
  ...Object.entries(mayImport).map(([folder, allowed]) => ({
    files: [`src/${folder}/**/*.ts`],
    rules: {
      ...purity,
      'no-restricted-syntax': [...purity['no-restricted-syntax'], { selector: 'ImportExpression', message: 'Import at the top of the file, where the import rules see it.' }],
      'no-restricted-imports': ['error', { patterns: [
        ...fileAndProcess,
        { group: ['**/report.ts', '**/jig.ts', '**/index.ts'], message: 'The files at the top of src stand above its folders.' },
        { group: [...folders.filter((f) => f !== folder && !allowed.includes(f)).map((f) => `**/${f}/**`), ...(folder === 'render' ? ['!**/geometry/shape.ts'] : [])], message: `src/${folder} may import only from: ${[folder, ...allowed].join(', ')}.` },
        ...(folder === 'render' ? [] : [{ group: ['pdf-lib', 'fontkit', '@pdf-lib/*'], message: 'Only src/render knows of PDF.' }]),
      ] }],
    },
  })),
  {
    files: ['src/*.ts'],
    rules: { ...purity, 'no-restricted-imports': ['error', { patterns: [...fileAndProcess, { group: ['**/cli/**'], message: 'Nothing imports cli.' }] }] },
  },
  { files: ['tests/**', '.config/**', 'src/cli/**'], rules: { 'no-console': 'off' } },
);
