// The page as it is built: no more than 250 kB compressed in all, nothing that asks another machine, types that hold.

import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {readFileSync, readdirSync, statSync} from 'node:fs';
import {join} from 'node:path';

const dist = process.env.LIEFLAT_PAGE_DIST ?? '', root = process.env.LIEFLAT_ROOT ?? '';
assert.ok(dist && root, 'LIEFLAT_PAGE_DIST and LIEFLAT_ROOT say what is tested');

const kMostBytes = 250_000;
const bytes = readdirSync(dist).filter((name) => name.endsWith('.gz')).map((name) => statSync(join(dist, name)).size);
assert.equal(bytes.length, 5, 'five files, each compressed');
const sum = bytes.reduce((a, b) => a + b, 0);
assert.ok(sum < kMostBytes, `the page is ${sum} bytes compressed`);
console.log(`${sum} bytes compressed in all`);

// Inline script and style are refused by the content security policy; so none is written.
const html = readFileSync(join(dist, 'index.html'), 'utf8');
assert.doesNotMatch(html, /<style|style=|<script(?![^>]*src=)|\son\w+=/);
assert.doesNotMatch(html + readFileSync(join(dist, 'page.css'), 'utf8'), /https?:\/\//);
// Names of XML namespaces, and nothing else that looks like an address, stand in our own script.
const addresses = [...readFileSync(join(dist, 'page.js'), 'utf8').matchAll(/https?:\/\/[^"'`\s)]+/g)].map((one) => one[0]);
assert.deepEqual([...new Set(addresses)], ['http://www.w3.org/2000/svg']);

execFileSync(process.execPath, [join(root, 'web/node_modules/typescript/bin/tsc'), '--project', join(root, 'web/tsconfig.json')], {stdio: 'inherit'});
