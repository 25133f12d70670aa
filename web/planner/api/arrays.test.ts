import { expect, it } from 'vitest';

import { unpack } from './arrays';

/** Packs as docs/serve.md tells, so that the reader is held to the page and not to itself. */
function packed(): ArrayBuffer {
  const header = new TextEncoder().encode(
    JSON.stringify({ about: { bearing_deg: 11 }, arrays: { vines_xy: { type: 'f4', shape: [2, 2], offset: 0 }, row: { type: 'u2', shape: [2], offset: 16 } } }),
  );
  const start = Math.ceil((12 + header.length) / 8) * 8;
  const buffer = new ArrayBuffer(start + 24);
  new Uint8Array(buffer).set(new TextEncoder().encode('AANPLNT1'));
  const view = new DataView(buffer);
  view.setUint32(8, header.length, true);
  new Uint8Array(buffer).set(header, 12);
  [1.5, -2, 3, 4].forEach((value, at) => view.setFloat32(start + 4 * at, value, true));
  [7, 65535].forEach((value, at) => view.setUint16(start + 16 + 2 * at, value, true));
  return buffer;
}

it('lays typed arrays over the bytes', () => {
  const { about, arrays } = unpack<{ bearing_deg: number }>(packed());
  expect(about.bearing_deg).toBe(11);
  expect(Array.from(arrays['vines_xy'] ?? [])).toEqual([1.5, -2, 3, 4]);
  expect(Array.from(arrays['row'] ?? [])).toEqual([7, 65535]);
});

it('refuses bytes that are none of ours', () => {
  expect(() => unpack(new ArrayBuffer(64))).toThrow('packed arrays');
});
