/** Which emitters a person wants to see. */

import { formatFrequency } from './format.js';
import { verdictOf, type EmitterFeature } from './model.js';
import { VERDICT_WORDS } from './sentence.js';

/** West, south, east, north, degrees. */
export type Box = readonly [number, number, number, number];

export interface Filter {
  words: string; // each must be in frequency, name, station, state or verdict; "" for all
  verdict: string; // of the register; "" for any
  state: string; // "" for any
  heardWithin_s: number; // 0 for ever
  box: Box | null; // the place is in it; null for everywhere
}

export const EVERYTHING: Filter = { words: '', verdict: '', state: '', heardWithin_s: 0, box: null };

export function showsAll(filter: Filter): boolean {
  return filter.words.trim() === '' && filter.verdict === '' && filter.state === '' && filter.heardWithin_s === 0 && filter.box === null;
}

function text(emitter: EmitterFeature): string {
  const p = emitter.properties;
  return [formatFrequency(p.frequency_hz), p.name ?? '', ...p.stations, p.state, p.motion, VERDICT_WORDS[verdictOf(p)], emitter.id]
    .join(' ')
    .toLowerCase();
}

function inside([longitude, latitude]: readonly [number, number], [west, south, east, north]: Box): boolean {
  return longitude >= west && longitude <= east && latitude >= south && latitude <= north;
}

export function matches(emitter: EmitterFeature, filter: Filter, now_ms: number): boolean {
  const p = emitter.properties;
  if (filter.verdict !== '' && verdictOf(p) !== filter.verdict) return false;
  if (filter.state !== '' && p.state !== filter.state) return false;
  if (filter.heardWithin_s > 0 && now_ms - Date.parse(p.last_heard) > filter.heardWithin_s * 1000) return false;
  if (filter.box !== null && !(p.position && inside(p.position as [number, number], filter.box))) return false;
  const words = filter.words.toLowerCase().split(/\s+/).filter((word) => word !== '');
  if (words.length === 0) return true;
  const all = text(emitter);
  return words.every((word) => all.includes(word));
}
