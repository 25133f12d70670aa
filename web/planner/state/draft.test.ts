import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

import { Draft, keyOf } from './draft.svelte';

interface Asked {
  method: string;
  body: { changes?: Record<string, unknown> };
  version: string | null;
}

/** A server that keeps one brief, and can be told to fail. */
class Kept {
  values: Record<string, unknown> = { rows: { headland: 8, side_margin: 3 } };
  version = 1;
  asked: Asked[] = [];
  answer: 'well' | 'refuse' | 'silence' = 'well';

  fetch = async (_: string, request: RequestInit = {}): Promise<Response> => {
    if (this.answer === 'silence') throw new TypeError('no line');
    const version = new Headers(request.headers).get('if-match');
    const body = request.body === undefined ? {} : (JSON.parse(String(request.body)) as Asked['body']);
    this.asked.push({ method: request.method ?? 'GET', body, version });
    if (request.method === 'PATCH') {
      if (version !== `"${this.version}"`) return said(412, { detail: 'changed', version: String(this.version), text: 'theirs' });
      if (this.answer === 'refuse') return said(422, { detail: 'no', where: 'brief.toml: rows.headland', found: '-3', expected: '0 to 50 m' });
      for (const [key, value] of Object.entries(body.changes ?? {})) (this.values['rows'] as Record<string, unknown>)[key.split('.')[1] ?? ''] = value ?? 8;
      this.version += 1;
    }
    return said(200, { block: 'b', version: String(this.version), text: '', values: structuredClone(this.values), given: ['rows.headland'], trouble: '' });
  };
}
const said = (status: number, body: object): Response =>
  new Response(JSON.stringify({ title: '', status, ...body }), { status, headers: { 'content-type': 'application/json' } });

let server: Kept;
beforeEach(() => {
  localStorage.clear();
  server = new Kept();
  vi.stubGlobal('fetch', server.fetch);
});
afterEach(() => vi.unstubAllGlobals());

async function opened(): Promise<Draft> {
  const draft = new Draft('b', () => undefined);
  await draft.open();
  return draft;
}

describe('a draft', () => {
  it('sets several keys in one step, and one undo takes them back', async () => {
    const draft = await opened();
    draft.setAll({ 'rows.headland': 9, 'rows.side_margin': 4 });
    await vi.waitFor(() => expect(draft.standing).toBe('saved'));
    expect([draft.value('rows.headland'), draft.value('rows.side_margin')]).toEqual([9, 4]);
    expect(server.asked.at(-1)?.body.changes).toEqual({ 'rows.headland': 9, 'rows.side_margin': 4 });
    expect(draft.done).toHaveLength(1);
    draft.undo();
    await vi.waitFor(() => expect(draft.value('rows.headland')).toBe(8));
    expect(server.asked.at(-1)?.body.changes).toEqual({ 'rows.headland': 8, 'rows.side_margin': null });
    draft.close();
  });

  it('saves a change over the version it read, and takes it back', async () => {
    const draft = await opened();
    draft.set('rows.headland', 9);
    await vi.waitFor(() => expect(draft.standing).toBe('saved'));
    expect(draft.value('rows.headland')).toBe(9);
    expect(server.asked.at(-1)).toMatchObject({ body: { changes: { 'rows.headland': 9 } }, version: '"1"' });
    draft.undo();
    await vi.waitFor(() => expect(draft.value('rows.headland')).toBe(8));
    draft.redo();
    await vi.waitFor(() => expect(draft.value('rows.headland')).toBe(9));
    draft.close();
  });

  it('keeps what was typed beside what is wrong with it', async () => {
    const draft = await opened();
    server.answer = 'refuse';
    draft.set('rows.headland', -3);
    await vi.waitFor(() => expect(draft.refused['rows.headland']?.problem.expected).toBe('0 to 50 m'));
    expect(draft.value('rows.headland')).toBe(-3);
    expect(draft.standing).toBe('unsaved');
    draft.close();
  });

  it('keeps unsaved work while nobody answers, over a reload too', async () => {
    const draft = await opened();
    server.answer = 'silence';
    draft.set('rows.headland', 12);
    await vi.waitFor(() => expect(draft.standing).toBe('offline'));
    draft.close();
    server.answer = 'well';
    const again = await opened();
    await vi.waitFor(() => expect(server.values).toMatchObject({ rows: { headland: 12 } }));
    await vi.waitFor(() => expect(again.standing).toBe('saved'));
    again.close();
  });

  it('overwrites nobody, and puts a change on top only when told to', async () => {
    const draft = await opened();
    server.version = 7;
    draft.set('rows.headland', 10);
    await vi.waitFor(() => expect(draft.theirs).toBe('theirs'));
    expect(server.values).toMatchObject({ rows: { headland: 8 } });
    await draft.settle(true);
    await vi.waitFor(() => expect(server.values).toMatchObject({ rows: { headland: 10 } }));
    draft.close();
  });
});

it('finds the blank a refusal is about', () => {
  const problem = { title: '', status: 422, detail: '', where: 'brief.toml: rows.headland' };
  expect(keyOf(problem, ['rows.side_margin', 'rows.headland'])).toBe('rows.headland');
});
