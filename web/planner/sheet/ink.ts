/** Colours of the sheet, as the page's tokens hold them now: they differ by day and in the dark. */

const NAMES = ['ink', 'soft', 'line', 'ground', 'water', 'pen', 'sheet', 'care', 'stop'] as const;

export type Colour = (typeof NAMES)[number];
export type Ink = Record<Colour, string> & { isDark: boolean };

export function inkNow(): Ink {
  const held = getComputedStyle(document.documentElement);
  const colours = Object.fromEntries(NAMES.map((name) => [name, held.getPropertyValue(`--${name}`).trim()])) as Record<Colour, string>;
  return { ...colours, isDark: held.colorScheme === 'dark' };
}

/** Tell whenever colours may have changed; the answer ends the telling. */
export function onNewInk(told: () => void): () => void {
  const asked = ['(prefers-color-scheme: dark)', '(prefers-contrast: more)'].map((query) => matchMedia(query));
  for (const query of asked) query.addEventListener('change', told);
  return () => {
    for (const query of asked) query.removeEventListener('change', told);
  };
}
