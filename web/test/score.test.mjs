// Scored tracks: scored from the command line, played and changed from the page: node --test web/test
import assert from 'node:assert/strict';
import { createSocket } from 'node:dgram';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { browse, inTheWay, look, open, PADS, press, run, until } from './lanthorn.mjs';
import { FOUR_PARS, sheet } from './sound.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
const FINGER = 44;
const RATE = 24_000;
const BPM = 120;
const BAR = (4 * 60) / BPM;
/** Eight bars of quiet chords, eight with all drums, four without kick, eight again. */
const FORM = [[8, 'quiet'], [8, 'full'], [4, 'quiet'], [8, 'full']];

/** Four pars and looks of four levels on them, each a colour of its own; a chase by beats. */
const SHOW = `${FOUR_PARS}${[['low', '25 %', 'warm white'], ['half', '50 %', 'amber'], ['high', '75 %', 'magenta'], ['full', '100 %', 'blue']].map(([name, level, colour]) => `[[look]]\nname = "${name}"\n[[look.part]]\nwho = "all"\ncolour = "${colour}"\nlevel = "${level}"\n`).join('\n')}
[[chase]]
name = "turns"
step_time = "2 beats"
steps = ["half", "high"]
`;

/** The piece as a WAV file of 16 bit. */
function piece() {
  const bars = FORM.flatMap(([count, what]) => Array.from({ length: count }, () => what));
  const { strike, kick, snare, hat, wav } = sheet(bars.length * BAR, RATE);
  const beat = BAR / 4;
  bars.forEach((what, bar) => {
    const root = [220, 174.6, 261.6, 196][bar % 4];
    for (let place = 0; place < 4; place += 1) {
      const at = bar * BAR + place * beat;
      for (const part of [1, 1.26, 1.5]) strike(at, beat, (t) => 0.06 * Math.exp(-t * 3) * Math.sin(2 * Math.PI * root * part * t));
      hat(at, 0.05);
      if (what === 'quiet') continue;
      kick(at);
      strike(at, beat * 0.9, (t) => 0.25 * Math.min(1, t * 80) * Math.exp(-t * 2) * Math.sin((Math.PI * root * t) / 2));
      if (place % 2 === 1) snare(at);
      for (const half of [0, beat / 2]) hat(at + half, 0.15);
    }
  });
  return wav();
}

/** Slots of universe 1 as they leave (ANSI E1.31): the universe at 113, slots from 126. */
async function hearSacn() {
  const socket = createSocket('udp4');
  const heard = { slots: null, count: 0 };
  socket.on('message', (bytes) => {
    if (bytes.length < 126 || bytes.readUInt16BE(113) !== 1) return;
    heard.slots = bytes.subarray(126);
    heard.count += 1;
  });
  await new Promise((done) => socket.bind(5568, '127.0.0.55', done));
  return { heard, end: () => socket.close() };
}

