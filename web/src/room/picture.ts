import {
  AddEquation, AlwaysDepth, BufferAttribute, BufferGeometry, Color, CustomBlending, DepthTexture, GLSL3,
  FrontSide, HalfFloatType, InstancedBufferGeometry, LessEqualCompare, LinearFilter, Mesh, NearestFilter, OneFactor,
  OrthographicCamera, Scene as Group, ShaderMaterial, UnsignedByteType, UnsignedIntType, Vector2, Vector3, Vector4,
  WebGLRenderer, WebGLRenderTarget, DoubleSide, BackSide, NoBlending,
} from 'three';
import type { OrthographicCamera as Flat, PerspectiveCamera, ShaderMaterialParameters, Texture } from 'three';
import type { Scene } from '../wire.gen';
import { Bodies } from './bodies';
import type { Insets } from './eye';
import type { FlatSide } from './flat';
import type { V3 } from './geometry';
import type { Beam, LiveLight } from './live';
import { MAX_HEADS, Pack, type Change, type PackedHead } from './pack';
import { patterns } from './patterns';
import { ladder, ratio, type Ladder, type Quality } from './quality';
import * as glsl from './shaders';
import { BEYOND, buildRoom } from './shell';
import type { Open } from './words';

/** A picture lower than this is seen small, and so is drawn brighter. */
const SMALL_PX = 420;

/** From where the room is seen. */
export type Viewpoint = { readonly camera: PerspectiveCamera | Flat; position(): V3; direction(): V3; box?(): Open };

/** So many cheap frames at a coarse step before a finer one that was too dear is tried again. */
const PATIENCE = 400;

/** `kept` holds the room without bodies where a frame has to be cheap. */
type Targets = { solid: WebGLRenderTarget; kept: WebGLRenderTarget | null; lit: WebGLRenderTarget; air: WebGLRenderTarget };

/** The lit room (see shaders.ts for its passes): ten-odd draw calls, however many lights there are. */
export class Picture {
  readonly pack = new Pack();
  private readonly renderer: WebGLRenderer;
  private readonly screen = new OrthographicCamera(-1, 1, 1, -1, 0, 1);
  private readonly shared;
  private readonly room = new Group();
  private readonly lamps = new Group();
  private readonly again = new Group();
  private readonly casters = new Group();
  private readonly base = new Group();
  private readonly spots = new Group();
  private readonly air = new Group();
  private readonly whole = new Group();
  private readonly instanced: InstancedBufferGeometry[] = [coneGeometry(), coneGeometry(), quadGeometry()];
  private readonly shadowStuff: ShaderMaterial;
  private readonly roomStuff: ShaderMaterial;
  private readonly wallStuff: ShaderMaterial;
  private roof: Mesh | null = null;
  private readonly bodyStuff: ShaderMaterial;
  private bodies: Bodies | null = null;
  private shades: InstancedBufferGeometry | null = null;
  private targets: Targets | null = null;
  private atlas: WebGLRenderTarget | null = null;
  private stale = false;
  private keptFor = '';
  private rested = false;
  private turn = 0;
  private level: number;
  private tooDear = -1;
  private patience = 0;
  private readonly ladder: Ladder;
  private readonly floatTargets: boolean;
  private width = 1;
  private height = 1;
  private insets: Insets = { left: 0, top: 0, right: 0, bottom: 0 };
  private floorArea = 100;
  private airless = new Set<number>();
  private calls = { draws: 0, triangles: 0 };
  private pieces: (() => void)[] = [];
  private unseen = false;
  private fence: WebGLSync | null = null;
  private canvasSize = { w: 1, h: 1 };
  private gain = 1;
  private flat: FlatSide | null = null;
  private readonly changedRows: number[] = [];
  private readonly poses = new Float64Array(MAX_HEADS * 7).fill(NaN);

