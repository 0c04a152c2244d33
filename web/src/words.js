// Plain words for the program's names.

/** @param {string | undefined} verdict */
export function verdictWords(verdict) {
  switch (verdict) {
    case 'within': return 'within';
    case 'over': return 'over';
    case 'undecided': return 'too close to call';
    default: return 'not measured yet';
  }
}

/** The stack of blades that is the limit: does it go in? @param {string | undefined} verdict */
export function stackWords(verdict) {
  switch (verdict) {
    case 'within': return 'within: the stack does not go in';
    case 'over': return 'over: the stack goes in';
    case 'undecided': return 'too close to call: it may go in or not';
    default: return 'not measured yet';
  }
}

/** @type {Record<string, string>} */
const kDo = {
  'measure-further': 'Measure further', 'leave': 'Leave it as it is', 'use-as-is': 'Use it as it is', 'mount': 'Mount it on shims',
  'press-cold': 'Press it cold', 'press-warm': 'Press it warm', 'strip-and-bake': 'Strip and bake', 'set-aside': 'Set it aside',
  'sell': 'Sell it as it is', 'spares': 'Keep it for spares',
};
/** @param {string} name */
export const doWords = (name) => kDo[name] ?? name;

/** @type {Record<string, string>} */
const kWorks = {yes: 'works', partly: 'works in part', no: 'does not work', untested: 'not tested yet'};
/** @param {string} state */
export const worksWords = (state) => kWorks[state] ?? state;

/** @type {Record<string, string>} */
const kNeed = {case: 'for a case', cards: 'for plug-in cards', cooler: 'for a cooler', sale: 'for a sale', none: 'nothing needs it flat'};
/** @param {string} need */
export const needWords = (need) => kNeed[need] ?? need;

/** @type {Record<string, string>} */
const kOutcome = {'acceptable': 'acceptable', 'process-indicator': 'a sign to watch, no fault', 'defect': 'defect', 'cannot-tell': 'cannot tell yet'};
/** @param {string} outcome */
export const outcomeWords = (outcome) => kOutcome[outcome] ?? outcome;

/** As many digits as a share can bear: tens from 20 % on. @param {number} share */
export const shownShare = (share) => share >= 0.2 ? Math.round(share * 10) * 10 : Math.round(share * 100);

/** @param {number | undefined} share */
export function shareWords(share) {
  if (share === undefined) return 'not measured yet';
  const shown = shownShare(share);
  return `${shown !== 100 || share === 1 ? '' : share > 1 ? 'just over ' : 'just under '}${shown} %`;
}

/** @param {number | undefined} value @param {number} [digits] */
export const percent = (value, digits = 2) => value === undefined ? '–' : `${value.toFixed(digits)} %`;

/** @param {number[] | undefined} pair */
export const interval = (pair) => pair && pair.length > 1 ? `${pair[0].toFixed(2)} to ${pair[pair.length - 1].toFixed(2)} %` : '';

/**
 * Median and 5 to 95 % of a share, in percent, with as many digits as it can bear. @param {number[] | undefined} three
 */
export function keptWords(three) {
  if (!three) return '–';
  const digits = three[2] * 100 < 10 ? 1 : 0;
  const [low, middle, high] = three.map((one) => (one * 100).toFixed(digits));
  return `${middle} % (${low} to ${high})`;
}

/** A 95 % interval of a share, in percent. @param {number[] | undefined} pair */
export const shareInterval = (pair) => pair ? `(${shownShare(pair[0])} to ${shownShare(pair[1])})` : '';

/** First letter large, a full stop at the end. @param {string | undefined} text */
export const sentence = (text) => text ? `${text[0].toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? '' : '.'}` : '';

/** What the program asks for, without the command line's way to say it. @param {string} text */
export const withoutFlags = (text) => text.replace(/ \((?:--|lieflat )[^)]*\)/g, '');

/** A kind by its name, where nothing better is known. @param {string} name */
export const plainName = (name) => name.replaceAll('-', ' ');

/** @param {string} at */
export const day = (at) => at.slice(0, 16).replace('T', ' ');

export const kRegions = ['top-left', 'top-centre', 'top-right', 'middle-left', 'middle-centre', 'middle-right', 'bottom-left', 'bottom-centre', 'bottom-right'];
/** @param {string} region */
export const regionWords = (region) => region.replace('-', ' ').replace('middle centre', 'middle');
