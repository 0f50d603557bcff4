// A compressor map comes in from a file, goes out as one without loss, and is taken back by undo; what
// is wrong with a file is told by line, and nothing changes.

import { readFile } from 'node:fs/promises';
import { answer, field, open, until } from '../page.mjs';

const notice = (page) => page.locator('[data-notice]').innerText();

async function saved(page) {
  const coming = page.waitForEvent('download');
  await page.locator('[data-act=map-to-file]').click();
  const download = await coming;
  return [download.suggestedFilename(), await readFile(await download.path(), 'utf8')];
}

const pick = (page, name, text) =>
  page.locator('[data-map-file]').setInputFiles({ name, mimeType: 'text/csv', buffer: Buffer.from(text) });

export default {
  name: 'a compressor map is read from a file and written to one',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    const before = await answer(page);
    assert.match(await page.locator('.notes').innerText(), /Estimated map/);
    // The map of the worked example is an estimate: what is offered is an example of the format.
    const [name, example] = await saved(page);
    assert.equal(name, 'example.map.csv');
    assert.match(example, /^airpath_map, ?1/);

    // Mistakes are told by line and change nothing.
    const rows = example.split('\n');
    const at = rows.findIndex((row) => /^\s*[0-9]{4,}/.test(row));
    assert.ok(at > 0, 'the example has points');
    const wrong = [...rows];
    wrong[at] = wrong[at].replace(/^\s*[0-9]+/, '-5');
    for (const [text, told] of [
      [wrong.join('\n'), new RegExp(`line ${at + 1}\\b.*-5`, 'is')],
      ['', /empty/i],
      [rows.slice(0, at + 3).join('\n'), /line/i],
      ['\u0000\u0001PNG', /text|airpath_map/i],
    ]) {
      await pick(page, 'bad.csv', text);
      await until(async () => /“bad\.csv” was not taken, and nothing has changed/.test(await notice(page)), 'it is told');
      assert.match(await notice(page), told);
      assert.equal(await answer(page), before);
      await page.locator('[data-notice] button', { hasText: 'Close' }).click();
    }

    // A whole one is taken; the same answer comes of what it is saved as.
    await pick(page, 'bench.csv', example);
    await until(async () => /“bench\.csv” is taken: \d+ lines, \d+ points/.test(await notice(page)), 'taken');
    await until(async () => (await answer(page)) !== before, 'the answer follows');
    assert.doesNotMatch(await page.locator('.notes').innerText(), /Estimated map/);
    const mine = await answer(page);
    const [, written] = await saved(page);
    await page.locator('[data-act=undo]:visible').first().click();
    await until(async () => (await answer(page)) === before, 'undo takes it back');
    await pick(page, 'again.csv', written);
    await until(async () => (await answer(page)) === mine, 'the same from what was saved');
    const [, twice] = await saved(page);
    assert.equal(twice, written, 'saved and read back is not the same');

    // It is kept with the build, also after a reload.
    await page.waitForTimeout(500);
    await page.reload();
    await page.waitForSelector('[data-answer]');
    assert.equal(await answer(page), mine);
    await field(page, 'turbocharger').waitFor();
  },
};
