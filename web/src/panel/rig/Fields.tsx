import { createMemo, For, Index, Show } from 'solid-js';
import type { Value } from '../../change.gen';
import { canMake, closeField, field, lasting, setRefusal } from '../../making';
import { valueOf } from '../../rigging';
import type { FieldView } from '../../wire.gen';
import { capital, keepUnits } from '../../words';
import { Choice, Editor, Opens, Row } from '../make/Opens';
import { Typed } from '../make/Typed';

type Answer = (done: boolean) => void;
type Set = (field: string, value: Value | null, answer?: Answer) => void;

/** What the show says of a thing as a sentence, each word of which opens what says it otherwise. */
export function Fields(props: { of: string; fields: readonly FieldView[]; set: Set }) {
  const key = (name: string) => `${props.of}: ${name}`;
  const opened = createMemo(() => props.fields.find((one) => field() === key(one.field))?.field);
  const words = (one: FieldView, at: number) => keepUnits(at === 0 ? capital(one.words) : one.words);
  return (
    <>
      <p class="saying small">
        <Index each={props.fields}>
          {(one, at) => (
            <>
              {at === 0 ? '' : ', '}
              <Show when={canMake()} fallback={words(one(), at)}>
                <Opens field={key(one().field)}>{words(one(), at)}</Opens>
              </Show>
            </>
          )}
        </Index>
        .
      </p>
      <Show when={canMake() && opened()} keyed>
        {(name) => <FieldEditor key={key(name)} find={() => props.fields.find((one) => one.field === name)} set={props.set} />}
      </Show>
    </>
  );
}

function FieldEditor(props: { key: string; find: () => FieldView | undefined; set: Set }) {
  const one = lasting(() => props.find());
  const take = (text: string, answer: Answer) => {
    const value = valueOf(one().field, text);
    if (value !== undefined) return props.set(one().field, value, answer);
    setRefusal({ field: field(), says: `Write ${one().ask}.` });
    answer(false);
  };
  const choose = (value: string) => value !== one().value && props.set(one().field, valueOf(one().field, value) ?? null, (done) => done && closeField());
  return (
    <Editor label={capital(one().ask)} class="field-editor">
      <Show
        when={one().choices.length > 0}
        fallback={<Typed key={props.key} label={one().ask} most={60} empty first shuts value={one().value} take={take} />}
      >
        <Row word={one().ask}>
          <For each={one().choices}>
            {(choice) => (
              <Choice on={choice.value === one().value} press={() => choose(choice.value)}>
                {choice.words}
              </Choice>
            )}
          </For>
        </Row>
      </Show>
    </Editor>
  );
}
