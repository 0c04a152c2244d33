// A board's worst edge, small: the arch over its ruler and the limit as a stack of blades. Heights are
// drawn 12 times larger than they are against the edge's length.

import {s} from './dom.js';

const kWidth = 220, kLeft = 6, kSpan = 208, kFloor = 44, kLarger = 12;

/** @param {number} percent */
const up = (percent) => Math.min(34, (percent / 100) * kSpan * kLarger);

/**
 * @param {{percent?: number, limit: number, verdict: string, words: string}} edge
 */
export function edgeThumb({percent, limit, verdict, words}) {
  const known = percent !== undefined;
  const rise = up(Math.abs(percent ?? 0)), stack = up(limit);
  const y = kFloor - 4, x0 = kLeft, x1 = kLeft + kSpan, xm = (x0 + x1) / 2;
  const arch = (/** @type {number} */ lift) => `${x0},${y - lift}Q${xm},${y - lift - 2 * rise} ${x1},${y - lift}`;
  let ticks = '';
  for (let n = 0; n <= 20; ++n) ticks += `M${x0 + (n * kSpan) / 20},${kFloor - 4}v${n % 5 ? 3 : 6}`;
  const blades = verdict === 'over' ? 'blades' : verdict === 'within' ? 'blades out' : 'blades maybe';
  return s('svg', {class: 'drawing thumb', viewBox: `0 0 ${kWidth} ${kFloor + 8}`, role: 'img', 'aria-label': words},
    s('rect', {class: 'ruler', x: x0, y: kFloor - 4, width: kSpan, height: 10}),
    s('path', {class: 'tick', d: ticks}),
    known ? s('path', {class: 'slab', d: `M${arch(0)}L${x1},${y - 5}Q${xm},${y - 5 - 2 * rise} ${x0},${y - 5}Z`})
      : s('path', {class: 'unread', d: `M${x0},${y - 8}H${x1}`}),
    s('path', {class: 'limit', d: `M${x0},${y - stack}H${x1}`}),
    known ? s('rect', {class: blades, x: xm - 9, y: y - stack, width: 18, height: stack}) : null,
    known && stack > 8 ? s('path', {class: 'between', d: `M${xm - 9},${y - stack / 2}h18`}) : null);
}
