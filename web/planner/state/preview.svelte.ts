/** What follows from a brief: asked for anew with every change, the old standing until then.
 *
 * The rows come first, so that the sheet follows the pen; the stages behind them come after.
 * Layers of the sheet beyond the rows are asked for only while they are shown. */

import { api, Refused, Unreachable, type Changes, type Figure, type Finding, type PreviewAbout, type ProblemDetails, type Reader, type StageTold } from '../api/client';
import type { TypedArray } from '../api/arrays';

type LayersTold = PreviewAbout['layers'];
export type Grid = PreviewAbout['grid'];

export interface Picture {
  arrays: Record<string, TypedArray>;
  /** What the server tells of each layer, beside its arrays. */
  told: LayersTold;
  bearing_deg: number | null;
  grid: Grid;
  /** Definition of the block's own grid. */
  frame: string;
}

const FIRST = 'layout';
const SHOWN = 'water';
const WHOLE = 'money';
const LAYERS = ['field', 'rows', 'vines', 'posts'];
/** Layers that may be wanted beyond those, each with the stage that makes it. */
const STAGES: Record<string, string> = {
  field: 'site', soil: 'site', slope: 'site',
  rows: 'layout', vines: 'layout', posts: 'layout', plantable: 'layout', light: 'layout',
  wires: 'trellis', pipes: 'water', pressures: 'water',
};
const isDeep = (layer: string): boolean => STAGES[layer] === 'water' || STAGES[layer] === 'trellis';

export class Preview {
  picture = $state.raw<Picture | null>(null);
  figures = $state.raw<Figure[]>([]);
  findings = $state.raw<Finding[]>([]);
  problem = $state<ProblemDetails | null>(null);
  isAsking = $state(false);
  /** Layers that are wanted and being worked out; what is shown of them is older or nothing. */
  pending = $state.raw<ReadonlySet<string>>(new Set());

  readonly #page = Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) => byte.toString(16)).join('');
  #abort: AbortController | null = null;
  #stages: Record<string, StageTold> = {};
  #arrays: Record<string, TypedArray> = {};
  #told: LayersTold = {};
  /** Digest of the stage from which each layer was taken. */
  #taken: Record<string, string> = {};
  #wanted: readonly string[] = [];
  #asked: [Changes, Reader, boolean] | null = null;

  constructor(readonly block: string) {}

  /** Ask for all that follows from a brief with changes that are not saved yet.
   *
   * Choosing the bearing takes a second or two: the one chosen last is held for the first picture. */
  async ask(changes: Changes, reader: Reader, isBearingChosen: boolean): Promise<void> {
    this.#abort?.abort();
    const abort = new AbortController();
    this.#abort = abort;
    this.#asked = [changes, reader, isBearingChosen];
    this.isAsking = true;
    this.pending = new Set(this.#wanted);
    try {
      const held = this.picture?.bearing_deg ?? null;
      const ask = async (until: string, asked: Changes, layers: readonly string[]): Promise<void> => {
        const question = { page: this.#page, changes: asked, until, layers: [...layers], known: this.#known(layers) };
        const { about, arrays } = await api.preview(this.block, question, reader, abort.signal);
        this.#take(about, arrays);
        const isMade = (layer: string): boolean => STAGES[layer] !== undefined && STAGES[layer] in about.stages;
        this.pending = new Set([...this.pending].filter((layer) => !isMade(layer)));
      };
      const near = [...LAYERS, ...this.#wanted.filter((layer) => !isDeep(layer))];
      const deep = this.#wanted.filter(isDeep);
      if (isBearingChosen && held !== null) await ask(FIRST, { ...changes, 'rows.bearing': held }, LAYERS);
      await ask(FIRST, changes, near);
      if (deep.length > 0) await ask(SHOWN, changes, [...near, ...deep]);
      await ask(WHOLE, changes, [...near, ...deep]);
      this.problem = null;
    } catch (error) {
      if (abort.signal.aborted) return;
      if (error instanceof Refused) {
        if (error.problem.status !== 409) this.problem = error.problem;
      } else if (!(error instanceof Unreachable)) throw error;
    } finally {
      if (this.#abort === abort) {
        this.isAsking = false;
        this.pending = new Set();
      }
    }
  }

  /** Say which layers are shown beyond the rows; what is not there yet is asked for. */
  want(layers: readonly string[]): void {
    const isMore = layers.some((layer) => !this.#isCurrent(layer));
    this.#wanted = layers;
    if (isMore && this.#asked !== null) void this.ask(...this.#asked);
  }

  /** Let all be told anew. */
  forget(): void {
    this.#stages = {};
    this.#arrays = {};
    this.#taken = {};
  }

  close(): void {
    this.#abort?.abort();
  }

  #isCurrent(layer: string): boolean {
    const digest = this.#stages[STAGES[layer] ?? '']?.digest;
    return digest !== undefined && this.#taken[layer] === digest;
  }

  /** Stages that need not be told again: those whose layers are all here. */
  #known(layers: readonly string[]): Record<string, string> {
    const lacking = new Set(layers.filter((layer) => !this.#isCurrent(layer)).map((layer) => STAGES[layer]));
    return Object.fromEntries(Object.entries(this.#stages).flatMap(([name, { digest }]) => (lacking.has(name) ? [] : [[name, digest]])));
  }

  #take(about: PreviewAbout, arrays: Record<string, TypedArray>): void {
    for (const [name, told] of Object.entries(about.stages)) if (told.is_fresh) this.#stages[name] = told;
    for (const layer of Object.keys(about.layers)) {
      const digest = about.stages[STAGES[layer] ?? '']?.digest;
      if (digest !== undefined) this.#taken[layer] = digest;
    }
    this.#arrays = { ...this.#arrays, ...arrays };
    this.#told = { ...this.#told, ...about.layers };
    this.picture = { arrays: this.#arrays, told: this.#told, bearing_deg: about.bearing_deg, grid: about.grid, frame: about.frame };
    this.figures = Object.values(this.#stages).flatMap((stage) => stage.figures ?? []);
    this.findings = Object.values(this.#stages).flatMap((stage) => stage.findings ?? []);
  }
}
