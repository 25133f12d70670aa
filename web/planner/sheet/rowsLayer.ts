/** Rows, vines, posts and anchors, drawn from typed arrays straight onto a canvas. */

import ImageLayer from 'ol/layer/Image';
import type Projection from 'ol/proj/Projection';
import ImageCanvasSource from 'ol/source/ImageCanvas';

import type { TypedArray } from '../api/arrays';
import { inkNow } from './ink';
import { drawBlock, type Shown } from './vines';

export interface RowsDrawn {
  arrays: Record<string, TypedArray>;
  shown: Shown;
  vineSpacing: number;
}

/** A layer that draws whatever is there when it is asked. */
export function rowsLayer(projection: Projection, drawn: () => RowsDrawn | null): ImageLayer<ImageCanvasSource> {
  const source = new ImageCanvasSource({
    ratio: 1.5,
    projection,
    canvasFunction: (extent, resolution, pixelRatio, size) => {
      const canvas = document.createElement('canvas');
      canvas.width = size[0] ?? 0;
      canvas.height = size[1] ?? 0;
      const context = canvas.getContext('2d');
      const now = drawn();
      if (context !== null && now !== null) {
        const window = {
          extent: extent as [number, number, number, number],
          resolution: resolution / pixelRatio,
          width: canvas.width,
          height: canvas.height,
        };
        drawBlock(context, now.arrays, window, now.shown, inkNow(), now.vineSpacing);
      }
      return canvas;
    },
  });
  return new ImageLayer({ source });
}
