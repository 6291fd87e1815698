// Setting up, as a person does it on a phone and on a laptop: cards are ticked and stay ticked over a restart; then the line
// check, with faults planted into the stand-in. The test looks at what the stand-in's lights show and presses the page's
// own keys, nothing else.
import assert from 'node:assert/strict';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { browse, inTheWay, look, open, until } from './lanthorn.mjs';

const DEMO = join(import.meta.dirname, '../../crates/store/shows/harvest-supper.show.toml');
const FINGER = 44;
/** No run asks more. */
const MOST = 12;
/** Pictures of what is tested are kept here, if somebody wants to look at them. */
const PICTURES = process.env.PICTURES;

const SIZES = [
  { words: 'a phone', width: 390, height: 844, touch: true, faults: 'swap 2 3; dead 7', found: [/Lights 2 and 3 answer for each other/, /Light 7 seems to have no power/] },
  { words: 'a laptop', width: 1280, height: 800, touch: false, faults: 'pan 6; broken A after 8', found: [/Pan of light 6 runs backwards/, /between lights? 8 and 11|between lights? 11 and 10/] },
];

for (const size of SIZES) {
  describe(`setting up on ${size.words}`, { timeout: 400_000 }, () => {
    let folder, browser, machine, page, wrong, heard, close;
    const setUp = () => heard.set_up;
    const light = (number) => heard.moment.lights.find((one) => one.unit === number);
    const tap = (selector) => page.locator(selector).first().evaluate((element) => element.click());
    const great = () => page.locator('.sight-great .go').innerText();
    const state = () => join(folder, 'state');
    const start = async (...more) => {
      machine = await open('127.0.0.1:0', [join(folder, 'supper.show.toml'), ...more], state());
      ({ page, wrong, heard, close } = await look(browser, size));
      await page.goto(`${machine.url}#rig`);
      await page.locator('body[data-link=up] canvas[role=img]').waitFor();
      await until('setting up is heard of', () => heard.set_up && heard.moment);
    };

    before(async () => {
      folder = mkdtempSync(join(tmpdir(), 'lanthorn-set-up-'));
      mkdirSync(state());
      writeFileSync(join(folder, 'supper.show.toml'), readFileSync(DEMO, 'utf8'));
      browser = await browse();
      await start();
    });
    after(async () => {
      await close?.();
      await browser?.close();
      assert.equal(await machine?.end(), 0, 'Ctrl-C ends it well');
      rmSync(folder, { recursive: true, force: true });
    });

    test('cards follow the line; ticks are kept over a restart and taken back', async () => {
      await tap('.set-up-door');
      await page.locator('.set-up-step').first().waitFor();
      assert.match(await page.locator('h1').innerText(), /^Light 7/);
      assert.match(await page.locator('.set-up .label').innerText(), /0 of 11 lights done/);
      await fits('card');
      await tap('.set-up-step');
      await until('it is ticked', () => setUp().parts[0].cards[0].steps[0].done);
      assert.equal(await page.locator('.set-up-step').first().getAttribute('aria-checked'), 'true');
      assert.equal(await great(), 'The rest is done');
      await tap('.sight-great .go');
      await until('the light is done', () => setUp().done === 1);
      assert.match(await great(), /^Next, light 1$/);
      await fits('card done');
      await tap('.sight-great .go');
      await page.locator('h1:has-text("Light 1")').first().waitFor();
      await tap('.sight-great .go');
      await until('two are done', () => setUp().done === 2);
      await tap('button:has-text("Take the last tick back")');
      await until('one is done', () => setUp().done === 1);

      await close();
      assert.equal(await machine.end('SIGKILL'), 'SIGKILL');
      await start('--faults', size.faults);
      assert.equal(setUp().done, 1, 'another browser after a restart sees the ticks');
      assert.match(machine.said(), /faults planted/);
      assert.match(await page.locator('.set-up-door').innerText(), /1 of 11/);
    });

    test('the line check names every planted fault within twelve questions', async () => {
      await tap('.set-up-door');
      await tap('button:has-text("Line check")');
      await page.locator('.check-light').first().waitFor();
      for (let asked = 0; setUp().check.question; asked += 1) {
        assert.ok(asked < MOST, 'no more questions than twelve');
        const { answered, question } = setUp().check;
        if (question.kind === 'power') {
          if (asked < 9) await fits('power');
          // What is seen on a light itself is known from what was planted.
          await tap(size.faults.includes(`dead ${question.about[0]}`) ? '.sight-great .back' : '.sight-great .go');
        } else {
          const seen = await watched(question);
          for (const one of question.lights) {
            const wanted = seen(one);
            for (let taps = 0; (await shown(one.unit)) !== wanted; taps += 1) {
              assert.ok(taps < one.choices.length, `${wanted} is among ${one.choices}`);
              await tap(`.check-light[data-light="${one.unit}"]`);
            }
          }
          if (asked < 3 || question.kind === 'swing') await fits(`question ${asked} ${question.kind}`);
          await tap('.sight-great .go');
        }
        await until('the answer is taken', () => setUp().check.answered === answered + 1);
        if (asked === 1) {
          // Taken back, the same question is open again.
          await page.locator('button:has-text("Take answer")').waitFor();
          await tap('button:has-text("Take answer")');
          await until('it is open again', () => setUp().check.answered === answered && setUp().check.question.words === question.words);
          const seen = await watched(question);
          for (const one of question.lights) {
            for (let taps = 0; (await shown(one.unit)) !== seen(one) && taps < 9; taps += 1) await tap(`.check-light[data-light="${one.unit}"]`);
          }
          await tap('.sight-great .go');
          await until('it is answered again', () => setUp().check.answered === answered + 1);
        }
      }
      await page.locator('.check-cause').first().waitFor();
      const said = (await page.locator('.check-causes').innerText()).replaceAll('\n', ' ');
      for (const found of size.found) assert.match(said, found);
      await fits('found');
    });

    test('when it is done the lights are the show’s, and what was found stays to be read', async () => {
      assert.equal(await great(), 'Done');
      await tap('.sight-great .go');
      await until('no light is in hand', () => heard.moment.lights.every((one) => !one.held));
      assert.ok((await page.locator('.check-cause').count()) > 0);
      await fits('rest');
      await tap('.sight-great .back');
      await page.locator('.set-up-step').first().waitFor();
      await tap('.sight-great .back');
      await page.locator('body[data-stage=rig] .set-up-door').waitFor();
    });

    test('nothing was complained about', () => assert.deepEqual(wrong, []));

    const shown = (number) => page.locator(`.check-light[data-light="${number}"]`).getAttribute('data-seen');

    /** What each light is seen to do, once all has come up, or has swung from end to end. */
    async function watched(question) {
      const since = heard.moment.time_s;
      if (question.kind === 'lit') {
        await until('the light has come up', () => heard.moment.time_s > since + 4.5);
        const lights = new Map(question.lights.map(({ unit }) => [unit, lamps(unit)]));
        return (one) => lights.get(one.unit);
      }
      // One whole swing, from dark to dark: however late this browser draws, it is seen from its beginning to its end.
      const swings = [[]];
      let before = null;
      await until('one whole swing is seen', () => {
        const at = heard.moment.time_s;
        if (at === before || at < since + 1) return false;
        before = at;
        if (lit(question)) swings.at(-1).push(new Map(question.lights.map(({ unit }) => [unit, light(unit).heads[0].along])));
        else if (swings.at(-1).length > 0) swings.push([]);
        // None of them gives light.
        if (swings.length === 1 && swings[0].length === 0 && at > since + 16) return true;
        // The first may have begun before it was looked at.
        return swings.length > 2 && swings.at(-2).length > 3;
      });
      const swing = swings.at(-2) ?? [];
      return (one) => (swing.length === 0 ? 'still' : way(swing.map((beams) => beams.get(one.unit))));
    }

    /** Some light of the question is well lit: the swing is on. */
    function lit(question) {
      return question.lights.some(({ unit }) => light(unit).heads[0].level > 0.2);
    }

    function lamps(unit) {
      const head = light(unit).heads[0];
      if (head.level < 0.01) return 'dark';
      return head.strobe_hz > 0 || Math.min(...head.rgb) < 0.5 ? 'odd' : 'white';
    }

    function way(beams) {
      const [from, to] = [beams[0], beams.at(-1)];
      const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
      if (Math.hypot(dx, dy) < 0.06) return 'still';
      if (Math.abs(dx) > Math.abs(dy)) return dx < 0 ? 'left' : 'right';
      return dy > 0 ? 'away' : 'towards';
    }

    /** Nothing is in anybody's way, and what is pressed here is large. */
    async function fits(name) {
      if (PICTURES) {
        mkdirSync(PICTURES, { recursive: true });
        await page.screenshot({ path: join(PICTURES, `${size.width} ${name}.png`.replaceAll(' ', '-')) });
      }
      assert.deepEqual(await inTheWay(page, FINGER), []);
      const low = await page.locator('.set-up-step, .check-light, .check-answer, .sight-great .go').evaluateAll((keys) =>
        keys.filter((key) => key.getBoundingClientRect().height < 59.5 && !key.matches('.go')).map((key) => key.textContent),
      );
      assert.deepEqual(low, [], 'large keys are 60 px high');
    }
  });
}
