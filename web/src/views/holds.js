// Holds and what they did: log one, what was tested, the chart over days, the forecast and when to stop, the whole log.

import {announce, button, drawingOf, field, fill, h, oneOf} from '../dom.js';
import {boardPath, getText, run} from '../api.js';
import {showRefusal, withProgress} from '../progress.js';
import {bare, currentUnit, length} from '../settings.js';
import {day, percentWords, plainName, sentence, worksWords} from '../words.js';

/** @typedef {import('../types.js').BoardRecord} BoardRecord */
/** @typedef {import('../types.js').Entry} Entry */
/** @typedef {(verb: string, request: {words?: string[], flags?: Record<string, unknown>}) => Promise<boolean>} Write */

/** @type {Record<string, string>} */
const kKinds = {'glance': 'first look', 'gauge': 'readings', 'photo': 'photos', 'damage': 'damage', 'works': 'tested', 'hold-start': 'held from', 'hold-end': 'held until', 'verdict': 'verdict', 'note': 'note', 'void': 'taken out of use'};

/** @param {Write} write @param {boolean} open a hold has begun and is not over */
function holdForm(write, open) {
  let way = 'weights', about = false;
  const load = h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off'}), temperature = h('input', {class: 'short', inputmode: 'decimal', autocomplete: 'off'});
  const hours = h('input', {class: 'mid', inputmode: 'decimal', autocomplete: 'off', value: 'overnight'});
  const note = h('input', {autocomplete: 'off'});
  const anyway = h('input', {type: 'checkbox'});
  const tick = h('input', {type: 'checkbox', checked: about, on: {change: () => { about = tick.checked; }}});
  const flags = (/** @type {Record<string, unknown>} */ more) => {
    /** @type {Record<string, unknown>} */
    const all = {way, ...more};
    if (load.value.trim()) all['load-kg'] = load.value.trim();
    if (temperature.value.trim()) all.temperature = temperature.value.trim();
    if (note.value.trim()) all.note = note.value.trim();
    if (anyway.checked) all.anyway = true;
    return all;
  };
  return h('section', null, h('h2', null, 'Log a hold'),
    oneOf('How was it held', [{value: 'weights', text: 'weights'}, {value: 'plates', text: 'plates'}, {value: 'clamps', text: 'clamps'}, {value: 'mount', text: 'screws'}, {value: 'other', text: 'another way'}, {value: 'unknown', text: 'not known'}], way, (value) => { way = value; }),
    h('div', {class: 'row'}, field('kg', load), field('°C', temperature), field('Hours, or overnight', hours), field('In your own words', note)),
    h('div', {class: 'row'}, h('label', {class: 'tick'}, tick, 'round figures, from memory'), h('label', {class: 'tick'}, anyway, 'even against the advice (this is logged)')),
    h('div', {class: 'acts'}, button('It was held: log it', () => { void write('pressed', {flags: flags({hours: hours.value.trim() || 'overnight', ...(about ? {about: true} : {})})}); }, {class: 'main'}),
      open ? button('The open hold is over', () => { void write('pressed', {flags: {end: true}}); }) : button('It begins now', () => { void write('pressed', {flags: flags({})}); })));
}

/** @param {Write} write */
function worksForm(write) {
  let state = '';
  const said = h('p', {role: 'alert'});
  const did = h('input', {autocomplete: 'off'});
  return h('section', null, h('h2', null, 'Log a test'), oneOf('Does it work', [{value: 'yes', text: 'yes'}, {value: 'partly', text: 'in part'}, {value: 'no', text: 'no'}, {value: 'untested', text: 'not tested'}], state, (value) => { state = value; }),
    field('What was tested, with what values', did), h('div', {class: 'acts'}, button('Log the test', () => {
      said.textContent = state ? '' : 'Say first whether it works.';
      if (state) void write('works', {flags: {state, ...(did.value.trim() ? {did: did.value.trim()} : {})}});
    })), said);
}

