/** One thing being drawn: what the file behind its key holds, how it was changed, and its way back into the estate's folder. */

import { api, Refused, Unreachable, type DrawingField } from '../../api/client';
import type { Draft } from '../../state/draft.svelte';
import type { Place } from '../sheetMap.svelte';
import { back, begun, forth, put, remade, states, type History } from './history';
import { Kept } from './kept';
import { Places, type Origin } from './places';
import { fromFeatures, isWhole, toCollection, type Drawn, type Feature, type Rings, type Sort } from './shapes';

export type Standing = 'reading' | 'open' | 'saving' | 'saved' | 'refused' | 'offline' | 'conflict' | 'unfinished' | 'unchanged';

export class Drawing {
  standing = $state<Standing>('reading');
  /** What the server said no to, in its words. */
  trouble = $state('');
  /** File that the brief names, and the one that the drawing is saved as. */
  file = $state('');
  saveAs = $state('');
  /** Whether work of an earlier time, not saved then, was taken up again. */
  isResumed = $state(false);
  history = $state.raw<History<Drawn[]>>(begun<Drawn[]>([]));
  chosen = $state<number | null>(null);
  places: Places;

  #version = '';
  #placing: Promise<void> = Promise.resolve();
  #saved = $state.raw<Drawn[]>([]);
  readonly #kept: Kept;

  constructor(
    readonly draft: Draft,
    readonly field: DrawingField,
    origin: Origin,
  ) {
    this.places = new Places(draft.block, origin);
    this.#kept = new Kept(draft.block, field.key);
  }

  get shapes(): Drawn[] {
    return this.history.now;
  }
  get isChanged(): boolean {
    return this.history.now !== this.#saved;
  }
  get chosenShape(): Drawn | null {
    return this.shapes.find(({ id }) => id === this.chosen) ?? null;
  }

  /** Read what is there; work that was kept from an earlier time goes on top of it. */
  async open(): Promise<void> {
    this.standing = 'reading';
    this.trouble = '';
    await this.#guarded(async () => {
      const told = await api.drawn(this.draft.block, this.field.key);
      [this.file, this.saveAs, this.#version] = [told.file, told.save_as, told.version];
      this.#saved = await this.#inFrame(fromFeatures(told.features as unknown as Feature[]));
      this.history = begun(this.#saved);
      this.#choose(this.#saved);
      await this.#resume();
      this.standing = 'open';
    });
  }

  async #resume(): Promise<void> {
    const held = this.#kept.read();
    this.isResumed = held !== null;
    if (held === null) return;
    [this.saveAs, this.#version] = [held.saveAs, held.version];
    this.put(same(held.origin, this.places.origin) ? held.shapes : await moved(held.shapes, new Places(this.draft.block, held.origin), this.places));
  }

  /** Drop what is not saved and read the file anew. */
  async drop(): Promise<void> {
    this.#kept.forget();
    await this.open();
  }

  put(shapes: Drawn[]): void {
    this.history = put(this.history, shapes);
    this.#changed();
  }
  undo(): void {
    this.history = back(this.history);
    this.#changed();
  }
  redo(): void {
    this.history = forth(this.history);
    this.#changed();
  }
  add(sort: Sort, rings: Rings): void {
    const id = Math.max(0, ...states(this.history).flat().map((shape) => shape.id)) + 1;
    const properties = this.field.properties.some(({ name }) => name === 'kind') ? { kind: 'other' } : {};
    const shape: Drawn = { id, sort, rings, properties };
    this.put(this.field.are_many ? [...this.shapes, shape] : [shape]);
    this.chosen = id;
  }
  edit(id: number, change: Partial<Pick<Drawn, 'rings' | 'properties'>>): void {
    this.put(this.shapes.map((shape) => (shape.id === id ? { ...shape, ...change } : shape)));
  }
  remove(id: number): void {
    this.put(this.shapes.filter((shape) => shape.id !== id));
  }

