// What an editor that knows the schema says of books: nothing of sound ones, most slips, and what can be written where.
// Node.js 20, offline: the schema is a file of the repository.

import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

import { SEEN, UNSEEN } from './faults.mjs';
import { LanguageServer } from './language_server.mjs';

/** Of all slips, those that only the program can see counted too, so many at least are told while one writes. */
const LEAST_SEEN = 0.75;
/** Kinds of slips, at least. */
const LEAST_PLANTED = 35;

const repository = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const schemaFile = join(repository, 'src', 'book', 'schema.json');
const schema = JSON.parse(readFileSync(schemaFile, 'utf8'));
const examples = readdirSync(join(repository, 'examples')).filter((name) => name.endsWith('.yaml'));
const full = readFileSync(join(repository, 'examples', 'full.yaml'), 'utf8');

const server = await LanguageServer.start(schemaFile);
let books = 0;
const name = () => `file:///books/${(books += 1)}.yaml`;
const told = async (text) => (await server.diagnose(name(), text)).map(({ message }) => message);

for (const example of examples) {
  const text = readFileSync(join(repository, 'examples', example), 'utf8');
  assert.deepEqual(await told(text), [], `${example} is sound`);
}
console.log(`${examples.length} examples are clean: ${examples.join(', ')}`);

let seen = 0;
const missed = [];
for (const [what, right, wrong] of [...SEEN, ...UNSEEN]) {
  assert.ok(full.includes(right), `the full example has ${JSON.stringify(right)}`);
  const messages = await told(full.replace(right, wrong));
  if (messages.length > 0) seen += 1;
  else missed.push(what);
  if (process.argv.includes('--show')) console.log(`${what}: ${messages.join(' | ')}`);
}
const planted = SEEN.length + UNSEEN.length;
console.log(`${seen} of ${planted} slips are told, a kind of field each; not told: ${missed.join(', ')}`);
assert.ok(planted >= LEAST_PLANTED && seen >= LEAST_SEEN * planted);
assert.deepEqual(missed.filter((what) => SEEN.some(([known]) => known === what)), [], 'told until now');

const labels = async (text) => {
  const { items } = await server.at('textDocument/completion', name(), text);
  return items.map(({ label }) => label);
};
const holds = (found, wanted, where) => {
  const missing = wanted.filter((label) => !found.includes(label));
  assert.deepEqual(missing, [], `offered ${where}: ${found.join(', ')}`);
};
const fields = (definition) => Object.keys(definition.properties);
const start = 'book: 1\nboat: {name: Chervil}\n';

holds(await labels(`${start}|`), fields(schema).filter((field) => !['book', 'boat'].includes(field)), 'in a book');
const kinds = schema.properties.cards.items.anyOf.map(({ properties }) => properties.kind.const);
holds(await labels(`${start}cards:\n  - kind: |`), kinds, 'as kinds of cards');
holds(await labels(`${start}cards:\n  - kind: sail-change\n    |`), ['from', 'to', 'before', 'during', 'halyard', 'size'], 'in a card');
const { control, sail, settings, strip } = schema.$defs;
holds(await labels(`${start}controls:\n  backstay:\n    |`), fields(control), 'in a control');
holds(await labels(`${start}controls:\n  backstay:\n    strip:\n      |`), fields(strip), 'in a strip');
holds(await labels(`${start}controls:\n  backstay:\n    strip:\n      grows: |`), strip.properties.grows.enum, 'as ways to grow');
holds(await labels(`${start}controls:\n  backstay:\n    scale:\n      |`), ['marks', 'centre', 'measured', 'tapes', 'turns', 'gauge', 'words'], 'in a scale');
holds(await labels(`${start}sails:\n  jib:\n    kind: |`), sail.properties.kind.enum, 'as kinds of sails');
holds(await labels(`${start}settings:\n  - id: upwind\n    |`), fields(settings).filter((field) => field !== 'id'), 'in settings');
holds(await labels(`${start}settings:\n  - id: upwind\n    point_of_sail: |`), settings.properties.point_of_sail.enum, 'as points of sail');

const hover = await server.at('textDocument/hover', name(), `${start}controls:\n  backstay:\n    hig|her_is: tighter\n`);
assert.ok(JSON.stringify(hover).includes(control.properties.higher_is.description), JSON.stringify(hover));
console.log('kinds, fields and words are offered, and a field tells what it is for');
server.stop();
