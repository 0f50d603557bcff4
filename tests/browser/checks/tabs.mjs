// Two tabs on the same builds do not overwrite each other.

import { DESKTOP, field, go, type, until } from '../page.mjs';

const names = (page) => page.locator('.builds .open').allInnerTexts();
const notice = (page) => page.locator('[data-notice]').innerText();

async function tab(context, url) {
  const page = await context.newPage();
  await page.goto(url);
  await page.waitForSelector('[data-answer]');
  return page;
}

export default {
  name: 'two tabs do not overwrite each other',
  async run({ browser, url, assert }) {
    const context = await browser.newContext({ viewport: DESKTOP });
    const one = await tab(context, url);
    await type(one, 'name', 'Shared');
    await type(one, 'stroke', '91');
    await one.waitForTimeout(500);
    const two = await tab(context, url);
    assert.equal(await field(two, 'name').inputValue(), 'Shared');
    assert.equal(await field(two, 'stroke').inputValue(), '91');

    // One edits; two is told; two edits too: both are kept, two's as a copy.
    await type(one, 'stroke', '95');
    await two.locator('[data-notice]').waitFor();
    assert.match(await notice(two), /“Shared” was changed in another tab.*kept as a copy/s);
    assert.equal(await field(two, 'stroke').inputValue(), '91', 'the other tab’s edit came over');
    await type(two, 'displacement', '1.9');
    await until(async () => (await field(two, 'name').inputValue()) === 'Shared (from another tab)', 'the copy');
    assert.match(await notice(two), /Both are kept/);
    assert.equal(await field(two, 'displacement').inputValue(), '1.9', 'typing was disturbed');
    // Both go on, each in its own.
    await type(one, 'redline', '7000');
    await type(two, 'redline', '6500');
    await one.waitForTimeout(500);
    for (const page of [one, two]) {
      await page.reload();
      await page.waitForSelector('[data-answer]');
    }
    const fields = async (page) => Promise.all(['name', 'stroke', 'displacement', 'redline'].map((id) => field(page, id).inputValue()));
    assert.deepEqual(await fields(one), ['Shared', '95', '2.2', '7000']);
    assert.deepEqual(await fields(two), ['Shared (from another tab)', '91', '1.9', '6500']);

    // At the same moment, before either hears of the other: still nothing is lost.
    await go(two, 'builds');
    await two.getByRole('button', { name: 'Shared', exact: true }).click();
    await until(async () => (await field(two, 'stroke').inputValue()) === '95', 'the same build in both');
    await Promise.all([type(one, 'stroke', '81'), type(two, 'stroke', '82')]);
    await one.waitForTimeout(700);
    await go(one, 'builds');
    const strokes = await one.evaluate(() =>
      Object.entries(localStorage)
        .filter(([key]) => key.startsWith('airpath.kept.'))
        .map(([, text]) => JSON.parse(JSON.parse(text).split('\n').slice(1).join('\n')).fields.stroke)
        .sort(),
    );
    assert.deepEqual(strokes, ['81 mm', '82 mm', '91 mm']);
    await one.locator('.builds .open').first().waitFor();
    assert.deepEqual((await names(one)).sort(), ['Shared', 'Shared (from another tab 2)', 'Shared (from another tab)']);

    // The list in one tab follows the other; a build deleted there is still open here.
    await go(two, 'builds');
    const open = await field(one, 'name').inputValue();
    await go(two, 'builds');
    await two.locator('.builds li', { has: two.getByRole('button', { name: open, exact: true }) }).locator('[data-do=delete]').click();
    await until(async () => (await names(one)).length === 2, 'the list follows');
    assert.match(await notice(one), /was deleted in another tab/);
    await go(one, 'match');
    await type(one, 'stroke', '83');
    await one.waitForTimeout(500);
    await until(async () => (await names(two)).length === 3, 'kept again after an edit');
  },
};
