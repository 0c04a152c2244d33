import {h} from '../dom.js'; 
/** @param {any} c */ export async function glanceView(c) { void c; return {title: 'glance', element: h('div')}; }
