// What ranges of values do, in plain words; how the show's text says it; what may do harm; and what the channel finder asks.
// Pure: no page, no state.
import type { Value } from './change.gen';
import type { ChannelReading, KindReading, ModeReading, RangeReading } from './wire.gen';

/** What a range is about, for its colour on the bar. Danger comes first. */
export type Sort = 'light' | 'colour' | 'position' | 'movement' | 'programme' | 'nothing' | 'danger';

/** The words of each sort, for the legend and for who sees no colours. */
export const SORTS: Record<Sort, string> = {
  light: 'light',
  colour: 'colour',
  position: 'position',
  movement: 'movement',
  programme: 'programme',
  nothing: 'nothing',
  danger: 'take care',
};

/** Something that a range may do: its attribute, how its values differ, and its words. */
export type Meaning = { attr: string; kind: KindReading; state?: 'open' | 'closed'; says: string };

/** What can be chosen, in plain words. */
export const MEANINGS: readonly Meaning[] = [
  { attr: 'Dimmer', kind: 'level', says: 'dims' },
  { attr: 'Shutter1', kind: 'fixed', state: 'open', says: 'open: steady light' },
  { attr: 'Shutter1', kind: 'fixed', state: 'closed', says: 'shut: dark' },
  { attr: 'Shutter1Strobe', kind: 'level', says: 'flashes' },
  { attr: 'Shutter1StrobePulse', kind: 'level', says: 'flashes in pulses' },
  { attr: 'Shutter1StrobeRandom', kind: 'level', says: 'flashes at random' },
  { attr: 'ColorAdd_R', kind: 'level', says: 'red' },
  { attr: 'ColorAdd_G', kind: 'level', says: 'green' },
  { attr: 'ColorAdd_B', kind: 'level', says: 'blue' },
  { attr: 'ColorAdd_W', kind: 'level', says: 'white' },
  { attr: 'ColorAdd_WW', kind: 'level', says: 'warm white' },
  { attr: 'ColorAdd_CW', kind: 'level', says: 'cold white' },
  { attr: 'ColorAdd_RY', kind: 'level', says: 'amber' },
  { attr: 'ColorAdd_GY', kind: 'level', says: 'lime' },
  { attr: 'ColorAdd_UV', kind: 'level', says: 'ultraviolet' },
  { attr: 'ColorAdd_C', kind: 'level', says: 'cyan' },
  { attr: 'ColorAdd_M', kind: 'level', says: 'magenta' },
  { attr: 'ColorAdd_Y', kind: 'level', says: 'yellow' },
  { attr: 'ColorSub_C', kind: 'level', says: 'takes red out' },
  { attr: 'ColorSub_M', kind: 'level', says: 'takes green out' },
  { attr: 'ColorSub_Y', kind: 'level', says: 'takes blue out' },
  { attr: 'CTO', kind: 'level', says: 'warms the white' },
  { attr: 'Color1', kind: 'fixed', says: 'a colour of its wheel' },
  { attr: 'Color1', kind: 'select', says: 'colours of its wheel' },
  { attr: 'Color1WheelSpin', kind: 'level', says: 'the colour wheel turns' },
  { attr: 'ColorMacro1', kind: 'select', says: 'colour changes' },
  { attr: 'ColorMacro1Rate', kind: 'level', says: 'how fast colours change' },
  { attr: 'Gobo1', kind: 'fixed', says: 'a pattern' },
  { attr: 'Gobo1', kind: 'select', says: 'patterns' },
  { attr: 'Gobo1WheelSpin', kind: 'level', says: 'the pattern wheel turns' },
  { attr: 'Gobo1SelectShake', kind: 'level', says: 'a pattern shakes' },
  { attr: 'Gobo1Pos', kind: 'level', says: 'how a pattern is turned' },
  { attr: 'Gobo1PosRotate', kind: 'level', says: 'a pattern turns' },
  { attr: 'Prism1', kind: 'fixed', says: 'prism' },
  { attr: 'Prism1Pos', kind: 'level', says: 'how the prism is turned' },
  { attr: 'Prism1PosRotate', kind: 'level', says: 'the prism turns' },
  { attr: 'Iris', kind: 'level', says: 'iris' },
  { attr: 'Frost1', kind: 'level', says: 'frost' },
  { attr: 'Zoom', kind: 'level', says: 'wider or narrower' },
  { attr: 'Focus1', kind: 'level', says: 'sharper or softer' },
  { attr: 'Pan', kind: 'level', says: 'moves sideways' },
  { attr: 'Tilt', kind: 'level', says: 'moves up and down' },
  { attr: 'PanRotate', kind: 'level', says: 'turns round and round' },
  { attr: 'PositionMSpeed', kind: 'level', says: 'how fast it moves' },
  { attr: 'Effects1', kind: 'select', says: 'its own programmes' },
  { attr: 'Effects1Rate', kind: 'level', says: 'how fast its programme runs' },
  { attr: 'Fog1', kind: 'level', says: 'fog' },
  { attr: 'Haze1', kind: 'level', says: 'haze' },
  { attr: 'Fan1', kind: 'level', says: 'fan' },
  { attr: 'DimmerCurve', kind: 'select', says: 'how it dims' },
  { attr: 'Control1', kind: 'select', says: 'something else' },
  { attr: 'FixtureGlobalReset', kind: 'fixed', says: 'starts anew' },
  { attr: 'LampControl', kind: 'fixed', says: 'switches the lamp' },
  { attr: 'NoFeature', kind: 'none', says: 'nothing' },
];

