// Draws the basemap of Osmere, an invented island in open ocean, for the demo and the tests:
//     node tools/draw_osmere.mjs > public/basemap/osmere.geojson
// Kinds of feature, which a club's own basemap uses too: depth, land, water, contour, road
// (rank 1 or 2), town (rank 1 or 2), name (of sea or hill). Deterministic: no random numbers.

const CENTRE = { latitude_deg: 41.2, longitude_deg: -150.3 };
const KM_PER_DEG = { latitude: 111.06, longitude: 83.88 }; // at 41.2 N, on WGS84, rounded

const HILLS = [
  { name: 'Lantern Head', x: -12.58, y: 25.54, reach: 2.6, shore: 1.5 },
  { name: 'Moss Ridge', x: 23.49, y: 14.44, reach: 4.2, shore: 2.6 },
  { name: 'Quill Point', x: 15.1, y: -19.99, reach: 2.4, shore: 1.3 },
  { name: 'Harrow Hill', x: -21.81, y: -13.33, reach: 3.4, shore: 2.2 },
  { name: 'Tor Osmere', x: -3.5, y: 4.0, reach: 7.5 },
  { name: 'The Saddle', x: 7.0, y: -3.5, reach: 4.4 },
];

const TOWNS = [
  { name: 'Port Averil', x: 3.6, y: -20.1, rank: 1 },
  { name: 'Saltmere', x: 24.3, y: -3.6, rank: 1 },
  { name: 'Ewick', x: -22.0, y: 5.6, rank: 1 },
  { name: 'Nether Quay', x: 6.6, y: 20.9, rank: 1 },
  { name: 'Brannoch', x: -12.6, y: 15.6, rank: 2 },
  { name: 'Hollin', x: 15.2, y: 6.2, rank: 2 },
  { name: 'Tarn Cross', x: -9.2, y: -8.2, rank: 2 },
  { name: 'Skerrow', x: 16.6, y: -12.6, rank: 2 },
];

const ROADS = [
  { rank: 1, by: ['Port Averil', 'Skerrow', 'Saltmere', 'Hollin', 'Nether Quay', 'Brannoch', 'Ewick', 'Tarn Cross', 'Port Averil'] },
  { rank: 2, by: ['Tarn Cross', 'Harrow Hill'] },
  { rank: 2, by: ['Brannoch', 'Lantern Head'] },
  { rank: 2, by: ['Hollin', 'Moss Ridge'] },
  { rank: 2, by: ['Skerrow', 'Quill Point'] },
  { rank: 2, by: ['Tarn Cross', 'The Saddle', 'Hollin'] },
];

const NAMES = [
  { name: 'Gannet Sound', x: 33, y: 24 },
  { name: 'Larkin Deep', x: -35, y: -27 },
  { name: 'Averil Roads', x: 1.5, y: -30 },
  { name: 'Ewick Bay', x: -31.5, y: 8 },
];

const round = (value) => Math.round(value * 1e5) / 1e5;
const lonLat = ({ x, y }) => [
  round(CENTRE.longitude_deg + x / KM_PER_DEG.longitude),
  round(CENTRE.latitude_deg + y / KM_PER_DEG.latitude),
];

// A sum of sines whose phases look unrelated: the ruggedness of a coast. About -1 to 1.
function rugged(angle, seed, first, last) {
  let sum = 0;
  let scale = 0;
  for (let n = first; n <= last; n += 1) {
    const share = 1 / n ** 0.9;
    sum += share * Math.sin(n * angle + seed * n * n * 1.7 + n * 2.3);
    scale += share;
  }
  return (sum / scale) * 2;
}

