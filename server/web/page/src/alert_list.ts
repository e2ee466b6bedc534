/** Alerts that are open, newest first. */

import { el } from './dom.js';
import { formatUtc } from './format.js';
import type { Alert } from './model.js';

export class AlertList {
  private readonly alerts = new Map<string, Alert>();

  constructor(
    private readonly parent: HTMLElement,
    private readonly onSelect: (emitter: string) => void,
  ) {}

  replaceAll(alerts: readonly Alert[]): void {
    this.alerts.clear();
    this.put(alerts);
  }

  put(alerts: readonly Alert[]): void {
    for (const alert of alerts) {
      if (alert.acknowledged_at === null) this.alerts.set(alert.id, alert);
      else this.alerts.delete(alert.id);
    }
    const newest = [...this.alerts.values()].sort((a, b) => b.raised_at.localeCompare(a.raised_at));
    this.parent.replaceChildren(...newest.slice(0, 50).map((alert) => this.row(alert)));
    if (newest.length === 0) this.parent.append(el('li', { class: 'none' }, 'None are open.'));
  }

  get size(): number {
    return this.alerts.size;
  }

  private row(alert: Alert): HTMLElement {
    const when = el('time', { datetime: alert.raised_at }, formatUtc(new Date(alert.raised_at)));
    const item = el('li', { class: alert.severity }, el('strong', {}, alert.severity), ' ', alert.message, ' ', when);
    if (alert.evidence.would_change !== '') {
      item.append(el('p', { class: 'would-change' }, `What would change it: ${alert.evidence.would_change}.`));
    }
    const emitter = alert.emitter;
    if (emitter !== null) {
      const show = el('button', { type: 'button' }, 'Show');
      show.addEventListener('click', () => this.onSelect(emitter));
      item.append(' ', show);
    }
    return item;
  }
}
