// The page: which view the address asks for, the words at its head and foot.

import {announce, fill, h, select} from './dom.js';
import {get, post} from './api.js';
import {currentLight, currentUnit, loadSettings, setLight, setUnit} from './settings.js';
import {showRefusal} from './progress.js';
import {askEarly, crateView} from './views/crate.js';
import {newBoardView} from './views/new_board.js';
import {glanceView} from './views/glance.js';
import {boardView} from './views/board.js';
import {readingsView} from './views/readings.js';
import {againView} from './views/again.js';
import {partsView} from './views/parts.js';
import {pressView} from './views/press.js';
import {damageView} from './views/damage.js';
import {holdsView} from './views/holds.js';
import {photosView} from './views/photos.js';
import {turnView} from './views/turn.js';
import {paperView} from './views/paper.js';

/** @typedef {import('./types.js').Session} Session */
/** @typedef {import('./types.js').Catalog} Catalog */
/** @typedef {import('./types.js').BoardRecord} BoardRecord */
/**
 * What a view is given, and gives back: the element, its title, and what to do when it is left.
 * @typedef {{session: Session, catalog: Catalog, record?: BoardRecord, refresh: () => Promise<void>}} Context
 * @typedef {{title: string, element: HTMLElement, leave?: () => void}} View
 * @typedef {(context: Context & {record: BoardRecord}) => Promise<View>} OneBoardView
 */

/** Without words a view is reached from another one. @type {[string, string, OneBoardView][]} */
const kBoardViews = [
  ['', 'The board', boardView], ['readings', 'Readings', readingsView], ['parts', 'Parts', partsView], ['press', 'Before you press', pressView],
  ['damage', 'Damage', damageView], ['holds', 'Holds and trend', holdsView], ['photos', 'Photos', photosView], ['turn', 'Turn it', turnView],
  ['paper', 'Report', paperView], ['again', '', againView],
];

/** @type {{session: Session, catalog: Catalog} | undefined} */
let common;
/** @type {(() => void) | undefined} */
let leave;
let wanted = 0;

const head = /** @type {HTMLElement} */ (document.getElementById('head'));
const content = /** @type {HTMLElement} */ (document.getElementById('content'));
const foot = /** @type {HTMLElement} */ (document.getElementById('foot'));

/** @param {string} id @param {string} here */
function boardWays(id, here) {
  return h('nav', {class: 'ways', 'aria-label': 'This board'}, kBoardViews.filter(([, words]) => words).map(([path, words]) =>
    h('a', {href: `#/board/${id}${path ? `/${path}` : ''}`, 'aria-current': path === here ? 'page' : null}, words)));
}

function showHead() {
  if (!common) return;
  fill(head, common.session.lot ? h('a', {href: '#/'}, common.session.name) : h('a', {href: '#/board/.'}, common.session.name),
    common.session.lot ? h('a', {href: '#/new'}, 'New board') : null, h('a', {href: '#/glance'}, '90-second look'));
}

function showFoot() {
  const again = () => { void show(false); };
  const unit = select([{value: 'mm', text: 'mm'}, {value: 'mil', text: 'mil'}, {value: 'in', text: 'inch'}], currentUnit(), (value) => { setUnit(value); again(); });
  const light = select([{value: 'auto', text: 'as the screen has it'}, {value: 'light', text: 'light'}, {value: 'dark', text: 'dark'}], currentLight(), setLight);
  fill(foot, h('label', null, 'Lengths in ', unit), h('label', null, 'Light ', light),
    h('span', {class: 'soft'}, `lieflat ${common?.session.version ?? ''}, on this machine only${common?.session.lan ? ' and the phones paired with it' : ''}`));
}

/** @param {string} path @param {{session: Session, catalog: Catalog}} given @returns {Promise<{view: View, ways?: HTMLElement}>} */
async function viewFor(path, given) {
  const refresh = () => show(false);
  const context = {...given, refresh};
  const board = path.match(/^\/board\/([^/]+)(?:\/(\w*))?$/);
  if (board) {
    const entry = kBoardViews.find(([name]) => name === (board[2] ?? '')) ?? kBoardViews[0];
    const record = /** @type {BoardRecord} */ (await get(`/api/boards/${board[1]}`));
    return {view: await entry[2]({...context, record: {...record, id: board[1]}}), ways: boardWays(board[1], entry[0])};
  }
  if (path === '/new') return {view: await newBoardView(context)};
  if (path === '/glance') return {view: await glanceView(context)};
  return {view: await crateView(context)};
}

/** How the program's drawings are dressed; under the page's own style, so that light and dark win. Only a paired phone gets it. */
const drawingStyle = () => new Promise((resolve, reject) => {
  const link = h('link', {rel: 'stylesheet', href: '/drawing.css', on: {load: resolve, error: () => reject(new Error('the style of the drawings is missing'))}});
  document.head.prepend(link);
});

/** @param {boolean} moved the address changed: the heading takes the focus */
async function show(moved) {
  const turn = ++wanted;
  const pair = location.hash.match(/^#pair=(.+)$/);
  try {
    if (pair) {
      await post('/api/pair', {secret: pair[1]});
      history.replaceState(null, '', '#/');
    }
    if (!common) {
      if (location.hash.length < 3) askEarly();
      const [session, catalog] = await Promise.all([get('/api/session'), get('/api/catalog'), drawingStyle()]);
      common = {session, catalog};
    }
    const path = location.hash.replace(/^#/, '') || '/';
    if (path === '/' && !common.session.lot) {
      location.replace('#/board/.');
      return;
    }
    const {view, ways} = await viewFor(path, common);
    if (turn !== wanted) {
      view.leave?.();
      return;
    }
    leave?.();
    leave = view.leave;
    document.title = `${view.title} · Lieflat`;
    // All at once, so that nothing moves once it is seen.
    showHead();
    showFoot();
    const heading = h('h1', {tabindex: -1}, view.title);
    fill(content, ways, heading, view.element);
    if (moved) {
      heading.focus({preventScroll: true});
      scrollTo(0, 0);
      announce(view.title);
    }
  } catch (error) {
    if (turn !== wanted) return;
    leave?.();
    leave = undefined;
    showHead();
    showFoot();
    const place = h('div');
    fill(content, h('h1', {tabindex: -1}, pair ? 'This phone is not paired' : 'That did not work'), place);
    showRefusal(place, error);
  }
}

loadSettings();
addEventListener('hashchange', () => { void show(true); });
void show(false);
