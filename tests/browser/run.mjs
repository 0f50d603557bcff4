// The browser tests: serves the built page under a folder of its own, opens Chromium, and runs
// every file of checks/. `cargo xtask test --only browser` builds the page first and runs this.
//
// A check exports `{ name, async run({ browser, url, report, assert }) }` by default:
//   browser  a Playwright browser; each page of it is watched, see watch()
//   url      where the page is
//   report   a folder for what the check wants to leave behind; git ignores it
//   assert   node:assert/strict
//
// A long one may have `seconds` beside its name: how long it may take.
//
// A check fails when it throws, when a page writes an error to its console or throws one, and when
// a page asks for anything from elsewhere. `node run.mjs WORD` runs the checks with WORD in their
// file's name. The last line is always `N passed, N failed`.

import assert from 'node:assert/strict';
import { createReadStream } from 'node:fs';
import { mkdir, readdir, rm, stat } from 'node:fs/promises';
import { createServer } from 'node:http';
import { extname, join, normalize, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const HERE = fileURLToPath(new URL('.', import.meta.url));
const DIST = join(HERE, '..', '..', 'target', 'dist');
const CHECKS = join(HERE, 'checks');
const REPORT = join(HERE, 'report');

// Not at the top of the site: this shows that the page needs no folder of a certain name.
const FOLDER = '/somewhere/else/';

const CHECK_SECONDS = 120;

const TYPES = {
  '.css': 'text/css; charset=utf-8',
  '.html': 'text/html; charset=utf-8',
  '.ico': 'image/x-icon',
  '.js': 'text/javascript; charset=utf-8',
  '.json': 'application/json',
  '.mjs': 'text/javascript; charset=utf-8',
  '.png': 'image/png',
  '.svg': 'image/svg+xml',
  '.txt': 'text/plain; charset=utf-8',
  '.wasm': 'application/wasm',
  '.webmanifest': 'application/manifest+json',
  '.woff2': 'font/woff2',
};

/** Serves the files of the page on a free port, and nothing else. */
async function serve() {
  const server = createServer(async (request, response) => {
    try {
      const path = decodeURIComponent(new URL(request.url, 'http://localhost').pathname);
      const inside = path.startsWith(FOLDER) ? path.slice(FOLDER.length) || 'index.html' : null;
      const file = inside === null ? null : normalize(join(DIST, inside));
      if (file === null || !file.startsWith(DIST + sep) || !(await stat(file)).isFile()) {
        throw new Error('no such file');
      }
      const type = TYPES[extname(file)] ?? 'application/octet-stream';
      response.writeHead(200, { 'content-type': type, 'cache-control': 'no-store' });
      createReadStream(file).pipe(response);
    } catch {
      response.writeHead(404, { 'content-type': 'text/plain' });
      response.end('There is no such file.\n');
    }
  });
  await new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(0, '127.0.0.1', resolve);
  });
  return { server, url: `http://127.0.0.1:${server.address().port}${FOLDER}` };
}

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

async function runCheck(file, browser, url) {
  const stem = file.replace(/\.mjs$/, '');
  const { watched, problems, contexts } = watch(browser, url);
  const start = performance.now();
  let name = stem;
  try {
    const check = (await import(new URL(`checks/${file}`, import.meta.url).href)).default;
    name = check.name;
    const seconds = check.seconds ?? CHECK_SECONDS;
    await withinTime(check.run({ browser: watched, url, report: REPORT, assert }), name, seconds);
    // What the page does right after the last step belongs to the check too.
    await Promise.all(
      contexts.flatMap((context) => context.pages()).map((page) => page.evaluate(() => 0)),
    );
  } catch (error) {
    problems.unshift(error.stack ?? String(error));
  }
  const seconds = ((performance.now() - start) / 1000).toFixed(1);
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

  const { server, url } = await serve();
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM || '/usr/bin/chromium',
    args: [
      '--headless',
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      // Nothing but the server above can be reached, whatever a page asks for.
      '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1',
    ],
  });
  let passed = 0;
  try {
    for (const file of files) if (await runCheck(file, browser, url)) passed += 1;
  } finally {
    await browser.close();
    server.close();
    server.closeAllConnections();
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
