// Keys of one's own choice and a MIDI controller, with the program itself in a browser: node --test web/test
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { browse, inTheWay, look, open, press, until } from './lanthorn.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
const FINGER = 44;
/** Nothing came of it, after so long: many moments of the machine. */
const NOTHING_MS = 600;

/**
 * Stands in for a controller: a browser in a test has none plugged in. It answers the page's question for MIDI with one input,
 * and the test sends bytes by `window.controller`. Everything after the bytes is the page's own.
 */
function standInController() {
  const input = { id: 'one', name: 'Eight Pads', state: 'connected', onmidimessage: null };
  const access = { inputs: new Map([['one', input]]), outputs: new Map(), onstatechange: null };
  window.controller = {
    asked: 0,
    send: (...bytes) => input.onmidimessage?.({ data: Uint8Array.from(bytes) }),
    plug: (there) => {
      input.state = there ? 'connected' : 'disconnected';
      access.onstatechange?.({ port: input });
    },
  };
  navigator.requestMIDIAccess = async () => {
    window.controller.asked += 1;
    return access;
  };
}

/** The page of a machine, and the hands for it. */
async function hands(browser, machine, size) {
  const { page, wrong, heard, close } = await look(browser, size);
  const reload = async (stage = 'room') => {
    heard.scene = heard.moment = null;
    await page.goto('about:blank');
    await page.goto(`${machine.url}#${stage}`);
    await page.locator('body[data-link=up]').waitFor();
    await until('the show is heard', () => heard.scene && heard.moment);
    await page.locator('.column > :not([role=status])').first().waitFor();
  };
  const tap = (selector) => press(page.locator(selector).first());
  const it = {
    page,
    wrong,
    heard,
    close,
    reload,
    tap,
    press: (key) => page.keyboard.press(key),
    cue: () => heard.moment.now.cue,
    list: async () => {
      if (!(await page.locator('.key-list').count())) {
        if (size.touch) await tap('.running-head');
        await tap('button:text-is("Keys")');
      }
      await page.locator('.key-list').waitFor();
    },
    shut: () => tap('.key-list button:text-is("Close this list")'),
    row: (id) => tap(`[data-action=${id}] .key-row`),
    keys: (id) => page.locator(`[data-action=${id}] .key-name`).textContent(),
    catches: async (id, key) => {
      await it.row(id);
      await page.locator(`[data-action=${id}] .key-catch:focus`).waitFor();
      await page.keyboard.press(key);
    },
    says: (words) => page.locator('.key-list [role=status]').filter({ hasText: words }).first().waitFor(),
    nothing: () => page.waitForTimeout(NOTHING_MS),
    target: (id) => tap(`[data-target="${id}"] .key-row`),
    midi: (...bytes) => page.evaluate((bytes) => window.controller.send(...bytes), bytes),
    listens: async () => {
      await it.list();
      await tap('button:text-is("Listen to a MIDI controller")');
      await it.says('Listening to Eight Pads.');
    },
  };
  return it;
}

