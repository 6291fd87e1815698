import { CanvasTexture, DataTexture, LinearFilter, LinearMipmapLinearFilter } from 'three';

/** Patterns on a side of the sheet, and the size of each, pixels. */
const SIDE = 4;
const SIZE = 256;

type Pen = CanvasRenderingContext2D;
/** Draws one pattern in white, the middle at the origin, the image's edge at 110. */
type Draw = (c: Pen, random: () => number) => void;

const TURN = 2 * Math.PI;

function disc(c: Pen, x: number, y: number, r: number): void {
  c.beginPath();
  c.arc(x, y, r, 0, TURN);
  c.fill();
}

function scattered(c: Pen, random: () => number, count: number, shape: () => void): void {
  for (let i = 0; i < count; i++) {
    c.save();
    c.rotate(random() * TURN);
    c.translate(Math.sqrt(random()) * 112, 0);
    c.rotate(random() * TURN);
    c.beginPath();
    shape();
    c.fill();
    c.restore();
  }
}

function star(c: Pen, points: number, outer: number, inner: number): void {
  for (let i = 0; i < points * 2; i++) {
    const r = i % 2 ? inner : outer;
    c.lineTo(r * Math.cos((i * Math.PI) / points), r * Math.sin((i * Math.PI) / points));
  }
}

/** Our own patterns, by a word that a gobo's name may hold. */
const DRAWN: readonly (readonly [RegExp, Draw])[] = [
  [/lea[fv]|foliage|branch/i, (c, random) => scattered(c, random, 46, () => {
    const long = 15 + random() * 10;
    c.moveTo(0, -long);
    c.quadraticCurveTo(13, 0, 0, long);
    c.quadraticCurveTo(-13, 0, 0, -long);
  })],
  [/star/i, (c) => {
    for (const [ring, count, size] of [[0, 1, 24], [54, 6, 18], [95, 11, 14]] as const) {
      for (let i = 0; i < count; i++) {
        c.save();
        c.rotate((i * TURN) / count + ring);
        c.translate(ring, 0);
        c.rotate(ring * 1.7 + i);
        c.beginPath();
        star(c, 5, size, size * 0.42);
        c.fill();
        c.restore();
      }
    }
  }],
  [/ring|circle|tunnel/i, (c) => {
    for (const r of [20, 52, 84]) {
      c.lineWidth = 13;
      c.beginPath();
      c.arc(0, 0, r, 0, TURN);
      c.stroke();
    }
  }],
  [/window|frame|grid/i, (c) => {
    for (let x = -1; x <= 1; x++) for (let y = -1; y <= 1; y++) c.fillRect(x * 48 - 20, y * 48 - 20, 40, 40);
  }],
  [/ripple|water|wave/i, (c) => {
    c.lineWidth = 9;
    for (let y = -110; y <= 110; y += 21) {
      c.beginPath();
      for (let x = -120; x <= 120; x += 6) c.lineTo(x, y + 9 * Math.sin(x * 0.055 + y * 0.7));
      c.stroke();
    }
  }],
  [/dot|spot|bubble|hole/i, (c) => {
    disc(c, 0, 0, 11);
    for (let ring = 1; ring < 4; ring++) for (let i = 0; i < ring * 6; i++) {
      const a = (i * TURN) / (ring * 6) + ring * 0.3;
      disc(c, ring * 32 * Math.cos(a), ring * 32 * Math.sin(a), 10);
    }
  }],
  [/spiral|swirl|vortex/i, (c) => {
    c.lineWidth = 12;
    for (let arm = 0; arm < 3; arm++) {
      c.beginPath();
      for (let t = 0; t <= 1; t += 0.02) c.lineTo((10 + 100 * t) * Math.cos(t * 5 + (arm * TURN) / 3), (10 + 100 * t) * Math.sin(t * 5 + (arm * TURN) / 3));
      c.stroke();
    }
  }],
  [/bar|line|stripe|blind/i, (c) => {
    for (let i = -4; i <= 4; i++) c.fillRect(i * 26 - 7.5, -120, 15, 240);
  }],
  [/glass|shard|break|crack/i, (c, random) => scattered(c, random, 40, () => {
    for (let k = 0; k < 3; k++) c.lineTo((random() - 0.5) * 52, (random() - 0.5) * 52);
  })],
  [/sun|ray|fan|burst/i, (c) => {
    c.beginPath();
    star(c, 14, 112, 34);
    c.fill();
  }],
  [/flower|petal|rose|bloom/i, (c) => {
    for (let i = 0; i < 7; i++) {
      c.save();
      c.rotate((i * TURN) / 7);
      c.beginPath();
      c.ellipse(62, 0, 38, 19, 0, 0, TURN);
      c.fill();
      c.restore();
    }
    disc(c, 0, 0, 15);
  }],
  [/triang|prism|facet/i, (c) => {
    for (let i = 0; i < 6; i++) {
      c.save();
      c.rotate((i * TURN) / 6);
      c.beginPath();
      star(c, 3, 26, 13);
      c.translate(68, 0);
      star(c, 3, 30, 15);
      c.fill();
      c.restore();
    }
  }],
];
/** Which one a gobo's name means: the pattern it speaks of, else always the same one for the same name. Counted from 1. */
export function patternOf(name: string): number {
  const known = DRAWN.findIndex(([word]) => word.test(name));
  if (known >= 0) return known + 1;
  let h = 2166136261;
  for (let i = 0; i < name.length; i++) h = Math.imul(h ^ name.charCodeAt(i), 16777619);
  return 1 + ((h >>> 0) % DRAWN.length);
}

/** All patterns on one sheet, four to a row. */
export function patterns(): CanvasTexture | DataTexture {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = SIZE * SIDE;
  const c = canvas.getContext('2d');
  if (!c) return new DataTexture(new Uint8Array([255, 255, 255, 255]), 1, 1);
  c.fillStyle = '#111';
  c.fillRect(0, 0, canvas.width, canvas.height);
  let seed = 7;
  const random = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  DRAWN.forEach(([, draw], i) => {
    c.save();
    c.beginPath();
    c.rect((i % SIDE) * SIZE, Math.floor(i / SIDE) * SIZE, SIZE, SIZE);
    c.clip();
    c.translate((i % SIDE) * SIZE + SIZE / 2, Math.floor(i / SIDE) * SIZE + SIZE / 2);
    c.filter = 'blur(1.5px)';
    c.fillStyle = c.strokeStyle = '#fff';
    draw(c, random);
    c.restore();
  });
  const texture = new CanvasTexture(canvas);
  texture.flipY = false;
  texture.generateMipmaps = true;
  texture.minFilter = LinearMipmapLinearFilter;
  texture.magFilter = LinearFilter;
  return texture;
}
