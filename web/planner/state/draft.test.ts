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
  /** As the owner wrote it, with its unit. */
  written: Record<string, unknown> = { headland: '8 m' };
  version = 1;
  asked: Asked[] = [];
  answer: 'well' | 'refuse' | 'silence' = 'well';

  private write(name: string, value: unknown): void {
    (this.values['rows'] as Record<string, unknown>)[name] = value === null ? 3 : parseFloat(String(value));
    if (value === null) delete this.written[name];
    else this.written[name] = value;
  }

  /** Somebody saves from elsewhere. */
  elsewhere(name: string, metres: number): void {
    this.write(name, `${metres} m`);
    this.version += 1;
  }

  fetch = async (_: string, request: RequestInit = {}): Promise<Response> => {
    if (this.answer === 'silence') throw new TypeError('no line');
    const version = new Headers(request.headers).get('if-match');
    const body = request.body === undefined ? {} : (JSON.parse(String(request.body)) as Asked['body']);
    this.asked.push({ method: request.method ?? 'GET', body, version });
    if (request.method === 'PATCH') {
      if (version !== `"${this.version}"`) return said(412, { detail: 'changed', version: String(this.version), text: 'theirs' });
      if (this.answer === 'refuse') return said(422, { detail: 'no', where: 'brief.toml: rows.headland', found: '-3', expected: '0 to 50 m' });
      for (const [key, value] of Object.entries(body.changes ?? {})) this.write(key.split('.')[1] ?? '', value);
      this.version += 1;
    }
    return said(200, { block: 'b', version: String(this.version), text: '', values: structuredClone(this.values), written: { rows: { ...this.written } }, given: Object.keys(this.written).map((name) => `rows.${name}`), trouble: '' });
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

/** Time for what is on its way to arrive. */
const settled = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 30));

/** One that wrote 9 m over a brief that says 10 m by now. */
async function conflicting(): Promise<Draft> {
  const draft = await opened();
  server.elsewhere('headland', 10);
  draft.set('rows.headland', '9 m');
  await vi.waitFor(() => expect(draft.standing).toBe('conflict'));
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
    expect(server.asked.at(-1)?.body.changes).toEqual({ 'rows.headland': '8 m', 'rows.side_margin': null });
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
    await vi.waitFor(() => expect(draft.theirs?.version).toBe('7'));
    expect(server.values).toMatchObject({ rows: { headland: 8 } });
    draft.settle(true);
    await vi.waitFor(() => expect(server.values).toMatchObject({ rows: { headland: 10 } }));
    draft.close();
  });

  it('asks before it puts kept work on a brief that changed while the page was closed', async () => {
    const draft = await opened();
    server.answer = 'silence';
    draft.set('rows.headland', '12 m');
    await vi.waitFor(() => expect(draft.standing).toBe('offline'));
    draft.close();
    server.answer = 'well';
    server.elsewhere('headland', 10);
    for (let times = 0; times < 2; times += 1) {
      const again = await opened();
      await settled();
      expect(again.standing).toBe('conflict');
      expect(server.written).toEqual({ headland: '10 m' });
      again.close();
    }
    const last = await opened();
    last.settle(true);
    await vi.waitFor(() => expect(server.written).toEqual({ headland: '12 m' }));
    await vi.waitFor(() => expect(last.standing).toBe('saved'));
    last.close();
  });

  it('asks nothing where its kept work is on disk already', async () => {
    const draft = await opened();
    server.answer = 'silence';
    draft.set('rows.headland', '12 m');
    await vi.waitFor(() => expect(draft.standing).toBe('offline'));
    draft.close();
    server.answer = 'well';
    server.elsewhere('headland', 12);
    const again = await opened();
    expect([again.standing, again.theirs, again.pending]).toEqual(['saved', null, {}]);
    again.close();
  });

  it('keeps the work of each tab while nobody answers', async () => {
    const [one, other] = [await opened(), await opened()];
    server.answer = 'silence';
    one.set('rows.headland', '12 m');
    other.set('rows.side_margin', '4 m');
    await vi.waitFor(() => expect([one.standing, other.standing]).toEqual(['offline', 'offline']));
    one.close();
    other.close();
    server.answer = 'well';
    const again = await opened();
    await vi.waitFor(() => expect(server.written).toEqual({ headland: '12 m', side_margin: '4 m' }));
    again.close();
  });

  it('settles without the line, and sends ours when it is back', async () => {
    const draft = await conflicting();
    server.answer = 'silence';
    draft.settle(true);
    await vi.waitFor(() => expect(draft.standing).toBe('offline'));
    expect(draft.theirs).toBeNull();
    server.answer = 'well';
    await vi.waitFor(() => expect(server.written).toEqual({ headland: '9 m' }), { timeout: 4500 });
    await vi.waitFor(() => expect(draft.standing).toBe('saved'));
    draft.close();
  });

  it('shows what stands on disk where ours is dropped without the line', async () => {
    const draft = await conflicting();
    server.answer = 'silence';
    draft.settle(false);
    expect([draft.value('rows.headland'), draft.standing, draft.pending]).toEqual([10, 'saved', {}]);
    draft.close();
  });

  it('sees a change from elsewhere when somebody comes back to the page', async () => {
    const draft = await opened();
    server.elsewhere('headland', 10);
    dispatchEvent(new Event('focus'));
    await vi.waitFor(() => expect(draft.value('rows.headland')).toBe(10));
    draft.close();
  });

  it('sees a change from elsewhere by itself', async () => {
    vi.useFakeTimers();
    const draft = await opened();
    server.elsewhere('headland', 10);
    await vi.advanceTimersByTimeAsync(6000);
    expect(draft.value('rows.headland')).toBe(10);
    vi.useRealTimers();
    draft.close();
  });

  it('takes back to what was written, with its unit', async () => {
    const draft = await opened();
    draft.set('rows.headland', 9);
    await vi.waitFor(() => expect(draft.standing).toBe('saved'));
    draft.undo();
    await vi.waitFor(() => expect(server.written).toEqual({ headland: '8 m' }));
    await vi.waitFor(() => expect(draft.pending).toEqual({}));
    draft.set('rows.headland', 8);
    expect(draft.done).toEqual([]);
    draft.close();
  });

  it('still takes back its own step after somebody else saved, and never theirs', async () => {
    const draft = await opened();
    draft.set('rows.headland', '9 m');
    await vi.waitFor(() => expect(draft.standing).toBe('saved'));
    draft.set('rows.side_margin', '4 m');
    await vi.waitFor(() => expect(server.written).toEqual({ headland: '9 m', side_margin: '4 m' }));
    server.elsewhere('side_margin', 5);
    await draft.reread();
    expect(draft.done).toHaveLength(1);
    draft.undo();
    await vi.waitFor(() => expect(server.written).toEqual({ headland: '8 m', side_margin: '5 m' }));
    draft.close();
  });
});

it('finds the blank a refusal is about', () => {
  const problem = { title: '', status: 422, detail: '', where: 'brief.toml: rows.headland' };
  expect(keyOf(problem, ['rows.side_margin', 'rows.headland'])).toBe('rows.headland');
});
