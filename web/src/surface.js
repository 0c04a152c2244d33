// The surface in three dimensions: shaded paper with the sheet's lines of height, parts outlined, corners lettered. Drawn only when
// something moves.

import {AmbientLight, BufferAttribute, BufferGeometry, CanvasTexture, Color, DirectionalLight, DoubleSide, LineBasicMaterial, LineSegments, Mesh, MeshLambertMaterial, PerspectiveCamera, SRGBColorSpace, Scene,
  Sprite, SpriteMaterial, WebGLRenderer} from 'three';

import {contoursOf} from './contours.js';

/** @typedef {import('./types.js').SurfaceGrid} SurfaceGrid */
/** @typedef {{ref: string, corners: [number, number][]}} Outline */

/** @param {SurfaceGrid} grid */
function heightAt(grid) {
  const [x0, x1] = [grid.x_mm[0], grid.x_mm[grid.x_mm.length - 1]], [y0, y1] = [grid.y_mm[0], grid.y_mm[grid.y_mm.length - 1]];
  return (/** @type {number} */ x, /** @type {number} */ y) => {
    const i = Math.min(grid.x_mm.length - 1, Math.max(0, Math.round(((x - x0) / (x1 - x0)) * (grid.x_mm.length - 1))));
    const j = Math.min(grid.y_mm.length - 1, Math.max(0, Math.round(((y - y0) / (y1 - y0)) * (grid.y_mm.length - 1))));
    return grid.height_mm[j][i] ?? 0;
  };
}

/** Triangles between known heights. @param {SurfaceGrid} grid */
function sheetGeometry(grid) {
  const nx = grid.x_mm.length, ny = grid.y_mm.length;
  const places = new Float32Array(nx * ny * 3);
  /** @type {number[]} */
  const triangles = [];
  for (let j = 0; j < ny; ++j) {
    for (let i = 0; i < nx; ++i) {
      places.set([grid.x_mm[i], grid.y_mm[j], grid.height_mm[j][i] ?? 0], 3 * (j * nx + i));
      const known = i + 1 < nx && j + 1 < ny && [grid.height_mm[j][i], grid.height_mm[j][i + 1], grid.height_mm[j + 1][i], grid.height_mm[j + 1][i + 1]].every((one) => one !== null);
      if (known) triangles.push(j * nx + i, j * nx + i + 1, (j + 1) * nx + i + 1, j * nx + i, (j + 1) * nx + i + 1, (j + 1) * nx + i);
    }
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(places, 3));
  geometry.setIndex(triangles);
  return geometry;
}

/** @param {number[][]} points pairs @param {Color} color */
function lines(points, color) {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(new Float32Array(points.flat()), 3));
  return new LineSegments(geometry, new LineBasicMaterial({color}));
}

/** The sheet's own lines of height, lying on the surface; and its rim. @param {SurfaceGrid} grid */
function heightLines(grid) {
  const {x_mm: x, y_mm: y, height_mm: z} = grid;
  const {lines: all, step} = contoursOf(x, y, z, 0.05, 14);
  /** @type {Record<'above' | 'below' | 'zero', number[][]>} */
  const points = {above: [], below: [], zero: []};
  for (const {level, points: path} of all) {
    const into = points[Math.abs(level) < step / 2 ? 'zero' : level > 0 ? 'above' : 'below'];
    path.slice(1).forEach((to, i) => into.push([...path[i], level], [...to, level]));
  }
  const rim = [...x.map((one, i) => [one, y[0], z[0][i]]), ...y.map((one, j) => [x[x.length - 1], one, z[j][x.length - 1]]),
    ...x.map((_, i) => [x[x.length - 1 - i], y[y.length - 1], z[y.length - 1][x.length - 1 - i]]), ...y.map((_, j) => [x[0], y[y.length - 1 - j], z[y.length - 1 - j][0]])];
  rim.slice(1).forEach((to, i) => { if (to[2] !== null && rim[i][2] !== null) points.zero.push(/** @type {number[]} */ (rim[i]), /** @type {number[]} */ (to)); });
  return points;
}

/** Parts as raised outlines. @param {Outline[]} parts @param {(x: number, y: number) => number} height */
const partPoints = (parts, height) => parts.flatMap(({corners}) => corners.flatMap((p, i) => {
  const q = corners[(i + 1) % 4];
  return [0, 1, 2, 3, 4, 5, 6, 7].flatMap((n) => [n / 8, (n + 1) / 8].map((t) => {
    const at = [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])];
    return [at[0], at[1], height(at[0], at[1])];
  }));
}));