  /** The block's metres count from another place now, as after a change of its outline. */
  async follow(origin: Origin): Promise<void> {
    if (same(origin, this.places.origin)) return;
    const [from, to] = [this.places, new Places(this.draft.block, origin)];
    await this.#guarded(async () => {
      const before = this.history;
      const all = await movedAll(states(before), from, to);
      if (this.history !== before) return this.follow(origin);
      this.places = to;
      const at = states(before).indexOf(this.#saved);
      this.#saved = all[at] ?? this.#saved;
      this.history = remade(before, all);
    });
  }

  /** Something typed is on its way to its place; what is saved holds it. */
  awaits(placing: Promise<void>): void {
    this.#placing = Promise.all([this.#placing, placing]).then(() => undefined);
  }

  /** Save, and let the brief name the file. */
  async save(): Promise<void> {
    await this.#placing;
    const shapes = this.shapes;
    if (!this.isChanged) {
      this.standing = 'unchanged';
      return;
    }
    if (!shapes.every(isWhole) || (shapes.length === 0 && this.isRequired)) {
      this.standing = 'unfinished';
      return;
    }
    this.standing = 'saving';
    this.trouble = '';
    await this.#guarded(async () => {
      if (shapes.length > 0) await this.#write(shapes);
      this.#saved = shapes;
      this.#kept.forget();
      this.isResumed = false;
      this.standing = 'saved';
      const value = shapes.length > 0 ? this.saveAs : null;
      this.file = value ?? '';
      if ((this.draft.value(this.field.key) || null) === value) this.draft.fileSaved();
      else this.draft.set(this.field.key, value);
    });
  }

  /** Somebody else saved this file meanwhile: leave theirs, and put the drawing beside it. */
  async saveBeside(): Promise<void> {
    await this.#guarded(async () => {
      const taken = new Set((await api.sources(this.draft.block)).map(({ name }) => name.toLowerCase()));
      const stem = this.saveAs.replace(/(-\d+)?\.[^.]*$/, '');
      let number = 2;
      while (taken.has(`${stem}-${number}.geojson`.toLowerCase())) number += 1;
      this.saveAs = `${stem}-${number}.geojson`;
      this.#version = '';
      await this.save();
    });
  }

  get isRequired(): boolean {
    return this.field.key === 'block.boundary';
  }

  async #write(shapes: Drawn[]): Promise<void> {
    const inLonlat = rebuilt(shapes, (await this.places.turned('frame', shapes.flatMap(corners))).lonlat);
    const data = new Blob([`${JSON.stringify(toCollection(inLonlat), null, 1)}\n`]);
    const { version } = await api.saveSource(this.draft.block, this.saveAs, data, this.field.key, this.#version);
    this.#version = version;
  }

  async #inFrame(shapes: Drawn[]): Promise<Drawn[]> {
    return rebuilt(shapes, (await this.places.turned('lonlat', shapes.flatMap(corners))).frame);
  }

  /** A single thing is open for editing at once; of several, the one that a person points at. */
  #choose(shapes: Drawn[]): void {
    this.chosen = this.field.are_many ? null : (shapes[0]?.id ?? null);
  }

  #changed(): void {
    if (this.chosenShape === null) this.#choose(this.shapes);
    if (this.standing !== 'conflict') this.standing = 'open';
    if (this.isChanged) this.#kept.keep({ origin: this.places.origin, shapes: this.shapes, saveAs: this.saveAs, version: this.#version });
    else this.#kept.forget();
  }

  async #guarded(work: () => Promise<void>): Promise<void> {
    try {
      await work();
    } catch (error) {
      if (error instanceof Unreachable) this.standing = 'offline';
      else if (error instanceof Refused) {
        this.standing = [412, 428].includes(error.problem.status) ? 'conflict' : 'refused';
        this.trouble = error.problem.detail;
      } else throw error;
    }
  }
}

const corners = (shape: Drawn): Place[] => shape.rings.flat();

/** The same shapes with their corners in other coordinates, in the order of `corners`. */
function rebuilt(shapes: Drawn[], places: Place[]): Drawn[] {
  let at = 0;
  return shapes.map((shape) => ({ ...shape, rings: shape.rings.map((ring) => ring.map((place) => places[at++] ?? place)) }));
}

async function moved(shapes: Drawn[], from: Places, to: Places): Promise<Drawn[]> {
  return (await movedAll([shapes], from, to))[0] ?? shapes;
}

async function movedAll(all: Drawn[][], from: Places, to: Places): Promise<Drawn[][]> {
  const flat = all.flat();
  const { lonlat } = await from.turned('frame', flat.flatMap(corners));
  const { frame } = await to.turned('lonlat', lonlat);
  const made = rebuilt(flat, frame);
  let at = 0;
  return all.map((shapes) => shapes.map((shape) => made[at++] ?? shape));
}

const same = (one: Origin, other: Origin): boolean => one.every((part, at) => part === other[at]);
