/** The map under the sheet: metres of the block itself, what lies on it, and what the pointer does.
 *
 * Layers and interactions are put on through `add` and `use`, which answer with how to take them
 * off again; so a part of the sheet holds its own and nobody else's. */

import Map from 'ol/Map';
import View from 'ol/View';
import { containsExtent, getCenter } from 'ol/extent';
import type Interaction from 'ol/interaction/Interaction';
import { defaults } from 'ol/interaction/defaults';
import type BaseLayer from 'ol/layer/Base';
import Projection from 'ol/proj/Projection';
import { getContext, setContext } from 'svelte';

import { onNewInk } from './ink';

export type Place = [number, number];
export type Extent = [number, number, number, number];
/** What the pointer does on the sheet: one thing at a time. */
export type Mode = 'look' | 'measure' | 'draw';

/** What lies over what, the lowest first. */
export const LEVEL = { picture: 0, scene: 10, mark: 50, drawing: 60, measure: 70 } as const;

/** Middle of the window in metres of the block, metres for a pixel, its turn in radians and its size. */
export interface Window {
  x: number;
  y: number;
  resolution: number;
  rotation: number;
  width: number;
  height: number;
}

const isOther = (one: Window, other: Window): boolean => (Object.keys(one) as (keyof Window)[]).some((key) => one[key] !== other[key]);

const KEY = Symbol('sheet');
const DURATION_MS = 200;
const STEP_PX = 80;
const NEAR_M_PX = 0.3;
const PAD_PX = [44, 20, 44, 20];

export class SheetMap {
  /** Metres of the block itself; nothing here stands on the globe. */
  readonly projection = new Projection({ code: 'block', units: 'm', metersPerUnit: 1 });
  readonly map: Map;
  mode = $state<Mode>('look');
  /** Metres for one pixel, when the map stands still. */
  resolution = $state(1);
  /** What the window shows now, also while it moves. */
  view = $state.raw<Window>({ x: 0, y: 0, resolution: 1, rotation: 0, width: 0, height: 0 });
  /** Where the pointer is, in metres of the block. */
  pointer = $state.raw<Place | null>(null);

  constructor() {
    this.map = new Map({
      controls: [],
      interactions: defaults({ onFocusOnly: false }),
      layers: [],
      view: new View({ projection: this.projection, center: [0, 0], resolution: 1, minResolution: 0.005, maxResolution: 20 }),
    });
    this.map.on('pointermove', ({ coordinate, dragging }) => {
      if (!dragging) this.pointer = [coordinate[0] ?? 0, coordinate[1] ?? 0];
    });
    this.map.on('postrender', ({ frameState }) => {
      const state = frameState?.viewState;
      const [width, height] = frameState?.size ?? [0, 0];
      if (state === undefined) return;
      const next = { x: state.center[0] ?? 0, y: state.center[1] ?? 0, resolution: state.resolution, rotation: state.rotation, width: width ?? 0, height: height ?? 0 };
      if (isOther(this.view, next)) this.view = next;
    });
    this.map.on('moveend', () => (this.resolution = this.#view.getResolution() ?? 1));
  }

  get #view(): View {
    return this.map.getView();
  }

  /** Stand in an element of the page; the answer leaves it. */
  stand(frame: HTMLElement): () => void {
    this.map.setTarget(frame);
    const left = (): void => {
      this.pointer = null;
    };
    frame.addEventListener('pointerleave', left);
    const noMore = onNewInk(() => this.redraw());
    return () => {
      noMore();
      frame.removeEventListener('pointerleave', left);
      this.map.setTarget();
    };
  }

  add(layer: BaseLayer, level: keyof typeof LEVEL): () => void {
    layer.setZIndex(LEVEL[level]);
    this.map.addLayer(layer);
    return () => void this.map.removeLayer(layer);
  }

  use(interaction: Interaction): () => void {
    this.map.addInteraction(interaction);
    return () => void this.map.removeInteraction(interaction);
  }

  redraw(): void {
    for (const layer of this.map.getAllLayers()) layer.getSource()?.changed();
  }

  /** Show all of an extent; false while the sheet has no size yet. */
  fit(extent: Extent): boolean {
    if (!(this.map.getSize() ?? []).some((pixels) => pixels > 0)) return false;
    this.#view.fit(extent, { padding: PAD_PX });
    return containsExtent(this.#view.calculateExtent(), getCenter(extent).concat(getCenter(extent)));
  }

  zoom(factor: number): void {
    this.#view.animate({ resolution: (this.#view.getResolution() ?? 1) * factor, duration: DURATION_MS });
  }

  /** Move by pixels of the screen, right and up. */
  pan(right: number, up: number): void {
    const step = this.#view.getResolution() ?? 1;
    const [x, y] = this.#view.getCenter() ?? [0, 0];
    this.#view.setCenter([(x ?? 0) + right * step, (y ?? 0) + up * step]);
  }

  /** Move as an arrow key, + or − says; false for any other key. */
  moved(key: string): boolean {
    const moves: Record<string, Place> = { ArrowLeft: [-STEP_PX, 0], ArrowRight: [STEP_PX, 0], ArrowUp: [0, STEP_PX], ArrowDown: [0, -STEP_PX] };
    const move = moves[key];
    if (move !== undefined) this.pan(...move);
    else if (key === '+' || key === '=') this.zoom(0.5);
    else if (key === '-') this.zoom(2);
    else return false;
    return true;
  }

  turnUp(): void {
    this.#view.animate({ rotation: 0, duration: DURATION_MS });
  }

  /** Place of the block under a pixel of the window. */
  placeOf([across, down]: Place): Place {
    const { x, y, resolution, rotation, width, height } = this.view;
    const [right, up] = [(across - width / 2) * resolution, (height / 2 - down) * resolution];
    return [x + right * Math.cos(rotation) - up * Math.sin(rotation), y + right * Math.sin(rotation) + up * Math.cos(rotation)];
  }

  goTo(place: Place): void {
    const resolution = Math.min(this.#view.getResolution() ?? 1, NEAR_M_PX);
    this.#view.animate({ center: place, resolution, duration: DURATION_MS });
  }
}

/** Let the parts below find the sheet's map. */
export function shareSheetMap(sheet: SheetMap): SheetMap {
  return setContext(KEY, sheet);
}

export const sheetMap = (): SheetMap => getContext<SheetMap>(KEY);
