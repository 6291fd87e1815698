// The pairing screen in a real browser, at phone size: node --test web/test
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { browse, look, open, tooSmall, until } from './lanthorn.mjs';

const PHONE = { width: 390, height: 844, touch: true };
const LAPTOP = { width: 1440, height: 900, touch: false };
const FINGER = 44;
/** Pictures of what is tested are kept here, if somebody wants to look at them. */
const PICTURES = process.env.PICTURES;

// Everybody pairs, this machine's own browser too: so the test needs no network.
describe('a phone that is not paired', () => {
  let browser, machine, laptop, phone, code;
  const codes = () => laptop.heard.door?.codes ?? [];
  const picture = async (page, name) => PICTURES && (await page.screenshot({ path: `${PICTURES}/${name}.png` }));

  async function typeCode(page, text) {
    await page.locator('.pair-code').fill(text);
    await page.locator('.pair-key').click();
  }

  before(async () => {
    browser = await browse();
    machine = await open('127.0.0.1:0', ['demo', '--lan=make', '--everyone-pairs']);
    const first = await until('a code is printed', () => /^code\s+(\w{6})$/m.exec(machine.said())?.[1]);
    laptop = await look(browser, LAPTOP);
    await laptop.page.goto(`${machine.url}#pair=${first}`);
    await laptop.page.locator('body[data-link=up][data-role=make]').waitFor();
    assert.ok(!laptop.page.url().includes('pair='), 'the code does not stay in the address');
    phone = await look(browser, PHONE);
    await phone.page.goto(machine.url);
  });
  after(async () => {
    await browser?.close();
    assert.equal(await machine?.end(), 0, 'Ctrl-C ends it well');
  });

  test('sees a place for the code, and nothing of the show', async () => {
    const { page, heard } = phone;
    await page.locator('.pairing .pair-code').waitFor();
    assert.equal(await page.locator('canvas, .stops, nav').count(), 0);
    assert.deepEqual([heard.scene, heard.moment], [null, null]);
    const sizes = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    assert.ok(sizes[0] <= sizes[1], `wider than the screen: ${sizes}`);
    assert.deepEqual(await tooSmall(page, FINGER), []);
    await picture(page, 'pairing-phone');
  });

  test('is told that a code is wrong', async () => {
    await typeCode(phone.page, 'AAAAAA');
    await phone.page.locator('.pair-says:text("opens nothing")').waitFor();
    await picture(phone.page, 'pairing-wrong');
  });

  test('is let in by the code of the laptop, and opens on Tonight', async () => {
    await laptop.page.locator('nav[aria-label=Stages] a[href="#rig"]').click();
    await laptop.page.locator('.door button:text("new code to look")').click();
    code = await until('there is a code to look', () => codes().find((one) => one.role === 'look')?.code);
    await laptop.page.locator('.door-qr').first().waitFor();
    await laptop.page.locator('.door').evaluate((element) => element.scrollIntoView());
    await picture(laptop.page, 'pairing-laptop');
    await phone.page.locator('.pairing label:nth-of-type(2) input').fill('Ann’s phone');
    await typeCode(phone.page, `${code.slice(0, 3).toLowerCase()} ${code.slice(3)}`);
    await phone.page.locator('body[data-link=up][data-stage=tonight][data-role=look]').waitFor();
    await until('the laptop sees it', () => laptop.heard.door.paired.some((one) => one.name === 'Ann’s phone' && one.here));
  });

  test('who looks sees what is on and finds no key', async () => {
    const { page } = phone;
    await page.locator('.tonight .words').waitFor();
    for (const key of ['.stops', '.go', '.back', '.levels']) {
      assert.equal(await page.locator(key).first().isVisible(), false, key);
    }
    const before = phone.heard.moment.now.blackout;
    await page.keyboard.press('b');
    const at = phone.heard.moment.time_s;
    await until('a second has gone', () => phone.heard.moment.time_s > at + 1);
    assert.equal(phone.heard.moment.now.blackout, before);
    await picture(page, 'pairing-look');
  });

  test('a drop of the network does not un-pair', async () => {
    await phone.page.reload();
    await phone.page.locator('body[data-link=up][data-role=look]').waitFor();
    assert.equal(await phone.page.locator('.pairing').count(), 0);
  });

  test('is sent away from the laptop, and says so', async () => {
    await laptop.page.locator('button[aria-label="Send away Ann’s phone"]').click();
    await phone.page.locator('.pairing .pair-says:text("was sent away")').waitFor();
    // It knocks again by itself meanwhile.
    await phone.page.waitForTimeout(2500);
    assert.match(await phone.page.locator('.pair-says').innerText(), /was sent away/);
    assert.equal(await phone.page.evaluate(() => localStorage.getItem('lanthorn.token')), null);
    await picture(phone.page, 'pairing-away');
  });

  test('runs the show with the code to run', async () => {
    await laptop.page.locator('.door button:text("new code to run")').click();
    code = await until('there is a code to run', () => codes().find((one) => one.role === 'run')?.code);
    await phone.page.goto('about:blank');
    await phone.page.goto(`${machine.url}#pair=${code}`);
    await phone.page.locator('body[data-link=up][data-stage=tonight][data-role=run]').waitFor();
    await phone.page.locator('.pill:text("Blackout")').click();
    await until('the lights are out', () => phone.heard.moment.now.blackout);
    await picture(phone.page, 'pairing-run');
  });

  test('nothing that the page does is against its policy', () => {
    assert.deepEqual([...laptop.wrong, ...phone.wrong], []);
  });
});
