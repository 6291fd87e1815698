// The picture of the room, in a real browser with a made-up hall: node --test web/test/room.test.mjs
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { createServer } from 'vite';
import { browse, until } from './lanthorn.mjs';

const root = `${import.meta.dirname}/..`;
const vite = await createServer({ root, configFile: `${root}/vite.config.ts`, server: { port: 0, host: '127.0.0.1' }, logLevel: 'error' });
await vite.listen();
const address = `http://127.0.0.1:${vite.httpServer.address().port}/dev`;
const geometry = await vite.ssrLoadModule('/src/room/geometry.ts');
const { Flashes, MOST_FLASHES_HZ } = await vite.ssrLoadModule('/src/room/flashes.ts');
const { FlatEye } = await vite.ssrLoadModule('/src/room/flat.ts');
const { patternOf } = await vite.ssrLoadModule('/src/room/patterns.ts');
const { forScale } = await vite.ssrLoadModule('/src/room/figures.ts');
const hall = await vite.ssrLoadModule('/dev/mock.ts');

let browser;
before(async () => (browser = await browse()));
after(async () => {
  await browser?.close();
  await vite.close();
});

async function openPage(path, { width = 700, height = 600, touch = false, still = false } = {}) {
  const context = await browser.newContext({ viewport: { width, height }, hasTouch: touch, isMobile: touch, reducedMotion: still ? 'reduce' : 'no-preference' });
  const page = await context.newPage();
  const wrong = [];
  page.on('console', (message) => message.type() === 'error' && wrong.push(message.text()));
  page.on('pageerror', (error) => wrong.push(error.message));
  await page.goto(`${address}/${path}`);
  return { page, wrong, close: () => context.close() };
}

test('a spot on the floor is the ellipse in which a plane cuts a cone', () => {
  // Height 5 m, aimed 4 m out, half angle 10 degrees: worked by hand from h tan(t -+ a), with the plane's eccentricity
  // sin t / cos a for the short axis.
  const from = [0, 0, 5];
  const along = geometry.normalize([4, 0, -5]);
  const half = (10 * Math.PI) / 180;
  const spot = geometry.coneOnPlane(from, along, half, [4, 0, 0], [0, 0, 1]);
  assert.ok(Math.abs(geometry.length(spot.major) - 1.4752) < 1e-3, `${geometry.length(spot.major)}`);
  assert.ok(Math.abs(geometry.length(spot.minor) - 1.1404) < 1e-3, `${geometry.length(spot.minor)}`);
  assert.ok(Math.abs(spot.centre[0] - 4.2081) < 1e-3, `${spot.centre}`);
});

test('a drawing is to scale, and a ray goes back to where it came from', () => {
  const scene = hall.scene();
  for (const side of ['plan', 'front', 'side']) {
    const eye = new FlatEye();
    eye.setScene(scene);
    eye.setSize(1280, 800, { left: 500, top: 56, right: 0, bottom: 88 });
    eye.turnTo(side);
    const seen = [0, 1, 2].filter((axis) => axis !== eye.sheet);
    const p = [1.3, -2.1, 1.7];
    const at = eye.project(p);
    const { from } = eye.ray(at.x, at.y);
    for (const axis of seen) {
      assert.ok(Math.abs(from[axis] - p[axis]) < 1e-9, `${side} ${axis}`);
      const beside = eye.project(p.map((v, i) => (i === axis ? v + 1 : v)));
      assert.ok(Math.abs(Math.hypot(beside.x - at.x, beside.y - at.y) - eye.scale) < 1e-9, `${side}: a metre is as long along both axes`);
    }
    const box = eye.box();
    assert.ok(box.left >= 500 && box.right <= 1280 && box.top >= 56 && box.bottom <= 712, `${side} fits: ${JSON.stringify(box)}`);
  }
});

