// The rig is made with the program itself: lights are added, moved along their bar, addressed, turned and taken away, on a
// phone and on a laptop; what the page shows is what the file says. node --test web/test/rig.test.mjs
import assert from 'node:assert/strict';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { browse, byKeys, inTheWay, look, open, press, run, until } from './lanthorn.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
const FINGER = 44;
const SHOTS = process.env.SHOTS;

/** A show of one's own, open on a page of that size; all of it ends whatever comes. */
async function withShow(size, begin, more, does) {
  const folder = mkdtempSync(join(tmpdir(), 'lanthorn-rig-'));
  const path = join(folder, 'dance.show.toml');
  const browser = await browse();
  let machine;
  try {
    assert.equal(run(['new', 'dance', ...begin], folder).status, 0);
    machine = await open('127.0.0.1:0', [path, ...more]);
    const { page, wrong, heard } = await look(browser, size);
    const here = (selector) => page.locator(selector).first();
    const tap = async (selector) => {
      await here(selector).waitFor();
      await press(here(selector));
    };
    let shot = 0;
    const it = {
      page,
      heard,
      wrong,
      here,
      tap,
      machine,
      text: () => readFileSync(path, 'utf8'),
      /** What the plan says of a light. */
      light: (number) => heard.scene.units.find((unit) => unit.number === number),
      opens: () => {
        const { status, said } = run(['check', path], folder);
        assert.equal(status, 0, said);
      },
      type: async (selector, text) => {
        await here(selector).fill(text);
        await here(selector).press('Enter');
      },
      word: (of) => tap(`.light-making [data-opens$=" ${of}"]`),
      shoot: async (selector) => {
        if (!SHOTS) return;
        await here(selector).scrollIntoViewIfNeeded();
        await page.screenshot({ path: join(SHOTS, `${size.width}-${(shot += 1)}.png`) });
      },
    };
    it.load = async () => {
      await page.goto('about:blank');
      await page.goto(`${machine.url}#rig`);
      await page.locator('body[data-link=up]').waitFor();
      await until('the show is heard', () => heard.scene && heard.moment);
      await here('.rig').waitFor();
    };
    await does(it);
  } finally {
    await browser.close();
    await machine?.end();
    rmSync(folder, { recursive: true, force: true });
  }
}

