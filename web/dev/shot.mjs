// Takes pictures of dev/room.html (or PAGE=panels.html) with software WebGL: node dev/shot.mjs OUT.png [WxH] [query] [ms] [script]
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { createServer } from 'vite';

const [out = 'room.png', size = '1440x900', query = '', wait = '4000', script = ''] = process.argv.slice(2);
const [width = 1440, height = 900] = size.split('x').map(Number);
const server = await createServer({ root: join(import.meta.dirname, '..'), configFile: join(import.meta.dirname, '../vite.config.ts'), server: { port: 0, host: '127.0.0.1' }, logLevel: 'error' });
await server.listen();
const { port } = server.httpServer.address();
const profile = mkdtempSync(join(tmpdir(), 'shot-'));
const browser = await chromium.launchPersistentContext(profile, {
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  viewport: { width, height },
  deviceScaleFactor: Number(process.env.DPR ?? 1),
  hasTouch: width < 600,
  args: ['--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-gpu', '--headless', '--no-sandbox', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
try {
  const page = await browser.newPage();
  page.on('console', (m) => console.log(m.type(), m.text().slice(0, 2000)));
  page.on('pageerror', (e) => console.log('page error', e.message));
  await page.goto(`http://127.0.0.1:${port}/dev/${process.env.PAGE ?? "room.html"}?${query}`);
  await page.waitForTimeout(Number(wait));
  if (script) await new Function('page', `return (async () => { ${script} })()`)(page);
  await page.screenshot({ path: out });
  console.log(JSON.stringify(await page.evaluate(() => window.view?.stats())));
} finally {
  await browser.close();
  await server.close();
  rmSync(profile, { recursive: true, force: true });
}
