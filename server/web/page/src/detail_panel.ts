/** The selected emitter: what its fix means, and which station said what. */

import { el } from './dom.js';
import { formatAzimuth, formatEllipse, formatFrequency, formatPosition } from './format.js';
import { markElement } from './mark_svg.js';
import { verdictOf, type EmitterFeature, type Fix } from './model.js';
import { VERDICT_WORDS, emitterSentence } from './sentence.js';

function term(name: string, value: string): HTMLElement {
  return el('div', {}, el('dt', {}, name), el('dd', {}, value));
}

function registerWords({ properties }: EmitterFeature): string {
  const words = VERDICT_WORDS[verdictOf(properties)];
  const match = properties.register;
  if (!match?.licence) return words;
  const far = match.distance_m === null ? '' : `, ${(match.distance_m / 1000).toFixed(1)} km away`;
  return `${words} (${match.licence}${far})`;
}

function facts(emitter: EmitterFeature): HTMLElement {
  const { properties: p } = emitter;
  const rows = [term('Register', registerWords(emitter))];
  if (p.register?.evidence) rows.push(term('Because', p.register.evidence));
  if (p.position) {
    const [longitude_deg, latitude_deg] = p.position;
    rows.push(term('Position', `${formatPosition(p.position)} (${latitude_deg.toFixed(5)}, ${longitude_deg.toFixed(5)})`));
  }
  if (p.ellipse) rows.push(term('95 % ellipse', formatEllipse(p.ellipse)));
  if (p.velocity) {
    rows.push(term('Moving', `${p.velocity.speed_m_per_s.toFixed(1)} m/s towards ${formatAzimuth(p.velocity.course_deg)}`));
  }
  rows.push(term('Bearings', `${p.bearings.toLocaleString()} in ${p.looks.toLocaleString()} looks of three stations`));
  return el('dl', {}, ...rows);
}

/** What can be printed, or taken along. */
function papers({ properties: p }: EmitterFeature): HTMLElement {
  const paper = (kind: string, words: string): HTMLElement =>
    el('a', { href: `/${kind}/${p.channel}/${p.id}`, target: '_blank', rel: 'noopener' }, words);
  const links = [paper('report', 'Report')];
  if (p.position) links.push(paper('handover', 'Way to it'));
  return el('p', { class: 'papers' }, ...links);
}

function bearingRow(bearing: Fix['bearings'][number]): HTMLElement {
  const cells = [
    bearing.station,
    formatAzimuth(bearing.azimuth_deg),
    `± ${bearing.sigma_deg.toFixed(1)}°`,
    `${bearing.residual_deg < 0 ? '−' : '+'}${Math.abs(bearing.residual_deg).toFixed(1)}°`,
    bearing.used ? 'used' : '× set aside',
  ];
  return el('tr', {}, ...cells.map((text, i) => (i === 0 ? el('th', { scope: 'row' }, text) : el('td', {}, text))));
}

function bearingTable(fix: Fix): HTMLElement {
  const heads = ['Station', 'Azimuth', 'Sigma', 'Residual', 'In the fix'];
  return el('table', { class: 'bearings' },
    el('caption', {}, `Bearings of the latest fix (${fix.state})`),
    el('thead', {}, el('tr', {}, ...heads.map((h) => el('th', { scope: 'col' }, h)))),
    el('tbody', {}, ...fix.bearings.slice(0, 40).map(bearingRow)));
}

export class DetailPanel {
  constructor(
    private readonly parent: HTMLElement,
    private readonly onClose: () => void,
    private readonly onZoom: () => void,
  ) {}

  show(emitter: EmitterFeature, fix: Fix | undefined): void {
    const { properties } = emitter;
    const close = el('button', { type: 'button', class: 'close', 'aria-label': 'Close' }, '×');
    close.addEventListener('click', this.onClose);
    const zoom = el('button', { type: 'button', class: 'zoom' }, 'Zoom to outline');
    zoom.addEventListener('click', this.onZoom);
    const title = el('h2', {}, markElement(verdictOf(properties), properties.state),
      `${properties.name ? `${properties.name}, ` : ''}${formatFrequency(properties.frequency_hz)}`);
    this.parent.replaceChildren(
      el('div', { class: 'detail-head' }, title, ...(properties.position ? [zoom] : []), close),
      el('p', { class: 'sentence' }, emitterSentence(properties, fix)),
      facts(emitter),
      papers(emitter),
      ...(fix ? [bearingTable(fix)] : []),
    );
    this.parent.hidden = false;
  }

  hide(): void {
    this.parent.hidden = true;
    this.parent.replaceChildren();
  }
}
