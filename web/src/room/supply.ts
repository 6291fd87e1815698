// On the rig's plan: how power runs from each socket, and marks on what findings speak of.
import type { FindingView, Scene } from '../wire.gen';
import type { V3 } from './geometry';
import type { Ink } from './ink';
import type { ScreenPoint } from './eye';

type Eye = { project(p: V3): ScreenPoint };

/** One run of power: from a socket to the lights of one place. Round the corner as a lead is laid along a wall, then along the place. */
export function powerRuns(scene: Scene): V3[][] {
  const runs: V3[][] = [];
  for (const circuit of scene.plan.circuits) {
    if (!circuit.at) continue;
    const from = circuit.at;
    for (const place of scene.room.places) {
      const lights = scene.units.filter((unit) => unit.place === place.name && circuit.units.includes(unit.number));
      if (lights.length === 0) continue;
      const away = (p: V3) => Math.hypot(p[0] - from[0], p[1] - from[1]);
      const end = away(place.from) <= away(place.to) ? place.from : place.to;
      const last = lights.reduce((far, unit) => (along(end, unit.at) > along(end, far.at) ? unit : far));
      // From a floor or a stand the lead runs to the light itself.
      const enter = place.kind === 'bar' || place.kind === 'truss' ? end : last.at;
      runs.push([from, [from[0], enter[1], 0], enter, last.at]);
    }
  }
  return runs;
}

const along = (end: V3, at: V3) => Math.hypot(at[0] - end[0], at[1] - end[1]);

/** Dotted, a little beside the place, so that it is told from the data line without colour. */
export function drawPower(ink: Ink, eye: Eye, scene: Scene): void {
  for (const run of powerRuns(scene)) {
    const points = run.map((point) => {
      const at = eye.project(point);
      return { ...at, x: at.x, y: at.y + 5 };
    });
    ink.line(points, { colour: ink.inks.soft, width: 1.2, dash: [1, 5], halo: false });
  }
}

/** What carries a mark: the gravest finding that speaks of it alone, or nearly. */
export type Pointed = { units: Map<number, FindingView['severity']>; places: Map<string, FindingView['severity']> };

/** A finding about more lights than this is about the whole rig. */
const FEW = 3;

export function pointedAt(findings: readonly FindingView[]): Pointed {
  const pointed: Pointed = { units: new Map(), places: new Map() };
  const note = <K>(into: Map<K, string>, key: K, severity: string) => !into.has(key) && into.set(key, severity);
  // They come with the worst first.
  for (const finding of findings) {
    if (finding.severity === 'for your information') continue;
    note(pointed.places, finding.place, finding.severity);
    if (finding.units.length <= FEW || finding.severity === 'must change') for (const unit of finding.units) note(pointed.units, unit, finding.severity);
  }
  return pointed;
}

/** The finding's own shape: a filled square for what must change, a triangle for what to take care of. */
export function drawMark(ink: Ink, at: { x: number; y: number }, severity: string): void {
  ink.draw((c) => {
    c.fillStyle = ink.inks.bright;
    c.strokeStyle = ink.inks.page;
    c.lineWidth = 3;
    c.beginPath();
    if (severity === 'must change') c.rect(at.x - 4.5, at.y - 4.5, 9, 9);
    else {
      c.moveTo(at.x, at.y - 6);
      c.lineTo(at.x + 6, at.y + 5);
      c.lineTo(at.x - 6, at.y + 5);
      c.closePath();
    }
    c.stroke();
    c.fill();
  });
}
