// Readings at the plate: tap a station, type the blade that went in and the one that did not, Enter moves on. Bow,
// twist, edges and surface follow while typing; what is missing is lit next. What was typed is kept until it is saved.

import {announce, button, field, fill, h, oneOf, s, select} from '../dom.js';
import {boardPath, post, run} from '../api.js';
import {BoardDrawing} from '../board_drawing.js';
import {bowAndTwist, edgeFigures, missingWords} from '../figures.js';
import {History} from '../history.js';
import {Live} from '../live.js';
import {showRefusal, withProgress} from '../progress.js';
import {currentUnit, forget, keep, keptValue, typedLength} from '../settings.js';
import {isTyped, nextOf, problemOf, setsOf, sheetOf, stationsOf, whole} from '../stations.js';
import {readBefore} from './again.js';
import {day} from '../words.js';

/** @typedef {import('../stations.js').Station} Station */
/** @typedef {import('../stations.js').TypedAll} TypedAll */
/** @typedef {import('../types.js').Assessment} Assessment */
/** @typedef {import('../types.js').BoardRecord} BoardRecord */
/** @typedef {import('../types.js').Catalog} Catalog */
/** @typedef {{flags: Record<string, string>, input: string}} Trial */
/**
 * @typedef {object} Draft
 * @property {import('../stations.js').Rest} rest @property {string} set @property {'blades'|'height'} by @property {TypedAll} typed
 * @property {Record<string, string>} more flags besides: temperature, instrument, strips, ...
 */

const kRests = [
  {value: 'upright', text: 'upright', hint: 'on a long edge, a straightedge along each edge'}, {value: 'table', text: 'flat on a table'},
  {value: 'points', text: 'on rest points'}, {value: 'free', text: 'weight already out', hint: 'such as imported heights'},
];

/** @returns {Draft} */
const freshDraft = () => ({rest: 'upright', set: 'middles', by: 'blades', typed: {}, more: {}});

class Readings {
  /** @param {BoardRecord} record @param {Catalog} catalog */
  constructor(record, catalog) {
    this.record = record;
    this.catalog = catalog;
    this.keptAs = `readings ${record.id}`;
    this.draft = freshDraft();
    try {
      this.draft = {...this.draft, ...JSON.parse(keptValue(this.keptAs) ?? '{}')};
    } catch {
      forget(this.keptAs);
    }
    this.history = new History(JSON.stringify(this.draft), (state) => { this.draft = JSON.parse(state); this.drawAll(); this.changed(false); });
    const path = `${boardPath(record.id)}/live`;
    /** @type {Live<Trial, Assessment>} */
    this.live = new Live({
      quick: (trial) => post(path, {...trial, quick: true}), full: (trial, signal) => post(path, {...trial, quick: false}, signal),
      show: (assessment) => this.show(assessment), refuse: (error) => showRefusal(this.said, error),
    });
    /** @type {string[]} */
    this.missing = [];
    /** @type {Station[]} */
    this.stations = [];
    this.said = h('div');
    this.form = h('div');
    this.figures = h('div', {'aria-live': 'off'});
    this.edges = h('div');
    this.sheet = h('div');
    this.rows = h('div', {class: 'stations'});
    this.element = h('div', {class: 'two readings', on: {keydown: (/** @type {KeyboardEvent} */ event) => this.history.key(event)}},
      h('div', {class: 'left'}, h('div', {class: 'stay'}, this.sheet), h('div', {class: 'follow'}, this.figures, this.edges)),
      h('div', {class: 'typed'}, this.form));
    this.drawAll();
  }

  /** @param {boolean} [remember] */
  changed(remember = true) {
    keep(this.keptAs, JSON.stringify(this.draft));
    if (remember) this.history.add(JSON.stringify(this.draft));
    this.light();
    this.live.change(this.trial(whole(this.draft.typed, this.draft.by)));
  }

