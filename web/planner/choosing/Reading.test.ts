import { cleanup, fireEvent, render, screen } from '@testing-library/svelte';
import { createRawSnippet } from 'svelte';
import { afterEach, expect, it, vi } from 'vitest';

import Reading from './Reading.svelte';

const children = createRawSnippet(() => ({ render: () => '<p>a figure</p>' }));
const at = (): number => Number(screen.getByRole('slider').getAttribute('aria-valuenow'));
const onchoose = vi.fn();

afterEach(() => {
  cleanup();
  onchoose.mockClear();
});
function read(more: { isUpright?: boolean } = {}): HTMLElement {
  render(Reading, { label: 'Row bearing', count: 30, at: 5, text: '5°', locate: (x: number) => Math.round(x), onchoose, children, ...more });
  return screen.getByRole('slider', { name: 'Row bearing' });
}

it.each([
  ['ArrowRight', 6], ['ArrowLeft', 4], ['PageUp', 15], ['Home', 0], ['End', 29], ['PageDown', 0],
])('goes by %s to %i', async (key, expected) => {
  await fireEvent.keyDown(read(), { key });
  expect(at()).toBe(expected);
});

it('goes down a list by the arrow down', async () => {
  await fireEvent.keyDown(read({ isUpright: true }), { key: 'ArrowDown' });
  expect(at()).toBe(6);
});

it('tells the value in words and takes it by Enter', async () => {
  const slider = read();
  expect(slider.getAttribute('aria-valuetext')).toBe('5°');
  await fireEvent.keyDown(slider, { key: 'Enter' });
  expect(onchoose).toHaveBeenCalledOnce();
});

it('takes what a mouse presses, never a place beyond the last', async () => {
  await fireEvent.click(read(), { clientX: 99, clientY: 1 });
  expect(at()).toBe(29);
  expect(onchoose).toHaveBeenCalledOnce();
});
