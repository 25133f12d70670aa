/** The letter: the brief in the order of the job.
 *
 * A blank stands in braces. Keys that no sentence holds stand below their chapter as finer points,
 * each with the help text of the brief. */

export interface Chapter {
  id: string;
  /** Sections of the brief that belong here. */
  sections: string[];
  /** Figures that stand in the margin beside it. */
  figures: string[];
  /** Stages whose advice stands here. */
  stages: string[];
}

export const CHAPTERS: Chapter[] = [
  {
    id: 'ground',
    sections: ['block', 'soil', 'ground', 'climate', 'protection', 'history', 'permissions'],
    figures: ['site.area', 'site.slope_mean', 'site.soil_water', 'site.rain_year', 'site.last_frost'],
    stages: ['site'],
  },
  {
    id: 'preparation',
    sections: ['preparation'],
    figures: ['work.loosening_hours', 'work.amount.lime-calcitic', 'work.amount.lime-dolomitic', 'work.amount.gypsum'],
    stages: [],
  },
  {
    id: 'stock',
    sections: ['vines', 'cultivar', 'spacing', 'rootstock', 'spares', 'sampling', 'nursery'],
    figures: ['stock.order_quantity', 'stock.spares', 'stock.rootstocks_allowed'],
    stages: ['stock'],
  },
  {
    id: 'rows',
    sections: ['rows', 'machine', 'weights', 'canopy'],
    figures: ['layout.rows', 'layout.row_ends', 'layout.vines', 'layout.row_length', 'layout.density', 'layout.bearing'],
    stages: ['layout'],
  },
  {
    id: 'wire',
    sections: ['trellis', 'posts', 'ends', 'materials'],
    figures: ['layout.line_posts', 'layout.end_posts', 'trellis.anchors', 'trellis.wire_length', 'stock.pegs'],
    stages: ['trellis'],
  },
  {
    id: 'water',
    sections: [
      'water', 'sets', 'mains', 'dripper_line', 'pipes', 'pump', 'head_works', 'uniformity', 'wetting', 'watering',
      'demand', 'first_season', 'water_analysis',
    ],
    figures: ['water.dripper_line', 'water.sets', 'water.emission_uniformity', 'water.pump.flow', 'water.pump.head', 'water.first_season'],
    stages: ['water'],
  },
  {
    id: 'work',
    sections: ['work', 'schedule', 'planting', 'aftercare', 'orders'],
    figures: ['work.water_at_planting', 'work.planting_pace', 'work.planting_days'],
    stages: ['work', 'calendar', 'planting'],
  },
  {
    id: 'money',
    sections: ['money'],
    figures: ['work.budget.establishment', 'work.budget.cost_per_area', 'work.budget.npv', 'work.budget.irr', 'work.budget.break_even_price'],
    stages: ['money'],
  },
];

/** The chapter that holds a blank. */
export const chapterOf = (key: string): Chapter | undefined => CHAPTERS.find(({ sections }) => sections.includes(key.split('.')[0] ?? ''));

/** The chapter in which a finding is told: that of the blank which mends it, else that of its stage. */
export const chapterOfFinding = (finding: { stage: string; blanks: string[] }): Chapter | undefined =>
  chapterOf(finding.blanks[0] ?? '') ?? CHAPTERS.find(({ stages }) => stages.includes(finding.stage));

const BLANK = /\{([a-z0-9_.]+)\}([.,;:]*)/g;

/** Text, or a blank with the marks that must not part from it. */
export type Piece = { text: string } | { key: string; tail: string };

/** A sentence as text and blanks in turn. */
export function piecesOf(sentence: string): Piece[] {
  const pieces: Piece[] = [];
  let end = 0;
  for (const match of sentence.matchAll(BLANK)) {
    if (match.index > end) pieces.push({ text: sentence.slice(end, match.index) });
    pieces.push({ key: match[1] ?? '', tail: match[2] ?? '' });
    end = match.index + match[0].length;
  }
  if (end < sentence.length) pieces.push({ text: sentence.slice(end) });
  return pieces;
}

export const keysIn = (sentences: string[]): string[] =>
  sentences.flatMap((sentence) => Array.from(sentence.matchAll(BLANK), (match) => match[1] ?? ''));

/** Blanks of a chapter that no sentence of the letter holds. */
export function finerPoints(chapter: Chapter, letter: string[], keys: Iterable<string>): string[] {
  const held = new Set(keysIn(letter));
  return Array.from(keys).filter((key) => chapter.sections.includes(key.split('.')[0] ?? '') && !held.has(key));
}
