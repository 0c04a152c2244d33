// What is changed by hand, seen at once: quick figures while the hand moves, the full ones when it rests.

import {isCancelled} from './api.js';

const kRestMs = 400;

/**
 * One quick question at a time, always about the newest state; a full one once nothing has changed for a while.
 * @template State, Answer
 */
export class Live {
  /**
   * @param {{quick: (state: State) => Promise<Answer>, full: (state: State, signal: AbortSignal) => Promise<Answer>,
   *   show: (answer: Answer, quick: boolean) => void, refuse: (error: unknown) => void}} how
   */
  constructor(how) {
    this.how = how;
    /** @type {State | undefined} */
    this.wanted = undefined;
    /** @type {State | undefined} */
    this.shownFull = undefined;
    this.busy = false;
    /** @type {AbortController | undefined} */
    this.control = undefined;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
  }

  /** @param {State | undefined} state undefined: nothing to ask */
  change(state) {
    this.stop();
    this.wanted = state;
    if (state === undefined) return;
    this.timer = setTimeout(() => { void this.askFull(state); }, kRestMs);
    if (!this.busy) void this.pump();
  }

  async pump() {
    this.busy = true;
    /** @type {State | undefined} */
    let asked;
    while (this.wanted !== undefined && this.wanted !== asked && this.wanted !== this.shownFull) {
      asked = this.wanted;
      try {
        const answer = await this.how.quick(asked);
        if (this.wanted !== undefined && this.wanted !== this.shownFull) this.how.show(answer, true);
      } catch (error) {
        if (!isCancelled(error) && this.wanted === asked) this.how.refuse(error);
      }
    }
    this.busy = false;
  }

  /** @param {State} state */
  async askFull(state) {
    const control = new AbortController();
    this.control = control;
    try {
      const answer = await this.how.full(state, control.signal);
      if (this.wanted !== state) return;
      this.shownFull = state;
      this.how.show(answer, false);
    } catch (error) {
      if (!isCancelled(error) && this.wanted === state) this.how.refuse(error);
    }
  }

  stop() {
    clearTimeout(this.timer);
    this.control?.abort();
    this.wanted = undefined;
  }
}
