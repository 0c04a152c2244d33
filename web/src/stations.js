// Where a board is read: stations, what was typed for them, and the sheet that the program reads.

import {numberOf, typedLength} from './settings.js';

/** @typedef {import('./types.js').Board} Board */
/** @typedef {import('./types.js').Point} Point */
/** @typedef {import('./types.js').EdgeName} EdgeName */
/** @typedef {{key: string, name: string, at: Point, edge?: EdgeName, atMm?: number}} Station */
/** @typedef {{go: string, noGo: string, side: string}} Typed  blade that went in and the one that did not; or go = the height */
/** @typedef {Record<string, Typed>} TypedAll */
/** @typedef {'upright' | 'table' | 'points' | 'free'} Rest */

/** @type {EdgeName[]} */
export const kEdges = ['AB', 'BC', 'CD', 'DA'];

/** @param {Board} board @returns {Point[]} */
function corners(board) {
  if (board.corners_mm?.length === 4) return board.corners_mm;
  const xs = board.outline_mm.map((p) => p[0]), ys = board.outline_mm.map((p) => p[1]);
  const [l, r, b, t] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  return [[l, b], [r, b], [r, t], [l, t]];
}

/** @param {Point} a @param {Point} b @param {number} t @returns {Point} */
const between = (a, b, t) => [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];

/** @param {Point} a @param {Point} b */
const distance = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** @param {number} value */
const tenth = (value) => Math.round(value * 10) / 10;

/** @param {Board} board @param {string} set @returns {Station[]} */
function alongEdges(board, set) {
  const c = corners(board);
  return kEdges.flatMap((edge, i) => {
    const a = c[i], b = c[(i + 1) % 4];
    const middle = {key: edge, name: edge, at: between(a, b, 0.5), edge};
    if (set === 'middles') return [middle];
    const long = distance(a, b);
    return [0.25, 0.5, 0.75].map((t) => t === 0.5 ? middle
      : {key: `${edge}@${t}`, name: `${edge} ${t === 0.25 ? '¼' : '¾'}`, at: between(a, b, t), edge, atMm: tenth(t * long)});
  });
}

/** Over the board, from A row by row. @param {Board} board @param {string} set @returns {Station[]} */
function overBoard(board, set) {
  const [a, b, c, d] = corners(board);
  const names = /** @type {Record<string, string>} */ ({'0,0': 'A', '4,0': 'B', '4,4': 'C', '0,4': 'D', '2,0': 'AB', '4,2': 'BC', '2,4': 'CD', '0,2': 'DA', '2,2': 'M'});
  /** @type {Station[]} */
  const all = [];
  for (let j = 0; j < 5; ++j) {
    for (let i = 0; i < 5; ++i) {
      const name = names[`${i},${j}`];
      const wanted = set === '25' || (set === '13' && (i + j) % 2 === 0) || (set === '8' && name !== undefined && name !== 'M');
      if (!wanted) continue;
      const at = between(between(a, b, i / 4), between(d, c, i / 4), j / 4);
      all.push({key: `${i},${j}`, name: name ?? `${Math.round(at[0])} : ${Math.round(at[1])}`, at: [tenth(at[0]), tenth(at[1])]});
    }
  }
  return all;
}

/** @param {Board} board @param {Rest} rest @param {string} set */
export const stationsOf = (board, rest, set) => rest === 'upright' ? alongEdges(board, set) : overBoard(board, set);

/** @param {Rest} rest */
export const setsOf = (rest) => rest === 'upright'
  ? [{value: 'middles', text: 'the middle of each edge'}, {value: 'quarters', text: 'three along each edge'}]
  : [{value: '13', text: '13 places'}, {value: '8', text: 'the rim only, 8'}, {value: '25', text: '25 places'}];

/** @param {Typed | undefined} typed */
export const isTyped = (typed) => typed !== undefined && (typed.go.trim() !== '' || typed.noGo.trim() !== '');

/**
 * The rows as a sheet; empty text when nothing was typed. Half a pair waits until both blades are in, unless it is `final`.
 * @param {Station[]} stations @param {TypedAll} all @param {'blades' | 'height'} by
 * @param {Rest} rest @param {string} u of a height or a gap by eye, mm
 */
export function sheetOf(stations, all, by, rest, u) {
  const rows = stations.filter((one) => isTyped(all[one.key])).map((one) => {
    const typed = all[one.key];
    const value = by === 'blades' ? `${typedLength(typed.go)},${typedLength(typed.noGo)}` : `${typedLength(typed.go)},${u}`;
    return rest === 'upright' ? `${one.edge},${typed.side},${one.atMm ?? ''},${value}` : `${one.at[0]},${one.at[1]},${value}`;
  });
  if (!rows.length) return '';
  const columns = by === 'blades' ? 'go_mm,no_go_mm' : rest === 'upright' ? 'gap_mm,u_mm' : 'height_mm,u_mm';
  return [rest === 'upright' ? `edge,side,at_mm,${columns}` : `x_mm,y_mm,${columns}`, ...rows].join('\n') + '\n';
}

/** A blade or a stack such as 0.5+0.3, in whatever unit it was typed; NaN when it is none. @param {string} text */
const bladeOf = (text) => text.split('+').reduce((sum, one) => sum + numberOf(one.replace(/(mm|mil|in)$/i, '')), 0);

/** Why what was typed cannot be: said beside the row, before the program is asked. @param {Typed | undefined} typed @param {'blades' | 'height'} by */
export function problemOf(typed, by) {
  if (!typed || !isTyped(typed)) return '';
  const boxes = by === 'height' ? [typed.go] : [typed.go, typed.noGo];
  if (boxes.some((one) => one.trim() !== '' && !Number.isFinite(bladeOf(one)))) return 'a number is wanted, such as 0.35 or 0.3+0.05';
  return by === 'blades' && bladeOf(typed.go) >= bladeOf(typed.noGo) ? 'the blade that went in is not thinner than the one that did not' : '';
}

/**
 * Rows that a figure can be worked out from: the blade that did not go in is there, and at least one row has both. While
 * a number is typed the half of it is not sent.
 * @param {TypedAll} all @param {'blades' | 'height'} by @returns {TypedAll}
 */
export function whole(all, by) {
  const rows = Object.entries(all).filter(([, typed]) => isTyped(typed) && !problemOf(typed, by) && (by === 'height' || bladeOf(typed.noGo) > 0));
  return by === 'height' || rows.some(([, typed]) => bladeOf(typed.go) > 0) ? Object.fromEntries(rows) : {};
}

/** The station to be read next: of an edge that is named as missing, else the first empty one. @param {Station[]} stations @param {TypedAll} all @param {string[]} missing */
export function nextOf(stations, all, missing) {
  const empty = stations.filter((one) => !isTyped(all[one.key]));
  const words = missing.join(' ');
  return empty.find((one) => new RegExp(`\\b${one.name}\\b`).test(words)) ?? empty[0];
}

