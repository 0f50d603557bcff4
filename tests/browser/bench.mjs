// How long the page takes, in Chromium: `cargo xtask bench --only page` builds the page and the
// native program and runs this: `node bench.mjs NATIVE RESULTS.json`.
//
// The page solves the same builds as the native program, taking turns in one run, so that the ratio
// of the two survives a busy machine. Times come from the page's own performance measures; it is
// served cross-origin isolated, which makes the browser's clock count in 5 µs instead of 100 µs.
// Nothing here is judged.

import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { createReadStream } from 'node:fs';
import { stat, writeFile } from 'node:fs/promises';
import { createServer } from 'node:http';
import { extname, join, normalize, sep } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import { ARGS, CHROMIUM } from './chromium.mjs';
import { DESKTOP, PHONE, answer, field, number, type, until } from './page.mjs';

const DIST = join(fileURLToPath(new URL('.', import.meta.url)), '..', '..', 'target', 'dist');
const TYPES = {
  '.css': 'text/css; charset=utf-8',
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.wasm': 'application/wasm',
};

// With the example's 1,000 rev/min at the bottom this makes 120 speeds 50 rev/min apart.
const REDLINE = '6950';
const SPEEDS = 120;
const MEASURES = ['solve', 'draw', 'input to paint'];
const ROUNDS = 10;
const EDITS = 20;
const EDITS_SLOWED = 60;
const EDITS_LONG = 300;
const LOADS = 5;
const SLOWER = 4;

function summary(times) {
  const sorted = [...times].sort((a, b) => a - b);
  assert.ok(sorted.length > 0, 'nothing was measured');
  const at = (share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return { median: at(0.5), p95: at(0.95), least: sorted[0], most: sorted.at(-1), count: sorted.length };
}

const median = (times) => summary(times).median;

/** Serves the page on a free port, isolated from other origins. */
async function serve() {
  const server = createServer(async (request, response) => {
    try {
      const path = new URL(request.url, 'http://localhost').pathname;
      const file = normalize(join(DIST, path === '/' ? 'index.html' : path));
      if (!file.startsWith(DIST + sep) || !(await stat(file)).isFile()) throw new Error('no file');
      response.writeHead(200, {
        'content-type': TYPES[extname(file)] ?? 'application/octet-stream',
        'cache-control': 'no-store',
        'cross-origin-opener-policy': 'same-origin',
        'cross-origin-embedder-policy': 'require-corp',
      });
      createReadStream(file).pipe(response);
    } catch {
      response.writeHead(404);
      response.end();
    }
  });
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  return { server, url: `http://127.0.0.1:${server.address().port}/` };
}

/** The native program: give it edits, get milliseconds and kW. */
function startNative(program) {
  const child = spawn(program, { stdio: ['pipe', 'pipe', 'inherit'] });
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]();
  return {
    async solve(edits) {
      child.stdin.write(`${SPEEDS}\t${edits.join('\t')}\n`);
      const { value, done } = await lines.next();
      assert.ok(!done, 'the native program stopped');
      const [time, power] = value.split(' ').map(Number);
      return { time, power };
    },
    stop: () => child.stdin.end(),
  };
}

/** Opens the page, keeping hold of what is measured and of the program's memory. */
async function open(browser, url, options = {}) {
  const context = await browser.newContext({ viewport: DESKTOP, ...options });
  const page = await context.newPage();
  await page.addInitScript(() => {
    const watched = { memory: null, drawn: [], shown: [] };
    globalThis.watched = watched;
    for (const name of ['instantiate', 'instantiateStreaming']) {
      const original = WebAssembly[name].bind(WebAssembly);
      WebAssembly[name] = async (...rest) => {
        const made = await original(...rest);
        watched.memory ??= (made.instance ?? made).exports.memory;
        return made;
      };
    }
    // From the moment the browser received the key: to the end of the last drawing that came of it,
    // and to when the browser has handed on the frame, which waits for the screen's refresh.
    addEventListener('input', (event) => {
      const from = event.timeStamp;
      requestAnimationFrame(() => {
        const after = new MessageChannel();
        after.port1.onmessage = () => {
          watched.shown.push(performance.now() - from);
          const drawn = performance.getEntriesByName('airpath: draw').at(-1);
          if (drawn !== undefined && drawn.startTime > from) {
            watched.drawn.push(drawn.startTime + drawn.duration - from);
          }
        };
        after.port2.postMessage(null);
      });
    }, true);
  });
  await page.goto(url);
  await page.waitForSelector('[data-answer]');
  assert.ok(await page.evaluate(() => crossOriginIsolated), 'the clock is coarse');
  return page;
}

const frames = (page) =>
  page.evaluate(
    () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done)))),
  );

const forget = (page) =>
  page.evaluate(() => {
    performance.clearMeasures();
    globalThis.watched.drawn = [];
    globalThis.watched.shown = [];
  });

/** The last digit of a boost of 1.1x bar, so that one key makes one edit. */
async function editBoost(page, digit) {
  await page.keyboard.press('Shift+ArrowLeft');
  await page.keyboard.press(String(digit));
  await frames(page);
}

const boost = (digit) => `1.1${digit}`;

async function begin(page) {
  if (await page.locator('[data-part="goal"]:visible').count()) {
    const tab = page.locator('[data-part="goal"]').first();
    if (!(await field(page, 'boost_target').isVisible())) await tab.tap();
  }
  await field(page, 'boost_target').click();
  await page.keyboard.press('Control+a');
  await page.keyboard.type(boost(0), { delay: 20 });
  await frames(page);
}

