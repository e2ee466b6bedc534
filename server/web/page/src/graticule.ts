/** Parallels and meridians with their names at the edge, as on a chart. */

import Graticule from 'ol/layer/Graticule.js';
import Fill from 'ol/style/Fill.js';
import Stroke from 'ol/style/Stroke.js';
import Text from 'ol/style/Text.js';

import { graticuleLabel } from './graticule_label.js';
import { palette } from './theme.js';

function text(align: CanvasTextAlign, baseline: CanvasTextBaseline): Text {
  const colours = palette();
  return new Text({
    font: '11px system-ui, sans-serif',
    textAlign: align,
    textBaseline: baseline,
    offsetX: align === 'end' ? -4 : 0,
    offsetY: baseline === 'top' ? 4 : 0,
    fill: new Fill({ color: colours.faintInk }),
    stroke: new Stroke({ color: colours.sea, width: 3 }),
  });
}

export function graticuleLayer(): Graticule {
  return new Graticule({
    strokeStyle: new Stroke({ color: palette().graticule, width: 0.8 }),
    showLabels: true,
    wrapX: true,
    targetSize: 130,
    intervals: [30, 10, 5, 2, 1, 30 / 60, 10 / 60, 5 / 60, 2 / 60, 1 / 60],
    lonLabelFormatter: (lon) => graticuleLabel(lon, 'EW'),
    latLabelFormatter: (lat) => graticuleLabel(lat, 'NS'),
    lonLabelStyle: text('center', 'top'),
    latLabelStyle: text('end', 'middle'),
    lonLabelPosition: 1,
    latLabelPosition: 1,
    zIndex: 1,
  });
}
