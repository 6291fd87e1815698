import { createSignal, For, Show } from 'solid-js';
import { change, closeField, draft, field, setDraft, setRefusal } from '../../making';
import { valueOf } from '../../rigging';
import { Choice, Editor, Row } from '../make/Opens';
import { Typed } from '../make/Typed';

/** A circuit more: what its breaker is called, and what it holds. */
export function AddCircuit() {
  const breaker = () => draft('new circuit breaker')?.trim() || '16 A';
  const add = (name: string, answer: (done: boolean) => void) =>
    change({ type: 'circuit_add', name: name.trim(), values: { breaker: breaker() } }, (done) => {
      answer(done);
      if (!done) return;
      setDraft('new circuit name', undefined);
      setDraft('new circuit breaker', undefined);
      closeField();
    });
  return (
    <Editor label="A circuit more" class="add-circuit">
      <Typed key="new circuit breaker" label="breaker" value="16 A" most={12} take={(text, answer) => (setDraft('new circuit breaker', text), answer(false))} />
      <Typed key="new circuit name" label="called, with Enter" value="" placeholder="stage left" most={60} first enter take={add} />
      <span class="fact">A socket is not a circuit: ask which sockets share a breaker, and what else hangs on it.</span>
    </Editor>
  );
}

const KINDS = ['bar', 'truss', 'stand', 'floor'] as const;
type Kind = (typeof KINDS)[number];
const [kind, setKind] = createSignal<Kind>('bar');
const USUAL: Record<Kind, { at: string; length: string }> = {
  bar: { at: '0, -1, 3.6', length: '6 m' },
  truss: { at: '0, 1, 4', length: '6 m' },
  stand: { at: '-4, -1, 2.4', length: '1 m' },
  floor: { at: '0, 1, 0', length: '4 m' },
};

/** A bar, truss, stand or stretch of floor more: where, how long, and what it is called. */
export function AddPlace() {
  const typed = (of: 'at' | 'length') => draft(`new place ${of}`)?.trim() || USUAL[kind()][of];
  const add = (name: string, answer: (done: boolean) => void) => {
    const middle = valueOf('middle', typed('at'));
    if (middle === undefined || middle === null) {
      setRefusal({ field: field(), says: 'Write its middle as right, back, up in metres, such as 0, -1, 3.6.' });
      return answer(false);
    }
    change({ type: 'place_add', name: name.trim(), values: { kind: kind(), middle, length: typed('length') } }, (done) => {
      answer(done);
      if (!done) return;
      for (const of of ['name', 'at', 'length']) setDraft(`new place ${of}`, undefined);
      closeField();
    });
  };
  return (
    <Editor label="A hanging place more" class="add-place">
      <Row word="it is a">
        <For each={KINDS}>
          {(one) => (
            <Choice on={kind() === one} press={() => setKind(one)}>
              {one}
            </Choice>
          )}
        </For>
      </Row>
      <Show when={kind()} keyed>
        {(one) => (
          <>
            <Typed key="new place at" label="its middle: right, back, up in metres" value={USUAL[one].at} most={30} take={(text, answer) => (setDraft('new place at', text), answer(false))} />
            <Typed key="new place length" label="end to end" value={USUAL[one].length} most={12} take={(text, answer) => (setDraft('new place length', text), answer(false))} />
          </>
        )}
      </Show>
      <Typed key="new place name" label="called, with Enter" value="" placeholder="back bar" most={60} enter take={add} />
      <span class="fact">What it may carry its owner or maker has written down, and nobody else: no limit, no load.</span>
    </Editor>
  );
}