  /** Throws when the browser gives no WebGL 2. */
  constructor(canvas: HTMLCanvasElement, private eye: Viewpoint, card = false) {
    this.renderer = new WebGLRenderer({ canvas, antialias: false, alpha: false, depth: false, powerPreference: 'high-performance' });
    this.renderer.autoClear = false;
    this.renderer.info.autoReset = false;
    this.renderer.setClearColor(0x000000, 1);
    this.renderer.setPixelRatio(1);
    const gl = this.renderer.getContext();
    this.floatTargets = gl.getExtension('EXT_color_buffer_float') !== null || gl.getExtension('EXT_color_buffer_half_float') !== null;
    this.ladder = ladder(gl, card);
    this.level = this.ladder.from;
    this.pack.slack = this.ladder.slack;
    const texture = (value: Texture | null) => ({ value });
    this.shared = {
      lights: texture(this.pack.texture),
      patterns: texture(patterns()),
      shadows: texture(null),
      surfaces: texture(null),
      facings: texture(null),
      depths: texture(null),
      keptSurfaces: texture(null),
      keptFacings: texture(null),
      keptDepths: texture(null),
      lit: texture(null),
      air: texture(null),
      grid: { value: 4 },
      steps: { value: 8 },
      taps: { value: 4 },
      smoothing: { value: 1 },
      eye: { value: new Vector3() },
      forward: { value: new Vector3() },
      exposure: { value: 0.004 },
      dusk: { value: 1 },
      bounce: { value: new Vector3() },
      haze: { value: 0.5 },
      planes: { value: new Vector2() },
      parallel: { value: 0 },
      pixel: { value: 0.001 },
      airSize: { value: new Vector2() },
      roomLow: { value: new Vector3() },
      roomHigh: { value: new Vector3() },
      pixels: { value: new Vector2() },
      edges: { value: new Vector4() },
      soft: { value: new Vector4() },
      ink: { value: new Vector3() },
    };
    const stuff = (vertexShader: string, fragmentShader: string, more: ShaderMaterialParameters = {}) =>
      new ShaderMaterial({
        glslVersion: GLSL3, vertexShader, fragmentShader, side: DoubleSide, blending: NoBlending, uniforms: { ...this.shared }, ...more,
      });
    const flat = { depthTest: false, depthWrite: false };
    const added: ShaderMaterialParameters = {
      ...flat, transparent: true, blending: CustomBlending, blendEquation: AddEquation, blendSrc: OneFactor, blendDst: OneFactor,
    };
    this.roomStuff = stuff(glsl.solidVertex, glsl.solidFragment);
    // A wall is seen from inside the room only: from outside one looks through it, as into a model.
    this.wallStuff = stuff(glsl.solidVertex, glsl.solidFragment, { side: FrontSide });
    this.bodyStuff = stuff(glsl.solidVertex, glsl.solidFragment, { defines: { PARTS: '' } });
    this.shadowStuff = stuff(glsl.shadowVertex, glsl.shadowFragment, {
      uniforms: { lights: this.shared.lights, grid: this.shared.grid, rows: { value: new Float32Array(glsl.SHADOW_TILES) } },
    });
    const spotStuff = stuff(glsl.spotVertex, glsl.spotFragment, { ...added, side: BackSide });
    const beamStuff = stuff(glsl.beamVertex, glsl.beamFragment, { ...added, side: BackSide });
    const glareStuff = stuff(glsl.glareVertex, glsl.glareFragment, added);
    const finish = stuff(glsl.wholeVertex, glsl.wholeFragment, flat);
    const [spotCones, beamCones, quads] = this.instanced as [InstancedBufferGeometry, InstancedBufferGeometry, InstancedBufferGeometry];
    this.again.add(still(new Mesh(quadGeometry(), stuff(glsl.wholeVertex, glsl.keptFragment, { depthFunc: AlwaysDepth }))));
    this.base.add(still(new Mesh(quadGeometry(), stuff(glsl.wholeVertex, glsl.baseFragment, flat))));
    this.spots.add(still(new Mesh(spotCones, spotStuff)));
    this.air.add(still(new Mesh(beamCones, beamStuff)), still(new Mesh(quads, glareStuff)));
    this.whole.add(still(new Mesh(quadGeometry(), finish)));
    this.applyQuality();
  }

