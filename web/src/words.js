// Plain words for the program's names, and the digits of its figures: as the program's own text has them where both show the same
// (src/report/words.cpp; tests/page/words_test.mjs holds the two together).

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
    case 'undecided': return 'too close to call: the stack may or may not go in';
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
const kOutcome = {'acceptable': 'acceptable', 'process-indicator': 'a sign to watch, no fault', 'defect': 'defect', 'cannot-tell': 'cannot tell yet'};
/** @param {string} outcome */
export const outcomeWords = (outcome) => kOutcome[outcome] ?? outcome;

/**
 * Rounded as the program rounds: to the even digit where both are as near, and no minus where only zeros are left.
 * @param {number} value @param {number} digits
 */
export function fixed(value, digits) {
  const kAll = 60;  // digits behind the point: any half of a last digit shows as a 5 and zeros
  const size = Math.abs(value), exact = size.toFixed(kAll), cut = exact.length - kAll + digits;
  const lower = digits ? exact.slice(0, cut) : exact.slice(0, cut - 1);
  const text = /^50*$/.test(exact.slice(cut)) && /[02468]$/.test(lower) ? lower : size.toFixed(digits);
  return value < 0 && /[1-9]/.test(text) ? `−${text}` : text;
}

/** As many digits as a share can bear: tens from 20 % on. @param {number} share */
export const shownShare = (share) => share >= 0.2 ? Math.round(share * 10) * 10 : Math.round(share * 100);

/** @param {number | undefined} share */
export function shareWords(share) {
  if (share === undefined) return 'not measured yet';
  const shown = shownShare(share);
  return `${shown !== 100 || share === 1 ? '' : share > 1 ? 'just over ' : 'just under '}${shown} %`;
}

/** @param {number | undefined} value @param {number} [digits] */
export const percent = (value, digits = 2) => value === undefined ? '–' : `${fixed(value, digits)} %`;

/** @param {number[] | undefined} pair */
export const interval = (pair) => pair && pair.length > 1 ? `${fixed(pair[0], 2)} to ${fixed(pair[pair.length - 1], 2)} %` : '';

/** The middle of three, the ends in brackets. @param {number[]} three of percent @param {number} digits */
export const threeWords = (three, digits) => `${fixed(three[1], digits)} % (${fixed(three[0], digits)} to ${fixed(three[2], digits)})`;

/** What stays, 5, 50 and 95 %, to a tenth of a percent. @param {number[]} shares */
export const percentWords = (shares) => threeWords(shares.map((one) => 100 * one), 1);

/** The same with as many digits as it can bear. @param {number[] | undefined} shares */
export const keptWords = (shares) => shares ? threeWords(shares.map((one) => 100 * one), 100 * shares[2] < 10 ? 1 : 0) : '–';

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