/** The meaning of a range, if it is one of those; its place there. */
export function meaningOf(range: RangeReading): number {
  const state = range.attr === 'Shutter1' ? (range.state ?? (range.phys?.[0] === 0 ? 'closed' : 'open')) : undefined;
  const alike = MEANINGS.findIndex((one) => one.attr === range.attr && one.kind === range.kind && one.state === state);
  return alike >= 0 ? alike : MEANINGS.findIndex((one) => one.attr === range.attr && one.state === state);
}

/** What a range does, in plain words. */
export function says(range: RangeReading): string {
  if (range.kind === 'none' || range.attr === 'NoFeature') return 'nothing';
  const known = MEANINGS[meaningOf(range)]?.says ?? range.attr;
  const way = range.kind !== 'level' ? '' : range.dir === 'down' ? ', less with a larger value' : range.dir === null ? ', which way is not known' : '';
  return `${known}${way}`;
}

/** Its words: what the chart says, and what that was taken for where it says something else. */
export function told(range: RangeReading): string {
  const plain = says(range);
  const label = range.label.trim();
  if (!label) return plain;
  return label.toLowerCase().includes(plain.toLowerCase()) ? label : `${label}: ${plain}`;
}

/** What a channel is called: as the chart has it, or else by what it does. */
export function nameOf(channel: ChannelReading): string {
  if (channel.name.trim() && channel.name !== `channel ${channel.ch}`) return channel.name;
  const doing = channel.ranges.filter((one) => sortOf(one) !== 'nothing');
  const range = doing[0] ?? channel.ranges[0];
  if (!range) return 'not known';
  return (doing.length === 1 && range.label.trim()) || says(range).split(',')[0]!;
}

/** What it is about. */
export function sortOf(range: RangeReading): Sort {
  if (range.danger) return 'danger';
  const attr = range.attr;
  if (range.kind === 'none' || attr === 'NoFeature') return 'nothing';
  if (/^(Shutter1Strobe|Strobe|PanRotate|TiltRotate|PositionEffect|PositionMSpeed)|Spin|Rotate|Shake/.test(attr)) return 'movement';
  if (/^(Pan|Tilt)$/.test(attr)) return 'position';
  if (/^(ColorAdd|ColorSub|Color\d|ColorMacro\d$|CTO|CTC)/.test(attr)) return 'colour';
  if (/^(Effects|ColorMacro|Control|Function|Sound|LampControl|FixtureGlobalReset|DimmerCurve)/.test(attr)) return 'programme';
  return 'light';
}

