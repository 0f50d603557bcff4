// A mistake is named at its field with the range and the remedy; the last good answer stays, marked
// stale; nothing typed is lost.

import { answer, field, open, type, until } from '../page.mjs';

const MISTAKES = [
  ['compression_ratio', '92', /92 is above 23.*9\.2/s],
  ['compression_ratio', '', /empty.*6 to 23/s],
  ['compression_ratio', 'nine', /not a number.*6 to 23/s],
  ['compression_ratio', 'NaN', /not a number/],
  ['compression_ratio', 'inf', /./],
  ['displacement', '2200', /above 15 litre.*2\.2 litre/s],
  ['redline', '1', /below 2000/],
  // Last, because “18 psi” on the way to it is good, and leaves psi as the unit.
  ['boost_target', '18 psia', /gauge/],
];

export default {
  name: 'mistakes are named and lose nothing',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    const good = await answer(page);
    for (const [id, text, message] of MISTAKES) {
      const before = await field(page, id).inputValue();
      await type(page, id, text);
      if (text === '') await page.keyboard.press('Delete');
      const error = page.locator(`[data-error-of="${id}"]`);
      await error.waitFor();
      assert.match(await error.innerText(), message, `${id} “${text}”`);
      assert.equal(await field(page, id).inputValue(), text, 'what was typed is gone');
      assert.ok((await page.locator('[data-stale]').count()) > 0, 'the answer is not marked stale');
      // Where a good number stands on the way (“2” litre, “18 psi”) its answer is the last good one.
      const last = await answer(page);
      if (['2200', '18 psia'].includes(text)) assert.match(last, /kW at/);
      else assert.equal(last, good, 'the last good answer is gone');
      await type(page, id, before);
      await until(async () => (await error.count()) === 0, `${id} mended`);
      assert.equal(await page.locator('[data-stale]').count(), 0, 'still stale once mended');
    }
    // The remedy's button puts the value right.
    await type(page, 'compression_ratio', '92');
    await page.locator('[data-error-of="compression_ratio"] button').click();
    assert.equal(await field(page, 'compression_ratio').inputValue(), '9.2');
    assert.equal(await page.locator('[data-stale]').count(), 0);
  },
};
