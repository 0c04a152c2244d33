// The surface, turned by mouse, touch and keys; a drawing instead where the browser has no WebGL.

import {fill, h, s, button, field} from '../dom.js';
import {boardPath, get} from '../api.js';
import {cornersOf} from '../board_drawing.js';
import {contoursOf, niceStep, rangeOf} from '../contours.js';
import {withProgress} from '../progress.js';
import {length} from '../settings.js';

/** @typedef {import('../types.js').SurfaceGrid} SurfaceGrid */
/** @typedef {import('../types.js').BoardRecord} BoardRecord */
/** @typedef {{setTurn: (around: number, down: number) => void, setLarger: (times: number) => void, leave: () => void, measure: () => {frames: number, script_ms: number}}} Surface */

/** Heights so that the bend is about an eighth of the length. @param {SurfaceGrid} grid */
function usualLarger(grid) {
  const [low, high] = rangeOf(grid.height_mm);
  const long = Math.max(...grid.x_mm) - Math.min(...grid.x_mm);
  return Math.max(1, Math.min(100, niceStep(long / 8 / Math.max(high - low, 0.01))));
}

const hasWebGl = () => {
  try {
    const canvas = document.createElement('canvas');
    return Boolean(canvas.getContext('webgl2'));
  } catch {
    return false;
  }
};

/** The surface in oblique projection, drawn from the far rows to the near ones. @param {SurfaceGrid} grid @param {number} larger @param {number} around @param {number} down @param {string} words */
function oblique(grid, larger, around, down, words) {
  const cx = (grid.x_mm[0] + grid.x_mm[grid.x_mm.length - 1]) / 2, cy = (grid.y_mm[0] + grid.y_mm[grid.y_mm.length - 1]) / 2;
  const ca = Math.cos(around), sa = Math.sin(around), sd = Math.sin(down), cd = Math.cos(down);
  const half = Math.hypot(cx, cy), k = 170 / half;
  const at = (/** @type {number} */ i, /** @type {number} */ j) => place(grid.x_mm[i], grid.y_mm[j], grid.height_mm[j][i] ?? 0);
  const place = (/** @type {number} */ xMm, /** @type {number} */ yMm, /** @type {number} */ zMm) => {
    const x = xMm - cx, y = yMm - cy, z = zMm * larger;
    const u = x * ca - y * sa, v = x * sa + y * ca;
    return [180 + k * u, 130 - k * (v * sd + z * cd)];
  };
  const line = (/** @type {number[][]} */ points) => points.map(([x, y], n) => `${n ? 'L' : 'M'}${x.toFixed(1)},${y.toFixed(1)}`).join('');
  const nx = grid.x_mm.length, ny = grid.y_mm.length;
  const rim = line([...[...Array(nx)].map((_, i) => at(i, 0)), ...[...Array(ny)].map((_, j) => at(nx - 1, j)), ...[...Array(nx)].map((_, i) => at(nx - 1 - i, ny - 1)), ...[...Array(ny)].map((_, j) => at(0, ny - 1 - j))]) + 'Z';
  const contours = contoursOf(grid.x_mm, grid.y_mm, grid.height_mm, 0.05, 14).lines.map(({level, points}) =>
    s('path', {class: `contour ${Math.abs(level) < 1e-6 ? 'zero' : level > 0 ? 'above' : 'below'}`, d: line(points.map(([x, y]) => place(x, y, level)))}));
  const letter = (/** @type {string} */ text, /** @type {number} */ i, /** @type {number} */ j) => { const [x, y] = at(i, j); return s('text', {x, y: y + 12, 'font-size': 10, 'text-anchor': 'middle', class: 'b'}, text); };
  return s('svg', {class: 'drawing turn-drawing', viewBox: '0 0 360 260', role: 'img', 'aria-label': words}, s('path', {class: 'slab', d: rim}), contours, s('path', {class: 'outline', d: rim}),
    letter('A', 0, 0), letter('B', nx - 1, 0), letter('C', nx - 1, ny - 1), letter('D', 0, ny - 1));
}

