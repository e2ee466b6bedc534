/** Every station on the map, as a row. */

import { ageSeconds } from './age.js';
import { el, setText } from './dom.js';
import { formatAge, formatPosition } from './format.js';
import { stationElement } from './mark_svg.js';
import type { StationFeature } from './model.js';
import { Table, type Column } from './table.js';

function fillName(cell: HTMLElement, { id, properties }: StationFeature): void {
  const look = String(properties.connected);
  if (cell.dataset.look === look) return;
  cell.dataset.look = look;
  cell.replaceChildren(el('span', { class: 'mark-box' }, stationElement(properties.connected)), id);
}

function clockWords({ properties }: StationFeature): string {
  if (properties.last_heartbeat === null) return 'unknown';
  return `± ${(properties.clock_error_s * 1000).toFixed(properties.clock_error_s < 0.01 ? 1 : 0)} ms`;
}

const COLUMNS: Column<StationFeature>[] = [
  { title: 'Station', fill: fillName },
  { title: 'Position', fill: (cell, s) => setText(cell, formatPosition(s.geometry.coordinates)) },
  { title: 'Link', fill: (cell, s) => setText(cell, s.properties.connected ? 'connected' : 'away') },
  {
    title: 'Heartbeat',
    fill: (cell, { properties: p }) =>
      setText(cell, p.last_heartbeat ? formatAge(ageSeconds(p.last_heartbeat, Date.now())) : 'never'),
  },
  { title: 'Clock', fill: (cell, s) => setText(cell, clockWords(s)) },
  { title: 'Bearings', fill: (cell, s) => setText(cell, s.properties.bearings_admitted.toLocaleString()) },
  { title: 'Refused', fill: (cell, s) => setText(cell, s.properties.bearings_refused.toLocaleString()) },
];

export function stationTable(parent: HTMLElement): Table<StationFeature> {
  return new Table(parent, 'Stations that are shown on the map', COLUMNS, (s) => s.id);
}
