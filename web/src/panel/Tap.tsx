import { tap } from '../act';
import { shortcuts } from '../mykeys';
import { now, up } from '../state';
import { tempo } from '../words';
import { Beats } from './Beats';

/** The tempo; the whole of it is the place to tap. Taps count when the finger comes down, not when it leaves. */
export function Tap() {
  return (
    <button
      type="button"
      class="tap"
      aria-label={`${tempo(now.tempo_bpm)} a minute, tap`}
      aria-keyshortcuts={shortcuts('tap')}
      aria-disabled={!up()}
      onPointerDown={(event) => event.button === 0 && tap()}
      onClick={(event) => event.detail === 0 && tap()}
    >
      <span class="line-words">
        <span class="figure">{tempo(now.tempo_bpm)}</span> <span class="fact">a minute, tap</span>
      </span>
      <Beats />
    </button>
  );
}
