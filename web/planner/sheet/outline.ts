/** The outline of the block and what stands in its way, filled below all else. */

import Feature from 'ol/Feature';
import Polygon from 'ol/geom/Polygon';
import VectorLayer from 'ol/layer/Vector';
import VectorSource from 'ol/source/Vector';
import Fill from 'ol/style/Fill';
import Stroke from 'ol/style/Stroke';
import Style from 'ol/style/Style';

import type { TypedArray } from '../api/arrays';
import { inkNow } from './ink';
import { ringsOf } from './rings';

const KINDS = ['boundary', 'exclusions'];

export class Outline {
  readonly #source = new VectorSource();
  readonly layer = new VectorLayer({ source: this.#source, style: (feature) => style(feature.get('kind') as string) });

  take(arrays: Record<string, TypedArray>): void {
    this.#source.clear();
    for (const kind of KINDS)
      for (const ring of ringsOf(arrays, kind)) this.#source.addFeature(new Feature({ geometry: new Polygon([ring]), kind }));
  }
}

function style(kind: string): Style {
  const { ground, ink, water } = inkNow();
  return kind === 'boundary'
    ? new Style({ fill: new Fill({ color: ground }), stroke: new Stroke({ color: ink, width: 1.5, lineDash: [10, 4, 2, 4] }) })
    : new Style({ fill: new Fill({ color: `${water}33` }), stroke: new Stroke({ color: water, width: 1.5 }) });
}
