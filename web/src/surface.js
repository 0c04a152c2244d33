// The surface in three dimensions: shaded paper with its grid lines, parts outlined, corners lettered. Drawn only when
// something moves.

import {AmbientLight, BufferAttribute, BufferGeometry, CanvasTexture, Color, DirectionalLight, DoubleSide, LineBasicMaterial, LineSegments, Mesh, MeshLambertMaterial, PerspectiveCamera, SRGBColorSpace, Scene,
  Sprite, SpriteMaterial, WebGLRenderer} from 'three';

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

/** Grid lines of the sheet. @param {SurfaceGrid} grid */
function gridPoints(grid) {
  /** @type {number[][]} */
  const points = [];
  const {x_mm: x, y_mm: y, height_mm: z} = grid;
  const add = (/** @type {number} */ i, /** @type {number} */ j, /** @type {number} */ k, /** @type {number} */ l) => {
    if (z[j][i] !== null && z[l][k] !== null) points.push([x[i], y[j], z[j][i] ?? 0], [x[k], y[l], z[l][k] ?? 0]);
  };
  const last = (/** @type {number} */ n, /** @type {number} */ step, /** @type {number} */ count) => n % step === 0 || n === count - 1;
  for (let j = 0; j < y.length; ++j) for (let i = 0; i + 1 < x.length; ++i) if (last(j, 4, y.length)) add(i, j, i + 1, j);
  for (let i = 0; i < x.length; ++i) for (let j = 0; j + 1 < y.length; ++j) if (last(i, 4, x.length)) add(i, j, i, j + 1);
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
  const net = lines(gridPoints(grid), colorOf(canvas, '--rule'));
  const outlines = lines(partPoints(parts, heightAt(grid)), colorOf(canvas, '--ink'));
  const sun = new DirectionalLight(0xffffff, 2.2);
  sun.position.set(-1, -1, 2);
  scene.add(paper, net, outlines, sun, new AmbientLight(0xffffff, 1.1));
  const right = grid.x_mm[grid.x_mm.length - 1], top = grid.y_mm[grid.y_mm.length - 1];
  const ink = `#${colorOf(canvas, '--ink').getHexString()}`;
  const letters = [['A', grid.x_mm[0], grid.y_mm[0]], ['B', right, grid.y_mm[0]], ['C', right, top], ['D', grid.x_mm[0], top]].map(([text, x, y]) => {
    const one = letter(String(text), ink);
    one.position.set(Number(x) * 1.06 - right * 0.03, Number(y) * 1.06 - top * 0.03, 0);
    one.scale.setScalar(right / 14);
    return one;
  });
  scene.add(...letters);
  return {scene, sheet, stretched: [paper, net, outlines]};
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
