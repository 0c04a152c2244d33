// Every view, light and dark, on a phone and on a laptop: no violation that axe knows, targets of 44 px, nothing wider
// than the screen, and the keyboard alone gets through. LIEFLAT_SHOTS names a folder for a picture of each.

import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdirSync, writeFileSync} from 'node:fs';
import {join} from 'node:path';
import {axe, fitsAcross, openBrowser, serveCrate, settled, strictPage, targets} from './support.mjs';

const kShots = process.env.LIEFLAT_SHOTS;
const kFull = process.env.LIEFLAT_FULL === '1';

/** @type {[string, string, (page: import('../../web/node_modules/playwright-core/index.js').Page) => Promise<unknown>][]} */
const kViews = [
  ['crate', '#/', (page) => page.locator('.boards li').first().waitFor()],
  ['new', '#/new', (page) => page.getByLabel('Its name').waitFor()],
  ['glance', '#/glance', (page) => page.getByRole('button', {name: 'Sort it'}).waitFor()],
  ['board', '#/board/003', (page) => page.locator('.answers').waitFor()],
  ['unread', '#/board/008', (page) => page.locator('.answers').waitFor()],
  ['again', '#/board/003/again', (page) => page.locator('.station-row input').first().waitFor()],
  ['readings', '#/board/003/readings', (page) => page.locator('[data-station]').first().waitFor()],
  ['parts', '#/board/003/parts', (page) => page.getByRole('rowheader', {name: 'BT1'}).waitFor()],
  ['press', '#/board/003/press', settled],
  ['damage', '#/board/003/damage', (page) => page.getByText('No damage on record').waitFor()],
  ['holds', '#/board/010/holds', (page) => page.locator('svg.drawing .freed').first().waitFor()],
  ['photos', '#/board/003/photos', (page) => page.getByLabel('Pick photos').waitFor()],
  ['turn', '#/board/003/turn', (page) => page.getByText('times larger').waitFor()],
  ['paper', '#/board/003/paper', (page) => page.locator('.sale').waitFor()],
];

/** Screens: all three and both lights in the full form. @type {[number, number, 'light' | 'dark'][]} */
const kScreens = kFull || kShots ? [[390, 844, 'light'], [768, 1024, 'dark'], [1440, 900, 'light'], [390, 844, 'dark'], [1440, 900, 'dark']] : [[390, 844, 'dark'], [1440, 900, 'light']];

const served = await serveCrate();
const origin = new URL(served.url).origin;
const browser = await openBrowser();

/** The crate is reached, a board opened and a blade typed without a pointer. */
async function byKeyboard() {
  const context = await browser.newContext({viewport: {width: 1440, height: 900}});
  const {page, clean} = await strictPage(context, [origin]);
  await page.goto(served.url);
  await page.locator('.boards li').first().waitFor();
  const tabTo = async (/** @type {string} */ selector) => {
    for (let n = 0; n < 120; ++n) {
      await page.keyboard.press('Tab');
      if (await page.evaluate((wanted) => document.activeElement?.matches(wanted) ?? false, selector)) return;
    }
    assert.fail(`${selector} is not reached by Tab`);
  };
  await tabTo('a[href="#/board/003"]');
  await page.keyboard.press('Enter');
  await page.locator('.answers').waitFor();
  assert.equal(await page.evaluate(() => document.activeElement?.tagName), 'H1', 'the heading has the focus after a move');
  await tabTo('a[href="#/board/003/readings"]');
  await page.keyboard.press('Enter');
  await tabTo('.press-on[data-key="AB"]');
  await page.keyboard.press('Enter');
  await page.keyboard.type('3.1');
  await page.keyboard.press('Enter');
  await page.keyboard.type('3.15');
  await settled(page);
  await page.goto(`${served.url}#/board/003/press`);
  await settled(page);
  await tabTo('.drag');
  const before = await page.locator('.drag').getAttribute('aria-label');
  await page.keyboard.press('ArrowLeft');
  assert.notEqual(await page.locator('.drag').getAttribute('aria-label'), before, 'arrow keys move a weight');
  assert.ok(await page.evaluate(() => document.activeElement?.matches('.drag')), 'the weight keeps the focus');
  await settled(page);
  await page.goto(`${served.url}#/board/003/turn`);
  await page.getByText('times larger').waitFor();
  await tabTo('canvas.turn');
  await page.keyboard.press('ArrowLeft');
  clean('the keyboard');
  await context.close();
}

/** Where WebGL is missing a drawing stands in its place, and turns too. */
async function withoutWebGl() {
  const context = await browser.newContext({viewport: {width: 1440, height: 900}});
  await context.addInitScript(() => {
    const get = HTMLCanvasElement.prototype.getContext;
    // @ts-ignore: one of many forms
    HTMLCanvasElement.prototype.getContext = function(kind, ...rest) { return String(kind).startsWith('webgl') ? null : get.call(this, kind, ...rest); };
  });
  const {page, clean} = await strictPage(context, [origin]);
  await page.goto(`${served.url}#/board/003/turn`);
  const drawing = page.locator('.turn-drawing .outline');
  await drawing.waitFor();
  const before = await drawing.getAttribute('d');
  await page.getByRole('button', {name: 'Turn left'}).click();
  assert.notEqual(await drawing.getAttribute('d'), before);
  clean('without WebGL');
  await context.close();
}

