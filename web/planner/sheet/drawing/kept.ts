/** Work on a drawing that is not saved yet, kept in the browser: it outlives a closed page and a dropped line. */

import type { Origin } from './places';
import type { Drawn } from './shapes';

export interface Unsaved {
  origin: Origin;
  shapes: Drawn[];
  saveAs: string;
  version: string;
}

const START = 'aanplant:drawing:';

export class Kept {
  readonly #name: string;

  constructor(block: string, key: string) {
    this.#name = `${START}${block}:${key}`;
  }

  read(): Unsaved | null {
    try {
      return JSON.parse(localStorage.getItem(this.#name) ?? 'null') as Unsaved | null;
    } catch {
      return null;
    }
  }
  keep(unsaved: Unsaved): void {
    localStorage.setItem(this.#name, JSON.stringify(unsaved));
  }
  forget(): void {
    localStorage.removeItem(this.#name);
  }
}

/** Keys of a block whose drawing waits to be saved. */
export function waiting(block: string): string[] {
  const start = `${START}${block}:`;
  return Object.keys(localStorage)
    .filter((name) => name.startsWith(start))
    .map((name) => name.slice(start.length));
}
