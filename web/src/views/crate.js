// Every board as a small drawing of its worst edge, with verdict, recommendation and next action.

import {fill, h, select, field} from '../dom.js';
import {get} from '../api.js';
import {withProgress} from '../progress.js';
import {edgeThumb} from '../edge_thumb.js';
import {bare, currentUnit} from '../settings.js';
import {doWords, interval, percent, sentence, verdictWords, worksWords} from '../words.js';

/** @typedef {import('../types.js').LotRow} LotRow */

/** @type {Promise<import('../types.js').Lot> | undefined} */
let early;
/** Asks for the boards while the page is still on its way to showing them. */
export function askEarly() {
  early = get('/api/lot?kept=1');
  early.catch(() => undefined);  // Told by the view that awaits it.
}

let filter = '', show = 'all', order = 'urgent';

/** @param {LotRow} row */
const worst = (row) => Math.max(Math.abs(row.bow_percent ?? -1), row.twist_percent ?? -1);

/** @param {LotRow[]} rows */
function chosen(rows) {
  const text = filter.trim().toLowerCase();
  const kept = rows.filter((row) => (!text || `${row.label} ${row.next_action ?? ''} ${doWords(row.recommended ?? '')}`.toLowerCase().includes(text))
    && (show === 'all' || row.verdicts?.bow === show || row.verdicts?.twist === show || row.works === show));
  if (order === 'name') kept.sort((a, b) => a.label.localeCompare(b.label, undefined, {numeric: true}));
  if (order === 'bend') kept.sort((a, b) => worst(b) - worst(a));
  return kept;
}

/** @param {LotRow} row */
function bowLine(row) {
  if (row.bow_percent === undefined) return h('p', null, 'Bow not measured yet');
  const part = row.verdicts.bow === 'not-measured';  // Some edges only: what they say is no bow of the board.
  return h('p', null, `Bow${part && row.worst_edge ? ` of ${row.worst_edge.edge}` : ''} ${percent(row.bow_percent)} (${interval(row.bow_interval95_percent)}) `,
    h('span', {class: row.verdicts.bow}, part ? 'not all edges are read' : verdictWords(row.verdicts.bow)));
}

/** @param {LotRow} row */
function rowOf(row) {
  const link = h('a', {class: 'name', href: `#/board/${encodeURIComponent(row.folder)}`}, row.label);
  if (row.pending) return h('li', null, h('div', null, edgeThumb({limit: 0.75, verdict: 'not-measured', words: 'being worked out'})), h('div', null, link, h('p', {class: 'soft'}, worksWords(row.works))), h('p', {class: 'soft'}, 'being worked out'));
  if (row.problem) return h('li', null, h('div'), h('div', null, link), h('p', {class: 'over'}, row.problem));
  const limit = row.limit_percent ?? 0.75;
  const gap = row.worst_edge ? `, gap ${bare(row.worst_edge.gap_mm)} ${currentUnit()} along ${row.worst_edge.edge}` : '';
  const words = row.bow_percent === undefined ? 'Its edges were not read yet'
    : `Worst edge: ${percent(row.bow_percent)}${gap}, limit ${limit} %, ${verdictWords(row.verdicts.bow)}`;
  return h('li', null,
    h('div', null, edgeThumb({percent: row.bow_percent, limit, verdict: row.verdicts.bow, words})),
    h('div', null, link, h('p', {class: 'soft'}, worksWords(row.works))),
    h('div', null, bowLine(row),
      h('p', null, row.twist_percent === undefined ? 'Twist not measured yet' : `Twist ${percent(row.twist_percent)} (${interval(row.twist_interval95_percent)}) `,
        row.twist_percent === undefined ? null : h('span', {class: row.verdicts.twist}, verdictWords(row.verdicts.twist))),
      h('p', null, h('strong', null, `${doWords(row.recommended)}. `), sentence(row.next_action), row.due ? ` Due ${row.due.slice(0, 10)}.` : '')));
}

/** @param {import('../main.js').Context} context @returns {Promise<import('../main.js').View>} */
export async function crateView({session}) {
  // What is kept comes at once; boards that were changed since are assessed meanwhile.
  let lot = /** @type {import('../types.js').Lot} */ (await (early ?? get('/api/lot?kept=1')));
  early = undefined;
  const control = new AbortController();
  const list = h('ul', {class: 'boards'});
  const count = h('p', {class: 'sub', 'aria-live': 'polite'});
  const draw = () => {
    const rows = chosen([...lot.rows]);
    count.textContent = rows.length === lot.rows.length ? `${rows.length} ${rows.length === 1 ? 'board' : 'boards'}. Each drawing is the worst edge over a ruler, heights 12 times larger; the stack of blades is the limit.`
      : `${rows.length} of ${lot.rows.length} boards`;
    fill(list, rows.map(rowOf));
  };
  const search = h('input', {type: 'search', value: filter, autocomplete: 'off', on: {input: () => { filter = search.value; draw(); }}});
  const which = select([{value: 'all', text: 'all'}, {value: 'over', text: 'over the limit'}, {value: 'undecided', text: verdictWords('undecided')}, {value: 'not-measured', text: verdictWords('not-measured')},
    {value: 'within', text: 'within the limit'}, {value: 'no', text: worksWords('no')}, {value: 'untested', text: worksWords('untested')}], show, (value) => { show = value; draw(); });
  const by = select([{value: 'urgent', text: 'most urgent first'}, {value: 'bend', text: 'most bent first'}, {value: 'name', text: 'by name'}], order, (value) => { order = value; draw(); });
  draw();
  const said = h('div');
  if (lot.rows.some((row) => row.pending)) {
    void withProgress(said, 'Working out the boards that were changed', ({signal}) => get('/api/lot', signal)).then((fresh) => {
      if (!fresh || control.signal.aborted) return;
      lot = fresh;
      draw();
    });
  }
  return {title: session.name, leave: () => control.abort(), element: h('div', null, count, said,
    lot.rows.length ? h('div', {class: 'row no-print'}, field('Find', search), field('Show', which), field('In order', by))
      : h('p', null, 'No board yet. ', h('a', {href: '#/new'}, 'Start the first one'), '.'), list)};
}
