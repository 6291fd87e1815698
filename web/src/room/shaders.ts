/**
 * GLSL of the picture. World frame, metres; light is lux times reflectance until the last pass maps it to the screen.
 *
 * 1. `solid`: what stands in each pixel (reflectance, gloss, normal, depth).
 * 2. `shadow`: depth of the furniture and people as each lit head sees it, one tile of the atlas for each, all in one go.
 * 3. `base` and `spot`: the light on it; base for the whole picture, one cone per head for what the head adds.
 * 4. `beam` and `glare`: the light in the air, at a fraction of the size.
 * 5. `whole`: both together, to the screen.
 */

export const SHADOW_NEAR = 0.35;
export const SHADOW_FAR = 30;

const COMMON = /* glsl */ `
// A software rasteriser runs both sides of every \`if\` but leaves a loop as soon as no pixel needs it.
#define WHEN(c) for (int once_ = (c) ? 1 : 0; once_ > 0; once_--)
#define NEAR ${SHADOW_NEAR.toFixed(3)}
#define FAR ${SHADOW_FAR.toFixed(3)}
precision highp float;
precision highp int;
precision highp sampler2D;
precision highp sampler2DShadow;
`;

/** The way light takes to the eye: all ways meet in it, or all run side by side in a drawing to scale (`parallel` 1). */
const SIGHT = /* glsl */ `
uniform vec3 eye;
uniform vec3 forward;
uniform vec2 planes;
uniform float parallel;
vec3 rayTo(vec3 place) { return parallel > 0.5 ? forward : normalize(place - eye); }
vec3 rayFrom(vec3 place) { return parallel > 0.5 ? place - forward * dot(place - eye, forward) : eye; }
// How far away, along the way the picture looks, a depth of 0 to 1 lies.
float farness(float depth) {
  float d = depth * 2.0 - 1.0;
  float near = 2.0 * planes.x * planes.y / (planes.y + planes.x - d * (planes.y - planes.x));
  return parallel > 0.5 ? mix(planes.x, planes.y, depth) : near;
}
`;

/** Everything solid: room, furniture, people, bodies. `PARTS` moves vertices by the matrices of the bodies' parts. */
export const solidVertex = COMMON + /* glsl */ `
in vec3 tone;
in float stuff;
out vec3 vPlace;
out vec3 vNormal;
out vec3 vTone;
flat out float vStuff;
flat out float vGlow;
#ifdef PARTS
in float part;
in float glow;
uniform sampler2D matrices;
uniform sampler2D glows;
#endif
void main() {
  vec3 p = position;
  vec3 n = normal;
  vTone = tone;
  vGlow = 0.0;
#ifdef PARTS
  int row = int(part + 0.5);
  mat4 m = mat4(texelFetch(matrices, ivec2(0, row), 0), texelFetch(matrices, ivec2(1, row), 0),
    texelFetch(matrices, ivec2(2, row), 0), texelFetch(matrices, ivec2(3, row), 0));
  p = (m * vec4(p, 1.0)).xyz;
  n = mat3(m) * n;
  if (glow >= 0.0) {
    vec4 shine = texelFetch(glows, ivec2(0, int(glow + 0.5)), 0);
    vGlow = shine.a;
    vTone = mix(vTone, shine.rgb, min(1.0, shine.a * 4.0));
  }
#endif
  vPlace = p;
  vNormal = n;
  vStuff = stuff;
  gl_Position = projectionMatrix * viewMatrix * vec4(p, 1.0);
}
`;

