// Tells the mock's looks, chases and cues as the machine would, each word with the field that it tells.
import type { PartField, Value } from '../src/change.gen';
import type { StepView, Word } from '../src/wire.gen';
import { COLOURS } from '../src/words';
import type { Shown, Values } from './maker';

const KELVINS: Record<string, string> = { '2700 K': '#ffa757', '3000 K': '#ffb56e', '3200 K': '#ffbb7b', '4000 K': '#ffd1a3', '5600 K': '#fff0e9' };

export const w = (text: string, of: string | null = null, colour: string | null = null): Word => ({ text, colour, of });

export function hexOf(colour: string, shown: Shown): string {
  const swatch = shown.swatches.find((one) => one.name === colour);
  if (swatch) return swatch.hex;
  if (/^#[0-9a-f]{6}$/i.test(colour)) return colour;
  return KELVINS[colour] ?? COLOURS.find((one) => one.word === colour || one.write === colour)?.hex ?? '#ffe0c0';
}

export const colourWord = (colour: string) => COLOURS.find((one) => one.write === colour)?.word ?? colour;

export function lightsOf(who: Value, shown: Shown): number[] {
  if (who === 'all') return shown.units.map((unit) => unit.number);
  if (typeof who === 'number') return [who];
  if (Array.isArray(who)) return who.map(Number);
  const group = shown.groups.find((one) => one.name === who);
  if (group) return group.units;
  return String(who).split(',').flatMap((piece) => {
    const [from, to] = piece.split('-').map(Number);
    return Array.from({ length: (to ?? from ?? 0) - (from ?? 0) + 1 }, (_, i) => (from ?? 0) + i);
  });
}

const and = (items: readonly (string | number)[]) => (items.length < 2 ? items.join('') : `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`);
const point = (at: Value): string => (Array.isArray(at) ? `the floor at ${at.map((n) => Number(n).toFixed(1)).join(', ')} m` : `the ${String(at)}`);
const big = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

export function tellPart(part: Values<PartField>, lights: readonly number[], hexes: readonly string[], shown: Shown): Word[] {
  const words: Word[] = [];
  const who = part.who === 'all' ? 'All lights' : typeof part.who === 'string' && shown.groups.some((g) => g.name === part.who) ? big(part.who) : `${lights.length === 1 ? 'Light' : 'Lights'} ${and(lights)}`;
  words.push(w(who, 'who'));
  if (part.aim !== undefined) {
    const line = typeof part.aim === 'object' && !Array.isArray(part.aim);
    const to = line ? (part.aim as { [key: string]: Value }) : undefined;
    words.push(w(to ? ' from ' : ' on '), w(to ? `${point(to['from'] ?? '')} to ${point(to['to'] ?? '')}` : point(part.aim), 'aim'));
  }
  if (part.figure !== undefined) words.push(w(', running '), w(`the ${String(part.figure)}`, 'figure'));
  const colours = part.colour === undefined ? [] : Array.isArray(part.colour) ? part.colour : [part.colour];
  words.push(w(', '));
  if (colours.length === 0) words.push(w('their own white', 'colour'));
  colours.forEach((colour, i) => {
    if (i > 0) words.push(w(part.colour_spread && part.colour_spread !== 'even' ? ' to ' : i === colours.length - 1 ? ' and ' : ', '));
    words.push(w(colourWord(String(colour)), 'colour', hexes[i] ?? null));
  });
  words.push(w(', '), w(`${level(part.level)}${part.level_to !== undefined ? ` to ${level(part.level_to)}` : ''}`, 'level'));
  if (part.level_spread !== undefined && part.level_spread !== 'even') words.push(w(` ${String(part.level_spread)}`));
  if (part.strobe !== undefined) words.push(w(', flashing '), w(String(part.strobe), 'strobe'));
  if (part.gobo !== undefined) words.push(w(', pattern '), w(String(part.gobo), 'gobo'));
  words.push(w('.'));
  return words;
}

const level = (value: Value | undefined) => (value === undefined ? 'full' : typeof value === 'number' ? `${Math.round(value * 100)} %` : String(value));

export function tellChase(name: string, order: string, rounds: number | null, each: StepView[], time: string | null, fade: string | null): Word[] {
  const words = [w(`${name}: `), w(`${each.length} ${each.length === 1 ? 'step' : 'steps'}, one every `), w(each.some((step) => step.time) ? 'its own time' : (time ?? '1 beat'), 'step_time'), w(', '), w(fade ? `fades of ${fade}` : 'no fade', 'step_fade'), w(', ')];
  const said: Record<string, string> = { forward: 'forwards', backward: 'backwards', 'to and fro': 'to and fro', random: 'in any order' };
  words.push(w(said[order] ?? order, 'order'), w(', '), w(rounds === null ? 'until stopped' : rounds === 1 ? 'once' : `${rounds} times round`, 'rounds'), w('.'));
  return words;
}

export function tellCue(cue: { look: string | null; chases: string[] | null; fade: string | null; follow: string | null; tempo: number | null }): Word[] {
  const words: Word[] = [];
  const stop = () => words.length > 0 && words.push(w('; '));
  if (cue.look) words.push(w(cue.look, 'look'), w(' '), w(cue.fade ? `over ${cue.fade}` : 'at once', 'fade'));
  if (cue.chases) {
    stop();
    words.push(w(cue.chases.length ? `${and(cue.chases)} ${cue.chases.length === 1 ? 'runs' : 'run'}` : 'chases stop', 'chases'));
  }
  if (cue.tempo !== null) {
    stop();
    words.push(w('tempo '), w(`${cue.tempo} beats a minute`, 'tempo'));
  }
  if (cue.follow) {
    stop();
    words.push(w('the next follows '), w(`${cue.follow} later`, 'follow'));
  }
  if (words.length === 0) words.push(w('nothing changes'));
  words.push(w('.'));
  const first = words[0];
  if (first) first.text = big(first.text);
  return words;
}
