import type { CueView, FindingView, Intent, LookView, Moment, Scene, ToPage, Word } from '../src/wire.gen';
import { aim, moment, scene } from './mock';
import { Sights } from './sights';

/** A made-up machine: it answers intents well enough to see every panel in every state. Figures are for the eye only. */
export class Machine {
  readonly #say: (message: ToPage) => void;
  readonly #touch: (up: boolean) => void;
  readonly #scene = shaped(evening(scene()));
  readonly #levels = new Map<number, number>();
  readonly #colours = new Map<number, [number, number, number]>();
  readonly #aims = new Map<number, [number, number, number]>();
  #running: string[] = ['Slow wheel'];
  #look = 'Full floor';
  #cue: number | null = 7;
  #master = 0.8;
  #blackout = false;
  #stillness = false;
  #strobeStopped = false;
  #bpm = 118;
  #fadeFrom = -Infinity;
  #taps: number[] = [];
  readonly #sights = new Sights(this.#scene);
  #timer: ReturnType<typeof setInterval> | undefined;

  constructor(say: (message: ToPage) => void, touch: (up: boolean) => void) {
    this.#say = say;
    this.#touch = touch;
  }

  start(): void {
    this.#touch(true);
    this.#say({ type: 'scene', ...this.#scene });
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
    if (this.#sights.take(intent)) this.#say({ type: 'scene', ...this.#scene });
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
    }
    return true;
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

  #moment(): Moment {
    const t = performance.now() / 1000;
    const shown = moment(t, { 'Supper glow': 'supper', Cake: 'cake' }[this.#look] ?? 'dance');
    const sighting = this.#sights.now();
    for (const light of shown.lights) {
      if (sighting) for (const head of light.heads) head.level = light.unit === sighting.unit ? 1 : 0;
      const level = this.#levels.get(light.unit);
      const colour = this.#colours.get(light.unit);
      light.held = level !== undefined || colour !== undefined || this.#aims.has(light.unit);
      light.driver = light.held ? 'your hand' : (this.#running[0] ?? 'base');
      for (const head of light.heads) {
        const given = (level ?? head.level) * this.#master * (this.#blackout ? 0 : 1);
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
        look: this.#scene.looks.length > 0 ? this.#look : null,
        chases: this.#running.filter(() => this.#scene.chases.length > 0).map((name) => ({ name, step: Math.floor(beat / 4) % 6, speed: 1 })),
        cue: this.#scene.cues.length > 0 ? this.#cue : null,
        next_cue: this.#scene.cues.length === 0 ? null : this.#cue === null ? 0 : this.#cue + 1 < this.#scene.cues.length ? this.#cue + 1 : null,
        fade: Math.min(1, (performance.now() - this.#fadeFrom) / 3000),
        master: this.#master,
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

/** `?empty`: a hall with nothing made yet; `?many`: sixty looks and forty cues. */
function shaped(hall: Scene): Scene {
  if (location.search.includes('empty')) {
    const plan = { ...hall.plan, findings: [], circuits: [], lines: [] };
    return { ...hall, looks: [], chases: [], cues: [], groups: [], plan, room: { ...hall.room, marks: [] } };
  }
  if (!location.search.includes('many')) return hall;
  const times = <T,>(items: T[], n: number): T[] => Array.from({ length: n }, (_, i) => items[i % items.length] as T);
  return {
    ...hall,
    looks: times(hall.looks, 60).map((look, i) => ({ ...look, name: `${look.name} ${i + 1}` })),
    cues: times(hall.cues, 40).map((cue, i) => ({ ...cue, number: String(i + 1) })),
  };
}

// The mock's hall with an evening as long and as wordy as a real one.

const w = (text: string, colour: string | null = null): Word => ({ text, colour, of: null });

function evening(hall: Scene): Scene {
  const look = (name: string, colours: string[], ...words: Word[][]): LookView => ({ name, colours, words, paths: [] });
  const cue = (number: string, name: string, note: string, ...words: Word[]): CueView => ({
    number, name, note, words, fade_s: 3, follow_s: number === '5' ? 90 : null,
  });
  const amber = w('amber', '#ff9f1c');
  const rose = w('rose', '#f0386b');
  const plum = w('plum', '#7b2ff7');
  const warm = w('warm white', '#ffd9a0');
  return {
    ...hall,
    looks: [
      look('Hall warm', ['#ffd9a0'], [w('Pars and heads over the hall, '), warm, w(', 60 %.')]),
      look('Supper glow', ['#ff9f1c'], [w('Heads 1, 4, 8 and 9 on the side tables, '), amber, w(', 16 %.')], [w('Pars on the stage wall, '), warm, w(', 10 %.')]),
      look('Speaker', ['#ffd9a0'], [w('Spots 2 and 3 on the speaker, '), warm, w(', 400 lx.')], [w('All else at 10 %.')]),
      look('Cake', ['#ffd9a0', '#7b2ff7', '#f0386b'], [w('Spots 2, 3 and heads 8, 9 on the cake, '), warm, w(', 400 lx, even.')], [w('Heads 1, 4 on the side tables, '), plum, w(', 18 %.')], [w('Pars on the stage wall, '), plum, w(', 12 %, one '), rose, w('.')]),
      look('First dance', ['#ffd9a0', '#f0386b'], [w('Spots on the dance floor, '), rose, w(', 80 %, from the middle.')]),
      look('Full floor', ['#ff9f1c', '#f0386b', '#7b2ff7'], [w('Heads over the floor, '), amber, w(' to '), rose, w(', 90 %.')], [w('Pars on the stage wall, '), plum, w(', 50 %.')]),
    ],
    chases: ['Slow wheel', 'Two by two', 'Hedgerow'].map((name, i) => ({
      name,
      steps: ['left pair', 'middle pair', 'right pair', 'rose left', 'rose middle', 'rose right'],
      colours: [['#ff9f1c', '#ff7a4a', '#ff5c5c', '#f0386b', '#ff5c5c', '#ff8c3a'], ['#f0386b', '#7b2ff7', '#f0386b', '#7b2ff7', '#f0386b', '#7b2ff7'], ['#20c997', '#3a9bff', '#20c997', '#3a9bff', '#20c997', '#3a9bff']][i] ?? [],
      words: [w('Six steps over the floor, '), amber, w(' to '), rose, w(', a step every 4 beats, fades of 2 beats.')],
    })),
    cues: [
      cue('1', 'Doors', '', w('Hall warm over 8 s, 60 %.')),
      cue('2', 'Grace', 'when the vicar stands', w('The top table alone, '), warm, w(', 250 lx.')),
      cue('3', 'Supper', '', w('Supper glow over 20 s, '), amber, w('.')),
      cue('4', 'Speeches', 'glasses chime', w('The speaker, '), warm, w(', 400 lx; the hall falls to 15 %.')),
      cue('5', 'Toast', '', w('The hall rises to 40 % over 2 s.')),
      cue('6', 'Cake', 'after the toast', w('Cake over 4 s; spots and heads meet on it.')),
      cue('7', 'First dance', 'the two walk out', w('First dance over 6 s, '), rose, w(', one slow circle.')),
      cue('8', 'Everyone dances', 'after the second chorus', w('Full floor in 2 s, then Slow wheel, '), amber, w(' to '), rose, w(', a step every 4 beats.')),
      cue('9', 'Raffle', 'When the band puts down.', w('Slow wheel fades out over 3 s. The heads come to the speaker, '), warm, w(', 400 lx; the hall rises to 30 %.')),
      cue('10', 'Two by two', '', w('The faster chase, half a turn a bar; haze on.')),
      cue('11', 'Last waltz', 'the bar has closed', w('One pair of spots, '), rose, w(', all else out over 10 s.')),
      cue('12', 'Lights up', '', w('The hall to 100 % over 6 s, heads at rest.')),
    ],
    plan: { ...hall.plan, findings: [...hall.plan.findings, ...MORE_FINDINGS] },
  };
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
