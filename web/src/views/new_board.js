import {h} from '../dom.js'; 
/** @param {any} c */ export async function newBoardView(c) { void c; return {title: 'new_board', element: h('div')}; }
