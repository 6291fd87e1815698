import type { Beam, LiveLight } from './live';

/** The page never draws more flashes a second than this, whatever the lights do. */
export const MOST_FLASHES_HZ = 3;
/** How much of the time a flash is lit, and what is seen of the light in between. */
const LIT = 0.28;
const DARK = 0.04;
/** A light that flashes, for those who asked for less motion: steady at this level, with the strokes of a strobe beside it. */
const STILL = 0.5;

/**
 * How much of a flashing beam the picture shows. All flashes fall on one clock, so that together they are never more
 * than `MOST_FLASHES_HZ`; a slower light flashes on every second or third beat of it, never faster than what is sent.
 */
export class Flashes {
  private beat = 0;
  private phase = 0;
  private last = 0;

  /** `now` in milliseconds of any clock. */
  at(lights: readonly LiveLight[], now: number, still: boolean): (beam: Beam) => number {
    let most = 0;
    for (const light of lights) for (const beam of light.beams) most = Math.max(most, beam.strobeHz);
    const clock = Math.min(MOST_FLASHES_HZ, most);
    // The beats are counted on, so that a change of rate brings no flash sooner.
    this.phase += (Math.max(0, Math.min(1000, now - this.last)) / 1000) * clock;
    this.last = now;
    if (this.phase >= 1) {
      this.beat += Math.floor(this.phase);
      this.phase %= 1;
    }
    const { beat, phase } = this;
    return (beam) => {
      if (!(beam.strobeHz > 0)) return 1;
      if (still) return STILL;
      const every = Math.ceil(clock / Math.min(clock, beam.strobeHz) - 1e-9);
      return beat % every === 0 && phase < LIT ? 1 : DARK;
    };
  }
}