export const solidFragment = COMMON + SIGHT + /* glsl */ `
in vec3 vPlace;
in vec3 vNormal;
in vec3 vTone;
flat in float vStuff;
flat in float vGlow;
layout(location = 0) out vec4 surface;
layout(location = 1) out vec4 facing;

float hash1(vec2 p) { return fract(sin(dot(p, vec2(12.9898, 78.233))) * 43758.5453); }
float noise(vec2 p) {
  vec2 i = floor(p), f = fract(p);
  f = f * f * (3.0 - 2.0 * f);
  return mix(mix(hash1(i), hash1(i + vec2(1, 0)), f.x), mix(hash1(i + vec2(0, 1)), hash1(i + vec2(1, 1)), f.x), f.y);
}

// Boards run towards the viewer; u across, v along, w the board's width.
vec3 boards(vec2 q, vec2 fine, float w, out float gap) {
  float u = q.x / w;
  float board = floor(u);
  float v = q.y / 2.4 + hash1(vec2(board, 3.0)) * 7.0;
  float h = hash1(vec2(board, floor(v)));
  float fu = max(fine.x / w, 1e-4), fv = max(fine.y / 2.4, 1e-4);
  float du = abs(fract(u) - 0.5), dv = abs(fract(v) - 0.5);
  float seam = smoothstep(0.5 - 0.035 - fu, 0.5, du) * min(1.0, 0.09 / fu);
  float end = smoothstep(0.5 - 0.004 - fv, 0.5, dv) * min(1.0, 0.01 / fv);
  float fade = clamp(1.0 - fu * 1.6, 0.0, 1.0);
  gap = clamp(max(seam, end), 0.0, 1.0) * fade;
  float grain = noise(vec2(q.x * 46.0, q.y * 1.7 + h * 90.0));
  float tone = 1.0 + fade * (0.46 * (h - 0.5) + 0.26 * (grain - 0.5));
  return vTone * tone * mix(vec3(1.0), vec3(1.05, 1.0, 0.92), h) * (1.0 - 0.66 * gap);
}

void main() {
  vec3 n = normalize(vNormal);
  if (dot(n, rayTo(vPlace)) > 0.0) n = -n;
  vec3 albedo = vTone;
  float gloss = 0.0;
  float kind = vStuff;
  // Taken here: a derivative has no meaning inside a branch.
  vec3 fine = fwidth(vPlace);
  // Only what lies flat is boarded: the front of a stage is plain.
  WHEN(kind > 0.5 && kind < 1.5 && n.z > 0.5) {
    float gap;
    albedo = boards(vPlace.xy, fine.xy, 0.155, gap);
    gloss = 0.55 * (1.0 - gap);
  }
  WHEN(kind > 1.5 && kind < 2.5) { // plaster over a boarded dado
    float across = abs(n.x) > 0.5 ? vPlace.y : vPlace.x;
    float f = fine.z;
    float dado = 1.0 - smoothstep(1.06 - f, 1.06 + f, vPlace.z);
    float fu = max((abs(n.x) > 0.5 ? fine.y : fine.x) / 0.11, 1e-4);
    float groove = smoothstep(0.5 - 0.06 - fu, 0.5, abs(fract(across / 0.11) - 0.5)) * min(1.0, 0.12 / fu);
    float rail = smoothstep(1.0 - f, 1.0 + f, vPlace.z) * dado;
    vec3 wood = vec3(0.115, 0.082, 0.058) * (1.0 - 0.45 * groove * (1.0 - rail)) * (1.0 + 0.6 * rail);
    float mottled = 0.94 + 0.12 * noise(vec2(across, vPlace.z) * 1.6);
    albedo = mix(vTone * mottled, wood, dado);
  }
  if (kind > 2.5) gloss = 0.35; // satin: bodies, bars, stands
  surface = vec4(sqrt(albedo), gloss);
  facing = vec4(n * 0.5 + 0.5, vGlow);
}
`;

/** Lays a kept picture of the bare room down again, so that a still room is not shaded anew in every frame. */
export const keptFragment = COMMON + /* glsl */ `
uniform sampler2D keptSurfaces;
uniform sampler2D keptFacings;
uniform sampler2D keptDepths;
layout(location = 0) out vec4 surface;
layout(location = 1) out vec4 facing;
void main() {
  ivec2 texel = ivec2(gl_FragCoord.xy);
  surface = texelFetch(keptSurfaces, texel, 0);
  facing = texelFetch(keptFacings, texel, 0);
  gl_FragDepth = texelFetch(keptDepths, texel, 0).r;
}
`;

