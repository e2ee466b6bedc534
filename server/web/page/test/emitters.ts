/** Emitters made to order for the tests. */

import type { EmitterFeature, EmitterProperties, Fix, RegisterVerdict } from '../src/model.js';

export function properties(changes: Partial<EmitterProperties> = {}): EmitterProperties {
  return {
    channel: 12,
    id: '1893456000000000123',
    revision: 1,
    name: null,
    state: 'confirmed',
    motion: 'still',
    frequency_hz: 433.92e6,
    stations: ['LANTERN-HEAD', 'MOSS-RIDGE', 'QUILL-POINT'],
    bearings: 33,
    looks: 11,
    first_heard: '2030-01-01T00:00:00.000Z',
    last_heard: '2030-01-01T00:00:10.000Z',
    velocity: null,
    register: null,
    refusal: null,
    position: [-150.31, 41.21],
    ellipse: { semi_major_m: 420, semi_minor_m: 180, orientation_deg: 30, probability: 0.95 },
    region_kind: 'ellipse',
    region_open: false,
    grade: 'checked',
    ...changes,
  };
}

export function emitter(id: string, changes: Partial<EmitterProperties> = {}): EmitterFeature {
  return { type: 'Feature', id, geometry: null, properties: properties(changes) };
}

export function judged(verdict: RegisterVerdict): Partial<EmitterProperties> {
  return { register: { verdict, licence: null, distance_m: null } };
}

/** A fix whose bearings are `used` but for those of `aside`. */
export function fix(used: string[], aside: string[] = []): Fix {
  const bearing = (station: string, isUsed: boolean) => ({
    station, azimuth_deg: 10, sigma_deg: 1, residual_deg: 0.2, used: isUsed,
  });
  const { refusal, position, ellipse, region_kind, region_open, grade } = properties();
  return {
    refusal, position, ellipse, region_kind, region_open, grade,
    state: 'final',
    valid_at: '2030-01-01T00:00:10.000Z',
    chi_square: 1,
    degrees_of_freedom: 1,
    bearings: [...used.map((s) => bearing(s, true)), ...aside.map((s) => bearing(s, false))],
  };
}
