import type { ScreenPoint } from './eye';
import type { Label, Open } from './words';

/** A piece of the page in CSS pixels: its middle and its whole size. */
export type Box = { x: number; y: number; w: number; h: number };

/**
 * Where text may stand from a thing: `x`, `y` say the side, `slide` moves text above or below a thing so that it begins
 * (1) or ends (-1) where the thing does, `far` is so many pixels more.
 */
export type Side = { x: -1 | 0 | 1; y: -1 | 0 | 1; slide?: -1 | 1; far?: number };

const to = (x: Side['x'], y: Side['y'], slide?: Side['slide'], far?: number): Side => ({ x, y, ...(slide ? { slide } : {}), ...(far ? { far } : {}) });
export const ABOVE = to(0, -1);
export const BELOW = to(0, 1);
export const LEFT = to(-1, 0);
export const RIGHT = to(1, 0);
export const CORNERS = [to(1, 1), to(-1, 1), to(1, -1), to(-1, -1)];
/** Along the upper and the lower edge, begun or ended where the thing is. */
export const EDGES = [to(0, 1, 1), to(0, 1, -1), to(0, -1, 1), to(0, -1, -1)];

/** The same sides, further off. */
export function further(sides: Side[], far: number): Side[] {
  return sides.map((one) => ({ ...one, far }));
}

/** Text that wants a place beside a thing of half size `half`: its `texts` from the fullest to the shortest. */
export type Beside = {
  id: string;
  texts: string[];
  kind: Label['kind'];
  at: ScreenPoint;
  half: { x: number; y: number };
  sides: Side[];
  /** Those of higher rank are placed first. */
  rank: number;
  /** It may stand on a strong line, which is then broken for it. */
  onLines?: boolean;
};

/** What text keeps off: `solid` always, `lines` as far as there are better sides. */
export type Ground = { solid: Box[]; lines: Line[] };

/** A line costs text that stands on it as much as so many sides further down its list. */
export type Line = { box: Box; costs: number; strong: boolean };
export const FAINT = 0.3;
const UPRIGHT = 0.4;
const LEVEL = 2.2;

/** A strong line: one that text across it hides more of costs more. */
export function strongLine(a: ScreenPoint, b: ScreenPoint): Line {
  return { box: strokeBox(a, b, 2), costs: Math.abs(a.x - b.x) > Math.abs(a.y - b.y) ? LEVEL : UPRIGHT, strong: true };
}

const HIGH = 17;
const GAP = 4;

/**
 * Places text so that it lies over nothing: each piece at the best of its sides that is free, what finds none is left
 * out. `width` measures a text.
 */
export function placeBeside(wishes: Beside[], open: Open, ground: Ground, width: (text: string, kind: Label['kind']) => number): Label[] {
  const taken: Box[] = [...ground.solid];
  const out: Label[] = [];
  for (const wish of [...wishes].sort((a, b) => b.rank - a.rank)) {
    let best: { text: string; box: Box } | undefined;
    let least = Infinity;
    wish.texts.forEach((text, shorter) => {
      const w = width(text, wish.kind);
      wish.sides.forEach((at, index) => {
        const box = boxAt(wish, at, w);
        const lines = ground.lines.filter((line) => meet(box, line.box));
        const cost = shorter * 20 + index + Math.max(0, ...lines.map((line) => (line.strong && !wish.onLines ? Infinity : line.costs)));
        if (cost >= least || !inside(box, open) || taken.some((other) => meet(box, other, 3))) return;
        least = cost;
        best = { text, box };
      });
    });
    if (!best) continue;
    taken.push(best.box);
    out.push({ id: wish.id, text: best.text, kind: wish.kind, x: best.box.x, y: best.box.y });
  }
  return out;
}

function boxAt({ at, half }: Beside, side: Side, w: number): Box {
  const { x, y, far = 0 } = side;
  const slide = side.slide ?? 0;
  const dx = x * (half.x + GAP + w / 2 + (y === 0 ? far : 0)) + slide * (w / 2 - half.x);
  const dy = y * (half.y + (x === 0 ? GAP + HIGH / 2 : HIGH / 2 - 3) + (x === 0 ? far : 0));
  return { x: at.x + dx, y: at.y + dy, w, h: HIGH };
}

function inside(box: Box, open: Open): boolean {
  return (
    box.x - box.w / 2 > open.left + 3 && box.x + box.w / 2 < open.right - 3 &&
    box.y - box.h / 2 > open.top && box.y + box.h / 2 < open.bottom
  );
}

export function meet(a: Box, b: Box, apart = 1): boolean {
  return Math.abs(a.x - b.x) < (a.w + b.w) / 2 + apart && Math.abs(a.y - b.y) < (a.h + b.h) / 2 + apart;
}

/** The box of a straight stroke that runs along the page's edges. */
export function strokeBox(a: ScreenPoint, b: ScreenPoint, width: number): Box {
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, w: Math.abs(a.x - b.x) + width, h: Math.abs(a.y - b.y) + width };
}