describe('keys are moved', { timeout: 300_000 }, () => {
  let browser, machine, it;
  before(async () => {
    browser = await browse();
    machine = await open('127.0.0.1:0', ['demo']);
    it = await hands(browser, machine, LAPTOP);
    await it.reload();
  });
  after(async () => {
    await browser?.close();
    await machine?.end();
  });

  test('Go is on another key, over a reload, and on Space again once all is set back', async () => {
    await it.press(' ');
    await until('Space is Go', () => it.cue() === 0);
    await it.list();
    await it.catches('go', 'g');
    await until('the list tells it', async () => (await it.keys('go')) === 'G');
    await it.shut();
    assert.equal(await it.page.locator('.go').getAttribute('aria-keyshortcuts'), 'G');
    assert.equal(await it.page.locator('.hint').textContent(), 'G');
    await it.press(' ');
    await it.nothing();
    assert.equal(it.cue(), 0, 'the old key does nothing');
    await it.press('g');
    await until('G is Go', () => it.cue() === 1);
    await it.reload();
    await it.press(' ');
    await it.nothing();
    assert.equal(it.cue(), 1);
    await it.press('g');
    await until('G is Go after a reload', () => it.cue() === 2);
    await it.list();
    await it.tap('button:text-is("Set all keys back")');
    await until('it is set back', async () => (await it.keys('go')) === 'Space');
    await it.shut();
    await it.press('Backspace');
    await until('a cue back', () => it.cue() === 1);
    await it.press('g');
    await it.nothing();
    assert.equal(it.cue(), 1);
    await it.press(' ');
    await until('Space is Go again', () => it.cue() === 2);
  });

  test('a taken key is told, and left or swapped; a stop key keeps a key', async () => {
    await it.list();
    await it.catches('tap', 'b');
    await it.says(/B is taken: blackout on/);
    await it.tap('.key-editor button:text-is("Leave both")');
    assert.deepEqual([await it.keys('tap'), await it.keys('blackout')], ['T', 'B']);
    assert.equal(it.heard.moment.now.blackout, false, 'nothing was blacked out by asking');
    await it.catches('tap', 'b');
    await it.tap('.key-editor button:has-text("Swap them")');
    await until('they are swapped', async () => (await it.keys('blackout')) === 'T');
    assert.equal(await it.keys('tap'), 'B');
    await it.catches('blackout', 'Escape');
    assert.equal(await it.page.locator('.key-catch').count(), 0, 'Esc shuts the editor');
    await it.row('blackout');
    assert.equal(await it.page.locator('.key-editor button:text-is("No key")').count(), 0);
    await it.catches('go', 't');
    await it.says(/T is taken: blackout/);
    assert.equal(await it.page.locator('.key-editor button:has-text("Swap them")').count(), 0, 'a stop key does not go to Space');
    await it.press('Tab');
    assert.equal(await it.page.locator('.key-editor button:focus').count(), 1, 'Tab leads on');
    await it.press('Escape');
    await it.page.locator('.key-editor').waitFor({ state: 'detached' });
    assert.equal(await it.page.locator('[data-action=go] .key-row:focus').count(), 1, 'Esc shuts the editor, not the list');
    await it.shut();
    await it.press('b');
    await it.nothing();
    assert.equal(it.heard.moment.now.blackout, false);
    await it.press('t');
    await until('T is blackout', () => it.heard.moment.now.blackout);
    await it.press('t');
    await until('it is back', () => !it.heard.moment.now.blackout);
  });

  test('what is broken in the browser is told, and the usual keys stand', async () => {
    await it.page.evaluate(() => localStorage.setItem('lanthorn.bindings', '{"version":1,"keys":'));
    await it.reload();
    await it.page.locator('.column [role=status]', { hasText: 'could not be read; the usual keys stand' }).waitFor();
    await it.list();
    assert.deepEqual([await it.keys('tap'), await it.keys('blackout')], ['T', 'B']);
    await it.tap('button:text-is("Set all keys back")');
    await it.page.locator('.keys-wrong').waitFor({ state: 'detached' });
    assert.equal(await it.page.evaluate(() => localStorage.getItem('lanthorn.bindings')), null);
    await it.shut();
  });

  test('stop keys, tempo, the ways to look and a stage are moved, with and without other keys held, and work there', async () => {
    await it.page.evaluate(() => localStorage.removeItem('lanthorn.bindings'));
    await it.reload();
    const state = () => it.heard.moment.now;
    const tempo = state().tempo_bpm;
    const rows = [
      ['stillness', 'F7', () => state().stillness],
      ['stillness', 'Shift+F7', () => !state().stillness],
      ['strobe', 'Alt+q', () => state().strobe_stopped],
      ['strobe', 'g', () => !state().strobe_stopped],
      ['blackout', 'Control+b', () => state().blackout],
      ['blackout', 'x', () => !state().blackout],
      ['half', 'y', () => state().tempo_bpm === tempo / 2],
      ['double', 'z', () => state().tempo_bpm === tempo],
      ['way', 'w', async () => (await it.page.locator('[aria-pressed=true], [aria-current]').allTextContents()).some((words) => /plan/i.test(words))],
      ['stage_cues', 'q', () => it.page.evaluate(() => document.body.dataset.stage === 'cues')],
    ];
    for (const [id, key, done] of rows) {
      await it.list();
      await it.catches(id, key);
      await it.page.locator('.key-catch').waitFor({ state: 'detached' });
      await it.shut();
      await it.press(key);
      await until(`${id} by ${key}`, done, 5000);
    }
    assert.deepEqual(it.wrong, []);
  });
});

