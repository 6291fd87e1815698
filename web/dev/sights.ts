import type { Intent, Scene, SightingNow, SightingView } from '../src/wire.gen';
import { aim, letGo } from './mock';
import type { V3 } from '../src/room/geometry';

const STEP_M = { coarse: 0.25, fine: 0.03, creep: 0.004 };

/** Sighting in as the made-up machine plays it: a spot that lands beside its mark, and knows better after each sight. */
export class Sights {
  readonly #scene: Scene;
  #now: SightingNow | null = null;
  #spot: V3 = [0, 0, 0];
  #started = 0;

  constructor(scene: Scene) {
    this.#scene = scene;
    for (const unit of scene.units) if (unit.moves) unit.sighting = this.#fresh();
    const sample = scene.units[2]?.sighting;
    if (sample) this.#keep(sample, ['cake', 'door', 'speaker', 'top table']);
    const signs = scene.units[1]?.sighting;
    if (signs && location.search.includes('watched')) signs.signs = 'as the plan says';
    if (signs && location.search.includes('wrong')) {
      this.#keep(signs, ['cake', 'door', 'speaker']);
      const second = signs.sights[1];
      if (second) Object.assign(second, { wrong: true, miss_cm: 43 });
      signs.enough = false;
      signs.says = ['The sight on the door does not fit the others by 43 cm and is left out: do it again, or take it back.'];
    }
  }

  now(): SightingNow | null {
    const now = this.#now;
    return now && { ...now, timing_s: now.timing ? (performance.now() - this.#started) / 1000 : 0 };
  }

  /** Answers `true` when what is known of a light has changed. */
  take(intent: Intent): boolean {
    if (!('unit' in intent) || intent.unit === null) return false;
    const view = this.#scene.units.find((unit) => unit.number === intent.unit)?.sighting;
    if (!view) return false;
    switch (intent.type) {
      case 'sight_go': {
        const mark = this.#scene.room.marks.find((one) => one.name === intent.mark);
        const off = 0.9 / (1 + view.sights.length);
        if (mark) this.#to(intent.unit, [mark.at[0] + off, mark.at[1] - off * 0.6, mark.at[2]]);
        this.#now = { ...this.#idle(intent.unit), mark: intent.mark, says: 'Bring the middle of the beam onto it, then say so.' };
        return false;
      }
      case 'sight_nudge': {
        const step = STEP_M[intent.step];
        this.#to(intent.unit, [0, 1, 2].map((i) => (this.#spot[i] ?? 0) + step * (intent.towards[i] ?? 0)) as V3);
        if (this.#now) this.#now.says = { coarse: 'Moved 25 cm.', fine: 'Moved 3 cm.', creep: 'Moved one step, about 4 mm here.' }[intent.step];
        return false;
      }
      case 'sight_on':
        this.#keep(view, [intent.mark]);
        this.#now = { ...this.#idle(intent.unit), says: `Kept: light ${intent.unit} is on the ${intent.mark}.` };
        return true;
      case 'sight_undo':
        view.sights.pop();
        this.#keep(view, []);
        return true;
      case 'sign_try':
        this.#to(intent.unit, [this.#spot[0] + 0.4, this.#spot[1] - (intent.axis === 'pan' ? 0.1 : 0.9), this.#spot[2]]);
        this.#now = { ...this.#idle(intent.unit), watching: intent.axis, says: `It has moved 6° by ${intent.axis}.` };
        return false;
      case 'sign_went':
        if (intent.axis === 'tilt' && intent.towards) view.signs = 'backwards';
        this.#now = this.#idle(intent.unit);
        return true;
      case 'stopwatch_start':
        this.#started = performance.now();
        this.#now = { ...this.#idle(intent.unit), timing: intent.axis, says: 'Press the key when it stands still.' };
        return false;
      case 'stopwatch_there':
        if (this.#now?.timing === 'tilt') view.tilt_time_s = this.now()?.timing_s ?? null;
        else view.pan_time_s = this.now()?.timing_s ?? null;
        view.times_from[this.#now?.timing === 'tilt' ? 1 : 0] = 'stopwatch';
        this.#now = this.#idle(intent.unit);
        return true;
      case 'sight_end':
        this.#now = null;
        letGo(intent.unit);
        return false;
    }
    return false;
  }

  #to(unit: number, at: V3): void {
    this.#spot = at;
    aim(unit, at);
  }

  #idle(unit: number): SightingNow {
    return { unit, mark: null, pan: 30000, tilt: 20000, watching: null, timing: null, timing_s: 0, alone: false, says: '' };
  }

  #fresh(): SightingView {
    return {
      sights: [], says: ['Next: sight it on "door".'], expected_cm: [], spot_cm: this.#scene.room.marks.map((_, i) => 45 + 12 * i), next_mark: 'door', enough: false,
      signs: 'not watched', pan_time_s: 2.4, tilt_time_s: 1.3, times_from: ['profile', 'assumed'],
    };
  }

  #keep(view: SightingView, marks: string[]): void {
    for (const name of marks) {
      const mark = this.#scene.room.marks.find((one) => one.name === name);
      if (mark) view.sights.push({ mark: name, at: mark.at, miss_cm: 1.4, wrong: false });
    }
    const n = view.sights.length;
    view.enough = n >= 4;
    view.expected_cm = n === 0 ? [] : this.#scene.room.marks.map((_, i) => (i === 3 && n > 3 ? null : (60 + i * 9) / n ** 1.8));
    const next = this.#scene.room.marks.find((mark) => !view.sights.some((sight) => sight.mark === mark.name));
    view.next_mark = next?.name ?? null;
    const worst = n === 0 ? 0 : Math.round(96 / n ** 1.8);
    view.says = n === 0
      ? [`Next: sight it on "${next?.name}".`]
      : [`It leans 1.2° and hangs ${worst} cm otherwise than planned.`, ...(next ? [`Next: sight it on "${next.name}".`] : [])];
  }
}
