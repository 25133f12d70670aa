/** A brief on the page: what the server has, what is on its way there, and what can be taken back. */

import { api, Refused, Unreachable, type BriefAnswer, type Changes, type ProblemDetails } from '../api/client';

/** What one press changed: the keys with their values before, and after. */
interface Step {
  before: Changes;
  after: Changes;
}

export type Standing = 'saved' | 'saving' | 'unsaved' | 'offline' | 'conflict';

const RETRY_MS = 3000;

export class Draft {
  brief = $state<BriefAnswer | null>(null);
  /** Changes not yet on disk, by key. */
  pending = $state<Changes>({});
  /** What was refused, by key: what was typed stays in its blank. */
  refused = $state<Record<string, { typed: unknown; problem: ProblemDetails }>>({});
  standing = $state<Standing>('saved');
  savedAt = $state<Date | null>(null);
  done = $state<Step[]>([]);
  undone = $state<Step[]>([]);
  /** The whole text as it is being written by hand, and the version it began from. */
  writing = $state<{ text: string; version: string } | null>(null);
  /** The brief as somebody else left it meanwhile. */
  theirs = $state<string | null>(null);

  #sending = false;
  #isClosed = false;
  #timer: ReturnType<typeof setTimeout> | undefined;
  readonly #channel: BroadcastChannel | null;

  constructor(
    readonly block: string,
    private readonly changed: () => void,
  ) {
    this.#channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(`aanplant:${block}`);
    this.#channel?.addEventListener('message', () => void this.#heard());
    this.pending = kept(block);
  }

  async open(): Promise<void> {
    this.brief = await api.brief(this.block);
    if (Object.keys(this.pending).length > 0) void this.#send();
  }