/** @param {Write} write */
function noteForm(write) {
  const text = h('input', {autocomplete: 'off'});
  return h('section', null, h('h2', null, 'A note'), field('In your own words', text), h('div', {class: 'acts'}, button('Keep the note', () => { if (text.value.trim()) void write('note', {words: [text.value.trim()]}); })));
}

/** @param {string | undefined} text */
const withStop = (text) => text ? `${text}.` : '';

/** @param {any} trend the lieflat-trend document */
function trendWords(trend) {
  const kept = trend.kept?.with_readings ?? trend.kept?.foreseen;
  const change = trend.change ?? {};
  return h('div', null, h('p', null, h('strong', null, trend.stop?.stop ? 'Stop: ' : 'Go on or not: '), withStop(trend.stop?.why)),
    h('p', null, change.mm === undefined ? sentence(change.why) : `Rested it differs by ${length(Math.abs(change.mm))} from what it was; less than ${length(change.noise_mm ?? 0)} cannot be told from reading error.`),
    change.just_freed_mm === undefined ? null : h('p', null, `Just freed it read ${length(Math.abs(change.just_freed_mm))} ${change.just_freed_mm < 0 ? 'flatter' : 'more bent'} than at first; that is not what stays.`),
    kept ? h('p', null, `Holds like these keep ${percentWords(kept)} of the bend, by a model${trend.kept?.with_readings ? ' and these readings' : ', not proved on this board'}.`) : null,
    trend.budget?.presses_left === undefined ? null : h('p', null, `Presses left: ${trend.budget.presses_left}${trend.budget.part ? ` (${trend.budget.part})` : ''}.`),
    trend.temperature_cap ? h('p', null, `Not warmer than ${trend.temperature_cap.cap_c} °C: ${trend.temperature_cap.why}.`) : null,
    trend.forecast?.length ? h('table', {class: 'stack'}, h('caption', null, `Ahead, rested, with more holds like these; ${currentUnit()}`), h('thead', null, h('tr', null, ['More holds', trend.figure, 'half of the time', 'nine times of ten'].map((one) => h('th', {scope: 'col'}, one)))),
      h('tbody', null, trend.forecast.map((/** @type {any} */ one) => h('tr', null, h('th', {scope: 'row'}, `+${one.holds}`), h('td', {'data-label': trend.figure}, bare(one.p50)),
        h('td', {'data-label': 'half of the time'}, `${bare(one.p25)} to ${bare(one.p75)}`), h('td', {'data-label': 'nine of ten'}, `${bare(one.p5)} to ${bare(one.p95)}`))))) : null);
}

/** @param {Entry} entry */
function damageWords({damage}) {
  if (!damage) return '';
  const near = damage.near?.length ? ` beside ${damage.near.join(', ')}` : '';
  return damage.kind ? `${plainName(damage.kind)}${near}` : [damage.target, damage.state ? plainName(damage.state) : ''].filter(Boolean).join(': ');
}

/** @param {Entry} entry */
function entryWords(entry) {
  if (entry.kind === 'gauge') {
    const rows = entry.reading?.rows ?? [], first = rows[0];
    const read = !first?.edge ? '' : first.no_go_mm === undefined ? `; ${first.edge} ${length(first.gap_mm ?? 0)}` : `; ${first.edge} ${length(first.go_mm ?? 0)} to ${length(first.no_go_mm)}`;
    return `${rows.length ? `${rows.length} places` : 'strips or a corner'}, ${entry.reading?.rest ?? ''}${read}`;
  }
  if (entry.kind === 'works') return `${worksWords(entry.state)}${entry.did ? `: ${entry.did}` : ''}`;
  if (entry.kind === 'hold-start') return [entry.way, entry.load_kg ? `${entry.load_kg} kg` : '', entry.temperature_c ? `${entry.temperature_c} °C` : '', entry.hold].filter(Boolean).join(', ');
  if (entry.kind === 'damage') return damageWords(entry);
  return String(entry.text ?? entry.note ?? entry.hold ?? entry.reason ?? '');
}

const kNewest = 12;

