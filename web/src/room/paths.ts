import type { Moment, Scene } from '../wire.gen';
import type { Projector } from './eye';
import type { V3 } from './geometry';
import type { Ink } from './ink';

/** The paths that the chosen lights' spots run now: of the step that is on in the chase that drives them, or of the base look. */
export function pathsNow(scene: Scene, moment: Moment | null, chosen: readonly number[]): V3[][] {
  if (!moment) return [];
  return moment.lights.flatMap((light) => {
    if (!chosen.includes(light.unit) || light.held) return [];
    const running = moment.now.chases.find((chase) => chase.name === light.driver);
    const chase = running && scene.chases.find((one) => one.name === running.name);
    const name = chase ? chase.steps[running.step] : moment.now.look;
    const path = scene.looks.find((look) => look.name === name)?.paths.find((one) => one.unit === light.unit);
    return path ? [path.points] : [];
  });
}

/** Fine closed lines in the room. */
export function drawPaths(ink: Ink, view: Pick<Projector, 'project'>, paths: readonly V3[][]): void {
  for (const path of paths) ink.line(path.map((p) => view.project(p)), { colour: ink.inks.soft, width: 1, halo: false }, true);
}
