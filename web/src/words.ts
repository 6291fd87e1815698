// How figures and things are said on the page. Pure: no page, no state.
import type { Word } from './wire.gen';

/** `0.8` as '80 %'. */
export function percent(part: number): string {
  return `${Math.round(part * 100)}\u00a0%`;
}

/** A light's level in words: 'dark', 'full', '62 %'. */
export function level(part: number): string {
  if (part < 0.005) return 'dark';
  if (part >= 0.995) return 'full';
  return percent(part);
}

/** Metres with one place, two below one metre: '5.9 m', '0.45 m'. */
export function metres(m: number): string {
  return `${m.toFixed(m < 1 ? 2 : 1)} m`;
}

/** Centimetres with at most two figures that mean something: '0.8 cm', '12 cm', '1.4 m'. */
export function centimetres(cm: number): string {
  if (cm >= 99.5) return `${(cm / 100).toFixed(1)}\u00a0m`;
  return `${cm < 1 ? cm.toFixed(1) : Math.round(cm)}\u00a0cm`;
}

/** Lux with at most three figures: '0.8 lx', '46 lx', '1,240 lx'. */
export function lux(lx: number): string {
  if (lx < 10) return `${lx.toFixed(1)} lx`;
  const step = lx < 1000 ? 1 : 10;
  return `${count(Math.round(lx / step) * step)} lx`;
}

/** Amps: '5.4 A', '16 A'. */
export function amps(a: number): string {
  return `${trim(a)}\u00a0A`;
}

/** Seconds as people say them: '3 s', '1.5 s', '2 min', '1 min 30 s'. */
export function seconds(s: number): string {
  if (s < 60) return `${trim(s)} s`;
  const minutes = Math.floor(s / 60);
  const rest = Math.round(s - minutes * 60);
  return rest === 0 ? `${minutes} min` : `${minutes} min ${rest} s`;
}

/** Beats a minute without needless places: '118', '117.5'. */
export function tempo(bpm: number): string {
  return trim(bpm);
}

/** A whole number with its thousands parted: '12,400'. */
export function count(n: number): string {
  return String(Math.round(n)).replace(/\B(?=(\d{3})+$)/g, ',');
}

/** What the flash limit holds back: 'held back: 3 flashes', 'held back: 1 flash, 2 lights flash more slowly'. */
export function heldBack(flashes: number, slowed: number): string {
  const parts: string[] = [];
  if (flashes > 0 || slowed === 0) parts.push(`${count(flashes)} ${flashes === 1 ? 'flash' : 'flashes'}`);
  if (slowed > 0) parts.push(slowed === 1 ? '1 light flashes more slowly' : `${slowed} lights flash more slowly`);
  return `held back: ${parts.join(', ')}`;
}

/** Groups that are below 100 %, in words: 'washes at 40 % and spots at 0 %'; past three of them how many more there are. */
export function groupsAt(groups: readonly { name: string; level: number }[]): string {
  const told = groups.length > 3 ? groups.slice(0, 2) : groups;
  const more = groups.length - told.length;
  return list([...told.map(({ name, level }) => `${name} at ${percent(level)}`), ...(more > 0 ? [`${more} more groups below ${percent(1)}`] : [])]);
}

/** A clock time: '21:02'. */
export function clock(time: Date): string {
  const two = (n: number) => String(n).padStart(2, '0');
  return `${two(time.getHours())}:${two(time.getMinutes())}`;
}

/** '2', '2 and 3', '2, 3 and 4'. */
export function list(items: readonly (string | number)[]): string {
  if (items.length < 2) return items.join('');
  return `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`;
}

/** A kind of thing, of so many: 'wash head', 'wash heads', 'strobes'. */
export const plural = (kind: string, n: number): string => (n === 1 ? kind : `${kind}${/(s|x|ch)$/.test(kind) ? 'es' : 's'}`);

/** 'light 2', 'lights 2 and 3'. */
export function lights(numbers: readonly number[]): string {
  return `${numbers.length === 1 ? 'light' : 'lights'} ${list(numbers)}`;
}

/** The first letter made large. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A told sentence that starts with a name and a colon, without them: for under a heading that says the name. */
export function withoutName(words: readonly Word[], name: string): readonly Word[] {
  const [first, ...rest] = words;
  const start = `${name}: `;
  if (!first?.text.startsWith(start)) return words;
  const left = { ...first, text: first.text.slice(start.length) };
  const kept = left.text === '' ? rest : [left, ...rest];
  const [head, ...tail] = kept;
  return head ? [{ ...head, text: capital(head.text) }, ...tail] : kept;
}

/** Puts 'the' before a name of a thing unless it has its own article. */
export function the(name: string): string {
  return /^(the|a|an|my|our)\s/i.test(name) ? name : `the ${name}`;
}

/** Keeps figures and their units on one line. */
export function keepUnits(text: string): string {
  return text.replace(/(\d) (?=(%|lx|cd|m|cm|s|min|A|VA|V|K|kg|Hz|W|Ω)(\W|$))/g, '$1\u00a0');
}

