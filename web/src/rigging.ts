// What the rig's editors say and reckon with. Pure: no page, no state.
import type { Value } from './change.gen';
import type { FreeView, PlaceView, UnitView } from './wire.gen';
import { list, plural } from './words';

/** Slots in a universe. */
export const SLOTS = 512;
/** Slots in one row of the address map. */
export const ROW = 64;

/** A light's slots in a universe, or those that one would take. */
export type Block = {
  /** First and last slot; the last may lie past 512. */
  from: number;
  to: number;
  /** What stands in it: '3', '5 and 6', 'new'. */
  label: string;
  /** Whether it is there, in hand, or not there yet. */
  kind: 'there' | 'mine' | 'new';
};

/** A block with what it collides with. */
export type Laid = Block & { clash: boolean };

/** '1.049' as universe and slot; '49' is in the universe `near`. None where it is no address. */
export function addressOf(text: string, near = 1): { universe: number; slot: number } | undefined {
  const found = /^(?:(\d{1,5})\.)?(\d{1,3})$/.exec(text.trim());
  if (!found) return undefined;
  const [universe, slot] = [Number(found[1] ?? near), Number(found[2])];
  return universe >= 1 && slot >= 1 && slot <= SLOTS ? { universe, slot } : undefined;
}

/** An address as the machine writes it. */
export const addressWords = (universe: number, slot: number) => `${universe}.${String(slot).padStart(3, '0')}`;

/** The lights of a universe as blocks, those of one address together; `mine` is the light in hand, `without` is left out. */
export function blocksOf(units: readonly UnitView[], universe: number, mine?: number, without?: number): Block[] {
  const at = new Map<string, { from: number; to: number; units: number[] }>();
  for (const unit of units) {
    const address = unit.address === null ? undefined : addressOf(unit.address);
    if (!address || address.universe !== universe || unit.footprint === 0 || unit.number === without) continue;
    const to = address.slot + unit.footprint - 1;
    const key = `${address.slot} ${to}`;
    const there = at.get(key) ?? { from: address.slot, to, units: [] };
    there.units.push(unit.number);
    at.set(key, there);
  }
  return [...at.values()].map(({ from, to, units }) => ({ from, to, label: units.join(', '), kind: mine !== undefined && units.includes(mine) ? 'mine' : 'there' }));
}

/** Blocks in order, each with whether it takes a slot of another, or one that there is not. */
export function laid(blocks: readonly Block[]): Laid[] {
  const sorted = [...blocks].sort((a, b) => a.from - b.from || a.to - b.to);
  return sorted.map((block) => ({
    ...block,
    clash: block.to > SLOTS || sorted.some((other) => other !== block && other.from <= block.to && other.to >= block.from),
  }));
}

/** The universes that lights answer in, ascending. */
export function universesOf(units: readonly UnitView[]): number[] {
  const all = units.flatMap((unit) => (unit.address === null ? [] : (addressOf(unit.address)?.universe ?? [])));
  return [...new Set(all)].sort((a, b) => a - b);
}

/** All of a universe in words: 'Light 1 from 1 to 16; new from 17 to 32; 480 slots are free.' */
export function mapWords(blocks: readonly Laid[]): string {
  const taken = new Set(blocks.flatMap((block) => Array.from({ length: Math.max(0, Math.min(SLOTS, block.to) - block.from + 1) }, (_, i) => block.from + i)));
  const who = (block: Laid) => (block.kind === 'new' ? block.label : `light${block.label.includes(',') ? 's' : ''} ${block.label}`);
  const each = blocks.map((block) => `${who(block)} from ${block.from} to ${block.to}${block.clash ? ', which collides' : ''}`);
  return [...each, `${SLOTS - taken.size} slots are free`].join('; ');
}

/** Where more lights would answer. */
export function freeFor(free: readonly FreeView[], channels: number, universe: number | null): readonly string[] {
  return free.find((view) => view.channels === channels && view.universe === universe)?.addresses ?? [];
}

/** '1 small spot head', '3 small spot heads'. */
export const kinds = (n: number, kind: string) => `${n} ${plural(kind, n)}`;

/** 'address 1.049', 'addresses 1.049 and 1.065'; 'addresses 1.001, 1.017 and so on to 1.113' where they are many. */
export function addresses(all: readonly string[]): string {
  if (all.length < 2) return `address ${all.join('')}`;
  return all.length <= 4 ? `addresses ${list(all)}` : `addresses ${all[0]}, ${all[1]} and so on to ${all.at(-1)}`;
}

/** Metres to the centimetre without needless places: '1.2 m'. */
export const exactly = (m: number) => `${String(Math.round(Math.abs(m) * 100) / 100)}\u00a0m`;

/** Where along its place: 'in the middle', '1.2 m right of the middle'. */
export function alongWords(place: Pick<PlaceView, 'from' | 'to'> | undefined, along: number): string {
  if (Math.abs(along) < 0.005) return 'in the middle';
  const [dx, dy] = place ? [place.to[0] - place.from[0], place.to[1] - place.from[1]] : [1, 0];
  const towards = Math.abs(dx) >= Math.abs(dy) ? (dx * along < 0 ? 'left of' : 'right of') : dy * along < 0 ? 'nearer than' : 'beyond';
  return `${exactly(along)} ${towards} the middle`;
}

/** 'not turned', 'turned 90°'. */
export const turnWords = (degrees: number) => (degrees === 0 ? 'not turned' : `turned ${degrees}°`);

/** A typed number with its unit, or none: '1,5 m' is 1.5. */
export function typedNumber(text: string, unit: RegExp): number | undefined {
  const bare = text.replace(unit, '').replace('−', '-').replace(',', '.').trim();
  return bare !== '' && Number.isFinite(Number(bare)) ? Number(bare) : undefined;
}

/** A field as it is typed, in the show file's own kind: points are lists, counts are numbers, a lead has length and size; `null` for nothing, `undefined` for what cannot be read. */
export function valueOf(field: string, text: string): Value | null | undefined {
  const plain = text.trim();
  if (plain === '') return null;
  switch (field) {
    case 'at':
    case 'middle':
      return numbers(plain, 3);
    case 'points':
      return numbers(plain, 2);
    case 'legs':
    case 'phase':
      return /^\d$/.test(plain) ? Number(plain) : undefined;
    case 'outdoors':
      return plain === 'true';
    case 'lead': {
      const [length, cable] = plain.split(/\s*,\s*|\s+of\s+/, 2);
      return cable ? { length: length!, cable } : plain;
    }
    default:
      return plain;
  }
}

/** So many numbers with commas between them. */
function numbers(text: string, many: number): number[] | undefined {
  const parts = text.replace(/^\[|\]$/g, '').split(/\s*,\s*/);
  const read = parts.map((part) => (/^\s*[-−]?\d+(\.\d+)?\s*m?\s*$/.test(part) ? Number(part.replace('−', '-').replace(/m\s*$/, '')) : NaN));
  return read.length === many && read.every(Number.isFinite) ? read : undefined;
}
