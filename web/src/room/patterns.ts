import { CanvasTexture, DataTexture } from 'three';

/** Four soft patterns for the gobo wheel, side by side: leaves, bars, dots, broken glass. */
export function patterns(): CanvasTexture | DataTexture {
  const size = 256;
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = size * 2;
  const c = canvas.getContext('2d');
  if (!c) return new DataTexture(new Uint8Array([255, 255, 255, 255]), 1, 1);
  c.fillStyle = '#111';
  c.fillRect(0, 0, size * 2, size * 2);
  let seed = 7;
  const random = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  const draw = (i: number, shape: () => void) => {
    c.save();
    c.beginPath();
    c.rect((i % 2) * size, Math.floor(i / 2) * size, size, size);
    c.clip();
    c.translate((i % 2) * size + size / 2, Math.floor(i / 2) * size + size / 2);
    c.filter = 'blur(2px)';
    c.fillStyle = '#fff';
    shape();
    c.restore();
  };
  draw(0, () => {
    for (let i = 0; i < 46; i++) {
      c.save();
      c.rotate(random() * 6.283);
      c.translate(Math.sqrt(random()) * 118, 0);
      c.rotate(random() * 6.283);
      c.beginPath();
      c.ellipse(0, 0, 7 + random() * 8, 15 + random() * 10, 0, 0, 6.283);
      c.fill();
      c.restore();
    }
  });
  draw(1, () => {
    for (let i = -4; i <= 4; i++) c.fillRect(i * 27 - 7.5, -128, 15, 256);
  });
  draw(2, () => {
    for (let ring = 0; ring < 4; ring++) {
      const n = ring === 0 ? 1 : ring * 6;
      for (let i = 0; i < n; i++) {
        const a = (i * 6.283) / n + ring * 0.3;
        c.beginPath();
        c.arc(ring * 32 * Math.cos(a), ring * 32 * Math.sin(a), 9.5, 0, 6.283);
        c.fill();
      }
    }
  });
  draw(3, () => {
    for (let i = 0; i < 40; i++) {
      c.save();
      c.rotate(random() * 6.283);
      c.translate(Math.sqrt(random()) * 112, 0);
      c.beginPath();
      for (let k = 0; k < 3; k++) c.lineTo((random() - 0.5) * 52, (random() - 0.5) * 52);
      c.fill();
      c.restore();
    }
  });
  const texture = new CanvasTexture(canvas);
  texture.generateMipmaps = true;
  return texture;
}

