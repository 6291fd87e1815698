// A show is made on the page, by hand and by keyboard, with a made-up machine behind it: node --test web/test
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { createServer } from 'vite';
import { PADS, browse, inTheWay, look, press, until } from './lanthorn.mjs';

const SIZES = [
  { words: 'a phone', width: 390, height: 844, touch: true },
  { words: 'a laptop', width: 1440, height: 900, touch: false },
  { words: 'a large screen', width: 1920, height: 1080, touch: false },
];
const FINGER = 44;

let browser, server, address;
before(async () => {
  browser = await browse();
  server = await createServer({ root: `${import.meta.dirname}/..`, server: { port: 0, host: '127.0.0.1', watch: null, hmr: false }, logLevel: 'error' });
  await server.listen();
  address = `http://127.0.0.1:${server.httpServer.address().port}/dev/panels.html`;
});
after(async () => {
  await browser?.close();
  await server?.close();
});

/** A page with a machine of its own behind it, and the hands for it. */
async function hall(size, stage, query = '') {
  const { page, wrong, close } = await look(browser, size);
  await page.goto(`${address}?every=400&${query}#${stage}`);
  await page.locator('body[data-link=up]').waitFor();
  await page.locator('.column > :not([role=status])').first().waitFor();
  const tap = (selector) => press(page.locator(selector).first());
  const scene = () => page.evaluate(() => window.lanthornMachine.scene());
  const lookOf = async (name) => (await scene()).looks.find((one) => one.name === name);
  return {
    page,
    tap,
    scene,
    lookOf,
    close: async () => {
      assert.deepEqual(wrong.filter((text) => !/404/.test(text)), []);
      await close();
    },
    turn: async (to) => {
      await page.evaluate((to) => (location.hash = to), to);
      await page.waitForFunction((name) => document.body.dataset.stage === name, to);
    },
    word: (of) => `.making [data-opens$=" ${of}"]`,
    said: (pattern) => page.locator('.said.shown').filter({ hasText: pattern }).waitFor(),
    other: (change) => page.evaluate((change) => window.lanthornMachine.change(change), change),
    undo: async () => tap('.undo-row button:text-is("Undo")'),
    redo: async () => tap('.undo-row button:text-is("Redo")'),
  };
}

