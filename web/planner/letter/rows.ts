/** Lists and tables of the brief as rows of cells that hold what was typed. */

import type { Field } from './fields';
import { editable, taken } from './shown';

export interface Cell {
  field: Field;
  text: string;
  /** What stood there when the form was opened. */
  was: string;
  /** The same as the brief has it: a cell nobody touched stays as its owner wrote it. */
  kept: unknown;
  /** Rows of a table that stands in a cell. */
  rows: Row[] | null;
}
export interface Row {
  /** Tells rows apart while they move. */
  id: number;
  cells: Cell[];
}

let next = 0;

/** Rows as they stand in the brief. */
export function rowsOf(field: Field, value: unknown, written: unknown = value): Row[] {
  if (!Array.isArray(value)) return [];
  const asWritten: unknown[] = Array.isArray(written) && written.length === value.length ? written : value;
  return value.map((item, at) => rowOf(field, item, asWritten[at]));
}

export const emptyRow = (field: Field): Row => rowOf(field, undefined, undefined);

function rowOf(field: Field, item: unknown, written: unknown): Row {
  next += 1;
  return { id: next, cells: field.of.map((column, at) => cellOf(column, partOf(field, item, column, at), partOf(field, written, column, at))) };
}

function cellOf(field: Field, value: unknown, written: unknown): Cell {
  const kept = written ?? undefined;
  if (field.kind === 'table') return { field, text: '', was: '', kept, rows: rowsOf(field, value, written) };
  // A cell that was left out of its row stays empty: its default is told beside it.
  const text = kept === undefined ? '' : typeof value === 'boolean' ? String(value) : editable(field, value);
  return { field, text, was: text, kept, rows: null };
}

function partOf(field: Field, item: unknown, column: Field, at: number): unknown {
  if (field.kind === 'table') return (item as Record<string, unknown> | undefined)?.[column.key];
  return field.of.length === 1 ? item : (item as unknown[] | undefined)?.[at];
}

/** What the rows say, as the brief takes it; cells left empty stay out of a table. */
export function valueOf(field: Field, rows: Row[], locale: string): unknown[] {
  return rows.map(({ cells }) => {
    const values = cells.map((cell) => valueOfCell(cell, locale));
    if (field.kind === 'table')
      return Object.fromEntries(cells.map((cell, at) => [cell.field.key, values[at]] as const).filter(([, value]) => value !== null));
    return cells.length === 1 ? (values[0] ?? '') : values.map((value) => value ?? '');
  });
}

function valueOfCell(cell: Cell, locale: string): unknown {
  if (cell.rows !== null) return cell.rows.length === 0 && cell.kept === undefined ? null : valueOf(cell.field, cell.rows, locale);
  return cell.text === cell.was ? (cell.kept ?? null) : taken(cell.field, cell.text, locale);
}

/** Rows with one of them moved up or down; the same at either end. */
export function moved(rows: Row[], at: number, by: -1 | 1): Row[] {
  const to = at + by;
  if (to < 0 || to >= rows.length) return rows;
  const changed = [...rows];
  changed.splice(to, 0, ...changed.splice(at, 1));
  return changed;
}

/** The part of a refusal's place that follows the key: `brief.toml: trellis.wires.1.height` is `1.height`. */
export function placeWithin(where: string, key: string): string {
  const at = where.indexOf(`${key}.`);
  return at < 0 ? '' : where.slice(at + key.length + 1);
}

/** The place of a cell as a refusal writes it. */
export const placeOf = (field: Field, row: number, column: number): string =>
  field.kind === 'table' ? `${row}.${field.of[column]?.key ?? ''}` : field.of.length === 1 ? String(row) : `${row}.${column}`;
