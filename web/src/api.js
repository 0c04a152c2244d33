// What the page asks of the program. Every refusal comes back as a RefusedError with where, what and remedy.

/** @typedef {import('./types.js').Refusal} Refusal */

export class RefusedError extends Error {
  /** @param {Refusal} refusal @param {number} status */
  constructor(refusal, status) {
    super(refusal.message);
    this.refusal = refusal;
    this.status = status;
  }
}

/** @param {Response} response */
async function refusalOf(response) {
  /** @type {Refusal} */
  let refusal = {where: '', message: `the program answered ${response.status}`, remedy: ''};
  try {
    const body = await response.json();
    if (body.error) refusal = body.error;
  } catch {
    // An answer that is no JSON says no more than its status.
  }
  return new RefusedError(refusal, response.status);
}

/** @param {string} path @param {RequestInit} [options] */
async function send(path, options) {
  let response;
  try {
    response = await fetch(path, options);
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new RefusedError({where: '', message: 'the program does not answer',
      remedy: 'is it still running where you started it? What you typed is kept here'}, 0);
  }
  if (!response.ok) throw await refusalOf(response);
  return response;
}

/** @param {string} path @param {AbortSignal} [signal] @returns {Promise<any>} */
export const get = async (path, signal) => (await send(path, {signal})).json();

/** @param {string} path @param {AbortSignal} [signal] */
export const getText = async (path, signal) => (await send(path, {signal})).text();

/** @param {string} path @param {unknown} body @param {AbortSignal} [signal] @returns {Promise<any>} */
export const post = async (path, body, signal) => (await send(path, {
  method: 'POST', headers: {'Content-Type': 'application/json'}, body: JSON.stringify(body), signal,
})).json();

/** @param {string} path @param {File} file @param {AbortSignal} [signal] @returns {Promise<any>} */
export const upload = async (path, file, signal) => (await send(path, {
  method: 'POST', headers: {'Content-Type': file.type || 'application/octet-stream'}, body: file, signal,
})).json();

/** @param {number} ms */
const rest = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

/**
 * Long work: started, followed, cancelled by the signal.
 * @param {string} path @param {Record<string, unknown>} body
 * @param {{signal?: AbortSignal, onProgress?: (line: string) => void}} [options] @returns {Promise<any>}
 */
export async function work(path, body, {signal, onProgress} = {}) {
  const started = await post(path, {...body, job: true}, signal);
  if (!started.job) return started;
  const at = `/api/jobs/${started.job}`;
  for (let pause = 40; ; pause = Math.min(pause * 1.5, 250)) {
    if (signal?.aborted) {
      await send(at, {method: 'DELETE'}).catch(() => undefined);
      throw new DOMException('cancelled', 'AbortError');
    }
    const job = await get(at);
    if (job.progress) onProgress?.(job.progress);
    if (job.state === 'done') return job.result;
    if (job.state === 'failed') throw new RefusedError(job.error, 400);
    if (job.state === 'cancelled') throw new DOMException('cancelled', 'AbortError');
    await rest(pause);
  }
}

/** @param {unknown} error */
export const isCancelled = (error) => error instanceof DOMException && error.name === 'AbortError';

/** @param {string} id */
export const boardPath = (id) => `/api/boards/${id}`;

/**
 * A verb of the program on a board.
 * @param {string} id @param {string} verb
 * @param {{words?: string[], flags?: Record<string, unknown>, input?: string}} request
 * @param {{signal?: AbortSignal, onProgress?: (line: string) => void}} [options]
 */
export const run = (id, verb, request, options) => options
  ? work(`${boardPath(id)}/run`, {verb, ...request}, options)
  : post(`${boardPath(id)}/run`, {verb, ...request});