for (const size of SIZES.slice(0, 2)) {
  describe(`making on ${size.words}`, () => {
    test('a look is called otherwise, stays open, and undo and redo say what they do', async () => {
      const it = await hall(size, 'looks');
      await it.tap('[aria-label="Change Cake"]');
      await it.tap(it.word('name'));
      const field = it.page.locator('.name-editor input');
      await field.fill('Cutting the cake');
      await field.press('Enter');
      await it.said(/called "Cutting the cake" now/);
      await it.page.locator('.item.making h2', { hasText: 'Cutting the cake' }).waitFor();
      assert.equal((await it.scene()).cues.find((cue) => cue.number === '6').look, 'Cutting the cake');
      const undo = it.page.locator('.undo-row button').first();
      assert.match(await undo.getAttribute('title'), /called "Cutting the cake"/);
      assert.equal(await undo.getAttribute('aria-label'), await undo.getAttribute('title'));
      await it.undo();
      await it.page.locator('.item.making h2', { hasText: /^Cake$/ }).waitFor();
      await it.redo();
      await it.page.locator('.item.making h2', { hasText: 'Cutting the cake' }).waitFor();
      await it.close();
    });

    test('a colour, a level and a place are changed by their words', async () => {
      const it = await hall(size, 'looks');
      await it.tap('[aria-label="Change First dance"]');
      await it.tap(it.word('colour'));
      await it.tap('.colours-editor .swatch:text-is("plum")');
      await until('it is plum', async () => (await it.lookOf('First dance')).parts[0].values.colour === 'plum');
      await it.page.locator('.making .part', { hasText: 'plum' }).waitFor();
      assert.equal(await it.page.locator('.colours-editor').count(), 1, 'the editor stays open');
      await it.tap('.colours-editor .act:text-is("One more")');
      await it.tap('.colours-editor .swatch:text-is("barn amber")');
      await until('there are two', async () => (await it.lookOf('First dance')).parts[0].values.colour.join() === 'plum,barn amber');
      await it.tap(it.word('level'));
      const percent = it.page.locator('.level-made input').first();
      await percent.fill('35');
      await percent.press('Enter');
      await until('it is 35 %', async () => (await it.lookOf('First dance')).parts[0].values.level === '35 %');
      await it.tap(it.word('aim'));
      await it.tap('.where-editor .choice:text-is("cake")');
      await until('it is on the cake', async () => (await it.lookOf('First dance')).parts[0].values.aim === 'cake');
      await it.tap('.where-editor .choice:text-is("spread along a line")');
      await until('it is a line', async () => (await it.lookOf('First dance')).parts[0].values.aim.to === 'cake');
      await it.close();
    });

    test('lights are tapped in the room to say who', async () => {
      const it = await hall(size, 'looks');
      await it.tap('[aria-label="Change Speaker"]');
      await it.tap(it.word('who'));
      await it.tap('.label-unit[data-unit="8"]');
      await until('light 8 shines too', async () => (await it.lookOf('Speaker')).parts[0].values.who.join() === '2,3,8');
      assert.equal(await it.page.locator('.slip').count(), 0, 'no slip opens');
      await it.tap('.who-editor .choice:text-is("heads")');
      await until('the heads shine', async () => (await it.lookOf('Speaker')).parts[0].values.who === 'heads');
      await it.close();
    });

    test('a sentence more, its figure, its end, and a look of its own', async () => {
      const it = await hall(size, 'looks');
      await it.tap('[aria-label="Change Hall warm"]');
      await it.tap('.making .act:text-is("Add a sentence")');
      await it.tap('.who-editor .choice:text-is("spots")');
      await until('there are two', async () => (await it.lookOf('Hall warm')).parts.length === 2);
      await it.page.locator('.making .part').nth(1).locator('[data-opens$=" more"]').evaluate((e) => e.click());
      await it.tap('.more-editor .choice:text-is("a figure")');
      await it.tap('.making .editor .choice:has-text("harvest sway")');
      await until('it runs', async () => (await it.lookOf('Hall warm')).parts[1].values.figure === 'harvest sway');
      await it.page.locator('.making .part').nth(0).locator('[data-opens$=" more"]').evaluate((e) => e.click());
      await it.tap('.more-editor .act:text-is("Take it away")');
      await until('one is left', async () => (await it.lookOf('Hall warm')).parts.length === 1);
      await it.tap('.making .act:text-is("Copy")');
      await it.page.locator('.item.making h2', { hasText: 'Hall warm 2' }).waitFor();
      await it.tap('.making .act:text-is("Later")');
      await until('it moved', async () => (await it.scene()).looks[2].name === 'Hall warm 2');
      await it.tap('.making .act:text-is("Remove")');
      await until('it is gone', async () => !(await it.lookOf('Hall warm 2')));
      await it.tap('.said .handle:text-is("Undo")');
      await until('it is back', async () => (await it.lookOf('Hall warm 2')) !== undefined);
      await it.close();
    });

    test('what is lit is kept as a new look, and as the one that is on', async () => {
      const it = await hall(size, 'looks');
      await it.tap('[data-opens=keep]');
      const name = it.page.locator('.keep-editor input');
      await name.fill('As it was at nine');
      await it.tap('.keep-editor .key:text-is("Keep it new")');
      await it.said(/is kept, new/);
      await it.page.locator('.item.making h2', { hasText: 'As it was at nine' }).waitFor();
      assert.ok((await it.lookOf('As it was at nine')).parts.length > 3);
      await it.tap('[data-opens=keep]');
      await it.tap('.keep-editor .key:has-text("Keep it in Full floor")');
      await it.said(/"Full floor" is kept/);
      await it.close();
    });

    test('a new chase of three looks, its pace and its order', async () => {
      const it = await hall(size, 'chases');
      await it.tap('[data-opens="new chase"]');
      for (const one of ['Cake', 'Speaker', 'First dance']) await it.tap(`.new-editor .look-choice:has-text("${one}")`);
      await it.page.locator('.new-editor input').fill('Round the cake');
      await it.tap('.new-editor .key:has-text("Make it, 3 steps")');
      await it.page.locator('.item.making h2', { hasText: 'Round the cake' }).waitFor();
      const chase = async () => (await it.scene()).chases.find((one) => one.name === 'Round the cake');
      assert.deepEqual((await chase()).steps, ['Cake', 'Speaker', 'First dance']);
      await it.tap('.making .act:text-is("Double pace")');
      await until('it is twice as fast', async () => (await chase()).step_time === '2 beats' && (await chase()).step_fade === '1 beat');
      await it.tap(it.word('order'));
      await it.tap('.making .editor .choice:text-is("to and fro")');
      await until('it goes to and fro', async () => (await chase()).order === 'to and fro');
      await it.page.locator('.chase-step').nth(1).locator('[data-opens$=" time"]').evaluate((e) => e.click());
      await it.tap('.chase-step .choice:text-is("2 bars")');
      await until('one step has its own time', async () => (await chase()).each[1].time === '2 bars');
      await it.close();
    });

    test('a new cue, what it changes, and its number', async () => {
      const it = await hall(size, 'cues');
      await it.tap('[data-opens="new cue"]');
      await it.page.locator('.new-editor input').fill('Sweeping up');
      await it.tap('.new-editor .look-choice:has-text("Hall warm")');
      await it.tap('.new-editor .key:text-is("Add it")');
      const cue = async () => (await it.scene()).cues.find((one) => one.name === 'Sweeping up');
      await it.page.locator('.cue.making h2', { hasText: 'Sweeping up' }).waitFor();
      assert.deepEqual([(await cue()).number, (await cue()).look], ['13', 'Hall warm']);
      await it.tap(it.word('chases'));
      await it.tap('.cue.making .choice:text-is("Hedgerow")');
      await until('a chase runs with it', async () => (await cue()).chases?.join() === 'Hedgerow');
      await it.tap(it.word('number'));
      const number = it.page.locator('.cue.making input');
      await number.fill('0.5');
      await number.press('Enter');
      await until('it is the first', async () => (await it.scene()).cues[0].name === 'Sweeping up');
      await it.page.locator('.cue.making h2', { hasText: 'Sweeping up' }).waitFor();
      await it.close();
    });

    test('pads are chosen, and choosing lights nothing', async () => {
      const it = await hall(size, 'tonight');
      const keys = () => it.page.locator('.tonight .words .word').allInnerTexts();
      const all = (await keys()).length;
      await it.tap('button:text-is("Choose pads")');
      const on = () => it.page.evaluate(() => window.lanthornMachine.now().look);
      const before = await on();
      await it.tap('.choosable[aria-label^="Cake,"]');
      await until('it is off the pads', async () => !(await it.scene()).tonight.includes('Cake'));
      await it.tap('.choose .key:text-is("Done")');
      await until('one key less', async () => (await keys()).length === all - 1);
      assert.equal(await on(), before);
      assert.equal(await it.page.locator('.tonight [data-opens]').count(), 0, 'no editing on the pads');
      await it.close();
    });

    test('typed text outlasts a change from elsewhere, a refusal, and the loss of touch', async () => {
      const it = await hall(size, 'looks');
      await it.tap('[aria-label="Change Cake"]');
      await it.tap(it.word('name'));
      const field = it.page.locator('.name-editor input');
      await field.fill('Speaker');
      await field.evaluate((input) => (window.kept = input));
      await it.other({ type: 'look_add', name: 'From another page', like: null });
      await it.other({ type: 'look_move', name: 'From another page', to: 1 });
      await it.other({ type: 'part_set', look: 'Cake', part: 1, field: 'level', value: '10 %' });
      await it.page.locator('.cover:text-is("From another page")').waitFor();
      assert.equal(await field.inputValue(), 'Speaker');
      assert.ok(await field.evaluate((input) => input === window.kept && document.activeElement === input), 'the very field, still in hand');
      await field.press('Enter');
      await it.page.locator('.said.wrong', { hasText: 'choose another name' }).waitFor();
      assert.equal(await field.inputValue(), 'Speaker');
      await it.page.evaluate(() => window.lanthornMachine.lose());
      await field.fill('The cake at last');
      await field.press('Enter');
      assert.equal(await field.inputValue(), 'The cake at last');
      await it.page.evaluate(() => window.lanthornMachine.start());
      await it.page.locator('body[data-link=up]').waitFor();
      assert.equal(await field.inputValue(), 'The cake at last');
      await field.press('Enter');
      await until('it went', async () => (await it.lookOf('The cake at last')) !== undefined);
      await it.close();
    });

    test('the place on the page outlasts a change from elsewhere', async () => {
      const it = await hall(size, 'looks');
      await it.tap('[aria-label="Change Full floor"]');
      await it.tap(it.word('level'));
      const column = it.page.locator('.column');
      await column.evaluate((box) => (box.scrollTop = 300));
      const at = await column.evaluate((box) => box.scrollTop);
      await it.other({ type: 'look_fade', name: 'Speaker', fade: '9 s' });
      await until('it is heard', async () => (await it.lookOf('Speaker')).fade === '9 s');
      assert.equal(await column.evaluate((box) => box.scrollTop), at);
      assert.equal(await it.page.locator('.level-made').count(), 1);
      await it.close();
    });
  });
}

