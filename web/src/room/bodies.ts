import {
  BoxGeometry, CylinderGeometry, DataTexture, FloatType, Matrix4, NearestFilter, Quaternion, RGBAFormat, TorusGeometry,
  Vector3,
} from 'three';
import type { BufferGeometry } from 'three';
import type { UnitView } from '../wire.gen';
import { Build, placed, Stuff, type Finish } from './build';
import { cross, dot, length, normalize, scale, sub, unrotate, type V3 } from './geometry';
import type { Beam, LiveLight } from './live';

// Lighter than black paint is, so that yoke and head are told apart in a dark room.
const BODY: Finish = { tone: [0.082, 0.08, 0.079], stuff: Stuff.satin };
const SEAM: Finish = { tone: [0.15, 0.147, 0.143], stuff: Stuff.satin };
const DARK: Finish = { tone: [0.03, 0.03, 0.03], stuff: Stuff.satin };
const LENS: Finish = { tone: [0.05, 0.05, 0.055], stuff: Stuff.satin };

const box = new BoxGeometry(1, 1, 1);
const can = new CylinderGeometry(1, 1, 1, 22, 1).applyMatrix4(new Matrix4().makeRotationX(Math.PI / 2));
const taper = new CylinderGeometry(1, 0.72, 1, 22, 1).applyMatrix4(new Matrix4().makeRotationX(-Math.PI / 2));
const rim = new TorusGeometry(1, 0.07, 6, 20);

/** Rows of the matrix texture of one unit (fixed base, yoke, head), and how it hangs. */
type Parts = { unit: UnitView; base: number; yoke: number; head: number; glow: number; pivot: number; hung: Matrix4 };

// Worked in again and again, so that a frame leaves nothing behind.
const turnedBy = new Matrix4();
const moved = new Matrix4();

/**
 * Every light's body in one geometry. Each body has three parts that move as one piece each (base, yoke, head); their
 * matrices lie in a texture that the vertex shader reads, so sixty lights cost one draw call.
 */
export class Bodies {
  readonly geometry: BufferGeometry;
  readonly matrices: DataTexture;
  readonly glows: DataTexture;
  private readonly parts: Parts[] = [];
  private readonly rows: Float32Array;
  private readonly shine: Float32Array;

  constructor(units: UnitView[]) {
    const build = new Build();
    let part = 0;
    let glow = 0;
    for (const unit of units) {
      const parts: Parts = { unit, base: part, yoke: part + 1, head: part + 2, glow, pivot: 0.62 * unit.size[2], hung: worldFromFixture(unit) };
      part += 3;
      glow += Math.max(1, unit.heads);
      body(build, parts);
      this.parts.push(parts);
    }
    this.geometry = build.finish(true);
    this.rows = new Float32Array(Math.max(1, part) * 16);
    this.shine = new Float32Array(Math.max(1, glow) * 4);
    this.matrices = new DataTexture(this.rows, 4, Math.max(1, part), RGBAFormat, FloatType);
    this.glows = new DataTexture(this.shine, 1, Math.max(1, glow), RGBAFormat, FloatType);
    for (const texture of [this.matrices, this.glows]) {
      texture.minFilter = texture.magFilter = NearestFilter;
      texture.needsUpdate = true;
    }
    this.pose([], () => 1);
  }

  /** Turns the bodies as the lights stand; `flash` answers how much of a strobing beam shows now. */
  pose(lights: LiveLight[], flash: (beam: Beam) => number): void {
    const byUnit = new Map(lights.map((light) => [light.unit, light]));
    for (const parts of this.parts) {
      const light = byUnit.get(parts.unit.number);
      this.turn(parts, light);
      for (let i = 0; i < Math.max(1, parts.unit.heads); i++) {
        const beam = light?.beams[i];
        const at = (parts.glow + i) * 4;
        if (beam) this.shine.set(beam.rgb, at);
        this.shine[at + 3] = beam ? Math.sqrt(Math.max(0, beam.level)) * flash(beam) : 0;
      }
    }
    this.matrices.needsUpdate = true;
    this.glows.needsUpdate = true;
  }

  dispose(): void {
    this.geometry.dispose();
    this.matrices.dispose();
    this.glows.dispose();
  }

