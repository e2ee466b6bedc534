import { expect, test } from 'vitest';

import { emitterSentence, oddsWords, speakingFix } from '../src/sentence.js';
import { fix, properties } from './emitters.js';

test('the sentence names probability and the stations that agree', () => {
  expect(emitterSentence(properties(), fix(['LANTERN-HEAD', 'MOSS-RIDGE', 'QUILL-POINT']))).toBe(
    '19 times in 20 the transmitter is inside this outline; LANTERN-HEAD, MOSS-RIDGE and QUILL-POINT agree.',
  );
});

test('a bearing that was set aside is told, once a station', () => {
  const said = emitterSentence(properties(), fix(['A', 'B', 'D'], ['C', 'C']));
  expect(said).toContain('A, B and D agree; C’s bearing was set aside.');
  expect(emitterSentence(properties(), fix(['A', 'B'], ['C', 'D']))).toContain('C’s and D’s bearings were set aside.');
});

test('a station with one bearing used and one aside agrees', () => {
  expect(emitterSentence(properties(), fix(['A', 'B'], ['B']))).not.toContain('set aside');
});

test('without its bearings nobody is said to agree', () => {
  const said = emitterSentence(properties());
  expect(said).not.toContain('agree');
  expect(said).toContain('LANTERN-HEAD, MOSS-RIDGE and QUILL-POINT heard it.');
});

test('two stations, odd residuals and an open region each carry their caution', () => {
  expect(emitterSentence(properties({ grade: 'unchecked' }))).toContain('nothing checks this place');
  expect(emitterSentence(properties({ grade: 'odd' }))).toContain('trust the outline less');
  expect(emitterSentence(properties({ region_open: true }))).toContain('may reach farther');
});

test('a refused fix says why instead of where', () => {
  const said = emitterSentence(properties({ ellipse: null, position: null, refusal: 'poor_geometry' }));
  expect(said).toContain('No place is shown: the bearings cross at too small an angle.');
  expect(said).not.toContain('inside this outline');
});

test('odds follow the probability that the ellipse states', () => {
  expect([0.95, 0.5, 0.9, 0.99, 0.999].map(oddsWords)).toEqual([
    '19 times in 20', '1 time in 2', '9 times in 10', '99 times in 100', '999 times in 1000',
  ]);
});

test('refused and withdrawn fixes do not speak for the emitter', () => {
  const good = fix(['A', 'B', 'C']);
  expect(speakingFix([{ ...good, state: 'withdrawn' }, { ...good, refusal: 'no_crossing' }, good])).toBe(good);
  expect(speakingFix([])).toBeUndefined();
});
