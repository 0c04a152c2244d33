import {h} from '../dom.js'; 
/** @param {any} c */ export async function photosView(c) { void c; return {title: 'photos', element: h('div')}; }