test('a drawing comes closer about the place between the fingers', () => {
  const eye = new FlatEye();
  eye.setScene(hall.scene());
  eye.setSize(390, 405, { left: 0, top: 40, right: 0, bottom: 8 });
  eye.turnTo('plan');
  const at = { x: 160, y: 210 };
  const before = eye.ray(at.x, at.y).from;
  const scale = eye.scale;
  for (let i = 0; i < 5; i++) eye.zoom(0.85, at);
  assert.ok(eye.scale > 1.9 * scale, 'it came closer');
  const after = eye.project(before);
  assert.ok(Math.hypot(after.x - at.x, after.y - at.y) < 1e-6, `${after.x} ${after.y}`);
});

test('a finger beside a light picks it, one in bare room does not, and two fingers bring the plan closer', async () => {
  const { page, close } = await openPage('room.html?look=dance&time=3&view=plan', { width: 390, height: 844, touch: true });
  await page.waitForFunction(() => window.view?.stats().drawCalls > 0 && window.view.lights.length > 0);
  const seen = (number) => page.evaluate((number) => window.view.flatEye.project(window.view.scene.units.find((one) => one.number === number).at), number);
  const chosen = () => page.evaluate(() => [...window.view.chosen]);
  const nine = await seen(9);
  await page.touchscreen.tap(nine.x - 14, nine.y - 14);
  await until('light 9 is picked', async () => (await chosen()).join() === '9');
  await page.touchscreen.tap(4, 4);
  await until('nothing is picked', async () => (await chosen()).length === 0);
  const scale = () => page.evaluate(() => window.view.flatEye.scale);
  const before = await scale();
  const cdp = await page.context().newCDPSession(page);
  const touch = (type, far) => cdp.send('Input.dispatchTouchEvent', { type, touchPoints: far === null ? [] : [{ x: 195 - far, y: 600, id: 1 }, { x: 195 + far, y: 600, id: 2 }] });
  await touch('touchStart', 30);
  for (let far = 36; far <= 90; far += 6) await touch('touchMove', far);
  await touch('touchEnd', null);
  await until('the plan is closer', async () => (await scale()) > 1.8 * before);
  assert.deepEqual(await chosen(), [], 'two fingers pick nothing');
  await close();
});

test('flashes come no faster than what is sent, and together no faster than the page allows', () => {
  const lights = (...rates) => [{ beams: rates.map((strobeHz, i) => ({ strobeHz, head: i })) }];
  const counted = (...rates) => {
    const flashes = new Flashes();
    const shown = lights(...rates);
    const counts = rates.map(() => 0);
    let onsets = 0;
    let before = rates.map(() => 0);
    for (let ms = 0; ms < 20_000; ms += 10) {
      const lit = flashes.at(shown, ms, false);
      const now = shown[0].beams.map((beam) => (lit(beam) > 0.5 ? 1 : 0));
      now.forEach((on, i) => (counts[i] += on && !before[i] ? 1 : 0));
      if (Math.max(...now) > Math.max(...before)) onsets += 1;
      before = now;
    }
    return { each: counts.map((n) => n / 20), together: onsets / 20 };
  };
  for (const rates of [[1], [3], [12], [1, 3], [2, 2.5], [0.7, 9], [3, 1.1, 0.4]]) {
    const { each, together } = counted(...rates);
    each.forEach((rate, i) => {
      assert.ok(rate <= rates[i] + 0.06, `${rates}: ${rate} a second, ${rates[i]} sent`);
      assert.ok(rate > 0.1, `${rates}: it is seen to flash`);
    });
    assert.ok(together <= MOST_FLASHES_HZ + 0.06, `${rates}: ${together} flashes a second in all`);
  }
  const still = new Flashes();
  const levels = new Set([0, 100, 400, 900].map((ms) => still.at(lights(3), ms, true)({ strobeHz: 3 })));
  assert.equal(levels.size, 1);
});

test('a gobo is drawn as its name says, and always the same', () => {
  const names = ['leaves', 'stars', 'rings', 'window', 'ripple', 'dots', 'spiral'];
  assert.equal(new Set(names.map(patternOf)).size, names.length);
  assert.equal(patternOf('Leaves, broken'), patternOf('leaves'));
  assert.equal(patternOf('nameless 7'), patternOf('nameless 7'));
});

