import { For, Show } from 'solid-js';
import { scene } from '../state';
import { FindKind } from './Kinds';
import { Choice, Row } from './make/Opens';

/** The kinds of light that the show has, the most usual others, and one that was found; then a field to find any. */
export function KindRows(props: { chosen: string | undefined; press: (name: string) => void }) {
  const all = () => scene()?.profiles ?? [];
  const rows = () => [
    { word: 'kind, of this show', kinds: all().filter((kind) => kind.own) },
    { word: 'kind, from the library', kinds: all().filter((kind) => !kind.own && (kind.usual || kind.name === props.chosen)) },
  ];
  return (
    <>
      <For each={rows()}>
        {(row) => (
          <Show when={row.kinds.length > 0}>
            <Row word={row.word}>
              <For each={row.kinds}>
                {(kind) => (
                  <Choice on={props.chosen === kind.name} press={() => props.press(kind.name)}>
                    {kind.name}
                  </Choice>
                )}
              </For>
            </Row>
          </Show>
        )}
      </For>
      <FindKind kinds={all()} chosen={props.chosen} press={props.press} />
    </>
  );
}
