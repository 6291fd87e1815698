// From an empty show to a running chase of three looks with two added lights: every click, touch and key is counted.
// node --test web/test/first-chase.test.mjs
import assert from 'node:assert/strict';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { browse, look, open, run, until } from './lanthorn.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
/** So many actions are too many. */
const TOO_MANY = 60;

/** An empty show on a page of that size, and a hand that counts what it does. */
async function withHand(size, does) {
  const folder = mkdtempSync(join(tmpdir(), 'lanthorn-first-'));
  const path = join(folder, 'supper.show.toml');
  const browser = await browse();
  let machine;
  try {
    assert.equal(run(['new', 'supper', '--empty', '--room', 'village hall'], folder).status, 0);
    machine = await open('127.0.0.1:0', [path, '--sacn', '127.0.0.1']);
    const { page, wrong, heard } = await look(browser, size);
    const actions = [];
    const it = {
      page,
      heard,
      actions,
      text: () => readFileSync(path, 'utf8'),
      /** A real touch or click in the middle of what is found. */
      press: async (found, said) => {
        const target = (typeof found === 'string' ? page.locator(found) : found).first();
        actions.push(said ?? String(found));
        await (size.touch ? target.tap() : target.click());
      },
      /** Each letter is an action. */
      type: async (words) => {
        for (const letter of words) {
          actions.push(`key ${letter}`);
          await page.keyboard.press(letter);
        }
      },
      button: (name) => page.getByRole('button', { name, exact: typeof name === 'string' }),
      word: (of) => it.press(`.making [data-opens$=" ${of}"]`),
      stage: async (name) => {
        if (size.width < 900) await it.press('.running-head', 'the stages');
        await it.press(page.locator('.stage-word', { hasText: name }), `to ${name}`);
      },
    };
    await page.goto(machine.url);
    await page.locator('body[data-link=up]').waitFor();
    await until('the show is heard', () => heard.scene && heard.moment);
    assert.equal(heard.scene.units.length, 0);
    await does(it);
    assert.ok(actions.length < TOO_MANY, `${actions.length} actions: ${actions.join(', ')}`);
    assert.deepEqual(wrong, []);
  } finally {
    await browser.close();
    await machine?.end();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A chase of these looks, made and started; what is heard and what stands in the file says that it runs. */
async function chase(it, looks) {
  await it.stage('Chases');
  await it.press(it.page.locator('[data-opens="new chase"], .column .key.great').first(), 'New chase');
  for (const name of looks) await it.press(it.page.getByRole('button', { name: new RegExp(`^${name}\\s*$`, 'i') }).and(it.page.locator('.look-choice')), name);
  await it.press(it.button(/^Make it, (3|three) steps/), 'Make it');
  await until('it is there', () => it.heard.scene.chases.some((one) => one.name === 'New chase'));
  await it.press(it.button(/^Start New chase/), 'Start');
  await until('it runs', () => it.heard.moment.now.chases.some((one) => one.name === 'New chase'));
  const steps = new Set();
  await until('each of its steps has been on', () => {
    const now = it.heard.moment.now.chases.find((one) => one.name === 'New chase');
    if (now) steps.add(now.step);
    return steps.size === 3;
  });
}

for (const size of [PHONE, LAPTOP]) {
  test(`by the four questions, on ${size.words}`, { timeout: 180_000 }, async () => {
    await withHand(size, async (it) => {
      await it.stage('Room');
      await it.press(it.button('Add small spot head'), 'Add small spot head');
      await it.page.locator('.begin-take[aria-disabled=false]').waitFor();
      await it.press(it.button(/^Begin with/), 'Begin');
      await until('two lights are there', () => it.heard.scene.units.length === 2);
      const looks = it.heard.scene.looks.filter((look) => look.colours.length > 0).map((look) => look.name);
      await chase(it, looks.slice(0, 3));
    });
  });

  test(`by hand, on ${size.words}`, { timeout: 180_000 }, async () => {
    await withHand(size, async (it) => {
      await it.stage('Rig');
      await it.press('[data-opens="add lights"]', 'Add lights');
      await it.press('.add-lights .choice:text-is("small spot head")', 'small spot head');
      await it.press('.add-lights .choice:has-text("front bar")', 'front bar');
      await it.press('.add-lights .key', 'add');
      await until('two lights are there', () => it.heard.scene.units.length === 2);
      await it.stage('Looks');
      await it.press(it.button('Make the first look'), 'Make the first look');
      await it.press(it.button('Dark, to begin with'), 'Dark');
      await it.press('.making .act[data-opens$=" add"]', 'Say who shines');
      await it.press('.making .choice:text-is("all lights")', 'all lights');
      await it.word('more');
      await it.press('.more-editor .choice:text-is("colour")', 'more: colour');
      const colours = [];
      for (const [place, name] of [[0, 'New look'], [2, 'New look 2'], [5, 'New look 3']]) {
        if (place > 0) {
          await it.press(it.button('Copy'), 'Copy');
          await until('the copy is there', () => it.heard.scene.looks.some((one) => one.name === name));
          await it.page.locator('.item.making h2', { hasText: name }).waitFor();
          await it.word('colour');
        }
        await it.press(it.page.locator('.making .editor .choice.colour:visible:not([aria-pressed=true])').nth(place), `colour ${place}`);
        const values = () => it.heard.scene.looks.find((one) => one.name === name)?.parts[0]?.values;
        await until('it has a colour', () => values()?.colour !== undefined && !colours.includes(values().colour));
        colours.push(values().colour);
      }
      await chase(it, ['New look', 'New look 2', 'New look 3']);
    });
  });
}