test('by keyboard alone: a look is renamed, put back, and moved', async () => {
  const it = await hall(SIZES[1], 'looks');
  const press = (key) => it.page.keyboard.press(key);
  const active = () => it.page.evaluate(() => `${document.activeElement?.getAttribute('aria-label') ?? ''} ${document.activeElement?.textContent ?? ''}`);
  const tabTo = async (pattern) => {
    for (let i = 0; i < 60; i += 1) {
      if (pattern.test(await active())) return;
      await press('Tab');
    }
    throw new Error(`Tab never comes to ${pattern}`);
  };
  await tabTo(/^Change Speaker/);
  await press('Enter');
  await until('its name has the focus', async () => /^Name: Speaker/.test(await active()));
  await press('Enter');
  await it.page.locator('.name-editor input:focus').waitFor();
  await it.page.keyboard.type('Speeches');
  await press('Enter');
  await until('it is renamed', async () => (await it.lookOf('Speeches')) !== undefined);
  await until('the word has the focus again', async () => /^Name: Speeches/.test(await active()));
  await press('Control+z');
  await until('it is as it was', async () => (await it.lookOf('Speaker')) !== undefined);
  await press('Control+Shift+z');
  await until('it is again', async () => (await it.lookOf('Speeches')) !== undefined);
  await press('Alt+ArrowUp');
  await until('it moved up', async () => (await it.scene()).looks[1].name === 'Speeches');
  await tabTo(/^ spots$|^ Spots/);
  await press('Enter');
  await until('its editor has the focus', async () => /all lights/.test(await active()));
  await press('Escape');
  await until('the word has the focus', async () => /Spots/.test(await active()));
  await press('Escape');
  await until('it is shut', async () => /^Change Speeches/.test(await active()));
  await it.close();
});

