/** Round lengths for the scale bar. */

const MOST_PX = 120;

/** The longest 1, 2 or 5 times a power of ten that is no longer than the room, in metres. */
export function roundBelow(most: number): number {
  const power = 10 ** Math.floor(Math.log10(most));
  return [5, 2, 1].map((step) => step * power).find((length) => length <= most) ?? power;
}

/** Metres and pixels of the scale bar where a pixel is so many metres. */
export function barFor(resolution: number): { metres: number; pixels: number } {
  const metres = roundBelow(MOST_PX * resolution);
  return { metres, pixels: Math.round(metres / resolution) };
}
