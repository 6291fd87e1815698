import { change, closeField, draft, newCueLook, openWhenCome, setDraft, setNewCueLook } from '../../making';
import { lookOf, up } from '../../state';
import { LookChoices } from './LookChoices';
import { Choice, Editor } from './Opens';
import { Typed } from './Typed';

/** A new cue, behind that one: what happens, and the look that it puts on. The rest is said once it is there. */
export function NewCue(props: { after: string | null }) {
  const look = () => (newCueLook() && lookOf(newCueLook()!) ? newCueLook() : null);
  const add = (answer?: (done: boolean) => void) => {
    const name = draft('new cue name')?.trim() || look() || 'New cue';
    const on = look();
    change({ type: 'cue_add', after: props.after, values: on ? { name, look: on, fade: '3 s' } : { name } }, (done) => {
      answer?.(done);
      if (!done) return;
      setDraft('new cue name', undefined);
      setNewCueLook(null);
      closeField();
      openWhenCome('cue', name);
    });
  };
  return (
    <Editor label="New cue" class="new-editor">
      <Typed key="new cue name" label="what happens" value="" placeholder="First dance" wide first enter take={(_, answer) => add(answer)} />
      <p class="fact">It puts on</p>
      <Choice on={look() === null} press={() => setNewCueLook(null)}>
        no other look
      </Choice>
      <LookChoices chosen={(name) => look() === name} press={setNewCueLook} />
      <button type="button" class="key" aria-disabled={!up()} onClick={() => add()}>
        Add it
      </button>
    </Editor>
  );
}