  /** `figures`: people stand in the room, for scale. */
  setScene(scene: Scene, figures = true): void {
    for (const group of [this.room, this.lamps, this.casters]) {
      for (const mesh of [...group.children]) {
        group.remove(mesh);
        if (mesh instanceof Mesh) (mesh.geometry as BufferGeometry).dispose();
      }
    }
    this.bodies?.dispose();
    const { shell, roof, things, casters } = buildRoom(scene.room, figures, scene.units);
    this.bodies = new Bodies(scene.units);
    this.airless = new Set(scene.units.filter((unit) => unit.symbol === 'machine').map((unit) => unit.number));
    this.bodyStuff.uniforms['matrices'] = { value: this.bodies.matrices };
    this.bodyStuff.uniforms['glows'] = { value: this.bodies.glows };
    this.lamps.add(still(new Mesh(this.bodies.geometry, this.bodyStuff)));
    this.roof = still(new Mesh(roof, this.wallStuff));
    this.roof.visible = this.flat !== 'plan';
    this.room.add(still(new Mesh(things, this.roomStuff)), still(new Mesh(shell, this.wallStuff)), this.roof);
    this.keptFor = '';
    this.shades = instances(casters);
    this.casters.add(still(new Mesh(this.shades, this.shadowStuff)));
    const { x, y, height } = scene.room;
    this.floorArea = Math.max(10, (x[1] - x[0]) * (y[1] - y[0]));
    this.shared.roomLow.value.set(x[0], y[0] - BEYOND, 0);
    this.shared.roomHigh.value.set(x[1], y[1], height);
    this.poses.fill(NaN);
  }

  /** Looks from another place: the eye in the room, or one of the drawings to scale. */
  setEye(eye: Viewpoint, flat: FlatSide | null): void {
    this.eye = eye;
    this.flat = flat;
    this.shared.parallel.value = flat ? 1 : 0;
    if (this.roof) this.roof.visible = flat !== 'plan';
    this.keptFor = '';
    this.brighten();
  }

  setSize(width: number, height: number, insets: Insets): void {
    this.width = Math.max(1, width);
    this.height = Math.max(1, height);
    this.insets = insets;
    this.brighten();
    this.sizeTargets();
  }

  /** A small picture is drawn brighter, and so is a drawing: what is dark must still be found there. */
  private brighten(): void {
    const small = this.height < SMALL_PX;
    this.gain = small ? 1.9 : 1.15;
    this.shared.dusk.value = this.flat ? 2.6 : small ? 2.2 : 1.3;
  }

  setInk(hex: string): void {
    const c = new Color().setStyle(hex, '');
    this.shared.ink.value.set(c.r, c.g, c.b);
  }

  /** Takes the lights of this frame and says what would look different. */
  take(lights: LiveLight[], flash: (beam: Beam) => number, dt: number): Change {
    // Bubbles and snow hang in no air.
    const beams = lights.flatMap((light) => (this.airless.has(light.unit) ? light.beams.map((beam) => ({ ...beam, haze: 0 })) : light.beams));
    const change = this.pack.take(beams, flash, this.floorArea, dt);
    if (change === 'lights') this.bodies?.pose(lights, flash);
    return this.stale ? 'lights' : change;
  }

  /**
   * Begins a frame and gives the card its first piece of work. Drawing to the screen waits for the card, and with it
   * the page; so where the processor draws, `show` comes only when `done` says that all else is finished.
   */
  begin(): void {
    if (this.rested) {
      this.rested = false;
      this.applyQuality();
    }
    this.pieces = [() => this.drawAll()];
    this.work();
  }

