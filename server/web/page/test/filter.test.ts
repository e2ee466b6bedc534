import { describe, expect, it } from 'vitest';

import { EVERYTHING, matches, showsAll, type Filter } from '../src/filter.js';
import { emitter, judged } from './emitters.js';

const NOW = Date.parse('2030-01-01T00:05:00.000Z');
const one = emitter('12/1', { name: 'Harbour Mast', ...judged('registered') });
const shown = (changes: Partial<Filter>): boolean => matches(one, { ...EVERYTHING, ...changes }, NOW);

describe('filter', () => {
  it('shows everything when nothing is asked', () => {
    expect(shown({})).toBe(true);
    expect(showsAll(EVERYTHING)).toBe(true);
    expect(showsAll({ ...EVERYTHING, words: '  ' })).toBe(true);
    expect(showsAll({ ...EVERYTHING, state: 'silent' })).toBe(false);
  });

  it('finds words in frequency, name, station, state and verdict, in any order', () => {
    for (const words of ['433.92', 'harbour', 'MOSS', 'confirmed', 'registered', 'mast 433', '12/1']) {
      expect(shown({ words }), words).toBe(true);
    }
    expect(shown({ words: '446' })).toBe(false);
    expect(shown({ words: 'mast 446' })).toBe(false);
  });

  it('goes by verdict and state', () => {
    expect(shown({ verdict: 'registered' })).toBe(true);
    expect(shown({ verdict: 'unregistered' })).toBe(false);
    expect(shown({ state: 'silent' })).toBe(false);
  });

  it('goes by when it was last heard', () => {
    expect(shown({ heardWithin_s: 300 })).toBe(true); // 290 s ago
    expect(shown({ heardWithin_s: 200 })).toBe(false);
  });

  it('goes by where it is; one without a place is nowhere', () => {
    expect(shown({ box: [-151, 41, -150, 42] })).toBe(true);
    expect(shown({ box: [-150, 41, -149, 42] })).toBe(false);
    const nowhere = emitter('12/2', { position: null });
    expect(matches(nowhere, { ...EVERYTHING, box: [-180, -90, 180, 90] }, NOW)).toBe(false);
  });
});
