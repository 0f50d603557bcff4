// A new version is announced when nobody types, applied when the person agrees, and loses nothing.

import { createHash } from 'node:crypto';
import { answer, field, kept, open, type, until } from '../page.mjs';
import { DIST, files } from '../server.mjs';

/** The page's files as another version: another title, and the service worker's list to match. */
function another(all) {
  const made = new Map(all);
  const html = all.get('index.html').toString().replace('</title>', ' (another)</title>');
  const hash = (text) => `sha256-${createHash('sha256').update(text).digest('base64')}`;
  const worker = all
    .get('sw.js')
    .toString()
    .replace(/VERSION = '\w+'/, "VERSION = 'another'")
    .replace(hash(all.get('index.html')), hash(html));
  return made.set('index.html', Buffer.from(html)).set('sw.js', Buffer.from(worker));
}

const comesBackToFront = (page) =>
  page.evaluate(() => document.dispatchEvent(new Event('visibilitychange', { bubbles: true })));

export default {
  name: 'a new version waits for agreement and loses nothing',
  async run({ browser, site, assert }) {
    const all = await files(DIST);
    const url = await site.mount('update', all);
    const page = await open(browser, url);
    await kept(page);
    const second = await page.context().newPage();
    await second.goto(url);
    await second.waitForSelector('[data-answer]');
    await page.bringToFront();
    let loads = 0;
    page.on('load', () => (loads += 1));
    const strip = page.locator('[data-new-version]');

    // It arrives while a number is half typed: nothing moves.
    await field(page, 'boost_target').click();
    await page.keyboard.press('Control+a');
    await page.keyboard.type('1.', { delay: 15 });
    await site.mount('update', another(all));
    await comesBackToFront(page);
    const waits = () =>
      page.evaluate(async () => (await navigator.serviceWorker.getRegistration()).waiting !== null);
    await until(waits, 'the new version is downloaded');
    await page.waitForTimeout(1500);
    assert.equal(await strip.count(), 0, 'announced while a number was half typed');
    await page.keyboard.type('05', { delay: 15 });
    assert.equal(await field(page, 'boost_target').inputValue(), '1.05');
    await field(page, 'compression_ratio').click();
    await page.waitForTimeout(1000);
    assert.equal(await strip.count(), 0, 'announced while the next field has the keyboard');
    await page.locator('h1').first().click();
    await strip.waitFor();
    const mine = await answer(page);

    // Nobody has agreed: a reload shows the old version, and the new one is announced again.
    await page.waitForTimeout(400);
    await page.reload();
    await strip.waitFor();
    assert.doesNotMatch(await page.title(), /another/);
    assert.equal(await answer(page), mine);

    // What is typed and wrong would be lost: it is not applied.
    loads = 0;
    await type(page, 'compression_ratio', '92');
    await page.locator('[data-act=update]').click();
    await until(async () => /would be lost/.test(await strip.innerText()), 'the reason');
    await page.waitForTimeout(500);
    assert.equal(await field(page, 'compression_ratio').inputValue(), '92');
    assert.equal(loads, 0, 'applied although something would be lost');

    // Mended and agreed: one load, the new version, and everything is there, to the last key.
    await page.locator('[data-error-of="compression_ratio"] button').click();
    await type(page, 'boost_target', '1.1');
    const last = await answer(page);
    await page.locator('[data-act=update]').click();
    await until(async () => /another/.test(await page.title()), 'the new version');
    await page.waitForSelector('[data-answer]');
    assert.equal(await answer(page), last);
    assert.match(await field(page, 'boost_target').inputValue(), /^1\.1/);
    await page.waitForTimeout(700);
    assert.equal(loads, 1, 'loaded more than once');
    assert.equal(await strip.count(), 0, 'still announced');
    assert.equal((await page.evaluate(() => caches.keys())).length, 1, 'the old version is still kept');

    // The other tab was not torn away from what was done there; it is told.
    assert.doesNotMatch(await second.title(), /another/);
    await second.locator('[data-new-version]').waitFor();
    await second.locator('[data-act=update]').click();
    await until(async () => /another/.test(await second.title()), 'the other tab follows');
  },
};
