// The report, and what leaves the page as files: JSON, CSV, SVG, PNG.

import {button, fill, h} from '../dom.js';
import {boardPath, getText} from '../api.js';
import {withProgress} from '../progress.js';

/** @typedef {import('../types.js').BoardRecord} BoardRecord */

/** @param {string} name @param {Blob} blob */
function save(name, blob) {
  const url = URL.createObjectURL(blob);
  const link = h('a', {href: url, download: name});
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}

/** A drawing as a picture of 1800 px. @param {string} url @returns {Promise<Blob>} */
async function pngOf(url) {
  const image = new Image();
  image.src = url;
  await image.decode();
  const canvas = h('canvas', {width: 1800, height: Math.round((1800 * (image.naturalHeight || 260)) / (image.naturalWidth || 360))});
  const pen = canvas.getContext('2d');
  if (!pen) throw new Error('no canvas');
  pen.fillStyle = '#fdfcf8';
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(image, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve, reject) => canvas.toBlob((blob) => blob ? resolve(blob) : reject(new Error('no picture')), 'image/png'));
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function paperView({record}) {
  const path = boardPath(record.id), stem = record.label.replace(/[^\w.-]+/g, '-');
  const read = record.entries.some((entry) => (entry.kind === 'gauge' || entry.kind === 'photo') && !entry.voided);
  const said = h('div'), sale = h('div');
  const png = (/** @type {string} */ what) => withProgress(said, 'Drawing it', async () => { save(`${stem}-${what}.png`, await pngOf(`${path}/${what}.svg?alone=1`)); });
  const file = (/** @type {string} */ href, /** @type {string} */ name, /** @type {string} */ words) => h('li', null, h('a', {href: `${path}/${href}`, download: name}, words));
  void getText(`${path}/report-sale.txt`).then((text) => { fill(sale, h('h2', null, 'For a buyer'), h('pre', {class: 'sale'}, text)); }, () => undefined);
  return {title: `Report of ${record.label}`, element: h('div', {class: 'two'},
    h('section', null, h('h2', null, 'The report'), h('p', null, 'One page that stands alone, to print or to send.'),
      h('div', {class: 'acts'}, h('a', {href: `${path}/report.html`, target: '_blank', rel: 'noopener'}, 'Open the report'), h('a', {href: `${path}/report.html`, download: `${stem}.html`}, 'Save the report'),
        button('Print this board', () => { location.hash = `#/board/${record.id}`; setTimeout(() => print(), 2500); }, {class: 'word'})), sale),
    h('section', null, h('h2', null, 'Files'), h('ul', {class: 'files'}, file('assessment.json', `${stem}.json`, 'All figures (JSON)'), file('readings.csv', `${stem}-readings.csv`, 'The readings (CSV)'),
      read ? [file('sheet.svg?alone=1', `${stem}-sheet.svg`, 'The sheet (SVG)'), file('edges.svg?alone=1', `${stem}-edges.svg`, 'The edges (SVG)'), file('trend.svg?alone=1', `${stem}-trend.svg`, 'The trend (SVG)')] : null),
    read ? h('div', {class: 'acts'}, button('The sheet (PNG)', () => { void png('sheet'); }), button('The edges (PNG)', () => { void png('edges'); })) : h('p', null, 'Drawings can be saved once the board was read.'), said))};
}
