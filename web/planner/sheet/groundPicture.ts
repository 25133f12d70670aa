/** Layers of a picture of the ground below the sheet: the block's own, or tiles that the estate names. */

import type { Extent as OlExtent } from 'ol/extent';
import ImageLayer from 'ol/layer/Image';
import TileLayer from 'ol/layer/Tile';
import { addCoordinateTransforms } from 'ol/proj';
import type Projection from 'ol/proj/Projection';
import ImageSource from 'ol/source/Image';
import XYZ from 'ol/source/XYZ';
import proj4 from 'proj4';

/** A rectangle in metres of the block, as pixels. */
export interface PictureWindow {
  west_m: number;
  south_m: number;
  east_m: number;
  north_m: number;
  columns: number;
  rows: number;
}

const MERCATOR = 'EPSG:3857';
const MOST_PIXELS = 4096;
const FARTHEST_M = 50_000;
/** Part of the view's width and height that is fetched on either side of it, for a drag. */
const AROUND = 0.25;

/** What to fetch for a view: more than it shows, but no more than the server gives. */
export function windowOf([west, south, east, north]: readonly number[], metresPerPixel: number): PictureWindow {
  const held = (metres: number): number => Math.min(FARTHEST_M, Math.max(-FARTHEST_M, metres));
  const [aside, up] = [AROUND * ((east ?? 0) - (west ?? 0)), AROUND * ((north ?? 0) - (south ?? 0))];
  const sides = { west_m: held((west ?? 0) - aside), south_m: held((south ?? 0) - up), east_m: held((east ?? 0) + aside), north_m: held((north ?? 0) + up) };
  const [width, height] = [(sides.east_m - sides.west_m) / metresPerPixel, (sides.north_m - sides.south_m) / metresPerPixel];
  const shrunk = Math.max(1, width / MOST_PIXELS, height / MOST_PIXELS);
  return { ...sides, columns: Math.max(1, Math.floor(width / shrunk)), rows: Math.max(1, Math.floor(height / shrunk)) };
}

/** The block's own picture, cut by the server; whoever fetches says so when it can't be had. */
export function ownPicture(projection: Projection, fetched: (window: PictureWindow) => Promise<Blob>): ImageLayer<ImageSource> {
  const loader = async (extent: OlExtent, resolution: number, pixelRatio: number): Promise<{ image: ImageBitmap; extent: OlExtent; pixelRatio: number }> => {
    const window = windowOf(extent, resolution / pixelRatio);
    const image = await createImageBitmap(await fetched(window));
    return { image, extent: [window.west_m, window.south_m, window.east_m, window.north_m], pixelRatio };
  };
  return new ImageLayer({ source: new ImageSource({ projection, loader }) });
}

/** Tiles in Web Mercator, bent into the block's own grid, of which `frame` is the definition. */
export function tiles(projection: Projection, frame: string, address: string): TileLayer<XYZ> {
  const { forward, inverse } = proj4(frame, MERCATOR);
  const each =
    (turned: (place: [number, number]) => number[]) =>
    (input: number[], output: number[] = new Array<number>(input.length), dimension = 2): number[] => {
      for (let at = 0; at < input.length; at += dimension) {
        const [x, y] = turned([input[at] ?? 0, input[at + 1] ?? 0]);
        [output[at], output[at + 1]] = [x ?? NaN, y ?? NaN];
      }
      return output;
    };
  addCoordinateTransforms(projection, MERCATOR, each(forward), each(inverse));
  return new TileLayer({ source: new XYZ({ url: address, projection: MERCATOR }) });
}
