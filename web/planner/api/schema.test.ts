// @vitest-environment node
import { readFile } from 'node:fs/promises';

import openapiTS, { astToString, COMMENT_HEADER } from 'openapi-typescript';
import { expect, it } from 'vitest';

it('is what openapi-typescript makes of the description', async () => {
  const description = new URL('./openapi.json', import.meta.url);
  const made = COMMENT_HEADER + astToString(await openapiTS(description));

  expect(await readFile(new URL('./schema.ts', import.meta.url), 'utf8')).toBe(made);
});
