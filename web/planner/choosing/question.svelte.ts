/** One question that may take a while: the answer before it stays until the next is there. */

import { api, Refused, Unreachable, type Progress, type ProblemDetails } from '../api/client';

const PATIENCE_MS = 600;
const OVERTAKEN = 409;

export class Question<Answer> {
  answer = $state.raw<Answer | null>(null);
  isAsking = $state(false);
  /** How far it is, when it takes long. */
  progress = $state.raw<Progress | null>(null);
  problem = $state.raw<ProblemDetails | null>(null);
  isUnanswered = $state(false);

  #abort: AbortController | null = null;
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    readonly block: string,
    /** Page and name, as the server knows the question. */
    readonly name: string,
  ) {}

  /** Ask anew; what was asked before is given up. */
  async ask(question: (signal: AbortSignal) => Promise<Answer>): Promise<void> {
    this.close();
    const abort = new AbortController();
    this.#abort = abort;
    this.isAsking = true;
    this.#watch(abort);
    try {
      this.answer = await question(abort.signal);
      this.problem = null;
      this.isUnanswered = false;
    } catch (error) {
      if (abort.signal.aborted) return;
      if (error instanceof Refused) {
        if (error.problem.status !== OVERTAKEN) this.problem = error.problem;
      } else if (error instanceof Unreachable) this.isUnanswered = true;
      else throw error;
    } finally {
      if (this.#abort === abort) this.#end();
    }
  }

  close(): void {
    this.#abort?.abort();
    this.#end();
  }

  #end(): void {
    clearTimeout(this.#timer);
    this.#abort = null;
    this.isAsking = false;
    this.progress = null;
  }

  #watch(abort: AbortController): void {
    this.#timer = setTimeout(() => void this.#look(abort), PATIENCE_MS);
  }

  async #look(abort: AbortController): Promise<void> {
    try {
      const told = await api.progress(this.block, this.name);
      if (this.#abort !== abort) return;
      this.progress = told;
    } catch (error) {
      if (!(error instanceof Refused || error instanceof Unreachable)) throw error;
    }
    if (this.#abort === abort) this.#watch(abort);
  }
}

/** A name by which the server knows one page from another. */
export const pageName = (): string => Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) => byte.toString(16)).join('');
