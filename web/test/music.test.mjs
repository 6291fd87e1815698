// Lights that follow the music: a file as the browser's microphone, a MIDI clock, and the hand over both: node --test web/test
import assert from 'node:assert/strict';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { browse, inTheWay, look, open, PADS, press, until } from './lanthorn.mjs';
import { FOUR_PARS, sheet } from './sound.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
const FINGER = 44;
const BPM = 118;
const RATE = 48_000;
/** A show's own: two lights that take turns with the beat, and another two with the bar. */
const SHOW = `${FOUR_PARS}${[1, 2, 3, 4].map((number) => `[[look]]\nname = "light ${number}"\n[[look.part]]\nwho = ${number}\ncolour = "warm white"\nlevel = 1\n`).join('\n')}
[[chase]]
name = "turns"
step_time = "1 beat"
steps = ["light 1", "light 2"]

[[chase]]
name = "bars"
step_time = "1 bar"
calm = true
steps = ["light 3", "light 4"]

[[chase]]
name = "claps"
at_each = "snare"
step_time = "200 ms"
steps = ["light 4"]
`;

/** Drums and a bass, four beats in a bar, as a WAV file of 16 bit. */
function drums(secs) {
  const { strike, kick, snare, hat, wav } = sheet(secs, RATE);
  const beat = 60 / BPM;
  for (let number = 0; number * beat < secs; number += 1) {
    const at = number * beat;
    if (number % 2 === 0) kick(at);
    else snare(at);
    for (const half of [0, beat / 2]) hat(at + half, 0.12);
    const note = [55, 55, 73.4, 65.4][Math.floor(number / 4) % 4];
    strike(at, beat * 0.9, (t) => 0.22 * Math.min(1, t * 80) * Math.exp(-t * 2) * (Math.sin(2 * Math.PI * note * t) + 0.4 * Math.sin(4 * Math.PI * note * t)));
  }
  return wav();
}

/** Opens the panel of the music as a hand does. */
async function openPanel(page, size) {
  if (await page.locator('.music').count()) return;
  if (size.touch) await press(page.locator('.music-word'));
  else await press(page.locator('.foot-facts button', { hasText: 'Music' }));
  await page.locator('.music').waitFor();
}

const key = (page, id) => page.locator(`[data-music=${id}]`);
const button = (page, words) => page.locator('.music button', { hasText: words }).first();

