/** Arrays as the server packs them: magic, length of the header, header as JSON, then the blocks. */

const MAGIC = 'AANPLNT1';
const STEP = 8;

const KINDS = {
  f8: Float64Array,
  f4: Float32Array,
  i4: Int32Array,
  u2: Uint16Array,
  u1: Uint8Array,
} as const;

export type TypedArray = InstanceType<(typeof KINDS)[keyof typeof KINDS]>;

export interface Unpacked<About> {
  about: About;
  arrays: Record<string, TypedArray>;
}

interface Entry {
  type: keyof typeof KINDS;
  shape: number[];
  offset: number;
}

/** Lay typed arrays over the bytes, without copying.
 *
 * Throws when the bytes are none of ours. */
export function unpack<About>(buffer: ArrayBuffer): Unpacked<About> {
  const start = new TextDecoder().decode(buffer.slice(0, MAGIC.length));
  if (start !== MAGIC) throw new Error('the answer does not begin as packed arrays do');
  const length = new DataView(buffer).getUint32(MAGIC.length, true);
  const headerStart = MAGIC.length + 4;
  const text = new TextDecoder().decode(new Uint8Array(buffer, headerStart, length));
  const header = JSON.parse(text) as { about: About; arrays: Record<string, Entry> };
  const blocks = Math.ceil((headerStart + length) / STEP) * STEP;
  const arrays: Record<string, TypedArray> = {};
  for (const [name, { type, shape, offset }] of Object.entries(header.arrays)) {
    const count = shape.reduce((product, extent) => product * extent, 1);
    arrays[name] = new KINDS[type](buffer, blocks + offset, count);
  }
  return { about: header.about, arrays };
}
