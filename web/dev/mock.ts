import { coneOnPlane, hitRoom, normalize, rotate, sub, unrotate, type V3 } from '../src/room/geometry';
import type {
  FurnitureView, HeadMoment, LightMoment, Moment, RoomView as Room, Scene, UnitView,
} from '../src/wire.gen';

/** A made-up village hall for working on the page without the machine. Its figures are for the eye only. */

const UP: [number, number, number, number] = [1, 0, 0, 0]; // half a turn about X: standing on its base
const HANGING: [number, number, number, number] = [0, 0, 0, 1];

const person = (x: number, y: number, turn: number, tall = 1.7, z = 0): FurnitureView => ({
  name: 'person', kind: 'person', at: [x, y, z], size: [0.48, 0.3, tall], turn,
});
const round = (x: number, y: number): FurnitureView => ({
  name: 'round table', kind: 'round_table', at: [x, y, 0], size: [1.5, 1.5, 0.74], turn: 0,
});

export const room: Room = {
  name: 'village hall',
  x: [-5, 5],
  y: [-9, 4],
  height: 4.6,
  platforms: [{ name: 'stage', x: [-3.8, 3.8], y: [0.9, 4], height: 0.6 }],
  audience: [{ name: 'hall', x: [-4.6, 4.6], y: [-8.6, -1], height: 0 }],
  furniture: [
    { name: 'top table', kind: 'table', at: [0, 2.5, 0.6], size: [3.6, 0.75, 0.74], turn: 0 },
    { name: 'cake', kind: 'cake', at: [2.0, -0.5, 0], size: [0.7, 0.7, 1.15], turn: 0 },
    round(-3.4, -1.6), round(3.5, -2.6), round(-3.2, -5.0), round(3.3, -5.6),
    person(-0.55, -2.5, 0.4, 1.74), person(-0.1, -2.62, 3.5, 1.62),
    person(0.75, -3.9, 2.2, 1.68), person(1.15, -3.7, 5.2, 1.8),
    person(-2.05, -2.6, 1.0, 1.58), person(-1.7, -2.3, 3.9, 1.76),
    person(-2.45, -1.2, 2.6, 1.7), person(2.75, -1.5, 3.3, 1.66),
    person(-4.35, -3.4, 2.4, 1.72), person(4.3, -4.1, 3.9, 1.63),
    person(-1.2, 1.5, 3.14, 1.75, 0.6),
    person(-2.0, -5.6, 0.1, 1.6),
  ],
  marks: [
    { name: 'top table', at: [0, 2.1, 0.6] },
    { name: 'speaker', at: [-1.2, 1.5, 0.6] },
    { name: 'cake', at: [2.0, -0.5, 0] },
    { name: 'dance floor', at: [0, -3.2, 0] },
    { name: 'door', at: [0, -8.4, 0] },
  ],
  places: [
    { name: 'bar', kind: 'bar', from: [-2.8, 0.5, 3.6], to: [2.8, 0.5, 3.6], load: '41.2 of 80 kg', length: 5.6, fields: [] },
    { name: 'left stand', kind: 'stand', from: [-4.1, -0.4, 2.3], to: [-4.1, -0.4, 2.3], load: '4.1 of 20 kg', length: 0, fields: [] },
    { name: 'right stand', kind: 'stand', from: [4.1, -0.4, 2.3], to: [4.1, -0.4, 2.3], load: '4.1 of 20 kg', length: 0, fields: [] },
    { name: 'stage floor', kind: 'floor', from: [-3, 3, 0.6], to: [3, 3, 0.6], load: 'limit not known', length: 6, fields: [] },
  ],
};

type Kind = {
  kind: string; symbol: string; size: V3; moves: boolean; heads: number; beam: number; field: number; candela: number;
};
const wash: Kind = { kind: 'small wash head', symbol: 'wash_head', size: [0.24, 0.2, 0.34], moves: true, heads: 1, beam: 18, field: 34, candela: 7500 };
const spot: Kind = { kind: 'small spot head', symbol: 'spot_head', size: [0.26, 0.22, 0.42], moves: true, heads: 1, beam: 13, field: 15, candela: 26000 };
const par: Kind = { kind: 'RGBW par', symbol: 'par', size: [0.22, 0.2, 0.28], moves: false, heads: 1, beam: 25, field: 44, candela: 5200 };
const pixel: Kind = { kind: 'pixel bar, 8 segments', symbol: 'bar', size: [1.0, 0.09, 0.12], moves: false, heads: 8, beam: 22, field: 40, candela: 900 };
const strobe: Kind = { kind: 'strobe', symbol: 'strobe', size: [0.4, 0.16, 0.2], moves: false, heads: 1, beam: 90, field: 120, candela: 4200 };
const hazer: Kind = { kind: 'hazer', symbol: 'hazer', size: [0.34, 0.42, 0.26], moves: false, heads: 1, beam: 20, field: 30, candela: 0 };

