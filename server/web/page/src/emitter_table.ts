/** Every emitter on the map, as a row. */

import { ageSeconds } from './age.js';
import { el, setText } from './dom.js';
import { formatAge, formatEllipse, formatFrequency, formatPosition } from './format.js';
import { markElement } from './mark_svg.js';
import { verdictOf, type EmitterFeature } from './model.js';
import { VERDICT_WORDS } from './sentence.js';
import { Table, type Column } from './table.js';

function fillMark(cell: HTMLElement, { properties }: EmitterFeature): void {
  const look = `${verdictOf(properties)} ${properties.state}`;
  const box = cell.querySelector<HTMLElement>('.mark-box') ?? cell.appendChild(el('span', { class: 'mark-box' }));
  if (box.dataset.look === look) return;
  box.dataset.look = look;
  box.replaceChildren(markElement(verdictOf(properties), properties.state));
}

/** The button carries the selection, so that keyboard and screen reader have it too. */
function fillName(cell: HTMLElement, emitter: EmitterFeature): void {
  fillMark(cell, emitter);
  const button = cell.querySelector('button') ?? cell.appendChild(el('button', { type: 'button', 'aria-pressed': 'false' }));
  const { name, frequency_hz } = emitter.properties;
  setText(button, name === null ? formatFrequency(frequency_hz) : `${formatFrequency(frequency_hz)} ${name}`);
}

function stateWords({ properties }: EmitterFeature): string {
  const grade = properties.grade && properties.grade !== 'checked' ? `, ${properties.grade}` : '';
  return `${properties.state}${properties.motion === 'moving' ? ', moving' : ''}${grade}`;
}

const COLUMNS: Column<EmitterFeature>[] = [
  { title: 'Frequency', fill: fillName },
  {
    title: 'Position',
    fill: (cell, { properties: p }) => setText(cell, p.position ? formatPosition(p.position) : 'none yet'),
  },
  {
    title: '95 % ellipse',
    fill: (cell, { properties: p }) => setText(cell, p.ellipse ? formatEllipse(p.ellipse) : '–'),
  },
  {
    title: 'Stations',
    fill: (cell, { properties: p }) => {
      setText(cell, String(p.stations.length));
      cell.title = p.stations.join(', ');
    },
  },
  { title: 'State', fill: (cell, emitter) => setText(cell, stateWords(emitter)) },
  {
    title: 'Last heard',
    fill: (cell, { properties: p }) => setText(cell, formatAge(ageSeconds(p.last_heard, Date.now()))),
  },
  { title: 'Register', fill: (cell, { properties: p }) => setText(cell, VERDICT_WORDS[verdictOf(p)]) },
];

export class EmitterTable {
  private readonly table: Table<EmitterFeature>;
  private selected: string | null = null;

  constructor(parent: HTMLElement, onSelect: (id: string) => void) {
    this.table = new Table(parent, 'Emitters that are shown on the map', COLUMNS, (e) => e.id);
    parent.addEventListener('click', (event) => {
      const row = (event.target as Element).closest<HTMLElement>('tr[data-key]');
      if (row?.dataset.key) onSelect(row.dataset.key);
    });
    parent.addEventListener('keydown', (event) => this.walk(event));
  }

  show(emitters: readonly EmitterFeature[]): void {
    this.table.show(emitters);
    this.mark(this.selected, true);
  }

  select(id: string | null): void {
    this.mark(this.selected, false);
    this.selected = id;
    this.mark(id, true);
    if (id !== null) this.table.row(id)?.scrollIntoView({ block: 'nearest' });
  }

  focusFirst(): void {
    this.table.first()?.querySelector('button')?.focus();
  }

  private mark(id: string | null, selected: boolean): void {
    const row = id === null ? undefined : this.table.row(id);
    row?.classList.toggle('selected', selected);
    row?.querySelector('button')?.setAttribute('aria-pressed', String(selected));
  }

  /** Up and down go from row to row. */
  private walk(event: KeyboardEvent): void {
    const step = { ArrowDown: 'nextElementSibling', ArrowUp: 'previousElementSibling' }[event.key];
    if (!step) return;
    const row = (event.target as Element).closest('tr[data-key]');
    const next = row?.[step as 'nextElementSibling' | 'previousElementSibling'];
    const button = next?.querySelector('button');
    if (!button) return;
    event.preventDefault();
    button.focus();
  }
}