/** Most shadow tiles drawn in one go: as many as there are lit heads. */
export const SHADOW_TILES = 64;

/**
 * Depth of what throws shadows as the heads see it: one instance for each tile of the atlas, `rows` says whose. A piece
 * whose ball lies beside a head's cone is folded into a point; what reaches over a tile's edge is cut off there.
 */
export const shadowVertex = COMMON + /* glsl */ `
in vec4 ball;
uniform sampler2D lights;
uniform float grid;
uniform float rows[${SHADOW_TILES}];
out vec3 q;
void main() {
  float row = rows[gl_InstanceID];
  vec4 A = texelFetch(lights, ivec2(0, int(row + 0.5)), 0);
  vec3 along = texelFetch(lights, ivec2(1, int(row + 0.5)), 0).xyz;
  vec3 right = texelFetch(lights, ivec2(3, int(row + 0.5)), 0).xyz;
  float tanRim = texelFetch(lights, ivec2(4, int(row + 0.5)), 0).y;
  vec3 up = cross(right, along);
  vec3 m = ball.xyz - A.xyz;
  float far = dot(m, along);
  float reach = tanRim * max(far, 0.0) + ball.w * sqrt(1.0 + tanRim * tanRim);
  vec3 d = position - A.xyz;
  float z = dot(d, along);
  q = vec3(dot(d, right) / tanRim, dot(d, up) / tanRim, z);
  vec2 tile = (vec2(mod(row, grid), floor(row / grid + 1e-3)) * 2.0 + 1.0) / grid - 1.0;
  gl_Position = vec4(q.xy / grid + tile * z, ((FAR + NEAR) * z - 2.0 * FAR * NEAR) / (FAR - NEAR), z);
  if (far + ball.w < NEAR || abs(dot(m, right)) > reach || abs(dot(m, up)) > reach) gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
}
`;
export const shadowFragment = COMMON + /* glsl */ `
in vec3 q;
out vec4 colour;
void main() {
  if (max(abs(q.x), abs(q.y)) > q.z) discard;
  colour = vec4(1.0);
}
`;

/** The light that has no direction: what the room throws back, and a breath so that it is never lost; lit lenses. */
export const baseFragment = COMMON + /* glsl */ `
uniform sampler2D surfaces;
uniform sampler2D facings;
uniform sampler2D depths;
uniform float exposure;
uniform float dusk;
uniform vec3 bounce;
in vec2 uv0;
out vec4 colour;
void main() {
  ivec2 texel = ivec2(gl_FragCoord.xy);
  vec4 s = texelFetch(surfaces, texel, 0);
  vec4 f = texelFetch(facings, texel, 0);
  vec3 albedo = s.rgb * s.rgb;
  vec3 n = f.xyz * 2.0 - 1.0;
  float sky = 0.5 + 0.5 * n.z;
  // The room's own breath of light is set on the screen, not in the hall: it does not grow with the eye.
  vec3 breath = dusk * vec3(0.046, 0.041, 0.038) * (0.42 + 0.58 * max(0.0, dot(n, vec3(-0.42, -0.5, 0.757))));
  vec3 back = bounce * exposure * (1.2 - 0.4 * sky);
  vec3 light = albedo * (back + breath);
  light += albedo * f.a * 2.6;
  colour = vec4(texelFetch(depths, texel, 0).r < 1.0 ? light : vec3(0.0), 1.0);
}
`;

