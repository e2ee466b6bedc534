/**
 * How emitters, stations and bearings look on the map. Size is uncertainty (the region itself),
 * line style is age, colour is register state, shape is register state again.
 */

import type { FeatureLike } from 'ol/Feature.js';
import Point from 'ol/geom/Point.js';
import { fromLonLat } from 'ol/proj.js';
import Fill from 'ol/style/Fill.js';
import Icon from 'ol/style/Icon.js';
import Stroke from 'ol/style/Stroke.js';
import Style from 'ol/style/Style.js';
import Text from 'ol/style/Text.js';

import { ageOf, dashOf } from './age.js';
import { formatFrequency } from './format.js';
import { isFilled, markAddress, stationAddress } from './mark_svg.js';
import { verdictOf, type EmitterFeature } from './model.js';
import { withAlpha } from './palette.js';
import { palette } from './theme.js';

const SANS = 'system-ui, "DejaVu Sans", sans-serif';

function caption(words: string, bold: boolean, offset: [number, number], ink: string, halo: string): Text {
  return new Text({
    text: words,
    font: `${bold ? '600 ' : ''}12px ${SANS}`,
    textAlign: 'left',
    offsetX: offset[0],
    offsetY: offset[1],
    fill: new Fill({ color: ink }),
    stroke: new Stroke({ color: halo, width: 3.5 }),
  });
}

function regionStyles(colour: string, halo: string, dash: number[], selected: boolean): Style[] {
  const outline = new Style({
    fill: new Fill({ color: withAlpha(colour, selected ? 0.26 : 0.14) }),
    stroke: new Stroke({ color: colour, width: selected ? 3.2 : 1.8, lineDash: dash }),
  });
  if (!selected) return [outline];
  return [new Style({ stroke: new Stroke({ color: halo, width: 8 }) }), outline];
}

/** Of one emitter; `selected` is drawn above the others. */
export function emitterStyles(feature: EmitterFeature, selected: boolean, now_ms: number): Style[] {
  const properties = feature.properties;
  if (properties.position === null) return [];
  const colours = palette();
  const verdict = verdictOf(properties);
  const colour = colours.register[verdict];
  const filled = isFilled(verdict, properties.state);
  const mark = new Style({
    geometry: new Point(fromLonLat(properties.position)),
    image: new Icon({
      src: markAddress(verdict, filled, colour, colours.halo),
      scale: selected ? 1.1 : 0.8,
      declutterMode: 'obstacle', // a mark is never hidden, only words give way
    }),
    text: caption(properties.name ?? formatFrequency(properties.frequency_hz), selected, [13, -10], colours.ink, colours.halo),
    zIndex: selected ? 3 : 2,
  });
  const dash = dashOf(ageOf(properties.last_heard, now_ms));
  return [...regionStyles(colour, colours.halo, dash, selected), mark];
}

export function stationStyle(feature: FeatureLike): Style {
  const colours = palette();
  const connected = feature.get('connected') === true;
  return new Style({
    image: new Icon({ src: stationAddress(connected, colours.ink, colours.halo), scale: 0.95, declutterMode: 'obstacle' }),
    text: caption(String(feature.get('name')), true, [13, 9], colours.ink, colours.halo),
  });
}

/** A bearing of the selected emitter: ink, thin; one that was set aside is crossed at its middle. */
export function bearingStyles(feature: FeatureLike): Style[] {
  const colours = palette();
  const styles = [
    new Style({ stroke: new Stroke({ color: withAlpha(colours.halo, 0.8), width: 3.6 }) }),
    new Style({ stroke: new Stroke({ color: colours.ink, width: 1.2 }) }),
  ];
  if (feature.get('used') === false) {
    styles.push(
      new Style({
        geometry: new Point(feature.get('middle') as [number, number]),
        text: new Text({
          text: '×',
          font: `700 22px ${SANS}`,
          fill: new Fill({ color: colours.ink }),
          stroke: new Stroke({ color: colours.halo, width: 4 }),
        }),
      }),
    );
  }
  return styles;
}
