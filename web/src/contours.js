// Lines of equal value on a grid, chained so that dashes run through and a number finds room.

/** @typedef {[number, number]} Point */
/** @typedef {{level: number, points: Point[]}} Line */

/** The smallest of 1, 2, 5, 10, ... times a power of ten that is at least `least`. @param {number} least */
export function niceStep(least) {
  const power = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map((one) => one * power).find((one) => one >= least * 0.999) ?? 10 * power;
}

/** @param {(number | null)[][]} rows @returns {[number, number]} */
export function rangeOf(rows) {
  let low = Infinity, high = -Infinity;
  for (const row of rows) {
    for (const value of row) {
      if (value === null) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  return [low, high];
}

/** Where the level crosses a cell's sides, two at a time. @param {number[]} z its corners, counter-clockwise @param {number} level */
function crossings(z, level) {
  /** @type {[number, number][]} */
  const found = [];
  for (let side = 0; side < 4; ++side) {
    const from = z[side], to = z[(side + 1) % 4];
    if ((from < level) !== (to < level)) found.push([side, (level - from) / (to - from)]);
  }
  return found;
}

/** @param {string} a @param {string} b @param {Map<string, string[]>} links */
function link(a, b, links) {
  if (!links.has(a)) links.set(a, []);
  if (!links.has(b)) links.set(b, []);
  links.get(a)?.push(b);
  links.get(b)?.push(a);
}

/** Walks from one crossing to the next until there is none. @param {string} start @param {Map<string, string[]>} links */
function walk(start, links) {
  const path = [start];
  let here = start;
  for (;;) {
    const next = links.get(here)?.pop();
    if (next === undefined) break;
    const back = links.get(next);
    const at = back ? back.indexOf(here) : -1;
    if (back && at >= 0) back.splice(at, 1);
    path.push(next);
    here = next;
  }
  return path;
}

/**
 * @param {number[]} x @param {number[]} y @param {(number | null)[][]} rows a row for each y @param {number} level
 * @returns {Line[]}
 */
export function linesAt(x, y, rows, level) {
  /** @type {Map<string, Point>} */
  const places = new Map();
  /** @type {Map<string, string[]>} */
  const links = new Map();
  for (let j = 0; j + 1 < y.length; ++j) {
    for (let i = 0; i + 1 < x.length; ++i) {
      const z = [rows[j][i], rows[j][i + 1], rows[j + 1][i + 1], rows[j + 1][i]];
      if (z.some((one) => one === null)) continue;
      const found = crossings(/** @type {number[]} */ (z), level);
      const keys = found.map(([side, t]) => {
        const key = side === 0 ? `h${i},${j}` : side === 1 ? `v${i + 1},${j}` : side === 2 ? `h${i},${j + 1}` : `v${i},${j}`;
        const s = side > 1 ? 1 - t : t;
        places.set(key, side % 2 === 0 ? [x[i] + s * (x[i + 1] - x[i]), y[side === 0 ? j : j + 1]]
          : [x[side === 1 ? i + 1 : i], y[j] + s * (y[j + 1] - y[j])]);
        return key;
      });
      for (let k = 0; k + 1 < keys.length; k += 2) link(keys[k], keys[k + 1], links);
    }
  }
  /** @type {Line[]} */
  const lines = [];
  const ends = [...links.keys()].filter((key) => links.get(key)?.length === 1);
  for (const start of [...ends, ...links.keys()]) {
    if (!links.get(start)?.length) continue;
    lines.push({level, points: walk(start, links).map((key) => /** @type {Point} */ (places.get(key)))});
  }
  return lines;
}

/**
 * About `count` levels over the range, at multiples of a nice step.
 * @param {number[]} x @param {number[]} y @param {(number | null)[][]} rows @param {number} leastStep @param {number} [count]
 */
export function contoursOf(x, y, rows, leastStep, count = 7) {
  const [low, high] = rangeOf(rows);
  const step = niceStep(Math.max(leastStep, (high - low) / count));
  /** @type {Line[]} */
  const lines = [];
  for (let n = Math.ceil(low / step); n * step <= high; ++n) lines.push(...linesAt(x, y, rows, n * step + 1e-9));
  return {lines, step};
}
