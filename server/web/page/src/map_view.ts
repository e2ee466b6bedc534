/** The map: basemap, graticule, stations, emitters, bearings of the selected one. */

import Feature from 'ol/Feature.js';
import OlMap from 'ol/Map.js';
import View from 'ol/View.js';
import ScaleLine from 'ol/control/ScaleLine.js';
import { defaults as defaultControls } from 'ol/control/defaults.js';
import { boundingExtent, buffer, createEmpty, extend, isEmpty, type Extent } from 'ol/extent.js';
import GeoJSON from 'ol/format/GeoJSON.js';
import Point from 'ol/geom/Point.js';
import type Graticule from 'ol/layer/Graticule.js';
import VectorLayer from 'ol/layer/Vector.js';
import { fromLonLat, transformExtent } from 'ol/proj.js';
import VectorSource from 'ol/source/Vector.js';

import { ageOf } from './age.js';
import { basemapLayers, showBasemap } from './basemap.js';
import { bearingLines } from './bearing_lines.js';
import type { Box } from './filter.js';
import { graticuleLayer } from './graticule.js';
import { bearingStyles, emitterStyles, stationStyle } from './map_style.js';
import type { EmitterFeature, Fix, StationFeature } from './model.js';
import { onThemeChange } from './theme.js';

const PROJECTED = { featureProjection: 'EPSG:3857' };

export class MapView {
  private readonly basemap = basemapLayers();
  private readonly bearings = new VectorLayer({ source: new VectorSource(), style: bearingStyles, zIndex: 2 });
  private readonly emitters = new VectorLayer({ source: new VectorSource(), zIndex: 3, declutter: true });
  private readonly stations = new VectorLayer({ source: new VectorSource(), style: stationStyle, zIndex: 4, declutter: true });
  private readonly map: OlMap;
  private graticule: Graticule = graticuleLayer();
  private selected: string | null = null;
  private fitted = false;

  constructor(target: HTMLElement, onSelect: (id: string | null) => void) {
    this.emitters.setStyle((feature) => {
      const emitter = feature.get('emitter') as EmitterFeature;
      return emitterStyles(emitter, emitter.id === this.selected, Date.now());
    });
    this.map = new OlMap({
      target,
      controls: defaultControls({ rotate: false }).extend([new ScaleLine({ units: 'metric' })]),
      layers: [this.basemap.ground, this.graticule, this.basemap.names, this.bearings, this.emitters, this.stations],
      view: new View({ center: [0, 0], zoom: 2, maxZoom: 19, enableRotation: false }),
    });
    this.map.on('singleclick', (event) => onSelect(this.emitterAt(event.pixel)));
    onThemeChange(() => this.repaint());
  }

  showBasemap(geojson: unknown): void {
    showBasemap(this.basemap, geojson);
  }

  showStations(stations: readonly StationFeature[]): void {
    const source = this.stations.getSource();
    source?.clear();
    source?.addFeatures(
      stations.map((station) => {
        const feature = new Feature(new Point(fromLonLat(station.geometry.coordinates)));
        feature.setProperties({ name: station.id, connected: station.properties.connected });
        return feature;
      }),
    );
    this.fitOnce();
  }

  /** Only what differs is drawn anew. */
  showEmitters(emitters: readonly EmitterFeature[]): void {
    const source = this.emitters.getSource();
    if (!source) return;
    const present = new Set(emitters.map((e) => e.id));
    for (const feature of source.getFeatures()) {
      if (!present.has(String(feature.getId()))) source.removeFeature(feature);
    }
    for (const emitter of emitters) this.showEmitter(source, emitter);
  }

  private showEmitter(source: VectorSource, emitter: EmitterFeature): void {
    const known = source.getFeatureById(emitter.id);
    if (known?.get('emitter') === emitter) return;
    const feature = known ?? new Feature();
    feature.setId(emitter.id);
    feature.set('emitter', emitter, true);
    feature.setGeometry(emitter.geometry ? new GeoJSON().readGeometry(emitter.geometry, PROJECTED) : undefined);
    if (!known) source.addFeature(feature);
  }

  select(id: string | null): void {
    this.selected = id;
    this.bearings.getSource()?.clear();
    this.emitters.changed();
    this.revealSelected();
  }

  showBearings(fix: Fix | undefined, stations: readonly StationFeature[]): void {
    const source = this.bearings.getSource();
    source?.clear();
    if (fix) source?.addFeatures(bearingLines(fix, stations));
  }

  /** Redraws when some emitter has grown older by a class. */
  tick(before_ms: number, now_ms: number): void {
    const aged = this.emitters.getSource()?.getFeatures().some((feature) => {
      const { last_heard } = (feature.get('emitter') as EmitterFeature).properties;
      return ageOf(last_heard, before_ms) !== ageOf(last_heard, now_ms);
    });
    if (aged) this.emitters.changed();
  }

  /** What it shows now. */
  seen(): Box {
    const extent = this.map.getView().calculateExtent(this.map.getSize());
    const [west, south, east, north] = transformExtent(extent, 'EPSG:3857', 'EPSG:4326');
    return [west!, south!, east!, north!];
  }

  onMove(moved: () => void): void {
    this.map.on('moveend', moved);
  }

  private emitterAt(pixel: number[]): string | null {
    const hit = this.map.getFeaturesAtPixel(pixel, {
      layerFilter: (layer) => layer === this.emitters,
      hitTolerance: 6,
    })[0];
    return hit ? String((hit.get('emitter') as EmitterFeature).id) : null;
  }

  /** Close enough to see the outline's shape, with some ground round it. */
  zoomToSelected(): void {
    const extent = this.selectedExtent();
    if (extent) this.map.getView().fit(extent, { padding: [90, 90, 90, 90], maxZoom: 16, duration: 250 });
  }

  private selectedExtent(): Extent | undefined {
    const feature = this.selected === null ? null : this.emitters.getSource()?.getFeatureById(this.selected);
    return feature instanceof Feature ? feature.getGeometry()?.getExtent() : undefined;
  }

  private revealSelected(): void {
    const extent = this.selectedExtent();
    if (!extent) return;
    const view = this.map.getView();
    const seen = view.calculateExtent(this.map.getSize());
    const inside = extent[0]! >= seen[0]! && extent[1]! >= seen[1]! && extent[2]! <= seen[2]! && extent[3]! <= seen[3]!;
    if (!inside) view.fit(buffer(extent, 2000), { maxZoom: view.getZoom() ?? 11, duration: 200 });
  }

  /** Stations and basemap together, once. */
  private fitOnce(): void {
    const extents = [this.stations, this.basemap.ground].map((layer) => layer.getSource()?.getExtent());
    const all: Extent = extents.reduce<Extent>((sum, e) => (e && !isEmpty(e) ? extend(sum, e) : sum), createEmpty());
    if (this.fitted || isEmpty(all)) return;
    this.fitted = true;
    // Room on the right, where names stand.
    const padded = boundingExtent([[all[0]!, all[1]!], [all[2]!, all[3]!]]);
    this.map.getView().fit(padded, { padding: [28, 76, 34, 24], maxZoom: 13 });
  }

  private repaint(): void {
    this.map.removeLayer(this.graticule);
    this.graticule = graticuleLayer();
    this.map.addLayer(this.graticule);
    for (const layer of [this.basemap.ground, this.basemap.names, this.bearings, this.emitters, this.stations]) layer.changed();
  }
}
