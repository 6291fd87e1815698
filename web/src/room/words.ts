import type { ScreenPoint } from './eye';

/** One piece of text over the picture; `x`, `y` are its middle in CSS pixels from the canvas's top left. */
export type Label = {
  id: string;
  text: string;
  x: number;
  y: number;
  /** What it stands beside. */
  kind: 'unit' | 'mark' | 'leg' | 'place' | 'line' | 'address';
};

/** A label that wants a place: those of higher `rank` get theirs first, the rest give way or stay away. */
export type Wish = { id: string; text: string; kind: Label['kind']; at: ScreenPoint; dx?: number; dy?: number; rank: number };

/** The part of the page that no panel covers, pixels. */
export type Open = { left: number; top: number; right: number; bottom: number };

type Box = { x: number; y: number; w: number; h: number };

/** Places labels so that none lies over another; one that finds no room within three steps is left out. */
export function place(wishes: Wish[], open: Open): Label[] {
  const taken: Box[] = [];
  const out: Label[] = [];
  const ordered = wishes.filter((wish) => wish.at.front).sort((a, b) => b.rank - a.rank);
  for (const wish of ordered) {
    const w = wish.kind === 'unit' ? 24 : 12 + wish.text.length * 7.2;
    const h = 20;
    const wanted = wish.at.x + (wish.dx ?? 0);
    if (wish.at.x < open.left || wish.at.x > open.right || wish.at.y < open.top || wish.at.y > open.bottom) continue;
    const x = Math.min(open.right - w / 2 - 2, Math.max(open.left + w / 2 + 2, wanted));
    const y = wish.at.y + (wish.dy ?? 0);
    const up = (wish.dy ?? 0) > 0 ? 1 : -1;
    for (const step of [0, 1, -1, 2, 3]) {
      const box = { x, y: y + step * up * h, w, h };
      if (box.y < open.top || box.y > open.bottom) continue;
      if (taken.some((other) => apart(other, box) < 0)) continue;
      taken.push(box);
      out.push({ id: wish.id, text: wish.text, x: box.x, y: box.y, kind: wish.kind });
      break;
    }
  }
  return out;
}

function apart(a: Box, b: Box): number {
  return Math.max(Math.abs(a.x - b.x) - (a.w + b.w) / 2, Math.abs(a.y - b.y) - (a.h + b.h) / 2);
}

/** Draws labels itself, for a page that does not. */
export class Words {
  private readonly box = document.createElement('div');
  private readonly shown = new Map<string, HTMLElement>();

  constructor(beside: HTMLElement) {
    Object.assign(this.box.style, {
      position: 'absolute', inset: '0', pointerEvents: 'none', overflow: 'hidden',
      font: "500 14px 'Atkinson Hyperlegible Next', system-ui, sans-serif",
    });
    beside.after(this.box);
  }

  show(labels: Label[], chosen: readonly number[], ink: string, bright: string): void {
    const gone = new Set(this.shown.keys());
    for (const label of labels) {
      gone.delete(label.id);
      let element = this.shown.get(label.id);
      if (!element) {
        element = document.createElement('span');
        Object.assign(element.style, {
          position: 'absolute', left: '0', top: '0', whiteSpace: 'nowrap', fontVariantNumeric: 'tabular-nums slashed-zero',
          textShadow: '0 0 3px #0a0908, 0 0 3px #0a0908, 0 0 6px #0a0908',
        });
        this.shown.set(label.id, element);
        this.box.append(element);
      }
      const large = label.kind === 'unit' && chosen.includes(Number(label.text));
      if (element.textContent !== label.text) element.textContent = label.text;
      element.style.color = large || label.kind === 'leg' ? bright : ink;
      element.style.fontSize = large ? '22px' : '14px';
      element.style.fontWeight = large ? '700' : '500';
      element.style.transform = `translate(${label.x.toFixed(1)}px, ${label.y.toFixed(1)}px) translate(-50%, -50%)`;
    }
    for (const id of gone) {
      this.shown.get(id)?.remove();
      this.shown.delete(id);
    }
  }

  dispose(): void {
    this.box.remove();
  }
}
