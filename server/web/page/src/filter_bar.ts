/** The row of fields above the table of emitters. */

import { el } from './dom.js';
import { EVERYTHING, showsAll, type Box, type Filter } from './filter.js';
import { VERDICT_WORDS } from './sentence.js';

const STATES = ['tentative', 'confirmed', 'silent'];
const STRETCHES: [string, number][] = [
  ['at any time', 0],
  ['in 5 minutes', 300],
  ['in an hour', 3600],
  ['in a day', 86_400],
];

function choice(label: string, options: [string, string][]): HTMLSelectElement {
  return el('select', { 'aria-label': label }, ...options.map(([words, value]) => el('option', { value }, words)));
}

export class FilterBar {
  private readonly words = el('input', { type: 'search', 'aria-label': 'Frequency, name or station', placeholder: 'Frequency, name, station' });
  private readonly verdict = choice('Register', [['any verdict', ''], ...Object.entries(VERDICT_WORDS).map(([value, words]): [string, string] => [words, value])]);
  private readonly state = choice('State', [['any state', ''], ...STATES.map((state): [string, string] => [state, state])]);
  private readonly heard = choice('Heard', STRETCHES.map(([words, seconds]) => [words, String(seconds)]));
  private readonly here = el('input', { type: 'checkbox' });
  private readonly all = el('button', { type: 'button' }, 'Show all');

  /** @param seen what the map shows now @param onDown the arrow that leaves the words for the rows */
  constructor(parent: HTMLElement, private readonly seen: () => Box, onChange: () => void, onDown: () => void) {
    this.words.addEventListener('keydown', (event) => {
      if (event.key !== 'ArrowDown') return;
      event.preventDefault();
      onDown();
    });
    this.all.addEventListener('click', () => {
      this.clear();
      onChange();
    });
    const form = el('form', { class: 'filter', role: 'search', 'aria-label': 'Emitters' },
      this.words, this.verdict, this.state, this.heard,
      el('label', {}, this.here, ' on this part of the map'), this.all);
    form.addEventListener('input', onChange);
    form.addEventListener('submit', (event) => event.preventDefault());
    parent.append(form);
  }

  filter(): Filter {
    const filter: Filter = {
      words: this.words.value,
      verdict: this.verdict.value,
      state: this.state.value,
      heardWithin_s: Number(this.heard.value),
      box: this.here.checked ? this.seen() : null,
    };
    this.all.hidden = showsAll(filter);
    return filter;
  }

  clear(): void {
    this.words.value = EVERYTHING.words;
    this.verdict.value = EVERYTHING.verdict;
    this.state.value = EVERYTHING.state;
    this.heard.value = String(EVERYTHING.heardWithin_s);
    this.here.checked = false;
  }
}
