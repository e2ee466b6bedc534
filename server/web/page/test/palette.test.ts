/**
 * Register states must be told apart by people who see colours otherwise. Colour blindness is
 * simulated by the matrices of Machado, Oliveira and Fernandes (IEEE TVCG 15 (2009) 1291),
 * severity 1.0 (from memory); difference is CIE 1976 L*a*b* (CIE 15). Aim: 30 or more. Contrast is
 * that of WCAG 2.1, success criterion 1.4.11: 3:1 or more for graphical objects.
 */
import { describe, expect, test } from 'vitest';

import { readFileSync } from 'node:fs';

import { MARKS } from '../src/marks.js';
import type { RegisterVerdict } from '../src/model.js';
import { DARK, LIGHT, type Palette } from '../src/palette.js';

type Rgb = [number, number, number];
const NORMAL: Rgb[] = [[1, 0, 0], [0, 1, 0], [0, 0, 1]];
const SIGHTS: Record<string, Rgb[]> = {
  'usual sight': NORMAL,
  protanopia: [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
  deuteranopia: [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.01182, 0.04294, 0.968881]],
  tritanopia: [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.3039]],
};

const linear = (colour: string): Rgb =>
  [1, 3, 5].map((i) => {
    const c = parseInt(colour.slice(i, i + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  }) as Rgb;

const dot = (a: Rgb, b: Rgb): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const seen = (rgb: Rgb, sight: Rgb[]): Rgb => sight.map((row) => Math.min(1, Math.max(0, dot(row, rgb)))) as Rgb;
const luminance = (rgb: Rgb): number => dot([0.2126, 0.7152, 0.0722], rgb);

function lab(rgb: Rgb): Rgb {
  const f = (t: number): number => (t > 216 / 24389 ? Math.cbrt(t) : (24389 / 27 * t + 16) / 116);
  const x = f(dot([0.4124, 0.3576, 0.1805], rgb) / 0.9505);
  const y = f(luminance(rgb));
  const z = f(dot([0.0193, 0.1192, 0.9505], rgb) / 1.089);
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

const difference = (a: Rgb, b: Rgb): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);

function contrast(a: string, b: string): number {
  const [high, low] = [luminance(linear(a)), luminance(linear(b))].sort((p, q) => q - p) as [number, number];
  return (high + 0.05) / (low + 0.05);
}

const PALETTES: [string, Palette][] = [['light', LIGHT], ['dark', DARK]];
const VERDICTS = Object.keys(LIGHT.register) as RegisterVerdict[];
const DISAGREEING: RegisterVerdict[] = ['position_disagrees', 'off_frequency', 'out_of_validity'];
const kin = (a: RegisterVerdict, b: RegisterVerdict): boolean => DISAGREEING.includes(a) && DISAGREEING.includes(b);
const PAIRS = VERDICTS.flatMap((a, i) => VERDICTS.slice(i + 1).filter((b) => !kin(a, b)).map((b) => [a, b] as const));

describe.each(PALETTES)('%s palette', (name, palette) => {
  test.each(Object.keys(SIGHTS))('register states stay apart under %s', (sight) => {
    const look = (v: RegisterVerdict): Rgb => lab(seen(linear(palette.register[v]), SIGHTS[sight] ?? NORMAL));
    for (const [a, b] of PAIRS) {
      expect(difference(look(a), look(b)), `${a} and ${b}`).toBeGreaterThanOrEqual(30);
    }
  });

  test.each(VERDICTS)('%s stands out from land, sea and table', (verdict) => {
    for (const ground of [palette.land, palette.sea, ...palette.depth, palette.halo]) {
      expect(contrast(palette.register[verdict], ground), ground).toBeGreaterThanOrEqual(3);
    }
  });

  test('the style sheet has the same colours', () => {
    const css = readFileSync(new URL('../src/styles.css', import.meta.url), 'utf8');
    const [lightPart, darkPart] = css.split('@media (prefers-color-scheme: dark)');
    const part = (name === 'light' ? lightPart : darkPart?.split('}')[0]) ?? '';
    for (const verdict of VERDICTS) expect(part).toContain(`--${verdict}: ${palette.register[verdict]};`);
  });
});

test('what disagrees with an entry has one colour, whichever way it disagrees', () => {
  for (const [, palette] of PALETTES) {
    expect(new Set(DISAGREEING.map((v) => palette.register[v])).size).toBe(1);
  }
});

test('every register state has a shape of its own', () => {
  expect(new Set(VERDICTS.map((v) => MARKS[v].path)).size).toBe(VERDICTS.length);
});
