import type { ReachView } from '../src/wire.gen';

const RED = [0.62, 0.62] as const;
const GREEN = [0.12, 0.08] as const;
const BLUE = [0.3, 0.98] as const;

/** What the mock's lights can make: a triangle of dots. For the eye only. */
export const REACH: ReachView = {
  aspect: 1.1,
  mixes: true,
  guessed: false,
  outline: [[...RED], [...GREEN], [...BLUE]] as [number, number][],
  dots: Array.from({ length: 11 }, (_, r) => Array.from({ length: 11 - r }, (_, g) => [r / 10, g / 10] as const)).flat().map(([r, g]) => {
    const b = 1 - r - g;
    const top = Math.max(r, g, b, 0.01);
    const hex = `#${[r, g, b].map((c) => Math.round(255 * Math.max(0, c / top) ** (1 / 2.2)).toString(16).padStart(2, '0')).join('')}`;
    return { at: [RED[0] * r + GREEN[0] * g + BLUE[0] * b, RED[1] * r + GREEN[1] * g + BLUE[1] * b], hex, write: hex, most: 0.25 + 0.75 * (1 - Math.max(r, g, b)) };
  }),
  whites: [2700, 3200, 4000, 5600, 6500].map((kelvin, i) => ({ kelvin, hex: ['#ffa757', '#ffbb7b', '#ffd1a3', '#fff0e9', '#fff9fd'][i] ?? '#ffffff', most: i === 4 ? null : 0.9 - i * 0.1 })),
};