/** Why a value wants a second press; the machine says the same. */
export function harm(range: RangeReading | undefined): string | null {
  if (!range) return null;
  if (range.danger === 'reset') return 'Here the light starts anew, and its head may swing anywhere.';
  if (range.danger === 'heater') return 'Here a heater, a pump or the lamp itself is switched.';
  if (range.danger === 'sound') return 'Here the light listens to its own microphone, outside the limit on flashes.';
  if (range.danger === 'programme') return 'Here the light runs a programme of its own, outside the limit on flashes.';
  if (range.danger) return 'The manual warns of this value.';
  if (/^(Shutter1Strobe|StrobeRate)/.test(range.attr)) return 'Here the light flashes, outside the limit on flashes: that can bring on seizures.';
  if (/^(Fog|Haze)1/.test(range.attr)) return 'This makes fog or haze: see to smoke alarms and to who breathes it first.';
  return null;
}

/** The range that a value lies in. */
export const rangeAt = (channel: ChannelReading, value: number): RangeReading | undefined =>
  channel.ranges.find((range) => range.from <= value && value <= range.to);

/** The channel has a fine byte. */
export const isWide = (mode: ModeReading, channel: ChannelReading): boolean => mode.channels.some((one) => one.fine_of === channel.ch);

/** A range as the show's text has it; `wide`: in two bytes. */
export function rangeTable(range: RangeReading, wide: boolean): { [key in string]: Value } {
  const [from, to] = wide ? [range.from * 256, range.to * 256 + 255] : [range.from, range.to];
  const table: { [key in string]: Value } = { values: from === to ? from : `${from}-${to}` };
  const nothing = range.attr === 'NoFeature' || range.kind === 'none';
  if (!nothing) {
    table.does = range.attr;
    table.kind = range.kind;
    if (range.dir === 'down') table.sense = 'down';
    const phys: [number, number] | null = range.phys ?? (range.state === 'open' ? [1, 1] : range.state === 'closed' ? [0, 0] : null);
    if (phys) table.physical = phys[0] === phys[1] ? phys[0] : [...phys];
    if (range.slot != null) table.slot = range.slot;
    if (range.hold_s != null) table.hold = `${range.hold_s} s`;
  }
  if (range.when) table.when = { channel: range.when.ch, values: range.when.from === range.when.to ? range.when.from : `${range.when.from}-${range.when.to}` };
  if (range.danger) table.danger = range.danger;
  if (range.label) table.label = range.label;
  if (range.origin !== 'stated' && range.origin !== 'unknown') table.origin = range.origin;
  return table;
}

/** A range that means something else from now on: what it was printed with stays, what that meant goes. */
export function meant(range: RangeReading, meaning: Meaning): RangeReading {
  const danger: Record<string, string> = { FixtureGlobalReset: 'reset', Effects1: 'programme', LampControl: 'heater' };
  return {
    ...range,
    attr: meaning.attr,
    kind: meaning.kind,
    dir: meaning.kind === 'level' ? 'up' : null,
    state: meaning.state ?? null,
    slot: null,
    hold_s: null,
    danger: danger[meaning.attr] ?? null,
    phys: null,
    unit: null,
    origin: 'stated',
  };
}

const sameWhen = (a: RangeReading, b: RangeReading) => JSON.stringify(a.when ?? null) === JSON.stringify(b.when ?? null);

/** The ranges with one end of one of them elsewhere; what touched it there goes with it, so that no value is left over. */
export function moved(ranges: readonly RangeReading[], at: number, end: 'from' | 'to', value: number): RangeReading[] {
  const out = ranges.map((range) => ({ ...range }));
  const mine = out[at];
  const other = out[end === 'from' ? at - 1 : at + 1];
  if (!mine) return out;
  const touched = other && sameWhen(mine, other) && (end === 'from' ? other.to === mine.from - 1 : other.from === mine.to + 1);
  mine[end] = value;
  if (touched && end === 'from') other.to = value - 1;
  if (touched && end === 'to') other.from = value + 1;
  return out.filter((range) => range === mine || range.from <= range.to);
}

/** Two ranges of one, cut in the middle; none where it has one value alone. */
export function split(ranges: readonly RangeReading[], at: number): RangeReading[] | null {
  const range = ranges[at];
  if (!range || range.from >= range.to) return null;
  const middle = Math.floor((range.from + range.to) / 2);
  return [...ranges.slice(0, at), { ...range, to: middle }, { ...range, slot: null, from: middle + 1 }, ...ranges.slice(at + 1)];
}