  /**
   * The head follows the beam that is drawn; the yoke takes the pan of the motor and, should the two not agree, the
   * beam's own plane.
   */
  private turn({ unit, pivot, hung, base, yoke, head }: Parts, light: LiveLight | undefined): void {
    const beam = light?.beams[0];
    const along: V3 = beam ? normalize(unrotate(unit.rotation, beam.along)) : [0, 0, -1];
    let axis: V3 = unit.moves ? (light ? [Math.cos(light.pan), Math.sin(light.pan), 0] : [1, 0, 0]) : level(along);
    if (unit.moves && Math.abs(dot(axis, along)) > 0.05) axis = level(along);
    this.write(base, hung);
    if (unit.moves) setBasis(turnedBy, axis, [-axis[1], axis[0], 0], [0, 0, 1]);
    else turnedBy.identity();
    this.write(yoke, moved.multiplyMatrices(hung, turnedBy));
    // A frame whose -Z is the beam and whose X is the tilt axis.
    const x = normalize(sub(axis, scale(along, dot(axis, along))));
    const z = scale(along, -1);
    setBasis(turnedBy, x, cross(z, x), z).setPosition(0, 0, unit.moves ? -pivot : -0.5 * unit.size[2]);
    this.write(head, moved.multiplyMatrices(hung, turnedBy));
  }

  private write(row: number, matrix: Matrix4): void {
    this.rows.set(matrix.elements, row * 16);
  }
}

function worldFromFixture(unit: UnitView): Matrix4 {
  const q = unit.rotation;
  const turn = new Quaternion(q[0], q[1], q[2], q[3]).normalize();
  return new Matrix4().compose(new Vector3(...unit.at), turn, new Vector3(1, 1, 1));
}

function setBasis(out: Matrix4, x: V3, y: V3, z: V3): Matrix4 {
  return out.set(x[0], y[0], z[0], 0, x[1], y[1], z[1], 0, x[2], y[2], z[2], 0, 0, 0, 0, 1);
}

function level(along: V3): V3 {
  const side = cross(along, [0, 0, -1]);
  return length(side) > 0.02 ? normalize(side) : [1, 0, 0];
}

function body(build: Build, parts: Parts): void {
  const { symbol, moves } = parts.unit;
  if (moves) movingHead(build, parts);
  else if (symbol === 'bar') pixelBar(build, parts);
  else if (symbol === 'strobe') strobe(build, parts);
  else if (symbol === 'flood' || symbol === 'blinder') flood(build, parts);
  else if (symbol === 'scanner') scanner(build, parts);
  else if (symbol === 'machine') fanBox(build, parts);
  else if (symbol === 'hazer' || symbol === 'fogger' || symbol === 'dimmer') plainBox(build, parts);
  else if (symbol === 'profile_spot') profileSpot(build, parts);
  else parCan(build, parts);
}

function lens(build: Build, parts: Parts, head: number, x: number, z: number, radius: number): void {
  build.add(can, placed(x, 0, z, 0, radius, radius, 0.012), { ...LENS, part: parts.head, glow: parts.glow + head });
}

function movingHead(build: Build, parts: Parts): void {
  const [w, d, h] = parts.unit.size;
  const base = { ...BODY, part: parts.base };
  build.add(box, placed(0, 0, -0.13 * h, 0, 0.86 * w, 0.9 * d, 0.22 * h), base);
  build.add(can, placed(0, 0, -0.02 * h, 0, 0.05, 0.05, 0.04 * h + 0.04), base);
  const yoke = { ...BODY, part: parts.yoke };
  const r = Math.min(0.36 * w, 0.3 * h);
  build.add(box, placed(0, 0, -0.275 * h, 0, 0.98 * w, 0.42 * d, 0.05 * h), yoke);
  for (const s of [-1, 1]) {
    build.add(box, placed(s * 0.45 * w, 0, -0.47 * h, 0, 0.08 * w, 0.36 * d, 0.42 * h), yoke);
    const boss = placed(s * 0.45 * w, 0, -parts.pivot).multiply(new Matrix4().makeRotationY(Math.PI / 2));
    build.add(can, boss.multiply(new Matrix4().makeScale(0.2 * d, 0.2 * d, 0.1 * w)), { ...SEAM, part: parts.yoke });
  }
  const head = { ...BODY, part: parts.head };
  const long = parts.unit.symbol === 'spot_head' ? 0.52 * h : 0.42 * h;
  const front = -long * 0.55;
  build.add(can, placed(0, 0, front + long * 0.36, 0, r, r, long * 0.72), head);
  build.add(taper, placed(0, 0, front + long * 0.86, 0, r, r, long * 0.28), head);
  build.add(rim, placed(0, 0, front, 0, r * 0.93, r * 0.93, r), { ...SEAM, part: parts.head });
  // A collar where the back begins, so that one sees which way the head is turned.
  build.add(rim, placed(0, 0, front + long * 0.72, 0, r * 0.98, r * 0.98, r * 0.8), { ...SEAM, part: parts.head });
  lens(build, parts, 0, 0, front - 0.002, parts.unit.symbol === 'spot_head' ? r * 0.66 : r * 0.86);
}

