/** The pointer's side of drawing: sketch a new shape, move its corners, catch what lies near. */

import Collection from 'ol/Collection';
import Feature from 'ol/Feature';
import type MapBrowserEvent from 'ol/MapBrowserEvent';
import LineString from 'ol/geom/LineString';
import Point from 'ol/geom/Point';
import Polygon from 'ol/geom/Polygon';
import Draw from 'ol/interaction/Draw';
import Modify from 'ol/interaction/Modify';
import Snap from 'ol/interaction/Snap';
import VectorLayer from 'ol/layer/Vector';
import VectorSource from 'ol/source/Vector';
import type { FeatureLike } from 'ol/Feature';

import type { Place, SheetMap } from '../sheetMap.svelte';
import { isWhole, opened, type Drawn, type Rings, type Sort } from './shapes';
import { cornerStyles, markStyle, numberStyles, shapeStyle, sketchStyle } from './styles';

export interface PenTells {
  /** A new shape was sketched. */
  drawn: (sort: Sort, rings: Rings) => void;
  /** Corners of a shape were moved, put in or taken out. */
  edited: (id: number, rings: Rings) => void;
  chosen: (id: number | null) => void;
  /** While the pointer is down: how the shape stands. */
  moving: (sort: Sort, rings: Rings | null) => void;
}

const CATCH_PX = 12;
const HIT_PX = 8;
const TYPES = { area: 'Polygon', line: 'LineString', point: 'Point' } as const;

export class Pen {
  readonly #sheet: SheetMap;
  readonly #tells: PenTells;
  readonly #shapes = new VectorSource();
  readonly #targets = new VectorSource();
  readonly #marks = new VectorSource();
  readonly #editable = new Collection<Feature>();
  readonly #ends: (() => void)[] = [];
  readonly #snaps: Snap[];
  #draw: Draw | null = null;
  #isFilled = false;
  #letGo: (() => void)[] = [];

