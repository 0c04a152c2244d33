// Marks of damage: placed on the sheet or on a photo, measured, held against the published criteria of their kind.

import {announce, button, field, fill, h, oneOf, s, select} from '../dom.js';
import {boardPath, run} from '../api.js';
import {BoardDrawing} from '../board_drawing.js';
import {addMark} from '../marks.js';
import {Picture, mapOf, mapped} from '../picture.js';
import {withProgress} from '../progress.js';
import {currentUnit, length, size, sizeUnit, typedLength} from '../settings.js';
import {doWords, outcomeWords, withoutFlags} from '../words.js';

/** @typedef {import('../types.js').Mark} Mark */
/** @typedef {import('../types.js').Point} Point */
/** @typedef {import('../types.js').BoardRecord} BoardRecord */
/** @typedef {import('../types.js').Catalog & {damage_measures?: {name: string, plain: string, unit?: string}[], damage_aspects?: string[]}} Catalog */

const kDepths = [{value: '', text: 'not known'}, {value: 'coating', text: 'only the coating'}, {value: 'copper', text: 'into the copper'}, {value: 'laminate', text: 'into the board'}, {value: 'through', text: 'right through'}];

/** @param {BoardRecord} record @param {string} photo */
const photoUrl = (record, photo) => `${boardPath(record.id)}/photos/${encodeURIComponent(photo.replace(/^photos\//, ''))}`;

class Damage {
  /** @param {BoardRecord} record @param {Catalog} catalog */
  constructor(record, catalog) {
    this.record = record;
    this.catalog = catalog;
    /** @type {Mark[]} */
    this.marks = [];
    /** @type {Point[]} */
    this.points = [];
    this.photo = '';
    this.said = h('div');
    this.sheet = h('div');
    this.picture = h('div');
    this.list = h('div', {'aria-live': 'polite'});
    this.sizeLine = h('p', {class: 'small', role: 'status'});
    this.cursor = /** @type {Point} */ ([0, 0]);
    this.side = 'component';
    this.form = this.makeForm();
    this.element = h('div', null, h('div', {class: 'two'},
      h('div', null, this.sheet, h('p', {class: 'hint'}, 'Tap where it is; tap again to draw on along it. By keyboard: arrow keys move the cross, Enter sets a place.'), this.sizeLine,
        h('div', {class: 'acts'}, button('Take the last place back', () => { this.points.pop(); this.draw(); }, {class: 'word'})), this.picture),
      h('div', null, this.form, this.said)), this.list);
    this.draw();
  }

