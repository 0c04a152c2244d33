import {h} from '../dom.js'; 
/** @param {any} c */ export async function readingsView(c) { void c; return {title: 'readings', element: h('div')}; }