describe('a MIDI controller does what keys and fingers do', { timeout: 300_000 }, () => {
  let browser, machine, it;
  before(async () => {
    browser = await browse();
    machine = await open('127.0.0.1:0', ['demo']);
    it = await hands(browser, machine, LAPTOP);
    await it.page.addInitScript(standInController);
    await it.reload();
  });
  after(async () => {
    await browser?.close();
    await machine?.end();
  });

  test('nothing is asked before the press; unbound, it does nothing', async () => {
    assert.equal(await it.page.evaluate(() => window.controller.asked), 0);
    await it.listens();
    assert.equal(await it.page.evaluate(() => window.controller.asked), 1);
    const ids = (of) => it.page.locator(`[data-${of}]`).evaluateAll((rows, of) => rows.map((row) => row.dataset[of]), of);
    const [actions, targets] = [await ids('action'), await ids('target')];
    const { looks, chases } = it.heard.scene;
    const wanted = ['master', ...looks.map(({ name }) => `look ${name}`), ...chases.map(({ name }) => `chase ${name}`), ...actions];
    assert.deepEqual(targets, wanted, 'all of it can be learnt');
    for (const id of ['go', 'back', 'tap', 'stillness', 'strobe', 'blackout']) assert.ok(actions.includes(id), id);
    const before = JSON.stringify([it.cue(), it.heard.moment.now.master]);
    await it.midi(0x90, 60, 100);
    await it.midi(0xb0, 7, 10);
    await it.nothing();
    assert.equal(JSON.stringify([it.cue(), it.heard.moment.now.master]), before);
  });

  test('a pad learns Go, a look and a chase', async () => {
    await it.target('go');
    await it.midi(0xf8);
    await it.midi(0x90, 60, 100);
    await it.says(/note 60 on channel 1 of Eight Pads/);
    assert.equal(it.cue(), null, 'learning does nothing else');
    await it.midi(0x80, 60, 0);
    await it.midi(0x90, 60, 0);
    await it.nothing();
    assert.equal(it.cue(), null, 'letting go of a pad does nothing');
    await it.midi(0x90, 60, 100);
    await until('the pad is Go', () => it.cue() === 0);
    const { looks, chases } = it.heard.scene;
    const other = looks.find((one) => one.name !== it.heard.moment.now.look).name;
    await it.target(`look ${other}`);
    await it.midi(0x91, 36, 1);
    await it.midi(0x81, 36, 0);
    await it.midi(0x91, 36, 1);
    await until('the look is on', () => it.heard.moment.now.look === other);
    const chase = chases[0].name;
    const runs = () => it.heard.moment.now.chases.some((one) => one.name === chase);
    const was = runs();
    await it.target(`chase ${chase}`);
    await it.midi(0xb0, 20, 127);
    await it.midi(0xb0, 20, 0);
    await it.nothing();
    assert.equal(runs(), was);
    await it.midi(0xb0, 20, 127);
    await until('the chase is turned', () => runs() !== was);
  });

  test('a fader takes the master over only where it passes its level', async () => {
    await it.target('master');
    await it.midi(0x90, 61, 9);
    await it.says(/needs a fader or a knob/);
    await it.midi(0xb0, 7, 20);
    await it.says(/control 7 on channel 1/);
    await it.midi(0xb0, 7, 40);
    await it.nothing();
    assert.equal(it.heard.moment.now.master, 1, 'nothing jumps');
    await it.page.locator('.controller', { hasText: 'move it past 100' }).waitFor();
    await it.midi(0xb0, 7, 127);
    await it.midi(0xb0, 7, 64);
    await until('it has hold', () => Math.abs(it.heard.moment.now.master - 64 / 127) < 0.01);
    // Another hand moves the master: the fader lets go.
    await it.nothing();
    await it.shut();
    await it.page.evaluate(() => (location.hash = 'tonight'));
    const line = it.page.getByRole('slider', { name: 'master' });
    await line.focus();
    await it.press('End');
    await until('it is full by hand', () => it.heard.moment.now.master === 1);
    await it.nothing();
    await it.midi(0xb0, 7, 60);
    await it.nothing();
    assert.equal(it.heard.moment.now.master, 1);
  });

  test('unplugged it is told, back it is heard again; what it learnt survives a reload', async () => {
    await it.list();
    await it.page.evaluate(() => window.controller.plug(false));
    await it.says(/Eight Pads is unplugged/);
    await it.page.evaluate(() => window.controller.plug(true));
    await it.says('Listening to Eight Pads.');
    let at = it.cue();
    await it.midi(0x90, 60, 100);
    await until('it is Go again', () => it.cue() !== at);
    await it.reload();
    at = it.cue();
    await it.midi(0x90, 60, 100);
    await it.nothing();
    assert.equal(it.cue(), at, 'not before it is listened to');
    await it.listens();
    await it.midi(0x90, 60, 100);
    await until('it is Go after a reload', () => it.cue() !== at);
    assert.deepEqual(it.wrong, []);
  });
});