for (const size of [PHONE, LAPTOP]) {
  describe(`the music on ${size.words}`, { timeout: 300_000 }, () => {
    let folder, browser, machine, it;
    before(async () => {
      folder = mkdtempSync(join(tmpdir(), 'lanthorn-music-'));
      // The browser plays it round and round: whole bars, so that the beat goes on over its end.
      writeFileSync(join(folder, 'drums.wav'), drums((32 * 4 * 60) / BPM));
      writeFileSync(join(folder, 'dance.show.toml'), SHOW);
      browser = await browse([
        '--use-fake-device-for-media-stream', `--use-file-for-fake-audio-capture=${join(folder, 'drums.wav')}`, '--use-fake-ui-for-media-stream',
        '--autoplay-policy=no-user-gesture-required',
      ]);
      machine = await open('127.0.0.1:0', [join(folder, 'dance.show.toml')]);
      it = await look(browser, size);
      await it.page.goto(`${machine.url}#tonight`);
      await it.page.locator('body[data-link=up]').waitFor();
      await until('the show is heard', () => it.heard.scene && it.heard.moment);
    });
    after(async () => {
      await browser?.close();
      await machine?.end();
      rmSync(folder, { recursive: true, force: true });
    });
    const music = () => it.heard.moment.music;
    const now = () => it.heard.moment.now;

    test('a microphone is listened to, and the tempo comes to its beat', async () => {
      await openPanel(it.page, size);
      assert.match(music().says, /Nothing is listened to/);
      await press(button(it.page, 'A microphone or line in'));
      await until('it is listened to', () => music().source?.brings === 'sound');
      await until('it is on the beat', () => music().sets, 60_000);
      await until('the tempo is that of the file', () => Math.abs(now().tempo_bpm - BPM) < 1, 30_000);
      await it.page.locator('.music-says', { hasText: 'On the beat' }).waitFor();
      assert.ok(music().level_db > -40 && music().level_db < 0, `${music().level_db} dB`);
      assert.ok(music().delay_ms !== null && music().delay_ms < 1000, `${music().delay_ms} ms`);
    });

    test('chases step with the beat and with the bar', async () => {
      await it.page.evaluate(() => location.reload());
      await it.page.locator('body[data-link=up]').waitFor();
      await until('the page that was shut is missed, and the tempo held', () => music().lost || !music().source, 30_000);
      assert.ok(Math.abs(now().tempo_bpm - BPM) < 1, 'the tempo is held');
      await openPanel(it.page, size);
      await press(button(it.page, 'A microphone or line in'));
      await until('it is on the beat again', () => music().sets, 60_000);
      await press(button(it.page, 'Close the music'));
      if (size.touch) await until('the pads are there', () => it.page.locator('.word').count());
      for (const name of ['Turns', 'Bars']) await press(it.page.locator('.word', { hasText: name }).first());
      await until('both run', () => now().chases.length === 2);
      const seen = [];
      let last = null;
      await until(
        'forty beats have gone by',
        () => {
          const moment = it.heard.moment;
          if (moment !== last) seen.push({ beat: moment.now.beat, bar: moment.music.bar_beats, ...Object.fromEntries(moment.now.chases.map((one) => [one.name, one.step])) });
          last = moment;
          return seen.length > 1 && seen.at(-1).beat - seen[0].beat > 40;
        },
        60_000,
      );
      // Moments come as the page can take them, and bars may be moved once more is heard of them: what counts is each two moments
      // that are less than a beat apart, and neither of them at the turn of one.
      const turn = ({ beat }) => Math.abs(beat - Math.round(beat)) < 0.03;
      const steady = seen.filter((one) => !turn(one));
      const pairs = steady.slice(1).map((one, at) => [steady[at], one]).filter(([one, next]) => next.beat > one.beat && next.beat - one.beat < 0.9 && one.bar === 4 && next.bar === 4);
      const told = (name, beats) =>
        pairs.map(([one, next]) => ({ crossed: Math.floor(one.beat / beats) !== Math.floor(next.beat / beats), stepped: one[name] !== next[name] }));
      for (const [name, beats, least] of [['turns', 1, 15], ['bars', 4, 3]]) {
        const all = told(name, beats);
        const crossed = all.filter((pair) => pair.crossed);
        const wrong = all.filter((pair) => pair.crossed !== pair.stepped);
        assert.ok(crossed.length >= least, `${name}: ${crossed.length} turns were seen`);
        assert.ok(wrong.length <= 0.05 * all.length + 1, `${name}: ${wrong.length} of ${all.length} otherwise than the music`);
      }
    });

    test('a chase answers to the snare, and the music picks looks until a hand does', async () => {
      if (!size.touch) await press(it.page.locator('.word', { hasText: 'Bars' }).first());
      await press(it.page.locator('.word', { hasText: 'Claps' }).first());
      const claps = () => now().chases.find((one) => one.name === 'claps');
      await until('it waits', () => claps()?.waits === true);
      await until('it answers', () => claps()?.waits === false, 20_000);
      await until('and waits again', () => claps()?.waits === true);
      await openPanel(it.page, size);
      await press(key(it.page, 'pick'));
      assert.equal(music().picks, false, 'there is nothing to pick from');
      for (const [mood, name] of [['groove', 'Light 1'], ['groove', 'Light 2'], ['peak', 'Light 2']]) {
        const handle = it.page.locator(`[data-mood=${mood}]`);
        if ((await handle.getAttribute('aria-expanded')) !== 'true') await press(handle);
        await press(it.page.locator(`[aria-label="Looks for ${mood}"] .choice`, { hasText: name }));
        await until(`${name} is among those of ${mood}`, () => it.heard.scene.moods[mood === 'groove' ? 1 : 2].includes(name.toLowerCase()));
      }
      assert.deepEqual(await inTheWay(it.page, FINGER, PADS), []);
      if (process.env.PICTURES) await it.page.screenshot({ path: join(process.env.PICTURES, `music-${size.width}.png`), fullPage: true });
      await press(key(it.page, 'pick'));
      await until('it picks', () => music().picks && ['light 1', 'light 2'].includes(now().look), 30_000);
      await it.page.locator('.music-picks', { hasText: 'the next phrase begins in' }).waitFor();
      const first = now().look;
      await until('the next phrase has another', () => now().look !== first, 40_000);
      assert.equal(music().picks, true);
      await press(button(it.page, 'Close the music'));
      await press(it.page.locator('.word', { hasText: 'Light 3' }).first());
      await until('the hand wins', () => !music().picks && now().look === 'light 3');
      await openPanel(it.page, size);
      await it.page.keyboard.press('p');
      await until('a key lets it pick again', () => music().picks && now().look !== 'light 3', 30_000);
      await it.page.keyboard.press('p');
      await until('and leaves it', () => !music().picks);
    });

    test('the hand wins: hold, follow, half, this is one, earlier, tap, off', async () => {
      await openPanel(it.page, size);
      await press(key(it.page, 'hold'));
      await until('the tempo is in the hand', () => !music().follow && !music().sets);
      await it.page.locator('.music-says', { hasText: 'in your hand' }).waitFor();
      await press(key(it.page, 'hold'));
      await until('it is followed again', () => music().sets, 30_000);
      await press(key(it.page, 'half'));
      await until('lights go at half of it', () => Math.abs(now().tempo_bpm - BPM / 2) < 1 && music().times === 0.5);
      await press(key(it.page, 'double'));
      await until('and at all of it', () => Math.abs(now().tempo_bpm - BPM) < 1);
      await press(key(it.page, 'earlier'));
      await until('steps come earlier', () => Math.round(music().earlier_ms) === 10);
      await it.page.locator('.music-moved', { hasText: '10 ms earlier' }).waitFor();
      await press(key(it.page, 'later'));
      await press(key(it.page, 'one'));
      await until('it is as it was', () => Math.round(music().earlier_ms) === 0);
      await it.page.keyboard.press('h');
      await until('a key does it too', () => !music().follow);
      await it.page.keyboard.press('h');
      await until('and back', () => music().follow);
      assert.deepEqual(await inTheWay(it.page, FINGER, PADS), []);
      const tap = it.page.locator('.music .tap');
      for (let n = 0; n < 4; n += 1) {
        await tap.dispatchEvent('pointerdown', { button: 0 });
        await it.page.waitForTimeout(700);
      }
      await until('taps take it into the hand', () => !music().follow && now().tempo_bpm < 100);
      await press(button(it.page, 'Off'));
      await until('nothing is listened to', () => music().source === null);
      assert.deepEqual(it.wrong, []);
    });

    test('on the words of tonight it is told, and nothing is in the way', async () => {
      await press(button(it.page, 'Close the music'));
      await it.page.locator('.music').waitFor({ state: 'detached' });
      await it.page.locator('.music-word', { hasText: 'nothing is listened to' }).waitFor();
      assert.deepEqual(await inTheWay(it.page, FINGER, PADS), []);
    });
  });
}

