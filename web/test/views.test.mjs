// Every view of the page at phone and laptop size, in both colours, with the program itself: nothing is shut out from
// anybody, wider than its screen, or missed by a finger: node --test web/test
import assert from 'node:assert/strict';
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { PADS, axe, browse, inTheWay, look, open, press, tooSmall, until } from './lanthorn.mjs';

const PHONE = { words: 'a phone', width: 390, height: 844, touch: true };
const LAPTOP = { words: 'a laptop', width: 1280, height: 800, touch: false };
const FINGER = 44;
/** Pictures of what is tested are kept here, if somebody wants to look at them. */
const PICTURES = process.env.PICTURES;

/** How to come to each view: the stage, and what is pressed there. */
const VIEWS = [
  ['tonight'],
  ['tonight', '.pads-word'],
  ['room'],
  ['room', '.views button:text-is("plan")'],
  ['room', '.views button:text-is("side")'],
  ['room', '.labels [data-of=unit]'],
  ['rig'],
  ['rig', '.light-level .choice:text-is("floor")'],
  ['rig', '.light-head[data-light="1"]'],
  ['rig', '[data-opens="add lights"]'],
  ['rig', 'button:text-is("A light that is not in the list …")'],
  ['rig', '.light-head[data-light="1"]', '.light-making button:text-is("Its channels")', '.chart-channel-head'],
  ['rig', '.light-head[data-light="1"]', '.light-making button:text-is("Try its channels")', '.finder-yes'],
  ['rig', '.set-up-door'],
  ['rig', '.set-up-door', 'button:text-is("Line check")', '.check-light'],
  ['rig', '.sight-door'],
  ['rig', '.sight-door', '.sight-head'],
  ['looks'],
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" name"]'],
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" colour"]'],
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" level"]'],
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" aim"]'],
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" who"]'],
  ['looks', '[aria-label="Change Cake"]', '.making [data-opens$=" more"]'],
  ['looks', '.undo-row button:text-is("History")'],
  ['looks', '[data-opens=keep]'],
  ['looks', '[data-opens="new look"]'],
  ['chases'],
  ['chases', '[aria-label="Change Reel"]', '.making [data-opens$=" step_time"]'],
  ['chases', '[aria-label="Change Reel"]', '.chase-step [data-opens$=" look"]'],
  ['chases', '[data-opens="new chase"]', '.look-choice'],
  ['cues'],
  ['cues', '[aria-label^="Change cue 4"]', '.making [data-opens$=" look"]'],
  ['cues', '[data-opens="new cue"]'],
];

async function picture(page, name) {
  if (!PICTURES) return;
  mkdirSync(PICTURES, { recursive: true });
  await page.screenshot({ path: join(PICTURES, `${name.replaceAll(/[^a-z0-9]+/gi, '-')}.png`) });
}

for (const size of [PHONE, LAPTOP]) {
  for (const theme of ['neutral', 'amber']) {
    test(`every view on ${size.words}, ${theme}, fits, a finger finds all of it, and nobody is shut out`, { timeout: 900_000 }, async () => {
      const browser = await browse();
      const machine = await open('127.0.0.1:0', ['demo']);
      const { page, wrong } = await look(browser, size);
      await page.goto(machine.url);
      await page.evaluate((theme) => localStorage.setItem('lanthorn.theme', theme), theme);
      const complaints = [];
      for (const [stage, ...taps] of VIEWS) {
        const where = [stage, ...taps].join(' ');
        await page.goto('about:blank');
        await page.goto(`${machine.url}#${stage}`);
        await page.locator('body[data-link=up]').waitFor();
        await page.locator('.column > :not([role=status])').first().waitFor();
        for (const selector of taps) {
          const it = page.locator(selector).first();
          // Phones keep some of it behind a word; the rest of it is drawn on the same processor, which a pointer waits for.
          await it.waitFor({ state: 'attached' });
          await press(it);
        }
        assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), theme);
        complaints.push(...(await inTheWay(page, FINGER, stage === 'tonight' && taps.length === 0 ? PADS : null)).map((one) => `${where}: ${one}`));
        await picture(page, `${size.width} ${theme} ${where}`);
      }
      assert.deepEqual([complaints, wrong], [[], []]);
      await browser.close();
      assert.equal(await machine.end(), 0);
    });
  }
}

test('who is not let in yet, and who lets them in, are not shut out', { timeout: 120_000 }, async () => {
  const browser = await browse();
  const machine = await open('127.0.0.1:0', ['demo', '--lan=make', '--everyone-pairs']);
  const code = await until('a code is printed', () => /^code\s+(\w{6})$/m.exec(machine.said())?.[1]);
  for (const size of [PHONE, LAPTOP]) {
    const { page, close } = await look(browser, size);
    await page.goto(machine.url);
    await page.locator('.pairing .pair-code').waitFor();
    assert.deepEqual(await axe(page), []);
    assert.deepEqual(await tooSmall(page, FINGER), []);
    await picture(page, `${size.width} pairing`);
    await close();
  }
  const { page } = await look(browser, LAPTOP);
  await page.goto(`${machine.url}#pair=${code}`);
  await page.locator('body[data-link=up][data-role=make]').waitFor();
  await page.goto(`${machine.url}#rig`);
  for (const size of [LAPTOP, PHONE]) {
    await page.setViewportSize(size);
    await page.locator('.door button').first().waitFor();
    await page.locator('.door').evaluate((element) => element.scrollIntoView());
    assert.deepEqual(await inTheWay(page, FINGER), []);
    await picture(page, `${size.width} door`);
  }
  await browser.close();
  assert.equal(await machine.end(), 0);
});
