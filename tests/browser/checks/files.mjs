// A build goes out as a file and comes back the same; a bad file is named and changes nothing; a
// reload keeps the work.

import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { answer, field, open, type, until } from '../page.mjs';

export default {
  name: 'builds go out, come back and survive a reload',
  async run({ browser, url, report, assert }) {
    const page = await open(browser, url);
    await type(page, 'displacement', '134 in³');
    await page.keyboard.press('Tab');
    await type(page, 'turbine_swallowing', '2.5');
    await page.keyboard.press('Tab');
    const mine = await answer(page);

    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.locator('[data-act=export]').first().click(),
    ]);
    const text = await readFile(await download.path(), 'utf8');
    const file = JSON.parse(text);
    assert.equal(file.airpath_build, 1);
    assert.equal(file.fields.displacement, '134 in³');

    await page.locator('[data-act=example]').first().click();
    await until(async () => (await answer(page)) !== mine, 'the example again');

    const path = join(report, 'build.json');
    await writeFile(path, text);
    await page.locator('[data-import]').setInputFiles(path);
    await until(async () => (await answer(page)) === mine, 'the same answer from the file');

    await writeFile(path, text.replace('134 in³', '9999 litre'));
    await page.locator('[data-import]').setInputFiles(path);
    await page.locator('[data-notice]').waitFor();
    assert.match(await page.locator('[data-notice]').innerText(), /9999 litre is above 15 litre/);
    assert.equal(await answer(page), mine, 'a bad file changed the build');

    // Keeping is put off for a moment after the last key.
    await page.waitForTimeout(700);
    await page.reload();
    await page.waitForSelector('[data-answer]');
    assert.equal(await answer(page), mine, 'the reload lost the build');
    assert.match(await field(page, 'displacement').inputValue(), /^134/);
  },
};
