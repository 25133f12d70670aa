/** The layer that all of the sheet's painters share: one canvas, however much is shown. */

import ImageLayer from 'ol/layer/Image';
import type Projection from 'ol/proj/Projection';
import ImageCanvasSource from 'ol/source/ImageCanvas';

import { inkNow } from './ink';
import type { Window } from './paint/canvas';
import { paintScene, type Scene } from './paint/scene';

/** Paints whatever is there when it is asked. */
export function sceneLayer(projection: Projection, scene: () => Scene | null): ImageLayer<ImageCanvasSource> {
  const source = new ImageCanvasSource({
    ratio: 1.5,
    projection,
    canvasFunction: (extent, resolution, pixelRatio, size) => {
      const canvas = document.createElement('canvas');
      canvas.width = size[0] ?? 0;
      canvas.height = size[1] ?? 0;
      const context = canvas.getContext('2d');
      const now = scene();
      if (context !== null && now !== null) {
        const window: Window = {
          extent: extent as Window['extent'],
          resolution: resolution / pixelRatio,
          width: canvas.width,
          height: canvas.height,
          ratio: pixelRatio,
        };
        paintScene(context, window, now, inkNow());
      }
      return canvas;
    },
  });
  return new ImageLayer({ source });
}
