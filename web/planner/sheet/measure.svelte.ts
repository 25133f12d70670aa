/** A line drawn to know its length on the plan. */

import LineString from 'ol/geom/LineString';
import Draw from 'ol/interaction/Draw';
import VectorLayer from 'ol/layer/Vector';
import VectorSource from 'ol/source/Vector';
import Stroke from 'ol/style/Stroke';
import Style from 'ol/style/Style';
import { getLength } from 'ol/sphere';

import { inkNow } from './ink';
import type { SheetMap } from './sheetMap.svelte';

export class Measure {
  /** Length of the line in metres; null before the first corner. */
  distance = $state<number | null>(null);
  readonly #sheet: SheetMap;
  readonly #source = new VectorSource();

  constructor(sheet: SheetMap) {
    this.#sheet = sheet;
  }

  /** Take the pointer for measuring; the answer gives it back. */
  begin(): () => void {
    const style = (): Style => new Style({ stroke: new Stroke({ color: inkNow().pen, width: 2 }) });
    const takeOff = this.#sheet.add(new VectorLayer({ source: this.#source, style }), 'measure');
    const draw = new Draw({ source: this.#source, type: 'LineString' });
    draw.on('drawstart', ({ feature }) => {
      this.#source.clear();
      feature.getGeometry()?.on('change', ({ target }) => this.#told(target as LineString));
    });
    draw.on('drawend', ({ feature }) => this.#told(feature.getGeometry() as LineString));
    const letGo = this.#sheet.use(draw);
    return () => {
      letGo();
      takeOff();
      this.#source.clear();
      this.distance = null;
    };
  }

  #told(line: LineString): void {
    this.distance = getLength(line, { projection: this.#sheet.projection });
  }
}
