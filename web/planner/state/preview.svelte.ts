/** What follows from a brief: asked for anew with every change, the old standing until then.
 *
 * The rows come first, so that the sheet follows the pen; the stages behind them come after. */

import { api, Refused, Unreachable, type Changes, type Figure, type Finding, type PreviewAbout, type ProblemDetails, type Reader, type StageTold } from '../api/client';
import type { TypedArray } from '../api/arrays';

export interface Picture {
  arrays: Record<string, TypedArray>;
  bearing_deg: number | null;
}

const FIRST = 'layout';
const WHOLE = 'money';
const LAYERS = ['field', 'rows', 'vines', 'posts'];

export class Preview {
  picture = $state.raw<Picture | null>(null);
  figures = $state.raw<Figure[]>([]);
  findings = $state.raw<Finding[]>([]);
  problem = $state<ProblemDetails | null>(null);
  isAsking = $state(false);

  readonly #page = Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) => byte.toString(16)).join('');
  #abort: AbortController | null = null;
  #stages: Record<string, StageTold> = {};
  #arrays: Record<string, TypedArray> = {};

  constructor(readonly block: string) {}

  /** Ask for all that follows from a brief with changes that are not saved yet.
   *
   * Choosing the bearing takes a second or two: the one chosen last is held for the first picture. */
  async ask(changes: Changes, reader: Reader, isBearingChosen: boolean): Promise<void> {
    this.#abort?.abort();
    const abort = new AbortController();
    this.#abort = abort;
    this.isAsking = true;
    try {
      const held = this.picture?.bearing_deg ?? null;
      const ask = async (until: string, asked: Changes): Promise<void> => {
        const question = { page: this.#page, changes: asked, until, layers: LAYERS, known: this.#known() };
        const { about, arrays } = await api.preview(this.block, question, reader, abort.signal);
        this.#take(about, arrays);
      };
      if (isBearingChosen && held !== null) await ask(FIRST, { ...changes, 'rows.bearing': held });
      await ask(FIRST, changes);
      await ask(WHOLE, changes);
      this.problem = null;
    } catch (error) {
      if (abort.signal.aborted) return;
      if (error instanceof Refused) {
        if (error.problem.status !== 409) this.problem = error.problem;
      } else if (!(error instanceof Unreachable)) throw error;
    } finally {
      if (this.#abort === abort) this.isAsking = false;
    }
  }

  /** Let all be told anew. */
  forget(): void {
    this.#stages = {};
    this.#arrays = {};
  }

  close(): void {
    this.#abort?.abort();
  }

  #known(): Record<string, string> {
    return Object.fromEntries(Object.entries(this.#stages).map(([name, { digest }]) => [name, digest]));
  }

  #take(about: PreviewAbout, arrays: Record<string, TypedArray>): void {
    for (const [name, told] of Object.entries(about.stages)) if (told.is_fresh) this.#stages[name] = told;
    this.#arrays = { ...this.#arrays, ...arrays };
    this.picture = { arrays: this.#arrays, bearing_deg: about.bearing_deg };
    this.figures = Object.values(this.#stages).flatMap((stage) => stage.figures ?? []);
    this.findings = Object.values(this.#stages).flatMap((stage) => stage.findings ?? []);
  }
}
