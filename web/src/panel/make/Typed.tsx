import { createSignal, createUniqueId, onMount, Show } from 'solid-js';
import { closeField, draft, refusal, setDraft, setRefusal } from '../../making';
import { takingScene, up } from '../../state';

/**
 * A text that is typed. It goes with Enter or when the field is left; until the machine has taken it, it stays as it was
 * typed, whatever else changes; why it was refused stands under it.
 */
export function Typed(props: {
  /** Under this the typed text is kept. */
  key: string;
  label: string;
  value: string;
  take: (text: string, answer: (done: boolean) => void) => void;
  placeholder?: string;
  after?: string;
  most?: number;
  wide?: boolean;
  figures?: boolean;
  /** Takes the focus when it comes. */
  first?: boolean;
  /** Shuts the open word with Enter. */
  shuts?: boolean;
  /** The label is only spoken. */
  silent?: boolean;
  /** An empty text is taken too. */
  empty?: boolean;
  /** It goes with Enter alone, as it is. */
  enter?: boolean;
}) {
  let input!: HTMLInputElement;
  let asked: string | undefined;
  const [why, setWhy] = createSignal<string>();
  const whyId = createUniqueId();
  const refused = () => {
    setWhy(refusal()?.says);
    setRefusal(null);
  };
  onMount(() => {
    if (!props.first) return;
    input.focus({ preventScroll: true });
    input.select();
  });
  const commit = (shut: boolean) => {
    const text = draft(props.key)?.trim();
    const key = props.key;
    if (props.enter) return shut ? props.take(text ?? '', (done) => done || refused()) : undefined;
    if (text === undefined || text === props.value || (text === '' && !props.empty)) {
      if (text === props.value || text === '') setDraft(key, undefined);
      if (shut && props.shuts) closeField();
      return;
    }
    if (asked === text) return;
    asked = text;
    setWhy(undefined);
    props.take(text, (done) => {
      asked = undefined;
      if (!done) return refused();
      if (draft(key)?.trim() === text) setDraft(key, undefined);
      if (shut && props.shuts) closeField();
    });
  };
  return (
    <label class="typed" classList={{ wide: props.wide }}>
      <Show when={!props.silent}>
        <span class="fact">{props.label}</span>
      </Show>
      <input
        ref={input}
        type="text"
        classList={{ figures: props.figures }}
        inputmode={props.figures ? 'decimal' : 'text'}
        aria-label={props.silent ? props.label : undefined}
        aria-invalid={why() ? true : undefined}
        aria-describedby={why() ? whyId : undefined}
        maxlength={props.most ?? 60}
        autocomplete="off"
        spellcheck={false}
        enterkeyhint="done"
        placeholder={props.placeholder}
        value={draft(props.key) ?? props.value}
        onInput={(event) => {
          setWhy(undefined);
          setDraft(props.key, event.currentTarget.value);
        }}
        onBlur={() => up() && !takingScene() && input.isConnected && commit(false)}
        onKeyDown={(event) => {
          if (event.key === 'Enter' && !event.isComposing) {
            event.preventDefault();
            commit(true);
          }
          if (event.key === 'Escape') {
            event.preventDefault();
            setDraft(props.key, undefined);
            setWhy(undefined);
            closeField();
          }
        }}
      />
      <Show when={props.after}>
        <span class="fact">{props.after}</span>
      </Show>
      <Show when={why()}>
        <span class="why" id={whyId}>
          {why()}
        </span>
      </Show>
    </label>
  );
}
