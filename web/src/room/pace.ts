/** Frames up to this cost may follow one another at once. */
const CHEAP_MS = 21;
/** No picture waits longer than this for its next frame. */
const LONGEST_MS = 400;
/** A longer gap is a hidden page or the first frame's shaders, not a slow frame. */
const GAP_MS = 1500;

/**
 * Leaves the page at least as much time as the picture takes from it. Drawing without a graphics card holds up the
 * page, between the end of a frame's commands and the next callback: after a frame that held it up for long the page
 * is left alone for as long again, and for a third of the time that the processor drew beside it.
 */
export class Pace {
  private began: number | null = null;
  private held = 0;
  private until = 0;
  private counts = true;
  private recent: number[] = [];

  /** Call first in each callback, with milliseconds of any clock; answers how long to wait, 0 when a frame may begin. */
  wait(now: number): number {
    if (this.began !== null) {
      const cost = now - this.began;
      const page = now - this.held;
      if (cost > CHEAP_MS) this.until = now + Math.min(page + (cost - page) / 3, LONGEST_MS);
      if (this.counts && cost < GAP_MS) this.recent.push(cost);
      if (this.recent.length > 12) this.recent.shift();
      this.began = null;
    }
    return Math.max(0, this.until - now);
  }

  /** A frame begins now; one that does not count, being of another kind, is not in `cost`. */
  begin(now: number, counts = true): void {
    this.began = this.held = now;
    this.counts = counts;
  }

  /** The card is done beside the page; from now on the frame holds the page up. */
  hold(now: number): void {
    this.held = now;
  }

  /** What the last twelve frames cost in the middle, milliseconds; unknown until there are so many. */
  cost(): number | null {
    if (this.recent.length < 12) return null;
    return [...this.recent].sort((a, b) => a - b)[6] ?? null;
  }

  /** Begins to measure anew: the frames are other frames now. */
  forget(): void {
    this.recent = [];
  }
}
