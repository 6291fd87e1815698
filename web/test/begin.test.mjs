// A first show from nothing on the page, against the program itself: four questions, seen before it is begun, one press,
// and undo. On a laptop by keys alone, on a phone with a thumb: node --test web/test
import assert from 'node:assert/strict';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { axe, browse, look, open, run, until } from './lanthorn.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
const FINGER = 44;

describe('a first show', () => {
  let browser;
  before(async () => (browser = await browse()));
  after(() => browser.close());

  for (const size of [LAPTOP, PHONE]) {
    test(`on ${size.words}`, { timeout: 180_000 }, async () => {
      const folder = mkdtempSync(join(tmpdir(), 'lanthorn-begin-'));
      const path = join(folder, 'supper.show.toml');
      assert.equal(run(['new', 'supper', '--empty', '--room', 'barn'], folder).status, 0);
      const text = () => readFileSync(path, 'utf8');
      const bare = text();
      const machine = await open('127.0.0.1:0', [path]);
      const { page, wrong, heard, close } = await look(browser, size);
      const button = (name) => page.getByRole('button', { name, exact: true });
      const press = async (control) => {
        if (size.touch) return control.tap();
        await control.focus();
        await page.keyboard.press('Enter');
      };
      const clean = async (where) => {
        const violations = await axe(page, 'main');
        assert.deepEqual(violations.map((one) => [one.id, one.nodes.map((node) => node.html)]), [], where);
      };
      await page.goto(`${machine.url}#room`);
      await page.getByRole('heading', { name: 'Nothing hangs here yet' }).waitFor();
      await clean('with no answer');
      await press(button('Add small spot head'));
      await press(button('Add RGBW par'));
      await press(button('One RGBW par more'));
      await press(button('One RGBW par more'));
      await press(button('Add hazer'));
      await press(button('One hazer fewer'));
      await page.getByRole('combobox', { name: 'Where the small spot heads go' }).selectOption('back bar');
      await press(button('your own measures'));
      await page.getByLabel('High').fill('1');
      await page.getByText('a height of 1 m cannot be: give 2.4 to 30 m').waitFor();
      assert.equal(await page.getByRole('button', { name: /^Begin with/ }).getAttribute('aria-disabled'), 'true');
      await clean('with a wrong answer');
      await press(button('village hall'));
      await page.getByText('7 lights, addressed from 1.001').waitFor();
      await page.getByText('smoke detectors may answer').waitFor();
      await until('the room shows lights that are not there yet', () => page.locator('.picture').getByText('7', { exact: true }).count());
      await clean('with every answer');
      assert.equal(heard.scene.units.length, 0, 'nothing is changed by looking');
      assert.equal(text(), bare);
      if (size.touch) {
        for (const control of await page.locator('.begin button, .begin select, .begin input').all()) {
          const box = await control.boundingBox();
          assert.ok(!box || box.height >= FINGER, `${await control.innerText()}: ${box?.height}`);
        }
        assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'nothing stands beside the page');
      }
      await press(page.getByRole('button', { name: /^Begin with/ }));
      await until('the show is there', () => heard.scene.units.length === 7);
      await until('its first look is on', () => heard.moment?.now?.look === 'Warm welcome');
      assert.match(text(), /name = "village hall"/);
      assert.match(text(), /name = "supper"/);
      assert.equal(run(['check', path], folder).status, 0);
      await page.evaluate(() => (location.hash = 'looks'));
      await press(page.getByRole('button', { name: /^Undo/ }).first());
      await until('it is taken back', () => heard.scene.units.length === 0);
      assert.equal(text(), bare);
      assert.deepEqual(wrong, []);
      await close();
      assert.equal(await machine.end(), 0);
      rmSync(folder, { recursive: true, force: true });
    });
  }
});
