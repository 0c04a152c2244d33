// One board: the first five lines, its edges against a ruler, the topographic sheet with layers, parts, options.

import {drawingOf, fill, h, oneOf} from '../dom.js';
import {boardPath, get, run} from '../api.js';
import {BoardDrawing, hatchOf, kHatchWords} from '../board_drawing.js';
import {answersList, bowAndTwist, classWords, edgeDrawings, edgeFigures, edgesSentence, missingWords, optionsTable, partsTable} from '../figures.js';
import {addMark} from '../marks.js';
import {withProgress} from '../progress.js';
import {currentUnit, size, sizeUnit} from '../settings.js';
import {day, outcomeWords, plainName, regionWords, sentence, worksWords} from '../words.js';

/** @typedef {import('../types.js').Assessment} Assessment */
/** @typedef {import('../types.js').SurfaceGrid} SurfaceGrid */
/** @typedef {import('../types.js').BoardRecord} BoardRecord */
/** @typedef {import('../types.js').Mark} Mark */

const kLayers = [
  {value: 'height', text: 'height'}, {value: 'strain_found_ue', text: 'bend as found'}, {value: 'strain_flattened_ue', text: 'bend when pressed flat'},
  {value: 'share', text: 'share of the allowed bend'}, {value: 'damage', text: 'damage'},
];

/** @param {BoardRecord} record */
export function sizeWords({board}) {
  const xs = board.outline_mm.map((p) => p[0]), ys = board.outline_mm.map((p) => p[1]);
  const mounting = {'smt': 'surface-mount', 'mixed': 'surface-mount and through-hole', 'through-hole': 'through-hole'}[board.mounting] ?? board.mounting;
  return `${size(Math.max(...xs) - Math.min(...xs))} x ${size(Math.max(...ys) - Math.min(...ys))} ${sizeUnit()}, ${mounting}`;
}

/** @param {Assessment} assessment */
const shareOfPart = (assessment) => (/** @type {{ref: string}} */ part) => assessment.parts.find((one) => one.ref === part.ref)?.share;

/** What lines and hatching mean. @param {string} layer @param {string} step @param {Assessment} assessment */
function legend(layer, step, assessment) {
  const used = [...new Set(assessment.parts.map((part) => hatchOf(part.share)))].sort();
  const lines = {height: `A line every ${step}, over the best plane: full above it, dashed below, heavy on it.`,
    strain_found_ue: `A line every ${step}: the largest bend of the surface as it lies now, dash-dotted where it is pressed together.`,
    strain_flattened_ue: `A line every ${step}: what pressing it flat would add, dash-dotted where it is pressed together.`,
    share: `A line every ${step} of what the most delicate class of part here would stand.`, damage: 'Each mark with its number.'}[layer];
  return h('div', {class: 'small'}, h('p', null, lines ?? ''),
    used.length ? h('p', null, `Parts are hatched by their share of the allowed bend, pressed flat: the denser, the more (${used.map((n) => kHatchWords[n]).join(', ')}).`) : null);
}

class SheetWithLayers {
  /** @param {BoardRecord} record @param {Assessment} assessment */
  constructor(record, assessment) {
    this.record = record;
    this.assessment = assessment;
    this.place = h('div');
    /** @type {Mark[]} */
    this.marks = [];
    this.element = h('section', {'aria-labelledby': 'sheet-h'}, h('h2', {id: 'sheet-h'}, 'The board as a sheet'),
      oneOf('Lines of', kLayers, 'height', (value) => this.show(value)), this.place);
  }

  /** @param {string} layer */
  show(layer) {
    if (layer === 'height' && currentUnit() === 'mm') {
      const text = this.assessment.drawings?.sheet;
      if (text) {
        fill(this.place, drawingOf(text), legend('height', heightStep(text), this.assessment), unplaced(this.record));
        return;
      }
    }
    const drawing = new BoardDrawing(this.record.board, `${this.record.label}: ${kLayers.find((one) => one.value === layer)?.text ?? ''}`);
    drawing.svg.setAttribute('role', 'img');
    drawing.showParts(this.record.board.parts, shareOfPart(this.assessment));
    let step = '';
    if (layer === 'damage') {
      this.marks.forEach((mark) => addMark(drawing, mark, this.record.board));
    } else {
      const got = this.assessment.surface;
      step = got ? this.drawLayer(drawing, got, layer) : '';
    }
    fill(this.place, drawing.svg, step || layer === 'damage' ? legend(layer, step, this.assessment) : null, unplaced(this.record));
    if (layer === 'damage') this.place.append(damageList(this.marks, this.record.id));
  }