  /** Begins the picture at rest, as sharp as the screen, in pieces; `false` when it is so already. */
  beginFine(again: boolean): boolean {
    if (this.rested ? !again : this.quality().pixels >= this.ladder.resting.pixels) return false;
    if (!this.rested) {
      this.rested = true;
      this.applyQuality();
    }
    this.pieces = this.finePieces();
    this.work();
    return true;
  }

  /** Gives the card the next piece. */
  work(): void {
    this.pieces.shift()?.();
    this.unseen = true;
    if (!this.ladder.waits) return;
    const gl = this.renderer.getContext() as WebGL2RenderingContext;
    if (this.fence) gl.deleteSync(this.fence);
    this.fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
    gl.flush();
  }

  /** Where the frame stands: the card is at work, it wants its next piece, it can be shown, or there is none. */
  state(): 'busy' | 'more' | 'ready' | 'none' {
    if (!this.unseen) return 'none';
    if (this.fence) {
      const gl = this.renderer.getContext() as WebGL2RenderingContext;
      if (!gl.isContextLost() && gl.getSyncParameter(this.fence, gl.SYNC_STATUS) !== gl.SIGNALED) return 'busy';
      gl.deleteSync(this.fence);
      this.fence = null;
    }
    return this.pieces.length > 0 ? 'more' : 'ready';
  }

  /** Puts the finished frame on the screen. */
  show(): void {
    const { renderer } = this;
    this.unseen = false;
    if (this.canvasSize.w !== renderer.domElement.width || this.canvasSize.h !== renderer.domElement.height) {
      renderer.setSize(this.canvasSize.w, this.canvasSize.h, false);
    }
    renderer.setRenderTarget(null);
    renderer.render(this.whole, this.screen);
    this.calls = { draws: renderer.info.render.calls, triangles: renderer.info.render.triangles };
  }

  private drawAll(): void {
    const { targets } = this;
    if (!targets) return;
    this.setUp();
    this.drawShadows(this.pack.heads);
    this.drawSolid(targets);
    this.drawLit(targets);
    this.drawAir(targets);
  }

  /** The same as `drawAll`, one strip of one pass at a time. */
  private finePieces(): (() => void)[] {
    const { targets } = this;
    if (!targets) return [];
    const strips = (target: WebGLRenderTarget, count: number, draw: () => void) => {
      const { x, y, z, w } = target.scissor;
      const high = Math.ceil(w / count);
      return Array.from({ length: count }, (_, i) => () => {
        target.scissor.set(x, y + i * high, z, Math.max(0, Math.min(high, w - i * high)));
        draw();
        target.scissor.set(x, y, z, w);
      });
    };
    return [
      () => {
        this.setUp();
        this.drawShadows(this.pack.heads);
      },
      ...strips(targets.solid, 3, () => this.drawSolid(targets)),
      ...strips(targets.lit, 5, () => this.drawLit(targets)),
      ...strips(targets.air, 5, () => this.drawAir(targets)),
    ];
  }

  private setUp(): void {
    const { renderer, shared, eye } = this;
    renderer.info.reset();
    shared.exposure.value = this.pack.exposure * this.gain;
    // From above every beam lies before its own spot: thinner air lets the spots be seen.
    shared.haze.value = this.pack.haze * (this.flat === 'plan' ? 0.45 : 1);
    shared.bounce.value.set(...this.pack.bounce);
    shared.eye.value.set(...eye.position());
    shared.forward.value.set(...eye.direction());
    shared.planes.value.set(eye.camera.near, eye.camera.far);
    shared.pixel.value = 2 / (eye.camera.projectionMatrix.elements[5] * (this.targets?.lit.height ?? 1));
    this.cutOut();
    for (const geometry of this.instanced) geometry.instanceCount = this.pack.heads.length;
  }

