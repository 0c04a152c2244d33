// Before you press: one way of holding, weights and washers dragged about, and what that does to each part, live.

import {button, field, fill, h, oneOf, s, select} from '../dom.js';
import {boardPath, get, run} from '../api.js';
import {BoardDrawing} from '../board_drawing.js';
import {optionsTable, shareBar} from '../figures.js';
import {Live} from '../live.js';
import {showRefusal, withProgress} from '../progress.js';
import {currentUnit, length, numberOf, size, sizeUnit, typedSizeMm} from '../settings.js';
import {kEdges} from '../stations.js';
import {fixed, keptWords, shareWords} from '../words.js';

/** @typedef {import('../types.js').Preview} Preview */
/** @typedef {import('../types.js').Assessment} Assessment */
/** @typedef {import('../types.js').BoardRecord} BoardRecord */
/** @typedef {import('../types.js').Point} Point */
/** @typedef {{kg: number, x: number, y: number, a: number, b: number, soft: boolean}} Weight */
/** @typedef {Record<string, unknown>} Flags */

const kWays = [{value: 'weights', text: 'under weights'}, {value: 'plates', text: 'between plates'}, {value: 'clamps', text: 'under clamped bars'}, {value: 'mount', text: 'screwed to stand-offs'}];
const kWasher = 0.25;
/** A mark of damage that forbids it, as the program words it; it stands above the figures. */
const kStandsAgainst = /^Mark \d+, .* stands against pressing/;

/** @param {number} value */
const tenth = (value) => Math.round(value * 10) / 10;

class Press {
  /** @param {BoardRecord} record */
  constructor(record) {
    this.record = record;
    this.way = 'weights';
    const [l, w] = [Math.max(...record.board.outline_mm.map((p) => p[0])), Math.max(...record.board.outline_mm.map((p) => p[1]))];
    /** @type {Weight[]} */
    this.weights = [{kg: 1, x: tenth(l / 2), y: tenth(w / 2), a: 60, b: 60, soft: false}];
    this.plates = {gap: '', load: '20'};
    this.bars = new Set(['AB', 'CD']);
    this.barLoad = '10';
    /** @type {Record<number, number>} */
    this.shims = {};
    this.down = 'solder';
    /** @type {Assessment | undefined} */
    this.assessment = undefined;
    /** @type {Preview | undefined} */
    this.last = undefined;
    this.said = h('div');
    this.sheet = h('div');
    this.form = h('div');
    this.figures = h('div', {'aria-live': 'polite', class: 'press-figures'});
    this.options = h('section');
    /** @type {Live<Flags, Preview>} */
    this.live = new Live({
      quick: (flags) => run(record.id, 'preview', {flags: {...flags, linear: true}}),
      full: (flags, signal) => run(record.id, 'preview', {flags}, {signal}),
      show: (preview, quick) => this.show(preview, quick), refuse: (error) => showRefusal(this.said, error),
    });
    this.element = h('div', null, h('div', {class: 'two'},
      h('div', {class: 'stay'}, this.sheet), h('div', null, this.form, this.said, this.figures)), this.options);
    this.drawForm();
    this.drawSheet();
    this.changed();
  }

  /** @returns {Flags} */
  flags() {
    /** @type {Flags} */
    const flags = {way: this.way};
    if (this.down !== 'solder') flags.down = this.down;
    if (this.way === 'weights') flags.weight = this.weights.map((one) => `${one.kg}@${tenth(one.x)},${tenth(one.y)}:${one.a}x${one.b}${one.soft ? ':soft' : ''}`);
    if (this.way === 'plates') { if (this.plates.gap) flags['gap-mm'] = this.plates.gap; else flags['load-n'] = this.plates.load || '20'; }
    if (this.way === 'clamps') { flags.bar = [...this.bars]; flags['load-n'] = this.barLoad || '10'; }
    if (this.way === 'mount') {
      const shims = Object.entries(this.shims).filter(([, mm]) => mm > 0).map(([hole, mm]) => `${hole}=${Number(mm.toFixed(2))}`);
      if (shims.length) flags.shim = shims;
    }
    return flags;
  }

