/** What the page asks of the server. */

import { unpack, type Unpacked } from './arrays';
import type { components } from './schema';

/** What goes over the wire, as the server describes it; see tools/page_types.py. */
type Shapes = components['schemas'];

export type Source = Shapes['ReferenceShape'];
export type Figure = Shapes['FigureShape'];
export type FigureInput = Shapes['FigureInputShape'];
export type Place = Shapes['PlaceShape'];
export type Finding = Shapes['FindingShape'];
export type Estate = Shapes['EstateShape'];
export type Units = Estate['units'];
export type Field = Shapes['FieldShape'];
export type Section = Shapes['SectionShape'];
export type BriefAnswer = Shapes['BriefShape'];
export type Changes = NonNullable<Shapes['ChangesShape']['changes']>;
export type NewBlock = Shapes['NewBlockShape'];
export type StageTold = Shapes['StageToldShape'];
export type PreviewAbout = Shapes['PreviewAboutShape'];
export type PreviewQuestion = Required<Omit<Shapes['PreviewShape'], 'tables'>>;
export type SourceTold = Shapes['SourceShape'];
export type DrawnTold = Shapes['DrawnShape'];
export type DrawingField = Shapes['DrawingFieldShape'];
export type DrawingProperty = Shapes['PropertyShape'];
export type Placed = Shapes['PlacedShape'];
export type PlacesQuestion = Shapes['PlacesShape'];
export type FreePlacesQuestion = Shapes['FreePlacesShape'];
export type GroundPicture = Shapes['GroundPictureShape'];
export type Job = Shapes['JobShape'];
export type ChartTable = Shapes['TableShape'];
export type Direction = Shapes['DirectionShape'];
export type RootstockOrder = Shapes['RootstockShape'];
export type SpareVines = Shapes['SparesShape'];
export type Spacings = Shapes['SpacingShape'];
export type WorkCalendar = Shapes['CalendarShape'];
export type Task = Shapes['TaskShape'];
export type Cash = Shapes['MoneyShape'];
export type HangsOn = Shapes['SensitivityShape'];
/** What a chart is drawn from, by its name. */
export interface Charts {
  direction: Direction;
  rootstock: RootstockOrder;
  spares: SpareVines;
  spacing: Spacings;
  calendar: WorkCalendar;
  money: Cash;
  sensitivity: HangsOn;
}
export type ChartName = keyof Charts;
export type Alternative = Required<Shapes['AlternativeShape']>;
export type Compared = Shapes['AlternativesShape'];
export type Progress = Shapes['ProgressShape'];
/** A refusal; one of a changed file also tells what lies there now. */
export type ProblemDetails = Pick<Shapes['ProblemShape'], 'title' | 'status' | 'detail'> &
  Partial<Shapes['ProblemShape']> & { version?: string; text?: string };

/** Who reads: in which units and language the server tells. */
export interface Reader {
  units: Units;
  language: string;
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
  fields: async (reader: Reader): Promise<Shapes['FieldsShape']> => (await ask(`/brief-fields?${asReader(reader)}`)).json(),
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
  /** The sheet on paper, to scale, and the name under which to keep it. */
  sheet: async (name: string, asked: Shapes['SheetShape'], reader: Reader): Promise<{ name: string; data: Blob }> => {
    const response = await ask(`${block(name)}/sheet?${asReader(reader)}`, sent('POST', asked));
    const told = /filename="([^"]+)"/.exec(response.headers.get('content-disposition') ?? '');
    return { name: told?.[1] ?? `${name}.pdf`, data: await response.blob() };
  },
  picture: async (name: string): Promise<GroundPicture> => (await ask(`${block(name)}/picture`)).json(),
  /** Lay a picture below the block, over the version given, or as the first where that is "". */
  savePicture: async (name: string, data: Blob, version: string): Promise<GroundPicture> =>
    (
      await ask(`${block(name)}/picture`, {
        method: 'PUT',
        body: data,
        headers: { 'content-type': 'application/octet-stream', ...(version === '' ? {} : { 'if-match': `"${version}"` }) },
      })
    ).json(),
  pictureWindow: async (name: string, window: Record<string, number>): Promise<Blob> =>
    (await ask(`${block(name)}/picture/window?${new URLSearchParams(Object.entries(window).map(([key, value]) => [key, String(value)])).toString()}`)).blob(),
  chart: async <Name extends ChartName>(name: string, chart: Name, page: string, changes: Changes, reader: Reader, signal: AbortSignal): Promise<Charts[Name]> =>
    (await ask(`${block(name)}/charts/${chart}?${asReader(reader)}`, { ...sent('POST', { page, changes }), signal })).json(),
  compare: async (name: string, page: string, alternatives: Alternative[], reader: Reader, signal: AbortSignal): Promise<Compared> =>
    (await ask(`${block(name)}/alternatives?${asReader(reader)}`, { ...sent('POST', { page, alternatives }), signal })).json(),
  progress: async (name: string, question: string): Promise<Progress> =>
    (await ask(`${block(name)}/progress?question=${encodeURIComponent(question)}`)).json(),
  sources: async (name: string): Promise<SourceTold[]> =>
    ((await (await ask(`${block(name)}/sources`)).json()) as { sources: SourceTold[] }).sources,
  /** Save over the version given, or as a new file where that is "". */
  saveSource: async (name: string, file: string, data: Blob, usedAs: string, version: string): Promise<SourceTold> =>
    (
      await ask(`${block(name)}/sources/${encodeURIComponent(file)}?used_as=${encodeURIComponent(usedAs)}`, {
        method: 'PUT',
        body: data,
        headers: { 'content-type': 'application/octet-stream', ...(version === '' ? {} : { 'if-match': `"${version}"` }) },
      })
    ).json(),
  drawingFields: async (): Promise<DrawingField[]> => ((await (await ask('/drawing-fields')).json()) as { fields: DrawingField[] }).fields,
  drawn: async (name: string, key: string): Promise<DrawnTold> => (await ask(`${block(name)}/drawn/${key}`)).json(),
  places: async (name: string, asked: PlacesQuestion): Promise<Placed> => (await ask(`${block(name)}/places`, sent('POST', asked))).json(),
  freePlaces: async (asked: FreePlacesQuestion): Promise<Placed> => (await ask('/places', sent('POST', asked))).json(),
  makeBlock: async (asked: NewBlock): Promise<BriefAnswer> =>
    (await ask('/blocks', sent('POST', asked))).json(),
  orderPlan: async (name: string, files: string[], reader: Reader): Promise<Job> =>
    (await ask(`${block(name)}/plans?${asReader(reader)}`, sent('POST', { files }))).json(),
  cancel: async (id: string): Promise<void> => {
    await ask(`/jobs/${id}`, { method: 'DELETE' });
  },
  files: async (name: string): Promise<string[]> =>
    ((await (await ask(`${block(name)}/files`)).json()) as Shapes['FilesShape']).files,
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
