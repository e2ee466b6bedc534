/**
 * A table whose rows follow a list of things by their identity: rows are kept, moved and
 * rewritten, never rebuilt, so that focus and reading place stay. On a narrow screen each row
 * becomes a card; the roles keep it a table for a screen reader.
 */

import { el } from './dom.js';

export interface Column<T> {
  title: string;
  /** Fills the cell; called again when the thing or the time has changed. */
  fill: (cell: HTMLElement, thing: T) => void;
}

export class Table<T> {
  private readonly body = el('tbody', { role: 'rowgroup' });
  private readonly rows = new Map<string, HTMLTableRowElement>();

  constructor(
    parent: HTMLElement,
    caption: string,
    private readonly columns: readonly Column<T>[],
    private readonly keyOf: (thing: T) => string,
  ) {
    const heads = columns.map((c) => el('th', { role: 'columnheader', scope: 'col' }, c.title));
    parent.append(
      el('table', { role: 'table' },
        el('caption', { class: 'unseen' }, caption),
        el('thead', { role: 'rowgroup' }, el('tr', { role: 'row' }, ...heads)),
        this.body),
    );
  }

  show(things: readonly T[]): void {
    const present = new Set(things.map(this.keyOf));
    for (const [key, row] of this.rows) {
      if (present.has(key)) continue;
      row.remove();
      this.rows.delete(key);
    }
    things.forEach((thing, place) => this.place(this.write(thing), place));
  }

  /** The row of a thing that is shown. */
  row(key: string): HTMLTableRowElement | undefined {
    return this.rows.get(key);
  }

  first(): Element | null {
    return this.body.firstElementChild;
  }

  private place(row: HTMLTableRowElement, place: number): void {
    const there = this.body.children[place] ?? null;
    if (there !== row) this.body.insertBefore(row, there);
  }

  private write(thing: T): HTMLTableRowElement {
    const key = this.keyOf(thing);
    let row = this.rows.get(key);
    if (!row) {
      const cells = this.columns.map((c) => el('td', { role: 'cell', 'data-title': c.title }));
      row = el('tr', { role: 'row', 'data-key': key }, ...cells);
      this.rows.set(key, row);
    }
    this.columns.forEach((column, i) => column.fill(row.children[i] as HTMLElement, thing));
    return row;
  }
}
