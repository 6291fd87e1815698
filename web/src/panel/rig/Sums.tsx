import { For, Index, Show } from 'solid-js';
import { field } from '../../making';
import type { HowView, SumView } from '../../wire.gen';
import { capital } from '../../words';
import { Editor, Opens } from '../make/Opens';

/** Figures of the plan, each with what to mind; a figure opens to show how it was reached. */
export function Sums(props: { of: string; sums: readonly SumView[] }) {
  return (
    <ul class="plain sums">
      <Index each={props.sums}>
        {(sum) => {
          const key = () => `how ${props.of}, ${sum().what}`;
          return (
            <li class="sum">
              <p>
                <span class="sum-what">{capital(sum().what)}</span>{' '}
                <Show when={sum().how} fallback={<b>{sum().figure}</b>}>
                  <Opens field={key()} label={`${capital(sum().what)}, ${sum().figure}: how it was reached`}>
                    {sum().figure}
                  </Opens>
                </Show>
              </p>
              <Show when={field() === key() && sum().how}>{(how) => <How what={sum().what} how={how()} />}</Show>
              <Show when={sum().mind}>
                <p class="fact">{sum().mind}</p>
              </Show>
            </li>
          );
        }}
      </Index>
    </ul>
  );
}

/** What went in, the formula, and where it stands. */
export function How(props: { what: string; how: HowView }) {
  return (
    <Editor label={`How it was reached: ${props.what}`} class="how">
      <Show when={props.how.inputs.length > 0}>
        <table>
          <tbody>
            <For each={props.how.inputs}>
              {(input) => (
                <tr>
                  <th scope="row">{input.name}</th>
                  <td class="number">{input.value}</td>
                  <td class="soft">{input.origin}</td>
                </tr>
              )}
            </For>
          </tbody>
        </table>
      </Show>
      <p class="how-formula">{props.how.formula}</p>
      <p class="soft">{capital(props.how.source)}.</p>
    </Editor>
  );
}
