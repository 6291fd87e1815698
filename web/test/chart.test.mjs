// A light that is in no library, with the program itself: its manual's table is pasted, its questions answered, two of it are
// hung and light up; and what was answered wrongly is found on the light. node --test web/test/chart.test.mjs
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { test } from 'node:test';
import { browse, inTheWay, look, open, press, run, until } from './lanthorn.mjs';

const ROOT = resolve(import.meta.dirname, '../..');
const PROGRAM = process.env.LANTHORN ?? join(ROOT, 'target/release/lanthorn');
const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
const FINGER = 44;
/** Presses and typed fields from the first word to the lit light. */
const MOST_ACTIONS = 40;
/** Of the most that it can give: a warm colour takes a good part of that. */
const SHINES = 0.2;
const PICTURES = process.env.PICTURES;
/** A chart with misprints, invented like every one there. */
const CHART = readFileSync(join(ROOT, 'crates/store/tests/charts/14-misprints-spot.txt'), 'utf8');
/** One word of it tells nothing. */
const SHED = `SHED WASH
5 Channel Mode
CH1   000-255   Red (0-100%)
CH2   000-255   Green (0-100%)
CH3   000-255   Blue (0-100%)
CH4   000-255   Master dimmer (0-100%)
CH5   000-127   No function
      128-255   ZX-b
`;

/** A PDF of one page with these lines, each at the place where its words stand. */
function pdf(text) {
  const words = text.split('\n').map((line, i) => `1 0 0 1 50 ${760 - 14 * i} Tm (${line.replace(/[()\\]/g, '\\$&')}) Tj`);
  const drawn = `BT /F1 10 Tf ${words.join(' ')} ET`;
  const objects = [
    '<< /Type /Catalog /Pages 2 0 R >>',
    '<< /Type /Pages /Kids [3 0 R] /Count 1 >>',
    '<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>',
    `<< /Length ${drawn.length} >>\nstream\n${drawn}\nendstream`,
    '<< /Type /Font /Subtype /Type1 /BaseFont /Courier /Encoding /WinAnsiEncoding >>',
  ];
  let file = '%PDF-1.4\n';
  const places = objects.map((object, i) => {
    const at = file.length;
    file += `${i + 1} 0 obj\n${object}\nendobj\n`;
    return `${String(at).padStart(10, '0')} 00000 n \n`;
  });
  const table = file.length;
  return `${file}xref\n0 6\n0000000000 65535 f \n${places.join('')}trailer\n<< /Size 6 /Root 1 0 R >>\nstartxref\n${table}\n%%EOF\n`;
}

async function withShow(size, more, prepare, does) {
  const folder = mkdtempSync(join(tmpdir(), 'lanthorn-chart-'));
  const path = join(folder, 'dance.show.toml');
  const browser = await browse();
  let machine;
  try {
    assert.equal(run(['new', 'dance', '--from', 'demo'], folder).status, 0);
    const options = prepare?.(folder, path) ?? [];
    machine = await open('127.0.0.1:0', [path, ...more, ...options]);
    const { page, wrong, heard } = await look(browser, size);
    let actions = 0;
    let shot = 0;
    const here = (selector) => page.locator(selector).first();
    const it = {
      page,
      heard,
      wrong,
      here,
      folder,
      path,
      machine,
      actions: () => actions,
      text: () => readFileSync(path, 'utf8'),
      light: (number) => heard.scene.units.find((unit) => unit.number === number),
      now: (number) => heard.moment.lights.find((light) => light.unit === number),
      // As a person does, but without waiting for the picture, which is drawn by the same processor.
      async press(selector) {
        actions += 1;
        await here(selector).waitFor({ state: 'attached' });
        await press(here(selector));
      },
      async fill(selector, words, enter = false) {
        actions += 1;
        if (!enter) return here(selector).fill(words);
        // At once: what is shown there follows the light, and would take its place again.
        await here(selector).waitFor({ state: 'attached' });
        await here(selector).evaluate((input, words) => {
          input.value = words;
          input.dispatchEvent(new Event('change', { bubbles: true }));
        }, words);
      },
      /** The page at another of its addresses, as a sticker's code or a bookmark opens it. */
      async at(address) {
        actions += 1;
        await page.goto('about:blank');
        await page.goto(`${machine.url}${address}`);
        await page.locator('body[data-link=up]').waitFor();
      },
      async shoot(name) {
        if (!PICTURES) return;
        mkdirSync(PICTURES, { recursive: true });
        await page.screenshot({ path: join(PICTURES, `${size.width}-${String((shot += 1)).padStart(2, '0')}-${name}.png`) });
      },
    };
    await page.goto(`${machine.url}#rig`);
    await page.locator('body[data-link=up]').waitFor();
    await until('the show is heard', () => heard.scene && heard.moment);
    await does(it);
    assert.deepEqual(wrong, []);
  } finally {
    await browser.close();
    await machine?.end();
    rmSync(folder, { recursive: true, force: true });
  }
}

