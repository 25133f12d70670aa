/** Ground told apart by hatching first and tint second, as on paper. */

export interface Tone {
  /** Fill below the hatching; none leaves what lies there. */
  tint?: string;
  /** Between lines, in pixels of the page. */
  apart?: number;
  /** Ways of the lines, anticlockwise from the right. */
  angles?: readonly number[];
  dash?: readonly number[];
}

/** Fill the path, or another one, tinted and hatched. */
export function fillTone(context: CanvasRenderingContext2D, tone: Tone, colour: string, ratio: number, path?: Path2D): void {
  for (const paint of paints(context, tone, colour, ratio)) {
    context.fillStyle = paint;
    if (path === undefined) context.fill('evenodd');
    else context.fill(path);
  }
}

/** Stroke the path, tinted and hatched; the width is set before. */
export function strokeTone(context: CanvasRenderingContext2D, tone: Tone, colour: string, ratio: number): void {
  for (const paint of paints(context, tone, colour, ratio)) {
    context.strokeStyle = paint;
    context.stroke();
  }
}

function paints(context: CanvasRenderingContext2D, tone: Tone, colour: string, ratio: number): (string | CanvasPattern)[] {
  const found: (string | CanvasPattern)[] = tone.tint === undefined ? [] : [tone.tint];
  for (const angle of tone.angles ?? []) {
    const pattern = lines(context, (tone.apart ?? 6) * ratio, angle, colour, ratio, tone.dash);
    if (pattern !== null) found.push(pattern);
  }
  return found;
}

function lines(
  context: CanvasRenderingContext2D,
  apart: number,
  angle: number,
  colour: string,
  ratio: number,
  dash?: readonly number[],
): CanvasPattern | null {
  const tile = document.createElement('canvas');
  tile.height = Math.max(Math.round(apart), 2);
  tile.width = dash === undefined ? tile.height : Math.round(dash.reduce((sum, part) => sum + part, 0) * ratio);
  const own = tile.getContext('2d');
  if (own === null) return null;
  own.fillStyle = colour;
  own.fillRect(0, 0, dash === undefined ? tile.width : Math.round((dash[0] ?? 0) * ratio), Math.max(0.7 * ratio, 1));
  const pattern = context.createPattern(tile, 'repeat');
  pattern?.setTransform(new DOMMatrix().rotate(-angle));
  return pattern;
}
