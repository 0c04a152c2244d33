// What is typed, seen at once: the quick figures after each change, the full ones when the hand rests.

import {boardPath, isCancelled, post} from './api.js';

/** @typedef {import('./types.js').Assessment} Assessment */
/** @typedef {{flags: Record<string, unknown>, input: string, replace?: string}} Trial */

const kRestMs = 400;

export class Live {
  /**
   * @param {string} id @param {(assessment: Assessment) => void} show @param {(error: unknown) => void} refuse
   */
  constructor(id, show, refuse) {
    this.path = `${boardPath(id)}/live`;
    this.show = show;
    this.refuse = refuse;
    /** @type {AbortController | undefined} */
    this.control = undefined;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
  }

  /** @param {Trial | undefined} trial undefined: nothing to try */
  async change(trial) {
    this.stop();
    if (!trial) return;
    const control = new AbortController();
    this.control = control;
    this.timer = setTimeout(() => { void this.ask(trial, false, control); }, kRestMs);
    await this.ask(trial, true, control);
  }

  /** @param {Trial} trial @param {boolean} quick @param {AbortController} control */
  async ask(trial, quick, control) {
    try {
      const assessment = /** @type {Assessment} */ (await post(this.path, {...trial, quick}, control.signal));
      if (control.signal.aborted || (quick && this.full === control)) return;
      if (!quick) this.full = control;
      this.show(assessment);
    } catch (error) {
      if (!isCancelled(error) && !control.signal.aborted) this.refuse(error);
    }
  }

  stop() {
    clearTimeout(this.timer);
    this.control?.abort();
  }
}
