// What a person relies on, in a real browser against the real program: node --test web/test
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { beside, browse, distance, look, open, tooSmall, until } from './lanthorn.mjs';

const SIZES = [
  { words: 'a phone', width: 390, height: 844, touch: true },
  { words: 'a laptop', width: 1440, height: 900, touch: false },
];
const STAGES = ['room', 'rig', 'looks', 'chases', 'cues', 'tonight'];
/** The smallest thing that a finger finds in the dark, CSS pixels. */
const FINGER = 44;

let browser;
before(async () => (browser = await browse()));
after(() => browser?.close());

for (const size of SIZES) {
  describe(`on ${size.words}, ${size.width} by ${size.height}`, () => {
    let machine, page, wrong, heard, close;
    const now = () => heard.moment.now;
    const light = (number) => heard.moment.lights.find((one) => one.unit === number);
    const output = () => heard.moment.lights.flatMap((one) => one.heads).reduce((sum, head) => sum + head.level, 0);
    const movers = () => heard.scene.units.filter((unit) => unit.moves).map((unit) => unit.number);
    const tap = (selector) => page.locator(selector).first().evaluate((element) => element.click());

    async function turn(stage) {
      if (size.touch) await tap('.running-head');
      await tap(`nav[aria-label=Stages] a[href="#${stage}"]`);
      await page.waitForFunction((name) => document.body.dataset.stage === name, stage);
    }

    before(async () => {
      machine = await open();
      ({ page, wrong, heard, close } = await look(browser, size));
      await page.goto(machine.url);
      await page.locator('body[data-link=up] canvas[role=img]').waitFor();
      await until('the first moment is heard', () => heard.scene && heard.moment);
    });
    after(async () => {
      await close?.();
      assert.equal(await machine?.end(), 0, 'Ctrl-C ends it well');
    });

    for (const stage of STAGES) {
      test(`${stage} fits, and a finger finds everything on it`, async () => {
        await turn(stage);
        const sizes = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
        assert.ok(sizes[0] <= sizes[1], `wider than the screen: ${sizes}`);
        assert.deepEqual(await tooSmall(page, FINGER), []);
      });
    }

    test('a look is put on by its word', async () => {
      await turn('tonight');
      const other = heard.scene.looks.find((one) => one.name !== now().look).name;
      await tap(`.words button[aria-label="${other}" i]`);
      await page.locator(`.words button[aria-label="${other}" i][aria-pressed=true]`).waitFor();
      await until('it is on', () => now().look === other);
    });

    test('a chase moves the beams, and the picture with them', async () => {
      await turn('tonight');
      const chase = heard.scene.chases[0].name;
      await tap(`.words button[aria-label="${chase}" i]`);
      const button = page.locator(`.words button[aria-label="${chase}" i][aria-pressed=true]`);
      await button.waitFor();
      assert.match(await button.innerText(), /running/);
      const from = places();
      const picture = await shot();
      await until('a spot has gone a metre', () => moved(from) > 1);
      await until('the picture is another', async () => !picture.equals(await shot()));
      await tap(`.words button[aria-label="${chase}" i]`);
      await until('it has stopped', () => now().chases.length === 0);
    });

    test('stillness holds the beams, and lets them go', async () => {
      await turn('tonight');
      const chase = heard.scene.chases[0].name;
      await tap(`.words button[aria-label="${chase}" i]`);
      await until('beams move', () => heard.moment.lights.some((one) => one.moving));
      await tap('.pill:text("Stillness")');
      await until('it is on', () => now().stillness);
      await until('every head has come to rest', () => heard.moment.lights.every((one) => !one.moving));
      const from = places();
      const at = heard.moment.time_s;
      await until('two seconds have gone', () => heard.moment.time_s > at + 2);
      assert.ok(moved(from) < 0.02, `a spot went ${moved(from)} m`);
      assert.ok(output() > 0.5, 'the light stays');
      await tap('.pill:text("Stillness")');
      await until('beams move again', () => moved(from) > 0.3);
      await tap(`.words button[aria-label="${chase}" i]`);
      await until('it has stopped', () => now().chases.length === 0);
    });

    test('blackout takes every light away, and gives it back', async () => {
      await tap('.pill:text("Blackout")');
      await until('every light is dark', () => now().blackout && output() < 0.002);
      await page.locator('.pill[aria-pressed=true]:text("Blackout")').waitFor();
      await tap('.pill:text("Blackout")');
      await until('the light is back', () => !now().blackout && output() > 0.5);
    });

    test('Go takes the next cue, and Back the one before', async () => {
      await turn('tonight');
      const next = now().next_cue;
      await tap('button.go');
      await until('the cue is on', () => now().cue === next);
      const name = heard.scene.cues[next].name;
      await page.locator('.now h1').filter({ hasText: new RegExp(`^${name}$`, 'i') }).waitFor();
      await tap('button.go');
      await until('the one after is on', () => now().cue === next + 1);
      await tap('button.back');
      await until('the one before is on again', () => now().cue === next);
    });

    if (!size.touch) {
      test('Space is Go, also after a button was clicked', async () => {
        await turn('room');
        const cue = now().cue;
        await page.keyboard.press('Space');
        await until('a cue was taken', () => now().cue === cue + 1);
        await page.locator('.pill:text("No strobe")').click();
        await page.keyboard.press('Space');
        await until('another cue was taken', () => now().cue === cue + 2);
        await page.locator('.pill:text("No strobe")').click();
        await page.keyboard.press('Backspace');
        await until('the cue before is on', () => now().cue === cue + 1);
      });

      test('a light picked by its number goes to a mark, and is let go', async () => {
        await turn('room');
        const unit = movers()[0];
        await page.keyboard.press(String(unit));
        await page.locator('.slip').waitFor();
        await page.keyboard.press('m');
        await until('it is held', () => light(unit).held);
        const near = () => {
          const spot = light(unit).heads[0].spot;
          return spot && Math.min(...heard.scene.room.marks.map((mark) => beside(mark.at, light(unit).heads[0])));
        };
        await until('its beam runs through a mark', () => !light(unit).moving && near() < 0.05);
        await page.keyboard.press('Escape');
        await until('it is let go', () => !light(unit).held);
        await page.keyboard.press('Escape');
        await page.locator('.slip').waitFor({ state: 'detached' });
      });
    }

    test('a spot is dragged across the room', async () => {
      await turn('tonight');
      const bright = heard.scene.looks.find((one) => one.name === 'Sheaves') ?? heard.scene.looks[0];
      await tap(`.words button[aria-label="${bright.name}" i]`);
      await until('it is on and at rest', () => now().look === bright.name && now().fade >= 1 && !heard.moment.lights.some((l) => l.moving));
      if (!size.touch) await turn('room');
      const at = await spotUnderHand();
      await page.mouse.move(at.x, at.y);
      await page.mouse.down();
      for (let step = 1; step <= 6; step += 1) await page.mouse.move(at.x + step * 8, at.y - step * 2);
      await page.mouse.up();
      const held = await until('a light is held', () => heard.moment.lights.find((one) => one.held));
      await page.locator(`.slip[aria-label="Light ${held.unit}"]`).waitFor();
      await page.keyboard.press('Escape');
      await until('it is let go', () => !light(held.unit).held);
    });

    test('two pages see the same, and one of them may go', async () => {
      const other = await look(browser, SIZES[0]);
      await other.page.goto(machine.url);
      await until('the second page hears', () => other.heard.moment);
      await tap('.pill:text("No strobe")');
      await until('both know', () => now().strobe_stopped && other.heard.moment.now.strobe_stopped);
      await other.close();
      await tap('.pill:text("No strobe")');
      await until('it is off again', () => !now().strobe_stopped);
    });

    test('it finds the machine again by itself', async () => {
      const { host } = machine;
      assert.equal(await machine.end(), 0);
      await page.locator('body[data-link=down]').waitFor();
      await page.locator('[role=status]:has-text("lost touch")').first().waitFor({ state: 'attached' });
      machine = await open(host);
      await page.locator('body[data-link=up]').waitFor();
      const at = heard.moment.time_s;
      await until('moments come', () => heard.moment.time_s !== at);
    });

    test('nothing was complained about', () => {
      // A refused connection is what the reconnecting page must see while the machine is away.
      assert.deepEqual(wrong.filter((text) => !/ERR_CONNECTION_REFUSED|WebSocket connection to/.test(text)), []);
    });

    /** Where every spot is. */
    function places() {
      return new Map(heard.moment.lights.map((one) => [one.unit, one.heads[0]?.spot?.at]));
    }

    /** How far the spot that went farthest has gone, metres. */
    function moved(from) {
      const far = [...places()].map(([unit, at]) => (at && from.get(unit) ? distance(at, from.get(unit)) : 0));
      return Math.max(...far);
    }

    /** The picture without the words over it. */
    async function shot() {
      // Not by the browser's own way of styling a picture: the page's policy refuses what it did not bring along.
      const hide = (on) =>
        page.evaluate((on) => {
          const sheet = new CSSStyleSheet();
          if (on) sheet.replaceSync('.labels, .veil, .head, .foot, .slip, .column { visibility: hidden !important }');
          document.adoptedStyleSheets = [sheet];
        }, on);
      await hide(true);
      const picture = await page.locator('canvas[role=img]').screenshot();
      await hide(false);
      return picture;
    }

    /** A place on the picture where the hand takes hold of a spot, as the pointer shows. */
    async function spotUnderHand() {
      const box = await page.locator('canvas[role=img]').boundingBox();
      for (let y = 0.9; y > 0.2; y -= 0.04) {
        for (let x = 0.94; x > 0.3; x -= 0.04) {
          const at = { x: box.x + x * box.width, y: box.y + y * box.height };
          const free = await page.evaluate(({ x, y }) => document.elementFromPoint(x, y)?.tagName === 'CANVAS', at);
          if (!free) continue;
          await page.mouse.move(at.x, at.y);
          if ((await page.locator('canvas[role=img]').evaluate((canvas) => canvas.style.cursor)) === 'grab') return at;
        }
      }
      throw new Error('no spot in the picture can be taken hold of');
    }
  });
}
