// The page's words and digits are the program's, where both show the same; and every name that the documents may hold has words.

import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {readFileSync} from 'node:fs';
import {join} from 'node:path';

import {bare, signedLength} from '../../web/src/settings.js';
import {doWords, fixed, interval, keptWords, outcomeWords, percent, percentWords, shareWords, shownShare, stackWords, threeWords, verdictWords, worksWords} from '../../web/src/words.js';

const says = process.env.LIEFLAT_WORDS ?? '', root = process.env.LIEFLAT_ROOT ?? '';
assert.ok(says && root, 'LIEFLAT_WORDS and LIEFLAT_ROOT say what is tested');
const program = JSON.parse(execFileSync(says, {encoding: 'utf8'}));

/** @param {(name: string) => string} words @param {string[]} names */
const wordsOf = (words, names) => Object.fromEntries(names.map((name) => [name, words(name)]));
/** @param {Record<string, string>} expected @param {(name: string) => string} words */
const hold = (expected, words) => assert.deepEqual(wordsOf(words, Object.keys(expected)), expected);
hold(program.verdicts, verdictWords);
hold(program.stacks, stackWords);
hold(program.works, worksWords);
// The standard's own name says nothing to a repairer: the page alone explains it.
hold({...program.outcomes, 'process-indicator': 'a sign to watch, no fault'}, outcomeWords);

// A true minus on the page.
for (const [value, digits, text] of program.figures) {
  assert.equal(fixed(value, digits), text.replace('-', '−'), `${value} to ${digits} digits`);
}
for (const [shares, kept, tenths] of program.kept) {
  assert.equal(keptWords(shares), kept);
  assert.equal(percentWords(shares), tenths);
}

// By hand.
assert.equal(percent(undefined), '–');
assert.equal(percent(0.745), '0.74 %');  // 0.74499999999999999556
assert.equal(interval([0.5, 1.25]), '0.50 to 1.25 %');
assert.equal(threeWords([1, 2.25, 4], 1), '2.2 % (1.0 to 4.0)');
assert.equal(bare(-0.004), '0.00');
assert.deepEqual([1.5, -1.5, 0.001].map((mm) => signedLength(mm)), ['+1.50 mm', '−1.50 mm', '0.00 mm']);
assert.deepEqual([0.004, 0.194, 0.2, 0.24, 1.04].map(shownShare), [0, 19, 20, 20, 100]);
// Rounded to the limit it is said on which side it lies.
assert.deepEqual([0.96, 1, 1.04, 1.3].map(shareWords), ['just under 100 %', '100 %', 'just over 100 %', '130 %']);

/** Every list of names that the schemas allow under a key. @param {any} node @param {string} key @returns {string[]} */
function namesUnder(node, key) {
  if (node === null || typeof node !== 'object') return [];
  return Object.entries(node).flatMap(([name, value]) => [...(name === key && Array.isArray(value?.enum) ? value.enum : []), ...namesUnder(value, key)]);
}
/** @param {string} file @param {string} key @param {(name: string) => string} words */
function everyNameHasWords(file, key, words) {
  const names = new Set(namesUnder(JSON.parse(readFileSync(join(root, 'docs/schemas', file), 'utf8')), key));
  assert.ok(names.size > 3, `${file} lists no ${key}`);
  for (const name of names) assert.ok(words(name) !== name || name === 'acceptable' || name === 'defect', `${name} has no words`);
}
everyNameHasWords('lot.schema.json', 'recommended', doWords);
everyNameHasWords('lot.schema.json', 'works', worksWords);
everyNameHasWords('damage.schema.json', 'outcome', outcomeWords);