/** @param {string} text @param {string} color */
function letter(text, color) {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = 64;
  const pen = canvas.getContext('2d');
  if (pen) {
    pen.font = 'bold 44px Georgia, "DejaVu Serif", serif';
    pen.textAlign = 'center';
    pen.textBaseline = 'middle';
    pen.fillStyle = color;
    pen.fillText(text, 32, 32);
  }
  const map = new CanvasTexture(canvas);
  map.colorSpace = SRGBColorSpace;
  return new Sprite(new SpriteMaterial({map, depthTest: false}));
}

/** @param {Element} element @param {string} name */
const colorOf = (element, name) => new Color(getComputedStyle(element).getPropertyValue(name).trim() || '#888');

/** @param {SurfaceGrid} grid @param {Outline[]} parts @param {HTMLElement} canvas */
function sceneOf(grid, parts, canvas) {
  const scene = new Scene();
  const sheet = sheetGeometry(grid);
  const paper = new Mesh(sheet, new MeshLambertMaterial({color: colorOf(canvas, '--slab'), side: DoubleSide, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1}));
  const heights = heightLines(grid);
  const net = [lines(heights.above, colorOf(canvas, '--above')), lines(heights.below, colorOf(canvas, '--below')), lines(heights.zero, colorOf(canvas, '--ink'))];
  const outlines = lines(partPoints(parts, heightAt(grid)), colorOf(canvas, '--ink'));
  const sun = new DirectionalLight(0xffffff, 2.2);
  sun.position.set(-1, -1, 2);
  scene.add(paper, ...net, outlines, sun, new AmbientLight(0xffffff, 1.1));
  const right = grid.x_mm[grid.x_mm.length - 1], top = grid.y_mm[grid.y_mm.length - 1];
  const ink = `#${colorOf(canvas, '--ink').getHexString()}`;
  const letters = [['A', grid.x_mm[0], grid.y_mm[0]], ['B', right, grid.y_mm[0]], ['C', right, top], ['D', grid.x_mm[0], top]].map(([text, x, y]) => {
    const one = letter(String(text), ink);
    one.position.set(Number(x) * 1.06 - right * 0.03, Number(y) * 1.06 - top * 0.03, 0);
    one.scale.setScalar(right / 14);
    return one;
  });
  scene.add(...letters);
  return {scene, sheet, stretched: [paper, ...net, outlines]};
}

/**
 * @param {HTMLCanvasElement} canvas @param {SurfaceGrid} grid @param {Outline[]} parts
 */
export function showSurface(canvas, grid, parts) {
  const renderer = new WebGLRenderer({canvas, antialias: true, alpha: true});
  const {scene, sheet, stretched} = sceneOf(grid, parts, canvas);
  const camera = new PerspectiveCamera(32, 1.6, 1, 5000);
  camera.up.set(0, 0, 1);
  const centre = [(grid.x_mm[0] + grid.x_mm[grid.x_mm.length - 1]) / 2, (grid.y_mm[0] + grid.y_mm[grid.y_mm.length - 1]) / 2];
  const far = 2.1 * Math.hypot(...centre) / Math.tan((32 * Math.PI) / 360) / 2.1;
  let asked = false, gone = false, frames = 0, spent = 0;
  const draw = () => {
    asked = false;
    if (gone) return;
    const before = performance.now();
    renderer.render(scene, camera);
    ++frames;
    spent += performance.now() - before;
  };
  const ask = () => { if (!asked) { asked = true; requestAnimationFrame(draw); } };
  const fit = () => {
    const width = canvas.clientWidth, height = canvas.clientHeight;
    renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    renderer.setSize(width, height, false);
    camera.aspect = width / Math.max(1, height);
    camera.updateProjectionMatrix();
    ask();
  };
  const watch = new ResizeObserver(fit);
  watch.observe(canvas);
  return {
    /** @param {number} around @param {number} down */
    setTurn(around, down) {
      const flat = Math.cos(down) * far;
      camera.position.set(centre[0] - Math.sin(around) * flat, centre[1] - Math.cos(around) * flat, Math.sin(down) * far);
      camera.lookAt(centre[0], centre[1], 0);
      ask();
    },
    /** @param {number} times */
    setLarger(times) {
      for (const one of stretched) one.scale.z = times;
      sheet.computeVertexNormals();
      ask();
    },
    leave() {
      gone = true;
      watch.disconnect();
      scene.traverse((one) => { if (one instanceof Mesh || one instanceof LineSegments) one.geometry.dispose(); });
      renderer.dispose();
    },
    measure: () => ({frames, script_ms: spent}),
  };
}
