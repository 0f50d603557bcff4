// How fast the page starts on a phone and how well it is made: Lighthouse with its mobile preset,
// and a cold start measured under slow 4G. Writes report/lighthouse.json. Only an optimised build
// (`cargo xtask build`) means anything here; `cargo xtask test --only lighthouse` makes it first.
// What is timed is printed; it is judged with --times only, which is for a machine that is not busy.

import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import lighthouse from 'lighthouse';
import { chromium } from 'playwright-core';
import { ARGS, CHROMIUM } from './chromium.mjs';
import puppeteer from 'puppeteer-core';
import { DIST, files, start } from './server.mjs';

const REPORT = fileURLToPath(new URL('./report', import.meta.url));

/** The least that each score may be. */
const LEAST = 95;
/** Whether what is timed is judged. */
const JUDGED = process.argv.includes('--times');
const CATEGORIES = ['performance', 'accessibility', 'best-practices'];
/** Performance is timed, and a busy machine slows it: the median of this many runs counts. */
const RUNS = 3;

/** Slow 4G as Lighthouse defines it for its mobile preset: 1.6 Mbit/s down, 750 kbit/s up, 150 ms. */
const SLOW_4G = {
  offline: false,
  latency: 150,
  downloadThroughput: (1.6 * 1024 * 1024) / 8,
  uploadThroughput: (750 * 1024) / 8,
};
/** The most that a first answer may take on it, in seconds. */
const FIRST_ANSWER = 3;

/**
 * Lighthouse reckons with what came before the first paint on the line that it really has. No line
 * is as fast as one within a machine, on which everything comes before it: 16 Mbit/s.
 */
const GOOD_LINE = 2_000_000;

const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

async function scores(url) {
  const browser = await puppeteer.launch({ executablePath: CHROMIUM, args: ARGS });
  const results = [];
  try {
    for (let i = 0; i < RUNS; i += 1) {
      const page = await browser.newPage();
      const flags = { onlyCategories: CATEGORIES, output: 'json', logLevel: 'error' };
      const { lhr } = await lighthouse(url, flags, undefined, page);
      if (lhr.runtimeError) throw new Error(lhr.runtimeError.message);
      results.push(lhr);
      await page.close();
    }
  } finally {
    await browser.close();
  }
  const score = (lhr, category) => Math.round(lhr.categories[category].score * 100);
  results.sort((a, b) => score(a, 'performance') - score(b, 'performance'));
  const middle = results[Math.floor(RUNS / 2)];
  await writeFile(join(REPORT, 'lighthouse.json'), JSON.stringify(middle, null, 1));
  const failed = [];
  for (const category of CATEGORIES) {
    const all = results.map((lhr) => score(lhr, category));
    console.log(`${category}: ${median(all)} (of ${all.join(', ')})`);
    if (category === 'performance' && !JUDGED) continue;
    if (!(median(all) >= LEAST)) failed.push(`${category} is ${median(all)}, and ${LEAST} is the least`);
  }
  const { audits } = middle;
  for (const id of ['first-contentful-paint', 'largest-contentful-paint', 'speed-index', 'total-blocking-time', 'cumulative-layout-shift']) {
    console.log(`  ${audits[id].title}: ${audits[id].displayValue}`);
  }
  for (const category of CATEGORIES) {
    for (const { id, weight } of middle.categories[category].auditRefs) {
      const { score, title, displayValue = '' } = audits[id];
      if (weight > 0 && score !== null && score < 0.9) console.log(`  below 90: ${title} ${displayValue}`);
    }
  }
  return failed;
}

/** Seconds from the request to the painted first answer, on slow 4G, with nothing kept. */
async function coldStart(url) {
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: ARGS });
  const times = [];
  let sent = 0;
  try {
    for (let i = 0; i < RUNS; i += 1) {
      const context = await browser.newContext({
        viewport: { width: 390, height: 844 },
        hasTouch: true,
        isMobile: true,
        deviceScaleFactor: 2,
      });
      const page = await context.newPage();
      const session = await context.newCDPSession(page);
      await session.send('Network.enable');
      await session.send('Network.emulateNetworkConditions', SLOW_4G);
      sent = 0;
      session.on('Network.loadingFinished', (event) => (sent += event.encodedDataLength));
      await page.addInitScript(() => {
        const watch = new MutationObserver(() => {
          if (document.querySelector('[data-answer]') === null) return;
          watch.disconnect();
          requestAnimationFrame(() => setTimeout(() => (globalThis.answered = performance.now())));
        });
        watch.observe(document, { childList: true, subtree: true });
      });
      await page.goto(url);
      await page.waitForFunction(() => globalThis.answered !== undefined);
      times.push((await page.evaluate(() => globalThis.answered)) / 1000);
      await context.close();
    }
  } finally {
    await browser.close();
  }
  const seconds = times.map((time) => time.toFixed(2)).join(', ');
  console.log(`first answer on slow 4G: ${median(times).toFixed(2)} s (of ${seconds}), ${(sent / 1000).toFixed(0)} kB`);
  return median(times) < FIRST_ANSWER || !JUDGED
    ? []
    : [`the first answer takes ${median(times).toFixed(2)} s, and ${FIRST_ANSWER} s is the most`];
}

await mkdir(REPORT, { recursive: true });
const list = await files(DIST);
const wasm = [...list].find(([name]) => name.endsWith('.wasm'))?.[1];
if (wasm === undefined) throw new Error('there is no page in target/dist: run `cargo xtask build` first');
if (wasm.length > 3_000_000) throw new Error('the page is not optimised: run `cargo xtask build` first');
const failed = [];
for (const [measure, options] of [
  [coldStart, {}],
  [scores, { bytesPerSecond: GOOD_LINE }],
]) {
  const site = await start({ packed: true, ...options });
  try {
    failed.push(...(await measure(await site.mount('somewhere/else', list))));
  } finally {
    site.stop();
  }
}
for (const reason of failed) console.log(`FAILED  ${reason}`);
console.log(failed.length === 0 ? '2 passed, 0 failed' : `${failed.length} failed`);
process.exitCode = failed.length === 0 ? 0 : 1;
