import { Show } from 'solid-js';
import { folded } from '../../fold';
import { canMake, choosing, redo, said, setChoosing, undo } from '../../making';
import { shortcuts } from '../../mykeys';
import { over, scene, setOver, stage, up } from '../../state';

/** Undo and Redo, two words; what each would do is told with it. A third leads to all that was done. */
export function UndoRedo() {
  const edits = () => scene()?.edits;
  // Under a thumb in the dark there is nothing that changes the show.
  const running = () => folded() && !choosing() && over() !== 'score' && (stage() === 'tonight' || stage() === 'room');
  return (
    <>
      <Show when={!running() && canMake() && edits()}>
        {(edits) => (
          <div class="undo-row" role="group" aria-label="What was done">
            <Word word="Undo" what={edits().undo} press={undo} />
            <Word word="Redo" what={edits().redo} press={redo} />
            <button type="button" class="handle undo" aria-expanded={over() === 'history'} onClick={() => setOver(over() === 'history' ? null : 'history')}>
              History
            </button>
          </div>
        )}
      </Show>
      <PadsWord />
    </>
  );
}

/** The word that starts choosing is at the top, away from the thumb. */
function PadsWord() {
  const some = () => (scene()?.looks.length ?? 0) + (scene()?.chases.length ?? 0) > 0;
  return (
    <Show when={canMake() && stage() === 'tonight' && over() !== 'score' && !choosing() && some()}>
      <button type="button" class="handle undo pads-word" onClick={() => setChoosing(true)}>
        Choose pads
      </button>
    </Show>
  );
}

function Word(props: { word: string; what: string | null; press: () => void }) {
  const says = () => (props.what === null ? `${props.word}: nothing to ${props.word.toLowerCase()}` : `${props.word}: ${props.what}`);
  return (
    <button type="button" class="handle undo" aria-keyshortcuts={shortcuts(props.word.toLowerCase())} aria-disabled={props.what === null || !up()} aria-label={says()} title={says()} onClick={() => props.press()}>
      {props.word}
    </button>
  );
}

/** What a change did, or why it was refused: for some seconds, and aloud without haste. */
export function SaidLine() {
  return (
    <div class="said" classList={{ shown: said() !== undefined, wrong: said()?.wrong, running: stage() === 'tonight' || stage() === 'room' }}>
      <span role="status" aria-live="polite">
        {said()?.says ?? ''}
      </span>{' '}
      <Show when={said()?.made && scene()?.edits.undo}>
        <button type="button" class="handle inline" aria-label={`Undo: ${scene()?.edits.undo}`} onClick={() => undo()}>
          Undo
        </button>
      </Show>
    </div>
  );
}
