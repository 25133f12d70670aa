import { describe, expect, it } from 'vitest';

import type { Field } from './fields';
import { emptyRow, moved, placeOf, placeWithin, rowsOf, valueOf } from './rows';

const PLAIN: Field = {
  key: '', kind: 'text', name: '', help: '', unit: '', shown_unit: '', shown_factor: 1, low: null, high: null,
  options: [], option_words: [], suggestions: [], pattern: '', default: null, default_source: null, is_required: false, may_be_empty: false, of: [],
};
const field = (other: Partial<Field>): Field => ({ ...PLAIN, ...other });
const HEIGHT = field({ key: 'height', kind: 'quantity', unit: 'm', shown_unit: 'm' });
const TESTS = field({ key: 'tests', kind: 'table', of: [field({ key: 'organism' })] });
const TABLE = field({ key: 'trellis.wires', kind: 'table', of: [field({ key: 'name' }), HEIGHT, TESTS] });
const YEARS = field({ key: 'x.by_year', kind: 'list', of: [field({ kind: 'quantity' })] });
const PAIRS = field({ key: 'x.pairs', kind: 'list', of: [field({}), field({})] });

const EN = 'en-GB';

describe('rows of a table', () => {
  it('go in as they came out, as their owner wrote them', () => {
    const values = [{ name: 'cordon', height: 0.75, tests: [{ organism: 'x' }] }];
    const written = [{ name: 'cordon', height: '75 cm', tests: [{ organism: 'x' }] }];
    expect(valueOf(TABLE, rowsOf(TABLE, values, written), EN)).toEqual(written);
  });
  it('leave out what is left empty, and what stood there by default', () => {
    const rows = rowsOf(TABLE, [{ name: 'a', height: 1, tests: [] }], [{ name: 'a' }]);
    expect(valueOf(TABLE, [...rows, emptyRow(TABLE)], EN)).toEqual([{ name: 'a' }, {}]);
  });
  it('take a changed cell with its unit', () => {
    const rows = rowsOf(TABLE, [{ name: 'a', height: 1 }]);
    rows[0]!.cells[1]!.text = '120 cm';
    expect(valueOf(TABLE, rows, EN)).toEqual([{ name: 'a', height: '120 cm' }]);
  });
  it('move, but not past an end', () => {
    const rows = rowsOf(YEARS, [1, 2, 3]);
    expect(valueOf(YEARS, moved(rows, 2, -1), EN)).toEqual([1, 3, 2]);
    expect(moved(rows, 0, -1)).toBe(rows);
    expect(moved(rows, 2, 1)).toBe(rows);
  });
});

it('keeps values that stand together together', () => {
  expect(valueOf(PAIRS, rowsOf(PAIRS, [['17:00', '19:00']]), EN)).toEqual([['17:00', '19:00']]);
});

it('finds the cell that a refusal is about', () => {
  expect(placeWithin('brief.toml: trellis.wires.1.height', 'trellis.wires')).toBe('1.height');
  expect(placeWithin('brief.toml: trellis.wires', 'trellis.wires')).toBe('');
  expect([placeOf(TABLE, 1, 1), placeOf(YEARS, 2, 0), placeOf(PAIRS, 0, 1)]).toEqual(['1.height', '2', '0.1']);
});
