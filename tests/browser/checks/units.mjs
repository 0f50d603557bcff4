// A typed unit works anywhere, a decimal comma too, and nothing is rewritten while it is typed.

import { answer, field, open, type, until } from '../page.mjs';

export default {
  name: 'units as people type them',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    await type(page, 'boost_target', '1.2410563 bar');
    await page.keyboard.press('Tab');
    const inBar = await answer(page);
    await type(page, 'boost_target', '18 psi');
    assert.equal(await field(page, 'boost_target').inputValue(), '18 psi', 'the text was rewritten while typed');
    await page.keyboard.press('Tab');
    assert.equal(await page.locator('[data-unit-of="boost_target"]').innerText(), 'psi');
    const inPsi = await answer(page);
    assert.equal(inPsi.match(/[0-9,.]+ kW/)[0], inBar.match(/[0-9,.]+ kW/)[0]);

    // Digit by digit, "0.05" must not become "5".
    await type(page, 'filter_loss', '0.05');
    assert.equal(await field(page, 'filter_loss').inputValue(), '0.05');
    await type(page, 'lambda', '0,85');
    assert.equal(await field(page, 'lambda').inputValue(), '0,85');
    assert.equal(await page.locator('[data-error-of="lambda"]').count(), 0);

    // "k" is short for a thousand and no unit to go on in.
    await type(page, 'redline', '6.5k');
    await page.keyboard.press('Tab');
    assert.equal(await page.locator('[data-unit-of="redline"]').innerText(), 'rev/min');
    await type(page, 'redline', '6800');
    assert.equal(await page.locator('[data-error-of="redline"]').count(), 0);
    // A number that fits the field's own unit, not the one typed last, is offered in that.
    await type(page, 'displacement', '122 cu in');
    await type(page, 'displacement', '2.0');
    await page.keyboard.press('Tab');
    await page.getByRole('button', { name: 'Use 2 litre' }).click();
    assert.equal(await page.locator('[data-unit-of="displacement"]').innerText(), 'litre');
    assert.equal(await field(page, 'displacement').inputValue(), '2');

    // What the spring makes of less than it holds is told.
    await type(page, 'boost_target', '0.3 bar');
    await until(async () => /holds the gate shut to 0\.50\sbar, so 0\.30\sbar cannot be had/.test(await page.locator('.notes').innerText()), 'the spring');

    await page.locator('[data-act=units]').first().click();
    await until(async () => /hp/.test(await answer(page)), 'power in hp after choosing imperial');
  },
};
