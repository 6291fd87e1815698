// The program and a browser, for the page's tests.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { after } from 'node:test';
import { chromium } from 'playwright-core';

const ROOT = resolve(import.meta.dirname, '../..');
const PROGRAM = process.env.LANTHORN ?? join(ROOT, 'target/release/lanthorn');

/** A machine without a graphics card still draws: WebGL in software, slowly. */
const BROWSER_ARGS = [
  '--headless', '--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-gpu',
  '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync',
];

/** What a test that failed left open would keep the run from ending. */
const left = new Set();
after(async () => {
  for (const end of left) await end();
});

/** Runs a command of the program to its end; what it wrote, and how it ended. */
export function run(args, cwd) {
  const { status, stdout, stderr } = spawnSync(PROGRAM, args, { cwd, encoding: 'utf8' });
  return { status, said: stdout + stderr };
}

/**
 * Opens the demo, or `what`; `listen` with port 0 takes any free one. Gives the page's address and a way to end it.
 * `keeps` is a state folder that outlives it.
 */
export async function open(listen = '127.0.0.1:0', what = ['demo'], keeps = null) {
  const state = keeps ?? mkdtempSync(join(tmpdir(), 'lanthorn-state-'));
  const child = spawn(PROGRAM, ['open', ...what, '--listen', listen], {
    cwd: state,
    env: { ...process.env, XDG_STATE_HOME: state },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  left.add(() => child.kill('SIGKILL'));
  let said = '';
  const ended = new Promise((done) => child.once('exit', (code, signal) => done(code ?? signal)));
  const address = new Promise((found, failed) => {
    const hear = (bytes) => {
      said += bytes;
      const line = /http:\/\/\S+/.exec(said);
      if (line) found(line[0]);
    };
    child.stdout.on('data', hear);
    child.stderr.on('data', hear);
    child.once('error', failed);
    ended.then((how) => failed(new Error(`ended with ${how} before it served the page:\n${said}`)));
  });
  const url = await address;
  return {
    url,
    host: new URL(url).host,
    said: () => said,
    async end(signal = 'SIGINT') {
      child.kill(signal);
      const how = await ended;
      if (!keeps) rmSync(state, { recursive: true, force: true });
      return how;
    },
  };
}

/** A browser, with more of its own switches where a test needs them. */
export async function browse(more = []) {
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: [...BROWSER_ARGS, ...more] });
  left.add(() => browser.close());
  return browser;
}

/** A page of a size, which notes what went wrong and what the machine said. */
export async function look(browser, { width, height, touch }) {
  const context = await browser.newContext({ viewport: { width, height }, hasTouch: touch, isMobile: touch });
  const page = await context.newPage();
  const wrong = [];
  const heard = { scene: null, moment: null, answers: [] };
  page.on('console', (message) => message.type() === 'error' && wrong.push(message.text()));
  page.on('pageerror', (error) => wrong.push(error.message));
  page.on('websocket', (socket) =>
    socket.on('framereceived', ({ payload }) => {
      const message = JSON.parse(payload);
      heard[message.type] = message;
      if (message.type === 'said') heard.answers.push(message);
    }),
  );
  return { page, wrong, heard, close: () => context.close() };
}

/** Waits for something to be true, looking often; says what it waited for when it never was. */
export async function until(words, test, ms = 30_000) {
  const give_up = Date.now() + ms;
  for (;;) {
    const value = await test();
    if (value) return value;
    if (Date.now() > give_up) throw new Error(`waited ${ms / 1000} s in vain until ${words}`);
    await new Promise((done) => setTimeout(done, 50));
  }
}

/**
 * Presses what a locator finds, as a finger or a pointer does it; what is drawn on the same processor takes too long for
 * the pointer itself. What was drawn anew between the finding and the press is found again.
 */
export async function press(locator) {
  const pressed = (element) =>
    element.isConnected &&
    (element.dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true, detail: 1 })), true);
  while (!(await locator.evaluate(pressed)));
}

