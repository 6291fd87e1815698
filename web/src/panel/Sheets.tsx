import { createSignal, For } from 'solid-js';
import { saveFile } from '../save';

/** Sheets that are wanted alone, and all of them first. */
const SHEETS = [
  { words: 'all sheets', only: '' },
  { words: 'rig plan', only: 'plan,elevation' },
  { words: 'patch and power', only: 'patch,power,data,weight' },
  { words: 'cables and packing', only: 'cables,packing' },
  { words: 'cue sheet', only: 'cues' },
  { words: 'setup cards', only: 'cards' },
  { words: 'labels', only: 'labels' },
  { words: 'cautions', only: 'cautions' },
] as const;

/** Drawings and tables as files of their own. */
const FILES = [
  { words: 'rig plan', file: 'plan.svg' },
  { words: 'side elevation', file: 'elevation.svg' },
  { words: 'patch', file: 'patch.csv' },
  { words: 'power', file: 'power.csv' },
  { words: 'data', file: 'data.csv' },
  { words: 'weight', file: 'weight.csv' },
  { words: 'cables', file: 'cables.csv' },
  { words: 'cues', file: 'cues.csv' },
] as const;

const PAPERS = [
  { words: 'A4', ask: 'paper=a4' },
  { words: 'Letter', ask: 'paper=letter' },
] as const;

/** The rig and the show on paper, to print: which sheets, on what paper, in what print. */
export function Sheets() {
  const [paper, setPaper] = createSignal<(typeof PAPERS)[number]>(PAPERS[0]);
  const [large, setLarge] = createSignal(false);
  const address = (only: string) =>
    `sheets.pdf?${paper().ask}${large() ? '&large' : ''}${only === '' ? '' : `&only=${only}`}`;
  return (
    <section class="sheets" aria-label="On paper">
      <h2 class="section">On paper</h2>
      <div class="lux-choices" role="group" aria-label="Paper">
        <For each={PAPERS}>
          {(one) => (
            <button type="button" class="choice" aria-pressed={paper() === one} onClick={() => setPaper(one)}>
              {one.words}
            </button>
          )}
        </For>
        <button type="button" class="choice" aria-pressed={large()} onClick={() => setLarge(!large())}>
          large print
        </button>
      </div>
      <ul class="plain sheet-list">
        <For each={SHEETS}>
          {(sheet) => (
            <li>
              <a
                class="handle inline"
                href={address(sheet.only)}
                onClick={(event) => void saveFile(event, address(sheet.only), 'sheets.pdf')}
              >
                {sheet.words}
              </a>
            </li>
          )}
        </For>
      </ul>
      <p class="fact">Drawings as SVG, tables as CSV:</p>
      <ul class="plain sheet-list">
        <For each={FILES}>
          {(one) => {
            const from = () => `sheets/${one.file}?${paper().ask}${large() ? '&large' : ''}`;
            return (
              <li>
                <a class="handle inline" href={from()} onClick={(event) => void saveFile(event, from(), one.file)}>
                  {one.words}
                </a>
              </li>
            );
          }}
        </For>
      </ul>
    </section>
  );
}
