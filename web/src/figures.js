// What is shown of an assessment in more than one view: the answers, bow and twist, the edges, parts and options.

import {drawingOf, fill, h, s} from './dom.js';
import {getText, boardPath} from './api.js';
import {bare, currentUnit, length, size, sizeUnit} from './settings.js';
import {hatchOf, kHatchWords} from './board_drawing.js';
import {doWords, interval, keptWords, percent, shareInterval, shareWords, stackWords, threeWords, verdictWords} from './words.js';

/** @typedef {import('./types.js').Assessment} Assessment */
/** @typedef {import('./types.js').EdgeBow} EdgeBow */
/** @typedef {import('./types.js').Named} Named */

/** @param {Assessment} assessment */
export function answersList(assessment) {
  const answers = assessment.answers ?? [{title: 'Do now', text: `${doWords(assessment.recommended)}. ${assessment.because[0] ?? ''}`}];
  return h('dl', {class: 'answers'}, answers.map((one) => h('div', null, h('dt', null, one.title), h('dd', null, one.text))));
}

/** @param {string} title @param {string | undefined} value @param {string[]} lines @param {string} verdict @param {number} limit */
const figure = (title, value, lines, verdict, limit) => h('div', null, h('div', null, h('strong', null, title)), h('div', {class: 'big'}, value ?? 'not measured yet'),
  lines.map((line) => h('div', null, line)), h('div', null, `limit ${limit} %`, value === undefined ? null : [': ', h('span', {class: verdict}, verdict === 'not-measured' ? 'not all edges are read' : verdictWords(verdict))]));

/** @param {Assessment} assessment */
export function bowAndTwist({flatness, preview}) {
  const bow = flatness.bow_percent, twist = flatness.twist_percent;
  return h('div', null, h('div', {class: 'figures'},
    figure(`Bow, the largest of the edges${bow !== undefined && flatness.bow_edges?.some((one) => one.percent === undefined) ? ' read' : ''}`, bow === undefined ? undefined : percent(bow),
      bow === undefined ? [] : [`${interval(flatness.bow_interval95_percent)} (95 % interval)`,
        `${flatness.bow_edge ?? ''}${flatness.bow_towards ? `, towards the ${flatness.bow_towards === 'solder' ? 'solder side' : 'components'}` : ''}`], flatness.bow_verdict, flatness.limit_percent),
    figure('Twist', twist === undefined ? undefined : percent(twist),
      twist === undefined ? [] : [`${interval(flatness.twist_interval95_percent)} (95 % interval)`,
        flatness.high_diagonal ? `${flatness.high_diagonal[0]} and ${flatness.high_diagonal[1]} high` : ''], flatness.twist_verdict, flatness.limit_percent)),
    preview ? h('p', null, h('span', {class: 'marked'}, 'preview: the full figures follow')) : null);
}

/** @param {Assessment} assessment */
export function missingWords({flatness}) {
  const lines = flatness.not_measured ?? [];
  if (!lines.length && !flatness.next_reading) return null;
  return h('div', null, h('p', null, h('strong', null, 'Not measured yet')), h('ul', {class: 'plain'}, lines.map((line) => h('li', null, line))),
    flatness.next_reading ? h('p', null, h('strong', null, 'Next: '), flatness.next_reading) : null);
}

/** @param {EdgeBow} edge @param {number} limit */
function edgeWords(edge, limit) {
  const known = edge.percent !== undefined;
  const ends = (edge.interval95_percent ?? []).map((one) => Math.max(0, (Math.sign(edge.percent ?? 0) || 1) * one * edge.length_mm / 100)).sort((a, b) => a - b);
  const spread = ends.length === 2 ? ` (${bare(ends[0])} to ${bare(ends[1])})` : '';
  return h('figcaption', null, h('p', {class: 'edge-name'}, `${edge.edge} · ${size(edge.length_mm)} ${sizeUnit()}`),
    known ? h('p', null, `gap ${bare(edge.gap_mm ?? 0)} ${currentUnit()}${spread}`) : null,
    known ? h('p', null, `${percent(Math.abs(edge.percent ?? 0))}${Math.abs(edge.percent ?? 0) > 0.005 ? `, towards the ${(edge.percent ?? 0) > 0 ? 'components' : 'solder side'}` : ''}`) : null,
    h('p', {class: 'limit-words'}, `limit ${length((edge.length_mm * limit) / 100)} = ${limit} %`),
    h('p', {class: edge.verdict}, stackWords(known ? edge.verdict : 'not-measured')));
}

/** The sentence under the edges. @param {Assessment} assessment */
export function edgesSentence({flatness}) {
  const edge = flatness.bow_edges?.find((one) => one.edge === flatness.bow_edge);
  if (!edge || edge.gap_mm === undefined) return 'The edges were not read yet.';
  const verdict = {over: 'the blades of the limit go in beneath it', within: 'the blades of the limit do not go in', undecided: 'whether the blades of the limit go in is too close to call'}[flatness.bow_verdict];
  return `${edge.edge} stands ${length(Math.abs(edge.gap_mm))} off the ruler at its widest${verdict ? `; ${verdict}` : ', the other edges are not all read yet'}.`;
}

/**
 * The four edges against a ruler.
 * @param {Assessment} assessment @param {Record<string, string>} drawings by the name of the edge
 */
export function edgeFigures(assessment, drawings) {
  const edges = (assessment.flatness.bow_edges ?? []).filter((edge) => drawings[edge.edge]);
  return edges.map((edge) => h('figure', {class: 'edge'}, drawingOf(drawings[edge.edge]), edgeWords(edge, assessment.flatness.limit_percent)));
}