function parCan(build: Build, parts: Parts): void {
  const [w, d, h] = parts.unit.size;
  const r = Math.min(w, Math.max(d, 0.6 * h)) * 0.42;
  const base = { ...BODY, part: parts.base };
  for (const s of [-1, 1]) build.add(box, placed(s * 0.47 * w, 0, -0.27 * h, 0, 0.03 * w, 0.12 * d, 0.54 * h), base);
  build.add(box, placed(0, 0, -0.01, 0, 0.96 * w, 0.12 * d, 0.02), base);
  const head = { ...BODY, part: parts.head };
  const long = 0.62 * h;
  build.add(can, placed(0, 0, 0, 0, r, r, long), head);
  build.add(taper, placed(0, 0, long * 0.6, 0, r, r, long * 0.24), head);
  const heads = Math.max(1, parts.unit.heads);
  for (let i = 0; i < heads; i++) {
    const a = (2 * Math.PI * i) / heads;
    const off = heads > 1 ? r * 0.5 : 0;
    const piece = placed(off * Math.cos(a), off * Math.sin(a), -long * 0.5 - 0.004, 0, heads > 1 ? r * 0.4 : r * 0.88, heads > 1 ? r * 0.4 : r * 0.88, 0.012);
    build.add(can, piece, { ...LENS, part: parts.head, glow: parts.glow + i });
  }
  if (parts.unit.symbol === 'fresnel') barnDoors(build, parts, r, long);
}

/** A lamp house, a narrower barrel before it, and the ends of the four shutters that are pushed by hand. */
function profileSpot(build: Build, parts: Parts): void {
  const [w, d, h] = parts.unit.size;
  const r = Math.min(w, h) * 0.4;
  const base = { ...BODY, part: parts.base };
  for (const s of [-1, 1]) build.add(box, placed(s * 0.47 * w, 0, -0.27 * h, 0, 0.03 * w, 0.1 * w, 0.54 * h), base);
  build.add(box, placed(0, 0, -0.01, 0, 0.96 * w, 0.1 * w, 0.02), base);
  const head = { ...BODY, part: parts.head };
  const long = Math.max(d, 1.2 * h);
  build.add(can, placed(0, 0, 0.22 * long, 0, r, r, 0.44 * long), head);
  build.add(can, placed(0, 0, -0.26 * long, 0, 0.62 * r, 0.62 * r, 0.52 * long), head);
  for (let i = 0; i < 4; i++) {
    const flap = placed(0, 0, -0.02 * long)
      .multiply(new Matrix4().makeRotationZ((i * Math.PI) / 2))
      .multiply(placed(0, r * 1.02, 0, 0, r * 0.34, r * 0.3, 0.008));
    build.add(box, flap, { ...SEAM, part: parts.head });
  }
  lens(build, parts, 0, 0, -0.52 * long - 0.004, 0.56 * r);
}

/** A shallow house, open in front: one field, or a lamp for each head side by side or two by two. */
function flood(build: Build, parts: Parts): void {
  const [w, , h] = parts.unit.size;
  const deep = 0.45 * Math.min(w, h);
  const base = { ...BODY, part: parts.base };
  for (const s of [-1, 1]) build.add(box, placed(s * 0.49 * w, 0, -0.25 * h, 0, 0.03 * w, 0.08 * w, 0.5 * h), base);
  const head = { ...BODY, part: parts.head };
  build.add(box, placed(0, 0, 0, 0, 0.94 * w, h, deep), head);
  const heads = Math.max(1, parts.unit.heads);
  const across = heads <= 3 ? heads : Math.ceil(Math.sqrt(heads));
  const rows = Math.ceil(heads / across);
  for (let i = 0; i < heads; i++) {
    const x = (((i % across) + 0.5) / across - 0.5) * 0.9 * w;
    const y = ((Math.floor(i / across) + 0.5) / rows - 0.5) * 0.9 * h;
    const cell = { ...LENS, part: parts.head, glow: parts.glow + i };
    const r = 0.42 * Math.min((0.9 * w) / across, (0.9 * h) / rows);
    if (parts.unit.symbol === 'blinder') build.add(can, placed(x, y, -0.5 * deep - 0.004, 0, r, r, 0.012), cell);
    else build.add(box, placed(x, y, -0.5 * deep - 0.004, 0, (0.82 * w) / across, (0.82 * h) / rows, 0.01), cell);
  }
}

