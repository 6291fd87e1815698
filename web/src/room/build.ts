import { BufferAttribute, BufferGeometry, Matrix4, Vector3 } from 'three';

/** How a surface is shaded (see `solidFragment`). */
export const Stuff = { plain: 0, boards: 1, plaster: 2, satin: 3 } as const;

/** What every vertex of a piece has in common. */
export type Finish = {
  /** Linear-light reflectance. */
  tone: [number, number, number];
  stuff?: number;
  /** Row of the part's matrix, for pieces that move. */
  part?: number;
  /** Row of the lens's glow; -1 for none. */
  glow?: number;
};

/** Gathers many small shapes into one geometry, so that the room costs one draw call. */
export class Build {
  private place: number[] = [];
  private normal: number[] = [];
  private tone: number[] = [];
  private stuff: number[] = [];
  private part: number[] = [];
  private glow: number[] = [];
  private ball: number[] = [];
  private index: number[] = [];

  add(shape: BufferGeometry, matrix: Matrix4, finish: Finish): void {
    const start = this.place.length / 3;
    const place = shape.getAttribute('position');
    const normal = shape.getAttribute('normal');
    const turn = new Matrix4().copy(matrix).invert().transpose();
    const v = new Vector3();
    shape.computeBoundingSphere();
    const round = shape.boundingSphere?.clone().applyMatrix4(matrix);
    for (let i = 0; i < place.count; i++) {
      v.fromBufferAttribute(place, i).applyMatrix4(matrix);
      this.place.push(v.x, v.y, v.z);
      v.fromBufferAttribute(normal, i).transformDirection(turn);
      this.normal.push(v.x, v.y, v.z);
      this.tone.push(...finish.tone);
      this.stuff.push(finish.stuff ?? Stuff.plain);
      this.part.push(finish.part ?? 0);
      this.glow.push(finish.glow ?? -1);
      this.ball.push(round?.center.x ?? 0, round?.center.y ?? 0, round?.center.z ?? 0, round?.radius ?? 1e3);
    }
    const index = shape.getIndex();
    if (index) for (let i = 0; i < index.count; i++) this.index.push(start + index.getX(i));
    else for (let i = 0; i < place.count; i++) this.index.push(start + i);
  }

  /** A flat four-sided face; corners counter-clockwise as seen from its front. */
  face(a: number[], b: number[], c: number[], d: number[], finish: Finish): void {
    const shape = new BufferGeometry();
    shape.setAttribute('position', new BufferAttribute(new Float32Array([...a, ...b, ...c, ...d]), 3));
    shape.setIndex([0, 1, 2, 0, 2, 3]);
    shape.computeVertexNormals();
    this.add(shape, new Matrix4(), finish);
  }

  /** The place of every vertex, and the ball round its piece, for what only throws shadows. */
  outline(): BufferGeometry {
    const out = new BufferGeometry();
    out.setAttribute('position', new BufferAttribute(new Float32Array(this.place), 3));
    out.setAttribute('ball', new BufferAttribute(new Float32Array(this.ball), 4));
    out.setIndex(this.index);
    return out;
  }

  finish(moves: boolean): BufferGeometry {
    const out = new BufferGeometry();
    const set = (name: string, data: number[], size: number) =>
      out.setAttribute(name, new BufferAttribute(new Float32Array(data), size));
    set('position', this.place, 3);
    set('normal', this.normal, 3);
    set('tone', this.tone, 3);
    set('stuff', this.stuff, 1);
    if (moves) {
      set('part', this.part, 1);
      set('glow', this.glow, 1);
    }
    out.setIndex(this.index);
    return out;
  }
}

/** Turned about the vertical, then moved. */
export function placed(x: number, y: number, z: number, turn = 0, sx = 1, sy = 1, sz = 1): Matrix4 {
  return new Matrix4()
    .makeTranslation(x, y, z)
    .multiply(new Matrix4().makeRotationZ(turn))
    .multiply(new Matrix4().makeScale(sx, sy, sz));
}
