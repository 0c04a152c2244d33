// Undo and redo of what a form holds, by whole states.

import {button, h} from './dom.js';

/** @template T */
export class History {
  /** @param {T} first @param {(state: T) => void} show called when undo or redo changed the state */
  constructor(first, show) {
    this.states = [first];
    this.at = 0;
    this.show = show;
    this.undoButton = button('Undo', () => this.move(-1), {disabled: true});
    this.redoButton = button('Redo', () => this.move(1), {disabled: true});
    this.element = h('span', {class: 'row'}, this.undoButton, this.redoButton);
  }

  get now() { return this.states[this.at]; }

  /** @param {T} state */
  add(state) {
    this.states = [...this.states.slice(0, this.at + 1), state].slice(-200);
    this.at = this.states.length - 1;
    this.update();
  }

  /** @param {number} step */
  move(step) {
    const to = this.at + step;
    if (to < 0 || to >= this.states.length) return;
    this.at = to;
    this.update();
    this.show(this.now);
  }

  update() {
    this.undoButton.disabled = this.at === 0;
    this.redoButton.disabled = this.at === this.states.length - 1;
  }

  /** Ctrl-Z, Ctrl-Shift-Z and Ctrl-Y. @param {KeyboardEvent} event */
  key(event) {
    if (!(event.ctrlKey || event.metaKey)) return;
    const letter = event.key.toLowerCase();
    if (letter !== 'z' && letter !== 'y') return;
    event.preventDefault();
    this.move(letter === 'y' || event.shiftKey ? 1 : -1);
  }
}
