// One's own turbochargers: made from sizes, changed, fitted, copied, deleted and brought back, written to
// a file and read again without loss; a build keeps the one it uses when that is deleted.

import { readFile } from 'node:fs/promises';
import { answer as shown, field, go, open, until } from '../page.mjs';

/** The answer, also while another place is looked at: without the spaces that only layout makes. */
const answer = async (page) => (await shown(page)).replace(/\s/g, '');

const rows = (page) => page.locator('.shelf ul.builds').first().locator('li');
const row = (page, name) => page.locator('li[data-own^="own-"]', { has: page.locator(`b:text-is("${name}")`) });
const act = (page, name, what) => row(page, name).locator(`[data-do=${what}]`).click();

async function put(page, key, text) {
  await page.locator(`[data-numbers] [data-record="${key}"]`).fill(text);
  await page.keyboard.press('Tab');
}

async function saved(page, click) {
  const coming = page.waitForEvent('download');
  await click();
  const download = await coming;
  return [download.suggestedFilename(), await readFile(await download.path(), 'utf8')];
}

const stored = (page) =>
  page.evaluate(() =>
    Object.fromEntries(Object.entries(localStorage).filter(([key]) => key.startsWith('airpath.turbocharger.'))),
  );

export default {
  name: 'turbochargers of one’s own are made, changed, fitted, deleted, brought back and handed on',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    const before = await answer(page);
    await field(page, 'turbocharger').waitFor();
    await go(page, 'shelf');
    assert.match(await page.locator('.shelf').innerText(), /None yet/);
    await until(async () => (await page.locator('.shelf ul.builds li').count()) >= 24, 'the shelf is listed');

    // From wheel sizes: each change is taken, what is wrong is told by field, value, range.
    await page.locator('[data-do=from-sizes]').click();
    await page.locator('[data-numbers] [data-record=Wi]').waitFor();
    await put(page, 'name', 'Garage find');
    await until(async () => (await row(page, 'Garage find').count()) === 1, 'named');
    await put(page, 'Wi', '46');
    await put(page, 'We', '61');
    await put(page, 'Ui', '5 m');
    assert.match(await page.locator('[data-numbers] .fault').innerText(), /Turbine, inducer: 5000 mm does not lie between 15 mm and 400 mm/);
    await put(page, 'Ui', '54');
    // A claimed flow: one that the wheel cannot have is refused, one that it may have is taken.
    await put(page, 'Wc', '400 lb/min');
    await until(async () => /claimed flow: 3\.024 kg\/s does not lie between.*the wheel’s sizes give/s.test(await page.locator('[data-numbers] .fault').innerText()), 'a claim too high is told');
    await put(page, 'Wc', '38 lb/min');
    await until(async () => /±3 % in flow/.test(await page.locator('[data-record-sheet] > p').first().innerText()), 'a claim makes the estimate surer');
    await put(page, 'a_over_r-0', '0.71');
    await put(page, 'turbine-flange', 'four bolts, 60 mm');
    await put(page, 'notes', 'From a friend, 120 for it');
    await page.locator('[data-numbers] [data-record=bearing]').selectOption({ label: 'Ball' });
    const count = () => page.locator('[data-numbers] .housing').count();
    const housings = await count();
    await page.locator('[data-act=add-housing]').click();
    await until(async () => (await count()) === housings + 1, 'another housing');
    await page.locator('[data-numbers] .housing button', { hasText: 'Remove' }).last().click();
    await until(async () => (await count()) === housings, 'and gone');
    assert.match(await row(page, 'Garage find').innerText(), /Compressor 46\.0\/61\.0 mm.*0\.71.*map estimated.*From a friend, 120 for it/s);
    assert.equal(await answer(page), before, 'what is not fitted changes no match');

    // Fitted: the match follows, and so it does after a change.
    await act(page, 'Garage find', 'fit');
    await page.locator('[data-answer]').waitFor();
    await until(async () => (await answer(page)) !== before, 'fitted');
    const fitted = await answer(page);
    await go(page, 'shelf');
    assert.match(await row(page, 'Garage find').innerText(), /fitted now/);
    await act(page, 'Garage find', 'numbers');
    await put(page, 'Wi', '44');
    await until(async () => (await answer(page)) !== fitted, 'a change of the one that is fitted');
    const changed = await answer(page);

    // A copy is another; deleting is undone; a build keeps what it uses.
    await act(page, 'Garage find', 'copy');
    await until(async () => (await rows(page).count()) === 2, 'a copy');
    await put(page, 'Wi', '47');
    assert.equal(await answer(page), changed, 'a copy is not fitted');
    await act(page, 'Garage find', 'delete');
    await until(async () => (await rows(page).count()) === 1, 'deleted');
    assert.equal(await answer(page), changed, 'the build lost its turbocharger');
    await page.locator('[data-gone] button').click();
    await until(async () => (await rows(page).count()) === 2, 'brought back');
    const kept = await stored(page);

    // One file for all, and back without loss where there is nothing.
    const [name, text] = await saved(page, () => page.locator('[data-do=export-all]').click());
    assert.equal(name, 'airpath-turbochargers.json');
    await act(page, 'Garage find', 'delete');
    await act(page, 'Garage find (copy)', 'delete');
    await until(async () => Object.keys(await stored(page)).length === 0, 'none left');
    const pick = (file, buffer) =>
      page.locator('[data-import]').setInputFiles({ name: file, mimeType: 'application/json', buffer: Buffer.from(buffer) });
    await pick(name, text);
    await until(async () => (await rows(page).count()) === 2, 'imported');
    assert.deepEqual(await stored(page), kept, 'not the same after export and import');
    await pick(name, text);
    await until(async () => /0 turbochargers taken in, 2 were here already/.test(await page.locator('[data-notice]').innerText()), 'twice is once');
    await pick('cut.json', text.slice(0, 900));
    await until(async () => /“cut\.json” was not opened, and nothing has changed/.test(await page.locator('[data-notice]').innerText()), 'a cut file is told');
    assert.deepEqual(await stored(page), kept);

    // The export of all builds carries them too; the build still has its own after a reload.
    await go(page, 'builds');
    const [, all] = await saved(page, () => page.locator('[data-do=export-all]').click());
    assert.equal(JSON.parse(all).turbochargers.length, 2);
    await page.reload();
    await page.waitForSelector('[data-answer]');
    assert.equal(await answer(page), changed);
    await until(async () => (await field(page, 'turbocharger').locator('optgroup[label=Yours] option').count()) === 2, 'yours can be chosen');
    const other = await browser.newContext();
    const elsewhere = await other.newPage();
    await elsewhere.goto(url);
    await elsewhere.waitForSelector('[data-answer]');
    await elsewhere.locator('[data-import]').setInputFiles({ name: 'all.json', mimeType: 'application/json', buffer: Buffer.from(all) });
    await until(async () => Object.keys(await stored(elsewhere)).length === 2, 'in another browser');
    assert.deepEqual(await stored(elsewhere), kept);

    // By a link it travels with the build.
    await page.locator('[data-act=share]').click();
    const link = await page.locator('[data-share-link]').inputValue();
    assert.ok(link.length < 2_300, `${link.length} characters`);
    assert.equal(await page.locator('[data-rounded]').count(), 0, 'an estimated map is carried whole');
    await elsewhere.goto(link);
    await elsewhere.waitForSelector('[data-answer]');
    await until(async () => (await answer(elsewhere)) === changed, 'the same by a link');
  },
};
