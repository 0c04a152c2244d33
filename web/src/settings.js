// What a person chose for this screen: units and light. Kept by the browser, here only.

import {fixed} from './words.js';

/** @type {'mm' | 'mil' | 'in'} */
let unit = 'mm';
/** @type {'auto' | 'light' | 'dark'} */
let light = 'auto';

/** @param {string} name */
function kept(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;  // Storage may be shut; then nothing is kept.
  }
}

/** @param {string} name @param {string} value */
export function keep(name, value) {
  try {
    localStorage.setItem(name, value);
  } catch {
    // As above.
  }
}

/** @param {string} name */
export const keptValue = (name) => kept(name);

/** @param {string} name */
export function forget(name) {
  try {
    localStorage.removeItem(name);
  } catch {
    // As above.
  }
}

const showLight = () => {
  if (light === 'auto') document.documentElement.removeAttribute('data-light');
  else document.documentElement.setAttribute('data-light', light);
};

export function loadSettings() {
  const keptUnit = kept('unit');
  if (keptUnit === 'mm' || keptUnit === 'mil' || keptUnit === 'in') unit = keptUnit;
  const keptLight = kept('light');
  if (keptLight === 'light' || keptLight === 'dark') light = keptLight;
  showLight();
}

export const currentUnit = () => unit;
export const currentLight = () => light;

/** @param {string} value */
export function setUnit(value) {
  unit = value === 'mil' || value === 'in' ? value : 'mm';
  keep('unit', unit);
}

/** @param {string} value */
export function setLight(value) {
  light = value === 'light' || value === 'dark' ? value : 'auto';
  keep('light', light);
  showLight();
}

const kPerUnit = {mm: 1, mil: 0.0254, in: 25.4};
const kDigits = {mm: 2, mil: 0, in: 3};

/** A length in the unit in use, without its name. @param {number} mm @param {number} [digits] of millimetres */
export function bare(mm, digits = 2) {
  const places = unit === 'mm' ? digits : Math.max(0, kDigits[unit] + digits - 2);
  return fixed(mm / kPerUnit[unit], places);
}

/** @param {number} mm @param {number} [digits] */
export const length = (mm, digits = 2) => `${bare(mm, digits)} ${unit}`;

/** A size along the board, coarse. @param {number} mm */
export const size = (mm) => unit === 'mm' ? String(Math.round(mm * 10) / 10) : (mm / 25.4).toFixed(2);
export const sizeUnit = () => unit === 'mm' ? 'mm' : 'in';

/** The same with its sign, for a difference. @param {number} mm @param {number} [digits] */
export const signedLength = (mm, digits = 2) => `${mm > 0 && /[1-9]/.test(bare(mm, digits)) ? '+' : ''}${length(mm, digits)}`;

/** What was typed, as the program reads it: its number, the decimal mark a point, with the unit in use behind it. @param {string} text */
export function typedLength(text) {
  const trimmed = text.trim().replaceAll(',', '.');
  if (trimmed === '' || /[a-z]/i.test(trimmed)) return trimmed;
  return unit === 'mm' ? trimmed : trimmed.split('+').map((one) => `${one.trim()}${unit}`).join('+');
}

/** Typed numbers, with a comma or a point; NaN when it is none. @param {string} text */
export const numberOf = (text) => text.trim() === '' ? NaN : Number(text.trim().replace(',', '.'));

/** A typed size along the board in mm. @param {string} text */
export const typedSizeMm = (text) => numberOf(text) * (unit === 'mm' ? 1 : 25.4);