  changed() {
    fill(this.said);
    if (this.way === 'weights' && !this.weights.length) { this.live.stop(); fill(this.figures, h('p', null, 'No weight lies on it.')); return; }
    if (this.way === 'clamps' && !this.bars.size) { this.live.stop(); fill(this.figures, h('p', null, 'No bar holds it.')); return; }
    if (this.way === 'mount' && !this.record.board.holes_mm.length) { this.live.stop(); fill(this.figures, h('p', null, 'No mounting hole is on record for this board.')); return; }
    this.live.change(this.flags());
  }

  drawForm() {
    fill(this.form, oneOf('How would you hold it', kWays, this.way, (value) => { this.way = value; this.drawForm(); this.drawSheet(); this.changed(); }),
      this.way === 'weights' ? this.weightsForm() : this.way === 'plates' ? this.platesForm() : this.way === 'clamps' ? this.barsForm() : this.shimsForm(),
      h('div', {class: 'row'}, field('Face below', select([{value: 'solder', text: 'the solder side'}, {value: 'component', text: 'the components'}], this.down, (value) => { this.down = value; this.changed(); })),
        this.way === 'weights' || this.way === 'mount' ? h('div', {class: 'field'}, button(this.way === 'weights' ? 'Look for gentler places' : 'Look for washers', () => { void this.optimise(); })) : null));
  }

