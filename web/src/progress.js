// Work that takes a while: after half a second it says so, with a way to cancel.

import {announce, button, fill, h} from './dom.js';
import {RefusedError, isCancelled} from './api.js';

/** @param {HTMLElement} place @param {unknown} error */
export function showRefusal(place, error) {
  if (error instanceof RefusedError) {
    const {where, message, remedy} = error.refusal;
    fill(place, h('div', {class: 'refusal', role: 'alert'},
      h('p', null, h('strong', null, where ? `${where}: ` : ''), message), remedy ? h('p', null, remedy) : null));
  } else {
    throw error;
  }
}

/**
 * @template T
 * @param {HTMLElement} place where it is said, and what went wrong
 * @param {string} what "Working out what pressing does"
 * @param {(options: {signal: AbortSignal, onProgress: (line: string) => void}) => Promise<T>} act
 * @returns {Promise<T | undefined>} undefined when refused or cancelled: then that is said in `place`
 */
export async function withProgress(place, what, act) {
  const control = new AbortController();
  const line = h('span', {class: 'soft'});
  const late = setTimeout(() => {
    fill(place, h('div', {class: 'progress'}, h('p', null, `${what} `, line), h('progress', {'aria-label': what}),
      button('Cancel', () => control.abort())));
    announce(what);
  }, 500);
  try {
    const result = await act({signal: control.signal, onProgress: (text) => { line.textContent = text; }});
    fill(place);
    return result;
  } catch (error) {
    if (isCancelled(error)) {
      fill(place, h('p', {class: 'soft'}, 'Cancelled; nothing was changed.'));
      return undefined;
    }
    showRefusal(place, error);
    return undefined;
  } finally {
    clearTimeout(late);
  }
}