/** The cone of one lit head, in world places: apex at the lens, rim where it leaves the room. */
const CONE_VERTEX = /* glsl */ `
uniform sampler2D lights;
uniform vec3 roomLow;
uniform vec3 roomHigh;
flat out vec4 A;
flat out vec4 B;
flat out vec4 C;
flat out vec4 R;
flat out vec2 E;
flat out vec3 U;
out vec3 vPlace;

float leaves(vec3 from, vec3 ray) {
  vec3 t = max((roomLow - from) / ray, (roomHigh - from) / ray);
  return max(0.5, min(t.x, min(t.y, t.z)));
}

void cone(float most) {
  int row = gl_InstanceID;
  A = texelFetch(lights, ivec2(0, row), 0);
  B = texelFetch(lights, ivec2(1, row), 0);
  C = texelFetch(lights, ivec2(2, row), 0);
  R = texelFetch(lights, ivec2(3, row), 0);
  E = texelFetch(lights, ivec2(4, row), 0).xy;
  vec3 up = cross(R.xyz, B.xyz);
  U = up;
  float rim = min(A.w, most) * 1.03;
  float back = min(0.35, 0.05 / B.w);
  vec3 tip = A.xyz - B.xyz * back;
  vec3 ray = normalize(B.xyz + (R.xyz * position.x + up * position.y) * rim + vec3(1e-5, 2e-5, 3e-5));
  vPlace = tip + ray * position.z * (leaves(tip, ray) * 1.04 + 0.4);
  gl_Position = projectionMatrix * viewMatrix * vec4(vPlace, 1.0);
}
`;

const HEAD = SIGHT + /* glsl */ `
uniform sampler2D patterns;
uniform sampler2DShadow shadows;
uniform sampler2D depths;
uniform float grid;
uniform int taps;
uniform float exposure;
flat in vec4 A; // lens, tangent of the rim
flat in vec4 B; // along, tangent of half the beam angle
flat in vec4 C; // colour times candela, power of the falloff
flat in vec4 R; // right, pattern (from 1) plus 32 for a prism
flat in vec2 E; // shadow tile, tangent of its half side
flat in vec3 U; // up
in vec3 vPlace;
out vec4 colour;

float profile(float r, float p) {
  return max(0.0, exp2(-pow(max(r, 1e-4), p)) - 0.0078);
}

// Gobo and prism at tangent-plane place q (1 = half the beam angle), no finer than blur of that.
float image(vec2 q, float p, float code, float blur) {
  float sum = 0.0;
  float prism = step(31.5, code);
  float pattern = code - 32.0 * prism;
  int n = prism > 0.5 ? 3 : 1;
  for (int i = 0; i < n; i++) {
    float a = 2.0944 * float(i) + 0.5;
    vec2 s = q - prism * 0.95 * vec2(cos(a), sin(a));
    float v = profile(length(s) * (1.0 + 0.25 * prism), p);
    WHEN(pattern > 0.5 && v > 0.0) {
      vec2 uv = clamp(s * 0.46 + 0.5, 0.02, 0.98) * 0.25;
      float k = pattern - 1.0;
      // A pattern that is finer than what is looked at would flicker: 118 texels are one half beam angle. A small lens never
      // draws it quite sharp.
      v *= textureLod(patterns, uv + 0.25 * vec2(mod(k, 4.0), floor(k * 0.25 + 1e-3)), clamp(log2(blur * 118.0 + 2.2), 0.0, 4.5)).r;
    }
    sum += v;
  }
  return prism > 0.5 ? sum * 0.5 : sum;
}

// Falloff, gobo and prism at d from the lens, z of it along the axis and off2 the square of the way off it; fine metres
// are what can be told apart there.
float across(vec3 d, float z, float off2, float fine) {
  float r2 = max(off2, 1e-7) / (z * z * B.w * B.w);
  float v = max(0.0, exp2(-exp2(0.5 * C.w * log2(r2))) - 0.0078);
  WHEN(R.w > 0.5) v = image(vec2(dot(d, R.xyz), dot(d, U)) / (z * B.w), C.w, R.w, fine / (z * B.w));
  return v;
}

// 1 where the lens sees the point, 0 where something stands between; d from the lens.
float seen(vec3 d, float softness) {
  float z = dot(d, B.xyz);
  vec2 q = vec2(dot(d, R.xyz), dot(d, U)) / (z * E.y);
  float cell = 1.0 / grid;
  vec2 tile = vec2(mod(E.x, grid), floor(E.x / grid + 1e-3));
  float depth = (FAR / (FAR - NEAR)) * (1.0 - NEAR / z);
  vec2 uv = (clamp(q, -0.985, 0.985) * 0.5 + 0.5 + tile) * cell;
  float o = cell * 0.0018 * softness;
  vec2 off = taps > 1 ? o * vec2(1.0, 0.4) : vec2(0.0);
  float sum = 0.0;
  for (int i = 0; i < taps; i++) {
    sum += textureLod(shadows, vec3(uv + off, depth), 0.0);
    off = vec2(-off.y, off.x);
  }
  return sum / float(taps);
}

// Distance along a view ray to what stands there.
float standing(ivec2 texel, vec3 ray) {
  return farness(texelFetch(depths, texel, 0).r) / max(1e-3, dot(ray, forward));
}
`;