  constructor(sheet: SheetMap, tells: PenTells) {
    this.#sheet = sheet;
    this.#tells = tells;
    const style = (feature: FeatureLike) => [shapeStyle(this.#isChosen(feature), this.#isFilled), ...(this.#isChosen(feature) ? cornerStyles(feature) : [])];
    const numbers = (feature: FeatureLike) => (this.#isChosen(feature) ? numberStyles(feature) : []);
    this.#ends.push(sheet.add(new VectorLayer({ source: this.#shapes, style }), 'drawing'));
    this.#ends.push(sheet.add(new VectorLayer({ source: this.#shapes, style: numbers, declutter: true }), 'drawing'));
    this.#ends.push(sheet.add(new VectorLayer({ source: this.#marks, style: markStyle }), 'drawing'));
    const modify = new Modify({ features: this.#editable, pixelTolerance: CATCH_PX, style: sketchStyle });
    modify.on('modifystart', ({ features }) => features.forEach((feature) => this.#follow(feature as Feature)));
    modify.on('modifyend', ({ features }) => features.forEach((feature) => this.#ended(feature as Feature)));
    this.#ends.push(sheet.use(modify));
    this.#snaps = [this.#targets, this.#shapes].map((source) => new Snap({ source, pixelTolerance: CATCH_PX }));
    for (const snap of this.#snaps) this.#ends.push(sheet.use(snap));
    sheet.map.on('singleclick', this.#clicked);
    this.#ends.push(() => sheet.map.un('singleclick', this.#clicked));
  }

  /** Show shapes, one of them open for editing; filled where each is one of many things on the ground. */
  show(shapes: Drawn[], chosen: number | null, isFilled: boolean): void {
    this.#isFilled = isFilled;
    this.#editable.clear();
    this.#shapes.clear();
    for (const shape of shapes) {
      const geometry = geometryOf(shape);
      if (geometry === null) continue;
      const feature = new Feature({ geometry, sort: shape.sort });
      feature.setId(shape.id);
      this.#shapes.addFeature(feature);
      if (shape.id === chosen) this.#editable.push(feature);
    }
    this.#shapes.changed();
  }

  /** Sides, corners and places that the pen catches. */
  catch(lines: Place[][], places: Place[]): void {
    this.#targets.clear();
    this.#targets.addFeatures([
      ...lines.map((line) => new Feature(line.length > 1 ? new LineString(line) : new Point(line[0] ?? [0, 0]))),
      ...places.map((place) => new Feature(new Point(place))),
    ]);
  }

  set isCatching(is: boolean) {
    for (const snap of this.#snaps) snap.setActive(is);
  }

  /** Ring a corner, so that it is found on the sheet. */
  mark(place: Place | null): void {
    this.#marks.clear();
    if (place !== null) this.#marks.addFeature(new Feature(new Point(place)));
  }

  get isSketching(): boolean {
    return this.#draw !== null;
  }

  /** Begin a new shape with the pointer; null ends without one. */
  sketch(sort: Sort | null): void {
    for (const end of this.#letGo) end();
    this.#letGo = [];
    this.#draw = null;
    this.#tells.moving('line', null);
    if (sort === null) return;
    const draw = new Draw({ type: TYPES[sort], stopClick: true, style: sketchStyle });
    draw.on('drawstart', ({ feature }) => this.#follow(feature));
    draw.on('drawend', ({ feature }) => {
      const rings = ringsOf(feature);
      // The sketch is taken off after its own event has run.
      setTimeout(() => {
        this.sketch(null);
        this.#tells.drawn(sort, rings);
      });
    });
    this.#draw = draw;
    this.#letGo.push(this.#sheet.use(draw));
    // What catches must stand behind what draws.
    for (const snap of this.#snaps) {
      this.#sheet.map.removeInteraction(snap);
      this.#sheet.map.addInteraction(snap);
    }
  }

  /** Take back the last corner of the sketch; false when there is none. */
  takeBack(): boolean {
    if (this.#draw === null) return false;
    this.#draw.removeLastPoint();
    return true;
  }

  finish(): void {
    this.#draw?.finishDrawing();
  }

  end(): void {
    this.sketch(null);
    for (const end of this.#ends) end();
  }

  readonly #clicked = (event: MapBrowserEvent): void => {
    if (this.#draw !== null) return;
    const found = this.#sheet.map.getFeaturesAtPixel(event.pixel, { hitTolerance: HIT_PX });
    const own = found.find((feature) => this.#shapes.hasFeature(feature as Feature));
    this.#tells.chosen(own === undefined ? null : (own.getId() as number));
  };

  #isChosen(feature: FeatureLike): boolean {
    return this.#editable.getArray().includes(feature as Feature);
  }

  #follow(feature: Feature): void {
    const sort = (feature.get('sort') as Sort | undefined) ?? sortOf(feature);
    feature.getGeometry()?.on('change', () => this.#tells.moving(sort, ringsOf(feature)));
  }

  #ended(feature: Feature): void {
    this.#tells.moving('line', null);
    this.#tells.edited(feature.getId() as number, ringsOf(feature));
  }
}

function geometryOf(shape: Drawn): Point | LineString | Polygon | null {
  const first = shape.rings[0] ?? [];
  if (first[0] === undefined) return null;
  if (shape.sort === 'point' || first.length === 1) return new Point(first[0]);
  if (shape.sort === 'line' || !isWhole(shape)) return new LineString(first);
  return new Polygon(shape.rings.map((ring) => [...ring, ...ring.slice(0, 1)]));
}

function ringsOf(feature: Feature): Rings {
  const geometry = feature.getGeometry();
  if (geometry instanceof Polygon) return geometry.getCoordinates().map(opened);
  if (geometry instanceof LineString) return [geometry.getCoordinates() as Place[]];
  return geometry instanceof Point ? [[geometry.getCoordinates() as Place]] : [];
}

function sortOf(feature: Feature): Sort {
  const geometry = feature.getGeometry();
  return geometry instanceof Polygon ? 'area' : geometry instanceof LineString ? 'line' : 'point';
}
