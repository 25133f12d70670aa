/** The legend of the sheet: a sample of every mark that is shown, drawn as on the sheet itself. */

import type { Units } from '../api/client';
import { words } from '../words/words.svelte';
import type { Ink } from './ink';
import type { LayerName } from './layers';
import { lookOf, paintThing } from './paint/ground';
import { fillTone, type Tone } from './paint/hatch';
import { markSun, strokeSide } from './paint/light';
import { DEVICES, PIPE_KINDS, markDevice, markSource, setsOf, strokePipe, toneOfSet } from './paint/pipes';
import { lookOfStep, markWorst } from './paint/pressures';
import { cross, square, stroke } from './paint/rows';
import type { Scene } from './paint/scene';
import { markSlopePlace, tonesOfSlope, type PlaceKind } from './paint/slope';
import { POTENTIALS, markPit, toneOfPotential } from './paint/soil';
import { strokeWires } from './paint/wires';
import { quantity } from './quantities';

type Sample = (context: CanvasRenderingContext2D, width: number, height: number, ink: Ink, ratio: number) => void;

export interface Entry {
  text: string;
  sample: Sample | null;
}
export interface Group {
  layer: LayerName;
  entries: Entry[];
}

const ROW_PX = 9;

export function legendOf(scene: Scene, units: Units): Group[] {
  const { arrays, told, shown } = scene;
  const say = (value: number, kind: Parameters<typeof quantity>[1]): string => quantity(value, kind, units, words.locale);
  const entry = (id: string, sample: Sample | null, values: Record<string, string | number> = {}): Entry => ({ text: words.say(id, values), sample });
  const makers: Record<LayerName, () => Entry[]> = {
    boundary: () => [entry('sheet.legend.boundary', boundary), entry('sheet.legend.headland', (...on) => tone({ tint: on[3].ground }, ...on))],
    exclusions: () =>
      [...new Map((told.field?.exclusions ?? []).map((item) => [`${item.kind}/${item.treatment}`, item])).values()].map((item) => ({
        text: words.say('sheet.legend.exclusion', { kind: words.say(`sheet.kind.${item.kind}`), treatment: words.say(`sheet.treatment.${item.treatment}`) }),
        sample: (context, width, height, ink, ratio) => {
          context.beginPath();
          context.rect(ratio, ratio, width - 2 * ratio, height - 2 * ratio);
          paintThing(context, lookOf(item.kind), item.treatment, true, ink, ratio);
        },
      })),
    rows: () => [entry('sheet.legend.row', line('ink', 1))],
    vines: () => [entry('sheet.legend.vine', repeated(stroke, 0.2, 5, 'ink'))],
    posts: () => [entry('sheet.legend.end_post', marked(square, 3.5, 'ink')), entry('sheet.legend.line_post', marked(square, 2.4, 'soft'))],
    anchors: () => [entry('sheet.legend.anchor', repeated(cross, 0.5, 3, 'soft'))],
    plantable: () => [entry('sheet.legend.plantable', plantable)],
    slope: () =>
      told.slope?.grid == null
        ? [entry('sheet.legend.no_heights', null)]
        : [
            ...tonesOfSlope(told.slope.aspect_deg, NO_INK).map((_, at) => ({
              text: classWords(told.slope?.classes?.[at]),
              sample: ((...on) => tone(tonesOfSlope(told.slope?.aspect_deg, on[3])[at] ?? {}, ...on)) as Sample,
            })),
            entry('sheet.legend.contours', line('ink', 1), { step: say(told.slope.contour_step_m ?? 0, 'm') }),
            ...[...new Set((told.slope.places ?? []).map(({ kind }) => kind))].map((kind) => entry(`sheet.legend.place.${kind}`, place(kind))),
          ],
    soil: () => {
      const zones = told.soil?.zones ?? [];
      if (zones.length === 0) return [entry('sheet.legend.no_pits', null)];
      const potentials = POTENTIALS.filter((name) => zones.some(({ potential }) => potential === name));
      return [
        ...potentials.map((name) => entry(`sheet.potential.${name}`, (...on) => tone(toneOfPotential(name, on[3]), ...on))),
        entry('sheet.legend.pit', (context, width, height, ink, ratio) => markPit(context, width / 2, height / 2, ink, ratio)),
      ];
    },
    light: () => {
      const light = told.light;
      if (light === undefined) return [];
      if (light.season_share === null) return [entry('sheet.legend.no_light', null)];
      return [
        entry('sheet.legend.light', null, { share: say(100 * light.season_share, '%') }),
        entry('sheet.legend.afternoon', sun(true), { load: say(light.afternoon_mj_m2 ?? 0, 'MJ/m²') }),
        entry('sheet.legend.morning', sun(false), { load: say(light.morning_mj_m2 ?? 0, 'MJ/m²') }),
      ];
    },
    wires: () => [
      entry('sheet.legend.wires', (context, width, height, ink, ratio) => {
        context.beginPath();
        context.moveTo(0, height / 2);
        context.lineTo(width, height / 2);
        strokeWires(context, ink, ratio);
      }),
      ...[...(told.wires?.wires ?? [])]
        .sort((one, other) => other.height_m - one.height_m)
        .map((wire) => entry(wire.strands > 1 ? 'sheet.legend.wire_pair' : 'sheet.legend.wire', null, { name: wire.name, height: say(wire.height_m, 'm') })),
    ],
    pipes: () => {
      const pipes = told.pipes;
      if (pipes === undefined) return [];
      if (pipes.pipes.length === 0) return [entry('sheet.legend.no_water', null)];
      const kinds = PIPE_KINDS.filter((kind) => pipes.pipes.some((pipe) => pipe.kind === kind));
      const devices = DEVICES.filter((kind) => pipes.valves.some((valve) => valve.kind === kind));
      return [
        entry('sheet.legend.source', (context, width, height, ink, ratio) => markSource(context, width / 2, height / 2, ink, ratio)),
        ...kinds.map((kind) => entry(`sheet.legend.pipe.${kind}`, pipe(kind))),
        ...devices.map((kind) => entry(`sheet.legend.device.${kind}`, (context, width, height, ink, ratio) => markDevice(context, kind, width / 2, height / 2, ink, ratio))),
        ...(shown.pressures ? [] : setsOf(arrays).map((set) => entry('sheet.legend.set', (...on) => tone(toneOfSet(set - 1, on[3]), ...on), { set }))),
      ];
    },
    pressures: () => {
      const bounds = told.pressures?.steps_kpa ?? [];
      if (told.pressures !== undefined && bounds.length < 2) return [entry('sheet.legend.no_water', null)];
      const isStarved = arrays['drippers_starved']?.some((starved: number) => starved > 0) ?? false;
      return [
        ...(isStarved ? [entry('sheet.legend.starved', step(-1))] : []),
        ...bounds.slice(1).map((most, at) => entry('sheet.legend.between', step(at), { least: say(bounds[at] ?? 0, 'kPa'), most: say(most, 'kPa') })),
        ...(bounds.length === 0
          ? []
          : (['least', 'most'] as const).map((name) =>
              entry(`sheet.legend.${name}`, (context, width, height, ink, ratio) => markWorst(context, name, width / 2, height / 2, ink, ratio)),
            )),
      ];
    },
  };
  return (Object.keys(makers) as LayerName[]).filter((layer) => shown[layer]).map((layer) => ({ layer, entries: makers[layer]() }));
}