export const spotVertex = COMMON + CONE_VERTEX + /* glsl */ `void main() { cone(6.0); }`;

/** What one head adds to the surfaces: candela over distance squared, cosine, falloff, shadow, and a shine on varnish. */
export const spotFragment = COMMON + HEAD + /* glsl */ `
uniform sampler2D surfaces;
uniform sampler2D facings;
uniform float pixel; // what one pixel shows, metres a metre away (or at any distance in a drawing)
void main() {
  ivec2 texel = ivec2(gl_FragCoord.xy);
  vec3 ray = rayTo(vPlace);
  vec3 p = rayFrom(vPlace) + ray * standing(texel, ray);
  vec3 d = p - A.xyz;
  float z = dot(d, B.xyz);
  float d2 = dot(d, d);
  float rim = A.w * z;
  vec3 sum = vec3(0.0);
  float off2 = d2 - z * z;
  WHEN(z > 0.05 && off2 < rim * rim) {
    float v = across(d, z, off2, pixel * (parallel > 0.5 ? 1.0 : length(p - eye)));
    vec4 s = texelFetch(surfaces, texel, 0);
    vec3 n = normalize(texelFetch(facings, texel, 0).xyz * 2.0 - 1.0);
    float dist = sqrt(d2);
    float cosine = -dot(n, d) / dist;
    WHEN(v > 0.0 && cosine > 0.0) {
      v *= seen(d + n * 0.025, min(3.0, 1.2 + 0.5 * z)) / max(d2, 0.04);
      sum = s.rgb * s.rgb * cosine;
      WHEN(s.a > 0.05) {
        vec3 h = -ray - d / dist;
        float hn = max(0.0, dot(h, n)) * inversesqrt(dot(h, h));
        float h2 = hn * hn, h4 = h2 * h2, h8 = h4 * h4, h16 = h8 * h8, h48 = h16 * h16 * h16;
        float grazing = 1.0 + dot(ray, n);
        sum += s.a * h48 * 3.0 * (0.06 + 0.4 * grazing * grazing * grazing * grazing) * cosine;
      }
      sum *= C.rgb * (v * exposure);
    }
  }
  colour = vec4(sum, 1.0);
}
`;

export const beamVertex = COMMON + CONE_VERTEX + /* glsl */ `void main() { cone(1.9); }`;

