// A board to scale on the faint millimetre grid, as in the report, for what a person changes by hand:
// readings, parts, weights, marks. Same classes as the report's drawings, so one style dresses both.

import {s} from './dom.js';
import {contoursOf} from './contours.js';
import {bare, size, sizeUnit} from './settings.js';
import {fixed, shownShare} from './words.js';

/** @typedef {import('./types.js').Board} Board */
/** @typedef {import('./types.js').Part} Part */
/** @typedef {import('./types.js').Point} Point */
/** @typedef {import('./types.js').SurfaceGrid} SurfaceGrid */
/** @typedef {import('./types.js').PartRating} PartRating */

const kWidth = 360;
const kSide = 39, kTop = 20, kBelow = 38;
const kFont = 9.5;

/** 0 not measured, 1 under 25 %, 2 to 50 %, 3 to 100 %, 4 over. @param {number | undefined} share */
export const hatchOf = (share) => share === undefined ? 0 : share < 0.25 ? 1 : share < 0.5 ? 2 : share <= 1 ? 3 : 4;
export const kHatchWords = ['not measured yet', 'under 25 %', '25 to 50 %', '50 to 100 %', 'over 100 %'];

/** The hatchings' patterns. @param {string} stem */
function patterns(stem) {
  const one = (/** @type {number} */ n, /** @type {number} */ step, /** @type {string} */ d) =>
    s('pattern', {id: `${stem}-${n}`, width: step, height: step, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)'},
      s('path', {class: 'hatch', d}));
  return [one(1, 7, 'M3.5,0V7'), one(2, 4, 'M2,0V4'), one(3, 2.2, 'M1.1,0V2.2'), one(4, 3, 'M1.5,0V3M0,1.5H3')];
}

/** Parts with a place, as corners in mm. @param {Part} part @returns {Point[]} */
export function cornersOf(part) {
  const x = part.x_mm ?? 0, y = part.y_mm ?? 0, a = (part.length_mm ?? 8) / 2, b = (part.width_mm ?? 8) / 2;
  const turn = ((part.rotation_deg ?? 0) * Math.PI) / 180, c = Math.cos(turn), n = Math.sin(turn);
  return /** @type {Point[]} */ ([[-a, -b], [a, -b], [a, b], [-a, b]].map(([u, v]) => [x + u * c - v * n, y + u * n + v * c]));
}

export class BoardDrawing {
  /** @param {Board} board @param {string} title */
  constructor(board, title) {
    this.board = board;
    const xs = board.outline_mm.map((p) => p[0]), ys = board.outline_mm.map((p) => p[1]);
    this.low = [Math.min(...xs), Math.min(...ys)];
    this.length = Math.max(...xs) - this.low[0];
    this.width = Math.max(...ys) - this.low[1];
    this.scale = Math.min((kWidth - 2 * kSide) / this.length, 330 / this.width);
    this.left = (kWidth - this.length * this.scale) / 2;
    this.bottom = kTop + this.width * this.scale;
    this.height = this.bottom + kBelow;
    this.stem = `board-${Math.random().toString(36).slice(2, 8)}`;
    this.onBoard = s('g', {'clip-path': `url(#${this.stem}-clip)`});
    this.partsLayer = s('g');
    this.marksLayer = s('g');
    this.over = s('g');
    this.names = s('g');
    const outline = this.outlinePath();
    this.title = s('title', {id: `${this.stem}-t`}, title);
    this.svg = s('svg', {class: 'drawing board-drawing', viewBox: `0 0 ${kWidth} ${this.height.toFixed(1)}`, role: 'group', 'aria-labelledby': `${this.stem}-t`},
      this.title,
      s('defs', null, patterns(this.stem), s('clipPath', {id: `${this.stem}-clip`}, s('path', {d: outline, 'clip-rule': 'evenodd'}))),
      s('g', {'clip-path': `url(#${this.stem}-clip)`}, s('path', {class: 'paper', d: outline}), this.grid()),
      this.onBoard, this.partsLayer, s('path', {class: 'outline', d: outline}), this.holes(), this.marksLayer, this.names, this.cornerLetters(), this.scaleBar(), this.over);
  }

  /** @param {Point | number[]} mm @returns {Point} */
  toPx([x, y]) {
    return [this.left + (x - this.low[0]) * this.scale, this.bottom - (y - this.low[1]) * this.scale];
  }