  private drawLit({ lit }: Targets): void {
    this.renderer.setRenderTarget(lit);
    this.renderer.render(this.base, this.screen);
    if (this.pack.heads.length > 0) this.renderer.render(this.spots, this.eye.camera);
  }

  private drawAir({ air }: Targets): void {
    this.renderer.setRenderTarget(air);
    this.renderer.clear(true, false, false);
    if (this.pack.heads.length > 0) this.renderer.render(this.air, this.eye.camera);
  }

  drawCalls(): number {
    return this.calls.draws;
  }

  triangles(): number {
    return this.calls.triangles;
  }

  /** Takes what frames cost in the middle, milliseconds; `true` when they are less or more work from now on. */
  costs(middle: number): boolean {
    const { steps, dear, cheap } = this.ladder;
    const wanted = this.level + (middle > dear ? 1 : middle < cheap ? -1 : 0);
    if (wanted === this.level || wanted < 0 || wanted >= steps.length) return false;
    // A step that proved too dear is not tried again soon.
    if (wanted < this.level && wanted <= this.tooDear && this.patience++ < PATIENCE) return false;
    this.patience = 0;
    this.tooDear = wanted > this.level ? this.level : -1;
    this.level = wanted;
    this.applyQuality();
    return true;
  }

  /** The browser gave the lost context back: nothing on the card is left. */
  restored(): void {
    this.fence = null;
    this.atlas?.dispose();
    this.atlas = null;
    this.applyQuality();
  }

  dispose(): void {
    this.bodies?.dispose();
    this.dropTargets();
    this.atlas?.depthTexture?.dispose();
    this.atlas?.dispose();
    this.renderer.dispose();
  }

  private quality(): Quality {
    return this.rested ? this.ladder.resting : (this.ladder.steps[this.level] as Quality);
  }

  private applyQuality(): void {
    const q = this.quality();
    this.shared.steps.value = q.steps;
    this.shared.taps.value = q.fine ? 4 : 1;
    this.shared.smoothing.value = q.samples > 0 ? 1 : 4;
    if (!this.rested) this.pack.headsPerUnit = q.fine ? 4 : 2;
    if (this.atlas?.width === q.atlas) {
      this.sizeTargets();
      return;
    }
    this.atlas?.depthTexture?.dispose();
    this.atlas?.dispose();
    this.atlas = new WebGLRenderTarget(q.atlas, q.atlas, { type: UnsignedByteType, generateMipmaps: false });
    const depth = new DepthTexture(q.atlas, q.atlas, UnsignedIntType);
    depth.compareFunction = LessEqualCompare;
    depth.minFilter = depth.magFilter = LinearFilter;
    this.atlas.depthTexture = depth;
    this.shared.shadows.value = depth;
    this.poses.fill(NaN);
    this.sizeTargets();
  }

  private dropTargets(): void {
    const { targets } = this;
    if (!targets) return;
    for (const target of [targets.solid, targets.kept]) {
      target?.depthTexture?.dispose();
      target?.dispose();
    }
    targets.lit.dispose();
    targets.air.dispose();
  }

