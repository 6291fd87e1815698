import type { HeadMoment, LightMoment, Moment, Spot } from '../wire.gen';
import { mix, normalize, type V3 } from './geometry';

/** One beam as it is drawn in this frame, between two moments. */
export type Beam = {
  unit: number;
  head: number;
  from: V3;
  along: V3;
  level: number;
  rgb: V3;
  /** Candela on the axis; a stand-in figure when the profile does not know it. */
  candela: number;
  beam: number;
  field: number;
  strobeHz: number;
  gobo: string | null;
  prism: boolean;
  haze: number;
  spot: Spot | null;
};

/** One light as it is drawn in this frame. */
export type LiveLight = { unit: number; pan: number; tilt: number; held: boolean; beams: Beam[] };

/** Candela at full for the picture when a profile does not know its brightness. */
const CANDELA_UNKNOWN = 4000;

/** Moments come about 33 ms apart; drawing this far behind the last one leaves room for one that comes late. */
const DELAY_MS = 45;

/** Keeps the last moments and answers how the lights stand in between. */
export class Live {
  private queue: { at: number; moment: Moment }[] = [];

  /** Takes a moment that came at `now` (milliseconds of any clock that runs on). */
  push(moment: Moment, now: number): void {
    const last = this.queue[this.queue.length - 1];
    // After a pause there is nothing to move between: start afresh.
    if (last && now - last.at > 400) this.queue = [];
    this.queue.push({ at: now, moment });
    if (this.queue.length > 6) this.queue.shift();
  }

  latest(): Moment | null {
    return this.queue[this.queue.length - 1]?.moment ?? null;
  }

  /** `true` once the picture has caught up with the last moment. */
  settled(now: number): boolean {
    const last = this.queue[this.queue.length - 1];
    return !last || now - DELAY_MS >= last.at;
  }

  lights(now: number): LiveLight[] {
    const time = now - DELAY_MS;
    let a = this.queue[0];
    let b = a;
    for (const entry of this.queue) {
      if (entry.at <= time) a = b = entry;
      else {
        b = entry;
        break;
      }
    }
    if (!a || !b) return [];
    const k = b.at > a.at ? Math.min(1, Math.max(0, (time - a.at) / (b.at - a.at))) : 1;
    const before = new Map(a.moment.lights.map((light) => [light.unit, light]));
    return b.moment.lights.map((light) => between(before.get(light.unit) ?? light, light, k));
  }
}

function between(a: LightMoment, b: LightMoment, k: number): LiveLight {
  return {
    unit: b.unit,
    pan: turn(a.pan, b.pan, k),
    tilt: turn(a.tilt, b.tilt, k),
    held: b.held,
    beams: b.heads.map((head, i) => beamBetween(b.unit, i, a.heads[i] ?? head, head, k)),
  };
}

function beamBetween(unit: number, index: number, a: HeadMoment, b: HeadMoment, k: number): Beam {
  const lerp = (p: number, q: number) => p + (q - p) * k;
  const brightness = (head: HeadMoment) => head.candela ?? head.level * CANDELA_UNKNOWN;
  return {
    unit,
    head: index,
    from: mix(a.from, b.from, k),
    along: normalize(mix(a.along, b.along, k)),
    level: lerp(a.level, b.level),
    rgb: mix(a.rgb, b.rgb, k),
    candela: lerp(brightness(a), brightness(b)),
    beam: lerp(a.beam, b.beam),
    field: lerp(a.field, b.field),
    strobeHz: b.strobe_hz,
    gobo: b.gobo,
    prism: b.prism,
    haze: lerp(a.haze, b.haze),
    spot: spotBetween(a.spot, b.spot, k),
  };
}

function spotBetween(a: Spot | null, b: Spot | null, k: number): Spot | null {
  if (!a || !b || a.surface !== b.surface) return b;
  return {
    ...b,
    at: mix(a.at, b.at, k),
    centre: mix(a.centre, b.centre, k),
    major: mix(a.major, b.major, k),
    minor: mix(a.minor, b.minor, k),
  };
}

/** Pan and tilt are motor positions: they may run past half a turn and never wrap. */
function turn(a: number, b: number, k: number): number {
  return a + (b - a) * k;
}
