// Storage that is full, forbidden, damaged, older or newer: each is told with a way out, and
// nothing that was kept is lost. A reload in the middle of an edit loses nothing.

import { readFile } from 'node:fs/promises';
import { answer, field, go, open, type, until } from '../page.mjs';

const ENTRY = 'airpath.kept.';
const notice = (page) => page.locator('[data-notice]').innerText();

/** A page whose storage holds these texts before it opens. Given as the browser holds them. */
async function with_storage(browser, url, items, check = true) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 } });
  const page = await context.newPage();
  // The first visit only, so that a reload finds what the page left.
  await page.addInitScript((items) => {
    if (sessionStorage.getItem('set')) return;
    sessionStorage.setItem('set', 'yes');
    for (const [key, value] of items) localStorage.setItem(key, value);
  }, items);
  await page.goto(url);
  if (check) await page.waitForSelector('[data-answer]');
  return page;
}

const stored = (page) => page.evaluate(() => Object.fromEntries(Object.entries(localStorage)));

const OLD_FILE = JSON.stringify({
  airpath_build: 1, name: 'From long ago', turbocharger: 'rowan', housing_a_over_r: 0.83,
  fields: { displacement: '1.9 litre', boost_target: '1.1 bar' },
});

export default {
  name: 'storage full, forbidden, damaged, older, newer: told, and nothing is lost',
  async run({ browser, url, assert }) {
    // A reload in the middle of typing, before the pause after which it is kept.
    {
      const page = await open(browser, url);
      await field(page, 'displacement').click();
      await page.keyboard.press('Control+a');
      await page.keyboard.type('1.7');
      await page.reload();
      await page.waitForSelector('[data-answer]');
      assert.equal(await field(page, 'displacement').inputValue(), '1.7');
    }
    // The first schema: one build under one key, kept as a JSON string.
    {
      const page = await with_storage(browser, url, [['airpath.build', JSON.stringify(OLD_FILE)], ['airpath.build.unread', JSON.stringify('{"broken')]]);
      assert.equal(await field(page, 'name').inputValue(), 'From long ago');
      assert.match(await field(page, 'displacement').inputValue(), /^1\.9/);
      const now = await stored(page);
      assert.equal(now['airpath.build'], undefined, 'the old key is still there');
      const entries = Object.entries(now).filter(([key]) => key.startsWith(ENTRY));
      assert.equal(entries.length, 2);
      assert.ok(entries.some(([, text]) => JSON.parse(text).includes('{"broken')), 'what was unread is gone');
      await go(page, 'builds');
      assert.match(await page.locator('.builds').innerText(), /Cannot be read/);
      await page.reload();
      await page.waitForSelector('[data-answer]');
      assert.equal(await field(page, 'name').inputValue(), 'From long ago');
    }
    // Damaged entries are listed, go out as they are, and go only when asked.
    {
      const texts = ['rubbish', JSON.stringify('airpath-kept 1 1 5 0.1.0 -\n{"airpath_build": 1'), '"airpath-kept 1 x"'];
      const page = await with_storage(browser, url, texts.map((text, at) => [`${ENTRY}bad${at}`, text]));
      assert.equal(await field(page, 'name').inputValue(), 'Hill-climb 2.2');
      await go(page, 'builds');
      const rows = page.locator('.builds li');
      assert.equal(await rows.count(), 3);
      const bad = page.locator('[data-build=bad0]');
      const [download] = await Promise.all([page.waitForEvent('download'), bad.locator('[data-do=export]').click()]);
      assert.equal(await readFile(await download.path(), 'utf8'), 'rubbish');
      // They are in the one file too.
      const [all] = await Promise.all([page.waitForEvent('download'), page.locator('[data-do=export-all]').click()]);
      const file = JSON.parse(await readFile(await all.path(), 'utf8'));
      assert.equal(file.builds.filter((b) => b.as_it_is !== undefined).length, 3);
      await bad.locator('[data-do=delete]').click();
      assert.equal(await rows.count(), 2);
      await page.locator('[data-deleted] button').click();
      await until(async () => (await rows.count()) === 3, 'the damaged entry brought back');
    }
    // The open one damaged: the example stands, and it is told where the other is.
    {
      const page = await with_storage(browser, url, [['airpath.builds', '"1 mine"'], [`${ENTRY}mine`, '"airpath-kept 1 1 5 0.1.0 -\\n{}"']]);
      assert.match(await notice(page), /cannot be read.*Builds lists it/s);
    }
    // An entry of a newer schema is left as it is.
    {
      const newer = JSON.stringify('airpath-kept 7 unheard of\n{}');
      const page = await with_storage(browser, url, [['airpath.builds', '"1 new"'], [`${ENTRY}new`, newer]]);
      assert.match(await notice(page), /newer version/);
      await type(page, 'stroke', '91');
      await page.keyboard.press('Tab');
      await go(page, 'builds');
      const row = page.locator('[data-build=new]');
      assert.match(await row.innerText(), /newer version of this page/);
      assert.equal(await row.locator('[data-do=delete]').count(), 0);
      const [download] = await Promise.all([page.waitForEvent('download'), row.locator('[data-do=export]').click()]);
      assert.equal(await readFile(await download.path(), 'utf8'), JSON.parse(newer));
      assert.equal((await stored(page))[`${ENTRY}new`], newer, 'the newer entry was touched');
    }
    // The whole of a newer schema: nothing is written, and that is told with the way out.
    {
      const page = await with_storage(browser, url, [['airpath.builds', '"2 whatever"'], [`${ENTRY}x`, '"airpath-kept 2 x"']]);
      assert.match(await notice(page), /newer version of this page keeps its builds/);
      const before = await stored(page);
      await type(page, 'stroke', '91');
      await page.waitForTimeout(600);
      assert.deepEqual(await stored(page), before, 'something was written over a newer schema');
      assert.equal(await page.locator('[data-notice] [data-offer]').count(), 1);
    }
    // Full: what fits no more is told once, the build goes out as a file, and what was kept stays.
    {
      const page = await open(browser, url);
      await type(page, 'displacement', '1.8');
      await page.waitForTimeout(500);
      const kept = Object.entries(await stored(page)).filter(([key]) => key.startsWith(ENTRY));
      assert.equal(kept.length, 1);
      await page.evaluate(() => {
        let piece = 'x'.repeat(1 << 20);
        for (let at = 0; piece.length > 0; ) {
          try {
            localStorage.setItem(`fill${at}`, piece);
            at += 1;
          } catch {
            piece = piece.slice(0, piece.length >> 1);
          }
        }
      });
      await type(page, 'name', 'A much longer name than there was, so that it takes more room');
      await page.locator('[data-notice]').waitFor();
      assert.match(await notice(page), /storage for the page is full/);
      const after = await stored(page);
      assert.equal(after[kept[0][0]], kept[0][1], 'what was kept is gone');
      const [download] = await Promise.all([page.waitForEvent('download'), page.locator('[data-notice] [data-offer]').click()]);
      const file = JSON.parse(await readFile(await download.path(), 'utf8'));
      assert.match(file.name, /^A much longer/);
      assert.equal(file.fields.displacement, '1.8 litre');
      // Told once, not at every key.
      await page.locator('[data-notice] button', { hasText: 'Close' }).click();
      await type(page, 'stroke', '92');
      await page.waitForTimeout(500);
      assert.equal(await page.locator('[data-notice]').count(), 0, 'told again');
      // With room again it is kept without a word.
      await page.evaluate(() => Object.keys(localStorage).filter((k) => k.startsWith('fill')).forEach((k) => localStorage.removeItem(k)));
      await type(page, 'stroke', '93');
      await page.waitForTimeout(500);
      await page.reload();
      await page.waitForSelector('[data-answer]');
      assert.equal(await field(page, 'stroke').inputValue(), '93');
      assert.match(await field(page, 'name').inputValue(), /^A much longer/);
    }
    // Forbidden: the page works, and says so once something would be kept.
    {
      const context = await browser.newContext({ viewport: { width: 1440, height: 900 } });
      const page = await context.newPage();
      await page.addInitScript(() => {
        for (const name of ['localStorage', 'sessionStorage']) {
          Object.defineProperty(window, name, { get() { throw new DOMException('no', 'SecurityError'); } });
        }
      });
      await page.goto(url);
      await page.waitForSelector('[data-answer]');
      const before = await answer(page);
      await type(page, 'displacement', '1.8');
      await page.locator('[data-notice]').waitFor();
      assert.match(await notice(page), /keep nothing/);
      assert.equal(await page.locator('[data-notice] [data-offer]').count(), 1);
      assert.notEqual(await answer(page), before);
      await go(page, 'builds');
      const [all] = await Promise.all([page.waitForEvent('download'), page.locator('[data-do=export-all]').click()]);
      const file = JSON.parse(await readFile(await all.path(), 'utf8'));
      assert.equal(file.builds[0].build.fields.displacement, '1.8 litre');
    }
  },
};
