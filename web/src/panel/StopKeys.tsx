import { blackout, stillness, stopStrobe } from '../act';
import { shortcuts } from '../mykeys';
import { now, up } from '../state';

/** The three pills, in the same place in every view; nothing else has their shape. */
export function StopKeys() {
  return (
    <div class="stops" role="group" aria-label="Stop">
      <Pill word="Stillness" action="stillness" on={now.stillness} press={stillness} />
      <Pill word="No strobe" action="strobe" on={now.strobe_stopped} press={stopStrobe} />
      <Pill word="Blackout" action="blackout" on={now.blackout} press={blackout} />
    </div>
  );
}

function Pill(props: { word: string; action: string; on: boolean; press: () => void }) {
  return (
    <button type="button" class="pill" aria-keyshortcuts={shortcuts(props.action)} aria-pressed={props.on} aria-disabled={!up()} onClick={() => props.press()}>
      {props.word}
      {props.on ? ', on' : ''}
    </button>
  );
}