  /** @returns {Record<string, string>} */
  flags() {
    const all = /** @type {Record<string, string>} */ ({rest: this.draft.rest});
    for (const [flag, value] of Object.entries(this.draft.more)) {
      if (value.trim() && (this.draft.rest === 'upright' || !flag.startsWith('strip') && !flag.startsWith('tip'))) all[flag] = value.trim();
    }
    if (all['tip-difference'] === undefined || all['strip-length'] === undefined) ['strips', 'strip-length', 'tip-difference', 'tip-u'].forEach((flag) => { delete all[flag]; });
    else all.strips ??= 'DA,BC';
    return all;
  }

  /** @param {TypedAll} typed */
  trial(typed) {
    const input = sheetOf(this.stations, typed, this.draft.by, this.draft.rest, this.draft.more['gap-u'] ?? '0.05');
    const flags = this.flags();
    delete flags['gap-u'];
    return input || flags.strips ? {flags, input} : undefined;
  }

  drawAll() {
    this.stations = stationsOf(this.record.board, this.draft.rest, this.draft.set);
    const set = select(setsOf(this.draft.rest), this.draft.set, (value) => { this.draft.set = value; this.drawAll(); this.changed(); });
    const before = readBefore(this.record)[0];
    fill(this.form, before ? h('p', null, `Read last on ${day(before.entry.at)}; what you type here is added to it. `, h('a', {href: `#/board/${this.record.id}/again`}, 'Read the same places again: did it change?')) : null, oneOf('How is the board held', kRests, this.draft.rest, (value) => this.holdAs(value)),
      h('div', {class: 'row'}, field('Where', set),
        field('Read with', select([{value: 'blades', text: 'blades: in, not in'}, {value: 'height', text: this.draft.rest === 'upright' ? 'a gap as one figure' : 'heights'}], this.draft.by, (value) => {
          this.draft.by = value === 'height' ? 'height' : 'blades';
          this.drawAll();
          this.changed();
        }))),
      this.draft.by === 'blades' ? h('p', {class: 'hint'}, 'Feeler blades: the thickest that goes in and the thinnest that does not; stacked ones are added up, such as 0.5+0.3. Keep the straightedge clear of lead tails.') : null,
      this.rows, this.draft.rest === 'upright' ? this.strips() : null, this.more(), this.said,
      h('div', {class: 'acts'}, button('Keep these readings', () => { void this.save(); }, {class: 'main'}), this.history.element,
        button('Clear', () => { this.draft.typed = {}; this.drawAll(); this.changed(); }, {class: 'word'})));
    this.drawRows();
    this.drawSheet();
    this.light();
  }

  /** @param {string} value */
  holdAs(value) {
    this.draft.rest = /** @type {import('../stations.js').Rest} */ (value);
    this.draft.set = setsOf(this.draft.rest)[0].value;
    this.drawAll();
    this.changed();
  }

  drawRows() {
    const unit = currentUnit();
    const heads = this.draft.by === 'blades' ? [`went in, ${unit}`, `did not, ${unit}`] : [this.draft.rest === 'upright' ? `gap, ${unit}` : `height, ${unit}`, ''];
    fill(this.rows, h('div', {class: 'station-row station-head', 'aria-hidden': 'true'}, h('span', {class: 'name'}, 'place'), heads.map((one) => h('span', null, one)),
      h('span', {class: 'touches'}, this.draft.rest === 'upright' ? 'straightedge touches' : '')), this.stations.map((one) => this.row(one)));
  }

  /** @param {Station} station */
  row(station) {
    const typed = this.draft.typed[station.key] ?? {go: '', noGo: '', side: 'solder'};
    const note = h('span', {class: 'hint over', role: 'status'});
    const input = (/** @type {'go' | 'noGo'} */ which, /** @type {string} */ words) => {
      const box = h('input', {value: typed[which], inputmode: 'decimal', autocomplete: 'off', 'aria-label': `${station.name}: ${words}`, 'data-station': station.key, 'data-which': which,
        on: {input: () => { this.set(station, {[which]: box.value}); note.textContent = problemOf(this.draft.typed[station.key], this.draft.by); },
          keydown: (/** @type {KeyboardEvent} */ event) => this.enter(event, box), focus: () => this.mark(station.key)}});
      return box;
    };
    const side = this.draft.rest !== 'upright' ? null : select([{value: 'solder', text: 'solder side'}, {value: 'component', text: 'components'}], typed.side, (value) => this.set(station, {side: value}));
    side?.setAttribute('aria-label', `${station.name}: the straightedge touches`);
    return h('div', {class: 'station-row', 'data-row': station.key}, h('span', {class: 'name'}, station.name),
      this.draft.by === 'blades' ? [input('go', 'blade that went in'), input('noGo', 'blade that did not go in')] : [input('go', this.draft.rest === 'upright' ? 'gap' : 'height'), h('span')],
      side ? h('span', {class: 'touches'}, side) : h('span'), note);
  }

