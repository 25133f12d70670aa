import { cleanup, fireEvent, render, screen } from '@testing-library/svelte';
import { afterEach, describe, expect, it } from 'vitest';

import type { Field } from './fields';
import { rowsOf } from './rows';
import RowsForm from './RowsForm.svelte';

const PLAIN: Field = {
  key: '', kind: 'text', name: '', help: '', unit: '', shown_unit: '', shown_factor: 1, low: null, high: null,
  options: [], option_words: [], suggestions: [], pattern: '', default: null, default_source: null, is_required: true, may_be_empty: false, of: [],
};
const WIRES: Field = {
  ...PLAIN, key: 'trellis.wires', kind: 'table', name: 'wires',
  of: [
    { ...PLAIN, key: 'name', name: 'name' },
    { ...PLAIN, key: 'height', kind: 'quantity', name: 'height', unit: 'm', shown_unit: 'm', low: 0.1, high: 3.5 },
  ],
};
const TWO = [
  { name: 'cordon', height: 0.9 },
  { name: 'top', height: 1.8 },
];

afterEach(cleanup);

const form = (more: { wrongAt?: string; wrong?: string } = {}): void => {
  render(RowsForm, { field: WIRES, rows: rowsOf(WIRES, TWO, TWO), id: 'wires', ...more });
};
const names = (): string[] => screen.getAllByLabelText<HTMLInputElement>(/^name/).map((cell) => cell.value);

describe('the entries of a table', () => {
  it('stand each with a cell for each value, its unit beside it', () => {
    form();
    expect(names()).toEqual(['cordon', 'top']);
    expect(screen.getAllByLabelText<HTMLInputElement>(/^height \(m\)/)).toHaveLength(2);
  });
  it('go on at the end by Enter, with the focus in the new one', async () => {
    form();
    await fireEvent.keyDown(screen.getAllByLabelText(/^name/)[1] as HTMLElement, { key: 'Enter' });
    expect(names()).toEqual(['cordon', 'top', '']);
    expect(document.activeElement).toBe(screen.getAllByLabelText(/^name/)[2]);
  });
  it('change places by Alt with an arrow, and the focus goes along', async () => {
    form();
    await fireEvent.keyDown(screen.getAllByLabelText(/^name/)[1] as HTMLElement, { key: 'ArrowUp', altKey: true });
    expect(names()).toEqual(['top', 'cordon']);
    expect(document.activeElement).toBe(screen.getAllByLabelText(/^name/)[0]);
  });
  it('are taken out by Alt with Delete', async () => {
    form();
    await fireEvent.keyDown(screen.getAllByLabelText(/^name/)[0] as HTMLElement, { key: 'Delete', altKey: true });
    expect(names()).toEqual(['top']);
  });
  it('have what was refused beside its own cell', () => {
    form({ wrongAt: '1.height', wrong: 'found 12 m, expected between 0.1 and 3.5 m' });
    const [first, second] = screen.getAllByLabelText(/^height/);
    expect(first?.getAttribute('aria-invalid')).toBe('false');
    expect(second?.getAttribute('aria-invalid')).toBe('true');
    expect(second?.closest('.cell')?.querySelector('[role=alert]')?.textContent).toContain('between 0.1 and 3.5 m');
  });
});
