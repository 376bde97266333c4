// Types of the server's calls, made from crates/server/openapi.json; with --check only says whether they are fresh.
import { readFile, writeFile } from 'node:fs/promises';
import openapiTS, { astToString } from 'openapi-typescript';

const FROM = new URL('../crates/server/openapi.json', import.meta.url);
const TO = new URL('src/api/schema.d.ts', import.meta.url);

// Every schema also as a type of its own, under the name that the server gives it.
const options = { rootTypes: true, rootTypesNoSchemaPrefix: true, rootTypesKeepCasing: true };
const made = `// Made by \`npm run api\` from crates/server/openapi.json; not to be edited.\n${astToString(await openapiTS(FROM, options))}`;
if (process.argv.includes('--check')) {
  if ((await readFile(TO, 'utf8').catch(() => '')) !== made) {
    console.error('src/api/schema.d.ts is not what crates/server/openapi.json gives: npm run api');
    process.exit(1);
  }
} else {
  await writeFile(TO, made);
}
