import {h} from '../dom.js'; 
/** @param {any} c */ export async function turnView(c) { void c; return {title: 'turn', element: h('div')}; }
