import { Show } from 'solid-js';
import { folded } from '../fold';
import { now, scene } from '../state';
import { capital, clauses, seconds } from '../words';
import { Sentence } from './Sentence';

/** Outside Go a longer sentence is cut at a clause, so that Go stays in sight; inside, the style sheet cuts lines. */
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
            <p class="saying small told">
              <Sentence words={props.numbered ? next().words : clauses(next().words, folded() ? MOST_LETTERS_FOLDED : MOST_LETTERS)} />{' '}
              <Show when={next().follow_s !== null}>
                <span class="soft">The one after follows by itself in {seconds(next().follow_s ?? 0)}. </span>
              </Show>
              <Show when={!props.numbered}>
                <Note text={next().note} />
              </Show>
            </p>
            <Show when={props.numbered && next().note}>
              <p class="small note">
                <Note text={next().note} />
              </p>
            </Show>
          </>
        )}
      </Show>
    </div>
  );
}

/** What the person wrote beside the cue. */
function Note(props: { text: string }) {
  return (
    <Show when={props.text}>
      <em>{capital(props.text.replace(/\.$/, ''))}.</em>
    </Show>
  );
}