type Hung = { n: number; k: Kind; at: V3; q: [number, number, number, number]; place: string; fixed: V3 };
const hung: Hung[] = [
  { n: 1, k: wash, at: [-2.4, 0.5, 3.55], q: HANGING, place: 'bar', fixed: [0, 0, 0] },
  { n: 2, k: spot, at: [-0.95, 0.5, 3.55], q: HANGING, place: 'bar', fixed: [0, 0, 0] },
  { n: 3, k: spot, at: [0.95, 0.5, 3.55], q: HANGING, place: 'bar', fixed: [0, 0, 0] },
  { n: 4, k: wash, at: [2.4, 0.5, 3.55], q: HANGING, place: 'bar', fixed: [0, 0, 0] },
  { n: 5, k: par, at: [-1.7, 0.5, 3.55], q: HANGING, place: 'bar', fixed: [-1.9, 3.6, 1.1] },
  { n: 6, k: par, at: [1.7, 0.5, 3.55], q: HANGING, place: 'bar', fixed: [1.9, 3.6, 1.1] },
  { n: 7, k: pixel, at: [0, 0.5, 3.55], q: HANGING, place: 'bar', fixed: [0, 4, 2.2] },
  { n: 8, k: wash, at: [-4.1, -0.4, 2.3], q: UP, place: 'left stand', fixed: [0, 0, 0] },
  { n: 9, k: wash, at: [4.1, -0.4, 2.3], q: UP, place: 'right stand', fixed: [0, 0, 0] },
  { n: 10, k: strobe, at: [0.8, 3.5, 0.6], q: UP, place: 'stage floor', fixed: [0, -3, 1.6] },
  { n: 11, k: hazer, at: [-3.1, 2.8, 0.6], q: UP, place: 'stage floor', fixed: [-2, 0, 1] },
];

/** Fills the hall with trusses and heads up to sixty lights. */
export function crowd(): void {
  const rows = [-1.6, -3.4, -5.2, -7];
  rows.forEach((y, row) => {
    room.places.push({ name: `truss ${row + 1}`, kind: 'truss', from: [-4.2, y, 3.9], to: [4.2, y, 3.9], load: '96 of 240 kg', length: 8.4, fields: [] });
    for (let i = 0; i < (row === 0 ? 13 : 12); i++) {
      const x = -3.9 + i * (row === 0 ? 0.65 : 0.7);
      hung.push({ n: hung.length + 1, k: i % 3 ? wash : spot, at: [x, y, 3.85], q: HANGING, place: `truss ${row + 1}`, fixed: [0, 0, 0] });
    }
  });
}

const MODES = [{ name: '14-channel', channels: 14 }, { name: '9-channel', channels: 9 }];
/** What can be added, as the machine tells it. */
export const PROFILES: Scene['profiles'] = [wash, spot, par, pixel, strobe, hazer].map((k, i) => ({ name: k.kind, symbol: k.symbol, sort: k.symbol.replaceAll('_', ' '), own: i < 4, usual: true, questions: null, modes: MODES }));

const unitOf = (h: Hung): UnitView => ({
  number: h.n, kind: h.k.kind, symbol: h.k.symbol, mode: '14-channel', at: h.at, rotation: h.q, size: h.k.size,
  moves: h.k.moves, heads: h.k.heads, place: h.place, along: h.place.includes('stand') ? 0 : h.at[0], turn: 0, modes: MODES, run: 'driven', leader: null, programme: null, programmes: [], address: `1.${String(1 + 14 * (h.n - 1)).padStart(3, '0')}`, footprint: 14,
  menu: ['Addr', String(1 + 14 * (h.n - 1))], line: 'A', circuit: h.n < 8 ? 'stage wall' : 'kitchen',
  groups: h.k === wash ? ['heads'] : h.k === spot ? ['spots'] : [], sighting: null, reach: null,
});

