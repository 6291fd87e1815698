import { now } from '../state';
import { beatOfFour } from '../words';

/** The beat as a mark that travels along four strokes; with reduced motion, as words that stand. */
export function Beats() {
  return (
    <span class="beats">
      <span class="beats-row" aria-hidden="true">
        <i />
        <i />
        <i />
        <i />
        <b style={{ left: `${((((now.beat % 4) + 4) % 4) / 4) * 100}%` }} />
      </span>
      <span class="beats-words fact">beat {beatOfFour(now.beat)} of 4</span>
    </span>
  );
}
