// Many kinds of light on the page, against the program itself: found by a word, a sort or a number of channels; and what
// the library describes otherwise than a show, looked at, left and taken. node --test web/test/kinds.test.mjs
import assert from 'node:assert/strict';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { axe, browse, inTheWay, look, open, run, until } from './lanthorn.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
const FINGER = 44;
const SHOTS = process.env.SHOTS;

describe('kinds of light', () => {
  let browser;
  before(async () => (browser = await browse()));
  after(() => browser.close());

  const shoot = async (page, size, name) => SHOTS && (await page.screenshot({ path: join(SHOTS, `kinds-${size.width}-${name}.png`) }));
  const clean = async (page, where) => {
    const violations = await axe(page, 'main');
    assert.deepEqual(violations.map((one) => [one.id, one.nodes.map((node) => node.html)]), [], where);
  };

  for (const size of [LAPTOP, PHONE]) {
    test(`are found for a first show on ${size.words}`, { timeout: 180_000 }, async () => {
      const folder = mkdtempSync(join(tmpdir(), 'lanthorn-kinds-'));
      const path = join(folder, 'fair.show.toml');
      assert.equal(run(['new', 'fair', '--empty', '--room', 'barn'], folder).status, 0);
      const machine = await open('127.0.0.1:0', [path]);
      const { page, wrong, close } = await look(browser, size);
      await page.goto(`${machine.url}#room`);
      await page.getByRole('heading', { name: 'Nothing hangs here yet' }).waitFor();
      const choices = page.getByRole('group', { name: 'Kinds of light' }).getByRole('button');
      await until('the usual kinds are there', async () => (await choices.count()) === 12);
      const field = page.getByRole('searchbox', { name: 'find another kind' });
      await shoot(page, size, 'begin');
      await field.fill('hazer');
      const names = async () => (await page.locator('.kind-found .kind-name').allInnerTexts()).join(', ');
      await until('hazers are found', async () => (await names()) === 'hazer, small hazer');
      await field.fill('par 9 channels');
      await until('one par has nine channels', async () => (await names()) === 'flat RGBW par');
      await shoot(page, size, 'found');
      await clean(page, 'with what was found');
      await field.press('Enter');
      await page.getByRole('button', { name: 'One flat RGBW par more', exact: true }).waitFor();
      // By the arrow keys, or with a thumb.
      await field.fill('machine');
      const found = page.getByRole('button', { name: /^snow machine/ });
      await found.waitFor();
      if (size.touch) await found.tap();
      else {
        await field.press('ArrowDown');
        await page.keyboard.press('ArrowDown');
        await page.keyboard.press('Enter');
      }
      await page.getByRole('button', { name: 'One snow machine more', exact: true }).waitFor();
      await field.fill('no such light');
      await page.getByText('No kind of light holds “no such light”').waitFor();
      await field.press('Escape');
      await until('the field is empty', async () => (await field.inputValue()) === '');
      await page.getByRole('button', { name: /^all \d+$/ }).click();
      await until('all of them are shown', async () => (await page.locator('.kind-found').count()) >= 38);
      await shoot(page, size, 'all');
      assert.deepEqual(await inTheWay(page, FINGER), []);
      assert.deepEqual(wrong, []);
      await close();
      assert.equal(await machine.end(), 0);
      rmSync(folder, { recursive: true, force: true });
    });

    test(`of a show are offered anew on ${size.words}`, { timeout: 180_000 }, async () => {
      const folder = mkdtempSync(join(tmpdir(), 'lanthorn-offers-'));
      const path = join(folder, 'fair.show.toml');
      assert.equal(run(['new', 'fair', '--room', 'village hall', '--lights', '4 RGBW par'], folder).status, 0);
      const old = readFileSync(path, 'utf8').replace('watts = "72 W"', 'watts = "66 W"').replace('weight = "2.1 kg"', 'weight = "2.3 kg"');
      writeFileSync(path, old);
      const keeps = join(folder, 'state');
      mkdirSync(keeps);
      const machine = await open('127.0.0.1:0', [path], keeps);
      const { page, wrong, heard, close } = await look(browser, size);
      await page.goto(`${machine.url}#rig`);
      const line = page.getByRole('button', { name: /The library has another description of RGBW par: 2 differences/ });
      await line.waitFor();
      assert.equal(heard.scene.offers.length, 1);
      await (size.touch ? line.tap() : line.press('Enter'));
      await page.getByText('Power at full: 66 W is now 72 W').waitFor();
      await line.scrollIntoViewIfNeeded();
      await shoot(page, size, 'offer');
      assert.deepEqual(await inTheWay(page, FINGER), []);
      assert.equal(readFileSync(path, 'utf8'), old, 'nothing is changed by looking');
      const take = page.getByRole('button', { name: 'Take it', exact: true });
      await (size.touch ? take.tap() : take.press('Enter'));
      await until('it is taken', () => heard.scene.offers.length === 0);
      assert.match(readFileSync(path, 'utf8'), /watts = "72 W"/);
      const undo = page.getByRole('button', { name: /^Undo/ }).first();
      await undo.waitFor();
      await (size.touch ? undo.tap() : undo.press('Enter'));
      await until('it is taken back', () => heard.scene.offers.length === 1);
      assert.equal(readFileSync(path, 'utf8'), old);
      await line.waitFor();
      await (size.touch ? line.tap() : line.press('Enter'));
      const leave = page.getByRole('button', { name: 'Leave it', exact: true });
      await (size.touch ? leave.tap() : leave.press('Enter'));
      await until('it is told no more', async () => (await line.count()) === 0);
      await page.reload();
      await until('the show is heard again', () => page.getByRole('heading', { name: 'Lights', exact: true }).count());
      assert.equal(await line.count(), 0, 'this browser remembers that it was left');
      assert.equal(readFileSync(path, 'utf8'), old);
      assert.deepEqual(wrong, []);
      await close();
      assert.equal(await machine.end(), 0);
      rmSync(folder, { recursive: true, force: true });
    });
  }
});
