/** What a fix means, in plain words. */

import { joinNames } from './format.js';
import type { EmitterProperties, Fix, RegisterVerdict } from './model.js';

const REFUSALS: Record<string, string> = {
  one_station: 'only one station heard it',
  no_crossing: 'the bearings do not cross in front of the stations',
  poor_geometry: 'the bearings cross at too small an angle',
  ambiguous: 'another place is nearly as likely',
  inconsistent: 'no three stations agree',
  out_of_range: 'the likeliest place is farther than the limit',
  unbounded: 'the region has no end',
};

export const VERDICT_WORDS: Record<RegisterVerdict, string> = {
  registered: 'registered',
  unregistered: 'not in the register',
  position_disagrees: 'position disagrees',
  off_frequency: 'beside its frequency',
  out_of_validity: 'entry not in force',
  undecided: 'undecided',
};

/** 0.95 is "19 times in 20"; others in hundredths, or in thousandths past 99 %. */
export function oddsWords(probability: number): string {
  const parts = probability > 0.99 ? 1000 : 100;
  const held = Math.round(probability * parts);
  const shared = gcd(held, parts);
  return `${held / shared} ${held === shared ? 'time' : 'times'} in ${parts / shared}`;
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

/** The fix whose bearings speak for the emitter: the newest that was accepted. */
export function speakingFix(fixes: readonly Fix[]): Fix | undefined {
  return fixes.find((fix) => fix.refusal === null && fix.state !== 'withdrawn');
}

function stationsOf(fix: Fix, used: boolean): string[] {
  const agreeing = new Set(fix.bearings.filter((b) => b.used).map((b) => b.station));
  if (used) return [...agreeing];
  return [...new Set(fix.bearings.map((b) => b.station))].filter((s) => !agreeing.has(s));
}

function agreementWords(stations: readonly string[], fix: Fix | undefined): string {
  const agreeing = fix ? stationsOf(fix, true) : [];
  if (agreeing.length < 2) return `${joinNames(stations)} heard it`;
  const aside = fix ? stationsOf(fix, false) : [];
  const set = aside.length === 0 ? '' : `; ${joinNames(aside.map((s) => `${s}’s`))} bearing${aside.length > 1 ? 's were' : ' was'} set aside`;
  return `${joinNames(agreeing)} agree${set}`;
}

const GRADES: Record<string, string> = {
  unchecked: 'Only two stations heard it, so nothing checks this place.',
  odd: 'The bearings disagree more than their stated errors allow: trust the outline less.',
};

/** "19 times in 20 the transmitter is inside this outline; A, B and C agree." */
export function emitterSentence(properties: EmitterProperties, fix?: Fix): string {
  if (properties.ellipse === null) {
    const why = REFUSALS[properties.refusal ?? ''] ?? 'there is no fix yet';
    return `No place is shown: ${why}. ${joinNames(properties.stations)} heard it.`;
  }
  const sentences = [
    `${oddsWords(properties.ellipse.probability)} the transmitter is inside this outline; ` +
      `${agreementWords(properties.stations, fix)}.`,
  ];
  const grade = GRADES[properties.grade ?? ''];
  if (grade) sentences.push(grade);
  if (properties.region_open) sentences.push('The outline is cut off: the region may reach farther.');
  return sentences.join(' ');
}
