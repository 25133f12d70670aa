/** States of a drawing in order, so that each step can be taken back and done again. */

export interface History<State> {
  past: State[];
  now: State;
  next: State[];
}

export const begun = <State>(now: State): History<State> => ({ past: [], now, next: [] });

export const put = <State>({ past, now }: History<State>, state: State): History<State> => ({ past: [...past, now], now: state, next: [] });

export function back<State>({ past, now, next }: History<State>): History<State> {
  const before = past.at(-1);
  return before === undefined ? { past, now, next } : { past: past.slice(0, -1), now: before, next: [now, ...next] };
}

export function forth<State>({ past, now, next }: History<State>): History<State> {
  const [after, ...later] = next;
  return after === undefined ? { past, now, next } : { past: [...past, now], now: after, next: later };
}

export const states = <State>({ past, now, next }: History<State>): State[] => [...past, now, ...next];

/** The same steps with each state made anew, in the order of `states`. */
export function remade<State>(history: History<State>, made: State[]): History<State> {
  const at = history.past.length;
  return { past: made.slice(0, at), now: made[at] ?? history.now, next: made.slice(at + 1) };
}
