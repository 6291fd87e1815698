import { Show } from 'solid-js';
import { folded } from '../fold';
import { now, scene } from '../state';
import { capital, clauses, seconds } from '../words';
import { Sentence } from './Sentence';

/** A longer sentence is cut at a clause: Go must stay in sight. The cue list has all of it. */
const MOST_LETTERS = 150;
const MOST_LETTERS_FOLDED = 100;

/** What Go will take: its name, and what will change. */
export function NextUp(props: { id: string; numbered?: boolean }) {
  const cue = () => (now.next_cue === null ? undefined : scene()?.cues[now.next_cue]);
  const empty = () =>
    scene()?.cues.length === 0 ? 'The evening is blank. What happens first?' : 'That was the last cue of the evening.';
  return (
    <div class="next" id={props.id}>
      <Show when={cue()} fallback={<p class="saying soft">{empty()}</p>}>
        {(next) => (
          <>
            <p class="label">
              Next<Show when={props.numbered}>, cue {next().number}</Show>
            </p>
            <h2 class="subtitle">{capital(next().name)}</h2>
            <p class="saying small">
              <Sentence words={clauses(next().words, folded() ? MOST_LETTERS_FOLDED : MOST_LETTERS)} />{' '}
              <Show when={next().follow_s !== null}>
                <span class="soft">The one after follows by itself in {seconds(next().follow_s ?? 0)}. </span>
              </Show>
              <Show when={next().note}>
                <em>{capital(next().note.replace(/\.$/, ''))}.</em>
              </Show>
            </p>
          </>
        )}
      </Show>
    </div>
  );
}
