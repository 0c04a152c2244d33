// The large parts: by what is on the board and a region, or drawn on the sheet with exact sizes. Each change is
// written at once; undo takes it back.

import {announce, button, field, fill, h, oneOf, s, select} from '../dom.js';
import {boardPath, get, run} from '../api.js';
import {BoardDrawing, cornersOf} from '../board_drawing.js';
import {classWords} from '../figures.js';
import {withProgress} from '../progress.js';
import {bare, numberOf, size, sizeUnit, typedSizeMm} from '../settings.js';
import {kRegions, regionWords} from '../words.js';

/** @typedef {import('../types.js').Part} Part */
/** @typedef {import('../types.js').Point} Point */
/** @typedef {import('../types.js').BoardRecord} BoardRecord */
/** @typedef {{words: string, back: () => Promise<unknown>, forth: () => Promise<unknown>}} Step */

const kPlainFirst = ['pbga', 'fcbga', 'qfp', 'plcc', 'slot', 'socket', 'connector', 'electrolytic', 'battery'];

/** Flags that make this part. @param {Part} part */
function flagsOf(part) {
  /** @type {Record<string, string>} */
  const flags = {class: part.class};
  if (part.region) flags.region = part.region;
  else if (part.x_mm !== undefined) {
    flags.at = `${part.x_mm},${part.y_mm}`;
    if (part.length_mm) flags.size = `${part.length_mm}x${part.width_mm}`;
    if (part.rotation_deg) flags.rotation = String(part.rotation_deg);
  }
  if (part.side === 'solder') flags.side = 'solder';
  if (part.height_mm) flags.height = String(part.height_mm);
  if (part.joint_pitch_mm) flags.pitch = String(part.joint_pitch_mm);
  return flags;
}

/** @param {number} value */
const tenth = (value) => Math.round(value * 10) / 10;