  private sizeTargets(): void {
    const q = this.quality();
    const open = this.frameEdges();
    const k = ratio(q, open.right - open.left, open.bottom - open.top, window.devicePixelRatio || 1);
    const w = Math.max(2, Math.round(this.width * k));
    const h = Math.max(2, Math.round(this.height * k));
    this.dropTargets();
    this.canvasSize = { w, h };
    this.pieces = [];
    this.unseen = false;
    const type = this.floatTargets ? HalfFloatType : UnsignedByteType;
    const nearest = { minFilter: NearestFilter, magFilter: NearestFilter };
    const surfaces = () => {
      const target = new WebGLRenderTarget(w, h, { count: 2, type: UnsignedByteType, samples: q.samples, ...nearest });
      target.depthTexture = new DepthTexture(w, h, UnsignedIntType);
      target.depthTexture.minFilter = target.depthTexture.magFilter = NearestFilter;
      return target;
    };
    const solid = surfaces();
    const kept = q.samples === 0 ? surfaces() : null;
    const lit = new WebGLRenderTarget(w, h, { type, depthBuffer: false });
    const air = new WebGLRenderTarget(Math.ceil(w / q.air), Math.ceil(h / q.air), { type, depthBuffer: false });
    this.targets = { solid, kept, lit, air };
    this.keptFor = '';
    const { shared } = this;
    shared.surfaces.value = solid.textures[0] ?? null;
    shared.facings.value = solid.textures[1] ?? null;
    shared.depths.value = solid.depthTexture;
    shared.keptSurfaces.value = kept?.textures[0] ?? null;
    shared.keptFacings.value = kept?.textures[1] ?? null;
    shared.keptDepths.value = kept?.depthTexture ?? null;
    shared.lit.value = lit.texture;
    shared.air.value = air.texture;
    shared.airSize.value.set(air.width, air.height);
    // What panels cover is not worth drawing.
    for (const target of [solid, kept, lit, air]) {
      if (!target) continue;
      const k = target.width / this.width;
      const x = Math.floor(open.left * k);
      const y = Math.floor((this.height - open.bottom) * k);
      target.scissor.set(x, y, Math.ceil(open.right * k) - x, Math.ceil((this.height - open.top) * k) - y);
      target.scissorTest = true;
    }
  }

  /** Where the picture fades into the page: a soft edge at each side that a panel covers. Answers what is left. */
  private frameEdges(): Open {
    const { insets, width, height, shared } = this;
    const fade = (covered: number, most: number) => (covered > 0 ? most : 1);
    const soft = shared.soft.value.set(fade(insets.left, 130), fade(insets.top, 90), fade(insets.right, 130), fade(insets.bottom, 90));
    shared.pixels.value.set(width, height);
    const e = shared.edges.value.set(
      insets.left - soft.x * 0.75, insets.top - soft.y * 0.6, width - insets.right + soft.z * 0.75, height - insets.bottom + soft.w * 0.6);
    return { left: Math.max(0, e.x), top: Math.max(0, e.y), right: Math.min(width, e.z), bottom: Math.min(height, e.w) };
  }

  /** A drawing ends where the room does: nothing of light is seen under the floor or behind a wall. */
  private cutOut(): void {
    const box = this.eye.box?.();
    this.frameEdges();
    if (!box) return;
    const { edges: { value: e }, soft: { value: soft } } = this.shared;
    if (box.left > e.x) [e.x, soft.x] = [box.left, 2];
    if (box.top > e.y) [e.y, soft.y] = [box.top, 2];
    if (box.right < e.z) [e.z, soft.z] = [box.right, 2];
    if (box.bottom < e.w) [e.w, soft.w] = [box.bottom, 2];
  }

  private drawSolid({ solid, kept }: Targets): void {
    const { renderer, eye } = this;
    const { camera } = eye;
    const stands = [...camera.matrixWorld.elements, ...camera.projectionMatrix.elements].join();
    if (kept && this.keptFor !== stands) {
      renderer.setRenderTarget(kept);
      renderer.clear(true, true, false);
      renderer.render(this.room, camera);
      this.keptFor = stands;
    }
    renderer.setRenderTarget(solid);
    renderer.clear(true, true, false);
    renderer.render(kept ? this.again : this.room, kept ? this.screen : camera);
    renderer.render(this.lamps, camera);
  }

