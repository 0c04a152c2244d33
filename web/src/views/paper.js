import {h} from '../dom.js'; 
/** @param {any} c */ export async function paperView(c) { void c; return {title: 'paper', element: h('div')}; }
