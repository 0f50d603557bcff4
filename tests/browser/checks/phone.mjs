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

    // Everything that is touched is large enough; a figure in a sentence reaches beyond its letters.
    const small = await page.evaluate(() => {
      const reach = (e) => {
        const { width, height } = e.getBoundingClientRect();
        const around = getComputedStyle(e, '::after');
        if (around.content === 'none' || around.position !== 'absolute') return { width, height };
        const beyond = (a, b) => -(parseFloat(around[a]) || 0) - (parseFloat(around[b]) || 0);
        return { width: width + beyond('left', 'right'), height: height + beyond('top', 'bottom') };
      };
      return [...document.querySelectorAll('button, input, select, summary')]
        .filter((e) => e.offsetParent !== null && e.type !== 'file')
        .map((e) => ({ what: e.outerHTML.slice(0, 90), box: reach(e) }))
        .filter(({ box }) => box.height > 0 && box.height < 43.5)
        .map(({ what, box }) => `${Math.round(box.width)}×${Math.round(box.height)} ${what}`);
    });
    assert.deepEqual(small.filter((what) => !what.includes('ask')), [], 'too small to touch');
  },
};
