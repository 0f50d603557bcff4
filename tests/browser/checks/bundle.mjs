// The page as one file, opened from a disk with nothing beside it, does everything.

import { copyFile, mkdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { answer, colours, field, go, open, type, until } from '../page.mjs';

const FILE = fileURLToPath(new URL('../../../target/airpath.html', import.meta.url));

export default {
  name: 'the page as one file, from a disk',
  provokes: [/^request to elsewhere: file:\/\/\/[^ ]*\/one-file\/airpath\.html(\?fresh)?$/],
  async run({ browser, report, assert }) {
    const folder = join(report, 'one-file');
    await mkdir(folder, { recursive: true });
    const file = join(folder, 'airpath.html');
    await copyFile(FILE, file).catch(() => {
      throw new Error('there is no target/airpath.html: run `cargo xtask bundle --no-build` first');
    });
    const html = await readFile(file, 'utf8');
    console.log(`    one file: ${(html.length / 1000).toFixed(0)} kB`);
    assert.match(html, /Content-Security-Policy" content="default-src 'none'.*connect-src 'none'/);

    const address = pathToFileURL(file).href;
    const page = await open(browser, address);
    const before = await answer(page);
    for (const plot of ['map', 'traces']) {
      await page.locator(`[data-plot="${plot}"]`).first().scrollIntoViewIfNeeded();
      await until(async () => (await colours(page, plot)) > 8, `the plot “${plot}” is drawn`);
    }
    await type(page, 'boost_target', '0.9');
    await until(async () => (await answer(page)) !== before, 'an edit changes the answer');
    await page.keyboard.press('Tab');
    const mine = await answer(page);

    await page.locator('[data-opens]:visible').first().click();
    await page.locator('.working h2').waitFor();
    await page.keyboard.press('Escape');
    for (const place of ['learn', 'builds', 'match']) {
      await go(page, place);
      if (place === 'builds') {
        assert.match(await page.locator('[data-without-connection]').innerText(), /needs no connection/);
      }
    }
    // What is done beside the page elsewhere, a page from a disk does itself.
    await go(page, 'choose');
    await page.locator('[data-act="screen"]').click();
    await page.locator('[data-screened]').waitFor({ timeout: 60_000 });
    assert.match(await page.locator('[data-screened]').innerText(), /\d+ of \d+ hold every limit/);
    await go(page, 'sheets');
    assert.match(await page.locator('.sheet .code').innerText(), /no link leads to it/);
    await go(page, 'match');

    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.locator('[data-act=export]').first().click(),
    ]);
    const text = await readFile(await download.path(), 'utf8');
    assert.equal(JSON.parse(text).airpath_build, 1);

    await page.waitForTimeout(700);
    await page.reload();
    await page.waitForSelector('[data-answer]');
    assert.equal(await answer(page), mine, 'the reload lost the build');
    assert.match(await field(page, 'boost_target').inputValue(), /^0\.9/);
    await page.locator('[data-act=example]').first().click();
    await until(async () => (await answer(page)) === before, 'the example again');
    await page.locator('[data-import]').setInputFiles({ name: 'build.json', mimeType: 'application/json', buffer: Buffer.from(text) });
    await until(async () => (await answer(page)) === mine, 'the build from its file');
  },
};
