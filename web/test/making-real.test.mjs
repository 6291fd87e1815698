// A show is made with the program itself: every change is seen on the page, heard from the machine, and found in the
// show's file. On a phone with a thumb, on a laptop by pointer and by keys alone: node --test web/test
import assert from 'node:assert/strict';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { browse, byKeys, inTheWay, look, open, press, run, until } from './lanthorn.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
const FINGER = 44;
/** What lights something is found without looking. */
const LIVE = 60;

/** A show of one's own, open, and what its file says. */
async function supper(more = []) {
  const folder = mkdtempSync(join(tmpdir(), 'lanthorn-making-'));
  const path = join(folder, 'dance.show.toml');
  assert.equal(run(['new', 'dance', '--from', 'demo'], folder).status, 0);
  const machine = await open('127.0.0.1:0', [path, ...more]);
  const text = () => readFileSync(path, 'utf8');
  return {
    machine,
    text,
    /** What the file says of one look, chase or cue; empty when it has none such. */
    block: (table, of) => {
      const blocks = text().split(/^(?=\[\[?(?:look|chase|cue|show|room|unit|group|swatch|figure|circuit|limits)\]\]?$)/m);
      return blocks.find((block) => block.startsWith(`[[${table}]]`) && block.includes(of)) ?? '';
    },
    opens: () => {
      const { status, said } = run(['check', path], folder);
      assert.equal(status, 0, said);
    },
    end: async () => {
      assert.equal(await machine.end(), 0, 'Ctrl-C ends it well');
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** A page of a machine, and the hands for it. */
async function hands(browser, machine, size, stage) {
  const { page, wrong, heard, close } = await look(browser, size);
  const hear = () => until('the show is heard', () => heard.scene && heard.moment);
  await page.goto(`${machine.url}#${stage}`);
  await page.locator('body[data-link=up]').waitFor();
  await hear();
  await page.locator('.column > :not([role=status])').first().waitFor();
  const here = (selector) => page.locator(selector).first();
  // As a finger or a pointer does it; what is drawn on the same processor takes too long for the pointer itself.
  const tap = (selector) => press(here(selector));
  const it = {
    page,
    heard,
    wrong,
    tap,
    close,
    word: (of) => tap(`.making [data-opens$=" ${of}"]`),
    type: async (selector, text) => {
      await here(selector).fill(text);
      await here(selector).press('Enter');
    },
    act: (word) => tap(`.making .act:text-is("${word}")`),
    turn: async (to) => {
      await page.evaluate((to) => (location.hash = to), to);
      await page.waitForFunction((to) => document.body.dataset.stage === to, to);
    },
    said: (pattern) => page.locator('.said.shown').filter({ hasText: pattern }).waitFor(),
    look: (name) => heard.scene.looks.find((one) => one.name === name),
    chase: (name) => heard.scene.chases.find((one) => one.name === name),
    cue: (name) => heard.scene.cues.find((one) => one.name === name),
    undo: () => tap('.undo-row button:text-is("Undo")'),
    redo: () => tap('.undo-row button:text-is("Redo")'),
  };
  return it;
}

for (const size of [PHONE, LAPTOP]) {
  describe(`a show is made on ${size.words}`, { timeout: 600_000 }, () => {
    let browser, show, it;
    before(async () => {
      browser = await browse();
      show = await supper();
      it = await hands(browser, show.machine, size, 'looks');
    });
    after(async () => {
      await browser?.close();
      await show?.end();
    });

    test('what is lit is kept as a look', async () => {
      await it.tap('[data-item^=look] .cover:text-is("Cake")');
      await until('Cake is on', () => it.heard.moment.now.look === 'Cake');
      await it.tap('[data-opens=keep]');
      await it.page.locator('.keep-editor input').fill('As at nine');
      await it.tap('.keep-editor .key:text-is("Keep it new")');
      await it.said(/Look "As at nine" is kept/);
      await it.page.locator('.item.making h2', { hasText: 'As at nine' }).waitFor();
      assert.match(show.block('look', '"As at nine"'), /who = "washes"[\s\S]*aim = "cake"[\s\S]*level = "?(75 %|0\.75)"?/);
      show.opens();
    });

    test('it is called otherwise, and its colour, level, aim and lights are changed', async () => {
      await it.word('name');
      await it.type('.name-editor input', 'Candles');
      await it.page.locator('.item.making h2', { hasText: 'Candles' }).waitFor();
      const block = () => show.block('look', '"Candles"');
      assert.equal(show.block('look', '"As at nine"'), '');
      await it.word('colour');
      await it.tap('.colours-editor .swatch:text-is("poppy")');
      await until('it is poppy and blush', () => /colour = \["poppy", "blush"\]/.test(block()));
      await it.page.locator('.making .part', { hasText: 'poppy' }).waitFor();
      await it.word('level');
      await it.type('.level-made input >> nth=0', '35');
      await until('it is 35 %', () => /level = "35 %"/.test(block()));
      await it.page.locator('.making .part', { hasText: '35 %' }).waitFor();
      await it.word('aim');
      await it.tap('.where-editor .choice:text-is("speaker")');
      await until('it is on the speaker', () => /aim = "speaker"/.test(block()));
      await it.word('who');
      await it.tap('.label-unit[data-unit="7"]');
      await until('light 7 shines too', () => /who = \[1, 2, 3, 4, 7\]/.test(block()));
      assert.equal(await it.page.locator('.slip').count(), 0, 'a tap in the room said who, and picked nothing');
      show.opens();
    });

    test('its spots run a figure that is made for it', async () => {
      const block = () => show.block('look', '"Candles"');
      const figure = () => show.block('figure', '"New figure"');
      await it.tap('.making .part [data-opens$=" more"]');
      await it.tap('.more-editor .choice:text-is("a figure")');
      await it.tap('.figure-editor .choice:text-is("a new figure")');
      await until('it runs it', () => /figure = "New figure"/.test(block()));
      assert.match(figure(), /shape = "circle"[\s\S]*speed = "8 beats"/);
      await it.tap('.figure-made .choice:has-text("a lying eight")');
      await until('it is an eight', () => /shape = "eight"/.test(figure()));
      await it.type('.figure-made .typed input >> nth=0', '3 by 1.5');
      await until('so wide and so high', () => /size = \["3 m", "1.5 m"\]/.test(figure()));
      await it.tap('.figure-made .choice:text-is("4 beats a round")');
      await it.tap('.figure-made .choice:text-is("evenly round")');
      await it.tap('.figure-made .choice:text-is("mirrored")');
      await until('all of it', () => /speed = "4 beats"/.test(figure()) && /phase = 1/.test(figure()) && /phase_spread = "mirrored"/.test(figure()));
      assert.deepEqual(await inTheWay(it.page, FINGER), []);
      // Another shape drops what it has no use for.
      await it.tap('.figure-made .choice:has-text("spread out and close again")');
      await until('it is a fan', () => /shape = "fan"/.test(figure()) && /size = "3 m"/.test(figure()) && !/phase/.test(figure()));
      await it.type('.figure-made .typed >> nth=-1 >> input', 'Doors open');
      await until('it is called otherwise', () => /figure = "Doors open"/.test(block()));
      show.opens();
      if (process.env.PICTURES) await it.page.screenshot({ path: join(process.env.PICTURES, `${size.width}-figure.png`) });
      await it.tap('.figure-editor .choice:text-is("standing still")');
      await until('it stands still', () => !/figure =/.test(block()));
    });

    test('it is copied, moved, removed, and brought back', async () => {
      await it.act('Copy');
      await it.page.locator('.item.making h2', { hasText: 'Candles 2' }).waitFor();
      const names = () => it.heard.scene.looks.map((one) => one.name);
      const at = names().indexOf('Candles 2');
      await it.act('Earlier');
      await until('it moved', () => names().indexOf('Candles 2') === at - 1);
      assert.ok(show.text().indexOf('"Candles 2"') < show.text().indexOf('"Candles"'), 'in the file too');
      const before = show.text();
      await it.act('Remove');
      await until('it is gone', () => !names().includes('Candles 2'));
      assert.equal(show.block('look', '"Candles 2"'), '');
      await it.tap('.said .handle:text-is("Undo")');
      await until('it is back', () => names().includes('Candles 2'));
      assert.equal(show.text(), before, 'to the letter');
      await it.tap('[aria-label="Change Candles 2"]');
      await it.act('Remove');
      await until('it is gone for good', () => !names().includes('Candles 2'));
    });

    test('a chase of three looks is made, paced, ordered, and runs', async () => {
      await it.turn('chases');
      await it.tap('[data-opens="new chase"]');
      for (const one of ['Candles', 'Sheaves', 'Crossed']) await it.tap(`.new-editor .look-choice:has-text("${one}")`);
      await it.page.locator('.new-editor input').fill('Round the cake');
      await it.tap('.new-editor .key:has-text("Make it")');
      await it.page.locator('.item.making h2', { hasText: 'Round the cake' }).waitFor();
      await it.word('step_time');
      await it.type('.making .editor input', '6 beats');
      await until('a step takes 6 beats', () => it.chase('Round the cake').step_time === '6 beats');
      await it.word('step_fade');
      await it.tap('.making .editor .choice:text-is("4 beats")');
      await until('it fades over 4', () => it.chase('Round the cake').step_fade === '4 beats');
      await it.word('order');
      await it.tap('.making .editor .choice:text-is("to and fro")');
      await until('it goes to and fro', () => it.chase('Round the cake').order === 'to and fro');
      await it.word('swing');
      await it.tap('.making .choice:text-is("60 to 40")');
      await until('it swings', () => it.chase('Round the cake').swing === 0.6 && it.chase('Round the cake').words.some(({ text }) => text === 'swung 60 to 40'));
      const block = show.block('chase', '"Round the cake"');
      assert.match(block, /steps = \["Candles", "Sheaves", "Crossed"\]/);
      for (const line of ['step_time = "6 beats"', 'step_fade = "4 beats"', 'order = "to and fro"', 'swing = "60 %"']) assert.ok(block.includes(line), `${line} in:\n${block}`);
      show.opens();
      const start = it.page.locator('[aria-label="Start Round the cake"]').first();
      assert.ok(size === LAPTOP || (await start.boundingBox()).height >= LIVE, 'a thumb finds Start');
      await it.tap('[aria-label="Start Round the cake"]');
      await until('it runs', () => it.heard.moment.now.chases.some((one) => one.name === 'Round the cake'));
      for (const [word, speed] of [['double time', 2], ['standing', 0], ['as made', 1]]) {
        await it.tap(`.chase-pace .choice:text-is("${word}")`);
        await until(`it goes ${speed} times as fast`, () => it.heard.moment.now.chases.find((one) => one.name === 'Round the cake').speed === speed);
      }
    });

    test('it runs on in step while it is changed and called otherwise', async () => {
      const now = () => it.heard.moment.now.chases.find((one) => one.name === 'Ring');
      await it.word('name');
      await it.type('.name-editor input', 'Ring');
      await until('it runs by its new name', () => it.chase('Ring') && now());
      await it.tap('.chase-step:nth-child(2) [data-opens$=" time"]');
      await it.tap('.chase-step .choice:text-is("2 bars")');
      await until('one step has its own time', () => it.chase('Ring')?.each[1].time === '2 bars');
      assert.match(show.block('chase', '"Ring"'), /look = "Sheaves", time = "2 bars"/);
      assert.ok(now(), 'it still runs');
    });

    test('a cue starts it, with a note, and the next follows by itself', async () => {
      await it.turn('cues');
      await it.tap('[data-opens="new cue"]');
      await it.page.locator('.new-editor input').fill('Into the night');
      await it.tap('.new-editor .look-choice:has-text("Candles")');
      await it.tap('.new-editor .key:text-is("Add it")');
      await it.page.locator('.cue.making h2', { hasText: 'Into the night' }).waitFor();
      await it.word('chases');
      await it.tap('.cue.making .choice:text-is("Ring")');
      await until('it starts the chase', () => it.cue('Into the night').chases?.join() === 'Ring');
      await it.word('note');
      await it.type('.name-editor input', 'when the fiddler nods');
      await until('it has its note', () => it.cue('Into the night').note === 'when the fiddler nods');
      await it.word('follow');
      await it.type('.cue.making .editor input', '45 s');
      await until('the next one follows', () => it.cue('Into the night').follow === '45 s');
      assert.equal(it.cue('Into the night').follow_s, 45);
      const block = show.block('cue', '"Into the night"');
      for (const line of ['number = 13', 'look = "Candles"', 'chases = ["Ring"]', 'note = "when the fiddler nods"', 'follow = "45 s"', 'fade = "3 s"']) assert.ok(block.includes(line), `${line} in:\n${block}`);
      show.opens();
      await it.act('Take it');
      await until('it is on', () => it.heard.moment.now.cue === it.heard.scene.cues.length - 1);
    });

    test('pads are chosen for tonight, and nothing is lit by it', async () => {
      await it.turn('tonight');
      const pads = () => it.page.locator('.tonight .words .word .word-name').allInnerTexts();
      const on = it.heard.moment.now.look;
      await it.tap('.pads-word');
      await it.tap('.choose .act:text-is("None")');
      await until('none is', () => it.heard.scene.tonight?.length === 0);
      for (const [i, name] of ['Ring', 'Supper', 'Candles'].entries()) {
        await it.tap(`.choosable[aria-label^="${name},"]`);
        await until(`${name} is`, () => it.heard.scene.tonight.length === i + 1);
      }
      await it.tap('.choose .key:text-is("Done")');
      await until('three pads, in the order of the taps', async () => (await pads()).join() === 'Ring,Supper,Candles');
      assert.match(show.text(), /tonight = \["Ring", "Supper", "Candles"\]/);
      assert.equal(it.heard.moment.now.look, on);
      await it.tap('.word:has-text("Supper")');
      await until('a pad lights', () => it.heard.moment.now.look === 'Supper');
      if (size.touch) {
        const sizes = await it.page.locator('.tonight .word, .tonight .go-block, .stops button').evaluateAll((keys) => keys.map((key) => key.getBoundingClientRect().height));
        assert.ok(sizes.every((height) => height >= LIVE), `live keys are ${sizes} px high`);
      }
    });

    test('undo goes back through all of it, and redo forward again, to the letter', async () => {
      await it.turn('looks');
      const last = show.text();
      const many = 12;
      for (let i = 0; i < many; i += 1) {
        const answers = it.heard.answers.length;
        await (size.touch ? it.undo() : it.page.keyboard.press('Control+z'));
        const answer = await until('it is taken back', () => it.heard.answers[answers]);
        assert.equal(answer.wrong, false, answer.says);
        assert.match(answer.says, /^Taken back: /);
      }
      assert.notEqual(show.text(), last);
      show.opens();
      for (let i = 0; i < many; i += 1) {
        const answers = it.heard.answers.length;
        await (size.touch ? it.redo() : it.page.keyboard.press(i % 2 ? 'Control+y' : 'Control+Shift+z'));
        await until('it is done again', () => it.heard.answers[answers]);
      }
      assert.equal(show.text(), last);
      await until('the page knows that nothing is left', () => it.heard.scene.edits.redo === null);
    });

    test('what is refused says why beside the field, keeps what was typed, and changes nothing', async () => {
      await it.turn('looks');
      const before = show.text();
      await it.tap('[aria-label="Change Candles"]');
      await it.word('name');
      await it.type('.name-editor input', 'Supper');
      const why = it.page.locator('.name-editor .typed .why');
      await why.waitFor();
      assert.match(await why.innerText(), /There is a look "Supper" already|already/);
      const field = it.page.locator('.name-editor input');
      assert.equal(await field.inputValue(), 'Supper');
      assert.equal(await field.getAttribute('aria-invalid'), 'true');
      assert.equal(await field.getAttribute('aria-describedby'), await why.getAttribute('id'));
      assert.equal(show.text(), before);
      await field.press('Escape');
      await it.word('fade');
      await it.type('.making .editor input', 'soon');
      await it.page.locator('.making .editor .why', { hasText: 'soon' }).waitFor();
      assert.equal(show.text(), before);
      await it.tap('.making .editor .choice:text-is("2 s")');
      await until('a good one is taken', () => it.look('Candles').fade === '2 s');
    });

    test('a moment is named, and the show goes back to it', async () => {
      const history = () => it.tap('.undo-row button:text-is("History")');
      await history();
      await it.page.locator('.past-change[aria-current]').waitFor();
      await it.page.locator('.past-name input').fill('before soundcheck');
      await it.tap('.past-name .key');
      const named = it.page.locator('.past-named');
      await named.filter({ hasText: 'as it was then' }).waitFor();
      assert.equal(await named.locator('h2').innerText(), 'Before soundcheck');
      const then = show.text();
      for (const word of ['Undo', 'Undo']) {
        const { answers, scene } = { answers: it.heard.answers.length, scene: it.heard.scene };
        await it.tap(`.undo-row button:text-is("${word}")`);
        await until('it is taken back', () => it.heard.answers[answers]);
        // And drawn: a press on what is just being drawn anew is none.
        await until('it is heard', () => it.heard.scene !== scene);
      }
      assert.notEqual(show.text(), then);
      await named.filter({ hasText: 'since then' }).waitFor();
      assert.match(await named.innerText(), /Candles/, 'what is otherwise is told');
      assert.deepEqual(await inTheWay(it.page, FINGER), []);
      await it.tap('.past-named .act:text-is("Go back to it")');
      await until('it is as it was', () => show.text() === then);
      await named.filter({ hasText: 'as it was then' }).waitFor();
      await it.said(/^Back to /);
      // The same name a second time is refused, and stays as it was typed.
      await it.page.locator('.past-name input').fill('before soundcheck');
      await it.page.locator('.past-name input').press('Enter');
      await it.page.locator('.past-name .why').waitFor();
      if (process.env.PICTURES) await it.page.screenshot({ path: join(process.env.PICTURES, `${size.width}-history.png`) });
      await history();
      await until('the looks are there again', async () => (await it.page.locator('.past').count()) === 0 && (await it.page.locator('[data-item^=look]').count()) > 0);
    });

    test('nothing was complained about', () => assert.deepEqual(it.wrong, []));
  });
}

describe('two pages at once', { timeout: 300_000 }, () => {
  let browser, show, phone, laptop;
  before(async () => {
    browser = await browse();
    show = await supper();
    phone = await hands(browser, show.machine, PHONE, 'looks');
    laptop = await hands(browser, show.machine, LAPTOP, 'looks');
  });
  after(async () => {
    await browser?.close();
    await show?.end();
  });

  test('see each other’s changes', async () => {
    await phone.tap('[aria-label="Change Speech"]');
    await phone.word('level');
    await phone.type('.level-made input >> nth=0', '61');
    await laptop.page.locator('[data-item^=look]', { hasText: '61 %' }).waitFor();
    await laptop.tap('[aria-label="Change Speech"]');
    await laptop.word('aim');
    await laptop.tap('.where-editor .choice:text-is("cake")');
    await phone.page.locator('.making .part', { hasText: 'cake' }).first().waitFor();
    assert.match(show.block('look', '"Speech"'), /aim = "cake"[\s\S]*level = "61 %"|level = "61 %"[\s\S]*aim = "cake"/);
  });

  test('what is typed in one outlasts what the other does, and counts', async () => {
    await phone.word('name');
    const field = phone.page.locator('.name-editor input');
    await field.fill('Words of thanks');
    await field.evaluate((input) => (window.kept = input));
    await laptop.word('name');
    await laptop.type('.name-editor input', 'Speeches');
    await phone.page.locator('.making h2', { hasText: 'Speeches' }).waitFor();
    await laptop.tap('[aria-label="Change Supper"]');
    await laptop.act('Later');
    await until('it is heard', () => phone.heard.scene.looks[0].name === 'Speeches');
    assert.equal(await field.inputValue(), 'Words of thanks');
    assert.ok(await field.evaluate((input) => input === window.kept && document.activeElement === input), 'the very field, still in hand');
    await field.press('Enter');
    await laptop.page.locator('[data-item^=look] h2', { hasText: 'Words of thanks' }).waitFor();
    assert.notEqual(show.block('look', '"Words of thanks"'), '');
    show.opens();
  });

  test('undo on one is undo for both', async () => {
    await laptop.page.keyboard.press('Control+z');
    await phone.page.locator('.making h2', { hasText: 'Speeches' }).waitFor();
    assert.equal(laptop.heard.scene.edits.redo, phone.heard.scene.edits.redo);
  });

  test('nothing was complained about', () => assert.deepEqual([...phone.wrong, ...laptop.wrong], []));
});

test('the built-in show says once that it keeps changes until it ends', { timeout: 120_000 }, async () => {
  const browser = await browse();
  const machine = await open('127.0.0.1:0', ['demo']);
  const it = await hands(browser, machine, PHONE, 'looks');
  await it.tap('[aria-label="Change Supper"]');
  await it.word('name');
  await it.type('.name-editor input', 'Harvest');
  await it.said(/until it ends/);
  await it.word('name');
  await it.type('.name-editor input', 'Harvest home');
  await until('the second is answered', () => it.heard.answers.length === 2);
  assert.doesNotMatch(it.heard.answers[1].says, /until it ends/);
  await browser.close();
  assert.equal(await machine.end(), 0);
});

for (const role of ['look', 'run']) {
  test(`a browser that may ${role} finds no editor`, { timeout: 120_000 }, async () => {
    const browser = await browse();
    const show = await supper([`--lan=${role}`, '--everyone-pairs']);
    const code = await until('a code is printed', () => /^code\s+(\w{6})$/m.exec(show.machine.said())?.[1]);
    const { page, heard } = await look(browser, LAPTOP);
    await page.goto(`${show.machine.url}#pair=${code}`);
    await page.locator(`body[data-link=up][data-role=${role}]`).waitFor();
    await until('the show is heard', () => heard.scene && heard.moment);
    const before = show.text();
    for (const stage of ['tonight', 'room', 'rig', 'looks', 'chases', 'cues']) {
      await page.evaluate((to) => (location.hash = to), stage);
      await page.locator(`body[data-stage=${stage}]`).waitFor();
      for (const made of ['.change-word', '.making-row', '.undo-row', '.pads-word', '.editor', '[data-opens]:not([data-opens^="how "])', '[draggable=true]']) {
        assert.equal(await page.locator(`.column ${made}, .head ${made}`).count(), 0, `${made} in ${stage}`);
      }
      await page.keyboard.press('k');
      await page.keyboard.press('Control+z');
    }
    assert.equal(await page.locator('.editor').count(), 0);
    assert.deepEqual(heard.answers, [], 'nothing was asked of the machine');
    assert.equal(show.text(), before);
    await browser.close();
    await show.end();
  });
}

test('all of it by keyboard alone', { timeout: 600_000 }, async () => {
  const browser = await browse();
  const show = await supper();
  const it = await hands(browser, show.machine, LAPTOP, 'looks');
  const { press, active, to, choose } = byKeys(it.page);
  /** Esc shuts the editor, and its word has the focus again. */
  const shut = async () => {
    await press('Escape');
    await until('its word has the focus', () => it.page.evaluate(() => !document.querySelector('.editor') && document.activeElement?.matches('[data-opens]')));
  };
  const focused = (pattern) => until(`${pattern} has the focus`, async () => pattern.test(await active()));

  // A look is kept, called otherwise, and changed.
  await press('k');
  await it.page.locator('.keep-editor input:focus').waitFor();
  await it.page.keyboard.type('Kept by keys');
  await press('Enter');
  await until('it is kept', () => it.look('Kept by keys'));
  await focused(/^Name: Kept by keys/);
  await press('Enter');
  await it.page.locator('.name-editor input:focus').waitFor();
  await it.page.keyboard.type('Keyed');
  await press('Enter');
  await until('it is called otherwise', () => it.look('Keyed'));
  await focused(/^Name: Keyed/);
  const first = () => it.look('Keyed').parts[0].values;
  await choose(/^harvest gold$/);
  await choose(/^ember$/);
  await until('its colour', () => first().colour === 'ember');
  await shut();
  await choose(/^85.%$/);
  await it.page.locator('.level-made').waitFor();
  await to(/^level$/);
  for (let i = 0; i < 3 && (await it.page.evaluate(() => document.activeElement.tagName)) !== 'INPUT'; i += 1) await press('Tab');
  await press('Control+a');
  await it.page.keyboard.type('42');
  await press('Enter');
  await until('its level', () => first().level === '42 %');
  await shut();
  await choose(/tables to the right/);
  await choose(/^on one place$/);
  await until('one place, where the line began', () => Array.isArray(first().aim));
  await choose(/^door$/);
  await until('its place', () => first().aim === 'door');
  await shut();
  await choose(/^Washes$/);
  await choose(/^Light 8/);
  await until('its lights', () => String(first().who) === '1,2,3,4,8');
  await shut();

  // It is copied, moved, removed, and all of that undone.
  await choose(/^Copy$/);
  await until('there are two', () => it.look('Keyed 2'));
  await focused(/^Name: Keyed 2/);
  const at = (name) => it.heard.scene.looks.findIndex((one) => one.name === name);
  const from = at('Keyed 2');
  await press('Alt+ArrowUp');
  await until('it moved', () => at('Keyed 2') === from - 1);
  await choose(/^Remove$/);
  await until('it is gone', () => !it.look('Keyed 2'));
  await press('Control+z');
  await until('it is back', () => it.look('Keyed 2'));
  await press('Control+Shift+z');
  await until('it is gone again', () => !it.look('Keyed 2'));

  // A chase of three looks.
  await press('Alt+3');
  await press('Alt+4');
  await it.page.locator('body[data-stage=chases]').waitFor();
  await choose(/^New chase$/);
  await it.page.locator('.new-editor input:focus').waitFor();
  await it.page.keyboard.type('Keys round');
  for (const name of ['Supper', 'Sheaves', 'Keyed']) await choose(new RegExp(`^${name}\\b`));
  await choose(/^Make it, (3|three) steps/);
  await until('it is there', () => it.chase('Keys round'));
  await focused(/^Name: Keys round/);
  await choose(/4 beats$/);
  await choose(/^2 bars$/);
  await until('its time', () => it.chase('Keys round').step_time === '2 bars');
  await shut();
  await choose(/^order$/);
  await choose(/^backwards$/);
  await until('its order', () => it.chase('Keys round').order === 'backward');
  await shut();
  await choose(/^Start Keys round/);
  await until('it runs', () => it.heard.moment.now.chases.some((one) => one.name === 'Keys round'));

  // A cue with it.
  await press('Alt+5');
  await it.page.locator('body[data-stage=cues]').waitFor();
  await choose(/^Add a cue$/);
  await it.page.locator('.new-editor input:focus').waitFor();
  await it.page.keyboard.type('Last keys');
  await choose(/^Keyed\b/);
  await choose(/^Add it$/);
  await until('it is there', () => it.cue('Last keys')?.look === 'Keyed');
  await focused(/^Name: Last keys|^Cue 13/);
  await choose(/^chases$/);
  await choose(/^Keys round$/);
  await until('its chase', () => it.cue('Last keys').chases?.join() === 'Keys round');
  await shut();
  await choose(/^a note$/);
  await it.page.locator('.name-editor input:focus').waitFor();
  await it.page.keyboard.type('lights of the street go out');
  await press('Enter');
  await until('its note', () => it.cue('Last keys').note !== '');
  await choose(/^the next by itself$/);
  await choose(/^30 s$/);
  await until('its follow-on', () => it.cue('Last keys').follow === '30 s');
  await shut();

  // Pads of tonight.
  await press('Alt+6');
  await it.page.locator('body[data-stage=tonight]').waitFor();
  await choose(/^Choose pads$/);
  await choose(/^Supper, pad 1/);
  await until('it is off the pads', () => it.heard.scene.tonight && !it.heard.scene.tonight.includes('Supper'));
  await choose(/^Done$/);
  await until('pads stand again', async () => (await it.page.locator('.choose').count()) === 0);
  show.opens();
  assert.match(show.block('cue', '"Last keys"'), /note = "lights of the street go out"/);
  assert.deepEqual(it.wrong, []);
  await browser.close();
  await show.end();
});
