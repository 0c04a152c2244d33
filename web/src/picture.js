// Places on a photo: tapped with a finger or the mouse, or walked to with the arrow keys and set with Enter.

import {h, s} from './dom.js';

/** @typedef {[number, number]} Px  pixels of the photo itself */

export class Picture {
  /** @param {string} url @param {string} words what the photo is @param {(at: Px) => void} onTap */
  constructor(url, words, onTap) {
    /** @type {Px} */
    this.cross = [0, 0];
    this.marks = s('g');
    this.aim = s('g');
    this.svg = s('svg', {role: 'application', tabindex: 0, 'aria-label': `${words}: arrow keys move the cross, with Shift in larger steps; Enter sets a place`});
    this.svg.append(this.marks, this.aim);
    this.image = h('img', {src: url, alt: words});
    this.element = h('div', {class: 'photo-open'}, this.image, this.svg);
    this.image.addEventListener('load', () => this.ready());
    this.svg.addEventListener('click', (event) => { if (event.detail) onTap(this.at(event)); });
    this.svg.addEventListener('keydown', (event) => this.key(event, onTap));
  }

  ready() {
    const {naturalWidth: w, naturalHeight: height} = this.image;
    this.svg.setAttribute('viewBox', `0 0 ${w} ${height}`);
    this.size = Math.max(w, height) / 60;
    this.cross = [w / 2, height / 2];
  }

  /** @param {{clientX: number, clientY: number}} event @returns {Px} */
  at(event) {
    const matrix = this.svg.getScreenCTM();
    if (!matrix) return [0, 0];
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    return [Math.round(point.x), Math.round(point.y)];
  }

  /** @param {KeyboardEvent} event @param {(at: Px) => void} onTap */
  key(event, onTap) {
    const by = event.shiftKey ? 50 : 5;
    const step = {ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by]}[event.key];
    if (step) {
      event.preventDefault();
      this.cross = [this.cross[0] + step[0], this.cross[1] + step[1]];
      this.aim.replaceChildren(...this.ring(this.cross, ''));
    } else if (event.key === 'Enter' || event.key === ' ') {
      event.preventDefault();
      onTap([Math.round(this.cross[0]), Math.round(this.cross[1])]);
    }
  }

  /** @param {Px} at @param {string} text */
  ring(at, text) {
    const r = this.size ?? 20, d = `M${at[0] - 2 * r},${at[1]}h${4 * r}M${at[0]},${at[1] - 2 * r}v${4 * r}`;
    return [s('path', {class: 'dark', d}), s('path', {d}), s('circle', {cx: at[0], cy: at[1], r}),
      s('text', {x: at[0] + r * 1.2, y: at[1] - r * 1.2, 'font-size': r * 1.8, fill: '#fff', stroke: '#000', 'stroke-width': r / 6, 'paint-order': 'stroke'}, text)];
  }

  /** @param {Px[]} points @param {(i: number) => string} name */
  show(points, name) {
    this.marks.replaceChildren(...points.flatMap((at, i) => this.ring(at, name(i))));
  }
}

/**
 * The map from four places on a photo to the board's corners, as nine numbers; undefined when three lie on a line.
 * @param {Px[]} from @param {[number, number][]} to
 */
export function mapOf(from, to) {
  /** @type {number[][]} */
  const rows = [];
  from.forEach(([u, v], i) => {
    const [x, y] = to[i];
    rows.push([u, v, 1, 0, 0, 0, -u * x, -v * x, x], [0, 0, 0, u, v, 1, -u * y, -v * y, y]);
  });
  for (let k = 0; k < 8; ++k) {
    let pivot = k;
    for (let i = k + 1; i < 8; ++i) if (Math.abs(rows[i][k]) > Math.abs(rows[pivot][k])) pivot = i;
    if (Math.abs(rows[pivot][k]) < 1e-9) return undefined;
    [rows[k], rows[pivot]] = [rows[pivot], rows[k]];
    for (let i = 0; i < 8; ++i) {
      if (i === k) continue;
      const f = rows[i][k] / rows[k][k];
      for (let j = k; j < 9; ++j) rows[i][j] -= f * rows[k][j];
    }
  }
  return [...rows.map((row, i) => row[8] / row[i]), 1];
}

/** @param {number[]} map @param {Px} at @returns {[number, number]} */
export function mapped(map, [u, v]) {
  const w = map[6] * u + map[7] * v + map[8];
  return [Math.round(10 * (map[0] * u + map[1] * v + map[2]) / w) / 10, Math.round(10 * (map[3] * u + map[4] * v + map[5]) / w) / 10];
}
