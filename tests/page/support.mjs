// What the tests of the page share: a served copy of the sample crate, Debian's Chromium, and pages on which any
// console error, page error or request to another machine fails the test.

import assert from 'node:assert/strict';
import {spawn} from 'node:child_process';
import {cpSync, mkdtempSync, readFileSync, rmSync} from 'node:fs';
import {createRequire} from 'node:module';
import {networkInterfaces, tmpdir} from 'node:os';
import {join} from 'node:path';
import playwright from '../../web/node_modules/playwright-core/index.js';

const kProgram = process.env.LIEFLAT ?? '';
const kRoot = process.env.LIEFLAT_ROOT ?? '';
assert.ok(kProgram && kRoot, 'LIEFLAT and LIEFLAT_ROOT say what is tested');

export const samples = join(kRoot, 'samples');
const axeSource = readFileSync(createRequire(import.meta.url).resolve('../../web/node_modules/axe-core/axe.min.js'), 'utf8');

/** An IPv4 address of this machine that a phone could reach. */
export function lanAddress() {
  const found = Object.values(networkInterfaces()).flat().find((one) => one && one.family === 'IPv4' && !one.internal);
  assert.ok(found, 'the phone needs a network interface besides the loopback');
  return found.address;
}

/**
 * @param {(crate: string) => void} [prepare] @param {string[]} [flags]
 */
export async function serveCrate(prepare, flags = []) {
  const folder = mkdtempSync(join(tmpdir(), 'lieflat-page-'));
  const crate = join(folder, 'crate-3');
  cpSync(join(samples, 'crate-3'), crate, {recursive: true});
  prepare?.(crate);
  const child = spawn(kProgram, ['open', crate, '--no-browser', ...flags], {stdio: ['ignore', 'pipe', 'pipe']});
  let said = '';
  child.stderr.on('data', (/** @type {Buffer} */ data) => { said += data; });
  const url = await new Promise((resolve, reject) => {
    let line = '';
    child.stdout.on('data', (/** @type {Buffer} */ data) => {
      line += data;
      if (line.includes('\n')) resolve(line.slice(0, line.indexOf('\n')).trim());
    });
    child.on('exit', (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
  });
  return {
    url: String(url), crate,
    async stop() {
      const ended = new Promise((resolve) => child.once('exit', resolve));
      child.kill('SIGINT');
      await ended;
      rmSync(folder, {recursive: true, force: true});
    },
  };
}

export const openBrowser = () => playwright.chromium.launch({executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--enable-unsafe-swiftshader']});

/**
 * A page that remembers what must not happen.
 * @param {import('../../web/node_modules/playwright-core/index.js').BrowserContext} context
 * @param {string[]} origins that may be asked
 */
export async function strictPage(context, origins) {
  /** @type {string[]} */
  const faults = [];
  const watch = (/** @type {import('../../web/node_modules/playwright-core/index.js').Page} */ page) => {
    page.on('console', (message) => { if (message.type() === 'error') faults.push(`console: ${message.text()} ${message.location().url}`); });
    page.on('pageerror', (error) => faults.push(`page: ${error.stack ?? error}`));
    page.on('request', (request) => {
      const url = new URL(request.url());
      if (url.protocol !== 'blob:' && url.protocol !== 'data:' && !origins.includes(url.origin)) faults.push(`outside: ${request.url()}`);
    });
  };
  context.on('page', watch);
  const page = await context.newPage();
  page.setDefaultTimeout(30000);
  return {page, faults, clean: (/** @type {string} */ where) => assert.deepEqual(faults, [], `faults at ${where}`)};
}

/** Every rule of axe, the enhanced contrast of 7 : 1 as well. @param {import('../../web/node_modules/playwright-core/index.js').Page} page @param {string} where */
export async function axe(page, where) {
  // Through the debugger, so that the page's own rules on scripts stand.
  await page.evaluate(axeSource);
  const result = await page.evaluate(async () => {
    const run = /** @type {any} */ (window).axe;
    const got = await run.run(document, {rules: {'color-contrast-enhanced': {enabled: true}, 'target-size': {enabled: true}}});
    return {passes: got.passes.length, violations: got.violations.map((/** @type {any} */ one) => `${one.id}: ${one.nodes.slice(0, 4).map((/** @type {any} */ node) => `${node.target} ${node.failureSummary}`).join(' | ')}`)};
  });
  assert.ok(result.passes > 10, `axe looked at ${where}`);
  assert.deepEqual(result.violations, [], `axe at ${where}`);
}

/** Targets a finger cannot hit: under 44 px, but for links inside a sentence. @param {import('../../web/node_modules/playwright-core/index.js').Page} page @param {string} where */
export async function targets(page, where) {
  const small = await page.evaluate(() => [...document.querySelectorAll('a, button, input, select, summary, [role=button], [role=slider]')].filter((one) => {
    const box = one.getBoundingClientRect();
    if (box.width === 0 || box.height === 0 || one.closest('.skip')) return false;
    const inSentence = one.matches('p a, li a:not(.name), dd a') && !one.matches('.files a, .acts a, .ways a');
    if (inSentence) return false;
    const label = one.matches('input[type=radio], input[type=checkbox]') ? one.closest('label') : null;
    const size = (label ?? one).getBoundingClientRect();
    return size.height < 43.5 || size.width < 43.5;
  }).map((one) => `${one.tagName} ${one.textContent?.slice(0, 30)} ${one.getAttribute('aria-label') ?? ''} ${Math.round(one.getBoundingClientRect().width)}x${Math.round(one.getBoundingClientRect().height)}`));
  assert.deepEqual(small, [], `targets at ${where}`);
}

/** Nothing sticks out sideways. @param {import('../../web/node_modules/playwright-core/index.js').Page} page @param {string} where */
export async function fitsAcross(page, where) {
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(over <= 0, `${where} is ${over} px wider than the screen`);
}

/** The figures of the newest state are shown in full. @param {import('../../web/node_modules/playwright-core/index.js').Page} page */
export const settled = (page) => page.waitForSelector('[data-shown=full]');
