// The mock's show as it is made: changes, undo and redo, told well enough to see every editor at work.
import type { Change, PartField, Value } from '../src/change.gen';
import type { CueView, Moment, PartView, Scene, StepView, SwatchView } from '../src/wire.gen';
import { hang, NoLight, whereFree } from './hanger';
import { hexOf, lightsOf, tellChase, tellCue, tellPart } from './teller';

/** Values of a table. */
export type Values<F extends string> = { [field in F]?: Value };
type CueParts = Pick<CueView, 'look' | 'chases' | 'fade' | 'follow' | 'tempo'>;
type Part = Values<PartField> & { who: Value };
type Look = { name: string; fade: string | null; parts: Part[] };
type Chase = { name: string; order: string; swing: string | null; calm: boolean; at_each: string | null; rounds: number | null; fade: string | null; step_time: string | null; step_fade: string | null; each: StepView[] };
type Cue = CueParts & { number: string; name: string; note: string };
type Show = { looks: Look[]; chases: Chase[]; cues: Cue[]; tonight: string[] | null };
type Hung = { units: Scene['units']; groups: Scene['groups'] };
/** What telling needs. */
export type Shown = { units: Scene['units']; groups: Scene['groups']; swatches: SwatchView[] };

const SWATCHES: SwatchView[] = [
  { name: 'barn amber', colour: '#ff9f1c', hex: '#ff9f1c' },
  { name: 'dusk rose', colour: '#f0386b', hex: '#f0386b' },
  { name: 'plum', colour: '#7b2ff7', hex: '#7b2ff7' },
];
const FIGURES = [
  { name: 'slow wheel', says: 'a circle 2 m across, 0.8 m/s', values: { shape: 'circle', size: '2 m', speed: '0.8 m/s' }, used: 'in 2 looks' },
  { name: 'harvest sway', says: 'to and fro over 4 m, a round every 8 beats', values: { shape: 'line', size: '4 m', speed: '8 beats' }, used: '' },
];

/** A refusal, in words for the person. */
class No extends Error {}

export class Maker {
  #show: Show & Hung;
  readonly #past: { show: Show & Hung; says: string }[] = [];
  readonly #future: { show: Show & Hung; says: string }[] = [];
  readonly #base: Scene;

  constructor(base: Scene, empty: boolean) {
    this.#base = base;
    const made = empty ? { looks: [], chases: [], cues: [], tonight: null } : EVENING;
    this.#show = structuredClone({ ...made, units: base.units, groups: base.groups });
  }

  get looks() {
    return this.#show.looks;
  }

  get cues() {
    return this.#show.cues;
  }