test('a row is dragged to another place, and a spot dragged in the room says where', async () => {
  const it = await hall(SIZES[1], 'looks');
  await it.page.evaluate(() => {
    const rows = document.querySelectorAll('[data-item^=look]');
    const event = (row, name) => row.dispatchEvent(new DragEvent(name, { bubbles: true, cancelable: true, dataTransfer: new DataTransfer() }));
    event(rows[0], 'dragstart');
    event(rows[2], 'dragover');
    event(rows[2], 'drop');
    event(rows[0], 'dragend');
  });
  await until('it stands third', async () => (await it.scene()).looks.map((one) => one.name).slice(0, 3).join() === 'Supper glow,Speaker,Hall warm');

  await it.tap('[aria-label="Change Cake"]');
  await it.tap(it.word('aim'));
  const box = await it.page.locator('canvas[role=img]').boundingBox();
  const aim = async () => (await it.lookOf('Cake')).parts[0].values.aim;
  const grabs = async (at) => {
    await it.page.mouse.move(at.x, at.y);
    return it.page.locator('canvas[role=img]').evaluate((canvas) => canvas.style.cursor === 'grab');
  };
  found: for (let y = 0.84; y > 0.5; y -= 0.03) {
    for (let x = 0.9; x > 0.42; x -= 0.02) {
      const at = { x: box.x + x * box.width, y: box.y + y * box.height };
      if (!(await grabs(at))) continue;
      await it.page.mouse.down();
      for (let step = 1; step <= 6; step += 1) await it.page.mouse.move(at.x - step * 7, at.y + step);
      await it.page.mouse.up();
      if (Array.isArray(await aim())) break found;
    }
  }
  assert.ok(Array.isArray(await aim()), 'a point in the room');
  assert.equal((await it.page.evaluate(() => window.lanthornMachine.held())).filter((unit) => [2, 3, 8, 9].includes(unit)).length, 0, 'the hand lets go');
  await it.close();
});

