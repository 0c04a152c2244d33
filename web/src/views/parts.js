import {h} from '../dom.js'; 
/** @param {any} c */ export async function partsView(c) { void c; return {title: 'parts', element: h('div')}; }