for (const size of [PHONE, LAPTOP]) {
  test(`lights are added, moved, addressed, turned and removed on ${size.words}`, { timeout: 600_000 }, async () => {
    await withShow(size, ['--from', 'demo'], [], async (it) => {
      await it.load();
      const before = it.text();

      // The addresses stand there before they are taken.
      await it.tap('[data-opens="add lights"]');
      await it.tap('.add-lights .choice:text-is("small spot head")');
      await it.tap('.add-lights .choice:text-is("16 channels")');
      await it.tap('.add-lights .choice:has-text("front bar")');
      const says = await it.here('.add-says').innerText();
      const told = /^Adds 2 small spot heads, 16 channels each, on the front bar: addresses (1\.\d{3}) and (1\.\d{3})\.$/.exec(says);
      assert.ok(told, says);
      assert.equal(await it.page.locator('.add-lights .address-block.new:not(.on)').count(), 2);
      assert.equal(await it.page.locator('.address-block.clash').count(), 0);
      await it.shoot('.add-says');
      await it.tap('.add-lights .key');
      await until('two more are heard', () => it.light(12) && it.light(13));
      assert.deepEqual([it.light(12).address, it.light(13).address], told.slice(1));
      assert.deepEqual([it.light(12).place, it.light(12).kind, it.light(12).mode], ['front bar', 'small spot head', '16 channels']);
      assert.match(it.text(), /\[\[unit\]\]\nnumbers = "12-13"\nprofile = "small spot head"\nmode = "16 channels"\nplace = "front bar"/);
      assert.ok(it.text().includes(`"${told[1]}"`), 'in the file as it was told');

      // The first of them is open. It goes along the bar with the hand.
      await it.word('along');
      await it.here('.bar-drawn').scrollIntoViewIfNeeded();
      const from = it.light(12).along;
      const box = await it.here('.bar-track').boundingBox();
      await it.page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
      await it.page.mouse.down();
      const by = from > 0 ? -60 : 60;
      await it.page.mouse.move(box.x + box.width / 2 + by, box.y + box.height / 2, { steps: 4 });
      await it.page.mouse.up();
      const to = from + (6 * by) / box.width;
      await until('it was moved', () => Math.abs(it.light(12).along - to) < 0.03 && it.light(12).along);
      const moved = it.light(12).along;
      await it.shoot('.bar-drawn');
      // And by keys: 10 cm, then 1 cm.
      await it.here('.bar-drawn').focus();
      await it.page.keyboard.press('ArrowRight');
      await until('it went 10 cm', () => Math.abs(it.light(12).along - (moved + 0.1)) < 1e-6);
      await it.page.keyboard.press('Shift+ArrowLeft');
      await until('it went back 1 cm', () => Math.abs(it.light(12).along - (moved + 0.09)) < 1e-6);
      assert.match(await it.here('.bar-drawn').getAttribute('aria-valuetext'), /m (left|right) of the middle|in the middle/);

      // An address that another has is refused with the reason, and kept as it was typed.
      await it.word('address');
      const kept = it.text();
      await it.here('.address-editor input').fill('1.005');
      await it.here('.address-editor .address-block.clash').waitFor();
      await it.shoot('.address-editor');
      await it.here('.address-editor input').press('Enter');
      const why = it.here('.address-editor .typed .why');
      await why.waitFor();
      assert.match(await why.innerText(), /overlaps/);
      assert.equal(await it.here('.address-editor input').inputValue(), '1.005');
      assert.equal(it.text(), kept, 'nothing was changed');
      await it.type('.address-editor input', '300');
      await until('it answers from 300', () => it.light(12).address === '1.300');
      assert.ok(it.text().includes('"1.300"'));
      assert.equal(await it.page.locator('.address-block.clash').count(), 0);

      await it.word('turn');
      await it.tap('.turn-editor .choice:text-is("90°")');
      await until('it is turned', () => it.light(12).turn === 90);
      await it.word('mode');
      const other = it.light(12).modes.find((mode) => mode.name !== '16 channels');
      await it.tap(`.mode-editor .choice:has-text("${other.name}")`);
      await until('it runs in the other mode', () => it.light(12).mode === other.name && it.light(12).footprint === other.channels);
      await it.word('circuit');
      await it.tap('.circuit-editor .choice:text-is("Kitchen")');
      await until('it is on that circuit', () => it.light(12).circuit === 'kitchen');
      // It came in at the line's end; its cable may come from another light, or it begins a line of its own.
      const order = (name) => it.heard.scene.plan.lines.find((line) => line.name === name)?.units;
      assert.deepEqual(order('line A').slice(-2), [12, 13]);
      await it.word('line');
      await it.tap('.line-editor .choice[aria-label="light 7"]');
      await until('it comes after light 7', () => order('line A')[1] === 12);
      assert.deepEqual(order('line A'), [7, 12, 1, 5, 2, 3, 6, 4, 8, 11, 10, 9, 13]);
      await it.here('.light-making [data-opens$=" line"]:text-is("on line A after light 7")').waitFor();
      await it.shoot('.line-editor');
      await it.type('.line-editor input', 'B');
      await until('it is alone on line B', () => order('line B')?.join() === '12' && !order('line A').includes(12));
      // Linked, both of them, and on its own: what means nothing there goes, and comes back.
      await it.word('run');
      await it.tap('.run-editor .choice:text-is("linked")');
      await until('it leads', () => it.light(12).leader === 12 && it.light(12).address === null);
      assert.ok(it.light(12).programme, 'with a programme that its kind has');
      await it.tap('.run-editor .choice[aria-label="light 13"]');
      await until('it follows 13, which leads', () => it.light(12).leader === 13 && it.light(13).leader === 13);
      assert.deepEqual(it.heard.scene.plan.lines.find((line) => line.kind === 'linked')?.units, [13, 12]);
      await it.shoot('.run-editor');
      await it.tap('.run-editor .choice:text-is("on its own")');
      await until('it is on its own', () => it.light(12).run === 'on its own' && it.light(12).programme);
      await it.tap('.run-editor .choice:text-is("driven from the controller")');
      await until('it is driven again', () => it.light(12).run === 'driven' && it.light(12).address);
      await it.word('place');
      await it.tap('.place-editor .choice:has-text("stage foot")');
      await until('it stands there', () => it.light(12).place === 'stage foot');
      await it.shoot('.light-making');
      it.opens();

      await it.tap('[aria-label="Remove light 12"]');
      await until('it is gone', () => !it.light(12));
      assert.ok(it.light(13), 'alone');

      // All of it back, to the byte.
      while (it.heard.scene.edits.undo) {
        const { scene, answers } = { scene: it.heard.scene, answers: it.heard.answers.length };
        await it.tap('.undo-row button:text-is("Undo")');
        await until('it is undone', () => it.heard.scene !== scene && it.heard.answers.length > answers);
        assert.equal(it.heard.answers.at(-1).wrong, false, it.heard.answers.at(-1).says);
      }
      assert.equal(it.text(), before);
      await until('the page has eleven lights again', () => it.heard.scene.units.length === 11);
      assert.deepEqual(it.wrong, []);
    });
  });

  test(`an empty rig says what comes first on ${size.words}`, { timeout: 120_000 }, async () => {
    await withShow(size, ['--empty'], [], async (it) => {
      await it.load();
      await it.here('.first:has-text("No lights yet")').waitFor();
      await it.shoot('.first');
      await it.tap('.first .key');
      await it.tap('.add-lights .choice:text-is("RGBW par")');
      await it.tap('.add-lights .choice .number:text-is("4")');
      await it.type('.add-lights .typed input >> nth=1', 'front pars');
      await until('four are there', () => it.heard.scene.units.length === 4);
      assert.equal(it.light(1).address, '1.001');
      assert.deepEqual(it.heard.scene.groups.map((group) => [group.name, group.units]), [['front pars', [1, 2, 3, 4]]]);
      await it.tap('.undo-row button:text-is("Undo")');
      await until('one undo takes all of them back', () => it.heard.scene.units.length === 0 && it.heard.scene.groups.length === 0);
      await it.here('.first').waitFor();
      assert.deepEqual(it.wrong, []);
    });
  });

  test(`supply and hanging places are said on ${size.words}`, { timeout: 180_000 }, async () => {
    await withShow(size, ['--from', 'demo'], [], async (it) => {
      await it.load();
      const before = it.text();
      const circuit = (name) => it.heard.scene.plan.circuits.find((one) => one.name === name);
      const place = (name) => it.heard.scene.room.places.find((one) => one.name === name);
      await it.tap('[data-opens="circuit hall: breaker"]');
      await it.type('.field-editor input', '13 A');
      await until('the breaker is smaller', () => circuit('hall').breaker_amps === 13);
      await it.tap('[data-opens="circuit hall: lead"]');
      await it.type('.field-editor input', '20 m, 1.5 mm2');
      await until('its lead is known', () => circuit('hall').fields.some((one) => one.value === '20 m, 1.5 mm2'));
      assert.match(it.text(), /lead = \{ cable = "1\.5 mm2", length = "20 m" \}/);
      // What cannot be is refused where it was typed, with the reason.
      await it.tap('[data-opens="circuit hall: phase"]');
      await it.here('.field-editor input').fill('nine');
      await it.here('.field-editor input').press('Enter');
      await it.here('.field-editor .why').waitFor();
      await it.here('.field-editor input').press('Escape');
      await it.tap('[data-opens="mains: region"]');
      await it.tap('.field-editor .choice:text-is("United Kingdom")');
      await until('the region is said', () => it.text().includes('region = "uk"'));
      await it.tap('[data-opens="add circuit"]');
      await it.type('.add-circuit input >> nth=1', 'stage left');
      await until('there is a circuit more', () => circuit('stage left')?.breaker_amps === 16);
      await it.tap('[aria-label="Remove circuit stage left"]');
      await until('it is gone', () => !circuit('stage left'));
      await it.tap('[data-opens="place front bar: points"]');
      await it.type('.field-editor input', '-2.5, 2.5');
      await until('the bar hangs on two points', () => place('front bar').fields.some((one) => one.value === '-2.5, 2.5'));
      await it.tap('[data-opens="add place"]');
      await it.tap('.add-place .choice:text-is("stand")');
      await it.type('.add-place input >> nth=2', 'back stand');
      await until('there is a stand more', () => place('back stand')?.kind === 'stand');
      await it.shoot('[aria-label="Remove back stand"]');
      it.opens();
      await it.tap('[aria-label="Remove back stand"]');
      await until('it is gone', () => !place('back stand'));
      while (it.heard.scene.edits.undo) {
        const { scene, answers } = { scene: it.heard.scene, answers: it.heard.answers.length };
        await it.tap('.undo-row button:text-is("Undo")');
        await until('it is undone', () => it.heard.scene !== scene && it.heard.answers.length > answers);
      }
      assert.equal(it.text(), before, 'all of it back, to the byte');
      assert.deepEqual(it.wrong, []);
    });
  });

  test(`every figure opens, and what-if changes nothing until it is wanted, on ${size.words}`, { timeout: 180_000 }, async () => {
    await withShow(size, ['--from', 'demo'], [], async (it) => {
      await it.load();
      const before = it.text();
      // Whatever opens has inputs, or at least a formula, and says where that stands.
      const figures = await it.page.locator('.sums [data-opens]').evaluateAll((all) => all.map((one) => one.dataset.opens));
      assert.ok(figures.length >= 8, figures.join());
      for (const figure of figures) {
        await it.tap(`[data-opens="${figure}"]`);
        const said = await it.here('.how').innerText();
        assert.ok(said.trim().split('\n').length >= 2, `${figure}: ${said}`);
      }
      // The sum is the one of its inputs: volt-amps over volts, and the other load.
      await it.tap('[data-opens="how circuit hall, Current"]');
      const rows = await it.page.locator('.how tr').evaluateAll((all) => all.map((row) => [...row.children].map((cell) => cell.textContent)));
      const number = (name) => rows.filter(([what]) => what.startsWith(name)).map(([, value]) => Number.parseFloat(value));
      const amps = number('volt-amps').reduce((a, b) => a + b) / number('mains')[0] + number('other load')[0];
      const told = Number.parseFloat(await it.here('[data-opens="how circuit hall, Current"]').innerText());
      assert.ok(Math.abs(amps - told) < 0.06, `${amps} and ${told}`);

      await it.tap('[data-opens="what if"]');
      await it.tap('.what-if .choice:text-is("hazer")');
      await it.tap('.what-if .choice:text-is("stage foot")');
      await it.here('.what-if-answer p:has-text("Light 12 is new: hazer")').waitFor();
      await it.shoot('.what-if-answer');
      await it.tap('.what-if .choice:text-is("another mains")');
      await it.tap('.what-if .choice:text-is("120 V")');
      await it.here('.what-if-answer p:has-text("Mains of 120 V instead of 230 V")').waitFor();
      await it.here('.what-if-answer .finding:has-text("Circuit")').first().waitFor();
      assert.equal(it.text(), before, 'nothing was changed by asking');
      assert.deepEqual(await inTheWay(it.page, FINGER), []);
      await it.tap('.what-if .choice:text-is("a light less")');
      await it.tap('.what-if .choice[aria-label="light 11, hazer"]');
      await it.here('.what-if-answer p:has-text("Light 11 is gone")').waitFor();
      await it.tap('.what-if .act:text-is("Do it")');
      await until('it is done', () => !it.light(11));
      await it.tap('.undo-row button:text-is("Undo")');
      await until('and undone', () => it.light(11));
      assert.deepEqual(it.wrong, []);
    });
  });

  test(`every editor of the rig on ${size.words} fits, a finger finds all of it, and nobody is shut out`, { timeout: 600_000 }, async () => {
    await withShow(size, ['--from', 'demo'], [], async (it) => {
      const views = [['[data-opens="add lights"]'], ...['place', 'along', 'turn', 'mode', 'address', 'circuit', 'line', 'run'].map((of) => ['[data-light="5"]', `.light-making [data-opens$=" ${of}"]`])];
      views.push(...['mains: region', 'circuit hall: lead', 'add circuit', 'add place', 'place left stand: legs', 'place front bar: tube'].map((of) => [`[data-opens="${of}"]`]));
      const complaints = [];
      for (const taps of views) {
        await it.load();
        for (const selector of taps) await it.tap(selector);
        await it.here('.editor').waitFor();
        complaints.push(...(await inTheWay(it.page, FINGER)).map((one) => `${taps.join(' ')}: ${one}`));
      }
      assert.deepEqual(complaints, []);
    });
  });
}

