import {h} from '../dom.js'; 
/** @param {any} c */ export async function pressView(c) { void c; return {title: 'press', element: h('div')}; }
