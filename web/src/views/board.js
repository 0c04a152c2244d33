import {h} from '../dom.js'; 
/** @param {any} c */ export async function boardView(c) { void c; return {title: 'board', element: h('div')}; }
