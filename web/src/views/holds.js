import {h} from '../dom.js'; 
/** @param {any} c */ export async function holdsView(c) { void c; return {title: 'holds', element: h('div')}; }
