import { expect, test } from 'vitest';

import { ageOf, ageSeconds, dashOf } from '../src/age.js';

const HEARD = '2030-01-01T00:00:00.000Z';
const at = (seconds: number): number => Date.parse(HEARD) + seconds * 1000;

test('line style follows age: solid, dashed after a minute, dotted after ten', () => {
  expect([0, 59.9, 60, 599.9, 600].map((s) => ageOf(HEARD, at(s)))).toEqual(['fresh', 'fresh', 'recent', 'recent', 'old']);
  expect(dashOf('fresh')).toEqual([]);
  expect(dashOf('recent')).not.toEqual(dashOf('old'));
});

test('a time ahead of the browser’s clock is now', () => expect(ageSeconds(HEARD, at(-5))).toBe(0));