class Parts {
  /** @param {BoardRecord} record @param {import('../types.js').Named[]} classes */
  constructor(record, classes) {
    this.record = record;
    this.classes = [...classes].sort((a, b) => rank(a.name) - rank(b.name));
    /** @type {Step[]} */
    this.done = [];
    /** @type {Step[]} */
    this.undone = [];
    /** @type {Part} */
    this.next = {ref: '', class: 'pbga', length_mm: 35, width_mm: 35};
    this.by = 'drawing';
    this.said = h('div');
    this.sheet = h('div');
    this.list = h('div');
    this.form = h('div');
    this.undoButton = button('Undo', () => { void this.step(this.done, this.undone, 'back'); });
    this.redoButton = button('Redo', () => { void this.step(this.undone, this.done, 'forth'); });
    this.element = h('div', {class: 'two', on: {keydown: (/** @type {KeyboardEvent} */ event) => this.key(event)}},
      h('div', null, h('div', {class: 'stay'}, this.sheet, h('p', {class: 'hint'}, 'Drag on the sheet to draw a part; drag it to move it. With the keyboard: arrow keys move it by 1 mm, with Shift by 10.'))),
      h('div', null, this.form, this.said, h('div', {class: 'acts'}, this.undoButton, this.redoButton), this.list));
    this.drawForm();
    this.drawAll();
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.target instanceof HTMLInputElement) return;
    const letter = event.key.toLowerCase();
    if (letter === 'z' && !event.shiftKey) { event.preventDefault(); void this.step(this.done, this.undone, 'back'); }
    if (letter === 'y' || (letter === 'z' && event.shiftKey)) { event.preventDefault(); void this.step(this.undone, this.done, 'forth'); }
  }

  /** @param {Step[]} from @param {Step[]} to @param {'back' | 'forth'} way */
  async step(from, to, way) {
    const step = from.pop();
    if (!step) return;
    if (await this.write(step.words, step[way])) to.push(step);
    else from.push(step);
    this.drawAll();
  }

  /** @param {string} words @param {() => Promise<unknown>} act */
  async write(words, act) {
    const ok = await withProgress(this.said, words, async () => { await act(); return true; });
    if (!ok) return false;
    const fresh = /** @type {BoardRecord} */ (await get(boardPath(this.record.id)));
    this.record = {...fresh, id: this.record.id};
    announce(words);
    return true;
  }

  /** @param {Part} part */
  adding(part) { return () => run(this.record.id, 'part', {words: ['add', part.ref], flags: flagsOf(part)}); }
  /** @param {Part} part */
  removing(part) { return () => run(this.record.id, 'part', {words: ['remove', part.ref]}); }

  async add() {
    const part = {...this.next, ref: this.next.ref.trim()};
    if (this.by === 'region') { delete part.x_mm; delete part.y_mm; delete part.length_mm; delete part.width_mm; }
    else delete part.region;
    if (!part.ref || (this.by === 'drawing' && part.x_mm === undefined)) {
      fill(this.said, h('p', {role: 'alert'}, part.ref ? 'Draw it on the sheet, or type where its middle is.' : 'Give it the name printed beside it, such as U1.'));
      return;
    }
    if (!await this.write(`${part.ref} is on record`, this.adding(part))) return;
    this.done.push({words: `${part.ref}`, back: this.removing(part), forth: this.adding(part)});
    this.undone = [];
    const number = part.ref.match(/^(.*?)(\d+)$/);
    this.next = {...this.next, ref: number ? `${number[1]}${Number(number[2]) + 1}` : '', x_mm: undefined, y_mm: undefined};
    this.drawForm();
    this.drawAll();
    this.refBox?.focus();
  }

  /** @param {Part} part */
  async remove(part) {
    if (!await this.write(`${part.ref} is off the record`, this.removing(part))) return;
    this.done.push({words: part.ref, back: this.adding(part), forth: this.removing(part)});
    this.undone = [];
    this.drawAll();
  }

  drawForm() {
    const ref = h('input', {class: 'short', value: this.next.ref, autocomplete: 'off', on: {input: () => { this.next.ref = ref.value; this.drawGhost(); }}});
    this.refBox = ref;
    const kind = select(this.classes.map((one) => ({value: one.name, text: one.trade ? `${one.plain} (${one.trade})` : one.plain})), this.next.class, (value) => { this.next.class = value; });
    const number = (/** @type {'x_mm'|'y_mm'|'length_mm'|'width_mm'} */ key) => {
      const box = h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off', value: this.next[key] === undefined ? '' : size(this.next[key] ?? 0), 'data-size': key,
        on: {input: () => { const mm = typedSizeMm(box.value); this.next[key] = Number.isFinite(mm) ? mm : undefined; this.drawGhost(); }}});
      return box;
    };
    const height = h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off', value: this.next.height_mm ?? '', on: {input: () => { this.next.height_mm = numberOf(height.value) || undefined; }}});
    const pitch = h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off', value: this.next.joint_pitch_mm ?? '', on: {input: () => { this.next.joint_pitch_mm = numberOf(pitch.value) || undefined; }}});
    const unit = sizeUnit();
    fill(this.form, h('form', {on: {submit: (/** @type {Event} */ event) => { event.preventDefault(); void this.add(); }}},
      h('div', {class: 'row'}, field('Name on the board', ref), field('What it is', kind)),
      oneOf('Where', [{value: 'drawing', text: 'drawn on the sheet'}, {value: 'region', text: 'only about'}], this.by, (value) => { this.by = value; this.drawForm(); this.drawGhost(); }),
      this.by === 'region' ? field('It sits', select(kRegions.map((one) => ({value: one, text: regionWords(one)})), this.next.region ?? 'middle-centre', (value) => { this.next.region = value; }), 'components seen, D at top left')
        : h('div', {class: 'row'}, field(`Middle, from A along AB, ${unit}`, number('x_mm')), field(`and towards D, ${unit}`, number('y_mm')), field(`Length along AB, ${unit}`, number('length_mm')), field(`Width, ${unit}`, number('width_mm'))),
      h('details', null, h('summary', null, 'What else is known'), h('div', {class: 'row'},
        field('It sits on', select([{value: 'component', text: 'the component side'}, {value: 'solder', text: 'the solder side'}], this.next.side ?? 'component', (value) => { this.next.side = value; })),
        field('Height, mm', height), field('From joint to joint, mm', pitch))),
      h('div', {class: 'acts'}, h('button', {class: 'main', type: 'submit'}, 'Put it on record'))));
    if (this.by === 'region') this.next.region ??= 'middle-centre';
  }

  drawAll() {
    this.undoButton.disabled = this.done.length === 0;
    this.redoButton.disabled = this.undone.length === 0;
    this.drawing = new BoardDrawing(this.record.board, `${this.record.label}: its large parts`);
    this.drawing.showParts(this.record.board.parts);
    this.drawing.svg.classList.add('draw-here');
    this.drawing.svg.addEventListener('pointerdown', (event) => this.startDrag(event));
    fill(this.sheet, this.drawing.svg);
    this.drawGhost();
    const parts = this.record.board.parts;
    fill(this.list, parts.length ? h('table', {class: 'stack'}, h('caption', null, 'On record'), h('thead', null, h('tr', null, ['Part', 'What it is', 'Where', ''].map((one) => h('th', {scope: 'col'}, one || h('span', {class: 'soft'}, 'Change'))))),
      h('tbody', null, parts.map((part) => h('tr', null, h('th', {scope: 'row'}, part.ref), h('td', {'data-label': 'What it is'}, classWords(this.classes, part.class)),
        h('td', {'data-label': 'Where'}, part.x_mm === undefined ? regionWords(part.region ?? 'not known') : `${size(part.x_mm)}, ${size(part.y_mm ?? 0)}; ${size(part.length_mm ?? 0)} x ${size(part.width_mm ?? 0)} ${sizeUnit()}`),
        h('td', {'data-label': ''}, button('Remove from the list', () => { void this.remove(part); }, {class: 'word', 'aria-label': `Remove from the list: ${part.ref}`}))))))
      : h('p', null, 'None yet. Large chips, slots and sockets are what a bend harms first; put those on record, the rest does not matter.'));
  }

  drawGhost() {
    if (!this.drawing) return;
    this.drawing.over.replaceChildren();
    if (this.by !== 'drawing' || this.next.x_mm === undefined || this.next.y_mm === undefined) return;
    const d = this.drawing.path(cornersOf(this.next), true);
    const [x, y] = this.drawing.toPx([this.next.x_mm, this.next.y_mm]);
    this.drawing.over.append(s('g', {class: 'drag', tabindex: 0, role: 'button', 'aria-label': `${this.next.ref || 'the new part'} at ${bare(this.next.x_mm, 0)}, ${bare(this.next.y_mm, 0)}: arrow keys move it`,
      on: {keydown: (/** @type {KeyboardEvent} */ event) => this.nudge(event), pointerdown: (/** @type {PointerEvent} */ event) => this.startMove(event)}},
    s('path', {class: 'ghost ring', d}), s('text', {x, y: y + 3, 'font-size': 9.5, 'text-anchor': 'middle', class: 'b part-name'}, this.next.ref)));
  }

  /** @param {KeyboardEvent} event */
  nudge(event) {
    const by = event.shiftKey ? 10 : 1;
    const step = /** @type {Record<string, Point>} */ ({ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, by], ArrowDown: [0, -by]})[event.key];
    if (!step) return;
    event.preventDefault();
    this.place([(this.next.x_mm ?? 0) + step[0], (this.next.y_mm ?? 0) + step[1]]);
    /** @type {SVGElement | null | undefined} */ (this.drawing?.over.querySelector('.drag'))?.focus();
  }

  /** @param {Point} at */
  place(at) {
    const [x, y] = this.drawing?.inside(at) ?? at;
    this.next.x_mm = tenth(x);
    this.next.y_mm = tenth(y);
    this.showSizes();
    this.drawGhost();
  }

  showSizes() {
    this.form.querySelectorAll('[data-size]').forEach((box) => {
      const value = this.next[/** @type {'x_mm'|'y_mm'|'length_mm'|'width_mm'} */ (box.getAttribute('data-size'))];
      /** @type {HTMLInputElement} */ (box).value = value === undefined ? '' : size(value);
    });
  }

  /** @param {PointerEvent} event @param {(at: Point) => void} move */
  follow(event, move) {
    const drawing = this.drawing;
    if (!drawing || event.button !== 0) return;
    event.preventDefault();
    event.stopPropagation();
    drawing.svg.setPointerCapture(event.pointerId);
    const onMove = (/** @type {PointerEvent} */ one) => move(drawing.inside(drawing.toMm(one)));
    const onUp = () => { drawing.svg.removeEventListener('pointermove', onMove); };
    drawing.svg.addEventListener('pointermove', onMove);
    drawing.svg.addEventListener('pointerup', onUp, {once: true});
    drawing.svg.addEventListener('pointercancel', onUp, {once: true});
  }

  /** @param {PointerEvent} event */
  startMove(event) {
    const from = this.drawing?.toMm(event) ?? [0, 0];
    const at = [this.next.x_mm ?? 0, this.next.y_mm ?? 0];
    this.follow(event, (to) => this.place([at[0] + to[0] - from[0], at[1] + to[1] - from[1]]));
  }

  /** @param {PointerEvent} event */
  startDrag(event) {
    if (this.by !== 'drawing' || !this.drawing) return;
    const from = this.drawing.inside(this.drawing.toMm(event));
    this.follow(event, (to) => {
      const length = Math.abs(to[0] - from[0]), width = Math.abs(to[1] - from[1]);
      if (length < 1 && width < 1) return;
      this.next.length_mm = Math.max(1, Math.round(length));
      this.next.width_mm = Math.max(1, Math.round(width));
      this.place([(from[0] + to[0]) / 2, (from[1] + to[1]) / 2]);
    });
  }
}

/** @param {string} name */
function rank(name) {
  const at = kPlainFirst.indexOf(name);
  return at < 0 ? 99 : at;
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function partsView({record, catalog}) {
  const parts = new Parts(record, catalog.part_classes);
  return {title: `Parts of ${record.label}`, element: h('div', null, parts.element, h('p', {class: 'acts'}, h('a', {href: `#/board/${record.id}/readings`}, 'On to the readings')))};
}