for (const size of [PHONE, LAPTOP]) {
  test(`a pasted chart becomes a light that shines, on ${size.words}`, { timeout: 600_000 }, async () => {
    await withShow(size, [], null, async (it) => {
      const before = it.text();
      await it.press('button:text-is("A light that is not in the list …")');
      await it.here('.chart').waitFor();
      await it.shoot('empty');
      if (size === LAPTOP) {
        writeFileSync(join(it.folder, 'shed.pdf'), pdf(SHED));
        await it.page.setInputFiles('.chart-file input', join(it.folder, 'shed.pdf'));
        await until('its channels are read', async () => (await it.page.locator('.chart-channel').count()) === 5);
        assert.equal(await it.here('.chart-name').inputValue(), 'shed');
        // What is no PDF is said to be none.
        writeFileSync(join(it.folder, 'broken.pdf'), 'no PDF at all');
        await it.page.setInputFiles('.chart-file input', join(it.folder, 'broken.pdf'));
        await it.here('.chart .bright:has-text("no PDF that can be read")').waitFor();
        it.wrong.length = 0; // the browser notes every refused request
      }
      await it.fill('.chart textarea', CHART);
      await it.fill('.chart-name', 'thistle spot');
      if (size === PHONE) await it.press('.chart-views button:text-is("Reading")');
      const count = async () => it.page.locator('.chart-question:not(.answered)').count();
      await until('questions stand there', async () => (await count()) >= 5);
      const asked = await count();
      await it.here(`.chart-count:has-text("${asked} questions are open")`).waitFor();
      assert.deepEqual(await inTheWay(it.page, FINGER), []);
      await it.shoot('questions');

      // A question that is touched marks its lines in the text and its ranges on the bar.
      await it.press('.chart-question-words');
      await until('lines are marked', async () => (await it.page.locator('.chart-marks i.asked').count()) > 0);
      assert.ok((await it.page.locator('.chart-bar .range.marked').count()) > 0, 'and ranges');
      await it.shoot('marked');

      // Each answer is one press; the count follows at once.
      for (let left = asked; left > 0; left -= 1) {
        await it.press('.chart-question:not(.answered) .chart-answer');
        await until('one question fewer is open', async () => (await count()) === left - 1);
      }
      await it.here('.chart-count:has-text("no question is open")').waitFor();
      // Answered ones can be opened again.
      await it.press('.chart-question.answered button:text-is("Open it again")');
      await until('one is open again', async () => (await count()) === 1);
      await it.here('.chart-count:has-text("1 question is open")').waitFor();
      assert.equal(it.text(), before, 'nothing is in the show yet');

      await it.press('.chart-take');
      await until('the kind is there', () => it.heard.scene.profiles.some((kind) => kind.name === 'thistle spot' && kind.own && kind.questions === 1));
      assert.match(it.text(), /\[profile\.chart\]\ntext = '''/);
      await it.here('.add-lights .choice[aria-pressed=true]:text-is("thistle spot")').waitFor();
      await it.here('.doubts:has-text("1 question about this light is open")').waitFor();
      await it.press('.add-lights .choice:has-text("front bar")');
      await until('it says what it adds', async () => /^Adds 2 thistle spots, 10 channels each/.test(await it.here('.add-says').innerText()));
      await it.shoot('add');
      await it.press('.add-lights .key');
      await until('two are there', () => it.light(12)?.kind === 'thistle spot' && it.light(13));
      assert.equal(run(['check', it.path], it.folder).status, 0);

      // It drives the stand-in: dark, and lit by hand.
      await until('it is heard of', () => it.now(12));
      await it.at('#light-12');
      await until('it is dark, and in nobody’s hand', () => it.now(12) && !it.now(12).held && it.now(12).heads[0].level < 0.01);
      await it.press('.slip-sentence .handle >> nth=1');
      await it.fill('.level-editor input[type=number]', '100', true);
      await until('it shines', () => (it.now(12)?.heads[0]?.level ?? 0) > SHINES);
      assert.ok(it.actions() < MOST_ACTIONS, `${it.actions()} actions`);
      console.log(`${size.words}: ${it.actions()} actions`);

      // Its chart is opened again with everything still there.
      await it.at('#rig');
      await it.press('.doubts button:text-is("Its chart")');
      await until('its text stands there', async () => (await it.here('.chart textarea').inputValue()).trim() === CHART.trim());
      await until('with its answers', async () => (await it.page.locator('.chart-question').count()) === asked && (await count()) === 1);
      await it.press('.chart-question:not(.answered) .chart-answer');
      await until('none is open', async () => (await count()) === 0);
      await it.press('.chart-take');
      await until('it is taken in anew', () => it.heard.scene.profiles.find((kind) => kind.name === 'thistle spot')?.questions === 0);
      await it.here('.rig').waitFor();

      // All of it back, to the byte.
      while (it.heard.scene.edits.undo) {
        const { scene, answers } = { scene: it.heard.scene, answers: it.heard.answers.length };
        await it.press('.undo-row button:text-is("Undo")');
        await until('it is undone', () => it.heard.scene !== scene && it.heard.answers.length > answers);
      }
      assert.equal(it.text(), before);
    });
  });

  test(`channels are tried and set, range by range, on ${size.words}`, { timeout: 300_000 }, async () => {
    await withShow(size, [], null, async (it) => {
      const kind = () => it.light(1).kind;
      const before = it.text();
      await it.press('.light-head[data-light="1"]');
      await it.press('.light-making button:text-is("Its channels")');
      await it.here('.channels .chart-channel').waitFor();
      assert.deepEqual(await inTheWay(it.page, FINGER), []);
      await it.shoot('channels');
      const dimmer = await it.page.locator('.chart-channel').evaluateAll((all) => all.find((one) => / dimmer/.test(one.querySelector('.chart-channel-head').textContent))?.dataset.ch);
      assert.ok(dimmer, `a ${kind()} has a dimmer`);
      await it.press(`.chart-channel[data-ch="${dimmer}"] .chart-channel-head`);
      await it.fill('.chart-try input[type=number]', '0', true);
      await until('it is dark', () => it.now(1).heads[0].level < 0.01);
      await it.fill('.chart-try input[type=number]', '255', true);
      await until('it shines', () => it.now(1).heads[0].level > SHINES);
      await it.shoot('tried');
      // The stop keys come before what is tried.
      await it.press('.stop-keys button:has-text("Blackout"), button:has-text("Blackout")');
      await until('it is dark', () => it.now(1).heads[0].level < 0.01);
      await it.press('.stop-keys button:has-text("Blackout"), button:has-text("Blackout")');
      await until('it is lit again', () => it.now(1).heads[0].level > SHINES);

      // What may harm wants a second press, and says why.
      await it.press(`.chart-channel[data-ch="${dimmer}"] .chart-channel-head`);
      const strobe = await it.page.locator('.chart-channel').evaluateAll((all) => all.find((one) => one.querySelector('.range.movement') && /strobe/i.test(one.querySelector('.chart-channel-head').textContent))?.dataset.ch);
      await it.press(`.chart-channel[data-ch="${strobe}"] .chart-channel-head`);
      const span = await it.here('.range-editor:has(.range.movement)').getAttribute('data-range');
      const inside = Number(span.split('–')[0]) + 2;
      await it.fill('.chart-try input[type=number]', String(inside), true);
      await it.here('.chart-careful:has-text("seizures")').waitFor();
      assert.equal(it.now(1).heads[0].strobe_hz, 0);
      await it.shoot('careful');
      await it.press('.chart-careful .key');
      await until('it flashes', () => it.now(1).heads[0].strobe_hz > 0);
      await it.press('.chart-try button:text-is("Let go")');
      await until('it is steady', () => it.now(1).heads[0].strobe_hz === 0);

      // Split, delete, join: each one change.
      const editors = () => it.page.locator('.range-editor').count();
      const many = await editors();
      await it.press(`[aria-label="Split: ${span}"]`);
      await until('one range more', async () => (await editors()) === many + 1);
      assert.deepEqual(await inTheWay(it.page, FINGER), []);
      await it.shoot('ranges');
      await it.press(`.range-editor [aria-label^="Join with the next: ${span.split('–')[0]}–"]`);
      await until('as many as before', async () => (await editors()) === many);
      await it.press(`[aria-label="Delete: ${span}"]`);
      await until('it does nothing', async () => (await it.page.locator(`.range-editor[data-range="${span}"] .range.nothing`).count()) === 1);
      assert.equal(run(['check', it.path], it.folder).status, 0);
      // When the panel closes the light goes back to the show.
      await it.press('.channels button:text-is("Close")');
      await until('it is in nobody’s hand', () => !it.now(1).held);
      while (it.heard.scene.edits.undo) {
        const { scene, answers } = { scene: it.heard.scene, answers: it.heard.answers.length };
        await it.press('.undo-row button:text-is("Undo")');
        await until('it is undone', () => it.heard.scene !== scene && it.heard.answers.length > answers);
      }
      assert.equal(it.text(), before);
    });
  });

  test(`the channel finder finds what was answered wrongly, on ${size.words}`, { timeout: 600_000 }, async () => {
    /** Two of a kind of which the show believes that it dims, and which really flashes there: the stand-in's own file. */
    const prepare = (folder, path) => {
      writeFileSync(join(folder, 'chart.txt'), SHED);
      const { questions } = JSON.parse(run(['profile', 'read', 'chart.txt', '--json'], folder).said);
      const unread = questions.find((question) => question.kind === 'unread');
      assert.ok(unread, 'its one word that tells nothing is asked about');
      const change = (file, value) => {
        const profile = { type: 'profile_add', name: 'shed wash', text: SHED, answers: [{ id: unread.id, value }] };
        const lights = { type: 'light_add', profile: 'shed wash', mode: null, place: 'front bar', count: 2 };
        const { status, stderr } = spawnSync(PROGRAM, ['change', file], { cwd: folder, input: JSON.stringify({ type: 'many', changes: [profile, lights] }), encoding: 'utf8' });
        assert.equal(status, 0, stderr);
      };
      const other = join(folder, 'true.show.toml');
      writeFileSync(other, readFileSync(path));
      change(path, 'Dimmer');
      change(other, 'Shutter1Strobe');
      return ['--stand-in', other];
    };
    await withShow(size, [], prepare, async (it) => {
      await it.press('.light-head[data-light="12"]');
      await it.press('.light-making button:text-is("Try its channels")');
      await it.here('.finder-expected').waitFor();
      assert.deepEqual(await inTheWay(it.page, FINGER), []);
      await it.shoot('finder');
      /** What a person would see in some seconds. */
      const watch = async () => {
        const seen = { strobe: 0, low: 1, high: 0 };
        const end = Date.now() + 4500;
        while (Date.now() < end) {
          const head = it.now(12).heads[0];
          seen.strobe = Math.max(seen.strobe, head.strobe_hz);
          seen.low = Math.min(seen.low, head.level);
          seen.high = Math.max(seen.high, head.level);
          await new Promise((done) => setTimeout(done, 40));
        }
        return seen;
      };
      let dimmed = false;
      for (;;) {
        const says = await it.here('.finder-expected').innerText();
        const title = await it.here('.finder .title').innerText();
        if (!/Channel [45]/.test(title)) {
          await it.press('.finder-yes');
        } else if (/grow dim and bright/.test(says)) {
          const seen = await watch();
          if (/Channel 4/.test(title)) {
            assert.ok(seen.low < 0.1 && seen.high > 0.9, `the real dimmer dims: ${JSON.stringify(seen)}`);
            dimmed = true;
            await it.press('.finder-yes');
          } else {
            assert.ok(seen.strobe > 0 && seen.low > 0.5, `it flashes, and does not dim: ${JSON.stringify(seen)}`);
            await it.shoot('finder-flashes');
            await it.press('.finder [data-seen="flashes"]');
            break;
          }
        } else await it.press('.finder-yes');
        await until('the next is asked', async () => {
          const now = await it.page.locator('.finder-expected, .finder-found').first().innerText();
          const head = await it.here('.finder .title').innerText();
          return now !== says || head !== title;
        });
      }
      assert.ok(dimmed);
      await it.here('.finder .title:has-text("One range is put right")').waitFor();
      const said = await it.here('.finder-found li').innerText();
      assert.match(said, /“flashes” now, and not “dims”/);
      await it.shoot('finder-found');
      assert.match(it.text(), /values = "128-255", does = "Shutter1Strobe"/);
      // Believed as it is, it is driven steadily.
      await it.press('.finder button:text-is("Close")');
      await it.here('.rig').waitFor();
      await it.at('#light-12');
      await until('it is dark, and in nobody’s hand', () => it.now(12) && !it.now(12).held && it.now(12).heads[0].level < 0.01);
      await it.press('.slip-sentence .handle >> nth=1');
      await it.fill('.level-editor input[type=number]', '100', true);
      await until('it shines steadily', () => it.now(12).heads[0].level > SHINES && it.now(12).heads[0].strobe_hz === 0);
    });
  });
}
