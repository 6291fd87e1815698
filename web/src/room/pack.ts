import { DataTexture, FloatType, NearestFilter, RGBAFormat } from 'three';
import { clamp, cross, sideways, type V3 } from './geometry';
import type { Beam } from './live';
import { patternOf } from './patterns';

/** As many lit heads as the shaders loop over; the brightest are kept. */
export const MAX_HEADS = 64;
const TEXELS = 5;
/** The profile's value at the rim of the cone that is drawn: 2^-7. */
const RIM = 7;

/** What is other than in the frame before: a light, only the air and the eye, or nothing. */
export type Change = 'lights' | 'air' | 'none';

/** One lit head as the shaders see it. */
export type PackedHead = {
  beam: Beam;
  /** Tangents of half the beam angle and of the cone's rim. */
  tanBeam: number;
  tanRim: number;
  /** Exponent of the falloff across the beam. */
  power: number;
  right: V3;
  up: V3;
};

/**
 * The lit heads of a frame as rows of a float texture, and what the eye makes of them together: exposure and the light
 * that floor and walls throw back.
 *
 * Falloff across a beam is `2^-(r^p)` with `r` the tangent of the angle off axis over that of half the beam angle; `p`
 * is chosen so that the value at the field angle is a tenth. Equal to a Gaussian where field is 1.82 times beam.
 */
export class Pack {
  readonly texture: DataTexture;
  heads: PackedHead[] = [];
  exposure = 0.004;
  bounce: V3 = [0, 0, 0];
  haze = 0.5;
  /** A bar's heads are drawn as at most this many beams. */
  headsPerUnit = 4;
  /** Exposure, haze and bounce may stray by this part from what was drawn. */
  slack = 0.004;
  private shown: number[] = [];
  private readonly data = new Float32Array(MAX_HEADS * TEXELS * 4);
  private awake = false;

  constructor() {
    this.texture = new DataTexture(this.data, TEXELS, MAX_HEADS, RGBAFormat, FloatType);
    this.texture.minFilter = this.texture.magFilter = NearestFilter;
  }

  /**
   * Takes the beams of this frame. `flash` answers how much of a strobing beam shows now. `area` is the room's floor
   * in square metres.
   */
  take(beams: Beam[], flash: (beam: Beam) => number, area: number, dt: number): Change {
    const merged = mergeBars(beams, this.headsPerUnit).filter((beam) => beam.candela > 0.5 && beam.field > 0.001);
    this.heads = brightest(merged).map(shape);
    const before = this.data.slice();
    this.data.fill(0);
    this.heads.forEach((head, row) => this.write(row, head, flash(head.beam)));
    const changed = before.some((value, i) => value !== this.data[i]);
    if (changed) this.texture.needsUpdate = true;
    const haze = beams.reduce((sum, beam) => sum + beam.haze, 0);
    const drifted = this.adapt(area, haze, dt);
    if (!changed && !drifted) return 'none';
    this.shown = this.airNow();
    return changed ? 'lights' : 'air';
  }

  private write(row: number, head: PackedHead, flash: number): void {
    const { beam, tanBeam, tanRim, right, power } = head;
    const intensity = beam.candela * flash;
    const pattern = beam.gobo ? patternOf(beam.gobo) : 0;
    this.data.set(
      [
        ...beam.from, beam.candela > 0 ? tanRim : 0,
        ...beam.along, tanBeam,
        beam.rgb[0] * intensity, beam.rgb[1] * intensity, beam.rgb[2] * intensity, power,
        ...right, pattern + (beam.prism ? 32 : 0),
        row, tanRim, 0, 0,
      ],
      row * TEXELS * 4,
    );
  }

