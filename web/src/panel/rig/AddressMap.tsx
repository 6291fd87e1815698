import { createMemo, For, Show } from 'solid-js';
import { scene } from '../../state';
import { blocksOf, laid, mapWords, ROW, SLOTS, universesOf, type Block, type Laid } from '../../rigging';

type Piece = { block: Laid; row: number; column: number; span: number; first: boolean; says: boolean };

/** On the narrowest page a slot is so wide, a letter of a label, and what stands before it. */
const SLOT_PX = 4.6;
const LETTER_PX = 8;
const INSET_PX = 7;

/** A block in the rows that it stands in. */
function pieces(block: Laid): Piece[] {
  const last = Math.min(block.to, SLOTS);
  const all: Piece[] = [];
  for (let from = block.from; from <= last; ) {
    const row = Math.floor((from - 1) / ROW);
    const to = Math.min(last, (row + 1) * ROW);
    all.push({ block, row, column: from - row * ROW, span: to - from + 1, first: from === block.from, says: false });
    from = to + 1;
  }
  // Its label stands where there is most room for it.
  const widest = all.reduce<Piece | undefined>((best, piece) => (best && best.span >= piece.span ? best : piece), undefined);
  if (widest) widest.says = true;
  return all;
}

/** All pieces; a label that would run into the next block, so that half of a number stood there, is left out. */
function drawn(blocks: readonly Laid[]): Piece[] {
  const all = blocks.flatMap(pieces);
  return all.map((piece) => {
    const next = Math.min(ROW + 1, ...all.filter((other) => other.row === piece.row && other.column > piece.column).map((other) => other.column));
    return { ...piece, says: piece.says && (next - piece.column) * SLOT_PX >= piece.block.label.length * LETTER_PX + INSET_PX };
  });
}

/**
 * A universe of 512 slots, sixty-four to a row, with each light's block. `more` are blocks that are not there yet: lights
 * about to be added, an address about to be taken; `without` is the light that they are in place of.
 */
export function AddressMap(props: { universe: number; mine?: number | undefined; without?: number | undefined; more?: readonly Block[] }) {
  const blocks = createMemo(() => laid([...blocksOf(scene()?.units ?? [], props.universe, props.mine, props.without), ...(props.more ?? [])]));
  const rows = () => {
    const last = Math.max(1, ...blocks().map((block) => Math.min(SLOTS, block.to)));
    return Math.min(SLOTS / ROW, Math.ceil(last / ROW));
  };
  const clashes = () => blocks().filter((block) => block.clash);
  // Where a row is new only for a moment, nothing may jump: at least two stand.
  const shown = () => Array.from({ length: Math.max(2, rows()) }, (_, i) => i);
  return (
    <figure class="address-map">
      <figcaption class="fact">Universe {props.universe}</figcaption>
      <div class="address-rows" role="img" aria-label={`Universe ${props.universe}: ${mapWords(blocks())}.`}>
        <For each={shown()}>
          {(row) => (
            <>
              <span class="address-row-start" style={{ 'grid-row': row + 1 }}>
                {row * ROW + 1}
              </span>
              <i class="address-row-line" style={{ 'grid-row': row + 1 }} />
            </>
          )}
        </For>
        <For each={drawn(blocks())}>
          {(piece) => (
            <span
              class={`address-block ${piece.block.kind}`}
              classList={{ clash: piece.block.clash, on: !piece.first }}
              style={{ 'grid-row': piece.row + 1, 'grid-column': `${piece.column + 1} / span ${piece.span}` }}
            >
              <Show when={piece.says}>{piece.block.label}</Show>
            </span>
          )}
        </For>
      </div>
      <Show when={clashes().length > 0}>
        <p class="why">Slots are taken twice, or end after 512.</p>
      </Show>
    </figure>
  );
}

/** Every universe that lights answer in. */
export function AddressMaps(props: { mine?: number | undefined }) {
  const universes = createMemo(() => universesOf(scene()?.units ?? []), [], { equals: (a, b) => a.join() === b.join() });
  return (
    <For each={universes()} fallback={<p class="fact">No light has an address.</p>}>
      {(universe) => <AddressMap universe={universe} mine={props.mine} />}
    </For>
  );
}
