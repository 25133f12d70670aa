import { beforeEach, expect, it } from 'vitest';

import { changesTo, keep, keptOf, nameFor, writtenIn } from './kept';

beforeEach(() => localStorage.clear());

const values: Record<string, unknown> = { 'block.name': 'Kiepersol', 'rows.headland': '8 m', 'vines.row_width': 2.5 };
const valueOf = (key: string): unknown => values[key];

it('holds what is written and not yet saved, without the files of the block', () => {
  expect(writtenIn(Object.keys(values), valueOf, { 'rows.bearing': 68, 'rows.headland': null })).toEqual({ 'rows.bearing': 68, 'vines.row_width': 2.5 });
});

it('tells what to change for one brief to stand in place of another', () => {
  const wanted = { 'vines.row_width': '2.75 m', 'rows.weights': [1, 2] };
  const written = { 'vines.row_width': 2.5, 'rows.headland': '8 m', 'rows.weights': [1, 2] };

  const changes = changesTo(wanted, written);

  expect(changes).toEqual({ 'vines.row_width': '2.75 m', 'rows.headland': null });
  expect(changesTo(wanted, wanted)).toEqual({});
});

it('gives no two alternatives one name', () => {
  const kept = [{ name: 'wide', written: {} }, { name: 'wide 2', written: {} }];
  expect(nameFor('wide', kept)).toBe('wide 3');
  expect(nameFor('narrow', kept)).toBe('narrow');
});

it('keeps alternatives by block, and begins anew where what was kept cannot be read', () => {
  keep('a', [{ name: 'wide', written: { 'vines.row_width': 3 } }]);
  expect(keptOf('a')).toEqual([{ name: 'wide', written: { 'vines.row_width': 3 } }]);
  expect(keptOf('b')).toEqual([]);
  localStorage.setItem('aanplant:alternatives:a', '{');
  expect(keptOf('a')).toEqual([]);
});
