/** Layers that a reader can turn on and off, and what each needs from the server. */

export const LAYERS = ['boundary', 'exclusions', 'rows', 'vines', 'posts', 'anchors', 'plantable', 'slope', 'soil', 'light', 'wires', 'pipes', 'pressures'] as const;
export type LayerName = (typeof LAYERS)[number];
export type Shown = Record<LayerName, boolean>;

const FROM_THE_START = new Set<LayerName>(['boundary', 'exclusions', 'rows', 'vines', 'posts', 'anchors']);
/** Layers of the server's that are only asked for while one that needs them is shown. */
const NEEDS: Partial<Record<LayerName, readonly string[]>> = {
  plantable: ['plantable'],
  slope: ['slope'],
  soil: ['soil'],
  light: ['light'],
  wires: ['wires'],
  pipes: ['pipes'],
  pressures: ['pressures', 'pipes'],
};

export const shownAtFirst = (): Shown => Object.fromEntries(LAYERS.map((name) => [name, FROM_THE_START.has(name)])) as Shown;

/** What the server is asked for beyond the rows. */
export const wantedBy = (shown: Shown): string[] => [...new Set(LAYERS.flatMap((name) => (shown[name] ? (NEEDS[name] ?? []) : [])))];

/** Whether a shown layer waits for one of these. */
export const waitsFor = (name: LayerName, pending: ReadonlySet<string>): boolean => (NEEDS[name] ?? []).some((need) => pending.has(need));