  /** Where a pointer is, in mm on the board. @param {{clientX: number, clientY: number}} event @returns {Point} */
  toMm(event) {
    const matrix = this.svg.getScreenCTM();
    if (!matrix) return [0, 0];
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    return [(at.x - this.left) / this.scale + this.low[0], (this.bottom - at.y) / this.scale + this.low[1]];
  }

  /** @param {Point} mm @returns {Point} */
  inside([x, y]) {
    return [Math.min(Math.max(x, this.low[0]), this.low[0] + this.length), Math.min(Math.max(y, this.low[1]), this.low[1] + this.width)];
  }

  /** @param {(Point | number[])[]} points @param {boolean} [closed] */
  path(points, closed = false) {
    return points.map((p, i) => `${i ? 'L' : 'M'}${this.toPx(p).map((v) => v.toFixed(1)).join(',')}`).join('') + (closed ? 'Z' : '');
  }

  outlinePath() {
    return [this.board.outline_mm, ...(this.board.cutouts_mm ?? [])].map((ring) => this.path(ring, true)).join('');
  }

  grid() {
    let fine = '', fifth = '';
    const right = this.left + this.length * this.scale;
    for (let x = 5; x < this.length; x += 5) {
      const at = `M${(this.left + x * this.scale).toFixed(2)},${kTop}V${this.bottom.toFixed(1)}`;
      if (x % 25 === 0) fifth += at; else fine += at;
    }
    for (let y = 5; y < this.width; y += 5) {
      const at = `M${this.left},${(this.bottom - y * this.scale).toFixed(2)}H${right.toFixed(1)}`;
      if (y % 25 === 0) fifth += at; else fine += at;
    }
    return [s('path', {class: 'grid', d: fine}), s('path', {class: 'grid fifth', d: fifth})];
  }

  holes() {
    return this.board.holes_mm.map((hole) => {
      const [x, y] = this.toPx([hole.x_mm, hole.y_mm]);
      const r = Math.max(1.6, (hole.diameter_mm / 2) * this.scale), c = r + 2;
      return s('path', {class: 'hole', d: `M${x - r},${y}a${r},${r} 0 1 0 ${2 * r},0a${r},${r} 0 1 0 ${-2 * r},0M${x - c},${y}H${x + c}M${x},${y - c}V${y + c}`});
    });
  }

  cornerLetters() {
    const right = this.low[0] + this.length, top = this.low[1] + this.width;
    const at = (/** @type {string} */ letter, /** @type {Point} */ mm, /** @type {number} */ dx, /** @type {number} */ dy) => {
      const [x, y] = this.toPx(mm);
      return s('text', {x: x + dx, y: y + dy, 'font-size': 11, 'text-anchor': dx < 0 ? 'end' : 'start', class: 'b', 'aria-hidden': 'true'}, letter);
    };
    return s('g', null, at('A', [this.low[0], this.low[1]], -5, 10), at('B', [right, this.low[1]], 5, 10), at('C', [right, top], 5, -3), at('D', [this.low[0], top], -5, -3));
  }

  scaleBar() {
    const mm = sizeUnit() === 'mm' ? 50 : 50.8;
    const y = this.height - 8, x = this.left;
    return s('g', {'aria-hidden': 'true'}, s('path', {class: 'scale', d: `M${x},${y - 3}V${y + 3}M${x},${y}h${mm * this.scale}m0,-3v6`}),
      s('text', {x: x + mm * this.scale + 6, y: y + 3.5, 'font-size': kFont}, `${size(mm)} ${sizeUnit()}`));
  }

  /** @param {Part[]} parts @param {(part: Part) => number | undefined} [shareOf] @param {(part: Part) => string} [nameOf] */
  showParts(parts, shareOf = () => undefined, nameOf = (part) => part.ref) {
    this.partsLayer.replaceChildren();
    this.names.replaceChildren();
    for (const part of parts) {
      if (part.x_mm === undefined) continue;
      const d = this.path(cornersOf(part), true);
      const hatch = hatchOf(shareOf(part));
      const share = shareOf(part);
      this.partsLayer.append(s('path', {class: 'part-paper', d}),
        s('path', {class: `part h${hatch}${part.side === 'solder' ? ' other' : ''}`, d, fill: hatch ? `url(#${this.stem}-${hatch})` : null}));
    }
    this.nameParts(parts.filter((part) => part.x_mm !== undefined), (part) => {
      const share = shareOf(part);
      return nameOf(part) + (share === undefined ? '' : ` ${shownShare(share)} %`);
    });
    this.partsLayer.querySelectorAll('.part').forEach((one) => {
      const hatch = [1, 2, 3, 4].find((n) => one.classList.contains(`h${n}`));
      if (hatch) /** @type {SVGElement} */ (one).style.fill = `url(#${this.stem}-${hatch})`;
    });
  }

