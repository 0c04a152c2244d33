// How long a person waits at the page; figures for DEVELOPERS.md, nothing asserted:
//   LIEFLAT=build/release/src/app/cli/lieflat LIEFLAT_ROOT=. node tests/page/measure.mjs

import {cpSync, readFileSync, writeFileSync} from 'node:fs';
import {join} from 'node:path';
import {openBrowser, serveCrate, settled, strictPage} from './support.mjs';

/** @param {number[]} all */
const median = (all) => [...all].sort((a, b) => a - b)[Math.floor(all.length / 2)];
const kEdits = 9, kBoards = 200;

/** Two hundred boards, each a copy of a sample under a label of its own. @param {string} crate */
function fillCrate(crate) {
  for (let n = 100; n < 100 + kBoards - 9; ++n) {
    const to = join(crate, String(n));
    cpSync(join(crate, ['001', '002', '003', '004', '007', '010'][n % 6]), to, {recursive: true});
    const file = join(to, 'board.json');
    const board = JSON.parse(readFileSync(file, 'utf8'));
    writeFileSync(file, JSON.stringify({...board, label: `crate-3/${n}`}));
  }
}

/** A board of four parts and two slots, 25 places. @param {string} crate */
function addSlot(crate) {
  const file = join(crate, '003', 'board.json');
  const board = JSON.parse(readFileSync(file, 'utf8'));
  board.parts = [...board.parts.filter((/** @type {any} */ part) => part.class !== 'battery'), {ref: 'J5', class: 'slot', x_mm: 260, y_mm: 100, length_mm: 12, width_mm: 138, height_mm: 11},
    {ref: 'U3', class: 'qfp', x_mm: 60, y_mm: 60, length_mm: 30, width_mm: 30}];
  writeFileSync(file, JSON.stringify(board));
  fillCrate(crate);
}

const served = await serveCrate(addSlot);
const browser = await openBrowser();
const context = await browser.newContext({viewport: {width: 1440, height: 900}});
const {page} = await strictPage(context, [new URL(served.url).origin]);

async function crate() {
  await page.goto(served.url);
  await page.waitForFunction(() => document.querySelectorAll('.boards li').length > 0 && !document.body.textContent?.includes('being worked out'), undefined, {timeout: 600000});
  const all = [];
  for (let n = 0; n < 5; ++n) {
    await page.goto('about:blank');
    await page.goto(served.url);
    await page.locator('.boards li').nth(kBoards - 1).waitFor({state: 'attached'});
    await page.waitForTimeout(500);
    all.push(await page.evaluate(() => new Promise((resolve) => {
      let largest = 0, shift = 0;
      new PerformanceObserver((list) => { for (const one of list.getEntries()) largest = Math.max(largest, one.startTime); }).observe({type: 'largest-contentful-paint', buffered: true});
      new PerformanceObserver((list) => { for (const one of list.getEntries()) shift += /** @type {any} */ (one).value; }).observe({type: 'layout-shift', buffered: true});
      setTimeout(() => resolve({first: performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? 0, largest, shift}), 200);
    })));
  }
  const got = /** @type {{first: number, largest: number, shift: number}[]} */ (all);
  console.log(`crate of ${kBoards} kept boards: first paint ${median(got.map((one) => one.first)).toFixed(0)} ms, largest ${median(got.map((one) => one.largest)).toFixed(0)} ms, layout shift ${Math.max(...got.map((one) => one.shift)).toFixed(3)}`);
}

/** @param {string} rest @param {string} set */
async function typing(rest, set) {
  await page.goto(`${served.url}#/board/003/readings`);
  await page.locator('[data-station]').first().waitFor();
  await page.getByLabel(rest).check();
  await page.getByLabel('Where', {exact: true}).selectOption(set);
  const stations = await page.locator('[data-row]').evaluateAll((rows) => rows.map((row) => row.getAttribute('data-row') ?? ''));
  for (const key of stations) {
    const s = rest === 'upright' ? 0.5 : Number(key.split(',')[0]) / 4, gap = 3 * 4 * s * (1 - s);
    if (gap > 0) await page.fill(`[data-station="${key}"][data-which=go]`, gap.toFixed(2));
    await page.fill(`[data-station="${key}"][data-which=noGo]`, (gap + 0.05).toFixed(2));
  }
  await settled(page);
  const last = stations[stations.length - 1];
  const {quick, full} = await page.evaluate(async ([key, count]) => {
    const box = /** @type {HTMLInputElement} */ (document.querySelector(`[data-station="${key}"][data-which=noGo]`));
    const quickMs = [], fullMs = [];
    for (let n = 0; n < Number(count); ++n) {
      const start = performance.now();
      box.value = (3.5 + n * 0.01).toFixed(2);
      box.dispatchEvent(new Event('input', {bubbles: true}));
      await new Promise((resolve) => document.addEventListener('shown', () => requestAnimationFrame(() => setTimeout(resolve)), {once: true}));
      quickMs.push(performance.now() - start);
      const page = document.querySelector('.readings');
      while (page?.getAttribute('data-shown') !== 'full') await new Promise((resolve) => setTimeout(resolve, 10));
      fullMs.push(performance.now() - start);
    }
    return {quick: quickMs, full: fullMs};
  }, [last, String(kEdits)]);
  console.log(`${rest}, ${stations.length} places: edit to repaint ${median(quick).toFixed(0)} ms median, full figures ${median(full).toFixed(0)} ms median, ${Math.max(...full).toFixed(0)} ms at most`);
}

async function turning() {
  await page.goto(`${served.url}#/board/003/turn`);
  await page.getByText('times larger').waitFor();
  await page.waitForTimeout(500);
  const got = await page.evaluate(async () => {
    const surface = /** @type {any} */ (document.querySelector('canvas.turn')).surface;
    const before = {...surface.measure()}, start = performance.now();
    for (let n = 0; n < 40; ++n) {
      surface.setTurn(n * 0.05, 0.6);
      await new Promise((resolve) => requestAnimationFrame(() => resolve(true)));
    }
    const after = surface.measure();
    return {script: (after.script_ms - before.script_ms) / (after.frames - before.frames), rate: (1000 * (after.frames - before.frames)) / (performance.now() - start)};
  });
  console.log(`surface: script ${got.script.toFixed(2)} ms a frame, ${got.rate.toFixed(0)} frames a second in software WebGL`);
}

try {
  await typing('upright', 'middles');
  await typing('flat on a table', '25');
  await turning();
  await crate();
} finally {
  await browser.close();
  await served.stop();
}
