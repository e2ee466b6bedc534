import { expect, test } from 'vitest';

import { readFileSync } from 'node:fs';

interface Feature {
  properties: { kind: string; name?: string };
  geometry: { type: string; coordinates: unknown };
}
const osmere = JSON.parse(
  readFileSync(new URL('../public/basemap/osmere.geojson', import.meta.url), 'utf8'),
) as { type: string; features: Feature[] };

const shore = osmere.features.find((f) => f.properties.name === 'Osmere')?.geometry.coordinates as [number, number][][];

/** Even-odd rule. */
function onLand([x, y]: [number, number]): boolean {
  const ring = shore[0] ?? [];
  let inside = false;
  for (let i = 1; i < ring.length; i += 1) {
    const [x1, y1] = ring[i - 1]!;
    const [x2, y2] = ring[i]!;
    if (y1 > y !== y2 > y && x < ((x2 - x1) * (y - y1)) / (y2 - y1) + x1) inside = !inside;
  }
  return inside;
}

test.each([
  ['LANTERN-HEAD', -150.45, 41.43],
  ['MOSS-RIDGE', -150.02, 41.33],
  ['QUILL-POINT', -150.12, 41.02],
  ['HARROW-HILL', -150.56, 41.08],
])('%s stands on Osmere', (_, longitude, latitude) => expect(onLand([longitude, latitude])).toBe(true));

test('towns stand on Osmere and the sea does not', () => {
  const towns = osmere.features.filter((f) => f.properties.kind === 'town');
  expect(towns.length).toBeGreaterThan(5);
  for (const town of towns) expect(onLand(town.geometry.coordinates as [number, number]), town.properties.name).toBe(true);
  expect(onLand([-150.9, 41.2])).toBe(false);
});

test('rings are closed and areas counter-clockwise (RFC 7946, 3.1.6)', () => {
  for (const { geometry, properties } of osmere.features.filter((f) => f.geometry.type === 'Polygon')) {
    const ring = (geometry.coordinates as [number, number][][])[0]!;
    expect(ring[0], properties.name).toEqual(ring[ring.length - 1]);
    const twice = ring.slice(1).reduce((sum, [x, y], i) => sum + (ring[i]![0] + 150) * (y - 41) - (x + 150) * (ring[i]![1] - 41), 0);
    expect(twice, properties.name).toBeGreaterThan(0);
  }
});
