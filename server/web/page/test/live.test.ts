import { expect, test } from 'vitest';

import { retryDelay_ms } from '../src/live.js';

test('waits grow to fifteen seconds and are spread, so that browsers do not return together', () => {
  expect([0, 1, 2, 9].map((attempt) => retryDelay_ms(attempt, 0.5))).toEqual([500, 1000, 2000, 15_000]);
  expect(retryDelay_ms(0, 0)).toBe(375);
  expect(retryDelay_ms(50, 1)).toBe(18_750);
});
