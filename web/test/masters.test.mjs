// A level over each group of lights, with a thumb and by keys alone: what the page says is what the machine does, also
// after a kill. Against the real program: node --test web/test
import assert from 'node:assert/strict';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, test } from 'node:test';
import { createServer } from 'vite';
import { browse, inTheWay, look, open, PADS, run, until } from './lanthorn.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
/** What lights something is found without looking, CSS pixels. */
const LIVE = 60;
const FINGER = 44;
const NAME = 'washes';
const SLIDER = `.group-masters [role=slider][aria-label="${NAME}, group master"]`;
/** Where pictures for the eye go, when somebody asks for them. */
const SHOTS = process.env.SHOTS;

async function shot(page, name) {
  if (!SHOTS) return;
  mkdirSync(SHOTS, { recursive: true });
  await page.screenshot({ path: join(SHOTS, `${name}.png`) });
}

/** A page on tonight, its group masters unfolded. */
async function tonight(browser, url, size) {
  const it = await look(browser, size);
  await it.page.goto(`${url}#tonight`);
  await it.page.locator('body[data-link=up]').waitFor();
  await until('the show is heard', () => it.heard.scene && it.heard.moment);
  await it.page.locator('.levels').waitFor();
  return it;
}

const unfold = async (page) => {
  const word = page.locator('.groups-word[aria-expanded=false]');
  if ((await word.count()) > 0) await word.press('Enter');
  await page.locator(SLIDER).waitFor();
};

/** A finger on the screen itself, so that what the browser makes of it counts: scrolling or a drag. */
async function finger(page, points) {
  const session = await page.context().newCDPSession(page);
  const touch = (type, touchPoints) => session.send('Input.dispatchTouchEvent', { type, touchPoints });
  await touch('touchStart', [points[0]]);
  for (const point of points.slice(1)) await touch('touchMove', [point]);
  await touch('touchEnd', []);
  await session.detach();
}

async function middle(page) {
  const line = page.locator(SLIDER);
  await line.scrollIntoViewIfNeeded();
  const box = await line.boundingBox();
  return { x: box.x + box.width / 2, y: box.y + box.height / 2, width: box.width };
}

/** Half of it away: a drag by half of its width, or ten steps of a key. */
async function halve(page, size) {
  if (size.touch) {
    const { x, y, width } = await middle(page);
    // The first few points only say that it is a drag.
    const points = Array.from({ length: 21 }, (_, i) => ({ x: x + width / 4 - (i / 20) * (width / 2), y }));
    return finger(page, points);
  }
  await page.locator(SLIDER).focus();
  for (let i = 0; i < 10; i += 1) await page.keyboard.press('ArrowLeft');
}

/** A double press, or the key for the end. */
async function whole(page, size) {
  if (!size.touch) return page.locator(SLIDER).press('End');
  const { x, y } = await middle(page);
  const session = await page.context().newCDPSession(page);
  // By the finger's own clock, and not by that of a machine that has much to do.
  const began = Date.now() / 1000;
  const touch = (type, touchPoints, after) => session.send('Input.dispatchTouchEvent', { type, touchPoints, timestamp: began + after });
  await Promise.all([touch('touchStart', [{ x, y }], 0), touch('touchEnd', [], 0.06), touch('touchStart', [{ x, y }], 0.18), touch('touchEnd', [], 0.24)]);
  await session.detach();
}

/** What the eye sees of each light, by number: the largest level of its heads. */
const seen = (moment) => new Map(moment.lights.map((light) => [light.unit, Math.sqrt(Math.max(...light.heads.map((head) => head.level)))]));

