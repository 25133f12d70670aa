/** The page's own words, in the reader's language. What the program says comes in it from the server. */

import en from './en.json';

export type Catalogue = Record<string, string | string[]>;
export type Language = 'en' | 'af';

const OTHERS: Record<Exclude<Language, 'en'>, () => Promise<{ default: Catalogue }>> = {
  af: () => import('./af.json'),
};
const KEPT = 'aanplant:language';

class Words {
  language = $state<Language>('en');
  #catalogue = $state.raw<Catalogue>(en);

  async speak(language: Language): Promise<void> {
    this.#catalogue = language === 'en' ? en : (await OTHERS[language]()).default;
    this.language = language;
    document.documentElement.lang = language;
    localStorage.setItem(KEPT, language);
  }

  async speakAsBefore(): Promise<void> {
    const kept = localStorage.getItem(KEPT) ?? (navigator.language.startsWith('af') ? 'af' : 'en');
    if (kept === 'af') await this.speak(kept);
  }

  has(id: string): boolean {
    return id in this.#catalogue;
  }

  say(id: string, values: Record<string, string | number> = {}): string {
    const text = this.#catalogue[id];
    if (typeof text !== 'string') throw new Error(`no words for ${id}`);
    return text.replace(/\{([a-z_]+)\}/g, (_, name: string) => String(values[name] ?? `{${name}}`));
  }

  lines(id: string): string[] {
    const lines = this.#catalogue[id];
    return Array.isArray(lines) ? lines : [];
  }

  get locale(): string {
    return this.language === 'af' ? 'af-ZA' : 'en-GB';
  }
}

export const words = new Words();
