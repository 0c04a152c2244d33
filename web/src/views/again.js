// The same places again, the old figures hidden until the new ones are in: then both, and whether the board has changed.

import {announce, button, field, fill, h} from '../dom.js';
import {run} from '../api.js';
import {withProgress} from '../progress.js';
import {currentUnit, length, numberOf, signedLength, size, sizeUnit, typedLength} from '../settings.js';
import {day} from '../words.js';

/** @typedef {import('../types.js').BoardRecord} BoardRecord */
/** @typedef {import('../types.js').Entry} Entry */
/** @typedef {{edge?: string, side?: string, at_mm?: number, x_mm?: number, y_mm?: number, go_mm?: number, no_go_mm?: number, gap_mm?: number, height_mm?: number, u_mm?: number}} Row */
/** @typedef {{name: string, before_mm: number, after_mm: number, change_mm: number, noise_mm: number, detectable: boolean}} Figure */
/** @typedef {{detectable: boolean, figures: Figure[]}} Change */
/** What one entry is read again for. @typedef {{entry: Entry, rows: boolean, strips: boolean, corner: boolean, referee: boolean}} Again */

const kRests = /** @type {Record<string, string>} */ ({upright: 'held upright', table: 'flat on a table', points: 'on rest points', free: 'its weight out of play'});

/** What `lieflat again` would compare with: of each kind of reading the newest that counts. @param {BoardRecord} record @returns {Again[]} */
export function readBefore(record) {
  const taken = new Set(record.entries.filter((entry) => entry.kind === 'void').map((entry) => String(entry.target)));
  const all = [...record.entries].reverse().filter((entry) => entry.kind === 'gauge' && !entry.voided && !taken.has(entry.id));
  const newest = (/** @type {(reading: any) => unknown} */ has) => all.find((entry) => has(entry.reading ?? {}))?.id;
  const rows = newest((one) => one.rows?.length), strips = newest((one) => one.strips), corner = newest((one) => one.corner), referee = newest((one) => one.referee);
  return all.map((entry) => ({entry, rows: entry.id === rows, strips: entry.id === strips, corner: entry.id === corner, referee: entry.id === referee}))
    .filter((one) => one.rows || one.strips || one.corner || one.referee).sort((a, b) => Number(b.rows) - Number(a.rows));
}

/** @param {Row} row */
function placeOf(row) {
  if (row.edge) return `${row.edge} ${row.at_mm === undefined ? 'middle' : `at ${size(row.at_mm)} ${sizeUnit()}`}, ${row.side === 'component' ? 'components' : 'solder side'}`;
  return `x ${size(row.x_mm ?? 0)}, y ${size(row.y_mm ?? 0)} ${sizeUnit()}`;
}

class SameAgain {
  /** @param {BoardRecord} record @param {Again} again */
  constructor(record, again) {
    this.record = record;
    this.again = again;
    const reading = again.entry.reading ?? {};
    this.said = h('div');
    this.temperature = this.box('temperature');
    const seen = new Set();
    /** @type {{row: Row, go: HTMLInputElement, noGo?: HTMLInputElement}[]} */
    this.rows = (again.rows ? /** @type {Row[]} */ (reading.rows) : []).filter((row) => !seen.has(placeOf(row)) && seen.add(placeOf(row))).map((row) => {
      const blades = row.gap_mm === undefined && row.height_mm === undefined;
      return {row, go: this.box(`${placeOf(row)}: ${blades ? 'blade that went in' : row.edge ? 'gap' : 'height'}`), noGo: blades ? this.box(`${placeOf(row)}: blade that did not go in`) : undefined};
    });
    /** @type {[string, string, HTMLInputElement][]} flag, words, box */
    this.forms = [];
    if (again.strips) this.forms.push(['tip-difference', `Far tips apart, strips of ${size(reading.strips.strip_length_mm)} ${sizeUnit()}`, this.box('Far tips apart')]);
    if (again.corner) this.forms.push(['fourth-corner', `Lift of corner ${reading.corner.corner}`, this.box(`Lift of corner ${reading.corner.corner}`)]);
    if (again.referee) this.forms.push(['highest', 'Highest point', this.box('Highest point')], ['lowest', 'Lowest point', this.box('Lowest point')]);
    this.element = h('section', {on: {keydown: (/** @type {KeyboardEvent} */ event) => this.enter(event)}}, h('h2', null, `As on ${day(again.entry.at)}, ${kRests[reading.rest] ?? ''}`),
      this.rows.length ? this.table() : null, h('div', {class: 'row'}, this.forms.map(([, words, box]) => field(`${words}, ${currentUnit()}`, box)), field('Room, °C', this.temperature)),
      this.said, h('div', {class: 'acts'}, button('Keep and compare', () => { void this.compare(); }, {class: 'main'})));
  }