test('a room without people gets some for scale, clear of what stands there; one that has people keeps its own', () => {
  const { room } = hall.scene();
  assert.deepEqual(forScale(room), []);
  const bare = { ...room, furniture: room.furniture.filter((thing) => thing.kind !== 'person') };
  const people = forScale(bare);
  assert.ok(people.length >= 3, `${people.length}`);
  assert.ok(people.some((one) => one.at[2] > 0.5), 'one on the stage');
  for (const one of people) {
    for (const thing of bare.furniture) {
      const clear = Math.hypot(one.at[0] - thing.at[0], one.at[1] - thing.at[1]);
      assert.ok(clear > thing.size[1] / 2, `stands in the ${thing.name}`);
    }
    assert.ok(one.size[2] > 1.5 && one.size[2] < 1.9);
  }
});

test('the lit spot in the picture has the axes that geometry says', async () => {
  const { page, wrong, close } = await openPage('room.html?look=one&time=3&view=plan&bare');
  await page.waitForFunction(() => window.view?.stats().drawCalls > 0);
  // The head takes a moment to come round, the picture to come to rest.
  await page.waitForTimeout(3000);
  await page.addStyleTag({ content: 'canvas:not(#room), #stage div { visibility: hidden !important }' });
  const picture = (await page.screenshot()).toString('base64');
  const seen = await page.evaluate(async (png) => {
    const image = new Image();
    image.src = `data:image/png;base64,${png}`;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = image.width;
    canvas.height = image.height;
    const c = canvas.getContext('2d');
    c.drawImage(image, 0, 0);
    const { data } = c.getImageData(0, 0, image.width, image.height);
    // Back from the screen to light: the screen's curve, then the roll-off of what is bright.
    const table = Array.from({ length: 256 }, (_, byte) => {
      const s = byte / 255;
      const v = s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
      return v < 0.5 ? v : 0.5 - 0.5 * Math.log(Math.max(1e-3, 1 - (v - 0.5) / 0.5));
    });
    const light = (i) => table[Math.max(data[4 * i], data[4 * i + 1], data[4 * i + 2])];
    const beam = window.view.lights.find((one) => one.unit === 2).beams[0];
    const eye = window.view.flatEye;
    // Only round the spot: the lens shines as well.
    const middle = eye.project(beam.spot.centre);
    const near = 1.6 * eye.scale * Math.hypot(...beam.spot.major);
    const core = [];
    const inside = [];
    for (let i = 0; i < image.width * image.height; i++) {
      const x = i % image.width;
      const y = Math.floor(i / image.width);
      if (Math.hypot(x - middle.x, y - middle.y) > near) continue;
      inside.push([x, y, light(i)]);
      if (Math.hypot(x - middle.x, y - middle.y) < 0.4 * eye.scale * Math.hypot(...beam.spot.minor)) core.push(light(i));
    }
    const level = core.sort((a, b) => a - b)[core.length >> 1];
    const lit = inside.filter(([, , v]) => v > 0.5 * level);
    const mean = (pick) => lit.reduce((sum, one) => sum + pick(one), 0) / lit.length;
    const mx = mean(([x]) => x);
    const my = mean(([, y]) => y);
    const xx = mean(([x]) => (x - mx) ** 2);
    const yy = mean(([, y]) => (y - my) ** 2);
    const xy = mean(([x, y]) => (x - mx) * (y - my));
    const root = Math.sqrt(((xx - yy) / 2) ** 2 + xy ** 2);
    const axes = [(xx + yy) / 2 + root, (xx + yy) / 2 - root].map((v) => (2 * Math.sqrt(v)) / eye.scale);
    return { axes, middle: [mx - middle.x, my - middle.y].map((v) => v / eye.scale), from: beam.from, along: beam.along, half: beam.beam / 2, level };
  }, picture);
  const { from, along, half } = seen;
  const hit = geometry.hitRoom(hall.room, from, along);
  const expected = geometry.coneOnPlane(from, along, half, hit.at, hit.normal);
  const axes = [expected.major, expected.minor].map(geometry.length);
  axes.forEach((metres, i) => assert.ok(Math.abs(seen.axes[i] / metres - 1) < 0.1, `seen ${seen.axes}, computed ${axes} m, level ${seen.level}`));
  // Its nearer edge is lit more strongly and lies before the beam, so half the light is reached a little nearer the lamp.
  assert.ok(Math.hypot(...seen.middle) < 0.22, `its middle is ${seen.middle} m off`);
  assert.ok(axes[0] / axes[1] > 1.15, 'the spot is no circle, or this would prove nothing');
  assert.deepEqual(wrong, []);
  await close();
});

