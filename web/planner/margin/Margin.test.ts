import { cleanup, fireEvent, render, screen } from '@testing-library/svelte';
import { afterEach, expect, it, vi } from 'vitest';

import type { Figure } from '../api/client';
import Margin from './Margin.svelte';

const figure = (key: string, label: string, shown: string): Figure => ({
  key, label, shown, value: 1, unit: '', formula: '', inputs: [], source: { id: 'a', text: 'arithmetic', certainty: 'arithmetic' },
} as Figure);
const FIGURES = new Map([figure('layout.vines', 'vines', '18 458'), figure('layout.rows', 'rows', '132')].map((held) => [held.key, held]));
const KEYS = ['layout.rows', 'layout.row_ends', 'layout.vines'];

afterEach(cleanup);

it('holds the figures of a chapter in its order, without those that are not known', () => {
  render(Margin, { chapter: 'Rows', keys: KEYS, figures: FIGURES, isStale: false, onfigure: vi.fn() });

  expect(screen.getByRole('complementary').getAttribute('aria-label')).toContain('Rows');
  expect(screen.getAllByRole('button').map((held) => held.textContent?.trim())).toEqual(['rows 132', 'vines 18 458']);
});

it('opens the figure that is pressed', async () => {
  const onfigure = vi.fn();
  render(Margin, { chapter: 'Rows', keys: KEYS, figures: FIGURES, isStale: false, onfigure });
  await fireEvent.click(screen.getByRole('button', { name: 'vines 18 458' }));

  expect(onfigure).toHaveBeenCalledExactlyOnceWith(FIGURES.get('layout.vines'));
});

it('greys what is being worked out anew', async () => {
  const { rerender } = render(Margin, { chapter: 'Rows', keys: KEYS, figures: FIGURES, isStale: true, onfigure: vi.fn() });
  expect(screen.getByRole('complementary').classList).toContain('stale');
  await rerender({ isStale: false });
  expect(screen.getByRole('complementary').classList).not.toContain('stale');
});