const durations = (page, what) =>
  page.evaluate(
    (name) => performance.getEntriesByName(name).map((entry) => entry.duration),
    `airpath: ${what}`,
  );

async function collect(page, times) {
  for (const what of MEASURES) (times[what] ??= []).push(...(await durations(page, what)));
  const watched = await page.evaluate(() => globalThis.watched);
  (times['key to drawn'] ??= []).push(...watched.drawn);
  (times['key to shown'] ??= []).push(...watched.shown);
}

const summaries = (times) =>
  Object.fromEntries(Object.entries(times).map(([what, list]) => [what, summary(list)]));

async function memory(page, session) {
  await session.send('HeapProfiler.collectGarbage');
  const { usedSize } = await session.send('Runtime.getHeapUsage');
  const wasm = await page.evaluate(() => globalThis.watched.memory.buffer.byteLength);
  return { script: usedSize, wasm };
}

/** Page and native program in turns, on the same builds. */
async function desktop(browser, url, native) {
  const page = await open(browser, url);
  await type(page, 'redline', REDLINE);
  await begin(page);
  const times = {};
  const rounds = [];
  const natively = [];
  for (let round = 0; round <= ROUNDS; round += 1) {
    const own = [];
    await forget(page);
    for (let i = 0; i < EDITS; i += 1) {
      const digit = (i + 1) % 10;
      const fields = [`redline=${REDLINE} rev/min`, `boost_target=${boost(digit)} bar`];
      const found = await native.solve(fields);
      own.push(found.time);
      await editBoost(page, digit);
      if (i % 10 !== 3) continue;
      // Both solve the same build, or the ratio means nothing.
      const shown = async () => number(await answer(page), 'kW');
      await until(async () => Math.abs((await shown()) - found.power) < 1, `${found.power} kW`);
    }
    // The browser compiles while the first round runs.
    if (round === 0) continue;
    const solved = await durations(page, 'solve');
    assert.equal(solved.length, EDITS, 'each key makes one edit');
    rounds.push(median(solved) / median(own));
    natively.push(...own);
    await collect(page, times);
  }
  await page.context().close();
  return {
    page: summaries(times),
    native: summary(natively),
    ratio: median(times.solve) / median(natively),
    ratios: summary(rounds),
  };
}

/** The page alone, with the processor slowed. */
async function slowed(browser, url, options) {
  const page = await open(browser, url, options);
  if (!options.isMobile) await type(page, 'redline', REDLINE);
  const session = await page.context().newCDPSession(page);
  await begin(page);
  await session.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
  for (let i = 1; i <= 10; i += 1) await editBoost(page, i % 10);
  await forget(page);
  for (let i = 1; i <= EDITS_SLOWED; i += 1) await editBoost(page, i % 10);
  const times = {};
  await collect(page, times);
  await page.context().close();
  return summaries(times);
}

/** From the start of the navigation to the first answer, its first solve among it. */
async function loads(browser, url) {
  const [solves, answers, traces] = [[], [], []];
  for (let i = 0; i < LOADS; i += 1) {
    const page = await open(browser, url);
    const entry = await page.evaluate(() => {
      const { startTime, duration } = performance.getEntriesByName('airpath: solve')[0];
      return { duration, end: startTime + duration };
    });
    solves.push(entry.duration);
    answers.push(entry.end);
    traces.push(...(await durations(page, 'trace map')));
    await page.context().close();
  }
  return {
    'first solve': summary(solves),
    'opened to first answer': summary(answers),
    'first trace of the map': summary(traces),
  };
}

/** Tracing the map: another turbocharger each time. */
async function traces(browser, url) {
  const page = await open(browser, url);
  const choice = field(page, 'turbocharger');
  const values = await choice.locator('option').evaluateAll((list) => list.map((o) => o.value));
  await forget(page);
  for (const value of [...values, ...values]) {
    await choice.selectOption(value);
    await frames(page);
  }
  const times = await durations(page, 'trace map');
  await page.context().close();
  return { 'trace map': summary(times) };
}

/** Memory when opened and after many edits. */
async function remember(browser, url) {
  const page = await open(browser, url);
  const session = await page.context().newCDPSession(page);
  await begin(page);
  const opened = await memory(page, session);
  for (let i = 1; i <= EDITS_LONG; i += 1) await editBoost(page, i % 10);
  const later = await memory(page, session);
  await page.context().close();
  return { opened, later, edits: EDITS_LONG };
}

const [program, results] = process.argv.slice(2);
assert.ok(results !== undefined, 'usage: node bench.mjs NATIVE RESULTS.json');
await stat(join(DIST, 'index.html'));
const { server, url } = await serve();
const native = startNative(program);
const browser = await chromium.launch({
  executablePath: CHROMIUM,
  args: ARGS,
});
try {
  const found = { chromium: browser.version(), speeds: SPEEDS, slower: SLOWER };
  for (const [name, measure] of [
    ['loads', () => loads(browser, url)],
    ['desktop', () => desktop(browser, url, native)],
    ['desktop slowed', () => slowed(browser, url, {})],
    ['phone slowed', () => slowed(browser, url, PHONE)],
    ['traces', () => traces(browser, url)],
    ['memory', () => remember(browser, url)],
  ]) {
    console.log(`  ${name} …`);
    found[name] = await measure();
  }
  await writeFile(results, `${JSON.stringify(found, null, 1)}\n`);
} finally {
  await browser.close();
  native.stop();
  server.close();
  server.closeAllConnections();
}
