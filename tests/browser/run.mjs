// The browser tests: serves the built page under a folder of its own, opens Chromium, and runs
// every file of checks/. `cargo xtask test --only browser` builds the page first and runs this.
//
// A check exports `{ name, async run({ browser, url, site, report, assert }) }` by default:
//   browser  a Playwright browser; each page of it is watched, see watch()
//   url      where the page is
//   site     the server, for a check that serves versions of its own: see server.mjs
//   report   a folder for what the check wants to leave behind; git ignores it
//   assert   node:assert/strict
//
// A long one may have `seconds` beside its name: how long it may take.
//
// A check fails when it throws, when a page writes an error to its console or throws one, and when
// a page asks for anything from elsewhere. Problems that a check provokes on purpose are those that
// match an expression of its `provokes`, which therefore begin as in watch(). `node run.mjs WORD` runs the checks with WORD in their
// file's name. The last line is always `N passed, N failed`.

import assert from 'node:assert/strict';
import { mkdir, readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import { ARGS, CHROMIUM } from './chromium.mjs';
import { DIST, files as filesOf, start } from './server.mjs';

const HERE = fileURLToPath(new URL('.', import.meta.url));
const CHECKS = join(HERE, 'checks');
const REPORT = join(HERE, 'report');

// Not at the top of the site: this shows that the page needs no folder of a certain name.
const FOLDER = 'somewhere/else';

const CHECK_SECONDS = 120;

/** A browser for one check, each page of which is watched for errors and for foreign requests. */
function watch(browser, url) {
  const origin = new URL(url).origin;
  const problems = [];
  const contexts = [];
  const newContext = async (options) => {
    const context = await browser.newContext(options);
    contexts.push(context);
    context.on('console', (message) => {
      if (message.type() === 'error') {
        problems.push(`console error: ${message.text()} (${message.location().url})`);
      }
    });
    context.on('weberror', (error) => problems.push(`page error: ${error.error().stack}`));
    context.on('request', (request) => {
      const asked = new URL(request.url());
      const local = ['data:', 'blob:', 'about:'].includes(asked.protocol);
      if (!local && asked.origin !== origin) {
        problems.push(`request to elsewhere: ${request.url()}`);
      }
    });
    return context;
  };
  const watched = new Proxy(browser, {
    get(target, key) {
      if (key === 'newContext') return newContext;
      // Playwright's own newPage would make a context that nobody watches.
      if (key === 'newPage') return async (options) => (await newContext(options)).newPage();
      const value = target[key];
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });
  return { watched, problems, contexts };
}

async function withinTime(promise, name, seconds) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(
      () => reject(new Error(`${name}: not done after ${seconds} s`)),
      seconds * 1000,
    );
  });
  try {
    await Promise.race([promise, late]);
  } finally {
    clearTimeout(timer);
  }
}

/** Pictures of all pages that are still open, to see what went wrong. */
async function takePictures(contexts, stem) {
  const pages = contexts.flatMap((context) => context.pages());
  for (const [index, page] of pages.entries()) {
    const file = join(REPORT, `${stem}-${index + 1}.png`);
    try {
      await page.screenshot({ path: file, fullPage: true, timeout: 10_000 });
      console.log(`    picture: tests/browser/report/${stem}-${index + 1}.png`);
    } catch (error) {
      console.log(`    no picture: ${error.message}`);
    }
  }
}

/** Checks that take minutes and look at no clock: they run beside the others. */
const ALONGSIDE = ['monkey.mjs'];

async function runCheck(file, browser, url, site) {
  const stem = file.replace(/\.mjs$/, '');
  const { watched, problems, contexts } = watch(browser, url);
  const begun = performance.now();
  let name = stem;
  let provoked = [];
  try {
    const check = (await import(new URL(`checks/${file}`, import.meta.url).href)).default;
    name = check.name;
    const seconds = check.seconds ?? CHECK_SECONDS;
    provoked = check.provokes ?? [];
    const running = check.run({ browser: watched, url, site, report: REPORT, assert });
    await withinTime(running, name, seconds);
    // What the page does right after the last step belongs to the check too.
    await Promise.all(
      contexts.flatMap((context) => context.pages()).map((page) => page.evaluate(() => 0)),
    );
  } catch (error) {
    problems.unshift(error.stack ?? String(error));
  }
  const seconds = ((performance.now() - begun) / 1000).toFixed(1);
  const left = problems.filter((problem) => !provoked.some((expression) => expression.test(problem)));
  problems.splice(0, Infinity, ...left);
  console.log(`${problems.length === 0 ? 'ok    ' : 'FAILED'}  ${seconds} s  ${name}`);
  for (const problem of problems) console.log(`    ${problem.replaceAll('\n', '\n    ')}`);
  if (problems.length > 0) await takePictures(contexts, stem);
  for (const context of contexts) await context.close().catch(() => {});
  return problems.length === 0;
}

async function main() {
  await stat(join(DIST, 'index.html')).catch(() => {
    throw new Error('there is no page in target/dist: run `cargo xtask build` first');
  });
  await rm(REPORT, { recursive: true, force: true });
  await mkdir(REPORT, { recursive: true });
  const words = process.argv.slice(2);
  const files = (await readdir(CHECKS))
    .filter((file) => file.endsWith('.mjs'))
    .filter((file) => words.length === 0 || words.some((word) => file.includes(word)))
    .sort();
  if (files.length === 0) throw new Error('there is no check to run');

  const site = await start();
  const url = await site.mount(FOLDER, await filesOf(DIST));
  const browser = await chromium.launch({
    executablePath: CHROMIUM,
    args: ARGS,
  });
  let passed = 0;
  try {
    const run = async (file) => {
      if (await runCheck(file, browser, url, site)) passed += 1;
    };
    const alongside = files.filter((file) => ALONGSIDE.includes(file)).map(run);
    for (const file of files) if (!ALONGSIDE.includes(file)) await run(file);
    await Promise.all(alongside);
  } finally {
    await browser.close();
    site.stop();
  }
  return { passed, failed: files.length - passed };
}

let counts;
try {
  counts = await main();
} catch (error) {
  console.log(error.stack ?? String(error));
  counts = { passed: 0, failed: 1 };
}
console.log(`${counts.passed} passed, ${counts.failed} failed`);
process.exitCode = counts.failed === 0 ? 0 : 1;