  /**
   * Lets the eye follow: quickly into bright light, so that nothing glares, slowly back, not at all in the dark (what
   * comes after a blackout is what was before it), and never with a strobe's flashes.
   */
  private adapt(area: number, hazers: number, dt: number): boolean {
    let lux = 0;
    const bounce: V3 = [0, 0, 0];
    for (const { beam, tanBeam } of this.heads) {
      const lumens = beam.candela * Math.PI * tanBeam * tanBeam * 1.44;
      const luminous = 0.2126 * beam.rgb[0] + 0.7152 * beam.rgb[1] + 0.0722 * beam.rgb[2];
      // Coloured light looks brighter than its luminance says; the half keeps a blue look from being washed out.
      lux += (lumens * (0.5 + 0.5 * luminous)) / area;
      for (let i = 0; i < 3; i++) bounce[i] = (bounce[i] ?? 0) + ((beam.rgb[i] ?? 0) * lumens * 0.05) / area;
    }
    const wanted = 0.15 / Math.pow(lux + 1.4, 0.78);
    const seconds = wanted < this.exposure ? 0.2 : 2.5;
    const ease = (tau: number) => (dt > 0 && this.awake ? 1 - Math.exp(-dt / tau) : 1);
    if (lux > 0.3) this.exposure += (wanted - this.exposure) * ease(seconds);
    this.bounce = this.bounce.map((v, i) => v + ((bounce[i] ?? 0) - v) * ease(0.12)) as V3;
    // Air is never quite clear, and haze builds up over half a minute.
    this.haze += (0.45 + 0.55 * Math.min(1, hazers) - this.haze) * ease(12);
    this.awake ||= lux > 0.3;
    return this.airNow().some((v, i) => Math.abs(v - (this.shown[i] ?? 0)) > this.slack * Math.abs(v) + 1e-7);
  }

  private airNow(): number[] {
    return [this.exposure, this.haze, ...this.bounce];
  }
}

function shape(beam: Beam): PackedHead {
  const tanBeam = Math.tan(clamp(beam.beam, 0.01, 2.6) / 2);
  const tanField = Math.tan(clamp(beam.field, 0.01, 2.9) / 2);
  const power = clamp(Math.log(Math.log2(10)) / Math.log(Math.max(1.06, tanField / tanBeam)), 1, 14);
  const right = sideways(beam.along);
  return {
    beam,
    tanBeam,
    power,
    tanRim: Math.min(5, tanBeam * Math.pow(RIM, 1 / power) * (beam.prism ? 2.2 : 1)),
    right,
    up: cross(right, beam.along),
  };
}

/** The brightest heads in the order of the rig, so that each keeps its row while it stays lit. */
function brightest(beams: Beam[]): Beam[] {
  if (beams.length <= MAX_HEADS) return beams;
  const kept = new Set([...beams].sort((a, b) => b.candela - a.candela).slice(0, MAX_HEADS));
  return beams.filter((beam) => kept.has(beam));
}

/** Neighbouring heads of one body taken together, so that a bar of eight costs no more than a few beams. */
function mergeBars(beams: Beam[], most: number): Beam[] {
  const byUnit = new Map<number, Beam[]>();
  for (const beam of beams) {
    const list = byUnit.get(beam.unit);
    if (list) list.push(beam);
    else byUnit.set(beam.unit, [beam]);
  }
  const out: Beam[] = [];
  for (const list of byUnit.values()) {
    const per = Math.ceil(list.length / most);
    for (let i = 0; i < list.length; i += per) out.push(together(list.slice(i, i + per)));
  }
  return out;
}

function together(list: Beam[]): Beam {
  const first = list[0] as Beam;
  if (list.length === 1) return first;
  const candela = list.reduce((sum, beam) => sum + beam.candela, 0);
  const mean = (pick: (beam: Beam) => V3, weight: (beam: Beam) => number): V3 => {
    const total = list.reduce((sum, beam) => sum + weight(beam), 0) || 1;
    return [0, 1, 2].map((i) => list.reduce((s, b) => s + (pick(b)[i] ?? 0) * weight(b), 0) / total) as V3;
  };
  return { ...first, candela, from: mean((b) => b.from, () => 1), rgb: mean((b) => b.rgb, (b) => b.candela + 1e-6) };
}
