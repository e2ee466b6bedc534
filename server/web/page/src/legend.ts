/** What shapes, colours and lines mean. */

import { AGE_WORDS, dashOf, type Age } from './age.js';
import { el, svg } from './dom.js';
import { markElement, stationElement } from './mark_svg.js';
import type { RegisterVerdict } from './model.js';
import { VERDICT_WORDS } from './sentence.js';

function item(drawing: Element, words: string): HTMLElement {
  return el('li', {}, drawing, words);
}

function ageLine(age: Age): SVGElement {
  const dash = dashOf(age).join(' ') || 'none';
  return svg('svg', { viewBox: '0 0 34 12', class: 'age-line', 'aria-hidden': 'true' },
    svg('path', { d: 'M2 6H32', 'stroke-dasharray': dash }));
}

/** Open where there is room for it. */
export function showLegend(parent: HTMLElement): void {
  const verdicts: RegisterVerdict[] = [
    'unregistered', 'position_disagrees', 'off_frequency', 'out_of_validity', 'undecided', 'registered',
  ];
  const legend = el('details', {}, el('summary', {}, 'Legend'),
    el('ul', {},
      ...verdicts.map((v) => item(markElement(v, 'confirmed'), VERDICT_WORDS[v])),
      item(markElement('unregistered', 'tentative'), 'hollow: not confirmed'),
      item(stationElement(true), 'station')),
    el('ul', {}, ...(['fresh', 'recent', 'old'] as const).map((a) => item(ageLine(a), AGE_WORDS[a]))),
  );
  legend.open = matchMedia('(min-width: 900px)').matches;
  parent.append(legend);
}
