/** A plan ordered for a block: followed to its end, whichever view is open meanwhile. */

import { api, follow, Refused, type Job, type Reader } from '../api/client';
import { words } from '../words/words.svelte';

export class Order {
  job = $state.raw<Job | null>(null);
  /** Files of the last plan. */
  files = $state.raw<string[]>([]);
  /** Why they are not told. */
  unlisted = $state('');
  /** Why there is no plan. */
  trouble = $state('');

  constructor(readonly block: string) {}

  get isRunning(): boolean {
    return this.job?.state === 'waiting' || this.job?.state === 'running';
  }

  async list(): Promise<void> {
    try {
      this.files = await api.files(this.block);
      this.unlisted = '';
    } catch (error) {
      this.unlisted = reason(error);
    }
  }

  async make(groups: string[], reader: Reader): Promise<void> {
    this.trouble = '';
    try {
      this.job = await api.orderPlan(this.block, groups, reader);
      follow(this.job.id, (job) => this.#told(job), () => (this.trouble = words.say('papers.broken')));
    } catch (error) {
      this.trouble = words.say('papers.failed', { why: reason(error) });
    }
  }

  async cancel(): Promise<void> {
    if (this.job !== null) await api.cancel(this.job.id);
  }

  #told(job: Job): void {
    this.job = job;
    if (job.state === 'failed') this.trouble = words.say('papers.failed', { why: job.problem?.detail ?? '' });
    if (job.state === 'cancelled') this.trouble = words.say('papers.cancelled');
    if (job.state === 'done') void this.list();
  }
}

const reason = (error: unknown): string => (error instanceof Refused ? error.problem.detail : words.say('error.offline'));
