/** Marks as SVG: an element for the tables, a data address for the map. */

import { svg } from './dom.js';
import { MARKS, STATION_MARK } from './marks.js';
import type { EmitterState, RegisterVerdict } from './model.js';

/** An emitter that is not confirmed yet is drawn hollow. */
export function isFilled(verdict: RegisterVerdict, state: EmitterState): boolean {
  return MARKS[verdict].closed && state !== 'tentative';
}

export function markElement(verdict: RegisterVerdict, state: EmitterState): SVGElement {
  const filled = isFilled(verdict, state) ? ' filled' : '';
  return svg(
    'svg',
    { viewBox: '-12 -12 24 24', class: `mark ${verdict}${filled}`, 'aria-hidden': 'true' },
    svg('path', { d: MARKS[verdict].path }),
  );
}

export function stationElement(connected: boolean): SVGElement {
  return svg(
    'svg',
    { viewBox: '-12 -13 24 24', class: `mark station${connected ? '' : ' away'}`, 'aria-hidden': 'true' },
    svg('path', { d: STATION_MARK }),
  );
}

function address(path: string, fill: string, stroke: string, halo: string, extra = ''): string {
  const text =
    `<svg xmlns="http://www.w3.org/2000/svg" width="28" height="28" viewBox="-14 -14 28 28">` +
    `<g stroke-linejoin="round" stroke-linecap="round"><path d="${path}" fill="${halo}" stroke="${halo}" stroke-width="6"/>` +
    `<path d="${path}" fill="${fill}" stroke="${stroke}" stroke-width="2.4" ${extra}/></g></svg>`;
  return `data:image/svg+xml;charset=utf-8,${encodeURIComponent(text)}`;
}

export function markAddress(verdict: RegisterVerdict, filled: boolean, colour: string, halo: string): string {
  return address(MARKS[verdict].path, filled ? colour : halo, colour, halo);
}

/** A station that is away is drawn broken. */
export function stationAddress(connected: boolean, ink: string, halo: string): string {
  return address(STATION_MARK, halo, ink, halo, connected ? '' : 'stroke-dasharray="3 4"');
}
