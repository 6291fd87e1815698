import { createEffect, onCleanup, onMount, Show } from 'solid-js';
import { preview } from '../begin';
import { aim, letGo, type Point } from '../act';
import { known, markInHand, missesOf, onlyStandIn, openLight, panel, ringsShown, seenBy, sightUnit } from '../sight';
import { followLux, luxMap } from '../lux';
import { roomAim, roomPick, spoken } from '../making';
import { tapped } from '../setup';
import { moment, pick, picked, scene, setUpAt, sightAt, stage, theme, unitOf } from '../state';
import { RoomView, type Insets } from '../room/view';
import { Views } from '../room/Views';
import { drawn, figures } from '../room/ways';
import { Labels } from './labels';

/** The picture of the room with its words over it. It is the same picture in every stage; only its frame differs. */
export function Picture(props: { insets: Insets }) {
  let frame!: HTMLDivElement;
  let canvas!: HTMLCanvasElement;

  onMount(() => {
    const choose = (unit: number | null, additive: boolean) => {
      // What is not there yet is not picked.
      if (preview()) return;
      // An open word of a sentence hears what is tapped.
      const word = roomPick();
      if (word) return unit === null ? undefined : word(unit);
      if (roomAim() && unit !== null) return;
      if (setUpAt()) return unit === null ? undefined : tapped(unit);
      if (!sightAt()) pick(unit, additive);
      else if (unit !== null && unitOf(unit)?.sighting) openLight(unit);
    };
    // Where an open word of a sentence says where, its lights go there together, and the place is taken when the hand
    // lets go.
    let last: Point | null = null;
    const drag = (unit: number, at: Point) => {
      const word = roomAim();
      if (!word?.lights.includes(unit)) return aim(unit, at);
      const movers = word.lights.filter((one) => unitOf(one)?.moves);
      for (const one of movers) aim(one, at);
      if (!last) {
        const end = () => {
          removeEventListener('pointerup', end);
          removeEventListener('pointercancel', end);
          if (last) word.end(last);
          last = null;
          letGo(movers);
        };
        // After the last of the drag itself.
        addEventListener('pointerup', end);
        addEventListener('pointercancel', end);
      }
      last = at;
    };
    const labels = new Labels(frame, choose);
    const view = new RoomView(canvas, {
      onPick: choose,
      onAim: drag,
      onLabels: (fresh) => labels.show(fresh),
    });
    const watch = new ResizeObserver(() => view.resize());
    watch.observe(frame);
    onCleanup(() => {
      watch.disconnect();
      view.dispose();
    });

    createEffect(() => {
      const now = preview()?.scene ?? scene();
      if (now) view.setScene(now);
    });
    createEffect(() => {
      const now = moment();
      const seen = preview();
      if (now) view.setMoment(seen ? { ...now, lights: seen.lights } : now);
    });
    createEffect(() => {
      const marked = [...(spoken() ?? picked())];
      view.setSelection(marked);
      labels.choose(marked);
    });
    seenBy((unit, right, down) => view.towards(unit, right, down));
    // Sighting in looks at the room while a spot is watched, and at the plan while a mark is chosen.
    const close = () => sightUnit() && panel() !== 'choose';
    createEffect(() => view.setView(setUpAt() ? (setUpAt() === 'check' ? 'evening' : 'rig') : sightAt() ? (close() ? 'evening' : 'rig') : drawn()));
    createEffect(() => view.setFigures(figures()));
    createEffect(() => {
      const unit = sightUnit();
      const about = known();
      if (!unit || !about || !close() || panel() === 'time') return view.setSighting(null);
      view.setSighting({ unit: unit.number, mark: panel() === 'aim' ? markInHand() : null, misses: missesOf(about), arrow: onlyStandIn() });
    });
    createEffect(() => view.setPlanSights(sightAt() ? { next: known()?.next_mark ?? null, misses: ringsShown() } : null));
    followLux(() => stage() === 'rig' && !sightAt() && !setUpAt());
    createEffect(() => view.setLux(luxMap()));
    createEffect(() => view.setTheme(theme()));
    createEffect(() => view.setInsets({ ...props.insets }));
  });

  return (
    <div class="picture" ref={frame}>
      <canvas ref={canvas} aria-label="The room as the stand-in shows it" role="img" />
      <div class="veil" />
      <Show when={!sightAt() && !setUpAt()}>
        <Views />
      </Show>
    </div>
  );
}
