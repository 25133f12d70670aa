import { cleanup, fireEvent, render, screen } from '@testing-library/svelte';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

import { Draft } from '../state/draft.svelte';
import Blank from './Blank.svelte';
import type { Field } from './fields';

const FIELD: Field = {
  key: 'rows.headland', kind: 'quantity', name: 'headland', help: 'Clear room at row ends.', unit: 'm', shown_unit: 'm', shown_factor: 1, low: 0, high: 50,
  options: [], option_words: [], suggestions: [], pattern: '', default: 8, default_source: { id: 'practice', text: 'common practice, no source', certainty: 'practice' },
  is_required: false, may_be_empty: false, of: [],
};

/** What was sent to the server, which refuses a headland of 90 m. */
let sent: Record<string, unknown>[];
let draft: Draft;
/** The file that lies beside the brief, and the versions that were to be written over. */
let lies: string;
let over: (string | null)[];

beforeEach(() => {
  localStorage.clear();
  sent = [];
  lies = 'old';
  over = [];
  let values: Record<string, unknown> = { headland: 8, bearing: 'choose' };
  vi.stubGlobal('fetch', async (path: string, request: RequestInit = {}) => {
    if (path.includes('/sources/')) {
      const version = new Headers(request.headers).get('if-match');
      over.push(version);
      if (version !== `"${lies}"`) return answer(version === null ? 428 : 412, { title: '', status: version === null ? 428 : 412, detail: 'no', version: lies });
      lies = 'ours';
      return answer(200, { name: 'block.gpx', bytes: 1, version: lies, used_as: [] });
    }
    if (request.method === 'PATCH') {
      const { changes } = JSON.parse(String(request.body)) as { changes: Record<string, unknown> };
      sent.push(changes);
      if (changes['rows.headland'] === 90)
        return answer(422, { title: '', status: 422, detail: 'no', where: 'brief.toml: rows.headland', found: '90 m', expected: 'between 0 and 50 m' });
      values = { ...values, ...Object.fromEntries(Object.entries(changes).map(([key, value]) => [key.replace('rows.', ''), value])) };
    }
    return answer(200, { block: 'b', version: '1', text: '', values: { rows: values }, given: Object.keys(values).filter((name) => name !== 'bearing').map((name) => `rows.${name}`), trouble: '' });
  });
});
afterEach(() => {
  draft.close();
  cleanup();
  vi.unstubAllGlobals();
});
const answer = (status: number, body: object): Response => new Response(JSON.stringify(body), { status, headers: { 'content-type': 'application/json' } });

async function shownBlank(other: Partial<Field> = {}, chosen: string | null = null): Promise<HTMLElement> {
  draft = new Draft('b', () => undefined);
  await draft.open();
  render(Blank, { field: { ...FIELD, ...other }, draft, chosen });
  return screen.getByRole('button');
}
async function write(text: string): Promise<void> {
  const input = screen.getByRole('textbox');
  await fireEvent.input(input, { target: { value: text } });
  await fireEvent.submit(input.closest('form') as HTMLFormElement);
}

describe('a blank', () => {
  it('opens a slip that tells range, unit, default and its source', async () => {
    const blank = await shownBlank();
    expect(blank.textContent).toBe('8\u00a0m');
    await fireEvent.click(blank);

    const slip = screen.getByRole('dialog', { name: FIELD.help });
    expect(blank.getAttribute('aria-expanded')).toBe('true');
    for (const told of ['0\u00a0m', '50\u00a0m', '8\u00a0m', 'common practice, no source']) expect(slip.textContent).toContain(told);
    expect(screen.getByRole<HTMLInputElement>('textbox', { name: FIELD.help }).value).toBe('8 m');
  });
  it('saves what is written, shuts, and has the focus again', async () => {
    const blank = await shownBlank();
    await fireEvent.click(blank);
    await write('9 ft');

    expect(sent).toEqual([{ 'rows.headland': '9 ft' }]);
    expect(screen.queryByRole('dialog')).toBeNull();
    expect(document.activeElement).toBe(blank);
  });
  it('saves nothing when it is left by Escape', async () => {
    const blank = await shownBlank();
    await fireEvent.click(blank);
    await fireEvent.input(screen.getByRole('textbox'), { target: { value: '9 m' } });
    await fireEvent.keyDown(screen.getByRole('textbox'), { key: 'Escape' });

    expect(screen.queryByRole('dialog')).toBeNull();
    expect(blank.textContent).toBe('8\u00a0m');
    expect(sent).toEqual([]);
  });
  it('keeps what was refused, with the reason beside it', async () => {
    const blank = await shownBlank();
    await fireEvent.click(blank);
    await write('90');

    const told = await screen.findByRole('alert');
    expect(told.textContent).toContain('between 0 and 50 m');
    expect(blank.getAttribute('aria-describedby')).toBe(told.id);
    expect(blank.textContent).toContain('90');
  });
  it('can be left out where it is given, and not where it must be filled', async () => {
    await fireEvent.click(await shownBlank());
    await fireEvent.click(screen.getByRole('button', { name: 'Leave it out' }));
    expect(sent).toEqual([{ 'rows.headland': null }]);
    draft.close();
    cleanup();
    await fireEvent.click(await shownBlank({ is_required: true }));
    expect(screen.queryByRole('button', { name: 'Leave it out' })).toBeNull();
  });
  it('tells what the program chose, and can be left to it again', async () => {
    const blank = await shownBlank({ key: 'rows.bearing', options: ['choose'] }, '32°');
    expect(blank.textContent).toBe('choose for me');
    expect(blank.parentElement?.textContent).toContain('→ 32°');
  });
  it('replaces a file of the same name only when told to, over the version that lay there', async () => {
    const blank = await shownBlank({ key: 'rows.base_line', kind: 'file' });
    const anew = vi.spyOn(draft, 'fileSaved');
    await fireEvent.click(blank);
    const input = screen.getByLabelText('Choose a file');
    await fireEvent.change(input, { target: { files: [new File(['x'], 'block.gpx')] } });

    const replace = await screen.findByRole('button', { name: 'Replace block.gpx' });
    expect([lies, sent]).toEqual(['old', []]);
    await fireEvent.click(replace);
    await vi.waitFor(() => expect(sent).toEqual([{ 'rows.base_line': 'block.gpx' }]));
    expect(over).toEqual([null, '"old"']);
    expect(anew).not.toHaveBeenCalled();
  });
  it('asks for all anew where the file replaced is the one it names, and asks again where it changed meanwhile', async () => {
    await fireEvent.click(await shownBlank({ key: 'rows.base_line', kind: 'file' }));
    draft.set('rows.base_line', 'block.gpx');
    await vi.waitFor(() => expect(sent).toHaveLength(1));
    const anew = vi.spyOn(draft, 'fileSaved');
    await fireEvent.change(screen.getByLabelText('Choose a file'), { target: { files: [new File(['x'], 'block.gpx')] } });
    const replace = await screen.findByRole('button', { name: 'Replace block.gpx' });
    lies = 'newer';
    await fireEvent.click(replace);
    await vi.waitFor(() => expect(over).toEqual([null, '"old"']));
    expect(lies).toBe('newer');
    await fireEvent.click(await screen.findByRole('button', { name: 'Replace block.gpx' }));
    await vi.waitFor(() => expect(anew).toHaveBeenCalledOnce());
    expect([lies, sent.length]).toEqual(['ours', 1]);
  });
});