/** Only the number of tones is asked of it. */
const NO_INK = { isDark: false } as Ink;

function classWords(told: { label: string; share: number } | undefined): string {
  return told === undefined ? '' : words.say('sheet.legend.slope', { label: told.label, share: quantity(100 * told.share, '%', 'metric', words.locale) });
}

function tone(tone: Tone, context: CanvasRenderingContext2D, width: number, height: number, ink: Ink, ratio: number): void {
  context.beginPath();
  context.rect(ratio / 2, ratio / 2, width - ratio, height - ratio);
  fillTone(context, tone, ink.soft, ratio);
  context.strokeStyle = ink.ink;
  context.lineWidth = ratio;
  context.stroke();
}
const line =
  (colour: 'ink' | 'soft', thickness: number): Sample =>
  (context, width, height, ink, ratio) => {
    context.beginPath();
    context.moveTo(0, height / 2);
    context.lineTo(width, height / 2);
    context.strokeStyle = ink[colour];
    context.lineWidth = thickness * ratio;
    context.stroke();
  };
const boundary: Sample = (context, width, height, ink, ratio) => {
  context.setLineDash([10 * ratio, 3 * ratio, 2 * ratio, 3 * ratio]);
  line('ink', 1.6)(context, width, height, ink, ratio);
  context.setLineDash([]);
};
const plantable: Sample = (context, width, height, ink, ratio) => {
  context.beginPath();
  context.rect(ratio, ratio, width - 2 * ratio, height - 2 * ratio);
  context.fillStyle = ink.sheet;
  context.fill();
  context.strokeStyle = ink.soft;
  context.lineWidth = ratio;
  context.setLineDash([3 * ratio, 3 * ratio]);
  context.stroke();
  context.setLineDash([]);
};
function repeated(shape: typeof stroke, share: number, size: number, colour: 'ink' | 'soft'): Sample {
  return (context, width, height, ink, ratio) => {
    context.beginPath();
    for (let part = share; part < 1; part += share) shape(context, part * width, height / 2, size * ratio);
    context.strokeStyle = ink[colour];
    context.lineWidth = 1.2 * ratio;
    context.stroke();
  };
}
function marked(shape: typeof square, size: number, colour: 'ink' | 'soft'): Sample {
  return (context, width, height, ink, ratio) => {
    context.beginPath();
    shape(context, width / 2, height / 2, size * ratio);
    context.fillStyle = ink[colour];
    context.fill();
  };
}
const place =
  (kind: PlaceKind): Sample =>
  (context, width, height, ink, ratio) =>
    markSlopePlace(context, kind, width / 2, height / 2, ink, ratio);
const pipe =
  (kind: string): Sample =>
  (context, width, height, ink, ratio) => {
    context.beginPath();
    context.moveTo(0, height / 2);
    context.lineTo(width, height / 2);
    strokePipe(context, kind, ink, ratio);
  };
const step =
  (number: number): Sample =>
  (context, width, height, ink, ratio) => {
    const look = lookOfStep(number, ROW_PX, ink);
    context.setLineDash(look.dash.map((part) => part * ratio));
    context.beginPath();
    context.moveTo(0, height / 2);
    context.lineTo(width, height / 2);
    context.strokeStyle = look.colour;
    context.lineWidth = look.width * ratio;
    context.stroke();
    context.setLineDash([]);
  };
function sun(isAfternoon: boolean): Sample {
  return (context, width, height, ink, ratio) => {
    context.beginPath();
    context.moveTo(0, height - 2 * ratio);
    context.lineTo(width, height - 2 * ratio);
    strokeSide(context, isAfternoon, ink, ratio);
    markSun(context, width / 2, height / 2 - 2 * ratio, [0, 0], isAfternoon, ink, 0.55 * ratio);
  };
}