/** @param {import('../main.js').Context & {record: BoardRecord}} context @returns {Promise<import('../main.js').View>} */
export async function turnView({record}) {
  const said = h('div'), place = h('div'), words = h('p', {role: 'status'}), acts = h('div');
  /** @type {Surface | undefined} */
  let surface;
  let left = false;
  const leave = () => { left = true; surface?.leave(); };
  const element = h('div', null, said, place, words, acts);
  void withProgress(said, 'Working out the surface', ({signal}) => get(`${boardPath(record.id)}/assessment?drawn=1`, signal)).then(async (/** @type {import('../types.js').Assessment | undefined} */ assessment) => {
    const grid = assessment?.surface;
    if (!assessment || left) return;
    if (!grid) {
      fill(place, h('p', null, 'There is no surface yet: ', h('a', {href: `#/board/${record.id}/readings`}, 'read it first'), '.'));
      return;
    }
    const [low, high] = rangeOf(grid.height_mm);
    let larger = usualLarger(grid), around = -0.6, down = 0.6;
    const label = () => `Heights are drawn ${larger} times larger than they are; from ${length(low)} to ${length(high)} over the best plane.`;
    const svg = !hasWebGl();
    const draw = () => {
      words.textContent = label();
      if (svg) fill(place, oblique(grid, larger, around, down, `The surface of ${record.label}. ${label()}`));
      else { surface?.setLarger(larger); surface?.setTurn(around, down); }
    };
    const turn = (/** @type {number} */ a, /** @type {number} */ d) => { around += a; down = Math.min(1.55, Math.max(0.05, down + d)); draw(); };
    if (!svg) {
      const canvas = h('canvas', {class: 'turn', tabindex: 0, role: 'application', 'aria-label': `The surface of ${record.label}: arrow keys turn it, plus and minus make the heights larger or smaller`,
        on: {keydown: (/** @type {KeyboardEvent} */ event) => keyTurn(event, turn, (times) => { larger = Math.max(1, Math.min(200, Math.round(larger * times))); draw(); })}});
      fill(place, canvas);
      dragTurn(canvas, turn);
      const {showSurface} = await import(/** @type {any} */ ('./surface.js'));
      if (left) return;
      surface = /** @type {Surface} */ (showSurface(canvas, grid, record.board.parts.filter((part) => part.x_mm !== undefined).map((part) => ({ref: part.ref, corners: cornersOf(part)}))));
      Object.assign(canvas, {surface});
    }
    const slide = h('input', {type: 'range', min: 1, max: 100, value: larger, on: {input: () => { larger = Number(slide.value); draw(); }}});
    fill(acts, field('How much larger', slide), h('div', {class: 'acts'}, button('Turn left', () => turn(-0.25, 0)), button('Turn right', () => turn(0.25, 0)), button('From higher', () => turn(0, 0.2)), button('From lower', () => turn(0, -0.2))));
    draw();
  });
  return {title: `The surface of ${record.label}`, element, leave};
}

/** @param {KeyboardEvent} event @param {(a: number, d: number) => void} turn @param {(times: number) => void} scale */
function keyTurn(event, turn, scale) {
  const step = /** @type {Record<string, [number, number]>} */ ({ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, 0.1], ArrowDown: [0, -0.1]})[event.key];
  if (step) { event.preventDefault(); turn(...step); }
  if (event.key === '+') scale(1.25);
  if (event.key === '-') scale(0.8);
}

/** @param {HTMLCanvasElement} canvas @param {(a: number, d: number) => void} turn */
function dragTurn(canvas, turn) {
  canvas.addEventListener('pointerdown', (event) => canvas.setPointerCapture(event.pointerId));
  canvas.addEventListener('pointermove', (event) => { if (event.buttons) turn(event.movementX * 0.008, event.movementY * 0.006); });
}
