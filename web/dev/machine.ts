import type { Change } from '../src/change.gen';
import type { FindingView, Intent, Moment, Scene, ToPage } from '../src/wire.gen';
import { Maker } from './maker';
import { aim, letGo, moment, scene } from './mock';
import { REACH } from './reach';
import { Sights } from './sights';

/** A made-up machine: it answers intents well enough to see every panel in every state. Figures are for the eye only. */
export class Machine {
  readonly #say: (message: ToPage) => void;
  readonly #touch: (up: boolean) => void;
  readonly #hall = shaped(evening(scene()));
  readonly #maker = new Maker(this.#hall, location.search.includes('empty'));
  readonly #levels = new Map<number, number>();
  readonly #colours = new Map<number, [number, number, number]>();
  readonly #aims = new Map<number, [number, number, number]>();
  #running: string[] = ['Slow wheel'];
  #look = 'Full floor';
  #cue: number | null = 7;
  #master = 0.8;
  readonly #groups = new Map<string, number>();
  #blackout = false;
  #stillness = false;
  #strobeStopped = false;
  #bpm = 118;
  #fadeFrom = -Infinity;
  #taps: number[] = [];
  readonly #sights = new Sights(this.#hall);
  #timer: ReturnType<typeof setInterval> | undefined;

  constructor(say: (message: ToPage) => void, touch: (up: boolean) => void) {
    this.#say = say;
    this.#touch = touch;
  }

  start(): void {
    this.#touch(true);
    this.#tell();
    const slow = new URLSearchParams(location.search).get('every');
    this.#timer = setInterval(() => this.#say({ type: 'moment', ...this.#moment() }), Number(slow ?? 33));
  }