  private drawShadows(heads: PackedHead[]): void {
    const { renderer, atlas, shadowStuff, shades, changedRows } = this;
    if (!atlas || !shades) return;
    const grid = heads.length <= 16 ? 4 : heads.length <= 36 ? 6 : 8;
    const fresh = this.shared.grid.value !== grid || Number.isNaN(this.poses[0]);
    if (fresh) this.poses.fill(NaN);
    this.shared.grid.value = grid;
    let left = fresh ? heads.length : this.quality().tiles;
    this.stale = false;
    changedRows.length = 0;
    // Start after the last row drawn, so that no moving head waits for ever.
    for (let i = 0; i < heads.length; i++) {
      const row = (this.turn + i) % heads.length;
      if (!this.hasMoved(row, heads[row] as PackedHead)) continue;
      if (left-- <= 0) {
        this.turn = row;
        this.stale = true;
        break;
      }
      changedRows.push(row);
      this.keepPose(row, heads[row] as PackedHead);
    }
    if (changedRows.length === 0) return;
    const rows = (shadowStuff.uniforms['rows'] as { value: Float32Array }).value;
    rows.set(changedRows);
    const cell = Math.floor(atlas.width / grid);
    atlas.scissorTest = changedRows.length < heads.length;
    for (const row of atlas.scissorTest ? changedRows : [0]) {
      if (atlas.scissorTest) atlas.scissor.set((row % grid) * cell, Math.floor(row / grid) * cell, cell, cell);
      renderer.setRenderTarget(atlas);
      renderer.clear(false, true, false);
    }
    atlas.scissorTest = false;
    shades.instanceCount = changedRows.length;
    renderer.setRenderTarget(atlas);
    renderer.render(this.casters, this.screen);
  }

  /** Whether a head stands otherwise than when its shadows were drawn. */
  private hasMoved(row: number, { beam: { from, along }, tanRim }: PackedHead): boolean {
    const { poses } = this;
    const k = row * 7;
    const same = (i: number, v: number) => Math.abs((poses[k + i] ?? NaN) - v) < 5e-4;
    const stands = same(0, from[0]) && same(1, from[1]) && same(2, from[2]);
    return !(stands && same(3, along[0]) && same(4, along[1]) && same(5, along[2]) && same(6, tanRim));
  }

  private keepPose(row: number, { beam: { from, along }, tanRim }: PackedHead): void {
    this.poses.set(from, row * 7);
    this.poses.set(along, row * 7 + 3);
    this.poses[row * 7 + 6] = tanRim;
  }
}

/** The same shapes, many times over. */
function instances(shape: BufferGeometry): InstancedBufferGeometry {
  const out = new InstancedBufferGeometry();
  for (const [name, data] of Object.entries(shape.attributes)) out.setAttribute(name, data);
  out.setIndex(shape.getIndex());
  return out;
}

function still<T extends Mesh>(mesh: T): T {
  mesh.frustumCulled = false;
  mesh.matrixAutoUpdate = false;
  return mesh;
}

/** A cone along +Z of length 1 and rim radius 1, closed at its far end; wound for the left-handed frame of a beam. */
function coneGeometry(): InstancedBufferGeometry {
  const sides = 18;
  const wide = 1 / Math.cos(Math.PI / sides);
  const place: number[] = [0, 0, 0, 0, 0, 1];
  const index: number[] = [];
  for (let i = 0; i < sides; i++) {
    const a = (i * 2 * Math.PI) / sides;
    place.push(wide * Math.cos(a), wide * Math.sin(a), 1);
    const p = 2 + i;
    const q = 2 + ((i + 1) % sides);
    index.push(0, p, q, 1, q, p);
  }
  const out = new InstancedBufferGeometry();
  out.setAttribute('position', new BufferAttribute(new Float32Array(place), 3));
  out.setIndex(index);
  out.instanceCount = 0;
  return out;
}

function quadGeometry(): InstancedBufferGeometry {
  const out = new InstancedBufferGeometry();
  out.setAttribute('position', new BufferAttribute(new Float32Array([-1, -1, 0, 1, -1, 0, 1, 1, 0, -1, 1, 0]), 3));
  out.setIndex([0, 1, 2, 0, 2, 3]);
  out.instanceCount = 1;
  return out;
}
