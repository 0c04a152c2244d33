// Photos: from this machine or from a paired phone, each told at once what was seen; then heights from the lay sheet,
// or a gap pointed at by three taps.

import {announce, button, drawingOf, field, fill, h, oneOf, select} from '../dom.js';
import {boardPath, get, run, upload} from '../api.js';
import {Picture} from '../picture.js';
import {showRefusal, withProgress} from '../progress.js';
import {length} from '../settings.js';

/** @typedef {import('../types.js').BoardRecord} BoardRecord */
/** @typedef {import('../types.js').PhotoCheck} PhotoCheck */
/** @typedef {import('../picture.js').Px} Px */

const kViews = ['from the AB side, looking down by about 50 degrees', 'from the BC side, as steep', 'from the CD side, as steep', 'from the DA side, as steep', 'from straight above'];
const kTaps = ['one end of the edge', 'its other end', 'where the gap is widest'];

/** @param {BoardRecord} record @param {string} photo */
const urlOf = (record, photo) => `${boardPath(record.id)}/photos/${encodeURIComponent(photo.replace(/^photos\//, ''))}`;

/** A drawing that the program left beside the photos. @param {string} photo */
const isDrawing = (photo) => photo.endsWith('.svg');

/** @param {import('../types.js').Refusal | string | undefined} one */
const refusalWords = (one) => one === undefined ? '' : typeof one === 'string' ? one : [one.message, one.remedy].filter(Boolean).join('. ');

/** What was seen on a photo. @param {PhotoCheck | undefined} check @param {string} pose */
function seenWords(check, pose) {
  if (!check) return pose === 'lying' ? '' : 'Kept.';
  if (check.seen) return [check.seen, ...(check.advice ?? [])].join(' ');
  const bad = check.error ?? check.problem;
  if (bad || check.usable === false) return pose === 'lying' ? `Take it again: ${refusalWords(bad)}` : `Kept. ${refusalWords(bad)}`;
  const seen = [check.sheet ? `the sheet was found (${check.sheet})` : '', check.stickers !== undefined ? `${check.stickers} stickers seen` : '', check.edge_width_px !== undefined ? (check.edge_width_px < 3 ? 'sharp' : 'a little soft') : ''].filter(Boolean);
  return [seen.length ? `Good: ${seen.join(', ')}.` : 'It can be used.', ...(check.warnings ?? [])].join(' ');
}

class Photos {
  /** @param {BoardRecord} record @param {import('../types.js').Session} session */
  constructor(record, session) {
    this.record = record;
    this.session = session;
    this.pose = 'lying';
    /** @type {{photo: string, words: string, usable: boolean}[]} */
    this.all = record.photos.map((one) => ({photo: typeof one === 'string' ? one : one.photo, words: '', usable: true}));
    this.taken = 0;
    this.said = h('div', {'aria-live': 'assertive'});
    this.list = h('ul', {class: 'photos'});
    this.next = h('p', {role: 'status', class: 'big'});
    this.measured = h('div', {'aria-live': 'polite'});
    this.opened = h('div');
    this.pair = h('section', {class: 'no-print'});
    const box = h('input', {type: 'file', accept: 'image/*', multiple: true, on: {change: () => { void this.send([...(box.files ?? [])]).then(() => { box.value = ''; }); }}});
    this.edge = select(['AB', 'BC', 'CD', 'DA'].map((one) => ({value: one, text: one})), 'AB');
    this.side = select([{value: 'solder', text: 'the solder side'}, {value: 'component', text: 'the components'}], 'solder');
    this.element = h('div', null, h('div', {class: 'two'}, h('div', null,
      oneOf('What is taken', [{value: 'lying', text: 'the board lying on the lay sheet, with stickers'}, {value: 'rule', text: 'a steel rule along an upright edge'}, {value: 'standing', text: 'anything else, such as damage'}], this.pose, (value) => { this.pose = value; this.tell(); }),
      this.next, h('div', {class: 'file'}, field(session.phone ? 'Take or pick photos' : 'Pick photos on this machine', box)), this.said), this.pair),
    this.list, this.opened, this.measured);
    this.tell();
    this.draw();
    if (!session.phone) void this.showPairing();
  }

  tell() {
    this.next.textContent = this.pose === 'lying' ? (this.taken < kViews.length ? `Next: ${kViews[this.taken]}.` : 'All five views are in: measure them, or add more.')
      : this.pose === 'rule' ? 'Hold the rule against the edge, take it straight on.' : '';
  }

  /** @param {File[]} files */
  async send(files) {
    for (const file of files) {
      const name = file.name || `photo-${Date.now()}.jpg`;
      const got = await withProgress(this.said, `Sending ${name}`, ({signal}) => upload(`${boardPath(this.record.id)}/photos?name=${encodeURIComponent(name)}&pose=${this.pose}`, file, signal));
      if (!got) continue;
      const words = seenWords(got.check, this.pose);
      const usable = got.check?.usable !== false && !got.check?.error;
      if (usable && this.pose === 'lying') ++this.taken;
      this.all.unshift({photo: got.photo, words, usable});
      fill(this.said, h('p', {class: 'seen'}, h('strong', null, `${name}: `), words));
      announce(words);
      this.tell();
      this.draw();
    }
  }

