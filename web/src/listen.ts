// Hears the keyboard and does what the keys mean; a controller's presses do the same.
import { back, blackout, go, letGo, nextMark, nudge, pickedMovers, stillness, stopStrobe, tap } from './act';
import { actionOf } from './bindings';
import { charting, openCharting } from './charts';
import { learning, setLearning } from './controller';
import { applies, command, Digits, type Command } from './keys';
import { earlier, EARLIER_MS, holdOrFollow, pickOrLeave, thisIsOne, timesTempo } from './music';
import { bound } from './mykeys';
import { openScore, playing, playOrPause, score, stepOutOfScore } from './score';
import { begin, canMake, moveOpen, redo, stepBack, undo } from './making';
import { enter, nextMarkInRoom, nudgeSight, openLight, PACE_MS, panel, step, stepOut, toNextLight, undoSight } from './sight';
import { nextWay } from './room/ways';
import {
  held, letters, now, openWord, over, pick, picked, setOpenWord, setOver, setSetUp, setStage, setUpAt, sightAt, stage, unitOf,
} from './state';

/** Starts hearing; the answer ends it. */
export function listen(): () => void {
  const digits = new Digits();
  let nudgedAt = -Infinity;

  const onKey = (event: KeyboardEvent) => {
    if (event.defaultPrevented || event.isComposing) return;
    const target = event.target instanceof HTMLElement ? event.target : document.body;
    const meant = command(event, {
      stage: stage(),
      typing: target.matches('input, textarea, select'),
      onControl: target.matches('button, a, [role=slider], [role=button]'),
      aiming: pickedMovers().length > 0 && !target.matches('[role=slider]'),
      letters: letters(),
      sighting: sighting(),
    }, bound());
    if (!meant) return;
    if (meant.do !== 'escape') event.preventDefault();
    else if (target.matches('input, textarea, select')) return target.blur();
    if (meant.do === 'sight_nudge') {
      const by = meant.step ?? step();
      // A held key repeats faster than a motor can be watched.
      if (event.repeat && event.timeStamp - nudgedAt < PACE_MS[by]) return;
      nudgedAt = event.timeStamp;
      return nudgeSight(meant.x, -meant.y, by);
    }
    obey(meant, digits, event.timeStamp);
  };

  // A control that was touched keeps no focus, so that Space stays Go for a hand on mouse or glass.
  const onClick = (event: MouseEvent) => {
    const active = document.activeElement;
    if (event.detail > 0 && active instanceof HTMLElement && active.matches('button, a, [role=button]')) active.blur();
  };

  addEventListener('keydown', onKey);
  addEventListener('click', onClick);
  return () => {
    removeEventListener('keydown', onKey);
    removeEventListener('click', onClick);
  };
}

function sighting(): 'open' | 'aim' | null {
  return !sightAt() || over() ? null : sightAt()?.unit !== null && panel() === 'aim' ? 'aim' : 'open';
}

/** Does an action that something else than a key asks for, where it means anything. */
export function doAction(id: string): void {
  const action = actionOf(id);
  if (!action || action.command.do === 'sight_nudge' || !applies(action, { stage: stage(), sighting: sighting() })) return;
  obey(action.command, new Digits(), performance.now());
}

function obey(meant: Exclude<Command, { do: 'sight_nudge' }>, digits: Digits, at: number): void {
  switch (meant.do) {
    case 'go':
      return void (now.next_cue !== null && go());
    case 'back':
      return void back();
    case 'escape':
      return escape();
    case 'tap':
      return void tap();
    case 'half':
      return void timesTempo(0.5);
    case 'double':
      return void timesTempo(2);
    case 'music':
      return obeyMusic(meant.what);
    case 'stillness':
      return void stillness();
    case 'strobe':
      return void stopStrobe();
    case 'blackout':
      return void blackout();
    case 'mark':
      return sightAt()?.unit ? nextMarkInRoom() : nextMark();
    case 'way':
      return void (sightAt() || setUpAt() ? undefined : nextWay());
    case 'keys':
      return void setOver(over() === 'keys' ? null : 'keys');
    case 'stage':
      return setStage(meant.stage);
    case 'nudge':
      return nudge(meant.x, meant.y);
    case 'undo':
      return void undo();
    case 'redo':
      return void redo();
    case 'keep':
      return canMake() && !sightAt() && !setUpAt() ? begin('keep') : undefined;
    case 'earlier':
      return moveOpen(-1);
    case 'later':
      return moveOpen(1);
    case 'sight':
      return meant.what === 'on' ? enter() : meant.what === 'undo' ? undoSight() : toNextLight();
    case 'digit': {
      const number = digits.push(meant.digit, at, (unit) => unitOf(unit) !== undefined);
      if (number === null) return;
      if (!sightAt()) pick(number);
      else if (unitOf(number)?.sighting) openLight(number);
    }
  }
}

function obeyMusic(what: Extract<Command, { do: 'music' }>['what']): void {
  switch (what) {
    case 'hold':
      return void holdOrFollow();
    case 'one':
      return void thisIsOne();
    case 'earlier':
      return void earlier(EARLIER_MS);
    case 'later':
      return void earlier(-EARLIER_MS);
    case 'pick':
      return void pickOrLeave();
    case 'play':
      if (!score()) return;
      if (over() !== 'score' && !playing()) openScore(null);
      return playOrPause();
    case 'panel':
      return void setOver(over() === 'music' ? null : 'music');
  }
}

/** From the inside out: what covers the stage, the open word, what the hand holds, the choice itself. */
function escape(): void {
  const mine = picked().filter((number) => held().includes(number));
  if (learning() !== null) setLearning(null);
  else if (over() === 'score' && stepOutOfScore()) return;
  else if (over()) setOver(null);
  else if (setUpAt()) setSetUp(null);
  else if (sightAt()) stepOut();
  else if (charting()) openCharting(null);
  else if (openWord()) setOpenWord(null);
  else if (stepBack()) return;
  else if (mine.length > 0) letGo(mine);
  else if (picked().length > 0) pick(null);
  else if (held().length > 0) letGo();
}