  close(): void {
    this.#isClosed = true;
    clearTimeout(this.#timer);
    this.#channel?.close();
  }

  value(key: string): unknown {
    if (key in this.refused) return this.refused[key]?.typed;
    if (key in this.pending && this.pending[key] !== null) return this.pending[key];
    return valueAt(this.brief?.values ?? {}, key);
  }

  isGiven(key: string): boolean {
    if (key in this.pending) return this.pending[key] !== null;
    return this.brief?.given.includes(key) ?? false;
  }

  set(key: string, value: unknown): void {
    this.setAll({ [key]: value });
  }

  /** Set several keys in one step, that one undo takes back. */
  setAll(changes: Changes): void {
    const differing = Object.entries(changes).filter(([key, value]) => key in this.refused || !same(this.#given(key), value));
    if (differing.length === 0) return;
    const before = Object.fromEntries(differing.map(([key]) => [key, this.#given(key)]));
    const after = Object.fromEntries(differing);
    this.done = [...this.done, { before, after }];
    this.undone = [];
    this.#put(after);
  }

  undo(): void {
    const step = this.done.at(-1);
    if (step === undefined) return;
    this.done = this.done.slice(0, -1);
    this.undone = [...this.undone, step];
    this.#put(step.before);
  }

  redo(): void {
    const step = this.undone.at(-1);
    if (step === undefined) return;
    this.undone = this.undone.slice(0, -1);
    this.done = [...this.done, step];
    this.#put(step.after);
  }

  /** The brief changed underneath: put ours on top of it, or let it stand. */
  async settle(keepOurs: boolean): Promise<void> {
    if (!keepOurs) this.pending = {};
    this.theirs = null;
    this.#keep();
    this.brief = await api.brief(this.block);
    this.standing = 'saved';
    this.changed();
    if (keepOurs) void this.#send();
  }

  /** Save the whole text, as it was edited by hand. */
  async saveText(text: string): Promise<void> {
    if (this.brief === null) return;
    this.brief = await api.saveText(this.block, text, this.writing?.version ?? this.brief.version);
    this.writing = null;
    this.refused = {};
    this.done = [];
    this.undone = [];
    this.#saved();
    this.changed();
  }

  /** Write in the whole text; it is kept while other views are open. */
  write(text: string): void {
    if (this.brief === null) return;
    this.writing = text === this.brief.text ? null : { text, version: this.writing?.version ?? this.brief.version };
  }

  /** A file that the brief names has another content: what follows from it is asked for anew, here and in other tabs. */
  fileSaved(): void {
    this.changed();
    if (!this.#isClosed) this.#channel?.postMessage('saved');
  }

  #given(key: string): unknown {
    if (key in this.pending) return this.pending[key];
    return this.isGiven(key) ? valueAt(this.brief?.values ?? {}, key) : null;
  }

  #put(changes: Changes): void {
    this.refused = Object.fromEntries(Object.entries(this.refused).filter(([key]) => !(key in changes)));
    this.pending = { ...this.pending, ...changes };
    this.#keep();
    this.changed();
    void this.#send();
  }

  async #send(): Promise<void> {
    if (this.#sending || this.#isClosed || this.brief === null || Object.keys(this.pending).length === 0) return;
    this.#sending = true;
    let isHeld = false;
    clearTimeout(this.#timer);
    const sent = { ...this.pending };
    this.standing = 'saving';
    try {
      this.brief = await api.change(this.block, sent, this.brief.version);
      this.#drop(sent);
      this.#saved();
    } catch (error) {
      isHeld = this.#failed(error, sent);
    } finally {
      this.#sending = false;
    }
    if (!isHeld) void this.#send();
  }

  /** Whether what waits must wait on: for the server, or for a person. */
  #failed(error: unknown, sent: Changes): boolean {
    if (error instanceof Unreachable) {
      this.standing = 'offline';
      if (!this.#isClosed) this.#timer = setTimeout(() => void this.#send(), RETRY_MS);
      return true;
    }
    if (error instanceof Refused && error.problem.status === 412) {
      this.standing = 'conflict';
      this.theirs = error.problem.text ?? '';
      return true;
    }
    if (!(error instanceof Refused)) throw error;
    this.standing = 'unsaved';
    const key = keyOf(error.problem, Object.keys(sent));
    this.refused = { ...this.refused, [key]: { typed: sent[key], problem: error.problem } };
    this.#drop({ [key]: sent[key] });
    this.changed();
    return false;
  }

  #drop(sent: Changes): void {
    this.pending = Object.fromEntries(
      Object.entries(this.pending).filter(([key, value]) => !(key in sent && same(sent[key], value))),
    );
    this.#keep();
  }

  #saved(): void {
    this.standing = Object.keys(this.refused).length > 0 ? 'unsaved' : 'saved';
    this.savedAt = new Date();
    if (!this.#isClosed) this.#channel?.postMessage('saved');
  }

  /** Another tab saved. What is on its way from here meets it by its version. */
  async #heard(): Promise<void> {
    if (this.#sending || Object.keys(this.pending).length > 0) return;
    try {
      await this.reread();
    } catch (error) {
      // What is written here next meets the other's change by its version.
      if (!(error instanceof Unreachable)) throw error;
    }
  }

  /** Take the brief as it stands on disk now. */
  async reread(): Promise<void> {
    this.brief = await api.brief(this.block);
    this.done = [];
    this.undone = [];
    this.changed();
  }

  #keep(): void {
    const name = `aanplant:${this.block}`;
    if (Object.keys(this.pending).length === 0) localStorage.removeItem(name);
    else localStorage.setItem(name, JSON.stringify(this.pending));
  }
}

function kept(block: string): Changes {
  try {
    return JSON.parse(localStorage.getItem(`aanplant:${block}`) ?? '{}') as Changes;
  } catch {
    return {};
  }
}

export function valueAt(values: Record<string, unknown>, key: string): unknown {
  let found: unknown = values;
  for (const name of key.split('.')) {
    if (typeof found !== 'object' || found === null) return undefined;
    found = (found as Record<string, unknown>)[name];
  }
  return found;
}

/** Which of the keys a refusal is about; the last one sent where it does not say. */
export function keyOf(problem: ProblemDetails, keys: string[]): string {
  const where = problem.where ?? '';
  return keys.find((key) => where === key || where.endsWith(` ${key}`)) ?? keys.find((key) => where.includes(key)) ?? keys.at(-1) ?? '';
}

const same = (one: unknown, other: unknown): boolean => JSON.stringify(one) === JSON.stringify(other);
