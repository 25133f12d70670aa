/** Values laid out on the screen: scales, round ticks, and paths through places. */

export type Scale = (value: number) => number;
export type Place = readonly [x: number, y: number];

/** From values between `low` and `high` to places between `from` and `to`. */
export function scaleOf(low: number, high: number, from: number, to: number): Scale {
  const span = high === low ? 1 : high - low;
  return (value) => from + ((value - low) / span) * (to - from);
}

/** Round values from low to high, at most one more than `about`. */
export function roundTicks(low: number, high: number, about = 4): number[] {
  if (!(high > low)) return [low];
  const power = 10 ** Math.floor(Math.log10((high - low) / about));
  const step = [1, 2, 5, 10, 20].map((part) => part * power).find((each) => Math.floor(high / each) - Math.ceil(low / each) <= about) ?? high - low;
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, index) => Number(((first + index) * step).toPrecision(12)));
}

export const lineThrough = (places: readonly Place[]): string =>
  places.map(([x, y], index) => `${index === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');

/** First and last place of each run of true ones. */
export function runsOf(flags: readonly boolean[]): [number, number][] {
  const runs: [number, number][] = [];
  flags.forEach((flag, index) => {
    if (!flag) return;
    const last = runs.at(-1);
    if (last !== undefined && last[1] === index - 1) last[1] = index;
    else runs.push([index, index]);
  });
  return runs;
}

/** Which of some values is nearest to one. */
export function nearest(values: readonly number[], value: number): number {
  let best = 0;
  values.forEach((each, index) => {
    if (Math.abs(each - value) < Math.abs((values[best] ?? Infinity) - value)) best = index;
  });
  return best;
}

/** Which bearing is nearest to one, where half a turn is the first again. */
export function nearestBearing(bearings: readonly number[], bearing: number): number {
  const apart = (one: number): number => Math.abs(((((one - bearing + 90) % 180) + 180) % 180) - 90);
  return bearings.reduce((best, each, index) => (apart(each) < apart(bearings[best] ?? 0) ? index : best), 0);
}