/** One range of two that follow on one another; it does what the first did. */
export function joined(ranges: readonly RangeReading[], at: number): RangeReading[] | null {
  const [range, next] = [ranges[at], ranges[at + 1]];
  if (!range || !next || !sameWhen(range, next)) return null;
  return [...ranges.slice(0, at), { ...range, to: next.to }, ...ranges.slice(at + 2)];
}

/** A range less: its values do nothing. */
export function emptied(ranges: readonly RangeReading[], at: number): RangeReading[] {
  const nothing = MEANINGS.find((one) => one.attr === 'NoFeature')!;
  return ranges.map((range, place) => (place === at ? { ...meant(range, nothing), label: '' } : range));
}

/** Values that no range has, as a range that does nothing; none where all have one. */
export function added(ranges: readonly RangeReading[]): RangeReading[] | null {
  let free = 0;
  const sorted = ranges.filter((range) => !range.when).sort((a, b) => a.from - b.from);
  for (const range of sorted) {
    if (range.from > free) break;
    free = range.to + 1;
  }
  if (free > 255 || ranges.some((range) => range.when)) return null;
  const next = sorted.find((range) => range.from > free);
  const none = { dir: null, state: null, slot: null, when: null, hold_s: null, danger: null, phys: null, unit: null };
  const fresh: RangeReading = { ...none, from: free, to: next ? next.from - 1 : 255, attr: 'NoFeature', kind: 'none', label: '', origin: 'stated', lines: [] };
  return [...ranges, fresh].sort((a, b) => a.from - b.from);
}

// The channel finder.

/** One thing to be seen: values to send one after the other, and what the chart says of them. */
export type FinderStep = { channel: ChannelReading; range: RangeReading; at: number; values: readonly number[]; careful: string | null };

/** What the finder steps through: every range of every channel but fine bytes; ends of levels, the middle of all else. */
export function finderSteps(mode: ModeReading): FinderStep[] {
  return mode.channels
    .filter((channel) => channel.fine_of == null)
    .flatMap((channel) =>
      channel.ranges.map((range, at) => ({
        channel,
        range,
        at,
        values: range.kind === 'level' && range.to > range.from ? [range.from, range.to] : [Math.floor((range.from + range.to) / 2)],
        careful: harm(range),
      })),
    );
}

/** What should be seen, as a sentence. */
export function expected(range: RangeReading): string {
  const attr = range.attr;
  if (range.kind === 'none' || attr === 'NoFeature') return 'Nothing should change.';
  if (attr === 'Dimmer' && range.kind === 'level') return 'The light should grow dim and bright.';
  if (attr.startsWith('ColorAdd_')) return `The ${says(range)} in the light should come and go.`;
  if (attr === 'Pan') return 'The beam should move sideways.';
  if (attr === 'Tilt') return 'The beam should move up and down.';
  if (/^(Shutter1Strobe|StrobeRate)/.test(attr)) return 'The light should flash, slower and faster.';
  if (attr === 'Shutter1') return range.state === 'closed' || range.phys?.[0] === 0 ? 'The light should be dark.' : 'The light should be steady.';
  return `The chart says: ${told(range)}.`;
}

/** What else may have been seen; each corrects the range, all but the last. */
export const SEEN: readonly { says: string; attr: string }[] = [
  { says: 'dims', attr: 'Dimmer' },
  { says: 'red', attr: 'ColorAdd_R' },
  { says: 'green', attr: 'ColorAdd_G' },
  { says: 'blue', attr: 'ColorAdd_B' },
  { says: 'white', attr: 'ColorAdd_W' },
  { says: 'flashes', attr: 'Shutter1Strobe' },
  { says: 'moves sideways', attr: 'Pan' },
  { says: 'moves up and down', attr: 'Tilt' },
  { says: 'colour changes', attr: 'ColorMacro1' },
  { says: 'pattern', attr: 'Gobo1' },
  { says: 'nothing', attr: 'NoFeature' },
  { says: 'something else', attr: 'Control1' },
];

/** A range as it was seen to be. What is something else is a guess, and stays to be found out. */
export function seenAs(range: RangeReading, attr: string): RangeReading {
  const meaning = MEANINGS.find((one) => one.attr === attr)!;
  const fresh = meant(range, meaning);
  return attr === 'Control1' ? { ...fresh, origin: 'guessed' } : fresh;
}