/** @param {BoardRecord} record @param {Write} write */
function logTable(record, write) {
  if (!record.entries.length) return h('p', null, 'Nothing was logged yet.');
  const out = new Set(record.entries.filter((entry) => entry.kind === 'void').map((entry) => String(entry.target)));
  const entries = [...record.entries].reverse();
  const whole = entries.length <= kNewest + 4;
  return h('div', null, logRows(entries.slice(0, whole ? entries.length : kNewest), out, write),
    whole ? null : h('details', null, h('summary', null, `The ${entries.length - kNewest} entries before`), logRows(entries.slice(kNewest), out, write)));
}

/** @param {Entry[]} entries the newest first @param {Set<string>} out what is out of use @param {Write} write */
function logRows(entries, out, write) {
  return h('table', {class: 'stack log'}, h('caption', null, 'Nothing is erased: what was wrong is taken out of use with a reason'), h('thead', null, h('tr', null, ['Entry', 'When', 'What', 'In short', 'Wrong?'].map((one) => h('th', {scope: 'col'}, one)))),
    h('tbody', null, entries.map((entry) => {
      const gone = out.has(entry.id) || Boolean(entry.voided);
      const act = h('td', {'data-label': 'Wrong?'});
      const ask = () => {
        const why = h('input', {autocomplete: 'off', 'aria-label': `Why ${entry.id} is taken out of use`});
        fill(act, why, button('Take it out', () => { if (why.value.trim()) void write('void', {words: [entry.id], flags: {why: why.value.trim()}}); }));
        why.focus();
      };
      if (!gone && entry.kind !== 'void') act.append(button('Take out of use', ask, {class: 'word', 'aria-label': `Take out of use: ${entry.id}`}));
      else if (gone) act.append('out of use');
      return h('tr', null, h('th', {scope: 'row'}, entry.id), h('td', {'data-label': 'When'}, day(entry.at)), h('td', {'data-label': 'What'}, kKinds[entry.kind] ?? entry.kind),
        h('td', {'data-label': 'In short'}, gone ? h('s', null, entryWords(entry)) : entryWords(entry)), act);
    })));
}

/** @param {BoardRecord} record @param {any} trend @param {HTMLElement} chart @param {HTMLElement} words */
async function showTrend(record, trend, chart, words) {
  fill(words, trendWords(trend));
  if (!trend.readings?.length) return;
  fill(chart, drawingOf(await getText(`${boardPath(record.id)}/trend.svg`)), h('p', {class: 'small soft'}, 'Dots: rested; triangles: just freed; grey spans: while it was held; upright strokes: what one reading repeats to (95 %); the fan: what to expect, half of the time and nine times of ten.'));
}

/** @param {BoardRecord} record */
function isOpen(record) {
  const voided = new Set(record.entries.filter((entry) => entry.kind === 'void').map((entry) => String(entry.target)));
  const last = [...record.entries].reverse().find((entry) => (entry.kind === 'hold-start' || entry.kind === 'hold-end') && !entry.voided && !voided.has(entry.id));
  return last?.kind === 'hold-start';
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function holdsView({record, refresh}) {
  const said = h('div'), chart = h('div'), words = h('div');
  /** @type {Write} */
  const write = async (verb, request) => {
    const got = await withProgress(said, 'Writing it down', () => run(record.id, verb, request));
    if (!got) return false;
    announce('It is on record');
    await refresh();
    return true;
  };
  const read = record.entries.some((entry) => (entry.kind === 'gauge' || entry.kind === 'photo') && !entry.voided);
  if (read) void run(record.id, 'trend', {}).then((trend) => showTrend(record, trend, chart, words)).catch((error) => showRefusal(words, error));
  else fill(words, h('p', null, 'Nothing was read yet; the chart stands here once an edge was read.'));
  return {title: `Holds and trend of ${record.label}`, element: h('div', null, said,
    h('div', {class: 'two'}, h('section', null, h('h2', null, 'Did it do anything'), chart, words), h('div', null, holdForm(write, isOpen(record)), worksForm(write), noteForm(write))),
    h('section', null, h('h2', null, 'The log'), logTable(record, write)))};
}