  makeForm() {
    this.kind = select(this.catalog.damage_kinds.map((one) => ({value: one.name, text: one.trade && one.trade !== one.plain ? `${one.plain} (${one.trade})` : one.plain})), 'scratch');
    this.depth = select(kDepths, '');
    this.near = select([{value: '', text: 'none, or as placed'}, ...this.record.board.parts.map((part) => ({value: part.ref, text: part.ref}))], '');
    this.width = h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off'});
    this.note = h('input', {autocomplete: 'off'});
    const photos = this.record.photos.map((one) => typeof one === 'string' ? one : one.photo).filter((one) => !one.endsWith('.svg'));
    const photo = select([{value: '', text: 'none'}, ...photos.map((one) => ({value: one, text: one.replace(/^photos\//, '')}))], '', (value) => { this.photo = value; this.openPhoto(); });
    return h('form', {on: {submit: (/** @type {Event} */ event) => { event.preventDefault(); void this.add(); }}},
      field('What is it', this.kind),
      oneOf('On', [{value: 'component', text: 'the component side'}, {value: 'solder', text: 'the solder side'}], this.side, (/** @type {string} */ value) => { this.side = value; }),
      h('div', {class: 'row'}, field('On or beside the part', this.near), field('How deep', this.depth), field(`Width of the mark, ${currentUnit()}`, this.width, 'only where it is asked for')),
      h('div', {class: 'row'}, field('A photo of it', photo, photos.length ? undefined : 'photos come in under Photos'), field('In your own words', this.note)),
      h('div', {class: 'acts'}, h('button', {class: 'main', type: 'submit'}, 'Put it on record')));
  }

  /** The photo beside the sheet: its corners tapped once, places on it become places on the board. */
  openPhoto() {
    fill(this.picture);
    if (!this.photo) return;
    /** @type {import('../picture.js').Px[]} */
    const corners = [];
    const words = h('p', {role: 'status'}, 'To place the mark here: tap the board\'s corner A, then B, C and D.');
    const board = /** @type {Point[]} */ (this.record.board.corners_mm ?? this.record.board.outline_mm.slice(0, 4));
    const picture = new Picture(photoUrl(this.record, this.photo), `photo ${this.photo}`, (at) => {
      if (corners.length < 4) {
        corners.push(at);
        words.textContent = corners.length < 4 ? `Now corner ${'ABCD'[corners.length]}.` : 'Now tap along the mark.';
      } else {
        const map = mapOf(corners, board);
        if (map) { this.points.push(mapped(map, at)); this.draw(); }
        else words.textContent = 'Three of the corners lie on one line: take them again.';
      }
      picture.show(corners, (i) => 'ABCD'[i]);
    });
    fill(this.picture, words, picture.element, button('Take the corners again', () => { corners.length = 0; picture.show([], () => ''); words.textContent = 'Tap the corner A.'; }, {class: 'word'}));
  }

  draw() {
    const drawing = new BoardDrawing(this.record.board, `${this.record.label}: marks of damage`);
    drawing.showParts(this.record.board.parts);
    this.marks.forEach((mark) => addMark(drawing, mark, this.record.board));
    if (this.points.length) {
      const [x, y] = drawing.toPx(this.points[this.points.length - 1]);
      drawing.over.append(s('path', {class: 'damage', d: this.points.length > 1 ? drawing.path(this.points) : `M${x - 4},${y}h8M${x},${y - 4}v8`}));
    }
    const hadFocus = this.drawing?.svg === document.activeElement;
    drawing.svg.setAttribute('tabindex', '0');
    drawing.svg.setAttribute('role', 'application');
    drawing.svg.classList.add('draw-here');
    drawing.svg.addEventListener('click', (event) => { if (event.detail) this.setPlace(drawing.inside(drawing.toMm(event))); });
    drawing.svg.addEventListener('keydown', (event) => this.key(event, drawing));
    this.drawing = drawing;
    fill(this.sheet, drawing.svg);
    if (hadFocus) drawing.svg.focus();
    const run = this.points.reduce((sum, p, i) => i ? sum + Math.hypot(p[0] - this.points[i - 1][0], p[1] - this.points[i - 1][1]) : 0, 0);
    this.sizeLine.textContent = this.points.length ? `At ${size(this.points[0][0])}, ${size(this.points[0][1])} ${sizeUnit()}${run ? `, ${length(run, 1)} long` : ''}` : 'No place set yet; a part beside it is enough where the kind says it all.';
  }

  /** @param {Point} at */
  setPlace(at) {
    this.points.push([Math.round(at[0] * 10) / 10, Math.round(at[1] * 10) / 10]);
    this.draw();
  }

  /** @param {KeyboardEvent} event @param {BoardDrawing} drawing */
  key(event, drawing) {
    const by = event.shiftKey ? 20 : 2;
    const step = /** @type {Record<string, Point>} */ ({ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, by], ArrowDown: [0, -by]})[event.key];
    if (step) {
      event.preventDefault();
      this.cursor = drawing.inside([this.cursor[0] + step[0], this.cursor[1] + step[1]]);
      const [x, y] = drawing.toPx(this.cursor);
      drawing.over.querySelector('.aim')?.remove();
      drawing.over.append(s('path', {class: 'aim', d: `M${x - 9},${y}h18M${x},${y - 9}v18`}));
      announce(`${size(this.cursor[0])}, ${size(this.cursor[1])}`);
    } else if (event.key === 'Enter' || event.key === ' ') {
      event.preventDefault();
      this.setPlace(this.cursor);
    }
  }

  async add() {
    /** @type {Record<string, unknown>} */
    const flags = {kind: this.kind?.value ?? 'scratch', side: this.side};
    if (this.near?.value) flags.near = this.near.value;
    if (this.depth?.value) flags.depth = this.depth.value;
    if (this.width?.value.trim()) flags.width = typedLength(this.width.value);
    if (this.note?.value.trim()) flags.note = this.note.value.trim();
    if (this.photo) flags.photo = this.photo;
    if (this.points.length) {
      flags.at = this.points[0].join(',');
      if (this.points.length > 1) flags.to = this.points.slice(1).map((one) => one.join(','));
    }
    const got = await withProgress(this.said, 'Holding it against the criteria', (options) => run(this.record.id, 'damage', {words: ['add'], flags}, options));
    if (!got) return;
    this.points = [];
    this.take(got);
  }

  /** @param {{marks: Mark[]}} got */
  take(got) {
    this.marks = got.marks;
    this.draw();
    fill(this.list, h('h2', null, 'On record'), this.marks.length ? this.marks.map((mark) => this.markOf(mark)) : h('p', null, 'No damage on record.'));
  }

  /** @param {Mark} mark */
  markOf(mark) {
    const kind = this.catalog.damage_kinds.find((one) => one.name === mark.kind)?.plain ?? mark.kind;
    const lines = /** @type {[string, string][]} */ ([['Because', mark.reasons.join('; ')], ['Still to say', withoutFlags(mark.missing.join('; '))], ['Stands against', mark.blocks.map((one) => `${one.options.map((name) => doWords(name).toLowerCase()).join(', ')}: ${one.why}`).join('; ')],
      ['Repair', mark.procedure ?? ''], ['Test', mark.tests.join('; ')], ['Source', mark.source]].filter(([, text]) => text));
    return h('article', {class: 'mark'}, h('h3', null, `${mark.number}: ${kind}${mark.near.length ? ` beside ${mark.near.join(', ')}` : ''}: `,
      h('span', {class: mark.outcome === 'defect' ? 'over' : mark.outcome === 'acceptable' ? 'within' : 'undecided'}, outcomeWords(mark.outcome)), mark.state === 'open' ? '' : ` (${mark.state})`),
    h('div', {class: mark.photo ? 'two' : ''}, h('dl', {class: 'answers'}, lines.map(([title, text]) => h('div', null, h('dt', null, title), h('dd', null, text)))),
      mark.photo ? h('img', {class: 'mark-photo', src: photoUrl(this.record, mark.photo), alt: `photo of mark ${mark.number}`}) : null),
    this.more(mark));
  }

  /** @param {Mark} mark */
  more(mark) {
    const measures = this.catalog.damage_measures ?? [], aspects = this.catalog.damage_aspects ?? [];
    const measure = select(measures.map((one) => ({value: one.name, text: `${one.plain ?? one.name}${one.unit ? `, ${one.unit}` : ''}`})), measures[0]?.name ?? ''), value = h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off'});
    const aspect = select([{value: '', text: 'no answer'}, ...aspects.map((one) => ({value: one, text: one.replaceAll('-', ' ')}))], '');
    const send = (/** @type {string[]} */ words, /** @type {Record<string, unknown>} */ flags) => withProgress(this.said, 'Holding it against the criteria', (options) => run(this.record.id, 'damage', {words, flags}, options)).then((got) => { if (got) this.take(got); });
    return h('details', null, h('summary', null, `Add to mark ${mark.number}, or say what became of it`), h('div', {class: 'row'},
      field('A size', measure), field('Its value', value), field('An answer', aspect),
      h('div', {class: 'field'}, button('Add it', () => { void send(['measure', mark.id], {...(value.value.trim() ? {measure: `${measure.value}=${value.value.trim()}`} : {}), ...(aspect.value ? {aspect: aspect.value} : {})}); }))),
    h('div', {class: 'acts'}, button('It was repaired', () => { void send(['resolve', mark.id], {as: 'repaired'}); }), button('Accept it as it is', () => { void send(['resolve', mark.id], {as: 'accepted'}); })));
  }
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function damageView({record, catalog}) {
  const damage = new Damage(record, catalog);
  void withProgress(damage.said, 'Reading the marks', () => run(record.id, 'damage', {words: ['list']})).then((got) => { if (got) damage.take(got); });
  return {title: `Damage on ${record.label}`, element: damage.element};
}
