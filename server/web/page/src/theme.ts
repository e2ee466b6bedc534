/** Light or dark, as the reader's system says. */

import { DARK, LIGHT, type Palette } from './palette.js';

const dark = matchMedia('(prefers-color-scheme: dark)');

export function palette(): Palette {
  return dark.matches ? DARK : LIGHT;
}

export function onThemeChange(then: () => void): void {
  dark.addEventListener('change', then);
}
