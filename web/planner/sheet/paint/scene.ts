/** All that is drawn on the sheet, from the ground up. */

import type { Ink } from '../ink';
import type { Shown } from '../layers';
import type { Arrays, Window } from './canvas';
import { nameExclusions, paintBoundary, paintExclusions, paintGround, paintPlantable, type Exclusion } from './ground';
import { paintSides, paintSuns, type LightTold } from './light';
import { DEVICES, paintDevices, paintPipes, paintSets, writeSets, type PipesTold } from './pipes';
import { paintPressures, paintWorst, stretchesOf, type PressuresTold, type Stretches } from './pressures';
import { hasVines, paintAnchors, paintPosts, paintRows, paintVines } from './rows';
import { paintContours, paintSlope, paintSlopePlaces, type PlaceKind, type SlopeTold } from './slope';
import { paintPits, paintSoil, type SoilTold, type Zone } from './soil';
import { paintWires, type Wire } from './wires';

/** What the server told of its layers, beside their arrays. */
export interface Told {
  field?: { exclusions: Exclusion[] };
  soil?: SoilTold;
  slope?: SlopeTold;
  light?: LightTold;
  wires?: { wires: Wire[] };
  pipes?: PipesTold;
  pressures?: PressuresTold;
}
/** Words on the sheet, in the reader's language and units. */
export interface Speech {
  zone: (zone: Zone) => string[];
  height: (height_m: number) => string;
  slopePlace: (kind: PlaceKind, value: number) => string;
  set: (set: number) => string;
  worst: (row: number, kpa: number) => string;
  load: (mj_m2: number) => string;
}
export interface Scene {
  arrays: Arrays;
  told: Told;
  shown: Shown;
  vineSpacing: number;
  rowWidth: number;
  /** A picture of the ground lies below: nothing that would hide it is filled. */
  isOverPicture: boolean;
  speech: Speech;
}

export function paintScene(context: CanvasRenderingContext2D, window: Window, scene: Scene, ink: Ink): void {
  const { arrays, told, shown, rowWidth, vineSpacing, speech } = scene;
  const [soil, slope, pipes] = [shown.soil ? told.soil : undefined, shown.slope ? told.slope : undefined, told.pipes];
  const hasPressures = shown.pressures && arrays['drippers_xy'] !== undefined;
  const isNear = hasVines(window, vineSpacing);
  if (!scene.isOverPicture) paintGround(context, window, arrays, ink);
  if (shown.plantable) paintPlantable(context, window, arrays, ink);
  if (slope !== undefined) paintSlope(context, window, arrays, slope, ink);
  if (soil !== undefined) paintSoil(context, window, arrays, soil, ink);
  if (shown.pipes && !hasPressures && pipes !== undefined && !scene.isOverPicture) paintSets(context, window, arrays, pipes, rowWidth, ink);
  if (shown.exclusions) paintExclusions(context, window, arrays, told.field?.exclusions ?? [], ink);
  if (hasPressures) paintPressures(context, window, stretchesHeld(arrays, told.pressures?.steps_kpa ?? []), rowWidth, ink);
  if (shown.wires) paintWires(context, window, arrays, ink);
  else if (shown.rows) paintRows(context, window, arrays, ink, isNear);
  if (shown.light && told.light !== undefined) paintSides(context, window, arrays, told.light, rowWidth, ink);
  if (shown.vines && isNear) paintVines(context, window, arrays, ink, vineSpacing);
  if (shown.posts) paintPosts(context, window, arrays, ink, isNear);
  if (shown.anchors && isNear) paintAnchors(context, window, arrays, ink);
  if (slope !== undefined) paintContours(context, window, arrays, slope, ink, speech.height);
  if (shown.boundary) paintBoundary(context, window, arrays, ink);
  if ((shown.pipes || hasPressures) && pipes !== undefined) {
    paintPipes(context, window, arrays, pipes, ink, hasPressures);
    paintDevices(context, window, arrays, pipes, ink, hasPressures ? ['valve'] : DEVICES);
  }
  if (shown.exclusions) nameExclusions(context, window, arrays, told.field?.exclusions ?? [], ink);
  if (slope !== undefined) paintSlopePlaces(context, window, slope, ink, speech.slopePlace);
  if (soil !== undefined) paintPits(context, window, arrays, soil, ink, speech.zone);
  if (shown.pipes && !hasPressures && pipes !== undefined) writeSets(context, window, arrays, pipes, ink, speech.set);
  if (shown.light && told.light !== undefined) paintSuns(context, window, arrays, told.light, ink, speech.load);
  if (hasPressures) paintWorst(context, window, arrays, ink, speech.worst);
}

let held: { of: unknown; stretches: Stretches } | null = null;

/** Stretches are worked out once for each answer of the server. */
function stretchesHeld(arrays: Arrays, bounds: readonly number[]): Stretches {
  const of = arrays['drippers_kpa'];
  if (held?.of !== of) held = { of, stretches: stretchesOf(arrays, bounds) };
  return held?.stretches ?? stretchesOf(arrays, bounds);
}
