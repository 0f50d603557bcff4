// It opens on a solved example, and every edit changes the whole answer at once, with no button.

import { answer, field, number, open, type, until } from '../page.mjs';

export default {
  name: 'a typed number changes the whole answer',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    const before = await answer(page);
    assert.match(before, /kW/);
    assert.match(before, /rev\/min/);
    assert.match(before, /boost/);
    const power = number(before, 'kW');
    assert.ok(power > 150 && power < 350, `the example makes ${power} kW`);

    const room = await page.locator('.figure.room').innerText();
    await type(page, 'boost_target', '0.9');
    await until(async () => number(await answer(page), 'kW') < power - 10, 'less power on less boost');
    assert.equal(await field(page, 'boost_target').inputValue(), '0.9');
    assert.notEqual(await page.locator('.figure.room').innerText(), room, 'the limits did not move');

    // Undo brings the first answer back, to the word.
    for (let i = 0; i < 12 && (await answer(page)) !== before; i += 1) {
      await page.locator('[data-act=undo]:visible').click();
    }
    assert.equal(await answer(page), before);
  },
};
