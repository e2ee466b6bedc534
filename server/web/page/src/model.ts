/** What the server says, as server/web/http/view_json.hpp writes it. */

export type Position = [longitude_deg: number, latitude_deg: number];

export type EmitterState = 'tentative' | 'confirmed' | 'silent' | 'retired';
export type RegisterVerdict = 'registered' | 'unregistered' | 'position_disagrees' | 'off_frequency' | 'out_of_validity' | 'undecided';
export type Grade = 'checked' | 'unchecked' | 'odd';

export interface Ellipse {
  semi_major_m: number;
  semi_minor_m: number;
  orientation_deg: number;
  probability: number;
}

/** Where a fix lies, or why it lies nowhere. */
export interface Place {
  position: Position | null;
  ellipse: Ellipse | null;
  region_kind: 'ellipse' | 'posterior' | 'likelihood' | null;
  region_open: boolean;
  grade: Grade | null;
  refusal: string | null;
}

export interface EmitterProperties extends Place {
  channel: number;
  id: string;
  revision: number;
  name: string | null;
  state: EmitterState;
  motion: 'still' | 'moving';
  frequency_hz: number;
  stations: string[];
  bearings: number;
  looks: number;
  first_heard: string;
  last_heard: string;
  velocity: { speed_m_per_s: number; course_deg: number } | null;
  register: { verdict: RegisterVerdict; licence: string | null; distance_m: number | null; evidence?: string } | null;
}

export interface EmitterFeature {
  type: 'Feature';
  id: string;
  geometry:
    | { type: 'Polygon'; coordinates: Position[][] }
    | { type: 'MultiPolygon'; coordinates: Position[][][] }
    | null;
  properties: EmitterProperties;
}

export interface FixBearing {
  station: string;
  azimuth_deg: number;
  sigma_deg: number;
  residual_deg: number;
  used: boolean;
}

export interface Fix extends Place {
  state: 'provisional' | 'revised' | 'final' | 'withdrawn';
  valid_at: string;
  chi_square: number;
  degrees_of_freedom: number;
  bearings: FixBearing[];
}

export interface EmitterDetail {
  emitter: EmitterFeature;
  fixes: Fix[];
}

export interface StationFeature {
  id: string;
  geometry: { type: 'Point'; coordinates: Position };
  properties: {
    name: string;
    connected: boolean;
    last_heartbeat: string | null;
    clock_error_s: number;
    bearings_admitted: number;
    bearings_refused: number;
  };
}

export interface Alert {
  id: string;
  rule: string;
  severity: 'notice' | 'warning' | 'urgent';
  raised_at: string;
  emitter: string | null;
  station: string | null;
  message: string;
  acknowledged_at: string | null;
  ended_at: string | null;
  muted: boolean;
  evidence: { stations: string[]; posterior: number | null; would_change: string };
}

export type LiveMessage =
  | { type: 'hello' }
  | { type: 'reload' }
  | { type: 'changes'; emitters: EmitterFeature[]; alerts: Alert[] };

/** The verdict that people are shown: none yet is undecided. */
export function verdictOf(properties: EmitterProperties): RegisterVerdict {
  return properties.register?.verdict ?? 'undecided';
}