  scene(): Scene {
    const units = this.#show.units.map((unit) => {
      const found = this.#base.units.find((one) => one.number === unit.number);
      return { ...unit, sighting: found ? found.sighting : null, groups: this.#show.groups.filter((group) => group.units.includes(unit.number)).map((group) => group.name) };
    });
    const shown: Shown = { units, groups: this.#show.groups, swatches: SWATCHES };
    const cap = (text: string) => text.charAt(0).toLowerCase() + text.slice(1);
    const undo = this.#past.at(-1);
    const redo = this.#future.at(-1);
    const looks = this.#show.looks.map((look) => {
      const parts = look.parts.map((part): PartView => {
        const asked = part.colour === undefined ? [] : Array.isArray(part.colour) ? part.colour : [part.colour];
        const lights = lightsOf(part.who, shown);
        return { values: part, lights, hexes: asked.map((one) => hexOf(String(one), shown)), gobos: lights.some((n) => n === 2 || n === 3) ? ['leaves', 'rings', 'dots'] : [] };
      });
      return { name: look.name, colours: [...new Set(parts.flatMap((part) => part.hexes))], words: parts.map((part) => tellPart(part.values, part.lights, part.hexes, shown)), paths: [], fade: look.fade, used: this.#used(look.name), parts };
    });
    const colour = (name: string) => looks.find((look) => look.name === name)?.colours[0] ?? '#8a8078';
    return structuredClone({
      ...this.#base,
      units,
      groups: this.#show.groups,
      free: whereFree(units),
      looks,
      chases: this.#show.chases.map((chase) => ({ ...chase, steps: chase.each.map((step) => step.look), colours: chase.each.map((step) => colour(step.look)), swing: chase.swing ? Number(chase.swing.replace(' %', '')) / 100 : 0.5, words: tellChase(chase.name, chase.order, chase.rounds, chase.each, chase.step_time, chase.step_fade), used: this.#used(chase.name) })),
      cues: this.#show.cues.map((cue) => ({ ...cue, words: tellCue(cue), fade_s: parseFloat(cue.fade ?? '0'), follow_s: cue.follow === null ? null : parseFloat(cue.follow) })),
      edits: { undo: undo ? cap(undo.says).replace(/\.$/, '') : null, redo: redo ? cap(redo.says).replace(/\.$/, '') : null, names: 0 },
      swatches: SWATCHES,
      figures: FIGURES,
      tonight: this.#show.tonight, moods: [[], [], []],
    });
  }

  #used(name: string): string {
    const chases = this.#show.chases.filter((chase) => chase.each.some((step) => step.look === name)).length;
    const cues = this.#show.cues.filter((cue) => cue.look === name || cue.chases?.includes(name)).length;
    const say = (n: number, noun: string) => (n === 0 ? [] : [`${n} ${noun}${n === 1 ? '' : 's'}`]);
    const all = [...say(chases, 'chase'), ...say(cues, 'cue')];
    return all.length ? `in ${all.join(' and ')}` : '';
  }

  /** Makes a change; the answer says what came of it. */
  change(change: Change): { says: string; wrong: boolean } {
    const before = structuredClone(this.#show);
    try {
      const says = this.#do(change);
      this.#past.push({ show: before, says });
      this.#future.length = 0;
      return { says, wrong: false };
    } catch (refused) {
      this.#show = before;
      if (refused instanceof No || refused instanceof NoLight) return { says: refused.message, wrong: true };
      throw refused;
    }
  }

  undo(): { says: string; wrong: boolean } {
    return this.#step(this.#past, this.#future, 'Taken back: ');
  }

  redo(): { says: string; wrong: boolean } {
    return this.#step(this.#future, this.#past, 'Done again: ');
  }

  #step(from: { show: Show & Hung; says: string }[], to: { show: Show & Hung; says: string }[], before: string) {
    const step = from.pop();
    if (!step) return { says: 'There is nothing to take back.', wrong: true };
    to.push({ show: this.#show, says: step.says });
    this.#show = step.show;
    return { says: before + step.says.charAt(0).toLowerCase() + step.says.slice(1), wrong: false };
  }

  keep(name: string, units: number[] | null, now: Moment): { says: string; wrong: boolean } {
    const before = structuredClone(this.#show);
    const lit = now.lights.filter((light) => (units === null || units.includes(light.unit)) && (light.heads[0]?.level ?? 0) > 0.005);
    const parts = lit.map((light): Part => {
      const head = light.heads[0];
      const hex = `#${(head?.rgb ?? [1, 1, 1]).map((c) => Math.round(255 * c ** (1 / 2.2)).toString(16).padStart(2, '0')).join('')}`;
      const aim = head?.spot && light.unit < 10 && ![5, 6, 7].includes(light.unit) ? { aim: head.spot.at.map((n) => Math.round(n * 100) / 100) } : {};
      return { who: light.unit, ...aim, colour: hex, level: `${Math.round((head?.level ?? 0) * 100)} %` };
    });
    const own = name.trim();
    if (own === '') return { says: 'A look needs a name.', wrong: true };
    const old = this.#show.looks.find((look) => look.name === own);
    if (old) old.parts = parts;
    else this.#show.looks.push({ name: own, fade: null, parts });
    const says = old ? `Look "${own}" is kept as it is now.` : `Look "${own}" is kept, new.`;
    this.#past.push({ show: before, says });
    this.#future.length = 0;
    return { says, wrong: false };
  }

  #do(it: Change): string {
    const show = this.#show;
    const find = <T extends { name: string }>(list: T[], name: string): T => list.find((one) => one.name === name) ?? no(`There is no "${name}".`);
    const no = (words: string): never => {
      throw new No(words);
    };
    const free = (list: { name: string }[], name: string, but?: string) => {
      const own = name.trim();
      if (own === '') no('A name has at least one letter.');
      if (own !== but && list.some((one) => one.name === own)) no(`There is a "${own}" already: choose another name.`);
      return own;
    };
    const move = <T>(list: T[], from: number, to: number) => list.splice(to - 1, 0, ...list.splice(from, 1));
    const set = (thing: object, field: string, value: Value | null, blank: Value | null | undefined = undefined) => {
      const table = thing as Record<string, unknown>;
      if (value === null && blank === undefined) delete table[field];
      else table[field] = value ?? blank;
    };
    const part = (look: string, n: number): Part => find(show.looks, look).parts[n - 1] ?? no('There is no such sentence.');
    const cue = (number: string): Cue => show.cues.find((one) => one.number === number) ?? no(`There is no cue ${number}.`);
    const told = (value: Value | null) => (value === null ? 'not set' : typeof value === 'object' ? (Array.isArray(value) ? value.join(', ') : 'along a line') : String(value));
    switch (it.type) {
      case 'many':
        return it.changes.map((one) => this.#do(one)).at(-1) ?? '';
      case 'look_add':
        show.looks.push({ name: free(show.looks, it.name), fade: null, parts: it.like ? structuredClone(find(show.looks, it.like).parts) : [] });
        return `Look "${it.name}" is added${it.like ? `, like "${it.like}"` : ''}.`;
      case 'look_rename':
      case 'chase_rename': {
        const list = it.type === 'look_rename' ? show.looks : show.chases;
        const to = free(list, it.to, it.name);
        find<{ name: string }>(list, it.name).name = to;
        for (const chase of show.chases) for (const step of chase.each) if (it.type === 'look_rename' && step.look === it.name) step.look = to;
        for (const one of show.cues) {
          if (it.type === 'look_rename' && one.look === it.name) one.look = to;
          if (it.type === 'chase_rename' && one.chases) one.chases = one.chases.map((name) => (name === it.name ? to : name));
        }
        if (show.tonight) show.tonight = show.tonight.map((name) => (name === it.name ? to : name));
        return `${it.type === 'look_rename' ? 'Look' : 'Chase'} "${it.name}" is called "${to}" now.`;
      }
      case 'look_remove':
        find(show.looks, it.name);
        show.looks = show.looks.filter((one) => one.name !== it.name);
        for (const chase of show.chases) chase.each = chase.each.filter((step) => step.look !== it.name);
        show.chases = show.chases.filter((chase) => chase.each.length > 0);
        for (const one of show.cues) if (one.look === it.name) one.look = null;
        return `Look "${it.name}" is removed.`;
      case 'look_duplicate':
        show.looks.splice(show.looks.indexOf(find(show.looks, it.name)) + 1, 0, { ...structuredClone(find(show.looks, it.name)), name: free(show.looks, it.to) });
        return `Look "${it.to}" is the same as "${it.name}".`;
      case 'look_move':
        move(show.looks, show.looks.indexOf(find(show.looks, it.name)), it.to);
        return `Look "${it.name}" stands in place ${it.to} now.`;
      case 'look_fade':
        find(show.looks, it.name).fade = it.fade === null ? null : String(it.fade);
        return `Look "${it.name}", fade: ${told(it.fade)}.`;
      case 'part_add': {
        const list = find(show.looks, it.look).parts;
        list.splice((it.at ?? list.length + 1) - 1, 0, { ...it.values, who: it.who });
        return `Look "${it.look}" has part ${it.at ?? list.length} more, for ${told(it.who)}.`;
      }
      case 'part_remove':
        part(it.look, it.part);
        find(show.looks, it.look).parts.splice(it.part - 1, 1);
        return `Look "${it.look}", part ${it.part} is removed.`;
      case 'part_move':
        move(find(show.looks, it.look).parts, it.part - 1, it.to);
        return `Look "${it.look}", part ${it.part} is part ${it.to} now.`;
      case 'part_set':
        if (it.field === 'colour' && typeof it.value === 'string' && /^#(?![0-9a-f]{6}$)/i.test(it.value)) no(`"${it.value}" is no colour: write a colour name, #rrggbb or "3200 K".`);
        if (it.field === 'strobe' && parseFloat(String(it.value)) > 30) no('A strobe has at most 30 flashes a second.');
        set(part(it.look, it.part), it.field, it.value);
        return `Look "${it.look}", part ${it.part}: ${it.field.replace('_', ' ')} ${told(it.value)}.`;
      case 'chase_add':
        it.steps.forEach((step) => find(show.looks, step));
        show.chases.push({ order: 'forward', calm: false, at_each: null, swing: null, rounds: null, fade: null, step_time: null, step_fade: null, ...(it.values as object), name: free(show.chases, it.name), each: it.steps.map((look) => ({ look, time: null, fade: null })) });
        return `Chase "${it.name}" is added.`;
      case 'chase_remove':
        show.chases = show.chases.filter((one) => one !== find(show.chases, it.name));
        for (const one of show.cues) if (one.chases) one.chases = one.chases.filter((name) => name !== it.name);
        return `Chase "${it.name}" is removed.`;
      case 'chase_duplicate':
        show.chases.splice(show.chases.indexOf(find(show.chases, it.name)) + 1, 0, { ...structuredClone(find(show.chases, it.name)), name: free(show.chases, it.to) });
        return `Chase "${it.to}" is the same as "${it.name}".`;
      case 'chase_move':
        move(show.chases, show.chases.indexOf(find(show.chases, it.name)), it.to);
        return `Chase "${it.name}" stands in place ${it.to} now.`;
      case 'chase_set':
        set(find(show.chases, it.name), it.field, it.value, it.field === 'order' ? 'forward' : null);
        return `Chase "${it.name}": ${it.field.replace('_', ' ')} ${told(it.value)}.`;
      case 'step_add': {
        const list = find(show.chases, it.chase).each;
        list.splice((it.at ?? list.length + 1) - 1, 0, { look: find(show.looks, it.look).name, time: null, fade: null });
        return `Chase "${it.chase}" has step ${it.at ?? list.length} more, "${it.look}".`;
      }
      case 'step_remove':
        if (find(show.chases, it.chase).each.length === 1) return `The last step went. ${this.#do({ type: 'chase_remove', name: it.chase })}`;
        find(show.chases, it.chase).each.splice(it.step - 1, 1);
        return `Chase "${it.chase}", step ${it.step} is removed.`;
      case 'step_move':
        move(find(show.chases, it.chase).each, it.step - 1, it.to);
        return `Chase "${it.chase}", step ${it.step} is step ${it.to} now.`;
      case 'step_set':
        set(find(show.chases, it.chase).each[it.step - 1] ?? no('There is no such step.'), it.field, it.value, null);
        return `Chase "${it.chase}", step ${it.step}: ${it.field} ${told(it.value)}.`;
      case 'steps_set': {
        const chase = find(show.chases, it.chase);
        set(chase, it.field === 'time' ? 'step_time' : 'step_fade', it.value, null);
        for (const step of chase.each) step[it.field] = null;
        return `Chase "${it.chase}", all steps: ${it.field} ${told(it.value)}.`;
      }
      case 'cue_add': {
        const at = it.after === null ? show.cues.length : show.cues.indexOf(cue(it.after)) + 1;
        const low = Number(show.cues[at - 1]?.number ?? 0);
        const high = show.cues[at] ? Number(show.cues[at]?.number) : Infinity;
        const number = String(low + 1 < high ? Math.floor(low) + 1 : (low + high) / 2);
        show.cues.splice(at, 0, { number, name: '', note: '', look: null, chases: null, fade: null, follow: null, tempo: null, ...(it.values as object) });
        return `Cue ${number} is added.`;
      }
      case 'cue_remove':
        show.cues = show.cues.filter((one) => one !== cue(it.number));
        return `Cue ${it.number} is removed.`;
      case 'cue_move': {
        const own = cue(it.number);
        move(show.cues, show.cues.indexOf(own), it.to);
        const [low, high] = [Number(show.cues[it.to - 2]?.number ?? 0), Number(show.cues[it.to]?.number ?? Infinity)];
        if (Number(own.number) <= low || Number(own.number) >= high) own.number = String(low + 1 < high ? Math.floor(low) + 1 : (low + high) / 2);
        return `Cue ${it.number} is cue ${own.number} now, in place ${it.to}.`;
      }
      case 'cue_number':
        if (!/^\d+(\.\d+)?$/.test(it.to)) no('A cue number is digits, perhaps with a point: write it such as "4" or "4.5".');
        if (it.to !== it.number && show.cues.some((one) => Number(one.number) === Number(it.to))) no(`There is a cue ${it.to} already: choose another number.`);
        cue(it.number).number = it.to;
        show.cues.sort((a, b) => Number(a.number) - Number(b.number));
        return `Cue ${it.number} is cue ${it.to} now.`;
      case 'cue_set':
        set(cue(it.number), it.field, it.value, it.field === 'name' || it.field === 'note' ? '' : null);
        return `Cue ${it.number}: ${it.field} ${told(it.value)}.`;
      case 'show_set':
        if (it.field !== 'tonight' || (it.value !== null && !Array.isArray(it.value))) return no('The stand-in keeps no such field.');
        show.tonight = it.value === null ? null : it.value.map(String);
        return it.value === null ? 'Every look and chase is on the pads.' : `${it.value.length} on the pads.`;
      default:
        return hang(show, it, this.#base.room) ?? no('The stand-in makes no such change.');
    }
  }
}

const look = (name: string, fade: string | null, ...parts: Part[]): Look => ({ name, fade, parts });
const chase = (name: string, order: string, step_time: string, step_fade: string | null, ...looks: string[]): Chase => ({
  name, order, swing: null, calm: false, at_each: null, rounds: null, fade: null, step_time, step_fade, each: looks.map((one) => ({ look: one, time: null, fade: null })),
});
const cue = (number: string, name: string, note: string, more: Partial<CueParts>): Cue => ({
  number, name, note, look: null, chases: null, fade: null, follow: null, tempo: null, ...more,
});

const EVENING: Show = {
  looks: [
    look('Hall warm', '3 s', { who: 'all', colour: '3000 K', level: '60 %' }),
    look('Supper glow', '8 s', { who: 'heads', aim: { from: [-3.4, -2, 0.7], to: [3.4, -2.6, 0.7] }, colour: 'barn amber', level: '16 %' }, { who: 'pars', colour: '3000 K', level: '10 %' }),
    look('Speaker', '2 s', { who: 'spots', aim: 'speaker', colour: '3000 K', level: '400 lx', on: 'face' }, { who: 'pars', colour: '3000 K', level: '10 %' }),
    look('Cake', '4 s', { who: [2, 3, 8, 9], aim: 'cake', colour: '3000 K', level: '400 lx' }, { who: [1, 4], aim: { from: [-3.3, -3.2, 0], to: [3.3, -3.2, 0] }, colour: 'plum', level: '18 %' }, { who: 'pars', colour: ['plum', 'dusk rose'], level: '12 %' }),
    look('First dance', '6 s', { who: 'spots', aim: 'dance floor', figure: 'slow wheel', colour: 'dusk rose', level: '80 %' }),
    look('Full floor', '2 s', { who: 'heads', aim: 'dance floor', figure: 'slow wheel', colour: ['barn amber', 'dusk rose'], colour_spread: 'in order', level: '90 %' }, { who: 'pars', colour: 'plum', level: '50 %' }, { who: 2, aim: 'dance floor', level: '40 %', gobo: 'leaves', strobe: '2 Hz' }),
  ],
  chases: [
    chase('Slow wheel', 'forward', '4 beats', '2 beats', 'Full floor', 'First dance', 'Cake', 'Full floor', 'First dance', 'Supper glow'),
    chase('Two by two', 'to and fro', '1 beat', null, 'Full floor', 'Cake', 'First dance', 'Cake'),
    chase('Hedgerow', 'random', '2 s', '2 s', 'Supper glow', 'Hall warm', 'Cake'),
  ],
  cues: [
    cue('1', 'Doors', '', { look: 'Hall warm', fade: '8 s' }),
    cue('2', 'Grace', 'when the vicar stands', { look: 'Speaker', fade: '3 s' }),
    cue('3', 'Supper', '', { look: 'Supper glow', fade: '20 s' }),
    cue('4', 'Speeches', 'glasses chime', { look: 'Speaker', fade: '3 s' }),
    cue('5', 'Toast', '', { look: 'Hall warm', fade: '2 s', follow: '90 s' }),
    cue('6', 'Cake', 'after the toast', { look: 'Cake', fade: '4 s' }),
    cue('7', 'First dance', 'the two walk out', { look: 'First dance', fade: '6 s', tempo: 84 }),
    cue('8', 'Everyone dances', 'after the second chorus', { look: 'Full floor', fade: '2 s', chases: ['Slow wheel'], tempo: 118 }),
    cue('9', 'Raffle', 'When the band puts down.', { look: 'Speaker', fade: '3 s', chases: [] }),
    cue('10', 'Two by two', '', { chases: ['Two by two'] }),
    cue('11', 'Last waltz', 'the bar has closed', { look: 'First dance', fade: '10 s', chases: [] }),
    cue('12', 'Lights up', '', { look: 'Hall warm', fade: '6 s' }),
  ],
  tonight: null,
};
