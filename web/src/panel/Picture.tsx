import { createEffect, onCleanup, onMount } from 'solid-js';
import { aim } from '../act';
import { moment, pick, picked, scene, stage, theme } from '../state';
import { RoomView, type Insets } from '../room/view';
import { Labels } from './labels';

/** The picture of the room with its words over it. It is the same picture in every stage; only its frame differs. */
export function Picture(props: { insets: Insets }) {
  let frame!: HTMLDivElement;
  let canvas!: HTMLCanvasElement;

  onMount(() => {
    const labels = new Labels(frame, (unit, additive) => pick(unit, additive));
    const view = new RoomView(canvas, {
      onPick: pick,
      onAim: (unit, at) => aim(unit, at),
      onLabels: (fresh) => labels.show(fresh),
    });
    const watch = new ResizeObserver(() => view.resize());
    watch.observe(frame);
    onCleanup(() => {
      watch.disconnect();
      view.dispose();
    });

    createEffect(() => {
      const now = scene();
      if (now) view.setScene(now);
    });
    createEffect(() => {
      const now = moment();
      if (now) view.setMoment(now);
    });
    createEffect(() => {
      view.setSelection(picked());
      labels.choose(picked());
    });
    createEffect(() => view.setView(stage() === 'rig' ? 'plan' : 'room'));
    createEffect(() => view.setTheme(theme()));
    createEffect(() => view.setInsets({ ...props.insets }));
  });

  return (
    <div class="picture" ref={frame}>
      <canvas ref={canvas} aria-label="The room as the stand-in shows it" role="img" />
      <div class="veil" />
    </div>
  );
}
