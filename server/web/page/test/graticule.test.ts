import { expect, test } from 'vitest';

import { graticuleLabel } from '../src/graticule_label.js';

test('lines of the graticule carry degrees, and minutes where there are any', () => {
  expect(graticuleLabel(41.1666667, 'NS')).toBe('41°10′ N');
  expect(graticuleLabel(-150, 'EW')).toBe('150° W');
  expect(graticuleLabel(-0.9999999, 'NS')).toBe('1° S');
});
