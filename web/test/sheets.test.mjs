// The page hands out the sheets: to this machine by a plain link, to a paired browser by its token; and a label's code
// leads to its light. node --test web/test/sheets.test.mjs
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { browse, look, open, press, until } from './lanthorn.mjs';

const FINGER = 44;

/** Presses a word under "On paper" and gives the file that comes. */
async function printed(page, words) {
  const link = page.locator('.sheets a', { hasText: words }).first();
  await link.waitFor();
  const [file] = await Promise.all([
    page.waitForEvent('download'),
    press(link),
  ]);
  assert.equal(file.suggestedFilename(), 'sheets.pdf');
  const bytes = readFileSync(await file.path());
  assert.equal(bytes.subarray(0, 5).toString(), '%PDF-');
  return bytes.toString('latin1');
}

const pages = (file) => Number(/\/Type\s*\/Pages[^>]*\/Count (\d+)/.exec(file)?.[1] ?? /\/Count (\d+)[^>]*\/Type\s*\/Pages/.exec(file)?.[1]);
const widths = (file) => [...file.matchAll(/\/MediaBox\s*\[0(?:\.0)? 0(?:\.0)? ([\d.]+)/g)].map(([, width]) => Math.round(Number(width)));

test('sheets are handed out at home and to a paired browser', { timeout: 180_000 }, async () => {
  const browser = await browse();
  const machine = await open();
  try {
    const { page, wrong } = await look(browser, { width: 1280, height: 800, touch: false });
    await page.goto(`${machine.url}#rig`);
    await page.locator('.sheets').waitFor();
    assert.ok(pages(await printed(page, 'all sheets')) >= 12);
    const cues = await printed(page, 'cue sheet');
    assert.ok(pages(cues) <= 3);
    assert.ok(widths(cues).includes(595), 'A4');
    await page.locator('.sheets button', { hasText: 'Letter' }).click();
    assert.ok(widths(await printed(page, 'cue sheet')).includes(612), 'Letter');
    await page.locator('.sheets button', { hasText: 'large print' }).click();
    assert.ok(widths(await printed(page, 'cue sheet')).includes(792), 'large print lies');
    // Drawings and tables are files of their own.
    for (const [file, begins] of [['plan.svg', '<svg'], ['power.csv', 'circuit,']]) {
      const link = page.locator(`.sheets a[href^="sheets/${file}"]`);
      const [got] = await Promise.all([page.waitForEvent('download'), link.evaluate((element) => element.click())]);
      assert.equal(got.suggestedFilename(), file);
      assert.ok(readFileSync(await got.path(), 'utf8').includes(begins), file);
    }
    for (const link of await page.locator('.sheets a').all()) {
      const { height } = await link.boundingBox();
      assert.ok(height >= FINGER, `${await link.textContent()}: ${height} px high`);
    }
    assert.deepEqual(wrong, []);
  } finally {
    await machine.end();
  }
  const guarded = await open('127.0.0.1:0', ['demo', '--lan=look', '--everyone-pairs']);
  try {
    const code = await until('a code is printed', () => /^code\s+(\w{6})$/m.exec(guarded.said())?.[1]);
    const { page } = await look(browser, { width: 390, height: 844, touch: true });
    await page.goto(`${guarded.url}#pair=${code}`);
    await page.locator('body[data-link=up][data-role=look]').waitFor();
    await page.evaluate(() => (location.hash = 'rig'));
    assert.ok(pages(await printed(page, 'labels')) === 1);
  } finally {
    await guarded.end();
    await browser.close();
  }
});

test('a label’s code leads to its light', { timeout: 120_000 }, async () => {
  const browser = await browse();
  const machine = await open();
  try {
    const { page, wrong } = await look(browser, { width: 390, height: 844, touch: true });
    await page.goto(`${machine.url}#light-7`);
    await until('the slip of light 7 is open', async () => (await page.locator('.slip').first().textContent({ timeout: 5000 }).catch(() => ''))?.includes('Light 7'));
    assert.deepEqual(wrong, []);
  } finally {
    await machine.end();
    await browser.close();
  }
});