  /** @param {Station} station @param {Partial<import('../stations.js').Typed>} change */
  set(station, change) {
    this.draft.typed[station.key] = {...{go: '', noGo: '', side: 'solder'}, ...this.draft.typed[station.key], ...change};
    this.changed();
  }

  /** Enter goes to the next box, and from the last one of a place to the place that is lit. @param {KeyboardEvent} event @param {HTMLInputElement} box */
  enter(event, box) {
    if (event.key !== 'Enter') return;
    event.preventDefault();
    const boxes = /** @type {HTMLInputElement[]} */ ([...this.rows.querySelectorAll('input')]);
    const at = boxes.indexOf(box), following = boxes[at + (event.shiftKey ? -1 : 1)];
    const here = box.dataset.station;
    if (following && following.dataset.station === here) {
      following.focus();
      return;
    }
    const next = event.shiftKey ? undefined : this.nextAfter(here);
    const target = next ? boxes.find((one) => one.dataset.station === next.key) : following;
    if (target) target.focus();
    else announce('All places are read');
  }

  /** The next empty place after this one, around; so that the hand walks along the board. @param {string | undefined} key */
  nextAfter(key) {
    const at = this.stations.findIndex((one) => one.key === key);
    const around = [...this.stations.slice(at + 1), ...this.stations.slice(0, at)];
    return around.find((one) => !isTyped(this.draft.typed[one.key]));
  }

  drawSheet() {
    this.drawing = new BoardDrawing(this.record.board, `${this.record.label}: the places to read`);
    this.drawing.showParts(this.record.board.parts);
    for (const station of this.stations) {
      const [x, y] = this.drawing.toPx(station.at);
      const go = () => { /** @type {HTMLInputElement | null} */ (this.rows.querySelector(`[data-station="${station.key}"]`))?.focus(); };
      this.drawing.over.append(s('g', {class: 'press-on', role: 'button', tabindex: 0, 'aria-label': `Read ${station.name}`, 'data-key': station.key,
        on: {click: go, keydown: (/** @type {KeyboardEvent} */ event) => { if (event.key === 'Enter' || event.key === ' ') { event.preventDefault(); go(); } }}},
      s('circle', {class: 'reach', cx: x, cy: y, r: 24}), s('circle', {class: 'ring', cx: x, cy: y, r: 6})));
    }
    fill(this.sheet, this.drawing.svg);
  }

  /** @param {string} key the place whose box has the focus */
  mark(key) {
    this.drawing?.over.querySelectorAll('.press-on').forEach((one) => one.classList.toggle('here', one.getAttribute('data-key') === key));
  }

  /** Lights what is missing next. */
  light() {
    const next = nextOf(this.stations, this.draft.typed, this.missing);
    this.drawing?.over.querySelectorAll('.press-on').forEach((one) => {
      const key = one.getAttribute('data-key') ?? '';
      const done = isTyped(this.draft.typed[key]);
      one.classList.toggle('done', done);
      one.classList.toggle('next', key === next?.key);
      const station = this.stations.find((entry) => entry.key === key);
      one.setAttribute('aria-label', `Read ${station?.name ?? ''}${done ? ', read' : key === next?.key ? ', next' : ''}`);
    });
    this.rows.querySelectorAll('[data-row]').forEach((row) => row.classList.toggle('lit', row.getAttribute('data-row') === next?.key));
  }

