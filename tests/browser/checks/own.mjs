// A turbocharger's numbers are changed: it becomes one of the person's own, its estimated map follows
// the wheel, a wrong number is told and changes nothing, undo brings the old one back.

import { answer, field, open, until } from '../page.mjs';

const chosen = (page) => field(page, 'turbocharger').evaluate((select) => select.selectedOptions[0].textContent);

async function put(page, key, text) {
  await page.locator(`[data-record=${key}]`).click();
  await page.keyboard.press('Control+a');
  await page.keyboard.type(text);
  await page.keyboard.press('Tab');
}

export default {
  name: 'a turbocharger of one’s own from its sizes',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    const before = await answer(page);
    // Every turbocharger of the shelf can be chosen.
    await until(async () => (await field(page, 'turbocharger').locator('option').count()) >= 24, 'the whole shelf');

    await page.getByRole('button', { name: /Its numbers/ }).click();
    await page.locator('[data-record=Wi]').waitFor();
    assert.equal(await page.locator('[data-record=Wi]').inputValue(), '54');
    await put(page, 'Wi', '500');
    assert.match(await page.locator('.record-sheet .fault').innerText(), /500 mm does not lie between 10 mm and 300 mm/);
    assert.equal(await page.locator('[data-record=Wi]').inputValue(), '500', 'what was typed is lost');
    assert.equal(await answer(page), before);

    await put(page, 'Wi', '2 in');
    await until(async () => (await answer(page)) !== before, 'the answer follows the wheel');
    assert.equal(await page.locator('.record-sheet .fault').count(), 0);
    assert.match(await chosen(page), /^Rowan, changed, 51\/71 mm/);
    const own = await answer(page);
    await put(page, 'Cm', '6.5');
    assert.equal(await answer(page), own, 'mass changes no match');

    await page.waitForTimeout(500);
    await page.reload();
    await field(page, 'turbocharger').waitFor();
    assert.equal(await answer(page), own);
    assert.match(await chosen(page), /^Rowan, changed/);
    // Another is chosen, and undo brings one's own back.
    await field(page, 'turbocharger').selectOption('oak-92');
    await until(async () => (await answer(page)) !== own, 'another wheel, another answer');
    await page.locator('[data-act=undo]:visible').first().click();
    await until(async () => (await answer(page)) === own, 'undo');
  },
};
