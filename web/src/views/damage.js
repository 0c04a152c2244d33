import {h} from '../dom.js'; 
/** @param {any} c */ export async function damageView(c) { void c; return {title: 'damage', element: h('div')}; }