  /** @param {Assessment} assessment */
  show(assessment) {
    fill(this.said);
    this.missing = [...(assessment.flatness.not_measured ?? []), assessment.flatness.next_reading ?? ''];
    fill(this.figures, bowAndTwist(assessment), assessment.preview ? null : h('p', {class: 'small'}, h('strong', null, 'Do now: '), assessment.answers?.at(-1)?.text ?? assessment.because[0] ?? ''), missingWords(assessment));
    fill(this.edges, edgeFigures(assessment, assessment.drawings?.edges ?? {}));
    if (assessment.surface?.height_mm && this.drawing) this.drawing.showLines(assessment.surface, assessment.surface.height_mm, 'height');
    this.light();
    this.element.dataset.shown = assessment.preview ? 'preview' : 'full';
    this.element.dispatchEvent(new CustomEvent('shown', {bubbles: true}));
  }

  /** @param {string} flag @param {string} words @param {string} [hint] @param {string} [mode] */
  flagField(flag, words, hint, mode = 'decimal') {
    const lengths = ['tip-difference', 'strip-length', 'rest-height', 'lead-tail-mm', 'tip-u'].includes(flag);
    const box = h('input', {class: 'short', value: this.draft.more[flag] ?? '', inputmode: mode, autocomplete: 'off',
      on: {input: () => { this.draft.more[flag] = lengths ? typedLength(box.value) : box.value; this.changed(); }}});
    return field(lengths ? `${words}, ${currentUnit()}` : words, box, hint);
  }

  strips() {
    return h('details', {open: Boolean(this.draft.more['tip-difference'])}, h('summary', null, 'Twist, by two straight strips'),
      h('p', {class: 'hint'}, 'Two straight strips of one length along DA and BC. Sight their tips level at the A end; the difference at the far end is positive when the tip past C stands nearer the component side.'),
      h('div', {class: 'row'}, this.flagField('strip-length', 'Their length'), this.flagField('tip-difference', 'Far tips apart'), this.flagField('tip-u', 'Give or take')));
  }

  more() {
    const named = (/** @type {string} */ flag, /** @type {string} */ words, /** @type {import('../types.js').Named[]} */ list) => field(words,
      select([{value: '', text: 'the usual'}, ...list.map((one) => ({value: one.name, text: one.plain}))], this.draft.more[flag] ?? '', (value) => { this.draft.more[flag] = value; this.changed(); }));
    const lying = this.draft.rest === 'table' || this.draft.rest === 'points';
    return h('details', null, h('summary', null, 'How it was held and read'), h('div', {class: 'row'},
      this.flagField('temperature', 'Room, °C', 'let it lie an hour at room temperature first'), this.flagField('fitted', 'What was fitted', 'cooler, cards, clip', 'text'),
      named('instrument', 'Instrument', this.catalog.instruments), named('surface', this.draft.rest === 'upright' ? 'Straightedge' : 'It lay on', this.catalog.surfaces),
      this.draft.by === 'height' ? this.flagField('gap-u', 'Each give or take, mm') : null,
      this.draft.rest === 'points' ? [this.flagField('at', 'Rest points', 'A,B,CD or 61:49,244:49,152:195', 'text'), this.flagField('rest-height', 'Height of the rests')] : null,
      lying ? [this.flagField('lead-tail-mm', 'Lead tails stand out'),
        field('Face below', select([{value: 'solder', text: 'solder side'}, {value: 'component', text: 'components'}], this.draft.more.down ?? 'solder', (value) => { this.draft.more.down = value; this.changed(); })),
        field('What was read', select([{value: 'under', text: 'the gap beneath'}, {value: 'over', text: 'height of the upper face'}], this.draft.more.reading ?? 'under', (value) => { this.draft.more.reading = value; this.changed(); }))] : null));
  }

  async save() {
    const trial = this.trial(this.draft.typed);
    if (!trial) {
      fill(this.said, h('p', {role: 'alert'}, 'Nothing was typed yet.'));
      return;
    }
    this.live.stop();
    const kept = await withProgress(this.said, 'Writing them down', () => run(this.record.id, 'gauge', trial));
    if (!kept) return;
    forget(this.keptAs);
    announce('Kept');
    location.hash = `#/board/${this.record.id}`;
  }
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function readingsView({record, catalog}) {
  const readings = new Readings(record, catalog);
  if (Object.keys(readings.draft.typed).length) readings.changed(false);
  return {title: `Readings of ${record.label}`, element: readings.element, leave: () => readings.live.stop()};
}