export function scene(): Scene {
  return {
    show: 'Harvest supper and dance',
    room,
    units: hung.map(unitOf),
    reaches: [],
    groups: [{ name: 'heads', units: [1, 4, 8, 9] }, { name: 'spots', units: [2, 3] }, { name: 'pars', units: [5, 6] }],
    looks: [], chases: [], cues: [], scores: [],
    edits: { undo: null, redo: null, names: 0 }, swatches: [], figures: [], tonight: null, moods: [[], [], []], profiles: PROFILES, offers: [], free: [],
    plan: {
      headline: 'Eleven lights, one line, two circuits.',
      findings: [{
        severity: 'must change', what: 'The kitchen circuit will trip.', place: 'circuit kitchen', units: [8, 9, 10, 11],
        figure: '18.4 A of 16 A', rule: 'sum', source: 'breaker rating', remedy: 'Move strobe and hazer to the stage wall.',
      }],
      circuits: [
        { name: 'stage wall', amps: 2.6, limit_amps: 12.8, breaker_amps: 16, assumed: false, at: [-5, 2.6, 0.3], units: [1, 2, 3, 4, 5, 6, 7], sums: [], fields: [] },
        { name: 'kitchen', amps: 11.6, limit_amps: 12.8, breaker_amps: 16, assumed: true, at: [5, -2, 0.3], units: [8, 9, 10, 11], sums: [], fields: [] },
      ],
      lines: [{ name: 'line 1', kind: 'driven', from: [-3.6, -8.2, 0.8], units: [8, 1, 5, 2, 7, 3, 6, 4, 9, 10, 11], cables: 11, sums: [], legs: [], shorter: null }],
      places: [], others: [], divide: null, cases: [], mains: [],
    },
    flash_limit_hz: 3,
    flash_reason: null,
    generation: 0,
  };
}

type Want = { at?: V3; level: number; rgb: V3; gobo?: string; prism?: boolean; strobe?: number };
const AMBER: V3 = [1, 0.36, 0.05];
const ROSE: V3 = [1, 0.07, 0.2];
const PLUM: V3 = [0.3, 0.04, 1];
const WARM: V3 = [1, 0.6, 0.27];
const WHITE: V3 = [1, 0.86, 0.68];
const TEAL: V3 = [0.02, 0.75, 0.8];

/** What each light does at `t` seconds in one of the mock's looks. */
function want(look: string, n: number, t: number): Want {
  const circle = (cx: number, cy: number, r: number, phase: number, rate = 0.35): V3 => [
    cx + r * Math.cos(t * rate + phase), cy + 0.8 * r * Math.sin(t * rate + phase), 0,
  ];
  if (look === 'supper') {
    if (n === 1) return { at: [-3.3, -1.8, 0.7], level: 0.16, rgb: WARM };
    if (n === 4) return { at: [3.4, -2.6, 0.7], level: 0.16, rgb: WARM };
    if (n === 8) return { at: [-3.2, -5.0, 0.7], level: 0.1, rgb: AMBER };
    if (n === 9) return { at: [3.3, -5.4, 0.7], level: 0.1, rgb: AMBER };
    if (n === 2 || n === 3) return { at: [n === 2 ? -0.8 : 0.8, 2.4, 0.6], level: 0.05, rgb: WARM };
    if (n === 5 || n === 6) return { level: 0.07, rgb: AMBER };
    if (n === 7) return { level: 0.1, rgb: WARM };
    return { level: 0, rgb: WARM };
  }
  if (look === 'cake') {
    if (n === 2 || n === 3) return { at: [2.0, -0.5, 0.5], level: 0.55, rgb: WHITE };
    if (n === 8 || n === 9) return { at: [2.0, -0.5, 0.7], level: 0.35, rgb: WARM };
    if (n === 1 || n === 4) return { at: [n === 1 ? -3.3 : 3.3, -3.2, 0], level: 0.25, rgb: PLUM };
    if (n === 5 || n === 6) return { level: 0.3, rgb: n === 5 ? PLUM : ROSE };
    return { level: n === 7 ? 0.25 : 0, rgb: PLUM };
  }
  if (look === 'one') return { level: n === 2 ? 1 : 0, rgb: WHITE, at: [1.6, -4.2, 0] };
  if (look === 'gobo') {
    if (n === 2) return { at: [-1.6, -2.6, 0], level: 1, rgb: TEAL, gobo: 'leaves' };
    if (n === 3) return { at: [1.6, -2.4, 0], level: 1, rgb: WHITE, prism: true };
    if (n === 10) return { level: 0.6, rgb: [1, 1, 1], strobe: 8 };
    return { level: n > 9 ? 0 : 0.12, rgb: PLUM, at: [n < 5 ? -2 : 2, -4, 0] };
  }
  if (n > 11) {
    const phase = n * 0.9;
    return { at: circle(Math.sin(n) * 3, -4 + Math.cos(n * 1.7) * 2.6, 1, phase), level: 0.5, rgb: [AMBER, ROSE, PLUM, TEAL][n % 4] as V3 };
  }
  if (look === 'dark') return { level: 0, rgb: WHITE, at: [0, -3, 0] };
  if (n === 1) return { at: circle(-1.5, -2.6, 1.1, 0), level: 0.9, rgb: AMBER };
  if (n === 4) return { at: circle(1.7, -2.6, 1.1, 2), level: 0.9, rgb: AMBER };
  if (n === 2) return { at: [1.2, -2.4, 0], level: 0.8, rgb: WHITE };
  if (n === 3) return { at: circle(0.4, -1.6, 1.0, 1, 0.5), level: 0.7, rgb: ROSE };
  if (n === 8) return { at: circle(-0.6, -2.4, 0.8, 4), level: 1, rgb: PLUM };
  if (n === 9) return { at: circle(0.9, -3.0, 0.8, 5), level: 1, rgb: ROSE };
  if (n === 5 || n === 6) return { level: 0.5, rgb: AMBER };
  if (n === 7) return { level: 0.35, rgb: PLUM };
  return { level: 0, rgb: WHITE };
}