  draw() {
    fill(this.list, this.all.map((one) => {
      const name = one.photo.replace(/^photos\//, '');
      const drawn = isDrawing(one.photo);
      return h('li', null, h('img', {src: urlOf(this.record, one.photo), alt: drawn ? `what the photos showed: ${name}` : `photo ${name}`, loading: 'lazy', width: 320, height: 240}), h('p', null, h('strong', null, name)), one.words ? h('p', {class: 'small'}, one.words) : null,
        drawn ? h('p', {class: 'small'}, 'What the photos showed, drawn; no photo.') : button('Point at the gap on it', () => this.point(one.photo), {class: 'word', 'aria-label': `Point at the gap on it: ${name}`}));
    }));
    if (this.all.filter((one) => !isDrawing(one.photo)).length > 1) this.list.append(h('li', null, button('Measure the heights from the usable photos', () => { void this.measure(); }, {class: 'main'})));
  }

  async measure() {
    const words = this.all.filter((one) => one.usable && !isDrawing(one.photo) && (one.words || this.taken === 0)).map((one) => one.photo);
    const got = /** @type {any} */ (await withProgress(this.measured, 'Measuring the photos', (options) => run(this.record.id, 'photo', {words, flags: {pose: 'lying'}}, options)));
    if (got) fill(this.measured, h('p', null, `${got.stations?.length ?? 0} heights are on record${got.not_proved ? '; the accuracy on real phones is not yet proved' : ''}. `, h('a', {href: `#/board/${this.record.id}`}, 'See the board')));
  }

  /** Three taps on a photo of the rule. @param {string} photo */
  point(photo) {
    /** @type {Px[]} */
    const taps = [];
    const words = h('p', {role: 'status'}, `Tap ${kTaps[0]}.`);
    const result = h('div', {'aria-live': 'polite'});
    const picture = new Picture(urlOf(this.record, photo), photo.replace(/^photos\//, ''), (at) => {
      if (taps.length === 3) return;
      taps.push(at);
      picture.show(taps, (i) => String(i + 1));
      words.textContent = taps.length < 3 ? `Now ${kTaps[taps.length]}.` : 'Three places: they can be measured, or taken again.';
      go.disabled = taps.length < 3;
    });
    const go = button('Measure this gap', () => { void this.measureTaps(photo, taps, result); }, {class: 'main', disabled: true});
    fill(this.opened, h('h2', null, 'Point at the gap'), h('div', {class: 'row'}, field('Edge', this.edge), field('The rule touches', this.side)), words, picture.element,
      h('div', {class: 'acts'}, go, button('Take them again', () => { taps.length = 0; picture.show([], () => ''); words.textContent = `Tap ${kTaps[0]}.`; go.disabled = true; }, {class: 'word'})), result);
    this.opened.scrollIntoView({block: 'start'});
  }

  /** @param {string} photo @param {Px[]} taps @param {HTMLElement} result */
  async measureTaps(photo, taps, result) {
    const flags = {pose: 'standing', edge: this.edge.value, side: this.side.value, tap: taps.map((one) => one.join(','))};
    const got = /** @type {any} */ (await withProgress(result, 'Measuring the gap', (options) => run(this.record.id, 'photo', {words: [photo], flags}, options)));
    if (got) fill(result, h('p', null, `Gap along ${got.edge}: ${length(Math.abs(got.departure_mm))} ± ${length(got.u95_mm)}; it is on record. `, h('a', {href: `#/board/${this.record.id}`}, 'See the board')));
  }

  async showPairing() {
    if (!this.session.lan) {
      fill(this.pair, h('h2', null, 'The phone as the camera'), h('p', null, 'Start the program as lieflat open FOLDER --lan ADDRESS, with the address of this machine in your own network, and a code to scan stands here.'));
      return;
    }
    const place = h('div');
    const draw = async () => {
      try {
        const got = await get('/api/pairing');
        const code = h('div', {class: 'qr'}, drawingOf(got.qr_svg));
        code.querySelector('svg')?.setAttribute('aria-label', 'code for the phone\'s camera');
        code.querySelector('svg')?.setAttribute('role', 'img');
        fill(place, code, h('p', {class: 'small'}, 'or type ', h('code', {class: 'pair-link'}, got.url)));
      } catch (error) {
        showRefusal(place, error);
      }
    };
    fill(this.pair, h('h2', null, 'The phone as the camera'), h('p', null, 'Scan this with the phone; it works once. Both must be in the same network; plain http can be overheard there.'), place,
      button('A new code', () => { void draw(); }, {class: 'word'}));
    await draw();
  }
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function photosView({record, session}) {
  const photos = new Photos(record, session);
  return {title: `Photos of ${record.label}`, element: photos.element};
}
