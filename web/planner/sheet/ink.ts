/** Colours of the sheet, as the page's tokens hold them now: they differ by day and in the dark. */

export interface Ink {
  ink: string;
  soft: string;
  line: string;
  ground: string;
  water: string;
  pen: string;
  sheet: string;
}

export function inkNow(): Ink {
  const held = getComputedStyle(document.documentElement);
  const colour = (name: keyof Ink): string => held.getPropertyValue(`--${name}`).trim();
  return {
    ink: colour('ink'),
    soft: colour('soft'),
    line: colour('line'),
    ground: colour('ground'),
    water: colour('water'),
    pen: colour('pen'),
    sheet: colour('sheet'),
  };
}

/** Tell whenever colours may have changed; the answer ends the telling. */
export function onNewInk(told: () => void): () => void {
  const asked = ['(prefers-color-scheme: dark)', '(prefers-contrast: more)'].map((query) => matchMedia(query));
  for (const query of asked) query.addEventListener('change', told);
  return () => {
    for (const query of asked) query.removeEventListener('change', told);
  };
}
