/** The lights' symbols: one stroke on a 32 box, its middle at the origin, front towards +y (towards the audience). */
type Draw = (c: CanvasRenderingContext2D) => void;

const circle = (c: CanvasRenderingContext2D, x: number, y: number, r: number, from = 0, to = 2 * Math.PI) => {
  c.moveTo(x + r * Math.cos(from), y + r * Math.sin(from));
  c.arc(x, y, r, from, to);
};

const yoke: Draw = (c) => {
  circle(c, 0, 2, 9);
  c.moveTo(-13, 4);
  c.lineTo(-13, -11);
  c.lineTo(13, -11);
  c.lineTo(13, 4);
};

const box = (c: CanvasRenderingContext2D, w: number, h: number) => c.rect(-w / 2, -h / 2, w, h);

const path = (c: CanvasRenderingContext2D, points: [number, number][], closed = false) => {
  points.forEach(([x, y], i) => (i === 0 ? c.moveTo(x, y) : c.lineTo(x, y)));
  if (closed) c.closePath();
};

const STROKES: Record<string, Draw> = {
  wash_head: yoke,
  spot_head: yoke,
  par(c) {
    c.moveTo(-9, -10);
    c.lineTo(9, -10);
    c.lineTo(9, 2);
    c.arc(0, 2, 9, 0, Math.PI);
    c.closePath();
  },
  fresnel(c) {
    c.moveTo(-9, -10);
    c.lineTo(9, -10);
    c.lineTo(9, 2);
    c.arc(0, 2, 9, 0, Math.PI);
    c.closePath();
    c.moveTo(-9, 2);
    c.lineTo(9, 2);
  },
  bar(c) {
    box(c, 34, 11);
    for (let i = -2; i <= 2; i++) {
      c.moveTo(i * 5.6, -5.5);
      c.lineTo(i * 5.6, 5.5);
    }
  },
  strobe(c) {
    box(c, 30, 14);
    for (const x of [-7, 0, 7]) {
      c.moveTo(x, -3);
      c.lineTo(x, 3);
    }
  },
  hazer(c) {
    c.rect(-12, -4, 24, 14);
    c.moveTo(-9, -10);
    c.bezierCurveTo(-5, -15, -2, -6, 2, -10);
    c.bezierCurveTo(5, -13, 7, -12, 9, -11);
  },
  dimmer(c) {
    box(c, 24, 20);
    c.moveTo(-7, 5);
    c.lineTo(7, -5);
  },
  profile_spot(c) {
    path(c, [[-9, -12], [9, -12], [9, -3], [5, 1], [5, 12], [-5, 12], [-5, 1], [-9, -3]], true);
    path(c, [[-12, 1], [-5, 1]]);
    path(c, [[5, 1], [12, 1]]);
  },
  scanner(c) {
    c.rect(-7, -14, 14, 22);
    path(c, [[-8, 13], [8, 9]]);
    path(c, [[0, 8], [0, 11]]);
  },
  flood(c) {
    path(c, [[-7, -8], [7, -8], [14, 8], [-14, 8]], true);
    path(c, [[-10, 3], [10, 3]]);
  },
  blinder(c) {
    box(c, 28, 16);
    circle(c, -6.8, 0, 5);
    circle(c, 6.8, 0, 5);
  },
  effect(c) {
    circle(c, 0, -3, 8);
    for (const turn of [0.2, 0.4, 0.6, 0.8]) {
      const [x, y] = [Math.cos(turn * Math.PI), Math.sin(turn * Math.PI)];
      path(c, [[10.5 * x, 10.5 * y - 3], [15 * x, 15 * y - 3]]);
    }
  },
  fogger(c) {
    c.rect(-12, -11, 24, 12);
    circle(c, -5, 11, 3.4);
    circle(c, 2, 11, 4.4);
    circle(c, 8, 11, 2.6);
  },
  machine(c) {
    box(c, 24, 22);
    circle(c, 0, 0, 9);
    for (let i = 0; i < 3; i++) {
      const turn = (i * Math.PI) / 1.5 + 0.5;
      path(c, [[2 * Math.cos(turn), 2 * Math.sin(turn)], [8 * Math.cos(turn), 8 * Math.sin(turn)]]);
    }
  },
};

/**
 * Draws a light's symbol at a place, `size` pixels wide, over a patch of the page so that lines seem to pass behind.
 * `lens` fills a spot head's pupil and lights a lit lens.
 */
export function drawSymbol(
  c: CanvasRenderingContext2D, symbol: string, x: number, y: number, size: number, ink: string, page: string, turn: number,
  width: number,
): void {
  const strokes = STROKES[symbol] ?? STROKES['par'];
  if (!strokes) return;
  c.save();
  c.translate(x, y);
  c.rotate(turn);
  c.scale(size / 32, size / 32);
  c.lineWidth = (width * 32) / size;
  c.lineJoin = c.lineCap = 'round';
  c.strokeStyle = ink;
  c.beginPath();
  strokes(c);
  c.fillStyle = page;
  c.fill();
  c.stroke();
  if (symbol === 'spot_head') {
    c.beginPath();
    circle(c, 0, 2, 4);
    c.fillStyle = ink;
    c.fill();
  }
  c.restore();
}
