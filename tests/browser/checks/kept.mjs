// The builds kept on this device: listed, opened, copied, renamed, sorted, deleted and brought back,
// all of them out to one file and in again.

import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { answer, field, go, open, type, until } from '../page.mjs';

const names = (page) => page.locator('.builds .open').allInnerTexts();
const row = (page, name) => page.locator('.builds li', { has: page.getByRole('button', { name, exact: true }) });

async function save(page, selector) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.locator(selector).click()]);
  return readFile(await download.path(), 'utf8');
}

async function read(page, report, text) {
  const path = join(report, 'kept.json');
  await writeFile(path, text);
  await page.locator('[data-import]').setInputFiles(path);
}

export default {
  name: 'builds are kept, copied, renamed, sorted, deleted with undo, exported and read back',
  async run({ browser, url, report, assert }) {
    const page = await open(browser, url);
    await go(page, 'builds');
    assert.deepEqual(await names(page), [], 'an example that nobody changed is kept');
    assert.match(await page.locator('.kept').innerText(), /None yet/);

    await go(page, 'match');
    await type(page, 'name', 'Zebra');
    await type(page, 'displacement', '1.8');
    await page.keyboard.press('Tab');
    const mine = await answer(page);
    await go(page, 'builds');
    assert.deepEqual(await names(page), ['Zebra']);
    const facts = await row(page, 'Zebra').innerText();
    assert.match(facts, /open now · Rowan · 1\.25 bar asked · makes [0-9]+\skW · .*20[0-9]{2}/, facts);
    const power = facts.match(/makes ([0-9]+)/)[1];
    assert.ok(mine.includes(`${power} kW`), `the list says ${power} kW, the answer ${mine}`);

    // A second one, from the example; the first is as it was.
    await page.locator('[data-do=new]').click();
    await until(async () => (await answer(page)) !== mine, 'the example');
    await type(page, 'name', 'Alder hill');
    await page.keyboard.press('Tab');
    await go(page, 'builds');
    assert.deepEqual(await names(page), ['Alder hill', 'Zebra'], 'the last changed comes first');
    await row(page, 'Zebra').locator('[data-do=copy]').click();
    assert.deepEqual(await names(page), ['Zebra (copy)', 'Alder hill', 'Zebra']);
    await page.locator('[data-do=by-name]').click();
    assert.deepEqual(await names(page), ['Alder hill', 'Zebra', 'Zebra (copy)']);

    // Renamed in place, by Enter; Escape leaves the old name.
    await row(page, 'Zebra (copy)').locator('[data-do=rename]').click();
    await until(() => page.evaluate(() => document.activeElement.matches('[data-rename]')), 'the name takes the keyboard');
    await page.keyboard.type('Quagga');
    await page.keyboard.press('Enter');
    assert.deepEqual(await names(page), ['Alder hill', 'Quagga', 'Zebra']);
    await row(page, 'Quagga').locator('[data-do=rename]').click();
    await until(() => page.evaluate(() => document.activeElement.matches('[data-rename]')), 'the name again');
    await page.keyboard.type('Nobody');
    await page.keyboard.press('Escape');
    assert.deepEqual(await names(page), ['Alder hill', 'Quagga', 'Zebra']);
    // The open one too: its name in the head follows.
    await row(page, 'Alder hill').locator('[data-do=rename]').click();
    await until(() => page.evaluate(() => document.activeElement.matches('[data-rename]')), 'the name of the open one');
    await page.keyboard.type('Birch');
    await page.locator('[data-do=renamed]').click();
    assert.equal(await field(page, 'name').inputValue(), 'Birch');

    // Opened: the answer is the one it had. Undo leads back to the other build, and to its entry.
    await page.getByRole('button', { name: 'Zebra', exact: true }).click();
    await until(async () => (await answer(page)) === mine, 'the first build again');
    await page.locator('[data-act=undo]').last().click();
    assert.equal(await field(page, 'name').inputValue(), 'Birch');
    await type(page, 'stroke', '90');
    await page.keyboard.press('Tab');
    await go(page, 'builds');
    await page.getByRole('button', { name: 'Zebra', exact: true }).click();
    await until(async () => (await answer(page)) === mine, 'an edit after undo went into the wrong build');

    // Deleted, also the open one, and brought back.
    await go(page, 'builds');
    await row(page, 'Zebra').locator('[data-do=delete]').click();
    assert.ok(!(await names(page)).includes('Zebra'));
    assert.match(await page.locator('[data-deleted]').innerText(), /“Zebra” is deleted/);
    assert.notEqual(await field(page, 'name').inputValue(), 'Zebra', 'the deleted build still stands');
    await page.locator('[data-deleted] button').click();
    await until(async () => (await names(page)).includes('Zebra'), 'Zebra brought back');
    assert.equal(await field(page, 'name').inputValue(), 'Zebra');
    assert.equal(await page.locator('[data-deleted]').count(), 0);

    // Everything to one file; what is here is not taken in twice; what was lost comes back.
    const all = await save(page, '[data-do=export-all]');
    const file = JSON.parse(all);
    assert.equal(file.airpath_builds, 1);
    assert.deepEqual(file.builds.map((b) => b.build.name).sort(), ['Birch', 'Quagga', 'Zebra']);
    await read(page, report, all);
    await page.locator('[data-notice]').waitFor();
    assert.match(await page.locator('[data-notice]').innerText(), /0 taken in, 3 were here already/);
    await row(page, 'Quagga').locator('[data-do=delete]').click();
    await read(page, report, all);
    await until(async () => (await page.locator('[data-notice]').innerText()).includes('1 taken in, 2 were'), 'one comes back');
    assert.deepEqual((await names(page)).sort(), ['Birch', 'Quagga', 'Zebra']);
    // The same id with other content becomes a copy.
    const other = structuredClone(file);
    for (const b of other.builds) if (b.build.name === 'Birch') b.build.fields.stroke = '77 mm';
    await read(page, report, JSON.stringify(other));
    await until(async () => (await names(page)).length === 4, 'the copy');
    assert.ok((await names(page)).includes('Birch (imported)'), String(await names(page)));
    // A broken one among good ones is named; the good ones come.
    other.builds = [{ build: { ...other.builds[0].build, fields: { stroke: '9 km' } } }, { build: { ...other.builds[0].build, name: 'Good' } }];
    await read(page, report, JSON.stringify(other));
    await until(async () => (await names(page)).includes('Good'), 'the good one');
    assert.match(await page.locator('[data-notice]').innerText(), /1 could not be: Stroke/);
    for (const [text, message] of [
      ['{"airpath_builds": 2, "builds": []}', /newer version/],
      ['{"airpath_builds": 1, "builds": 7}', /0 taken in/],
      ['not a file', /not a build file/],
    ]) {
      await read(page, report, text);
      await until(async () => message.test(await page.locator('[data-notice]').innerText()), String(message));
    }
    assert.equal((await names(page)).length, 5, 'a bad file changed what is kept');

    // Another browser takes in the whole file.
    const elsewhere = await open(browser, url);
    await go(elsewhere, 'builds');
    await read(elsewhere, report, all);
    await until(async () => (await names(elsewhere)).length === 3, 'all three elsewhere');
    await elsewhere.getByRole('button', { name: 'Zebra', exact: true }).click();
    await until(async () => (await answer(elsewhere)) === mine, 'the same answer elsewhere');
  },
};