  lose(): void {
    clearInterval(this.#timer);
    this.#timer = undefined;
    this.#touch(false);
  }

  take(intent: Intent): boolean {
    if (this.#timer === undefined) return false;
    if (this.#make(intent)) return true;
    if (this.#sights.take(intent)) this.#tell();
    switch (intent.type) {
      case 'look':
        this.#look = intent.name;
        this.#fadeFrom = performance.now();
        break;
      case 'chase':
        this.#running = this.#running.filter((name) => name !== intent.name);
        if (intent.on) this.#running.push(intent.name);
        break;
      case 'go':
        this.#to((this.#cue ?? -1) + 1);
        break;
      case 'back':
        this.#to((this.#cue ?? 0) - 1);
        break;
      case 'cue':
        this.#to(intent.index);
        break;
      case 'master':
        this.#master = intent.level;
        break;
      case 'group_master':
        this.#groups.set(intent.group, intent.level);
        break;
      case 'blackout':
        this.#blackout = intent.on;
        break;
      case 'stillness':
        this.#stillness = intent.on;
        break;
      case 'stop_strobe':
        this.#strobeStopped = intent.on;
        break;
      case 'tap':
        this.#tap(performance.now());
        break;
      case 'tempo':
        this.#bpm = intent.bpm;
        break;
      case 'aim':
        aim(intent.unit, intent.at);
        this.#aims.set(intent.unit, intent.at);
        break;
      case 'level':
        this.#levels.set(intent.unit, intent.level);
        break;
      case 'colour':
        this.#colours.set(intent.unit, linear(intent.colour));
        break;
      case 'let_go':
        for (const map of [this.#levels, this.#colours, this.#aims]) {
          if (intent.unit === null) map.clear();
          else map.delete(intent.unit);
        }
        for (const unit of intent.unit === null ? this.#hall.units.map((one) => one.number) : [intent.unit]) letGo(unit);
    }
    return true;
  }

  /** A change that another page made. */
  change(change: Change): void {
    this.#maker.change(change);
    this.#tell();
  }

  /** The show as it is, for those who test. */
  scene(): Scene {
    return this.#maker.scene();
  }

  /** Lights in hand, for those who test. */
  held(): number[] {
    return this.#moment().lights.filter((light) => light.held).map((light) => light.unit);
  }

  /** What is on, for those who test. */
  now(): Moment['now'] {
    return this.#moment().now;
  }

  #make(intent: Intent): boolean {
    if (intent.type === 'ask_history') {
      this.#say({ type: 'history', entries: [], older: 0, none: 'A machine that is made up keeps no history' });
      return true;
    }
    const said =
      intent.type === 'change' ? this.#maker.change(intent.change)
      : intent.type === 'undo' ? this.#maker.undo()
      : intent.type === 'redo' ? this.#maker.redo()
      : intent.type === 'keep_look' ? this.#maker.keep(intent.name, intent.units, this.#moment())
      : intent.type === 'bookmark' || intent.type === 'restore' ? { says: 'A machine that is made up keeps no history', wrong: true }
      : undefined;
    if (!said) return false;
    if (!said.wrong && intent.type === 'change' && intent.change.type === 'look_rename' && intent.change.name === this.#look) this.#look = intent.change.to;
    if (!said.wrong) this.#tell();
    setTimeout(() => this.#say({ type: 'said', ...said }), 30);
    return true;
  }

  #told: Scene | undefined;

  #tell(): void {
    this.#told = dressed(this.#maker.scene());
    this.#say({ type: 'scene', ...this.#told });
  }

  get #scene(): Scene {
    return (this.#told ??= dressed(this.#maker.scene()));
  }

  #to(index: number): void {
    if (index < 0 || index >= this.#scene.cues.length) return;
    this.#cue = index;
    this.#look = this.#scene.looks[index % this.#scene.looks.length]?.name ?? this.#look;
    this.#running = index % 2 ? ['Slow wheel'] : [];
    this.#fadeFrom = performance.now();
  }

  #tap(at: number): void {
    this.#taps = [...this.#taps.filter((before) => at - before < 4000), at];
    const [first] = this.#taps;
    if (first !== undefined && this.#taps.length > 1) this.#bpm = (60_000 * (this.#taps.length - 1)) / (at - first);
  }

  #group(name: string): number {
    return this.#groups.get(name) ?? 1;
  }

  #moment(): Moment {
    const t = performance.now() / 1000;
    const shown = moment(t, { 'Supper glow': 'supper', Cake: 'cake' }[this.#look] ?? 'dance');
    const sighting = this.#sights.now();
    for (const light of shown.lights) {
      if (sighting) for (const head of light.heads) head.level = light.unit === sighting.unit ? 1 : 0;
      const level = this.#levels.get(light.unit);
      const colour = this.#colours.get(light.unit);
      light.held = level !== undefined || colour !== undefined || this.#aims.has(light.unit);
      const over = this.#scene.groups.filter((group) => group.units.includes(light.unit)).reduce((all, group) => all * this.#group(group.name), this.#master);
      light.driver = light.held ? 'your hand' : (this.#running[0] ?? 'nobody');
      for (const head of light.heads) {
        const given = (level ?? head.level) * over * (this.#blackout ? 0 : 1);
        const scale = head.level > 0 ? given / head.level : 0;
        if (sighting && light.unit === sighting.unit) head.candela = 12000;
        head.level = given;
        head.candela = head.candela === null ? null : head.candela * scale;
        if (head.spot?.lux) head.spot.lux *= scale;
        if (colour) head.rgb = colour;
      }
    }
    const beat = (t * this.#bpm) / 60;
    return {
      ...shown,
      sighting,
      now: {
        look: this.#scene.looks.some((look) => look.name === this.#look) ? this.#look : null,
        chases: this.#running.filter((name) => this.#scene.chases.some((chase) => chase.name === name)).map((name) => ({ name, step: Math.floor(beat / 4) % (this.#scene.chases.find((chase) => chase.name === name)?.steps.length ?? 1), speed: 1, calm: false, waits: false })),
        cue: this.#scene.cues.length > 0 ? this.#cue : null,
        next_cue: this.#scene.cues.length === 0 ? null : this.#cue === null ? 0 : this.#cue + 1 < this.#scene.cues.length ? this.#cue + 1 : null,
        fade: Math.min(1, (performance.now() - this.#fadeFrom) / 3000),
        master: this.#master,
        groups: this.#scene.groups.map((group) => this.#group(group.name)),
        blackout: this.#blackout,
        stillness: this.#stillness,
        strobe_stopped: this.#strobeStopped,
        tempo_bpm: this.#bpm,
        beat,
      },
      link: {
        outputs: location.search.includes('outputs')
          ? [{ name: 'sACN multicast', ok: true, words: 'universe 1 to everyone', sent: 12_000, failed: 0 }]
          : [],
        rate_hz: 44,
        ticks: t * 44,
        late: location.search.includes('outputs') ? 3 : 0,
      },
    };
  }
}

function linear(colour: string): [number, number, number] {
  if (!colour.startsWith('#')) return colour.startsWith('3') ? [1, 0.46, 0.16] : [1, 0.87, 0.81];
  const part = (at: number) => (parseInt(colour.slice(at, at + 2), 16) / 255) ** 2.2;
  return [part(1), part(3), part(5)];
}

/** `?empty`: a hall with nothing made yet. */
function shaped(hall: Scene): Scene {
  const units = hall.units.map((unit) => ({ ...unit, reach: unit.symbol === 'hazer' || unit.symbol === 'strobe' ? null : 0 }));
  const able = { ...hall, units, reaches: [REACH] };
  if (!location.search.includes('empty')) return able;
  const plan = { ...hall.plan, findings: [], circuits: [], lines: [] };
  return { ...able, plan };
}

/** `?many`: sixty looks and forty cues. `?groups`: seven groups. */
function dressed(made: Scene): Scene {
  if (location.search.includes('groups')) {
    const names = ['left half', 'right half', 'stage', 'everything that hangs'];
    const more = names.map((name, i) => ({ name, units: made.units.filter((unit) => unit.number % (i + 2) === 0).map((unit) => unit.number) }));
    made = { ...made, groups: [...made.groups, ...more] };
  }
  if (!location.search.includes('many')) return made;
  const times = <T,>(items: T[], n: number): T[] => Array.from({ length: n }, (_, i) => items[i % items.length] as T);
  return {
    ...made,
    looks: times(made.looks, 60).map((look, i) => ({ ...look, name: `${look.name} ${i + 1}` })),
    cues: times(made.cues, 40).map((cue, i) => ({ ...cue, number: String(i + 1) })),
  };
}

/** The hall with more to find in it. */
function evening(hall: Scene): Scene {
  return { ...hall, plan: { ...hall.plan, findings: [...hall.plan.findings, ...MORE_FINDINGS] } };
}

const MORE_FINDINGS: FindingView[] = [
  {
    severity: 'take care', what: 'Light 9 shines at the top table', place: 'light 9', units: [9], figure: '310 lx at the eye',
    rule: 'a beam at eye height from less than 8 m dazzles', source: 'common practice, no source', remedy: 'Keep it below 20° or turn it round.',
  },
  {
    severity: 'for your information', what: 'Hang each light with its bond', place: 'bar', units: [], figure: '',
    rule: 'a second fixing of its own for everything overhead', source: 'usual venue rule', remedy: 'The weight is a sum, not a permission: the hall’s own rules and a competent person decide.',
  },
];