// How far the shore runs from the middle, km, by angle from east: bays, and a headland at each
// hill that stands by the sea.
function shore_km(angle) {
  let r = 27 + 2.6 * rugged(angle, 0.61, 2, 6) + 1.1 * rugged(angle, 1.3, 7, 60);
  for (const hill of HILLS.filter((h) => h.shore)) {
    const at = Math.atan2(hill.y, hill.x);
    const off = Math.atan2(Math.sin(angle - at), Math.cos(angle - at));
    const pull = Math.exp(-((off / 0.14) ** 2));
    const tip = Math.hypot(hill.x, hill.y) + hill.shore + 0.35 * rugged(angle, 2.2, 20, 70);
    r += pull * (tip - r);
  }
  return r;
}

function ring(points, radius_km, middle = { x: 0, y: 0 }) {
  const positions = [];
  for (let i = 0; i < points; i += 1) {
    const angle = (2 * Math.PI * i) / points;
    const r = radius_km(angle);
    positions.push(lonLat({ x: middle.x + r * Math.cos(angle), y: middle.y + r * Math.sin(angle) }));
  }
  positions.push(positions[0]);
  return positions;
}

const feature = (kind, geometry, more = {}) => ({ type: 'Feature', properties: { kind, ...more }, geometry });
const polygon = (kind, positions, more) => feature(kind, { type: 'Polygon', coordinates: [positions] }, more);
const line = (kind, positions, more) => feature(kind, { type: 'LineString', coordinates: positions }, more);
const point = (kind, at, more) => feature(kind, { type: 'Point', coordinates: lonLat(at) }, more);

// Between two places a road wanders a little to one side and back.
function road(from, to) {
  const positions = [];
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const across = { x: -(to.y - from.y) / length, y: (to.x - from.x) / length };
  for (let i = 0; i <= 24; i += 1) {
    const t = i / 24;
    const aside = Math.sin(Math.PI * t) * length * 0.06 * rugged(3 * t, from.x, 1, 5);
    positions.push(lonLat({
      x: from.x + t * (to.x - from.x) + aside * across.x,
      y: from.y + t * (to.y - from.y) + aside * across.y,
    }));
  }
  return positions;
}

const place = (name) => [...TOWNS, ...HILLS].find((p) => p.name === name);

const features = [
  polygon('depth', ring(180, (a) => shore_km(a) * 0.55 + 17.5 + 0.8 * rugged(a, 3.1, 2, 9)), { metres: 50 }),
  polygon('depth', ring(240, (a) => shore_km(a) * 0.8 + 7.0 + 0.4 * rugged(a, 3.9, 2, 14)), { metres: 20 }),
  polygon('land', ring(720, shore_km), { name: 'Osmere' }),
  polygon('land', ring(60, (a) => 1.1 + 0.35 * rugged(a, 0.4, 2, 9), { x: 31.5, y: 4.6 }), { name: 'Little Gull' }),
  polygon('land', ring(48, (a) => 0.7 + 0.2 * rugged(a, 0.9, 2, 8), { x: -27.4, y: -22.4 }), { name: 'The Crumb' }),
  ...HILLS.flatMap((hill) => [1, 0.66, 0.36].map((share, level) => line(
    'contour',
    ring(90, (a) => hill.reach * share * (0.62 + 0.16 * rugged(a, hill.x, 1, 7)), hill),
    { metres: 100 * (level + 1) },
  ))),
  polygon('water', ring(80, (a) => 1.5 + 0.45 * rugged(a, 5.2, 2, 8) + 0.9 * Math.abs(Math.cos(a)), { x: -10.5, y: 0.4 }), { name: 'Tarn Water' }),
  ...ROADS.flatMap(({ rank, by }) => by.slice(1).map((to, i) => line('road', road(place(by[i]), place(to)), { rank }))),
  ...TOWNS.map(({ name, rank, ...at }) => point('town', at, { name, rank })),
  ...HILLS.filter((h) => !h.shore).map(({ name, x, y }) => point('name', { x, y }, { name, of: 'hill' })),
  ...NAMES.map(({ name, ...at }) => point('name', at, { name, of: 'sea' })),
];

process.stdout.write('{"type":"FeatureCollection","features":[\n');
process.stdout.write(features.map((f) => JSON.stringify(f)).join(',\n'));
process.stdout.write('\n]}\n');
