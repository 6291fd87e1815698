import { createEffect, createMemo, createSignal, For, on, Show } from 'solid-js';
import { askedLines, asked, busy, charting, kept, name, openCharting, openQuestions, questionOf, reading, setAsked, setName, setText, takeChart, takeFile, text, wrong } from '../../charts';
import { folded } from '../../fold';
import { begin } from '../../making';
import { scene, up } from '../../state';
import { Act } from '../make/Acts';
import { preselect } from '../rig/AddLights';
import { Asked, openWords, ReadingOf } from './Reading';

/** Height of a line of the text, pixels: the marks behind it count in these. */
const LINE_PX = 22;
const PAD_PX = 10;

/** A light that is in no library: its manual's table beside what is read of it. */
export function Chart() {
  const [shows, setShows] = createSignal<'text' | 'reading'>('text');
  const [refused, setRefusal] = createSignal('');
  const [taking, setTaking] = createSignal(false);
  const taken = () => scene()?.profiles.find((one) => one.name === name().trim());
  const replaces = () => kept() === name().trim() && taken() !== undefined;
  const can = () => up() && !taking() && name().trim() !== '' && reading().modes.length > 0;
  const missing = () => {
    if (reading().modes.length === 0) return 'Paste the table first.';
    if (name().trim() === '') return 'Say what this kind of light is called.';
    return '';
  };
  const take = async (replace: boolean) => {
    if (!can()) return void setRefusal(missing());
    setTaking(true);
    const kind = name().trim();
    const said = await takeChart(replace);
    setTaking(false);
    if (said.wrong) return void setRefusal(said.says);
    openCharting(null);
    if (replace) return;
    preselect(kind);
    begin('add lights');
  };
  createEffect(on([text, name], () => setRefusal(''), { defer: true }));
  return (
    <div class="chart" data-shows={shows()}>
      <p class="label">A light that is not in the list</p>
      <h1 class="title">{charting()?.view === 'chart' && kept() ? kept() : 'Its manual’s table'}</h1>
      <div class="chart-top">
        <label class="typed">
          <span class="fact">called</span>
          <input type="text" class="chart-name" maxlength="60" autocomplete="off" spellcheck={false} value={name()} onInput={(event) => setName(event.currentTarget.value)} />
        </label>
        <label class="chart-file handle">
          {busy() ? 'The file is read …' : 'From a file (text or PDF)'}
          <input
            type="file"
            class="unseen"
            accept=".txt,.csv,.md,text/plain,.pdf,application/pdf"
            onChange={(event) => {
              const file = event.currentTarget.files?.[0];
              if (file) void takeFile(file);
              event.currentTarget.value = '';
            }}
          />
        </label>
        <p class="fact chart-count" aria-live="polite">
          {reading().modes.length === 0 ? '' : `${reading().modes.length === 1 ? 'One mode' : `${reading().modes.length} modes`}; ${openWords(openQuestions().length)}.`}
        </p>
      </div>
      <div class="chart-views" role="group" aria-label="What is shown">
        <For each={['text', 'reading'] as const}>
          {(which) => (
            <button type="button" class="handle" classList={{ chosen: shows() === which }} aria-pressed={shows() === which} onClick={() => setShows(which)}>
              {which === 'text' ? 'Text' : 'Reading'}
            </button>
          )}
        </For>
      </div>
      <Show when={wrong()}>
        <p class="saying small bright">{wrong()}</p>
      </Show>
      <div class="chart-both">
        <Sheet />
        <ReadingOf />
        <Show when={folded() && shows() === 'text' && questionOf(asked())}>
          <Asked id={asked()!} />
        </Show>
      </div>
      <div class="chart-foot">
        <Show when={refused()}>
          <p class="why" role="alert">
            {refused()}
          </p>
        </Show>
        <div class="acts">
          <Show
            when={replaces()}
            fallback={
              <button type="button" class="key chart-take" aria-disabled={!can()} onClick={() => void take(false)}>
                Take it into this show
              </button>
            }
          >
            <button type="button" class="key chart-take" aria-disabled={!can()} onClick={() => void take(true)}>
              Take it in anew
            </button>
          </Show>
          <Act press={() => openCharting(null)}>Close</Act>
        </div>
        <p class="fact">
          <Show when={replaces()} fallback="Open questions do not hinder: they stay with the light, and can be answered later. Weight, power and beam are not in a chart.">
            Taking it in anew puts this reading in the place of what was changed channel by channel.
          </Show>{' '}
          A chart may be wrong: try the channels on the light itself before anybody stands under it.
        </p>
      </div>
    </div>
  );
}

/** The text with its marks: lines that raised a question, and those of the one that is looked at. */
function Sheet() {
  let box!: HTMLTextAreaElement;
  const [scrolled, setScrolled] = createSignal(0);
  const doubtful = createMemo(() => {
    const lines = new Map<number, { id: string; open: boolean }>();
    for (const question of reading().questions) {
      const open = question.answered == null;
      for (const line of question.lines) if (open || !lines.has(line)) lines.set(line, { id: question.id, open });
    }
    return lines;
  });
  const top = (line: number) => PAD_PX + (line - 1) * LINE_PX;
  createEffect(
    on(asked, () => {
      const first = askedLines()[0];
      if (first === undefined || document.activeElement === box) return;
      box.scrollTop = Math.max(0, top(first) - 3 * LINE_PX);
    }),
  );
  /** A line that is touched shows its question. */
  const touched = () => {
    const line = box.value.slice(0, box.selectionStart).split('\n').length;
    const question = doubtful().get(line);
    if (question && box.selectionStart === box.selectionEnd) setAsked(question.id);
  };
  return (
    <div class="chart-sheet">
      <div class="chart-marks" aria-hidden="true">
        <div style={{ transform: `translateY(${-scrolled()}px)` }}>
          <For each={[...doubtful()]}>
            {([line, question]) => <i classList={{ open: question.open, asked: askedLines().includes(line) }} style={{ top: `${top(line)}px` }} />}
          </For>
        </div>
      </div>
      <textarea
        ref={box}
        wrap="off"
        spellcheck={false}
        autocomplete="off"
        aria-label="The manual’s table"
        placeholder={'Paste the channel table of the manual here, such as\n\n4 Channel Mode\nCH1  000-255  Red (0-100%)\nCH2  000-255  Green (0-100%)\n…'}
        value={text()}
        onInput={(event) => setText(event.currentTarget.value)}
        onScroll={(event) => setScrolled(event.currentTarget.scrollTop)}
        onClick={touched}
      />
    </div>
  );
}
