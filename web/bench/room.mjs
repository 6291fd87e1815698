// What the picture of the room costs: draw calls, triangles, the page's own time for a frame, bytes allocated.
//   npm --prefix web run bench:room [-- FRAMES [HEADS,HEADS...]]
// Needs the built program (target/release/lanthorn, or LANTHORN=path) and Chromium (CHROMIUM=path).
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createServer } from 'vite';
import { browse, look, open, until } from '../test/lanthorn.mjs';
import { showOf } from './show.mjs';

const FRAMES = Number(process.argv[2] ?? 60);
const HEADS = (process.argv[3] ?? '11,22,60').split(',').map(Number);
const root = join(import.meta.dirname, '..');
// These two give the page a clock of 5 microseconds instead of 100.
const headers = { 'Cross-Origin-Opener-Policy': 'same-origin', 'Cross-Origin-Embedder-Policy': 'require-corp' };
const vite = await createServer({ root, configFile: join(root, 'vite.config.ts'), server: { port: 0, host: '127.0.0.1', headers, watch: null, hmr: false }, logLevel: 'error' });
await vite.listen();
const address = `http://127.0.0.1:${vite.httpServer.address().port}/bench/room.html`;
const folder = mkdtempSync(join(tmpdir(), 'bench-room-'));
const browser = await browse();

/** Plays the show of so many heads in the program and keeps what it tells its page. */
async function recorded(count) {
  const file = join(folder, `${count}.show.toml`);
  writeFileSync(file, showOf(count));
  const machine = await open('127.0.0.1:0', [file, '--fresh', '--start', 'all circle']);
  const page = await look(browser, { width: 400, height: 300, touch: false });
  const moments = [];
  page.page.on('websocket', (socket) => socket.on('framereceived', ({ payload }) => {
    const message = JSON.parse(payload);
    if (message.type === 'moment' && message.lights.length === count) moments.push(message);
  }));
  await page.page.goto(machine.url);
  await until('the lights circle', () => moments.length > 60 && page.heard.scene);
  // The first second is the heads' way there.
  moments.length = 0;
  await until('there is enough of it', () => moments.length >= 90);
  const { scene } = page.heard;
  await page.close();
  await machine.end();
  return { scene, moments };
}

const at = (sorted, part) => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * part))];

async function measured({ scene, moments }, way) {
  const { page, wrong, close } = await look(browser, { width: 400, height: 300, touch: false });
  await page.goto(address);
  await page.waitForFunction(() => window.bench);
  await page.evaluate(([scene, moments, way]) => window.bench.start(scene, moments, way), [scene, moments, way]);
  const run = (frames) => page.evaluate(async (frames) => {
    const out = [];
    for (let i = 0; i < frames; i++) out.push(await window.bench.once());
    return out;
  }, frames);
  await run(12);
  const times = await run(FRAMES);
  const cdp = await page.context().newCDPSession(page);
  await cdp.send('HeapProfiler.enable');
  await cdp.send('HeapProfiler.startSampling', { samplingInterval: 2048, includeObjectsCollectedByMajorGC: true, includeObjectsCollectedByMinorGC: true });
  await run(20);
  const { profile } = await cdp.send('HeapProfiler.stopSampling');
  const bytes = (node) => node.selfSize + node.children.reduce((sum, child) => sum + bytes(child), 0);
  await close();
  if (wrong.length > 0) throw new Error(wrong.join('\n'));
  // A tick in which nothing was drawn is no frame.
  const ms = times.filter((one) => one.drew).map((one) => one.ms).sort((a, b) => a - b);
  const drew = ms.length;
  return {
    draws: Math.max(...times.map((one) => one.drawCalls)),
    triangles: Math.max(...times.map((one) => one.triangles)),
    drew, median: at(ms, 0.5), p95: at(ms, 0.95), bytes: bytes(profile.head) / 20,
  };
}

try {
  console.log(`The picture of the room, ${FRAMES} frames each, every head circling. The page's own time only: the`);
  console.log('graphics are drawn by whatever this machine has and are not timed; frames a second are not measured here.');
  console.log('\n| heads | view | frames | draw calls | triangles | script, median ms | script, p95 ms | allocated, kB a frame |\n| --- | --- | --- | --- | --- | --- | --- | --- |');
  for (const count of HEADS) {
    const show = await recorded(count);
    for (const way of count === 60 ? ['evening', 'plan', 'front'] : ['evening']) {
      const m = await measured(show, way);
      console.log(`| ${count} | ${way} | ${m.drew} | ${m.draws} | ${m.triangles} | ${m.median.toFixed(2)} | ${m.p95.toFixed(2)} | ${(m.bytes / 1000).toFixed(0)} |`);
    }
  }
} finally {
  await browser.close();
  await vite.close();
  rmSync(folder, { recursive: true, force: true });
}
