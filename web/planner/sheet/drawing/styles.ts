/** How drawn shapes look: in the pen's colour, corners as small squares with their numbers. */

import type { FeatureLike } from 'ol/Feature';
import type { Coordinate } from 'ol/coordinate';
import LineString from 'ol/geom/LineString';
import Point from 'ol/geom/Point';
import Polygon from 'ol/geom/Polygon';
import CircleStyle from 'ol/style/Circle';
import Fill from 'ol/style/Fill';
import RegularShape from 'ol/style/RegularShape';
import Stroke from 'ol/style/Stroke';
import Style from 'ol/style/Style';
import Text from 'ol/style/Text';

import { inkNow } from '../ink';

const SQUARE = { points: 4, angle: Math.PI / 4 };

export function shapeStyle(isChosen: boolean, isFilled: boolean): Style {
  const { pen, sheet } = inkNow();
  return new Style({
    fill: new Fill({ color: `${pen}${isFilled ? (isChosen ? '26' : '12') : '00'}` }),
    stroke: new Stroke({ color: pen, width: isChosen ? 2.5 : 1.5, ...(isChosen ? {} : { lineDash: [6, 4] }) }),
    image: new CircleStyle({ radius: isChosen ? 7 : 5, fill: new Fill({ color: sheet }), stroke: new Stroke({ color: pen, width: 2.5 }) }),
    zIndex: isChosen ? 1 : 0,
  });
}

/** Squares at the corners of the chosen shape. */
export function cornerStyles(feature: FeatureLike): Style[] {
  const { pen, sheet } = inkNow();
  const image = new RegularShape({ ...SQUARE, radius: 6, fill: new Fill({ color: sheet }), stroke: new Stroke({ color: pen, width: 2 }) });
  return cornersOf(feature)
    .flat()
    .map((place) => new Style({ geometry: new Point(place), image, zIndex: 2 }));
}

/** Numbers at the corners of its outline, as in the table. */
export function numberStyles(feature: FeatureLike): Style[] {
  const { pen, sheet } = inkNow();
  return (cornersOf(feature)[0] ?? []).map(
    (place, at) =>
      new Style({
        geometry: new Point(place),
        text: new Text({
          text: String(at + 1),
          font: '700 12px "Atkinson Hyperlegible", sans-serif',
          offsetX: 11,
          offsetY: -11,
          fill: new Fill({ color: pen }),
          stroke: new Stroke({ color: sheet, width: 4 }),
        }),
      }),
  );
}

function cornersOf(feature: FeatureLike): Coordinate[][] {
  const geometry = feature.getGeometry();
  if (geometry instanceof Polygon) return geometry.getCoordinates().map((ring) => ring.slice(0, -1));
  return geometry instanceof LineString ? [geometry.getCoordinates()] : [];
}

/** The line being drawn, and the corner under the pointer. */
export function sketchStyle(): Style {
  const { pen, sheet } = inkNow();
  return new Style({
    fill: new Fill({ color: `${pen}1a` }),
    stroke: new Stroke({ color: pen, width: 2.5 }),
    image: new CircleStyle({ radius: 6, fill: new Fill({ color: pen }), stroke: new Stroke({ color: sheet, width: 2 }) }),
  });
}

export function markStyle(): Style {
  return new Style({ image: new CircleStyle({ radius: 12, stroke: new Stroke({ color: inkNow().pen, width: 3 }) }) });
}