test('a light is added, moved and addressed by keys alone', { timeout: 180_000 }, async () => {
  await withShow(LAPTOP, ['--from', 'demo'], [], async (it) => {
    await it.load();
    const { press, active, choose } = byKeys(it.page);
    await choose(/^Add lights$/);
    await choose(/^RGBW par$/);
    await choose(/^1$/);
    await choose(/^Add it$/);
    await until('it is there', () => it.light(12)?.kind === 'RGBW par');
    await choose(/of the middle$|^in the middle$/);
    const from = it.light(12).along;
    await until('the bar has the focus', async () => /^Along/.test(await active()));
    await press(from > 0 ? 'ArrowLeft' : 'ArrowRight');
    await until('it moved 10 cm', () => Math.abs(Math.abs(it.light(12).along - from) - 0.1) < 1e-6);
    await press('Escape');
    await until('the word has the focus again', async () => /middle/.test(await active()));
    await choose(/^from address/);
    await it.here('.address-editor input:focus').waitFor();
    await press('Control+a');
    await it.page.keyboard.type('2.101');
    await press('Enter');
    await until('it answers there', () => it.light(12).address === '2.101');
    assert.deepEqual(it.wrong, []);
  });
});

test('who may only run finds no editor of the rig', { timeout: 120_000 }, async () => {
  await withShow(LAPTOP, ['--from', 'demo'], ['--lan=run', '--everyone-pairs'], async (it) => {
    const code = await until('a code is printed', () => /^code\s+(\w{6})$/m.exec(it.machine.said())?.[1]);
    await it.page.goto(`${it.machine.url}#pair=${code}`);
    await it.page.locator('body[data-link=up][data-role=run]').waitFor();
    await until('the show is heard', () => it.heard.scene && it.heard.moment);
    await it.page.evaluate(() => (location.hash = 'rig'));
    await it.tap('[data-light="5"]');
    await it.here('.light .facts').waitFor();
    for (const made of ['.light-making', '.making-row', '[data-opens]:not([data-opens^="how "])', '.editor']) assert.equal(await it.page.locator(`.column ${made}`).count(), 0, made);
    assert.ok((await it.page.locator('.address-map').count()) > 0, 'the address map is for everyone');
  });
});
