/** How much work a frame may be; the picture steps down when frames come late. */
export type Quality = {
  /** Most device pixels per CSS pixel, and most pixels in the open part of the picture. */
  ratio: number;
  pixels: number;
  samples: number;
  atlas: number;
  /** Steps along a view ray through haze. */
  steps: number;
  /** Soft shadow edges. */
  fine: boolean;
  /** The air is drawn at this fraction of the size. */
  air: number;
  /** Most shadow tiles drawn anew in one frame. */
  tiles: number;
};
export const QUALITIES: Quality[] = [
  { ratio: 2, pixels: 8e6, samples: 4, atlas: 4096, steps: 14, fine: true, air: 2, tiles: 64 },
  { ratio: 1.5, pixels: 4e6, samples: 4, atlas: 4096, steps: 10, fine: true, air: 2, tiles: 64 },
  { ratio: 1, pixels: 2e6, samples: 4, atlas: 2048, steps: 8, fine: true, air: 1, tiles: 32 },
  { ratio: 1, pixels: 2e6, samples: 4, atlas: 1024, steps: 8, fine: true, air: 1, tiles: 64 },
  { ratio: 1, pixels: 8e5, samples: 0, atlas: 1024, steps: 6, fine: false, air: 2, tiles: 4 },
  { ratio: 1, pixels: 5e5, samples: 0, atlas: 1024, steps: 5, fine: false, air: 3, tiles: 3 },
  { ratio: 1, pixels: 3.2e5, samples: 0, atlas: 1024, steps: 5, fine: false, air: 3, tiles: 2 },
  { ratio: 1, pixels: 2.2e5, samples: 0, atlas: 1024, steps: 4, fine: false, air: 3, tiles: 2 },
  { ratio: 1, pixels: 1.5e5, samples: 0, atlas: 1024, steps: 4, fine: false, air: 3, tiles: 2 },
];
/** Where a software rasteriser begins. */
export const SOFTWARE = 5;
/** Used for a picture that stands still. */
export const RESTING = 3;

/** `true` when the browser draws without a graphics card. */
export function isSoftware(gl: WebGLRenderingContext | WebGL2RenderingContext): boolean {
  const info = gl.getExtension('WEBGL_debug_renderer_info');
  const name = String(gl.getParameter(info ? info.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
  return /swiftshader|llvmpipe|software|basic render/i.test(name);
}
