// Sheets: what is written on them is what was solved, they print on one page of either paper, the code
// leads to the build, and the table and pictures are files.

import { readFile } from 'node:fs/promises';
import jsqr from 'jsqr';
import { answer, go, open, type, until } from '../page.mjs';

const number = (text) => Number(text.replaceAll(',', '').replace('−', '-').match(/-?[0-9.]+/)?.[0] ?? NaN);

/** How many pages a PDF has. */
const pages = (pdf) => (pdf.toString('latin1').match(/\/Type\s*\/Page(?![s])/g) ?? []).length;

async function onePage(page, assert, what) {
  for (const format of ['A4', 'Letter']) {
    const pdf = await page.pdf({ format, preferCSSPageSize: false, printBackground: true });
    assert.equal(pages(pdf), 1, `${what} on ${format}`);
  }
}

const which = async (page, name, there) => {
  await page.locator(`[data-which="${name}"]`).click();
  await page.locator(there).first().waitFor({ timeout: 60_000 });
};

export default {
  name: 'sheets say what was solved, fit on a page and lead back to the build',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    const said = await answer(page);
    await go(page, 'sheets');
    const sheet = await page.locator('[data-sheet="Build sheet"]').innerText();
    const first = said.split('.')[0].replace(/\s+/g, ' ');
    assert.ok(sheet.replace(/\s+/g, ' ').includes(first.slice(0, 24)), `${first} / ${sheet.slice(0, 200)}`);
    assert.ok(/not a tune/.test(sheet) && /Not for aircraft/.test(sheet), 'cautions');
    assert.ok(/To fit it/.test(sheet) && /M11×1.0/.test(sheet), 'what to join');
    await page.locator('[data-whom]').fill('A customer');
    await until(async () => (await page.locator('.title-block').innerText()).includes('A customer'), 'whom it is for');
    await onePage(page, assert, 'the build sheet');

    // The code is read as a phone would read it, and opens the build.
    const link = await page.locator('[data-link-code]').getAttribute('href');
    const code = page.locator('[data-link-code] svg');
    const shot = await code.screenshot({ scale: 'device' });
    const pixels = await page.evaluate(async (data) => {
      const image = new Image();
      image.src = `data:image/png;base64,${data}`;
      await image.decode();
      const canvas = document.createElement('canvas');
      const side = 3 * image.width;
      canvas.width = side;
      canvas.height = side;
      const context = canvas.getContext('2d');
      context.drawImage(image, 0, 0, side, side);
      return { side, data: [...context.getImageData(0, 0, side, side).data] };
    }, shot.toString('base64'));
    const read = jsqr(Uint8ClampedArray.from(pixels.data), pixels.side, pixels.side);
    assert.equal(read?.data, link, 'the code on the sheet');

    // The solved speeds as a table.
    const [file] = await Promise.all([page.waitForEvent('download'), page.locator('[data-act="speeds-table"]').click()]);
    const table = (await readFile(await file.path(), 'utf8')).trim().split('\r\n').map((line) => line.split(','));
    const power = table[0].indexOf('Power at the crank [kW]');
    const most = Math.max(...table.slice(1).map((row) => Number(row[power])));
    assert.ok(Math.abs(most - number(said)) <= 0.5, `${most} and ${said}`);

    // Where it belongs: surveyed beside the page; each bound with its limit.
    await which(page, 'application', '[data-sheet="Application sheet"]');
    await page.locator('[data-sheet="Application sheet"] svg.drawing').first().waitFor();
    const rows = await page.locator('[data-setting]').allInnerTexts();
    assert.equal(rows.length, 3, rows.join('\n'));
    for (const row of rows) assert.match(row, /choke|shaft speed|surge|boost too late|gate|back pressure|heat/i, row);
    const litres = async () => (await page.locator('[data-setting] td').first().innerText()).match(/[0-9.]+/g).map(Number);
    const [low, high] = await litres();
    assert.ok(low < 2.2 && high > 2.2, `the example's own engine lies outside of ${low} to ${high}`);
    await onePage(page, assert, 'the application sheet');
    // Boost may come later: smaller engines are let in, or at least none is lost.
    await page.locator('.sheets button', { hasText: 'Settings and room in hand' }).click();
    await page.locator('[data-in-hand="0"]').fill('60');
    await page.keyboard.press('Tab');
    await until(async () => (await page.locator('[data-setting]').count()) === 0 || (await litres())[0] < low, 'surveyed again');
    await page.locator('[data-sheet="Application sheet"] [data-setting]').first().waitFor({ timeout: 60_000 });
    assert.ok((await litres())[0] < low, `${await litres()} after ${low}`);

    // Of any other, without fitting it: a small one belongs on smaller engines.
    await page.locator('[data-choice="application-turbocharger"]').selectOption('elder-41');
    await until(async () => (await page.locator('[data-sheet="Application sheet"] h2').allInnerTexts()).some((t) => t.includes('Elder 41')), 'another turbocharger');
    assert.ok((await litres())[1] < high, `${await litres()} beside ${high}`);

    // What changes with another: from the records, the match and what was entered of the vehicle.
    await which(page, 'swap', '[data-choice="swap-turbocharger"]');
    await page.locator('[data-choice="swap-turbocharger"]').selectOption('hazel');
    await page.locator('[data-item="OilRestrictor"]').waitFor();
    const item = async (kind) => ({ text: await page.locator(`[data-item="${kind}"]`).innerText(), verdict: await page.locator(`[data-item="${kind}"]`).getAttribute('data-verdict') });
    assert.equal((await item('Inlet')).verdict, 'Change');
    assert.match((await item('Inlet')).text, /reducer/);
    assert.equal((await item('TurbineHousing')).verdict, 'Change');
    assert.equal((await item('HotPipe')).verdict, 'NotKnown', 'a pipe that nobody entered');
    assert.match((await item('OilRestrictor')).text, /journal bearing/);
    assert.match(await page.locator('[data-sheet="Swap sheet"]').innerText(), /40 psi \(2\.8 bar\) takes a 0\.030 in/);
    const lead = await page.locator('[data-sheet="Swap sheet"] .lead').first().innerText();
    const changes = await page.locator('[data-verdict="Change"]').count();
    const words = ['No', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine', 'Ten', 'Eleven', 'Twelve'];
    assert.ok(lead.startsWith(words[changes] ?? String(changes)), `${lead}: ${changes}`);
    await onePage(page, assert, 'the swap sheet');

    // A bore is entered: the pipe is known, with its Mach number beside what is customary.
    await go(page, 'match');
    await page.locator('[data-part="fitting"]').click();
    await type(page, 'hot_pipe', '51 mm');
    await go(page, 'sheets');
    await page.locator('[data-item="HotPipe"]').waitFor();
    assert.match((await item('HotPipe')).text, /Mach 0\.\d\d/);
    assert.notEqual((await item('HotPipe')).verdict, 'NotKnown');
    await page.context().close();
  },
};
