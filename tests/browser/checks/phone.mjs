// On a phone, by touch: a part opens its fields, a number is typed there, the answer follows.

import { PHONE, answer, field, open, type, until } from '../page.mjs';

export default {
  name: 'a part is opened and changed on a phone',
  async run({ browser, url, assert }) {
    const page = await open(browser, url, PHONE);
    const before = await answer(page);
    await page.locator('[data-part="engine"]').first().tap();
    const cell = field(page, 'displacement');
    await cell.waitFor({ state: 'visible' });
    assert.equal(await cell.getAttribute('inputmode'), 'decimal', 'no decimal keypad');
    await type(page, 'displacement', '2.4');
    await until(async () => (await page.locator('[data-answer]').innerText()).length > 0, 'an answer');
    await until(async () => (await answer(page)) !== before, 'the answer follows');
  },
};
