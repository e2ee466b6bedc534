/**
 * The chart under everything: GeoJSON features told apart by `kind`: depth, land, water, contour,
 * road (rank), town (rank), name (of sea or hill). Nothing comes from another server.
 */

import type { FeatureLike } from 'ol/Feature.js';
import GeoJSON from 'ol/format/GeoJSON.js';
import VectorLayer from 'ol/layer/Vector.js';
import VectorSource from 'ol/source/Vector.js';
import CircleStyle from 'ol/style/Circle.js';
import Fill from 'ol/style/Fill.js';
import Stroke from 'ol/style/Stroke.js';
import Style from 'ol/style/Style.js';
import Text from 'ol/style/Text.js';

import type { Palette } from './palette.js';
import { palette } from './theme.js';

const ORDER: Record<string, number> = { depth: 0, land: 1, water: 2, contour: 3, road: 4, town: 5, name: 6 };
const SERIF = 'Georgia, "Times New Roman", "DejaVu Serif", serif';

function label(feature: FeatureLike, colours: Palette, font: string, offsetY: number): Text {
  return new Text({
    text: String(feature.get('name') ?? ''),
    font,
    offsetY,
    fill: new Fill({ color: colours.faintInk }),
    stroke: new Stroke({ color: colours.land, width: 2.5 }),
  });
}

function townStyle(feature: FeatureLike, colours: Palette, resolution: number): Style {
  const large = feature.get('rank') === 1;
  const shown = large || resolution < 60;
  return new Style({
    image: new CircleStyle({
      radius: large ? 2.8 : 2,
      fill: new Fill({ color: colours.land }),
      stroke: new Stroke({ color: colours.faintInk, width: 1.2 }),
      declutterMode: 'none',
    }),
    ...(shown ? { text: label(feature, colours, `${large ? 13 : 12}px ${SERIF}`, -11) } : {}),
  });
}

function nameStyle(feature: FeatureLike, colours: Palette): Style {
  const text = label(feature, colours, `italic 13px ${SERIF}`, 0);
  if (feature.get('of') === 'sea') text.setStroke(new Stroke({ color: colours.sea, width: 2 }));
  return new Style({ text });
}

function areaStyle(feature: FeatureLike, colours: Palette): Style {
  const kind = String(feature.get('kind'));
  if (kind === 'depth') {
    const shallow = Number(feature.get('metres')) < 30;
    return new Style({
      fill: new Fill({ color: colours.depth[shallow ? 1 : 0] ?? colours.sea }),
      stroke: new Stroke({ color: colours.graticule, width: 0.6 }),
    });
  }
  const color = kind === 'land' ? colours.land : colours.water;
  return new Style({ fill: new Fill({ color }), stroke: new Stroke({ color: colours.shore, width: 1.1 }) });
}

function lineStyle(feature: FeatureLike, colours: Palette): Style {
  if (feature.get('kind') === 'contour') {
    return new Style({ stroke: new Stroke({ color: colours.contour, width: 1 }) });
  }
  const width = feature.get('rank') === 1 ? 1.8 : 1;
  return new Style({ stroke: new Stroke({ color: colours.road, width }) });
}

function style(feature: FeatureLike, resolution: number): Style {
  const colours = palette();
  const kind = String(feature.get('kind'));
  const out =
    kind === 'town' ? townStyle(feature, colours, resolution)
    : kind === 'name' ? nameStyle(feature, colours)
    : kind === 'contour' || kind === 'road' ? lineStyle(feature, colours)
    : areaStyle(feature, colours);
  out.setZIndex(ORDER[kind] ?? 0);
  return out;
}

/** Names lie above the ground and give way to what is measured. */
export interface Basemap {
  ground: VectorLayer;
  names: VectorLayer;
}

export function basemapLayers(): Basemap {
  return {
    ground: new VectorLayer({ source: new VectorSource(), style, zIndex: 0, updateWhileInteracting: true }),
    names: new VectorLayer({ source: new VectorSource(), style, zIndex: 1, declutter: true }),
  };
}

export function showBasemap({ ground, names }: Basemap, geojson: unknown): void {
  const features = new GeoJSON().readFeatures(geojson, { featureProjection: 'EPSG:3857' });
  const isName = (feature: FeatureLike) => ['town', 'name'].includes(String(feature.get('kind')));
  ground.getSource()?.addFeatures(features.filter((feature) => !isName(feature)));
  names.getSource()?.addFeatures(features.filter(isName));
}