const held = new Map<number, V3>();
const shown = new Map<number, V3>();

/** Puts a light's spot on a point, as the machine would after an `aim`. */
export function aim(unit: number, at: V3): void {
  held.set(unit, at);
}

/** Lets go of a light's spot. */
export function letGo(unit: number): void {
  held.delete(unit);
}

const rad = (degrees: number) => (degrees * Math.PI) / 180;

function headsOf(h: Hung, w: Want, along: V3): HeadMoment[] {
  return Array.from({ length: h.k.heads }, (_, i) => {
    const across = h.k.heads > 1 ? ((i + 0.5) / h.k.heads - 0.5) * h.k.size[0] : 0;
    const drop = h.k.moves ? h.k.size[2] * 0.62 : h.k.size[2] * 0.5;
    const from: V3 = [0, 1, 2].map(
      (j) => (h.at[j] ?? 0) + (rotate(h.q, [across, 0, -drop])[j] ?? 0) + (along[j] ?? 0) * 0.1,
    ) as V3;
    const hit = h.k.candela > 0 ? hitRoom(room, from, along) : null;
    const ellipse = hit && coneOnPlane(from, along, rad(h.k.beam) / 2, hit.at, hit.normal);
    return {
      from, along, level: w.level, rgb: w.rgb, candela: w.level * h.k.candela, beam: rad(h.k.beam), field: rad(h.k.field),
      strobe_hz: w.strobe ?? 0, gobo: w.gobo ?? null, prism: w.prism ?? false, haze: h.k === hazer ? 0.6 : 0,
      spot: hit && {
        at: hit.at, surface: hit.surface, normal: hit.normal, throw_m: hit.t,
        centre: ellipse?.centre ?? hit.at, major: ellipse?.major ?? [0.5, 0, 0], minor: ellipse?.minor ?? [0, 0.5, 0],
        lux: (w.level * h.k.candela) / (hit.t * hit.t),
      },
    };
  });
}

export function moment(t: number, look = 'dance'): Moment {
  const lights: LightMoment[] = hung.map((h) => {
    const w = want(look, h.n, t);
    const target = h.k.moves ? (held.get(h.n) ?? w.at ?? [0, -3, 0]) : h.fixed;
    const before = shown.get(h.n) ?? target;
    const now: V3 = [0, 1, 2].map((j) => (before[j] ?? 0) + ((target[j] ?? 0) - (before[j] ?? 0)) * 0.25) as V3;
    shown.set(h.n, now);
    const pivot: V3 = [0, 1, 2].map((j) => (h.at[j] ?? 0) + (rotate(h.q, [0, 0, -h.k.size[2] * 0.6])[j] ?? 0)) as V3;
    const along = normalize(sub(now, pivot));
    const local = unrotate(h.q, along);
    return {
      unit: h.n, pan: Math.atan2(-local[0], local[1]), tilt: Math.acos(-local[2]), moving: false,
      driver: held.has(h.n) ? 'your hand' : 'Slow wheel', held: held.has(h.n), heads: headsOf(h, w, along),
    };
  });
  return {
    generation: 0, time_s: t, lights, score: null,
    now: {
      look: 'Full floor', chases: [{ name: 'Slow wheel', step: Math.floor(t / 2) % 4, speed: 1, calm: false, waits: false }], cue: 5, next_cue: 6, fade: 1, master: 0.8, groups: [1, 1, 1],
      blackout: false, stillness: false, strobe_stopped: false, tempo_bpm: 118, beat: (t * 118) / 60,
    },
    flashes: { rate: 1, acts: false, held: 0, slowed: 0 },
    link: { outputs: [], rate_hz: 44, ticks: t * 44, late: 0 },
    music: {
      source: null, says: 'Nothing is listened to. The tempo is the one that was set or tapped.', next: '', follow: true, sets: false, heard: false, lost: false,
      calm: false, in_bar: ((t * 118) / 60) % 4, bar_beats: 4, sure: 0, bar_sure: 0, bpm: null, times: 1, earlier_ms: 0, range: [30, 240], picks: false, mood: null, phase: null, energy: null, line_bars: null, level_db: null,
      peak_db: null, bands: [0, 0, 0], clips: false, delay_ms: null, gaps: 0,
    },
    sighting: null,
    file: null,
  };
}