/** The light that haze scatters to the eye along one view ray. */
export const beamFragment = COMMON + HEAD + /* glsl */ `
uniform float haze;
uniform vec2 airSize;
uniform int steps;
void main() {
  vec3 ray = rayTo(vPlace);
  vec3 begin = rayFrom(vPlace);
  // Where the view ray is inside the cone (its tip a little behind the lens, so that the beam starts as wide as that).
  float rim = min(A.w, 1.9);
  float back = min(0.35, 0.05 / B.w);
  vec3 o = begin - (A.xyz - B.xyz * back);
  float k = 1.0 + rim * rim;
  float ra = dot(ray, B.xyz), oa = dot(o, B.xyz);
  float qa = 1.0 - k * ra * ra, qb = dot(o, ray) - k * oa * ra, qc = dot(o, o) - k * oa * oa;
  float root = sqrt(max(0.0, qb * qb - qa * qc));
  float u = (-qb - root) / qa, w = (-qb + root) / qa;
  float first = min(u, w), second = max(u, w);
  float t0 = oa + ra * first < 0.0 ? second : first;
  if (qc <= 0.0 && oa > 0.0) t0 = 0.0;
  t0 = max(t0, 0.0);
  float t1 = min(length(vPlace - begin), standing(ivec2(gl_FragCoord.xy / airSize * vec2(textureSize(depths, 0))), ray));
  // Only in front of the lens.
  float lens = -dot(begin - A.xyz, B.xyz) / (abs(ra) < 1e-5 ? 1e-5 : ra);
  if (ra > 0.0) t0 = max(t0, lens);
  else t1 = min(t1, lens);
  float sum = 0.0;
  WHEN(t1 > t0) {
    float grain = fract(52.9829189 * fract(dot(floor(gl_FragCoord.xy), vec2(0.06711056, 0.00583715))));
    // Samples lie evenly in the angle seen from the lens, which takes the inverse square out of the sum.
    float tc = dot(A.xyz - begin, ray);
    float nearest = sqrt(max(0.0, dot(A.xyz - begin, A.xyz - begin) - tc * tc) + 0.012);
    float a0 = atan((t0 - tc) / nearest), a1 = atan((t1 - tc) / nearest);
    float span = (a1 - a0) / float(steps);
    float start = a0 + span * grain;
    vec2 turn = vec2(cos(span), sin(span));
    vec2 angle = vec2(cos(start), sin(start));
    vec3 o2 = begin - A.xyz + ray * tc;
    float stride = 0.5 * span;
    for (int i = 0; i < steps; i++) {
      vec3 d = o2 + ray * (nearest * angle.y / angle.x);
      angle = vec2(angle.x * turn.x - angle.y * turn.y, angle.y * turn.x + angle.x * turn.y);
      float z = dot(d, B.xyz);
      float v = across(d, max(z, 0.0) + back, dot(d, d) - z * z, stride * max(z, 0.3));
      WHEN(v > 0.004 && z > NEAR) v *= seen(d, 1.0);
      sum += v;
    }
    sum *= span / nearest;
  }
  // Haze scatters forwards: a beam that comes towards the eye looks brighter.
  float toward = -ra;
  float phase = max(0.3, 0.55 + 0.45 * toward + 1.1 * pow(max(0.0, toward), 6.0));
  colour = vec4(C.rgb * (sum * haze * phase * 0.022 * exposure), 1.0);
}
`;

/** The shine of each lens in the eye. */
export const glareVertex = COMMON + SIGHT + /* glsl */ `
uniform sampler2D lights;
uniform float exposure;
uniform sampler2D depths;
out vec2 q;
flat out vec3 tint;

// How much of the lens is in sight: five looks at what stands before it.
float open(vec4 p, float z) {
  float sum = 0.0;
  for (int i = 0; i < 5; i++) {
    float a = 1.2566 * float(i);
    vec2 uv = (p.xy + 0.05 * vec2(cos(a) * projectionMatrix[0][0], sin(a) * projectionMatrix[1][1])) / p.w * 0.5 + 0.5;
    sum += step(z - 0.4, farness(textureLod(depths, clamp(uv, 0.0, 1.0), 0.0).r));
  }
  return sum / 5.0;
}

void main() {
  int row = gl_InstanceID;
  vec4 a = texelFetch(lights, ivec2(0, row), 0);
  vec4 b = texelFetch(lights, ivec2(1, row), 0);
  vec4 c = texelFetch(lights, ivec2(2, row), 0);
  // Seen from infinitely far, a lens shines as if from across a hall.
  vec3 to = parallel > 0.5 ? -8.0 * forward : eye - a.xyz;
  float dist = length(to);
  float cosine = dot(to / dist, b.xyz);
  float off = sqrt(max(0.0, 1.0 - cosine * cosine)) / max(cosine, 1e-3);
  float direct = cosine > 0.0 ? exp2(-pow(max(off / b.w, 1e-4), min(c.w, 2.0))) : 0.0;
  float spill = smoothstep(-0.35, 0.9, cosine);
  float most = max(c.r, max(c.g, c.b));
  float lux = most / (dist * dist);
  float power = lux * exposure * (direct + 0.006 * spill);
  float bright = power / (1.0 + power * 0.6);
  tint = (c.rgb / max(1e-5, most)) * min(1.6, 0.1 + bright) * min(1.0, lux * exposure * 0.6);
  float radius = 0.16 + 0.5 * min(1.2, bright);
  q = position.xy;
  vec4 p = projectionMatrix * viewMatrix * vec4(a.xyz + b.xyz * 0.02, 1.0);
  tint *= open(p, dot(a.xyz - eye, forward));
  p.xy += position.xy * radius * vec2(projectionMatrix[0][0], projectionMatrix[1][1]);
  gl_Position = p;
}
`;
export const glareFragment = COMMON + /* glsl */ `
in vec2 q;
flat in vec3 tint;
out vec4 colour;
void main() {
  float r = min(1.0, length(q));
  float core = exp(-r * r * 60.0) * 1.4 + exp(-r * r * 9.0) * 0.16 * (1.0 - r);
  colour = vec4(tint * (core * (1.0 - r)), 1.0);
}
`;

