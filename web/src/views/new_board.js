// A new board: the preset first; all but name and size may stay as they are.

import {button, field, fill, h, oneOf, select, s} from '../dom.js';
import {post} from '../api.js';
import {withProgress} from '../progress.js';
import {currentUnit, typedSizeMm} from '../settings.js';
import {worksWords} from '../words.js';

/** @typedef {import('../types.js').Preset} Preset */

/** @param {Preset} preset */
const sizeOf = (preset) => preset.length_mm ? ` ${Math.round(preset.length_mm)} x ${Math.round(preset.width_mm ?? 0)} mm` : '';

/** The outline beside a hand's width, so that sizes can be told apart. @param {Preset | undefined} preset */
function outline(preset) {
  const l = (preset?.length_mm ?? 0) / 2, w = (preset?.width_mm ?? 0) / 2;
  return s('svg', {class: 'drawing', viewBox: '0 0 180 170', role: 'img', 'aria-label': preset ? `${preset.plain},${sizeOf(preset)}` : 'size by hand'},
    s('rect', {class: 'paper', x: 10, y: 160 - w, width: l, height: w}), s('rect', {class: 'outline', x: 10, y: 160 - w, width: l, height: w}),
    s('text', {x: 12, y: 156, 'font-size': 9.5}, 'A'), l ? s('text', {x: 10 + l / 2, y: 156 - w + 14, 'font-size': 9.5, 'text-anchor': 'middle'}, sizeOf(preset ?? {name: '', plain: ''})) : null);
}

const kWorks = ['untested', 'yes', 'partly', 'no'].map((value) => ({value, text: worksWords(value)}));
const kNeed = [{value: 'none', text: 'nothing'}, {value: 'case', text: 'a case'}, {value: 'cards', text: 'plug-in cards'}, {value: 'cooler', text: 'a cooler'}, {value: 'sale', text: 'a sale'}];

/** @param {string} [mode] */
const text = (mode) => h('input', {class: 'mid', autocomplete: 'off', inputmode: mode ?? null});

/** @param {import('../main.js').Context} context @returns {Promise<import('../main.js').View>} */
export async function newBoardView({catalog, session}) {
  const said = h('div');
  let preset = catalog.presets[0]?.name ?? '', works = 'untested', need = 'none', mounting = '', worth = 'common';
  const name = text(), length = text('decimal'), width = text('decimal'), mass = text('decimal'), year = text('numeric'), thickness = text('decimal'), label = text();
  const laminate = select([{value: '', text: 'as usual for its kind'}, ...catalog.laminates.map((one) => ({value: one.name, text: one.plain}))], '');
  const byHand = h('div', {class: 'row', hidden: true}, field(`Length, the longer side, ${currentUnit() === 'mm' ? 'mm' : 'inch'}`, length), field('Width', width));
  const picture = h('div');
  const choose = (/** @type {string} */ value) => {
    preset = value;
    byHand.hidden = value !== '';
    fill(picture, outline(catalog.presets.find((one) => one.name === value)));
  };
  const presets = select([...catalog.presets.map((one) => ({value: one.name, text: `${one.plain},${sizeOf(one)}`})), {value: '', text: 'another size'}], preset, choose);
  choose(preset);
  const flags = () => {
    /** @type {Record<string, string>} */
    const all = preset ? {preset} : {size: `${typedSizeMm(length.value)}x${typedSizeMm(width.value)}`};
    Object.assign(all, {works, need, worth});
    const more = {mass: mass.value, year: year.value, thickness: thickness.value, label: label.value, laminate: laminate.value, mounting};
    for (const [flag, value] of Object.entries(more)) if (value.trim()) all[flag] = value.trim();
    return all;
  };
  const start = async () => {
    if (!name.value.trim()) {
      name.setAttribute('aria-invalid', 'true');
      name.focus();
      return;
    }
    const made = await withProgress(said, 'Making its folder', ({signal}) => post('/api/boards', {name: name.value.trim(), flags: flags()}, signal));
    if (made) location.hash = `#/board/${made.id}/parts`;
  };
  const form = h('form', {on: {submit: (/** @type {Event} */ event) => { event.preventDefault(); void start(); }}},
    h('div', {class: 'two'}, h('div', null,
      field('What kind of board is it', presets), byHand,
      field('Its name, also of its folder', name, `such as 021; it goes into ${session.name}`),
      oneOf('Does it work', kWorks, works, (value) => { works = value; }),
      oneOf('What needs it flat', kNeed, need, (value) => { need = value; }),
      h('div', {class: 'row'}, field('Weight on the kitchen scale, g', mass, 'without it the bend by its own weight is less sure'), field('Year it was made', year, 'unknown counts as old')),
      h('details', null, h('summary', null, 'What else is known'),
        h('div', {class: 'row'}, field('Label, where it is not the name', label), field('Thickness of the bare board, mm', thickness), field('Laminate', laminate)),
        oneOf('Parts are', [{value: '', text: 'as the kind has it'}, {value: 'smt', text: 'surface-mount'}, {value: 'mixed', text: 'both'}, {value: 'through-hole', text: 'through-hole'}], mounting, (value) => { mounting = value; }),
        oneOf('How hard is it to find again', [{value: 'common', text: 'common'}, {value: 'scarce', text: 'scarce'}, {value: 'rare', text: 'rare'}], worth, (value) => { worth = value; })),
      h('p', {class: 'hint'}, 'Hold it with the components towards you: A is the corner at the lower left, then B, C and D counter-clockwise. Mark A on the board with a bit of tape, so that it stays A when the board is turned over.'),
      said, h('div', {class: 'acts'}, h('button', {class: 'main', type: 'submit'}, 'Start it'), button('Not now', () => { location.hash = '#/'; }, {class: 'word'}))), picture));
  return {title: 'New board', element: form};
}