for (const size of [PHONE, LAPTOP]) {
  test(`on ${size.words} a group is halved, its lights and no other, and is so after a kill`, async () => {
    const folder = mkdtempSync(join(tmpdir(), 'lanthorn-masters-'));
    let browser, machine;
    try {
      assert.equal(run(['new', 'dance', '--from', 'demo'], folder).status, 0);
      const state = join(folder, 'state');
      mkdirSync(state);
      const start = () => open('127.0.0.1:0', [join(folder, 'dance.show.toml')], state);
      machine = await start();
      browser = await browse();
      const { page, heard, wrong, close } = await tonight(browser, machine.url, size);
      const place = heard.scene.groups.findIndex((group) => group.name === NAME);
      const mine = new Set(heard.scene.groups[place].units);
      const still = heard.scene.looks.find((one) => one.paths.length === 0).name;
      await page.locator(`.words button[aria-label="${still}" i]`).press('Enter');
      await until('it is on and at rest', () => heard.moment.now.look === still && heard.moment.now.fade === 1 && heard.moment.lights.every((light) => !light.moving));
      const before = seen(heard.moment);
      const lit = (among) => [...before].some(([unit, level]) => mine.has(unit) === among && level > 0.1);
      assert.ok(lit(true) && lit(false), 'both shine, those of the group and others');
      await shot(page, `${size.width}-before`);
      await unfold(page);
      const box = await page.locator(SLIDER).boundingBox();
      assert.ok(box.height >= LIVE && box.width >= LIVE, `${box.width} by ${box.height}`);
      assert.equal(await page.locator(SLIDER).getAttribute('aria-valuetext'), '100\u00a0%');
      assert.equal(await page.locator('.now .lowered').count(), 0);

      await halve(page, size);
      // What the hand asked last is shown at once; it reaches the machine at the page's pace.
      const asked = Number(await page.locator(SLIDER).getAttribute('aria-valuenow'));
      assert.ok(Math.abs(asked - 50) <= (size.touch ? 6 : 0), `about a half: ${asked}`);
      const at = () => heard.moment.now.groups[place];
      await until('the machine has it', () => Math.round(at() * 100) === asked);
      const then = heard.moment.time_s;
      await until('nothing more is on the way', () => heard.moment.time_s > then + 0.5);
      const level = at();
      const scaled = (moment) => [...seen(moment)].every(([unit, now]) => Math.abs(now - before.get(unit) * (mine.has(unit) ? level : 1)) < 0.01);
      await until('its lights are at that level, all others as they were', () => heard.moment.now.groups[place] === level && scaled(heard.moment));
      const percent = `${Math.round(level * 100)}\u00a0%`;
      await page.locator('.now .lowered').filter({ hasText: new RegExp(`^Washes at ${percent}\\.`) }).waitFor();
      assert.equal(await page.locator(SLIDER).getAttribute('aria-valuetext'), percent);
      assert.deepEqual(await inTheWay(page, FINGER, PADS), []);
      await shot(page, `${size.width}-halved`);

      // What is on is written a little later.
      const kept = () => readdirSync(join(state, 'lanthorn/on')).filter((name) => name.endsWith('.json')).some((name) => JSON.parse(readFileSync(join(state, 'lanthorn/on', name), 'utf8')).on.groups.some(([name, at]) => name === NAME && at === level));
      await until('it is kept', kept);
      assert.equal(await machine.end('SIGKILL'), 'SIGKILL');
      await close();
      machine = await start();
      const again = await tonight(browser, machine.url, size);
      assert.equal(again.heard.moment.now.groups[place], level);
      await again.page.locator('.now .lowered').filter({ hasText: percent }).waitFor();
      await until('its lights are where they were', () => scaled(again.heard.moment));

      await unfold(again.page);
      await whole(again.page, size);
      await until('it is whole again', () => again.heard.moment.now.groups[place] === 1);
      await until('nothing is said of it any more', async () => (await again.page.locator('.now .lowered').count()) === 0);
      await halve(again.page, size);
      await again.page.locator('.now .lowered button').press('Enter');
      await until('the word in what is on brings it back too', () => again.heard.moment.now.groups.every((one) => one === 1));
      assert.deepEqual([...wrong, ...again.wrong].filter((text) => !/WebSocket|ERR_CONNECTION/.test(text)), []);
    } finally {
      await browser?.close();
      await machine?.end();
      rmSync(folder, { recursive: true, force: true });
    }
  });
}

describe('with a made-up machine', () => {
  test('a few stand open in one row on a large screen', async () => {
    let browser, server;
    try {
      server = await createServer({ root: `${import.meta.dirname}/..`, server: { port: 0, host: '127.0.0.1', watch: null, hmr: false }, logLevel: 'error' });
      await server.listen();
      browser = await browse();
      const { page, close } = await look(browser, { width: 1440, height: 900, touch: false });
      await page.goto(`http://127.0.0.1:${server.httpServer.address().port}/dev/panels.html?every=400#tonight`);
      const sliders = page.locator('.group-masters [role=slider]');
      await sliders.first().waitFor();
      const boxes = await Promise.all((await sliders.all()).map((slider) => slider.boundingBox()));
      assert.equal(boxes.length, 3);
      assert.ok(boxes.every((box) => box.y === boxes[0].y && box.height >= LIVE && box.width >= LIVE), JSON.stringify(boxes));
      assert.equal(await page.locator('.groups-word').count(), 0);
      await shot(page, '1440-row');
      assert.deepEqual(await inTheWay(page, FINGER, PADS), []);
      await close();
    } finally {
      await browser?.close();
      await server?.close();
    }
  });

  for (const size of [PHONE, LAPTOP]) {
    test(`more groups than there is room for are behind one word on ${size.words}`, async () => {
      let browser, server;
      try {
        server = await createServer({ root: `${import.meta.dirname}/..`, server: { port: 0, host: '127.0.0.1', watch: null, hmr: false }, logLevel: 'error' });
        await server.listen();
        browser = await browse();
        const { page, close } = await look(browser, size);
        const address = `http://127.0.0.1:${server.httpServer.address().port}/dev/panels.html`;
        const sliders = page.locator('.group-masters [role=slider]');
        await page.goto(`${address}?every=400&groups#tonight`);
        const word = page.locator('.groups-word');
        await word.waitFor();
        assert.equal(await sliders.count(), 0);
        assert.match(await word.innerText(), /^Groups/);
        await word.press('Enter');
        assert.equal(await word.getAttribute('aria-expanded'), 'true');
        assert.equal(await sliders.count(), 7);
        for (const name of ['heads', 'stage']) await page.locator(`[aria-label="${name}, group master"]`).press('Home');
        await page.locator('.now .lowered', { hasText: 'Heads at 0\u00a0% and stage at 0\u00a0%.' }).waitFor();
        assert.match(await word.innerText(), /2 below 100/);
        await shot(page, `${size.width}-seven`);
        assert.deepEqual(await inTheWay(page, FINGER, PADS), []);
        await word.press('Enter');
        assert.equal(await sliders.count(), 0);
        await page.locator('.now .lowered', { hasText: 'Heads' }).waitFor();
        await shot(page, `${size.width}-folded`);
        await close();
      } finally {
        await browser?.close();
        await server?.close();
      }
    });
  }
});
