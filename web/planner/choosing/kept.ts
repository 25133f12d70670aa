/** Alternatives of a brief, kept in this browser by block. */

import type { Changes } from '../api/client';

export interface Kept {
  name: string;
  /** What its owner had written, by dotted key; the block's own files stay out. */
  written: Changes;
}

/** The block's name and files are shared by all its alternatives. */
const SHARED = 'block.';
const same = (one: unknown, other: unknown): boolean => JSON.stringify(one) === JSON.stringify(other);

/** All that is written in a brief, with what is not saved yet on top of it. */
export function writtenIn(given: readonly string[], valueOf: (key: string) => unknown, pending: Changes): Changes {
  const saved = given.filter((key) => !key.startsWith(SHARED)).map((key) => [key, valueOf(key)] as const);
  const all: Changes = { ...Object.fromEntries(saved), ...pending };
  return Object.fromEntries(Object.entries(all).filter(([key, value]) => value !== null && !key.startsWith(SHARED)));
}

/** What must change in a brief for another to stand in its place; null leaves a key out. */
export function changesTo(wanted: Changes, written: Changes): Changes {
  const keys = new Set([...Object.keys(wanted), ...Object.keys(written)]);
  return Object.fromEntries([...keys].filter((key) => !same(wanted[key], written[key])).map((key) => [key, wanted[key] ?? null]));
}

/** A name that none of the others has. */
export function nameFor(wanted: string, others: readonly Kept[]): string {
  const taken = new Set(others.map(({ name }) => name));
  let name = wanted;
  for (let number = 2; taken.has(name); number += 1) name = `${wanted} ${number}`;
  return name;
}

const placeOf = (block: string): string => `aanplant:alternatives:${block}`;

export function keptOf(block: string): Kept[] {
  try {
    const held = JSON.parse(localStorage.getItem(placeOf(block)) ?? '[]') as Kept[];
    return held.filter(({ name, written }) => typeof name === 'string' && typeof written === 'object');
  } catch {
    return [];
  }
}

export function keep(block: string, alternatives: readonly Kept[]): void {
  localStorage.setItem(placeOf(block), JSON.stringify(alternatives));
}