/** @param {string} id @param {Assessment} assessment @returns {Promise<Record<string, string>>} */
export async function edgeDrawings(id, assessment) {
  if (assessment.drawings?.edges) return assessment.drawings.edges;
  const names = (assessment.flatness.bow_edges ?? []).map((edge) => edge.edge);
  const texts = await Promise.all(names.map((name) => getText(`${boardPath(id)}/edges.svg?edge=${name}`).catch(() => '')));
  return Object.fromEntries(names.map((name, i) => [name, texts[i]]).filter(([, text]) => text));
}

/** A part's share as a length, hatched, and in figures. @param {number | undefined} share @param {number[]} [interval95] */
export function shareBar(share, interval95) {
  if (share === undefined) return h('span', null, 'not measured yet');
  const hatch = hatchOf(share), w = Math.min(100, share * 66.7);
  const lines = [];
  const step = [0, 12, 7, 4, 2.4][hatch];
  for (let x = step / 2; x < w; x += step) lines.push(`M${x.toFixed(1)},0V12`);
  return h('span', null, h('span', {class: 'share', 'aria-hidden': 'true'},
    s('svg', {viewBox: '0 0 100 12', preserveAspectRatio: 'none', class: 'drawing'}, s('rect', {x: 0, y: 0, width: w, height: 12, class: 'slab'}),
      s('path', {d: lines.join(''), class: 'hatch'}), s('path', {d: 'M66.7,0V12', class: 'limit'}))), h('span', {class: 'whole'}, `${shareWords(share)} ${shareInterval(interval95)}`));
}

export const hatchLegend = () => kHatchWords.slice(1);

/** @param {Named[]} classes @param {string} name */
export function classWords(classes, name) {
  const one = classes.find((entry) => entry.name === name);
  return one ? one.plain : name;
}

/** Of the share as it is now: as its strain, whichever way it bends. @param {import('./types.js').PartRating} part */
function foundInterval({found_strain_interval95_ue: ends, allowed_strain_ue: allowed}) {
  if (!ends || !allowed) return '';
  const sizes = ends.map(Math.abs).sort((a, b) => a - b);
  return shareInterval([ends[0] < 0 && ends[1] > 0 ? 0 : sizes[0] / allowed, sizes[1] / allowed]);
}

/** @param {Assessment} assessment @param {Named[]} classes */
export function partsTable(assessment, classes) {
  if (!assessment.parts.length) return h('p', null, 'No large part on record yet.');
  return h('table', {class: 'stack'}, h('caption', null, 'Large parts: share of the allowed bend, as it is now and added if pressed flat (95 % interval); a chance of damage is a rule of thumb'),
    h('thead', null, h('tr', null, ['Part', 'What it is', 'Bend now', 'If pressed flat', 'Chance of damage', 'Rating'].map((one) => h('th', {scope: 'col'}, one)))),
    h('tbody', null, assessment.parts.map((part) => h('tr', null, h('th', {scope: 'row'}, part.ref),
      h('td', {'data-label': 'What it is'}, h('span', null, classWords(classes, part.class), part.where && part.where !== 'at its place' ? h('span', {class: 'soft'}, `, place not known: taken as the ${part.where}`) : null)),
      h('td', {'data-label': 'Bend now'}, part.found_share === undefined ? '–' : h('span', null, `${percent(100 * part.found_share, 0)} `, h('span', {class: 'whole'}, foundInterval(part)))),
      h('td', {'data-label': 'If pressed flat'}, shareBar(part.share, part.share_interval95)),
      h('td', {'data-label': 'Chance of damage'}, part.damage_chance ?? '–'),
      h('td', {'data-label': 'Rating'}, part.rating ? h('strong', null, part.rating) : '–')))));
}

/** Kept on one line. @param {string} words */
const whole = (words) => h('span', {class: 'whole'}, words);

/** @param {Assessment} assessment */
export function optionsTable(assessment) {
  if (!assessment.options?.length) return h('p', null, 'Nothing can be weighed before bow and twist are known.');
  return h('table', {class: 'stack'}, h('caption', null, 'What can be done, side by side; rested afterwards, in brackets 5 to 95 % of the estimate. Chance: that at least one part is damaged, a rule of thumb'),
    h('thead', null, h('tr', null, ['Way', 'Bow afterwards', 'What stays of the change', 'Most bent part, of what it allows', 'Chance of damage', 'Against it'].map((one) => h('th', {scope: 'col'}, one)))),
    h('tbody', null, assessment.options.map((one) => h('tr', null,
      h('th', {scope: 'row'}, doWords(one.name), one.name === assessment.recommended ? h('span', {class: 'within'}, ' ← recommended') : null, one.how ? h('div', {class: 'small soft'}, one.how) : null),
      h('td', {'data-label': 'Bow afterwards'}, !one.bow_after_percent ? '–' : one.lasting_fraction?.[2] ? whole(threeWords(one.bow_after_percent, 2)) : 'as it is'),
      h('td', {'data-label': 'What stays'}, one.lasting_fraction?.[2] ? whole(keptWords(one.lasting_fraction)) : ''),
      h('td', {'data-label': 'Most bent part'}, one.worst_share ? shareWords(one.worst_share) : one.lasting_fraction?.[2] ? 'not rated' : ''),
      h('td', {'data-label': 'Chance'}, one.damage_chance ?? (one.lasting_fraction?.[2] ? 'not rated' : '')),
      h('td', {'data-label': 'Against it'}, one.against ?? '')))));
}

/** @param {HTMLElement} place @param {Assessment} assessment */
export const fillBowAndTwist = (place, assessment) => fill(place, bowAndTwist(assessment));