test('a controller may do no more than its browser: who looks on lights nothing by it', { timeout: 120_000 }, async () => {
  const browser = await browse();
  const machine = await open('127.0.0.1:0', ['demo', '--lan=look', '--everyone-pairs']);
  try {
    const it = await hands(browser, machine, LAPTOP);
    await it.page.addInitScript(standInController);
    const code = await until('a code is printed', () => /^code\s+(\w{6})$/m.exec(machine.said())?.[1]);
    await it.page.goto(`${machine.url}#pair=${code}`);
    await it.page.locator('body[data-link=up][data-role=look]').waitFor();
    await it.reload();
    await it.listens();
    await it.page.locator('.controller', { hasText: 'may only look on' }).waitFor();
    const state = () => JSON.stringify([it.cue(), it.heard.moment.now.master, it.heard.moment.now.blackout]);
    const before = state();
    for (const [id, ...bytes] of [['go', 0x90, 60, 100], ['blackout', 0x90, 61, 100], ['master', 0xb0, 7, 127]]) {
      await it.target(id);
      await it.midi(...bytes);
      await it.says(/of Eight Pads/);
      await it.midi(...bytes);
    }
    await it.midi(0xb0, 7, 5);
    await it.nothing();
    assert.equal(state(), before);
  } finally {
    await browser.close();
    await machine.end();
  }
});

for (const size of [PHONE, LAPTOP]) {
  test(`the list of keys on ${size.words} fits, a finger finds all of it, and nobody is shut out`, { timeout: 300_000 }, async () => {
    const browser = await browse();
    const machine = await open('127.0.0.1:0', ['demo']);
    try {
      const it = await hands(browser, machine, size);
      await it.page.addInitScript(standInController);
      await it.reload();
      await it.listens();
      const complaints = [];
      const views = [['tap'], ['blackout', 'b'], ['tap', 'b'], ['go', 'F5']];
      for (const [id, key] of views) {
        await it.row(id);
        if (key) await it.page.locator('.key-catch:focus').waitFor();
        if (key) await it.press(key);
        if (await it.page.locator('.key-catch').count() === 0) await it.row(id);
        await it.target('master');
        complaints.push(...(await inTheWay(it.page, FINGER)).map((one) => `${id}: ${one}`));
        if (process.env.PICTURES) {
          for (const theme of ['neutral', 'amber']) {
            await it.page.evaluate((theme) => (document.documentElement.dataset.theme = theme), theme);
            await it.page.locator('.key-editor').first().scrollIntoViewIfNeeded();
            await it.page.screenshot({ path: `${process.env.PICTURES}/${size.width}-${theme}-${id}-${key ?? ''}.png` });
            if (id === 'go') {
              await it.page.locator('.controller').evaluate((part) => part.scrollIntoView());
              await it.page.screenshot({ path: `${process.env.PICTURES}/${size.width}-${theme}-midi.png` });
            }
          }
        }
        await it.target('master');
        await it.tap('.key-list .key-editor button:has-text("Leave")').catch(() => undefined);
      }
      assert.deepEqual(complaints, []);
      assert.deepEqual(it.wrong, []);
    } finally {
      await browser.close();
      await machine.end();
    }
  });
}