/** A house that lies still, and the mirror on its arm before the lens. */
function scanner(build: Build, parts: Parts): void {
  const [w, d, h] = parts.unit.size;
  const r = 0.42 * Math.min(w, h);
  const long = Math.max(d, 1.5 * h);
  build.add(box, placed(0, 0, -0.01, 0, 0.8 * w, 0.2 * w, 0.02), { ...BODY, part: parts.base });
  const head = { ...BODY, part: parts.head };
  build.add(box, placed(0, 0, 0.1 * long, 0, 0.9 * w, h, 0.66 * long), head);
  lens(build, parts, 0, 0, -0.23 * long - 0.004, 0.6 * r);
  build.add(box, placed(0, 0.5 * h, -0.36 * long, 0, 0.1 * w, 0.06 * h, 0.3 * long), head);
  const mirror = placed(0, 0.1 * h, -0.46 * long).multiply(new Matrix4().makeRotationX(0.7));
  build.add(box, mirror.multiply(new Matrix4().makeScale(0.6 * w, 0.8 * h, 0.012)), { ...SEAM, part: parts.head });
}

/** A house with a round grille on its front. */
function fanBox(build: Build, parts: Parts): void {
  const [w, d, h] = parts.unit.size;
  const base = { ...BODY, part: parts.base };
  build.add(box, placed(0, 0, -0.5 * h, 0, w, d, 0.92 * h), base);
  const r = 0.4 * Math.min(w, h);
  const front = placed(0, -0.5 * d, -0.5 * h).multiply(new Matrix4().makeRotationX(Math.PI / 2));
  build.add(can, front.clone().multiply(new Matrix4().makeScale(r, r, 0.02)), { ...DARK, part: parts.base });
  build.add(rim, front.clone().multiply(new Matrix4().makeScale(r, r, r)), { ...SEAM, part: parts.base });
  build.add(can, front.multiply(new Matrix4().makeScale(0.22 * r, 0.22 * r, 0.05)), { ...SEAM, part: parts.base });
}

function barnDoors(build: Build, parts: Parts, r: number, long: number): void {
  for (let i = 0; i < 4; i++) {
    const flap = placed(0, 0, -long * 0.5)
      .multiply(new Matrix4().makeRotationZ((i * Math.PI) / 2))
      .multiply(placed(0, r, 0))
      .multiply(new Matrix4().makeRotationX(0.5))
      .multiply(placed(0, 0, -r * 0.45, 0, r * 1.7, 0.008, r * 0.9));
    build.add(box, flap, { ...DARK, part: parts.head });
  }
}

function pixelBar(build: Build, parts: Parts): void {
  const [w, d, h] = parts.unit.size;
  const head = { ...BODY, part: parts.head };
  build.add(box, placed(0, 0, 0, 0, w, d, 0.7 * h), head);
  for (const s of [-1, 1]) {
    build.add(box, placed(s * 0.36 * w, 0, -0.25 * h, 0, 0.03, 0.4 * d, 0.5 * h), { ...BODY, part: parts.base });
  }
  const heads = Math.max(1, parts.unit.heads);
  for (let i = 0; i < heads; i++) {
    const x = ((i + 0.5) / heads - 0.5) * w;
    const cell = placed(x, 0, -0.35 * h - 0.004, 0, (0.82 * w) / heads, 0.8 * d, 0.01);
    build.add(box, cell, { ...LENS, part: parts.head, glow: parts.glow + i });
  }
}

function strobe(build: Build, parts: Parts): void {
  const [w, d, h] = parts.unit.size;
  build.add(box, placed(0, 0, 0.06 * h, 0, w, Math.max(d, 0.5 * h), 0.5 * h), { ...BODY, part: parts.head });
  const heads = Math.max(1, parts.unit.heads);
  for (let i = 0; i < heads; i++) {
    const x = ((i + 0.5) / heads - 0.5) * w * 0.9;
    const cell = placed(x, 0, -0.2 * h, 0, (0.86 * w) / heads, 0.34 * h, 0.014);
    build.add(box, cell, { ...LENS, part: parts.head, glow: parts.glow + i });
  }
}

function plainBox(build: Build, parts: Parts): void {
  const [w, d, h] = parts.unit.size;
  const base = { ...BODY, part: parts.base };
  build.add(box, placed(0, 0, -0.5 * h, 0, w, d, 0.92 * h), base);
  const nozzle = placed(0, -0.5 * d, -0.62 * h).multiply(new Matrix4().makeRotationX(Math.PI / 2));
  build.add(can, nozzle.multiply(new Matrix4().makeScale(0.045, 0.045, 0.06)), { ...DARK, part: parts.base });
}