describe('a MIDI clock', { timeout: 120_000 }, () => {
  let browser, machine, it;
  before(async () => {
    browser = await browse();
    machine = await open('127.0.0.1:0', ['demo']);
    it = await look(browser, LAPTOP);
    await it.page.addInitScript(() => {
      const input = { id: 'one', name: 'Two Decks', state: 'connected', onmidimessage: null };
      navigator.requestMIDIAccess = async () => ({ inputs: new Map([['one', input]]), outputs: new Map(), onstatechange: null });
      const send = (byte, timeStamp) => input.onmidimessage?.({ data: Uint8Array.of(byte), timeStamp });
      // Ticks as a clock sends them, late by as much as the page is; each says when it came.
      window.clock = (bpm) => {
        const tick = 60_000 / bpm / 24;
        let next = performance.now();
        send(0xfa, next);
        return setInterval(() => {
          for (; next <= performance.now(); next += tick) send(0xf8, next);
        }, 5);
      };
      window.midi = send;
    });
    await it.page.goto(`${machine.url}#tonight`);
    await it.page.locator('body[data-link=up]').waitFor();
    await until('the show is heard', () => it.heard.scene && it.heard.moment);
  });
  after(async () => {
    await browser?.close();
    await machine?.end();
  });
  const music = () => it.heard.moment.music;

  test('is followed from its start, and held when it stops', async () => {
    await openPanel(it.page, LAPTOP);
    await press(button(it.page, 'A MIDI clock'));
    await it.page.locator('.music [role=status]', { hasText: 'Waiting for a clock' }).waitFor();
    const running = await it.page.evaluate(() => window.clock(140));
    await until('it sets the tempo', () => music().sets && music().source?.name === 'Two Decks', 30_000);
    await until('the tempo is its own', () => Math.abs(it.heard.moment.now.tempo_bpm - 140) < 0.5, 30_000);
    assert.equal(music().bar_sure, 1, 'a start says where bars begin');
    await it.page.evaluate(() => window.midi(0xfc, performance.now()));
    await until('it stands', () => !music().sets);
    await it.page.locator('.music-says', { hasText: 'The clock stands' }).waitFor();
    assert.ok(Math.abs(it.heard.moment.now.tempo_bpm - 140) < 0.5, 'held');
    await it.page.evaluate((id) => clearInterval(id), running);
    await until('it is lost', () => music().lost);
    assert.deepEqual(it.wrong, []);
  });
});
