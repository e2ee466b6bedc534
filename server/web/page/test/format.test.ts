import { describe, expect, test } from 'vitest';

import { formatAge, formatAzimuth, formatDistance, formatEllipse, formatFrequency, formatPosition, joinNames } from '../src/format.js';

/** Units are joined by a space that does not break. */
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

describe('frequency', () => {
  test.each([
    [433_920_000, '433.920 MHz'],
    [156_812_500, '156.8125 MHz'],
    [2_182_000, '2182.0 kHz'],
    [3_000_000, '3.000 MHz'],
    [433_920_049, '433.920 MHz'],
    [433_920_051, '433.9201 MHz'],
  ])('%d Hz reads %s', (hz, words) => expect(plain(formatFrequency(hz))).toBe(words));
});

describe('distance', () => {
  test.each([
    [0.4, '0 m'],
    [999.4, '999 m'],
    [999.5, '1.00 km'],
    [1240, '1.24 km'],
    [9996, '10.0 km'],
    [99_960, '100 km'],
  ])('%d m reads %s', (metres, words) => expect(plain(formatDistance(metres))).toBe(words));
});

describe('position', () => {
  test('is latitude first for people, though GeoJSON has longitude first', () => {
    expect(plain(formatPosition([-150.31, 41.21]))).toBe('41°12.600′ N 150°18.600′ W');
  });
  test('59.9999 minutes become the next degree', () => {
    expect(plain(formatPosition([9.9999999, -0.0000001]))).toBe('00°00.000′ S 010°00.000′ E');
  });
});

describe('ellipse', () => {
  const ellipse = { semi_major_m: 420, semi_minor_m: 180, orientation_deg: 30, probability: 0.95 };
  test('names a shared unit once', () => {
    expect(plain(formatEllipse(ellipse))).toBe('420 × 180 m, 030°');
  });
  test('names both units where they differ', () => {
    expect(plain(formatEllipse({ ...ellipse, semi_major_m: 1200 }))).toBe('1.20 km × 180 m, 030°');
  });
});

test('an azimuth that rounds up to 360 is north', () => expect(formatAzimuth(359.7)).toBe('000°'));

test('ages are in the unit that fits', () => {
  expect([0, 12, 89, 90, 5400, 200_000].map(formatAge)).toEqual([
    'now', '12 s ago', '89 s ago', '2 min ago', '2 h ago', '2 d ago',
  ]);
});

test('names are joined as people say them', () => {
  expect([[], ['A'], ['A', 'B'], ['A', 'B', 'C']].map(joinNames)).toEqual(['', 'A', 'A and B', 'A, B and C']);
});