  /** Names where there is room: inside, below, above, beside; the last place where there is none. @param {Part[]} parts @param {(part: Part) => string} nameOf */
  nameParts(parts, nameOf) {
    /** @type {[number, number, number, number][]} */
    const taken = [];
    const boxes = parts.map((part) => {
      const px = cornersOf(part).map((one) => this.toPx(one));
      return [Math.min(...px.map((p) => p[0])), Math.min(...px.map((p) => p[1])), Math.max(...px.map((p) => p[0])), Math.max(...px.map((p) => p[1]))];
    });
    parts.forEach((part, i) => {
      const text = nameOf(part), half = (text.length * kFont * 0.58) / 2, [l, t, r, b] = boxes[i];
      const xm = (l + r) / 2, ym = (t + b) / 2 + 3.2;
      const inside = r - l > 2 * half ? [[xm, ym]] : [];
      const places = [...inside, [xm, b + kFont + 1], [xm, t - 3], [l - half - 3, ym], [r + half + 3, ym], [xm, b + 2 * kFont + 2]];
      const boxAt = (/** @type {number[]} */ at) => /** @type {[number, number, number, number]} */ ([at[0] - half, at[1] - kFont, at[0] + half, at[1] + 2]);
      const free = (/** @type {number[]} */ at) => [...taken, ...boxes.filter((_, k) => k !== i)].every((other) => !overlap(boxAt(at), other))
        && at[0] - half > this.left && at[0] + half < this.left + this.length * this.scale && at[1] < this.bottom - 1 && at[1] > kTop + kFont;
      const at = places.find(free) ?? places[0];
      taken.push(boxAt(at));
      this.names.append(s('text', {x: at[0], y: at[1], 'font-size': kFont, 'text-anchor': 'middle', class: 'b part-name', 'aria-hidden': 'true'}, text));
    });
  }

  /**
   * Lines of equal value. @param {SurfaceGrid} grid @param {(number | null)[][]} rows
   * @param {'height' | 'strain' | 'share'} kind
   */
  showLines(grid, rows, kind) {
    this.onBoard.replaceChildren();
    const least = kind === 'height' ? 0.05 : kind === 'share' ? 0.05 : 10;
    const {lines, step} = contoursOf(grid.x_mm, grid.y_mm, rows, least);
    /** @type {[number, number][]} */
    const taken = [];
    const labels = s('g', {'aria-hidden': 'true'});
    lines.sort((a, b) => b.points.length - a.points.length);
    for (const line of lines) {
      const zero = Math.abs(line.level) < step / 2, fifth = Math.abs(Math.round(line.level / step)) % 5 === 0;
      const side = kind !== 'height' ? `bend${line.level < -step / 2 ? ' less' : ''}` : zero ? 'zero' : line.level > 0 ? 'above' : 'below';
      this.onBoard.append(s('path', {class: `contour ${side}${fifth && !zero ? ' heavy' : ''}`, d: this.path(line.points)}));
      this.labelLine(line.points, levelText(line.level, kind, zero), taken, labels);
    }
    this.onBoard.append(labels);
    return step;
  }

  /** @param {Point[]} points @param {string} text @param {[number, number][]} taken @param {SVGGElement} labels */
  labelLine(points, text, taken, labels) {
    if (points.length < 8) return;
    for (const share of [0.5, 0.3, 0.7, 0.15, 0.85]) {
      const [x, y] = this.toPx(points[Math.floor(share * (points.length - 1))]);
      const free = x > this.left + 12 && x < this.left + this.length * this.scale - 12 && y > kTop + 8 && y < this.bottom - 4
        && taken.every(([a, b]) => Math.abs(a - x) > 30 || Math.abs(b - y) > 12);
      if (!free) continue;
      taken.push([x, y]);
      labels.append(s('text', {x, y: y + 3.2, 'font-size': kFont, 'text-anchor': 'middle', class: 'level'}, text));
      return;
    }
  }
}

/** @param {number[]} a @param {number[]} b */
const overlap = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];

/** @param {number} level @param {string} kind @param {boolean} zero */
function levelText(level, kind, zero) {
  if (kind === 'share') return `${Math.round(level * 100)} %`;
  if (kind === 'strain') return fixed(level, 0);
  return zero ? '0' : (level > 0 ? '+' : '') + bare(level, Math.abs(level) < 0.1 ? 2 : 1);
}
