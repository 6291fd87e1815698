/** How much work a frame may be; the picture steps down when frames are dear. */
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
/** Where a graphics card begins, and how far it may step down. */
const CARD: Quality[] = [
  { ratio: 3, pixels: 8e6, samples: 4, atlas: 4096, steps: 14, fine: true, air: 2, tiles: 64 },
  { ratio: 1.5, pixels: 4e6, samples: 4, atlas: 4096, steps: 10, fine: true, air: 2, tiles: 64 },
  { ratio: 1, pixels: 2e6, samples: 4, atlas: 2048, steps: 8, fine: true, air: 1, tiles: 32 },
  { ratio: 1, pixels: 8e5, samples: 0, atlas: 1024, steps: 6, fine: false, air: 2, tiles: 4 },
];
/** Without a card, from the finest; each is about half as much work again as the next. */
const SOFTWARE: Quality[] = [
  { ratio: 2, pixels: 5.5e5, samples: 0, atlas: 1024, steps: 5, fine: false, air: 2, tiles: 4 },
  { ratio: 2, pixels: 3.6e5, samples: 0, atlas: 1024, steps: 5, fine: false, air: 2, tiles: 3 },
  { ratio: 2, pixels: 2.4e5, samples: 0, atlas: 1024, steps: 4, fine: false, air: 2, tiles: 2 },
  { ratio: 2, pixels: 1.6e5, samples: 0, atlas: 1024, steps: 4, fine: false, air: 2, tiles: 2 },
  { ratio: 2, pixels: 1.1e5, samples: 0, atlas: 1024, steps: 4, fine: false, air: 2, tiles: 2 },
];
/** A picture that stands still without a card: drawn once, so as sharp as the screen. */
const RESTING: Quality = { ratio: 3, pixels: 3e6, samples: 4, atlas: 1024, steps: 8, fine: true, air: 1, tiles: 64 };
/** However dear frames are, a moving picture keeps so many of its pixels each way. */
const LEAST_RATIO = 0.5;

/**
 * The qualities of one kind of machine. `from` is where it begins, `dear` and `cheap` the frame's milliseconds to step
 * at; `waits` when drawing to the screen would hold up the page; `slack` as in `Pack`.
 */
export type Ladder = { steps: Quality[]; from: number; dear: number; cheap: number; resting: Quality; waits: boolean; slack: number };

/** `card` takes the machine for one with a graphics card, for measuring what the page itself has to do there. */
export function ladder(gl: WebGLRenderingContext | WebGL2RenderingContext, card = false): Ladder {
  if (!card && isSoftware(gl)) {
    return { steps: SOFTWARE, from: SOFTWARE.length - 1, dear: 120, cheap: 40, resting: RESTING, waits: true, slack: 0.03 };
  }
  // Measured is the finest, which is the most work for the page; shadows coarser, which is less for the card alone.
  const steps = card ? CARD.slice(0, 1).map((one) => ({ ...one, atlas: 1024, steps: 4 })) : [...CARD, ...SOFTWARE.slice(1)];
  return { steps, from: 0, dear: 26, cheap: 18, resting: CARD[1] as Quality, waits: false, slack: 0.004 };
}

/** Pixels drawn for each CSS pixel of a picture whose open part is so large. */
export function ratio(quality: Quality, openWidth: number, openHeight: number, screen: number): number {
  const most = Math.sqrt(quality.pixels / Math.max(1, openWidth * openHeight));
  return Math.min(quality.ratio, Math.max(1, screen), Math.max(LEAST_RATIO, most));
}

/** `true` when the browser draws without a graphics card. */
function isSoftware(gl: WebGLRenderingContext | WebGL2RenderingContext): boolean {
  const info = gl.getExtension('WEBGL_debug_renderer_info');
  const name = String(gl.getParameter(info ? info.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
  return /swiftshader|llvmpipe|software|basic render/i.test(name);
}