/** Lengths in mil: typed and shown. */
async function inMil() {
  const context = await browser.newContext({viewport: {width: 1440, height: 900}});
  const {page, clean} = await strictPage(context, [origin]);
  await page.goto(`${served.url}#/board/003`);
  await page.locator('.answers').waitFor();
  assert.match(await page.locator('.edge').first().innerText(), /gap 3\.\d\d mm/);
  await page.getByLabel('Lengths in').selectOption('mil');
  await page.getByText(/gap 13\d mil/).first().waitFor();
  clean('mil');
  await context.close();
}

/** What the program knows, in words and with its interval: no document, no flag, no unit but the one in use. */
async function inWords() {
  const say = (/** @type {string[]} */ ...words) => execFileSync(process.env.LIEFLAT ?? '', words);
  const marked = await serveCrate((crate) => {
    const board = join(crate, '003');
    say('damage', board, 'add', '--kind', 'crack', '--at', '60,100', '--to', '60,120', '--depth', 'through');
    say('damage', board, 'add', '--kind', 'broken-latch', '--near', 'J4');
    mkdirSync(join(board, 'photos'), {recursive: true});
    writeFileSync(join(board, 'photos', 'e1-seen.svg'), '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>');
  });
  const context = await browser.newContext({viewport: {width: 390, height: 844}, colorScheme: 'dark'});
  const {page, clean} = await strictPage(context, [new URL(marked.url).origin]);
  try {
    await page.goto(`${marked.url}#/board/003/damage`);
    const crack = page.locator('.mark').first();
    await crack.waitFor();
    const said = await page.locator('main').innerText();
    assert.match(said, /press it cold, press it warm, strip and bake: pressing flat stretches/);
    assert.doesNotMatch(said, /[{}]|--aspect/);
    const heads = await crack.locator('dt').all();
    const tops = await Promise.all(heads.map(async (one) => (await one.boundingBox())?.y ?? 0));
    assert.deepEqual(tops, [...tops].sort((a, b) => a - b), 'the lines of a mark keep their order on a phone');
    await page.getByLabel('Lengths in').selectOption('mil');
    await page.getByLabel('Width of the mark, mil').waitFor();
    await page.getByLabel('Lengths in').selectOption('mm');
    await page.goto(`${marked.url}#/board/003/holds`);
    await page.getByText('broken latch beside J4').waitFor();
    await page.goto(`${marked.url}#/board/003/press`);
    await settled(page);
    await page.getByText(/^Mark 1, crack in the board at 60, 100, stands against pressing/).waitFor();
    assert.match(await page.locator('.press-figures').innerText(), /\d+ % \(\d+ to \d+\)/);
    await page.goto(`${marked.url}#/board/003/photos`);
    await page.getByText('e1-seen.svg').waitFor();
    assert.equal(await page.getByRole('button', {name: /Point at the gap/}).count(), 0, 'a drawing is no photo');
    await page.goto(`${marked.url}#/board/003`);
    await page.locator('.answers').waitFor();
    // From the program: gap = length * bow / 100, its ends those of the interval of the bow, never under 0.
    const {flatness} = JSON.parse(String(say('assess', join(marked.crate, '003'), '--json')));
    const edge = flatness.bow_edges[1], mm = (/** @type {number} */ one) => Math.max(0, one * edge.length_mm / 100).toFixed(2);
    const [low, high] = edge.interval95_percent;
    assert.ok(edge.gap_mm - Number(mm(low)) < 0.8 * (Number(mm(high)) - edge.gap_mm), 'an interval that is not even on both sides');
    assert.ok((await page.locator('.edge').nth(1).innerText()).includes(`(${mm(low)} to ${mm(high)})`));
    clean('in words');
  } finally {
    await context.close();
    await marked.stop();
  }
}

/** All faults of all views are told at once. @type {string[]} */
const faults = [];
/** @param {string} where @param {() => unknown} check */
async function faulty(where, check) {
  try {
    await check();
  } catch (error) {
    faults.push(`${where}: ${error instanceof Error ? error.message : error}`);
  }
}

try {
  for (const [width, height, colorScheme] of kScreens) {
    const context = await browser.newContext({viewport: {width, height}, colorScheme, hasTouch: width < 500, isMobile: width < 500});
    const {page, clean} = await strictPage(context, [origin]);
    for (const [name, hash, ready] of kViews) {
      const where = `${name} at ${width} px, ${colorScheme}`;
      await page.goto(`${served.url}${hash}`);
      await page.locator('h1').waitFor();
      await ready(page);
      await faulty(where, () => clean(where));
      await page.evaluate(() => document.querySelectorAll('details').forEach((one) => { one.open = true; }));
      await faulty(where, () => fitsAcross(page, where));
      await faulty(where, () => targets(page, where));
      await faulty(where, () => axe(page, where));
      if (kShots) await page.screenshot({path: join(kShots, `${name}-${width}-${colorScheme}.png`), fullPage: true});
    }
    await context.close();
    console.log(`${width} px, ${colorScheme}: ${kViews.length} views`);
  }
  assert.equal(faults.join('\n'), '');
  await byKeyboard();
  await withoutWebGl();
  await inMil();
  await inWords();
} finally {
  await browser.close();
  await served.stop();
}
