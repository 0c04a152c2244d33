// Marks of damage on the sheet: the line or outline, and its number in a ring beside it.

import {s} from './dom.js';

/** @typedef {import('./types.js').Mark} Mark */
/** @typedef {import('./types.js').Board} Board */
/** @typedef {import('./board_drawing.js').BoardDrawing} BoardDrawing */

/** @param {BoardDrawing} drawing @param {Mark} mark @param {Board} board */
export function addMark(drawing, mark, board) {
  const near = board.parts.find((part) => mark.near.includes(part.ref) && part.x_mm !== undefined);
  const points = mark.at_mm?.length ? mark.at_mm : near ? [/** @type {[number, number]} */ ([near.x_mm ?? 0, near.y_mm ?? 0])] : [];
  if (!points.length) return;
  const [x, y] = drawing.toPx(points[0]);
  const d = points.length > 1 ? drawing.path(points) : `M${x - 3},${y - 3}L${x + 3},${y + 3}M${x - 3},${y + 3}L${x + 3},${y - 3}`;
  drawing.marksLayer.append(s('path', {class: 'damage', d}),
    s('circle', {class: 'damage-number', cx: x + 11, cy: y - 9, r: 7}),
    s('text', {x: x + 11, y: y - 5.7, 'font-size': 9.5, 'text-anchor': 'middle', class: 'b'}, mark.number));
}