export const wholeVertex = COMMON + /* glsl */ `
out vec2 uv0;
void main() { uv0 = position.xy * 0.5 + 0.5; gl_Position = vec4(position.xy, 0.0, 1.0); }
`;

/** Light to screen: haze laid over, highlights rolled off with hue kept, edges faded into the page. */
export const wholeFragment = COMMON + /* glsl */ `
uniform sampler2D lit;
uniform sampler2D air;
uniform int smoothing; // 4 to soften the stairs of a coarse picture, else 1
uniform vec2 pixels;
uniform vec4 edges; // left, top, right, bottom of the open picture, in pixels from the top left
uniform vec4 soft; // how far each edge fades
uniform vec3 ink;
in vec2 uv0;
out vec4 colour;
void main() {
  vec2 p = vec2(uv0.x, 1.0 - uv0.y) * pixels;
  vec4 fade = smoothstep(0.0, 1.0, vec4(p - edges.xy, edges.zw - p) / max(soft, vec4(1.0)));
  fade = mix(vec4(1.0), fade, step(1.5, soft));
  float shown = fade.x * fade.y * fade.z * fade.w;
  vec3 screen = ink;
  WHEN(shown > 0.0) {
    vec2 t = 1.0 / vec2(textureSize(air, 0));
    vec2 off = 0.5 * t;
    vec3 haze = vec3(0.0);
    for (int i = 0; i < 4; i++) {
      haze += 0.25 * texture(air, uv0 + off).rgb;
      off = vec2(-off.y, off.x) * vec2(t.x / t.y, t.y / t.x);
    }
    vec2 texel = smoothing > 1 ? 0.45 / vec2(textureSize(lit, 0)) : vec2(0.0);
    vec3 c = haze;
    for (int i = 0; i < smoothing; i++) {
      vec2 corner = vec2(float(i & 1), float(i >> 1)) * 2.0 - 1.0;
      c += textureLod(lit, uv0 + texel * corner, 0.0).rgb / float(smoothing);
    }
    float m = max(c.r, max(c.g, c.b));
    float mapped = m < 0.5 ? m : 0.5 + 0.5 * (1.0 - exp(-(m - 0.5) / 0.5));
    vec3 hue = c / max(m, 1e-5);
    c = mix(hue, vec3(1.0), 0.7 * smoothstep(0.7, 5.0, m)) * mapped;
    // The screen's transfer curve by square roots, within half a step of eight bits.
    vec3 s1 = sqrt(c), s2 = sqrt(s1), s3 = sqrt(s2);
    screen = mix(0.662002687 * s1 + 0.684122060 * s2 - 0.323583601 * s3 - 0.0225411470 * c, c * 12.92, step(c, vec3(0.0031308)));
  }
  screen = max(screen, ink * 0.8);
  vec3 final = mix(ink, screen, shown);
  float n = fract(52.9829189 * fract(dot(gl_FragCoord.xy, vec2(0.06711056, 0.00583715)))) - 0.5;
  colour = vec4(final + n / 255.0, 1.0);
}
`;