export function distance(a, b) {
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

/** How far a beam's axis passes from a point, metres. */
export function beside(point, head) {
  const to = point.map((value, i) => value - head.from[i]);
  const along = to.reduce((sum, value, i) => sum + value * head.along[i], 0);
  return distance(to, head.along.map((value) => value * along));
}

/** What axe-core finds in the page, or in a part of it. */
export async function axe(page, within = 'html') {
  // The page's own policy lets no script in; the browser's debugger may.
  await page.evaluate(readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8'));
  const { violations } = await page.evaluate((within) => window.axe.run(within, { resultTypes: ['violations'] }), within);
  return violations;
}

/** A pad's step is shown and not part of its name: a name that changes with every beat would be read out with it. */
export const PADS = /^button\[aria-label=|^\.on(\.word)?(\[|$)/;

/**
 * What is in somebody's way: what axe-core calls serious, what is wider than its screen, what a finger of this size misses.
 * `pads` are controls that may show more than they are called.
 */
export async function inTheWay(page, finger, pads = null) {
  const found = (await axe(page)).filter(({ impact }) => impact === 'serious' || impact === 'critical');
  const meant = (id, node) => id === 'label-content-name-mismatch' && pads !== null && pads.test(node.target[0]);
  const serious = found.map(({ id, nodes }) => ({ id, nodes: nodes.filter((node) => !meant(id, node)) })).filter(({ nodes }) => nodes.length > 0);
  const wide = await page.evaluate(() =>
    [document.documentElement, ...document.querySelectorAll('.column, .group-masters, .levels')]
      .map((box) => [box.className || box.tagName, box.scrollWidth - box.clientWidth])
      .filter(([, over]) => over > 0),
  );
  return [
    ...serious.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map((node) => `${node.target} ${node.failureSummary?.split('\n')[1] ?? ''}`).join('; ')}`),
    ...wide.map(([box, over]) => `${box} is too wide by ${over} px`),
    ...(await tooSmall(page, finger)),
  ];
}

/** A hand that has nothing but keys: what has the focus, Tab to something by its words, and Enter on it. */
export function byKeys(page) {
  const press = (key) => page.keyboard.press(key);
  const active = () =>
    page.evaluate(() => {
      const on = document.activeElement;
      if (on === document.body) return '';
      return `${on?.getAttribute('aria-label') ?? ''} ${on?.closest('label')?.textContent ?? on?.textContent ?? ''}`.trim();
    });
  const to = async (pattern) => {
    for (let i = 0; i < 160; i += 1) {
      if (pattern.test(await active())) return;
      await press('Tab');
    }
    throw new Error(`Tab never comes to ${pattern}, and is at ${await active()}`);
  };
  const choose = async (pattern) => {
    await to(pattern);
    await press('Enter');
  };
  return { press, active, to, choose };
}

/**
 * Controls that a finger of this size misses. Asked of the page itself, so that areas enlarged beyond what is drawn
 * count: from the middle outwards, how far is it the same control? Words inside running text and numbers in the
 * picture are left out (the picture itself takes fingers there).
 */
export function tooSmall(page, finger) {
  return page.evaluate((finger) => {
    const same = (control, hit) => hit !== null && (control.contains(hit) || hit.closest('label')?.control === control);
    const reach = (control, x, y, dx, dy) => {
      let far = 0;
      while (far < finger && same(control, document.elementFromPoint(x + dx * far, y + dy * far))) far += 1;
      return far;
    };
    const missed = [];
    for (const control of document.querySelectorAll('button, a, input, [role=slider]')) {
      if (control.closest('.labels') || control.matches('.inline')) continue;
      control.scrollIntoView({ block: 'center' });
      const box = control.getBoundingClientRect();
      if (box.width === 0) continue;
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      const width = Math.max(box.width, reach(control, x, y, -1, 0) + reach(control, x, y, 1, 0));
      const height = Math.max(box.height, reach(control, x, y, 0, -1) + reach(control, x, y, 0, 1));
      const words = `${control.className || control.tagName} "${control.textContent?.trim().slice(0, 30)}"`;
      if (Math.min(width, height) < finger) missed.push(`${words}: ${Math.round(width)} by ${Math.round(height)}`);
    }
    return missed;
  }, finger);
}
