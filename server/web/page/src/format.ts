/** Numbers as people read them. Every one carries its unit, and never parts from it. */

import type { Ellipse, Position } from './model.js';

const NBSP = '\u00a0';

/** kHz below 3 MHz, else MHz; three decimals, a fourth where it says something. */
export function formatFrequency(frequency_hz: number): string {
  if (frequency_hz < 3e6) return `${(frequency_hz / 1e3).toFixed(1)}${NBSP}kHz`;
  const four = (frequency_hz / 1e6).toFixed(4);
  return `${four.endsWith('0') ? four.slice(0, -1) : four}${NBSP}MHz`;
}

/** Three figures: 85 m, 420 m, 1.24 km, 12.4 km, 124 km. */
export function formatDistance(metres: number): string {
  if (metres < 999.5) return `${Math.round(metres)}${NBSP}m`;
  const km = metres / 1000;
  return `${km.toFixed(km < 9.995 ? 2 : km < 99.95 ? 1 : 0)}${NBSP}km`;
}

function degreesMinutes(value_deg: number, letters: string, width: number): string {
  // Rounded as a whole number of thousandths, so that 59.9996' becomes the next degree.
  const thousandths = Math.round(Math.abs(value_deg) * 60_000);
  const degrees = Math.floor(thousandths / 60_000);
  const minutes = (thousandths % 60_000) / 1000;
  const letter = value_deg < 0 ? letters[1] : letters[0];
  return `${String(degrees).padStart(width, '0')}°${minutes.toFixed(3).padStart(6, '0')}′${NBSP}${letter}`;
}

/** As on a chart: 41°12.600′ N 150°18.600′ W. */
export function formatPosition([longitude_deg, latitude_deg]: Position): string {
  return `${degreesMinutes(latitude_deg, 'NS', 2)} ${degreesMinutes(longitude_deg, 'EW', 3)}`;
}

/** Semi-axes, then the azimuth of the longer: 420 × 180 m, 030°. */
export function formatEllipse(ellipse: Ellipse): string {
  const major = formatDistance(ellipse.semi_major_m);
  const minor = formatDistance(ellipse.semi_minor_m);
  const unit = major.split(NBSP)[1] ?? '';
  const times = `${NBSP}×${NBSP}`;
  const both = minor.endsWith(`${NBSP}${unit}`) ? major.replace(`${NBSP}${unit}`, '') + times + minor : major + times + minor;
  return `${both}, ${formatAzimuth(ellipse.orientation_deg)}`;
}

/** Three figures, as azimuths are spoken: 030°. */
export function formatAzimuth(azimuth_deg: number): string {
  return `${String(Math.round(azimuth_deg) % 360).padStart(3, '0')}°`;
}

export function formatAge(age_s: number): string {
  if (age_s < 1.5) return 'now';
  if (age_s < 90) return `${Math.round(age_s)} s ago`;
  if (age_s < 90 * 60) return `${Math.round(age_s / 60)} min ago`;
  if (age_s < 36 * 3600) return `${Math.round(age_s / 3600)} h ago`;
  return `${Math.round(age_s / 86_400)} d ago`;
}

export function formatUtc(at: Date): string {
  return `${at.toISOString().slice(0, 19).replace('T', ' ')} UTC`;
}

/** A, B and C. */
export function joinNames(names: readonly string[]): string {
  if (names.length < 2) return names.join('');
  return `${names.slice(0, -1).join(', ')} and ${names[names.length - 1]}`;
}