  /** @param {BoardDrawing} drawing @param {SurfaceGrid} grid @param {string} layer */
  drawLayer(drawing, grid, layer) {
    const rows = layer === 'height' ? grid.height_mm : grid.layers?.[layer];
    if (!rows) return '';
    const kind = layer === 'height' ? 'height' : layer === 'share' ? 'share' : 'strain';
    const step = drawing.showLines(grid, rows, kind);
    return kind === 'share' ? `${Math.round(step * 100)} %` : kind === 'strain' ? `${step} microstrain` : currentUnit() === 'mm' ? `${step} mm` : `${(step / 0.0254).toFixed(0)} mil`;
  }
}

/** @param {string} svg */
const heightStep = (svg) => svg.match(/every ([\d.]+ mm)/)?.[1] ?? '';

/** @param {BoardRecord} record */
function unplaced(record) {
  const parts = record.board.parts.filter((part) => part.x_mm === undefined);
  return parts.length ? h('p', {class: 'small'}, `Without a known place: ${parts.map((part) => `${part.ref}${part.region ? ` (${regionWords(part.region)})` : ''}`).join(', ')}.`) : null;
}

/** @param {Mark[]} marks @param {string} id */
function damageList(marks, id) {
  if (!marks.length) return h('p', null, 'No damage on record. ', h('a', {href: `#/board/${id}/damage`}, 'Add a mark'));
  return h('ul', {class: 'plain'}, marks.map((mark) => h('li', null, `${mark.number}: ${plainName(mark.kind)}${mark.near.length ? ` beside ${mark.near.join(', ')}` : ''}: ${outcomeWords(mark.outcome)}`)));
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function boardView({record, catalog}) {
  const body = h('div');
  const said = h('div');
  const works = [...record.entries].reverse().find((entry) => entry.kind === 'works')?.state ?? record.board.works;
  const element = h('div', null, h('p', {class: 'sub'}, `${sizeWords(record)} · ${worksWords(works)}`), said, body);
  const control = new AbortController();
  void withProgress(said, 'Working out how bent it is', ({signal}) => {
    control.signal.addEventListener('abort', () => undefined);
    return get(`${boardPath(record.id)}/assessment?drawn=1`, signal);
  }).then(async (/** @type {Assessment | undefined} */ assessment) => {
    if (!assessment || control.signal.aborted) return;
    await showBoard(body, record, assessment, catalog.part_classes);
  });
  return {title: record.label, element, leave: () => control.abort()};
}

/** @param {HTMLElement} body @param {BoardRecord} record @param {Assessment} assessment @param {import('../types.js').Named[]} classes */
async function showBoard(body, record, assessment, classes) {
  const drawings = await edgeDrawings(record.id, assessment);
  const sheet = new SheetWithLayers(record, assessment);
  const edges = edgeFigures(assessment, drawings);
  fill(body, h('div', {class: 'two'},
    h('section', {'aria-labelledby': 'edges-h'}, h('h2', {id: 'edges-h'}, 'Edges against a ruler'), edges.length ? h('p', {class: 'small soft'}, 'Grey beneath the edge and the bar beside it: how far the reading leaves it open (95 %). The stack of blades is as high as the limit.') : null, edges.length ? edges : null, h('p', null, edgesSentence(assessment)),
      edges.length ? null : h('p', null, h('a', {href: `#/board/${record.id}/readings`}, 'Read them now'))),
    h('div', {class: 'answers-first'}, answersList(assessment), bowAndTwist(assessment), missingWords(assessment),
      assessment.read_at ? h('p', {class: 'small soft'}, `${sentence(`${assessment.held ?? ''}, read ${day(assessment.read_at)}${assessment.flatness.weight_removed ? '; without its own weight' : ''}`)} Limit: ${sentence(assessment.flatness.limit_source)} ${sentence(assessment.flatness.limit_meaning)}`) : null)),
  h('div', {class: 'two'}, sheet.element,
    h('section', null, h('h2', null, 'Parts'), partsTable(assessment, classes), partsElsewhere(record, assessment, classes),
      h('p', {class: 'no-print'}, h('a', {href: `#/board/${record.id}/parts`}, 'Change the parts')))),
  h('section', null, h('h2', null, 'What can be done'), optionsTable(assessment),
    listOf('Why', assessment.because), listOf('Take care', assessment.cautions)));
  sheet.show('height');
  void run(record.id, 'damage', {words: ['list']}).then((/** @type {{marks: Mark[]}} */ list) => { sheet.marks = list.marks; }, () => undefined);
}

/** @param {string} title @param {string[]} lines */
const listOf = (title, lines) => lines.length ? h('div', null, h('h3', null, title), h('ul', {class: 'plain'}, lines.map((line) => h('li', null, line)))) : null;

/** Parts that the assessment says nothing of yet. @param {BoardRecord} record @param {Assessment} assessment @param {import('../types.js').Named[]} classes */
function partsElsewhere(record, assessment, classes) {
  const rest = record.board.parts.filter((part) => !assessment.parts.some((one) => one.ref === part.ref));
  return rest.length ? h('p', null, `Not rated yet: ${rest.map((part) => `${part.ref}, ${classWords(classes, part.class)}`).join('; ')}.`) : null;
}
