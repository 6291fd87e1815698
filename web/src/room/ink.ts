import type { V3 } from './geometry';
import type { Projector, ScreenPoint } from './eye';
import type { Open } from './words';

/** The strokes' colours; the page's tokens. */
export type Inks = { page: string; rule: string; edge: string; faint: string; soft: string; text: string; bright: string };
export type Theme = 'neutral' | 'amber';

export const INKS: Record<Theme, Inks> = {
  neutral: {
    page: '#0e0d0c', rule: '#3a3530', edge: '#7d756b', faint: '#978e83', soft: '#b8afa3', text: '#ddd5c9', bright: '#f4ede1',
  },
  amber: {
    page: '#0d0a05', rule: '#3d2d12', edge: '#8a6a30', faint: '#a67f3a', soft: '#c79a4b', text: '#e6b35c', bright: '#ffca70',
  },
};

/** How a line is drawn: one stroke, with a dark halo where it lies over the lit picture. */
export type Pen = { colour: string; width?: number; dash?: number[]; halo?: boolean };

/** A canvas over the picture for crisp strokes in CSS pixels. */
export class Ink {
  readonly canvas = document.createElement('canvas');
  inks: Inks = INKS.neutral;
  width = 1;
  height = 1;
  private readonly c: CanvasRenderingContext2D | null;
  /** Nothing is drawn, so there is nothing to wipe. */
  private bare = true;

  constructor(beside: HTMLCanvasElement) {
    this.canvas.setAttribute('aria-hidden', 'true');
    Object.assign(this.canvas.style, {
      position: 'absolute', left: '0', top: '0', width: '100%', height: '100%', pointerEvents: 'none',
    });
    beside.after(this.canvas);
    this.c = this.canvas.getContext('2d');
  }

  setSize(width: number, height: number): void {
    const ratio = Math.min(3, window.devicePixelRatio || 1);
    this.width = width;
    this.height = height;
    this.canvas.width = Math.max(1, Math.round(width * ratio));
    this.canvas.height = Math.max(1, Math.round(height * ratio));
    this.c?.setTransform(ratio, 0, 0, ratio, 0, 0);
    this.c?.save();
  }

  /** Wipes the canvas; what is drawn from now on stays inside `open`. */
  clear(open: Open, fill?: string): void {
    const { c } = this;
    if (!c) return;
    c.restore();
    c.save();
    if (!this.bare) c.clearRect(0, 0, this.width, this.height);
    this.bare = !fill;
    if (fill) {
      c.fillStyle = fill;
      c.fillRect(0, 0, this.width, this.height);
    }
    c.beginPath();
    c.rect(open.left, open.top, open.right - open.left, open.bottom - open.top);
    c.clip();
  }

  line(points: ScreenPoint[], pen: Pen, closed = false): void {
    if (points.length < 2 || points.some((p) => !p.front)) return;
    this.path(pen, (c) => {
      points.forEach((p, i) => (i ? c.lineTo(p.x, p.y) : c.moveTo(p.x, p.y)));
      if (closed) c.closePath();
    });
  }

  circle(at: ScreenPoint, radius: number, pen: Pen): void {
    if (at.front) this.path(pen, (c) => c.arc(at.x, at.y, radius, 0, 2 * Math.PI));
  }

  /** A mark: an X. */
  cross(at: ScreenPoint, size: number, pen: Pen): void {
    if (!at.front) return;
    this.path(pen, (c) => {
      for (const s of [-1, 1]) {
        c.moveTo(at.x - size, at.y - s * size);
        c.lineTo(at.x + size, at.y + s * size);
      }
    });
  }

  /** The middle of a spot: an upright cross. */
  plus(at: ScreenPoint, size: number, pen: Pen): void {
    if (!at.front) return;
    this.path(pen, (c) => {
      c.moveTo(at.x - size, at.y);
      c.lineTo(at.x + size, at.y);
      c.moveTo(at.x, at.y - size);
      c.lineTo(at.x, at.y + size);
    });
  }

  /** An ellipse in the room, given by its middle and two half axes. */
  ellipse(view: Projector, centre: V3, major: V3, minor: V3, pen: Pen): void {
    this.line(ellipsePoints(centre, major, minor, 56).map((p) => view.project(p)), pen, true);
  }

  /** How wide a text is in a font of the page, pixels; about as wide where there is no canvas. */
  measure(text: string, font: string): number {
    if (!this.c) return text.length * 8;
    this.c.save();
    this.c.font = font;
    const { width } = this.c.measureText(text);
    this.c.restore();
    return width;
  }

  /** Anything else on the canvas. */
  draw(shape: (c: CanvasRenderingContext2D) => void): void {
    if (!this.c) return;
    this.bare = false;
    this.c.save();
    shape(this.c);
    this.c.restore();
  }

  path(pen: Pen, shape: (c: CanvasRenderingContext2D) => void): void {
    this.draw((c) => {
      c.lineJoin = c.lineCap = 'round';
      const width = pen.width ?? 1.8;
      const dark = pen.halo !== false;
      for (const halo of dark ? [true, false] : [false]) {
        c.beginPath();
        shape(c);
        c.setLineDash(halo ? [] : (pen.dash ?? []));
        c.strokeStyle = halo ? 'rgba(8, 7, 6, 0.62)' : pen.colour;
        c.lineWidth = halo ? width + 3 : width;
        c.stroke();
      }
    });
  }
}

/** Adds an ellipse to a path, given on the screen by its middle and two half axes; seen from its edge it is a line. */
export function traceEllipse(c: CanvasRenderingContext2D, at: ScreenPoint, u: { x: number; y: number }, v: { x: number; y: number }): void {
  const long = Math.hypot(u.x, u.y, v.x, v.y);
  if (Math.abs(u.x * v.y - u.y * v.x) < 0.05 * long) {
    const [dx, dy] = Math.hypot(u.x, u.y) > Math.hypot(v.x, v.y) ? [u.x, u.y] : [v.x, v.y];
    const k = long / Math.max(1e-9, Math.hypot(dx, dy));
    c.moveTo(at.x - dx * k, at.y - dy * k);
    c.lineTo(at.x + dx * k, at.y + dy * k);
    return;
  }
  c.save();
  c.transform(u.x, u.y, v.x, v.y, at.x, at.y);
  c.moveTo(1, 0);
  c.arc(0, 0, 1, 0, 2 * Math.PI);
  c.restore();
}

export function ellipsePoints(centre: V3, major: V3, minor: V3, count: number): V3[] {
  return Array.from({ length: count }, (_, i) => {
    const a = (i * 2 * Math.PI) / count;
    const c = Math.cos(a);
    const s = Math.sin(a);
    return [0, 1, 2].map((k) => (centre[k] ?? 0) + (major[k] ?? 0) * c + (minor[k] ?? 0) * s) as V3;
  });
}