  /** @param {string} words */
  box(words) {
    return h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off', 'aria-label': words});
  }

  table() {
    const pairs = this.rows.some((one) => one.noGo), unit = currentUnit();
    return h('div', {class: 'stations same'}, h('div', {class: 'station-row station-head', 'aria-hidden': 'true'}, h('span', {class: 'name'}, 'place'), h('span', null, pairs ? `went in, ${unit}` : `read, ${unit}`), h('span', null, pairs ? `did not, ${unit}` : '')),
      this.rows.map(({row, go, noGo}) => h('div', {class: 'station-row'}, h('span', {class: 'name'}, placeOf(row)), go, noGo ?? null)));
  }

  /** Enter goes on to the next box, with Shift back. @param {KeyboardEvent} event */
  enter(event) {
    if (event.key !== 'Enter' || !(event.target instanceof HTMLInputElement)) return;
    event.preventDefault();
    const boxes = [...this.element.querySelectorAll('input')];
    boxes[boxes.indexOf(event.target) + (event.shiftKey ? -1 : 1)]?.focus();
  }

  /** The rows as a sheet: each kind of row with its own columns, the others empty. */
  sheet() {
    if (!this.rows.length) return '';
    const along = Boolean(this.rows[0].row.edge);
    const head = along ? 'edge,side,at_mm,go_mm,no_go_mm,gap_mm,u_mm' : 'x_mm,y_mm,go_mm,no_go_mm,height_mm,u_mm';
    return [head, ...this.rows.map(({row, go, noGo}) => {
      const place = along ? `${row.edge},${row.side ?? 'solder'},${row.at_mm ?? ''}` : `${row.x_mm},${row.y_mm}`;
      return `${place},${noGo ? `${typedLength(go.value)},${typedLength(noGo.value)},,` : `,,${typedLength(go.value)},${row.u_mm ?? ''}`}`;
    })].join('\n') + '\n';
  }

  async compare() {
    const empty = this.rows.find(({go, noGo}) => !(go.value.trim() || noGo?.value.trim())), form = this.forms.find(([, , box]) => !Number.isFinite(numberOf(box.value)));
    if (empty || form) {
      fill(this.said, h('p', {role: 'alert'}, `Not read yet: ${empty ? placeOf(empty.row) : form?.[1]}. All that was read then is read again.`));
      (empty?.go ?? form?.[2])?.focus();
      return;
    }
    /** @type {Record<string, string>} */
    const flags = {};
    for (const [flag, , box] of this.forms) flags[flag] = flag === 'fourth-corner' ? `${this.again.entry.reading.corner.corner}=${typedLength(box.value)}` : typedLength(box.value);
    if (this.temperature.value.trim()) flags.temperature = this.temperature.value.trim();
    const got = await withProgress(this.said, 'Writing them down', () => run(this.record.id, 'again', {flags, input: this.sheet()}));
    if (!got) return;
    fill(this.element, h('h2', null, `${day(this.again.entry.at)} and today`), changeWords(got.change));
    announce(got.change.detectable ? 'The board has changed' : 'No detectable change');
  }
}

/** @param {Change} change */
function changeWords(change) {
  return h('div', null, h('p', null, h('strong', null, change.detectable ? 'The board has changed.' : 'No detectable change.')),
    h('table', {class: 'stack'}, h('caption', null, 'Plus is towards the components; a difference below the noise cannot be told from reading error'),
      h('thead', null, h('tr', null, ['What', 'Then', 'Today', 'Difference', 'Noise', 'So'].map((one) => h('th', {scope: 'col'}, one)))),
      h('tbody', null, change.figures.map((one) => h('tr', null, h('th', {scope: 'row'}, one.name), h('td', {'data-label': 'Then'}, length(one.before_mm)), h('td', {'data-label': 'Today'}, length(one.after_mm)),
        h('td', {'data-label': 'Difference'}, signedLength(one.change_mm)), h('td', {'data-label': 'Noise'}, length(one.noise_mm)), h('td', {'data-label': 'So'}, one.detectable ? h('strong', null, 'changed') : 'no detectable change'))))));
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function againView({record}) {
  const before = readBefore(record);
  return {title: `${record.label}: the same again`, element: h('div', null,
    before.length ? h('p', null, 'The same places, tools and fittings as last time. What was read then stays hidden until the new figures are in, so that it cannot lead the hand.')
      : h('p', null, 'Nothing was read on this board yet: begin with its readings.'),
    before.map((one) => new SameAgain(record, one).element),
    h('p', null, h('a', {href: `#/board/${record.id}/holds`}, 'What changed over the days')))};
}
