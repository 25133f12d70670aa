/** What the page asks of the server. */

import type { Field } from '../letter/fields';
import { unpack, type Unpacked } from './arrays';

export interface Source {
  id: string;
  text: string;
  certainty: string;
}
export interface FigureInput {
  name: string;
  value: number | string | boolean | null;
  shown: string;
  origin: string;
  source: Source | null;
}
export interface Figure {
  key: string;
  label: string;
  value: number | string | boolean | null;
  unit: string;
  shown: string;
  formula: string;
  inputs: FigureInput[];
  source: Source;
}
export interface Place {
  x_m: number;
  y_m: number;
}
export interface Finding {
  stage: string;
  level: 'note' | 'care' | 'stop';
  message: string;
  text: string;
  figure: string | null;
  source: Source;
  place: Place | null;
}
export interface Estate {
  name: string;
  place: string;
  currency: string;
  units: Units;
  blocks: string[];
}
export type Units = 'metric' | 'imperial';
export type Changes = Record<string, unknown>;
/** Who reads: in which units and language the server tells. */
export interface Reader {
  units: Units;
  language: string;
}
export interface BriefAnswer {
  block: string;
  version: string;
  text: string;
  values: Record<string, unknown>;
  given: string[];
  trouble: string;
}
export interface StageTold {
  digest: string;
  is_fresh: boolean;
  figures?: Figure[];
  findings?: Finding[];
}
export interface PreviewAbout {
  bearing_deg: number | null;
  stages: Record<string, StageTold>;
  layers: Record<string, { arrays: string[] }>;
  must_stop: boolean;
}
export interface PreviewQuestion {
  page: string;
  changes: Changes;
  until: string;
  layers: string[];
  known: Record<string, string>;
}
export interface Job {
  id: string;
  block: string;
  step: number;
  state: 'waiting' | 'running' | 'done' | 'failed' | 'cancelled';
  stage: string;
  fraction: number;
  result: { files?: string[]; must_stop?: boolean } | null;
  problem: ProblemDetails | null;
}
export interface ProblemDetails {
  title: string;
  status: number;
  detail: string;
  where?: string | null;
  found?: string | null;
  expected?: string | null;
  version?: string;
  text?: string;
}

/** The server said no, and why. */
export class Refused extends Error {
  constructor(readonly problem: ProblemDetails) {
    super(problem.detail);
  }
}

/** The server did not answer. */
export class Unreachable extends Error {}

const ROOT = '/api/v1';

async function ask(path: string, request: RequestInit = {}): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(ROOT + path, request);
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new Unreachable(String(error));
  }
  if (response.ok) return response;
  const type = response.headers.get('content-type') ?? '';
  const problem = type.includes('json')
    ? ((await response.json()) as ProblemDetails)
    : { title: response.statusText, status: response.status, detail: response.statusText };
  throw new Refused(problem);
}

function sent(method: string, body: unknown, headers: Record<string, string> = {}): RequestInit {
  return {
    method,
    body: JSON.stringify(body),
    headers: { 'content-type': 'application/json', ...headers },
  };
}

const asReader = ({ units, language }: Reader): string => `units=${units}&language=${language}`;
const block = (name: string): string => `/blocks/${encodeURIComponent(name)}`;

export const api = {
  estate: async (): Promise<Estate> => (await ask('/estate')).json(),
  fields: async (reader: Reader): Promise<{ sections: { fields: Field[] }[] }> => (await ask(`/brief-fields?${asReader(reader)}`)).json(),
  brief: async (name: string): Promise<BriefAnswer> => (await ask(`${block(name)}/brief`)).json(),
  change: async (name: string, changes: Changes, version: string): Promise<BriefAnswer> =>
    (await ask(`${block(name)}/brief`, sent('PATCH', { changes }, { 'if-match': `"${version}"` }))).json(),
  saveText: async (name: string, text: string, version: string): Promise<BriefAnswer> =>
    (
      await ask(`${block(name)}/brief`, {
        method: 'PUT',
        body: text,
        headers: { 'content-type': 'application/toml', 'if-match': `"${version}"` },
      })
    ).json(),
  preview: async (name: string, question: PreviewQuestion, reader: Reader, signal: AbortSignal): Promise<Unpacked<PreviewAbout>> => {
    const response = await ask(`${block(name)}/preview?${asReader(reader)}`, { ...sent('POST', question), signal });
    return unpack<PreviewAbout>(await response.arrayBuffer());
  },
  addSource: async (name: string, file: string, data: Blob, usedAs: string): Promise<void> => {
    await ask(`${block(name)}/sources/${encodeURIComponent(file)}?used_as=${usedAs}`, {
      method: 'PUT',
      body: data,
      headers: { 'content-type': 'application/octet-stream' },
    });
  },
  makeBlock: async (asked: Record<string, unknown>): Promise<BriefAnswer> =>
    (await ask('/blocks', sent('POST', asked))).json(),
  orderPlan: async (name: string, files: string[], reader: Reader): Promise<Job> =>
    (await ask(`${block(name)}/plans?${asReader(reader)}`, sent('POST', { files }))).json(),
  cancel: async (id: string): Promise<void> => {
    await ask(`/jobs/${id}`, { method: 'DELETE' });
  },
  files: async (name: string): Promise<string[]> =>
    ((await (await ask(`${block(name)}/files`)).json()) as { files: string[] }).files,
  fileAddress: (name: string, file: string): string =>
    `${ROOT}${block(name)}/files/${encodeURIComponent(file)}`,
};

/** Follow a job to its end; the answer stops the following. */
export function follow(id: string, told: (job: Job) => void, broken: () => void): () => void {
  const events = new EventSource(`${ROOT}/jobs/${id}/events`);
  events.addEventListener('progress', (event) => {
    const job = JSON.parse((event as MessageEvent<string>).data) as Job;
    if (job.state === 'done' || job.state === 'failed' || job.state === 'cancelled') events.close();
    told(job);
  });
  events.addEventListener('error', () => {
    events.close();
    broken();
  });
  return () => events.close();
}