test('an empty show says what comes first, and leads there', async () => {
  const it = await hall(SIZES[0], 'tonight', 'empty');
  await it.tap('.key.great');
  await it.page.locator('body[data-stage=looks] .new-editor').waitFor();
  await it.page.locator('.new-editor input').fill('Warm');
  await it.tap('.new-editor .key:text-is("Dark, to begin with")');
  await it.page.locator('.item.making h2', { hasText: 'Warm' }).waitFor();
  await it.tap('.making .act:text-is("Say who shines")');
  await it.tap('.who-editor .choice:text-is("all lights")');
  await until('all shine', async () => (await it.lookOf('Warm')).parts[0]?.values.who === 'all');
  await it.turn('cues');
  await it.tap('.key.great');
  await it.tap('.new-editor .look-choice');
  await it.tap('.new-editor .key:text-is("Add it")');
  await until('the first cue is there', async () => (await it.scene()).cues[0]?.look === 'Warm');
  await it.close();
});

/** How to come to each state that is looked at; the first ones on every screen and in both themes. */
const VIEWS = [
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" colour"]'],
  ['chases', '[aria-label="Change Slow wheel"]', '.making [data-opens$=" step_time"]'],
  ['cues', '[aria-label^="Change cue 8"]', '.making [data-opens$=" look"]'],
  ['tonight', 'button:text-is("Choose pads")', '.choosable'],
  ['tonight'],
  ['room'],
  ['rig'],
  ['looks'],
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" level"]'],
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" who"]'],
  ['looks', '[aria-label="Change Supper glow"]', '.making [data-opens$=" aim"]'],
  ['looks', '[aria-label="Change Full floor"]', '.making .part:nth-of-type(4) [data-opens$=" strobe"], .making [data-opens$=" strobe"]'],
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" more"]'],
  ['looks', '[data-opens=keep]'],
  ['looks', '[data-opens="new look"]'],
  ['chases', '[aria-label="Change Slow wheel"]', '.chase-step [data-opens$=" look"]'],
  ['chases', '[data-opens="new chase"]', '.look-choice'],
  ['cues'],
  ['cues', '[data-opens="new cue"]'],
];
const FIRST_VIEWS = 5;

for (const size of SIZES) {
  test(`every view on ${size.words} fits, a finger finds all of it, and nobody is shut out`, async () => {
    const complaints = [];
    for (const theme of size === SIZES[1] ? ['neutral', 'amber'] : ['neutral']) {
      const it = await hall(size, 'room');
      await it.page.evaluate((theme) => localStorage.setItem('lanthorn.theme', theme), theme);
      const all = theme === 'neutral' && size !== SIZES[2];
      for (const [stage, ...taps] of all ? VIEWS : VIEWS.slice(0, FIRST_VIEWS)) {
        const where = `${theme}, ${[stage, ...taps].join(' ')}`;
        await it.page.goto('about:blank');
        await it.page.goto(`${address}?every=400#${stage}`);
        await it.page.locator('body[data-link=up]').waitFor();
        await it.page.locator('.column > :not([role=status])').first().waitFor();
        for (const selector of taps) await it.tap(selector);
        complaints.push(...(await inTheWay(it.page, FINGER, stage === 'tonight' && taps.length === 0 ? PADS : null)).map((one) => `${where}: ${one}`));
      }
      await it.close();
    }
    assert.deepEqual(complaints, []);
  });
}
