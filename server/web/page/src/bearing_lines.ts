/** The bearings of one fix as lines from their stations, to a little past the emitter. */

import Feature from 'ol/Feature.js';
import LineString from 'ol/geom/LineString.js';
import { fromLonLat } from 'ol/proj.js';
import { getDistance, offset } from 'ol/sphere.js';

import type { Fix, Position, StationFeature } from './model.js';

const DEG_TO_RAD = Math.PI / 180;
const POINTS = 24; // a geodesic bends on the map

/** On a sphere: within 100 km it leaves the ellipsoid's line by less than the line is wide. */
function line(from: Position, azimuth_deg: number, length_m: number): number[][] {
  const out: number[][] = [];
  for (let i = 0; i <= POINTS; i += 1) {
    out.push(fromLonLat(offset(from, (length_m * i) / POINTS, azimuth_deg * DEG_TO_RAD)));
  }
  return out;
}

export function bearingLines(fix: Fix, stations: readonly StationFeature[]): Feature[] {
  const emitter = fix.position;
  if (emitter === null) return [];
  const places = new Map(stations.map((s) => [s.id, s.geometry.coordinates]));
  return fix.bearings.flatMap((bearing) => {
    const from = places.get(bearing.station);
    if (!from) return [];
    const points = line(from, bearing.azimuth_deg, getDistance(from, emitter) * 1.15 + 500);
    const feature = new Feature(new LineString(points));
    feature.set('used', bearing.used);
    feature.set('middle', points[POINTS / 2]);
    return [feature];
  });
}
