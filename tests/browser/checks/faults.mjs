// When the program cannot start, or the browser lacks something, the page says so and what to do.

import { answer } from '../page.mjs';

const told = (page) => page.locator('[data-not-started]');

/** A fresh page that keeps no service worker: it would serve what a check takes away. */
async function bare(browser) {
  const context = await browser.newContext({ serviceWorkers: 'block' });
  return context.newPage();
}

export default {
  name: 'a program that cannot start is told, with a remedy',
  provokes: [/^console error: /, /^page error: /],
  async run({ browser, url, assert }) {
    for (const off of [
      () => delete globalThis.WebAssembly,
      () => {
        // As an engine that is too old for the program.
        const refuse = async () => {
          throw new WebAssembly.CompileError('invalid opcode 0xfc');
        };
        WebAssembly.instantiate = refuse;
        WebAssembly.instantiateStreaming = refuse;
      },
    ]) {
      const page = await bare(browser);
      await page.addInitScript(off);
      await page.goto(url);
      await told(page).waitFor();
      assert.match(await told(page).innerText(), /WebAssembly.*does not offer.*Update the browser/s);
      assert.equal(await page.locator('[data-answer]').count(), 0);
    }

    for (const [files, act] of [
      ['**/*.wasm', (route) => route.abort('blockedbyclient')],
      ['**/*.wasm', (route) => route.fulfill({ status: 200, contentType: 'text/html', body: '<p>Sign in</p>' })],
      ['**/*.wasm', (route) => route.fulfill({ status: 404, body: '' })],
      ['**/airpath-web*.js', (route) => route.abort('connectionfailed')],
    ]) {
      const page = await bare(browser);
      await page.route(files, act);
      await page.goto(url);
      await told(page).waitFor();
      assert.match(await told(page).innerText(), /did not arrive.*connection.*blocks/s);
      // The remedy is one: once it is let through, the link loads the page.
      await page.unroute(files);
      await told(page).locator('a').click();
      await page.waitForSelector('[data-answer]');
      assert.match(await answer(page), /kW/);
      assert.equal(await told(page).count(), 0);
    }

    // A browser without service workers loses nothing but the page without a connection.
    const page = await bare(browser);
    await page.addInitScript(() =>
      Object.defineProperty(Navigator.prototype, 'serviceWorker', { get: () => undefined }),
    );
    await page.goto(url);
    await page.waitForSelector('[data-answer]');
    await page.locator('[data-place="builds"]').first().click();
    assert.match(await page.locator('[data-without-connection]').innerText(), /only with a connection.*https/s);
  },
};