/** What was found and its figure as one sentence: 'The circuit is nearly full: 12 A of 12.8 A.' */
export function found(what: string, figure: string): string {
  const said = figure ? `${what.replace(/\.$/, '')}${what.includes(':') ? '; ' : ': '}${figure.replace(/: /g, ' ')}` : what;
  return keepUnits(/[.!?]$/.test(said) ? said : `${said}.`);
}

/** How many letters a sentence has. */
export function lettersIn(words: readonly Word[]): number {
  return words.reduce((sum, word) => sum + word.text.length, 0);
}

/** A sentence, or if it is longer than `most` letters, as many of its clauses as fit, one at least. */
export function clauses(words: readonly Word[], most: number): Word[] {
  if (lettersIn(words) <= most) return [...words];
  let room = most;
  let end: { word: number; at: number } | undefined;
  for (const [index, { text }] of words.entries()) {
    for (const found of text.matchAll(/[:;.](?=\s|$)/g)) {
      if (end && found.index > room) break;
      end = { word: index, at: found.index };
    }
    room -= text.length;
    if (end && room < 0) break;
  }
  if (!end) return [...words];
  const last = words[end.word];
  return [...words.slice(0, end.word), { text: `${last?.text.slice(0, end.at)}.`, colour: last?.colour ?? null, of: last?.of ?? null }];
}

/** A colour word as people say it: what is only written as `#rrggbb` gets the plainest name of that colour. */
export function sayColour(text: string): string {
  const hex = text.trim();
  return /^#[0-9a-f]{6}$/i.test(hex) ? text.replace(hex, colourWord(brightest(decodeHex(hex)))) : text;
}

/** A colour that a hand can choose: its word, how an intent writes it, and what to draw. */
export type ColourChoice = { word: string; write: string; hex: string };

/** The short list of colours offered beside the full choice. Whites are asked for in kelvin. */
export const COLOURS: readonly ColourChoice[] = [
  { word: 'white', write: '5600 K', hex: '#fff0e9' },
  { word: 'warm white', write: '3000 K', hex: '#ffb56e' },
  { word: 'amber', write: '#ffa000', hex: '#ffa000' },
  { word: 'orange', write: '#ff6000', hex: '#ff6000' },
  { word: 'red', write: '#ff0000', hex: '#ff0000' },
  { word: 'rose', write: '#ff3070', hex: '#ff3070' },
  { word: 'magenta', write: '#ff00ff', hex: '#ff00ff' },
  { word: 'violet', write: '#8000ff', hex: '#8000ff' },
  { word: 'blue', write: '#0000ff', hex: '#0000ff' },
  { word: 'cyan', write: '#00ffff', hex: '#00ffff' },
  { word: 'green', write: '#00ff00', hex: '#00ff00' },
  { word: 'yellow', write: '#ffff00', hex: '#ffff00' },
];

/** More names that a seen colour may have, beside those that can be chosen. */
const SEEN: readonly { word: string; hex: string }[] = [
  ...COLOURS,
  { word: 'white', hex: '#ffffff' },
  { word: 'cool white', hex: '#cfdcff' },
  { word: 'candle white', hex: '#ff9a42' },
  { word: 'pink', hex: '#ff8fc0' },
  { word: 'pale pink', hex: '#ffc0d0' },
  { word: 'pale blue', hex: '#a0d0ff' },
  { word: 'purple', hex: '#c000ff' },
  { word: 'light blue', hex: '#5aa0ff' },
  { word: 'sea green', hex: '#00ffa0' },
  { word: 'lime', hex: '#a0ff00' },
];

type Triple = readonly [number, number, number];

/** The plainest name of a linear-light sRGB colour whose largest part is 1. */
export function colourWord(linear: Triple): string {
  const lab = okLab(linear);
  let best = 'white';
  let least = Infinity;
  for (const { word, hex } of SEEN) {
    const other = okLab(decodeHex(hex));
    const away = Math.hypot(lab[0] - other[0], lab[1] - other[1], lab[2] - other[2]);
    if (away < least) {
      least = away;
      best = word;
    }
  }
  return best;
}

/** Linear-light sRGB as `#rrggbb`. */
export function hexOf(linear: Triple): string {
  return `#${linear.map((part) => Math.round(encode(part) * 255).toString(16).padStart(2, '0')).join('')}`;
}

function brightest(linear: Triple): Triple {
  const most = Math.max(...linear);
  return most > 0 ? [linear[0] / most, linear[1] / most, linear[2] / most] : linear;
}

function decodeHex(hex: string): Triple {
  const part = (at: number) => decode(parseInt(hex.slice(at, at + 2), 16) / 255);
  return [part(1), part(3), part(5)];
}

// The sRGB transfer curve of IEC 61966-2-1.
function encode(linear: number): number {
  const c = Math.min(1, Math.max(0, linear));
  return c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055;
}

function decode(coded: number): number {
  return coded <= 0.04045 ? coded / 12.92 : ((coded + 0.055) / 1.055) ** 2.4;
}

// OKLab as in CSS Color 4, section 10 (sample code): equal distances look about equally different.
function okLab([r, g, b]: Triple): Triple {
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}

function trim(n: number): string {
  return String(Math.round(n * 10) / 10);
}