for (const size of [PHONE, LAPTOP]) {
  describe(`a scored track on ${size.words}`, { timeout: 300_000 }, () => {
    let folder, browser, machine, it, sacn;
    before(async () => {
      folder = mkdtempSync(join(tmpdir(), 'lanthorn-score-'));
      writeFileSync(join(folder, 'song.wav'), piece());
      writeFileSync(join(folder, 'dance.show.toml'), SHOW);
      const scored = run(['score', 'song.wav', '--show', 'dance.show.toml'], folder);
      assert.equal(scored.status, 0, scored.said);
      assert.match(scored.said, /is kept, new, with \d+ parts/);
      browser = await browse(['--autoplay-policy=no-user-gesture-required']);
      sacn = await hearSacn();
      machine = await open('127.0.0.1:0', [join(folder, 'dance.show.toml'), '--sacn', '127.0.0.55']);
      it = await look(browser, size);
      await it.page.goto(`${machine.url}#tonight`);
      await it.page.locator('body[data-link=up]').waitFor();
      await until('the show is heard', () => it.heard.scene && it.heard.moment);
    });
    after(async () => {
      await browser?.close();
      await machine?.end();
      sacn?.end();
      rmSync(folder, { recursive: true, force: true });
    });
    const moment = () => it.heard.moment;
    const score = () => it.heard.scene.scores[0];
    const parts = () => it.page.locator('.timeline-part');
    const key = (id) => it.page.locator(`[data-score=${id}]`);
    const file = () => readFileSync(join(folder, 'dance.show.toml'), 'utf8');

    test('it stands on the page with its sound, bars, sections and parts', async () => {
      if (size.touch) await press(it.page.locator('.music-word'));
      else await press(it.page.locator('.foot-facts button', { hasText: 'Music' }));
      await press(it.page.locator('[data-open-score=song]'));
      await parts().first().waitFor();
      assert.equal(await parts().count(), score().parts.length);
      assert.ok(score().parts.length >= 3 && score().bars.length >= 24, `${score().parts.length} parts, ${score().bars.length - 1} bars`);
      await until('the sound is drawn', async () => ((await it.page.locator('.timeline-shape path').getAttribute('d')) ?? '').length > 1000);
      const box = await it.page.locator('.timeline-box').boundingBox();
      const sheet = await it.page.locator('.timeline-sheet').boundingBox();
      if (size.touch) assert.ok(sheet.width > 1.5 * box.width, 'it scrolls sideways');
      else assert.ok(Math.abs(sheet.width - box.width) <= 2, 'all of it at a glance');
      assert.deepEqual(await inTheWay(it.page, FINGER, PADS), []);
    });

    test('played from the page, looks and packets follow it', async () => {
      // From a bar before the first change to another look.
      const change = score().parts.findIndex((part, at) => at > 0 && part.look !== score().parts[at - 1].look);
      const [before, then] = [score().parts[change - 1], score().parts[change]];
      const bar = score().bars.findIndex((begin) => begin >= then.at_s - BAR - 0.05);
      await it.page.locator('.timeline-sound').focus();
      await it.page.keyboard.press('Home');
      for (let n = 0; n < bar; n += 1) await it.page.keyboard.press('ArrowRight');
      await press(key('play'));
      await until('the machine hears that it plays', () => moment().score?.player > 0);
      await until('what would be on there is on', () => moment().now.look === before.look);
      const slots = Buffer.from(sacn.heard.slots);
      await until('the next look is on', () => moment().now.look === then.look, 20_000);
      const late = moment().score.at_s - then.at_s;
      assert.ok(late > -0.2 && late < 1.5, `${late.toFixed(2)} s after its bar`);
      await until('packets have changed', () => Buffer.compare(slots, sacn.heard.slots) !== 0);
      await until('the tempo is that of the track', () => Math.abs(moment().now.tempo_bpm - BPM) < 1.5);
      await it.page.locator('.score-place', { hasText: 'It plays here' }).waitFor();
      // The page's own word on where it is, and the machine's.
      const off = await it.page.evaluate(() => performance.now()).then(() => moment().score.at_s);
      assert.ok(off > then.at_s - 0.5);
      await press(key('play'));
      await until('it stands', () => moment().score === null);
      assert.equal(moment().now.look, then.look, 'the light stays as it is');
    });

    test('the machine plays it without sound, and a press in the sound goes there', async () => {
      await press(key('silent'));
      await until('it runs', () => moment().score?.player === 0);
      const sound = it.page.locator('.timeline-sound');
      await sound.focus();
      await it.page.keyboard.press('Home');
      await until('it has gone back', () => moment().score?.at_s < 4);
      await it.page.keyboard.press('l');
      await until('a key lets it stand', () => moment().score === null);
    });

    test('a part is changed, moved, added and removed, and all of it can be undone', async () => {
      const at = score().parts.length - 1;
      const first = score().parts[at];
      await press(parts().nth(at));
      await press(it.page.locator(`[data-opens="score ${first.part} look"]`));
      const other = ['low', 'half', 'high', 'full'].find((name) => name !== first.look);
      await press(it.page.locator('.look-choice', { hasText: new RegExp(other, 'i') }).first());
      await until('it has another look', () => score().parts[at].look === other);
      await press(it.page.locator(`[data-opens="score ${first.part} dark"]`));
      await press(it.page.locator('.editor .choice', { hasText: '2 beats' }));
      await until('it is dark before it', () => Math.abs(score().parts[at].at_s - score().parts[at].dark_s - BAR / 2) < 0.05);
      const bar = score().parts[at].values.bar;
      await press(it.page.locator('.score-acts button', { hasText: '+1 bar' }));
      await until('it is a bar later', () => score().parts[at].values.bar === bar + 1);
      await it.page.locator('.timeline-grip').focus();
      await it.page.keyboard.press('ArrowLeft');
      await until('arrows move it back', () => score().parts[at].values.bar === bar);
      const grip = await it.page.locator('.timeline-grip').boundingBox();
      const two = score().bars[bar + 1] - score().bars[bar - 1];
      const scale = (await it.page.locator('.timeline-sheet').boundingBox()).width / score().length_s;
      await it.page.mouse.move(grip.x + grip.width / 2, grip.y + grip.height / 2);
      await it.page.mouse.down();
      await it.page.mouse.move(grip.x + grip.width / 2 + (two * scale) / 2, grip.y + grip.height / 2);
      await it.page.mouse.move(grip.x + grip.width / 2 + two * scale, grip.y + grip.height / 2);
      await it.page.mouse.up();
      await until('it is dragged two bars on', () => score().parts[at].values.bar === bar + 2);
      assert.match(file(), new RegExp(`bar = ${bar + 2}\\n`), 'it is in the file');
      assert.deepEqual(await inTheWay(it.page, FINGER, PADS), []);
      for (const back of [bar, bar + 1, bar]) {
        await it.page.keyboard.press('Control+z');
        await until(`undone, bar ${back}`, () => score().parts[at].values.bar === back);
      }
      const count = score().parts.length;
      await it.page.locator('.timeline-sound').focus();
      await it.page.keyboard.press('Home');
      for (let n = 0; n < 3; n += 1) await it.page.keyboard.press('ArrowRight');
      await press(key('add'));
      await until('there is one more', () => score().parts.length === count + 1);
      await until('it is chosen', () => it.page.locator('.timeline-part.chosen').count());
      await press(it.page.locator('.score-acts button', { hasText: 'Remove' }));
      await until('and gone', () => score().parts.length === count);
      await press(it.page.locator('[data-opens="score name"]'));
      await it.page.locator('.editor input').fill('Last dance');
      await it.page.keyboard.press('Enter');
      await until('it is called otherwise, and open', () => score().name === 'Last dance');
      await it.page.locator('.score-title', { hasText: 'Last dance' }).waitFor();
      assert.deepEqual(it.wrong, []);
    });
  });
}
