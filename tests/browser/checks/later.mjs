// Parts of the program that come later: each is fetched when it is first wanted and no sooner; one
// that cannot be fetched is told, with a way to try again, and the rest works on.

import { answer, open, type, until } from '../page.mjs';

const PARTS = /\/part-\d+-[0-9a-f]+\.wasm$/;

export default {
  name: 'parts of the program come when they are wanted, or it is told',
  provokes: [/Failed to fetch/, /net::ERR_FAILED/],
  async run({ browser, url, assert }) {
    const page = await open(browser, url, { serviceWorkers: 'block' });
    await page.locator('#part-limits input').last().waitFor();
    const asked = [];
    page.on('request', (request) => {
      if (PARTS.test(request.url())) asked.push(request.url());
    });
    let cut = true;
    await page.route(PARTS, (route) => (cut ? route.abort() : route.continue()));

    for (const [what, go, there] of [
      ['lessons', () => page.locator('[data-place=learn]').click(), '.learn h2'],
      ['builds', () => page.locator('[data-place=builds]').click(), '.kept h2'],
      ['a working', async () => {
        await page.locator('[data-place=match]').click();
        await page.locator('[data-answer] [data-opens]').first().click();
      }, '.working h2'],
    ]) {
      cut = true;
      asked.length = 0;
      await go();
      const told = page.locator('[data-not-here]:visible');
      await told.waitFor();
      assert.match(await told.innerText(), /could not be fetched.*With a connection, try again/s, what);
      assert.ok(asked.length > 0, `${what} are not a part`);
      cut = false;
      await told.getByRole('button', { name: 'Try again' }).click();
      await page.locator(there).first().waitFor();
      assert.equal(await page.locator('[data-not-here]:visible').count(), 0);
    }
    await page.locator('[data-act=working-close]').click();

    // What there is no view for is told as a notice.
    const before = await answer(page);
    cut = true;
    await page.reload();
    await page.locator('[data-picture=map]').click();
    await until(async () => /No picture was saved/.test(await page.locator('[data-notice]').innerText()), 'it is told');
    // The fields are such a part too: the answer stands without them, and they come.
    assert.equal(await answer(page), before);
    cut = false;
    await page.locator('.inputs [data-not-here] button').click();
    await type(page, 'boost_target', '0.8');
    await until(async () => (await answer(page)) !== before, 'the answer follows');
  },
};