describe('a strobe', () => {
  const shots = async (still) => {
    const { page, close } = await openPage('room.html?look=gobo&time=7', { width: 480, height: 360, still });
    await page.waitForFunction(() => window.view?.stats().drawCalls > 0);
    await page.waitForTimeout(5000);
    const seen = [];
    for (let i = 0; i < 8; i++) {
      seen.push((await page.screenshot()).toString('base64'));
      await page.waitForTimeout(130);
    }
    await close();
    return new Set(seen).size;
  };
  test('changes the picture', async () => assert.ok((await shots(false)) > 1));
  test('is a still mark for those who asked for less motion', async () => assert.equal(await shots(true), 1));
});

for (const size of [{ width: 390, height: 844, touch: true }, { width: 1280, height: 800 }, { width: 1920, height: 1080 }]) {
  test(`the views switch by word and by key at ${size.width} by ${size.height}, without complaint`, async () => {
    const { page, wrong, close } = await openPage('panels.html#room', size);
    await page.locator('.views button').first().waitFor();
    const pressed = () => page.locator('.views:not(.views-people) button[aria-pressed=true]').innerText();
    assert.equal(await pressed(), 'evening');
    for (const way of ['plan', 'front', 'side', 'evening']) {
      await page.locator(`.views button:text-is("${way}")`).click();
      await until(`${way} is chosen`, async () => (await pressed()) === way);
      const ruler = page.locator('.labels [data-of=ruler]');
      await ruler.waitFor({ state: way === 'evening' ? 'detached' : 'visible' });
      const caption = { plan: 'from above', front: 'from the audience', side: 'from the right' }[way];
      if (caption) await until('the drawing says from where', async () => (await ruler.innerText()).startsWith(`2 m, ${caption}`));
      const heights = await page.locator('.labels [data-of=height]').count();
      assert.equal(heights > 2, way === 'front' || way === 'side', `${way}: heights`);
    }
    const people = page.locator('.views-people button');
    await people.click();
    await until('the people have left', async () => (await people.getAttribute('aria-pressed')) === 'false');
    await page.keyboard.press('v');
    await until('the key went on', async () => (await pressed()) === 'plan');
    assert.ok((await page.locator('.labels [data-of=unit]').count()) >= 8, 'the lights carry their numbers');
    assert.deepEqual(wrong, []);
    await close();
  });
}

test('a spot is dragged on the plan and in the front view', async () => {
  for (const side of ['plan', 'front']) {
    const { page, close } = await openPage(`room.html?look=dance&time=3&view=${side}&select=2`, { width: 900, height: 700 });
    await page.waitForFunction(() => window.view?.stats().drawCalls > 0 && window.view.lights.length > 0);
    await page.waitForTimeout(1500);
    const spot = () => page.evaluate(() => {
      const { spot } = window.view.lights.find((one) => one.unit === 2).beams[0];
      return { at: spot.at, ...window.view.flatEye.project(spot.at) };
    });
    const from = await spot();
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    for (let i = 1; i <= 6; i++) await page.mouse.move(from.x - i * 12, from.y);
    await page.mouse.up();
    await until('the spot has followed', async () => (await spot()).at[0] < from.at[0] - 0.5);
    const after = await spot();
    assert.ok(Math.abs(after.at[1] - from.at[1]) < 0.3, `${side}: it went ${from.at} to ${after.at}`);
    await close();
  }
});
