/** A brief on the page: what the server has, what is on its way there, and what can be taken back. */

import { api, Refused, Unreachable, type BriefAnswer, type Changes, type ProblemDetails } from '../api/client';

/** What one press changed: the keys with their values before, and after. */
interface Step {
  before: Changes;
  after: Changes;
}

export type Standing = 'saved' | 'saving' | 'unsaved' | 'offline' | 'conflict';

const RETRY_MS = 3000;
const LOOK_MS = 5000;

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
  /** The brief as somebody else left it meanwhile, while it is asked what should become of ours. */
  theirs = $state<BriefAnswer | null>(null);

  #sending = false;
  #isClosed = false;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #looking: ReturnType<typeof setInterval> | undefined;
  readonly #channel: BroadcastChannel | null;

  constructor(
    readonly block: string,
    private readonly changed: () => void,
  ) {
    this.#channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(`aanplant:${block}`);
    this.#channel?.addEventListener('message', this.#look);
    this.pending = Object.fromEntries(Object.entries(kept(block)).map(([key, { value }]) => [key, value]));
  }

  /** Read the brief; what was kept goes on top of the version it was written over, and of no other. */
  async open(): Promise<void> {
    const now = await api.brief(this.block);
    this.brief = now;
    if (this.#isClosed) return;
    addEventListener('focus', this.#look);
    this.#looking = setInterval(() => {
      if (document.visibilityState === 'visible') void this.#look();
    }, LOOK_MS);
    if (Object.values(kept(this.block)).some(({ version }) => version !== now.version)) this.#meet(now);
    else void this.#send();
  }

  close(): void {
    this.#isClosed = true;
    clearTimeout(this.#timer);
    clearInterval(this.#looking);
    removeEventListener('focus', this.#look);
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
    const differing = Object.entries(changes).filter(([key, value]) => key in this.refused || !this.#stands(key, value));
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
  settle(keepOurs: boolean): void {
    if (this.theirs === null) return;
    if (!keepOurs) {
      this.#forgetSteps(Object.keys(this.pending));
      this.#hold({});
    }
    this.#take(this.theirs);
    void this.#send();
  }

  /** Save the whole text, as it was edited by hand. */
  async saveText(text: string): Promise<void> {
    if (this.brief === null) return;
    const saved = await api.saveText(this.block, text, this.writing?.version ?? this.brief.version);
    this.writing = null;
    this.refused = {};
    this.#take(saved);
    this.#saved();
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

  /** What its owner wrote, with its unit; null where it is left out. */
  #given(key: string): unknown {
    if (key in this.pending) return this.pending[key];
    return this.isGiven(key) ? (valueAt(this.brief?.written ?? {}, key) ?? valueAt(this.brief?.values ?? {}, key)) : null;
  }

  /** Whether a value stands there already, as it is written or as it is read. */
  #stands(key: string, value: unknown): boolean {
    if (same(this.#given(key), value)) return true;
    return !(key in this.pending) && this.isGiven(key) && same(valueAt(this.brief?.values ?? {}, key), value);
  }

  #put(changes: Changes): void {
    this.refused = Object.fromEntries(Object.entries(this.refused).filter(([key]) => !(key in changes)));
    this.#hold({ ...this.pending, ...changes });
    this.changed();
    void this.#send();
  }

  async #send(): Promise<void> {
    if (this.#sending || this.#isClosed || this.brief === null || this.theirs !== null || Object.keys(this.pending).length === 0) return;
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
      isHeld = await this.#failed(error, sent);
    } finally {
      this.#sending = false;
    }
    if (!isHeld) void this.#send();
  }

  /** Whether what waits must wait on: for the server, or for a person. */
  async #failed(error: unknown, sent: Changes): Promise<boolean> {
    if (error instanceof Unreachable) {
      this.standing = 'offline';
      if (!this.#isClosed) this.#timer = setTimeout(() => void this.#send(), RETRY_MS);
      return true;
    }
    if (error instanceof Refused && error.problem.status === 412) {
      try {
        this.#meet(await api.brief(this.block));
        return false;
      } catch (unread) {
        return this.#failed(unread, sent);
      }
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
    this.#hold(Object.fromEntries(Object.entries(this.pending).filter(([key, value]) => !(key in sent && same(sent[key], value)))));
  }

  #saved(): void {
    this.standing = Object.keys(this.refused).length > 0 ? 'unsaved' : 'saved';
    this.savedAt = new Date();
    if (!this.#isClosed) this.#channel?.postMessage('saved');
  }

  /** Look whether somebody else saved meanwhile: another tab, an editor, the command line. */
  readonly #look = async (): Promise<void> => {
    const before = this.brief;
    if (before === null || this.#sending || this.#isClosed) return;
    try {
      const now = await api.brief(this.block);
      const isOvertaken = this.#sending || this.#isClosed || this.brief?.version !== before.version;
      if (!isOvertaken && now.version !== (this.theirs ?? before).version) this.#meet(now);
    } catch (error) {
      // What is written here next says so, or meets the other's change by its version.
      if (!(error instanceof Unreachable || error instanceof Refused)) throw error;
    }
  };

  /** Take the brief as it stands on disk now. */
  async reread(): Promise<void> {
    this.#meet(await api.brief(this.block));
  }

  /** Somebody else's brief is taken, unless something of ours would have to go on top of it. */
  #meet(now: BriefAnswer): void {
    const isThere = (key: string, value: unknown): boolean =>
      value === null ? !now.given.includes(key) : same(valueAt(now.written, key), value) || same(valueAt(now.values, key), value);
    this.theirs = now;
    this.standing = 'conflict';
    this.#drop(Object.fromEntries(Object.entries(this.pending).filter(([key, value]) => isThere(key, value))));
    if (Object.keys(this.pending).length === 0) this.#take(now);
  }

  /** Go on from another brief. What somebody else changed in it is not ours to take back. */
  #take(now: BriefAnswer): void {
    const before = this.brief?.written ?? {};
    const keys = [...this.done, ...this.undone].flatMap((step) => Object.keys(step.after));
    this.#forgetSteps(keys.filter((key) => !same(valueAt(before, key), valueAt(now.written, key))));
    this.brief = now;
    this.theirs = null;
    this.standing = Object.keys(this.refused).length > 0 ? 'unsaved' : 'saved';
    this.#hold(this.pending);
    this.changed();
  }

  #forgetSteps(keys: string[]): void {
    const isOurs = (step: Step): boolean => !keys.some((key) => key in step.after);
    this.done = this.done.filter(isOurs);
    this.undone = this.undone.filter(isOurs);
  }

  /** Let these changes wait. They are kept beside those of other tabs, with the version they were written over.
   *
   * While it is asked what should become of them, that version stays. */
  #hold(next: Changes): void {
    const all = kept(this.block);
    const isOurs = (key: string): boolean => same(all[key]?.value, this.pending[key]);
    for (const key of Object.keys(this.pending)) if (!(key in next) && isOurs(key)) delete all[key];
    const version = this.brief?.version ?? '';
    for (const [key, value] of Object.entries(next))
      if (isOurs(key) || !same(this.pending[key], value)) all[key] = { value, version: this.theirs === null ? version : (all[key]?.version ?? version) };
    this.pending = next;
    if (Object.keys(all).length === 0) localStorage.removeItem(placeOf(this.block));
    else localStorage.setItem(placeOf(this.block), JSON.stringify(all));
  }
}

/** Changes not on disk, of every tab, and the version of the brief that each was written over. */
type Kept = Record<string, { value: unknown; version: string }>;

const placeOf = (block: string): string => `aanplant:unsaved:${block}`;

function kept(block: string): Kept {
  try {
    return JSON.parse(localStorage.getItem(placeOf(block)) ?? '{}') as Kept;
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
