import { setTempo } from '../act';
import { timesTempo } from '../music';
import { now, up } from '../state';
import { tempo } from '../words';
import { MusicHandle } from './Music';
import { Tap } from './Tap';

/** The tempo with everything that changes it: tap, half, double, and the figure typed. */
export function Tempo() {
  const typed = (event: Event & { currentTarget: HTMLInputElement }) => {
    const bpm = event.currentTarget.valueAsNumber;
    if (Number.isFinite(bpm) && event.currentTarget.validity.valid) setTempo(bpm);
    event.currentTarget.value = tempo(now.tempo_bpm);
  };
  return (
    <section class="tempo" aria-label="Tempo">
      <Tap />
      <div class="tempo-row">
        <button type="button" class="handle" aria-disabled={!up()} onClick={() => timesTempo(0.5)}>
          Half
        </button>
        <button type="button" class="handle" aria-disabled={!up()} onClick={() => timesTempo(2)}>
          Double
        </button>
        <MusicHandle />
        <label class="typed">
          <span class="fact">beats a minute</span>
          <input type="number" min="10" max="400" step="any" value={tempo(now.tempo_bpm)} onChange={typed} />
        </label>
      </div>
    </section>
  );
}
