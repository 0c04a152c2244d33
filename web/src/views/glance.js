// The first 90 seconds as a form: leave it, measure it properly, or do not touch it. Nothing is kept.

import {field, fill, h, oneOf, select} from '../dom.js';
import {post} from '../api.js';
import {withProgress} from '../progress.js';
import {currentUnit, typedLength} from '../settings.js';
import {interval, percent} from '../words.js';

const kSorted = /** @type {Record<string, string>} */ ({'leave': 'Leave it as it is.', 'measure': 'Measure it properly.', 'do-not-touch': 'Do not touch it.'});
const kSide = /** @type {Record<string, string>} */ ({over: 'looks over', under: 'looks within', 'too-close': 'too close to call'});
const kLarge = ['pbga', 'fcbga', 'cbga', 'qfp', 'plcc', 'slot', 'connector', 'electrolytic'];

/** @param {any} got the lieflat-glance document */
function result(got) {
  return h('div', null, h('p', {class: 'big'}, kSorted[got.sorted] ?? got.sorted),
    got.bow_percent === undefined ? null : h('p', null, `Bow ${percent(got.bow_percent)} (${interval(got.bow_interval95_percent)}), limit ${got.limit_percent} %: ${kSide[got.limit_side] ?? ''}`),
    got.twist_percent === undefined ? null : h('p', null, `Twist ${percent(got.twist_percent)} (${interval(got.twist_interval95_percent)})`),
    h('ul', {class: 'plain'}, got.because.map((/** @type {string} */ line) => h('li', null, line))));
}

/** @param {import('../main.js').Context} context @returns {Promise<import('../main.js').View>} */
export async function glanceView({catalog}) {
  const said = h('div'), answer = h('div', {'aria-live': 'polite'});
  let works = 'untested', need = 'none';
  const preset = select(catalog.presets.map((one) => ({value: one.name, text: one.plain})), catalog.presets[0]?.name ?? '');
  const large = new Set();
  const gap = () => h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off'});
  const ab = gap(), bc = gap(), corner = gap();
  const look = async () => {
    const bow = [ab.value.trim() ? `AB=${typedLength(ab.value)}` : '', bc.value.trim() ? `BC=${typedLength(bc.value)}` : ''].filter(Boolean);
    /** @type {Record<string, unknown>} */
    const flags = {preset: preset.value, works, need};
    if (large.size) flags.large = [...large].join(',');
    if (bow.length) flags.bow = bow;
    if (corner.value.trim()) flags['corner-gap'] = typedLength(corner.value);
    const got = await withProgress(said, 'Sorting it', ({signal}) => post('/api/glance', {flags}, signal));
    if (got) fill(answer, result(got));
  };
  const unit = currentUnit();
  const form = h('form', {on: {submit: (/** @type {Event} */ event) => { event.preventDefault(); void look(); }}},
    field('What kind of board is it', preset),
    h('fieldset', {class: 'one-of'}, h('legend', null, 'Large parts on it'), kLarge.map((name) => {
      const one = catalog.part_classes.find((entry) => entry.name === name);
      const tick = h('input', {type: 'checkbox', on: {change: () => { if (tick.checked) large.add(name); else large.delete(name); }}});
      return h('label', null, tick, h('span', null, one?.plain ?? name));
    })),
    oneOf('Does it work', [{value: 'untested', text: 'not tested yet'}, {value: 'yes', text: 'yes'}, {value: 'partly', text: 'in part'}, {value: 'no', text: 'no'}], works, (value) => { works = value; }),
    oneOf('What needs it flat', [{value: 'none', text: 'nothing'}, {value: 'case', text: 'a case'}, {value: 'cards', text: 'plug-in cards'}, {value: 'cooler', text: 'a cooler'}, {value: 'sale', text: 'a sale'}], need, (value) => { need = value; }),
    h('div', {class: 'row'}, field(`Gap along a long edge, ${unit}`, ab), field(`Gap along a short edge, ${unit}`, bc), field(`Lift of the fourth corner, ${unit}`, corner)),
    h('p', {class: 'hint'}, 'Hold the board upright and lay a steel rule along the edge; by eye will do. For the corner let three corners touch a flat thing.'),
    said, h('div', {class: 'acts'}, h('button', {class: 'main', type: 'submit'}, 'Sort it')));
  return {title: 'The first 90 seconds', element: h('div', {class: 'two'}, form, answer)};
}
