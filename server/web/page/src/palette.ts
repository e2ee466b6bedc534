/**
 * Colours. Hue is register state only; everything else is ink on a chart. The pairs are checked
 * under simulated colour blindness in test/palette.test.ts. Whatever disagrees with an entry has
 * one hue, the three kinds of it three shapes: no more hues stay apart for every eye.
 */

import type { RegisterVerdict } from './model.js';

export interface Palette {
  register: Record<RegisterVerdict, string>;
  ink: string;
  faintInk: string;
  halo: string;
  sea: string;
  depth: readonly string[]; // from deep to shallow
  land: string;
  water: string;
  shore: string;
  contour: string;
  road: string;
  graticule: string;
}

export const LIGHT: Palette = {
  register: {
    registered: '#00354e',
    unregistered: '#c25e00',
    position_disagrees: '#a841ac',
    off_frequency: '#a841ac',
    out_of_validity: '#a841ac',
    undecided: '#717171',
  },
  ink: '#1d262c',
  faintInk: '#5a6870',
  halo: '#fffdf6',
  sea: '#d5e1e4',
  depth: ['#e0e9ea', '#ebf1f0'],
  land: '#f2ead3',
  water: '#dfe8e8',
  shore: '#6d6a58',
  contour: '#d9cda9',
  road: '#b9a67c',
  graticule: '#9fb0b6',
};

export const DARK: Palette = {
  register: {
    registered: '#00cbff',
    unregistered: '#ffb454',
    position_disagrees: '#cd4fa5',
    off_frequency: '#cd4fa5',
    out_of_validity: '#cd4fa5',
    undecided: '#d1d1d1',
  },
  ink: '#e8e3d6',
  faintInk: '#9aa6ab',
  halo: '#11181c',
  sea: '#131c21',
  depth: ['#17232a', '#1b2a31'],
  land: '#2a2c26',
  water: '#1b2a31',
  shore: '#7d7a66',
  contour: '#3a3c32',
  road: '#5d5844',
  graticule: '#33444c',
};

/** #rrggbb with an alpha from 0 to 1. */
export function withAlpha(colour: string, alpha: number): string {
  return `${colour}${Math.round(alpha * 255).toString(16).padStart(2, '0')}`;
}