  /** @param {string} words @param {number} value @param {(value: number) => void} set @param {(text: string) => number} [read] @param {string} [name] */
  number(words, value, set, read = numberOf, name = '') {
    const box = h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off', value, 'data-name': name,
      on: {input: () => { const got = read(box.value); if (Number.isFinite(got)) { set(got); this.drawSheet(); this.changed(); } }}});
    return field(words, box);
  }

  weightsForm() {
    return h('div', null, this.weights.map((one, i) => h('fieldset', null, h('legend', null, `Weight ${i + 1}`), h('div', {class: 'row'},
      this.number('kg', one.kg, (v) => { one.kg = v; }), this.number(`its foot, ${sizeUnit()}`, Number(size(one.a)), (v) => { one.a = v; }, typedSizeMm), this.number(`by, ${sizeUnit()}`, Number(size(one.b)), (v) => { one.b = v; }, typedSizeMm),
      this.number(`middle along AB, ${sizeUnit()}`, Number(size(one.x)), (v) => { one.x = v; }, typedSizeMm, `x${i}`), this.number(`and towards D, ${sizeUnit()}`, Number(size(one.y)), (v) => { one.y = v; }, typedSizeMm, `y${i}`),
      h('label', {class: 'tick'}, h('input', {type: 'checkbox', checked: one.soft, on: {change: (/** @type {any} */ event) => { one.soft = event.target.checked; this.changed(); }}}), 'foam or felt below'),
      button('Take it off', () => { this.weights.splice(i, 1); this.drawForm(); this.drawSheet(); this.changed(); }, {class: 'word', 'aria-label': `Take it off: weight ${i + 1}`})))),
    button('Another weight', () => { this.weights.push({kg: 1, x: 60 + 30 * this.weights.length, y: 60, a: 60, b: 60, soft: false}); this.drawForm(); this.drawSheet(); this.changed(); }),
    h('p', {class: 'hint'}, 'Drag a weight on the sheet, or move it with the arrow keys.'));
  }

  platesForm() {
    const gap = h('input', {class: 'short', inputmode: 'decimal', value: this.plates.gap, autocomplete: 'off', on: {input: () => { this.plates.gap = gap.value.trim(); this.changed(); }}});
    const load = h('input', {class: 'short', inputmode: 'decimal', value: this.plates.load, autocomplete: 'off', on: {input: () => { this.plates.load = load.value.trim(); this.changed(); }}});
    return h('div', {class: 'row'}, field('Load of the upper plate, N', load, '10 N is about 1 kg'), field('or the height of bend they leave, mm', gap));
  }

  barsForm() {
    const load = h('input', {class: 'short', inputmode: 'decimal', value: this.barLoad, autocomplete: 'off', on: {input: () => { this.barLoad = load.value.trim(); this.changed(); }}});
    return h('div', null, h('fieldset', {class: 'one-of'}, h('legend', null, 'A bar along'), kEdges.map((edge) => h('label', null,
      h('input', {type: 'checkbox', checked: this.bars.has(edge), on: {change: (/** @type {any} */ event) => { if (event.target.checked) this.bars.add(edge); else this.bars.delete(edge); this.drawSheet(); this.changed(); }}}), edge))),
    field('Load of each, N', load));
  }

  shimsForm() {
    return h('div', null, h('p', {class: 'hint'}, `Washers under each hole, ${kWasher} mm apiece. Drag a hole up or down on the sheet, or slide here.`),
      this.record.board.holes_mm.map((hole, i) => {
        const n = i + 1, out = h('output', null, length(this.shims[n] ?? 0));
        const slide = h('input', {type: 'range', min: 0, max: 8, step: kWasher, value: this.shims[n] ?? 0, 'aria-label': `Hole ${n} at ${size(hole.x_mm)}, ${size(hole.y_mm)}: washers in mm`, 'data-hole': n,
          on: {input: () => { this.shims[n] = Number(slide.value); out.textContent = length(this.shims[n]); this.drawSheet(); this.changed(); }}});
        return h('div', {class: 'hole-row'}, h('span', null, `Hole ${n}`), slide, out);
      }));
  }

  drawSheet() {
    const focused = document.activeElement?.getAttribute('data-drag');
    const drawing = new BoardDrawing(this.record.board, `${this.record.label}: how it would be held`);
    this.drawing = drawing;
    this.showParts();
    if (this.way === 'weights') this.weights.forEach((one, i) => drawing.over.append(this.weightShape(drawing, one, i)));
    if (this.way === 'plates') drawing.marksLayer.append(s('path', {class: 'load', d: drawing.outlinePath()}));
    if (this.way === 'clamps') this.barShapes(drawing);
    if (this.way === 'mount') this.record.board.holes_mm.forEach((hole, i) => drawing.over.append(this.shimShape(drawing, hole, i + 1)));
    fill(this.sheet, drawing.svg);
    if (focused) /** @type {SVGElement | null} */ (drawing.svg.querySelector(`[data-drag="${focused}"]`))?.focus();
  }

  showParts() {
    const parts = this.last?.parts;
    this.drawing?.showParts(this.record.board.parts, (part) => parts?.find((one) => one.ref === part.ref)?.share);
  }

  /** @param {BoardDrawing} drawing @param {Weight} one @param {number} i */
  weightShape(drawing, one, i) {
    const d = drawing.path([[one.x - one.a / 2, one.y - one.b / 2], [one.x + one.a / 2, one.y - one.b / 2], [one.x + one.a / 2, one.y + one.b / 2], [one.x - one.a / 2, one.y + one.b / 2]], true);
    const [x, y] = drawing.toPx([one.x, one.y]);
    return s('g', {class: 'drag', tabindex: 0, role: 'button', 'data-drag': `w${i}`, 'aria-label': `Weight ${i + 1}, ${one.kg} kg at ${size(one.x)}, ${size(one.y)}: arrow keys move it`,
      on: {pointerdown: (/** @type {PointerEvent} */ event) => this.dragWeight(event, one, i), keydown: (/** @type {KeyboardEvent} */ event) => this.nudgeWeight(event, one, i)}},
    s('circle', {class: 'reach', cx: x, cy: y, r: 24}), s('path', {class: 'load', d}), s('text', {x, y: y + 3.5, 'font-size': 10, 'text-anchor': 'middle', class: 'b part-name'}, `${one.kg} kg`));
  }

  /** @param {Weight} one @param {number} i @param {Point} to */
  moveWeight(one, i, to) {
    const [x, y] = this.drawing?.inside(to) ?? to;
    one.x = tenth(x);
    one.y = tenth(y);
    for (const [name, value] of [[`x${i}`, one.x], [`y${i}`, one.y]]) {
      const box = /** @type {HTMLInputElement | null} */ (this.form.querySelector(`[data-name="${name}"]`));
      if (box) box.value = size(Number(value));
    }
    this.drawSheet();
    this.changed();
  }

  /** @param {KeyboardEvent} event @param {Weight} one @param {number} i */
  nudgeWeight(event, one, i) {
    const by = event.shiftKey ? 20 : 5;
    const step = /** @type {Record<string, Point>} */ ({ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, by], ArrowDown: [0, -by]})[event.key];
    if (!step) return;
    event.preventDefault();
    this.moveWeight(one, i, [one.x + step[0], one.y + step[1]]);
  }

  /** Follows the pointer until it is let go. @param {PointerEvent} event @param {(event: PointerEvent) => void} move */
  follow(event, move) {
    if (event.button !== 0) return;
    event.preventDefault();
    const up = () => {
      removeEventListener('pointermove', move);
      removeEventListener('pointerup', up);
      removeEventListener('pointercancel', up);
    };
    addEventListener('pointermove', move);
    addEventListener('pointerup', up);
    addEventListener('pointercancel', up);
  }

  /** @param {PointerEvent} event @param {Weight} one @param {number} i */
  dragWeight(event, one, i) {
    const from = this.drawing?.toMm(event) ?? [0, 0], at = [one.x, one.y];
    this.follow(event, (to) => {
      const [x, y] = this.drawing?.toMm(to) ?? [0, 0];
      this.moveWeight(one, i, [at[0] + x - from[0], at[1] + y - from[1]]);
    });
  }

  /** @param {BoardDrawing} drawing */
  barShapes(drawing) {
    const [l, w] = [drawing.length, drawing.width], [x0, y0] = drawing.low;
    const place = /** @type {Record<string, [number, number, number, number]>} */ ({AB: [0, 0, l, 10], CD: [0, w - 10, l, w], BC: [l - 10, 0, l, w], DA: [0, 0, 10, w]});
    for (const edge of this.bars) {
      const [a, b, c, d] = place[edge];
      drawing.marksLayer.append(s('path', {class: 'load', d: drawing.path([[x0 + a, y0 + b], [x0 + c, y0 + b], [x0 + c, y0 + d], [x0 + a, y0 + d]], true)}));
    }
  }

  /** @param {BoardDrawing} drawing @param {import('../types.js').Hole} hole @param {number} n */
  shimShape(drawing, hole, n) {
    const [x, y] = drawing.toPx([hole.x_mm, hole.y_mm]);
    const mm = this.shims[n] ?? 0;
    const set = (/** @type {number} */ value) => {
      this.shims[n] = Math.min(8, Math.max(0, Math.round(value / kWasher) * kWasher));
      const slide = /** @type {HTMLInputElement | null} */ (this.form.querySelector(`[data-hole="${n}"]`));
      if (slide) { slide.value = String(this.shims[n]); if (slide.nextElementSibling) slide.nextElementSibling.textContent = length(this.shims[n]); }
      this.drawSheet();
      this.changed();
    };
    return s('g', {class: 'drag', tabindex: 0, role: 'slider', 'aria-valuemin': 0, 'aria-valuemax': 8, 'aria-valuenow': mm, 'data-drag': `s${n}`, 'aria-label': `Hole ${n}: washers in mm`,
      on: {pointerdown: (/** @type {PointerEvent} */ event) => { const y0 = event.clientY; this.follow(event, (to) => set(mm + (y0 - to.clientY) / 24)); },
        keydown: (/** @type {KeyboardEvent} */ event) => { const step = {ArrowUp: kWasher, ArrowRight: kWasher, ArrowDown: -kWasher, ArrowLeft: -kWasher}[event.key]; if (step) { event.preventDefault(); set(mm + step); } }}},
    s('circle', {class: 'reach', cx: x, cy: y, r: 22}), s('circle', {class: 'ring presses', cx: x, cy: y, r: 5}), s('text', {x, y: y - 9, 'font-size': 9.5, 'text-anchor': 'middle', class: 'b part-name'}, mm ? `${n}: ${length(mm)}` : `${n}`));
  }

  async optimise() {
    const got = /** @type {any} */ (await withProgress(this.said, 'Trying gentler ways', (options) => run(this.record.id, 'preview', {flags: {...this.flags(), optimise: true}}, options)));
    if (!got?.optimised) return;
    const better = got.optimised;
    if (better.weights) better.weights.forEach((/** @type {any} */ one, /** @type {number} */ i) => { if (this.weights[i]) { this.weights[i].x = tenth(one.x_mm); this.weights[i].y = tenth(one.y_mm); } });
    if (better.shims) for (const one of better.shims) this.shims[one.hole] = one.mm ?? one.shim_mm ?? 0;
    this.drawForm();
    this.drawSheet();
    this.show(got, false);
    this.changed();
  }

  /** @param {Preview} preview @param {boolean} quick */
  show(preview, quick) {
    fill(this.said);
    this.last = preview;
    this.showParts();
    const left = preview.end.gap_mm;
    const worst = [...preview.parts].sort((a, b) => (b.share ?? 0) - (a.share ?? 0)).filter((one) => (one.share ?? 0) > 1);
    const [against, cautions] = [true, false].map((stands) => (preview.cautions ?? []).filter((line) => kStandsAgainst.test(line) === stands));
    fill(this.figures, against.map((line) => h('p', {class: 'over'}, line)), worst.length ? h('p', {class: 'big over'}, `Do not hold it so: ${worst[0].ref} would take ${shareWords(worst[0].share)} of what it allows`) : null,
      h('p', worst.length ? null : {class: 'big'}, preview.flat ? `Flat: ${length(left)} is left` : `Of ${length(preview.warp_mm)} from its lowest to its highest place ${length(left)} is left`),
      quick ? h('p', null, h('span', {class: 'marked'}, 'preview: the full figures follow')) : h('p', {class: 'small'}, `Up to ${length(preview.flat_mm)} would count as flat. ${preview.lower_over_s ? `Bring the load on over ${preview.lower_over_s.toFixed(0)} s or more.` : ''}`),
      h('table', {class: 'stack'}, h('caption', null, 'Parts at their worst moment (95 % interval)'), h('thead', null, h('tr', null, ['Part', 'Bend added, microstrain', 'Share of the allowed bend', 'Rating'].map((one) => h('th', {scope: 'col'}, one)))),
        h('tbody', null, preview.parts.map((part) => h('tr', null, h('th', {scope: 'row'}, part.ref), h('td', {'data-label': 'Bend added'}, fixed(part.strain_ue, 0)),
          h('td', {'data-label': 'Share'}, shareBar(part.share, part.share_interval95)), h('td', {'data-label': 'Rating', class: 'rating'}, h('strong', null, part.rating ?? '–')))))),
      preview.any_damage_chance ? h('p', null, `Chance that at least one part is damaged: ${preview.any_damage_chance}, a rule of thumb.`) : null,
      this.lasting(preview), cautions.length && !quick ? h('ul', {class: 'plain small'}, cautions.map((line) => h('li', null, line))) : null);
    this.element.dataset.shown = quick ? 'preview' : 'full';
    this.element.dispatchEvent(new CustomEvent('shown', {bubbles: true}));
  }

  /** What would stay. @param {Preview} preview */
  lasting(preview) {
    const rows = preview.lasting?.map((one) => ({hold: one.hold, keeps: one.keeps, freed: one.just_freed}))
      ?? (this.assessment?.options ?? []).filter((one) => one.lasting_fraction?.[2]).map((one) => ({hold: one.how ?? one.name, keeps: one.lasting_fraction ?? [], freed: one.just_freed_fraction}));
    if (!rows.length) return null;
    return h('table', {class: 'stack'}, h('caption', null, 'What stays of the bend taken out, were it held flat, with 5 to 95 %: a model\'s estimate, not proved on this board'), h('thead', null, h('tr', null, ['Held', 'Just freed it would look', 'What stays'].map((one) => h('th', {scope: 'col'}, one)))),
      h('tbody', null, rows.map((one) => h('tr', null, h('th', {scope: 'row'}, one.hold), h('td', {'data-label': 'Just freed'}, keptWords(one.freed)), h('td', {'data-label': 'What stays'}, keptWords(one.keeps))))));
  }

  /** @param {Assessment} assessment */
  weigh(assessment) {
    this.assessment = assessment;
    fill(this.options, h('h2', null, 'Beside the other options'), optionsTable(assessment));
    if (this.last) this.show(this.last, this.element.dataset.shown !== 'full');
  }
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function pressView({record}) {
  const press = new Press(record);
  void get(`${boardPath(record.id)}/assessment`).then((assessment) => press.weigh(assessment), (error) => showRefusal(press.options, error));
  const unit = currentUnit();
  return {title: `Before you press ${record.label}`, element: h('div', null, h('p', {class: 'sub'}, `Try a way of holding here first; nothing is written. Lengths in ${unit}.`), press.element), leave: () => press.live.stop()};
}
