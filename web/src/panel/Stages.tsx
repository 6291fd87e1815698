import { For } from 'solid-js';
import { STAGES, type Stage } from '../keys';
import { shortcuts } from '../mykeys';
import { over, setOver, setStage, setUpAt, sightAt, stage } from '../state';
import { capital } from '../words';
import { MachineFacts, PageHandles, PulseFacts } from './Foot';

/** The stage words in a row (laptop). */
export function StageRow() {
  return (
    <nav class="stage-row" aria-label="Stages">
      <For each={STAGES}>{(name) => <StageWord name={name} />}</For>
    </nav>
  );
}

/** The running head of the phone: the stage's word, which opens the others. */
export function RunningHead() {
  return (
    <button
      type="button"
      class="running-head handle"
      aria-expanded={over() === 'stages'}
      onClick={() => setOver(over() === 'stages' ? null : 'stages')}
    >
      {over() === 'keys' ? 'Keys' : over() === 'history' ? 'History' : over() === 'music' ? 'Music' : over() === 'score' ? 'Track' : setUpAt() ? 'Set up' : sightAt() ? 'Sight in' : capital(stage())}
    </button>
  );
}

/** The stage words one under another, with the facts of the foot (phone). */
export function StageList() {
  return (
    <>
      <nav class="stage-list" aria-label="Stages">
        <For each={STAGES}>{(name) => <StageWord name={name} />}</For>
      </nav>
      <div class="stage-facts fact">
        <PulseFacts />
        <MachineFacts />
        <PageHandles />
      </div>
    </>
  );
}

function StageWord(props: { name: Stage }) {
  return (
    <a
      href={`#${props.name}`}
      class="stage-word"
      aria-keyshortcuts={shortcuts(`stage_${props.name}`)}
      aria-current={stage() === props.name ? 'page' : undefined}
      onClick={(event) => {
        if (event.ctrlKey || event.metaKey || event.shiftKey) return;
        event.preventDefault();
        setStage(props.name);
      }}
    >
      {capital(props.name)}
    </a>
  );
}
