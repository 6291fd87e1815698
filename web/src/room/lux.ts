import type { LuxView } from '../wire.gen';
import { bandPaint } from '../lux';
import { INKS, type Ink } from './ink';
import type { PlanEye } from './plan';

const FONT = "500 13px 'Atkinson Hyperlegible Next', system-ui, sans-serif";

/** The colours and lines of a light level map, under everything else of the plan. */
export function drawLux(ink: Ink, eye: PlanEye, map: LuxView, walls: { x: readonly number[]; y: readonly number[] }): void {
  const amber = ink.inks === INKS.amber;
  const [x0 = 0, y0 = 0] = map.from;
  const low = eye.project([walls.x[0] ?? 0, walls.y[1] ?? 0, 0]);
  const high = eye.project([walls.x[1] ?? 0, walls.y[0] ?? 0, 0]);
  ink.draw((c) => {
    c.beginPath();
    c.rect(low.x, low.y, high.x - low.x, high.y - low.y);
    c.clip();
    map.rows.forEach((row, j) => {
      let column = 0;
      for (const [band = 0, count = 0] of row) {
        const a = eye.project([x0 + column * map.step, y0 + (j + 1) * map.step, 0]);
        const b = eye.project([x0 + (column + count) * map.step, y0 + j * map.step, 0]);
        const paint = bandPaint(map, band, amber);
        c.fillStyle = paint.colour ?? ink.inks.bright;
        c.globalAlpha = paint.colour ? 1 : 0.72 * paint.strength;
        // Whole pixels, so that no seam shows between the strips.
        const [left, top, right, bottom] = [a.x, a.y, b.x, b.y].map(Math.round) as [number, number, number, number];
        c.fillRect(left, top, right - left, bottom - top);
        column += count;
      }
    });
    c.globalAlpha = 0.85;
    c.lineWidth = 1;
    for (const contour of map.contours) {
      c.strokeStyle = contour.dark ? INKS.neutral.page : ink.inks.text;
      c.beginPath();
      contour.line.forEach(([x = 0, y = 0], i) => {
        const p = eye.project([x, y, 0]);
        if (i) c.lineTo(p.x, p.y);
        else c.moveTo(p.x, p.y);
      });
      c.stroke();
    }
  });
}

/** The figures of the contours: boxes for the words around to keep off, and the drawing of them. */
export function luxLabels(ink: Ink, eye: PlanEye, map: LuxView): { boxes: { x: number; y: number; w: number; h: number }[]; draw: () => void } {
  const labels = map.labels.map(({ at, text }) => ({ text, p: eye.project([at[0], at[1], 0]), w: ink.measure(text, FONT) + 8 }));
  return {
    boxes: labels.map(({ p, w }) => ({ x: p.x, y: p.y, w, h: 17 })),
    draw: () =>
      ink.draw((c) => {
        c.font = FONT;
        c.textAlign = 'center';
        c.textBaseline = 'middle';
        for (const { text, p, w } of labels) {
          c.globalAlpha = 0.82;
          c.fillStyle = ink.inks.page;
          c.fillRect(p.x - w / 2, p.y - 8.5, w, 17);
          c.globalAlpha = 1;
          c.fillStyle = ink.inks.text;
          c.fillText(text, p.x, p.y + 0.5);
        }
      }),
  };
}
