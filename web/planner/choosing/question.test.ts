import { afterEach, expect, it, vi } from 'vitest';

import { Refused, Unreachable } from '../api/client';
import { Question } from './question.svelte';

afterEach(() => vi.unstubAllGlobals());

it('keeps the old answer until the new one is there, and gives up what was overtaken', async () => {
  const question = new Question<number>('b', 'page/spares');
  await question.ask(async () => 1);
  let answerLate = (_: number): void => undefined;
  const late = question.ask((signal) => {
    const promise = new Promise<number>((resolve) => (answerLate = resolve));
    signal.addEventListener('abort', () => answerLate(-1));
    return promise.then((value) => {
      if (signal.aborted) throw new DOMException('given up', 'AbortError');
      return value;
    });
  });
  expect([question.answer, question.isAsking]).toEqual([1, true]);

  await question.ask(async () => 2);
  await late;

  expect([question.answer, question.isAsking]).toEqual([2, false]);
});

it('says what the server refuses and that it does not answer, and keeps the old answer', async () => {
  const question = new Question<number>('b', 'page/spares');
  await question.ask(async () => 1);
  await question.ask(() => Promise.reject(new Refused({ title: '', status: 422, detail: 'no' })));
  expect([question.answer, question.problem?.detail]).toEqual([1, 'no']);
  await question.ask(() => Promise.reject(new Unreachable('')));
  expect(question.isUnanswered).toBe(true);
  await question.ask(async () => 3);
  expect([question.answer, question.problem, question.isUnanswered]).toEqual([3, null, false]);
});

it('tells how far a slow answer is', async () => {
  vi.stubGlobal('fetch', async () => new Response(JSON.stringify({ stage: 'calendar', fraction: 0.5 })));
  const question = new Question<number>('b', 'page/alternatives');
  let answer = (_: number): void => undefined;
  const asked = question.ask(() => new Promise<number>((resolve) => (answer = resolve)));

  await vi.waitFor(() => expect(question.progress).toEqual({ stage: 'calendar', fraction: 0.5 }), 3000);
  answer(7);
  await asked;

  expect([question.answer, question.progress]).toEqual([7, null]);
});
