// Lights of the mock's show as they are hung: added, moved, addressed, taken away.
import type { Change } from '../src/change.gen';
import { addressOf, addressWords, blocksOf, laid } from '../src/rigging';
import type { RoomView, Scene, UnitView } from '../src/wire.gen';
import { PROFILES } from './mock';

/** A refusal, in words for the person. */
export class NoLight extends Error {}

type Hung = { units: UnitView[]; groups: Scene['groups'] };

/** Where more lights of each width would answer. */
export function whereFree(units: readonly UnitView[]): Scene['free'] {
  const widths = [...new Set(PROFILES.flatMap((kind) => kind.modes.map((mode) => mode.channels)))];
  return widths.flatMap((channels) =>
    [null, 1, 2].map((universe) => {
      const addresses: string[] = [];
      for (const at of universe === null ? [1, 2] : [universe]) {
        const taken = blocksOf(units, at);
        for (let slot = 1; slot + channels <= 513 && addresses.length < 24; slot += 1) {
          if (taken.some((block) => block.from < slot + channels && block.to >= slot)) continue;
          taken.push({ from: slot, to: slot + channels - 1, label: '', kind: 'new' });
          addresses.push(addressWords(at, slot));
        }
      }
      return { channels, universe, addresses };
    }),
  );
}

/** Makes a change to lights or groups; what was done, or nothing where it is no such change. */
export function hang(show: Hung, it: Change, room: RoomView): string | undefined {
  switch (it.type) {
    case 'light_add': {
      const kind = PROFILES.find((one) => one.name === it.profile);
      const mode = kind?.modes.find((one) => one.name === it.mode) ?? kind?.modes[0];
      const place = room.places.find((one) => one.name === it.place);
      const like = show.units.find((unit) => unit.kind === it.profile) ?? show.units[0];
      if (!kind || !mode || !place || !like) throw new NoLight('There is no such kind or place.');
      const free = whereFree(show.units).find((view) => view.channels === mode.channels && view.universe === null)?.addresses ?? [];
      const first = (show.units.at(-1)?.number ?? 0) + 1;
      for (let i = 0; i < it.count; i += 1) {
        const along = Math.round(100 * place.length * ((i + 0.5) / it.count - 0.5)) / 100;
        show.units.push({
          ...structuredClone(like), number: first + i, kind: kind.name, symbol: kind.symbol, mode: mode.name, footprint: mode.channels, modes: kind.modes,
          place: place.name, along, at: [(place.from[0] + place.to[0]) / 2 + along, place.from[1], place.from[2]], address: free[i] ?? null, circuit: null, groups: [], sighting: null,
        });
      }
      return `${it.count} more on "${it.place}", from ${free[0]}.`;
    }
    case 'light_remove':
      show.units = show.units.filter((unit) => !it.lights.includes(unit.number));
      show.groups = show.groups.map((group) => ({ ...group, units: group.units.filter((unit) => !it.lights.includes(unit)) })).filter((group) => group.units.length > 0);
      return `Light ${it.lights.join(', ')} is removed.`;
    case 'group_add':
      show.groups.push({ name: it.name, units: it.lights });
      return `Group "${it.name}" is added.`;
    case 'group_set':
      show.groups = show.groups.map((group) => (group.name === it.name ? { ...group, units: it.lights } : group));
      return `Group "${it.name}" is changed.`;
    case 'light_set':
      show.units = show.units.map((unit) => (it.lights.includes(unit.number) ? set(unit, it, it.lights.indexOf(unit.number), room) : unit));
      for (const unit of show.units) {
        const at = unit.address === null ? undefined : addressOf(unit.address);
        if (at && it.field === 'address' && laid(blocksOf(show.units, at.universe)).some((block) => block.clash)) throw new NoLight(`Light ${unit.number} overlaps another light: choose another address.`);
      }
      return `Light ${it.lights.join(', ')}: ${it.field} is ${JSON.stringify(it.value)} now.`;
    default:
      return undefined;
  }
}

function set(unit: UnitView, it: Extract<Change, { type: 'light_set' }>, index: number, room: RoomView): UnitView {
  const value = Array.isArray(it.value) ? (it.value[index] ?? null) : it.value;
  const place = room.places.find((one) => one.name === (it.field === 'place' ? value : unit.place));
  switch (it.field) {
    case 'address':
      if (typeof value === 'string' && !addressOf(value)) throw new NoLight(`address: "${value}" is none: write universe and start address with a point between, such as "1.101"`);
      return { ...unit, address: value === null ? null : String(value) };
    case 'place':
      return { ...unit, place: String(value), at: place ? [...place.from] : unit.at };
    case 'at':
      return { ...unit, along: Number(value ?? 0), at: [(place ? (place.from[0] + place.to[0]) / 2 : 0) + Number(value ?? 0), unit.at[1], unit.at[2]] };
    case 'turn':
      return { ...unit, turn: parseFloat(String(value ?? 0)) };
    case 'mode':
      return { ...unit, mode: String(value), footprint: unit.modes.find((mode) => mode.name === value)?.channels ?? unit.footprint };
    case 'circuit':
      return { ...unit, circuit: value === null ? null : String(value) };
    default:
      throw new NoLight('The stand-in sets no such field.');
  }
}
