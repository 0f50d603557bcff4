// The shortlist and the sizes that a goal asks for: every way to fit a turbocharger is screened beside
// the page, weights move places without solving again, rejections name what stands against them.

import { go, open, until } from '../page.mjs';

const number = (text) => Number(text.replaceAll(',', '').replace('−', '-').match(/-?[0-9.]+/)?.[0] ?? NaN);

const places = (page) => page.locator('[data-placed]').evaluateAll((rows) => rows.map((r) => `${r.dataset.placed} ${r.dataset.housing}`));

async function weigh(page, wish, value) {
  await page.locator(`[data-wish="${wish}"]`).evaluate((input, v) => {
    input.value = v;
    input.dispatchEvent(new Event('input', { bubbles: true }));
  }, String(value));
}

export default {
  name: 'a shelf is screened and ranked by what is valued, and sizes come from the demand',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    await go(page, 'choose');
    await page.locator('[data-act="screen"]').click();
    // The page goes on while it is worked out beside it.
    await page.locator('[data-read-at]').focus();
    await page.keyboard.press('Home');
    await until(async () => (await page.locator('[data-screened]').count()) === 1, 'the shelf is screened');
    const said = await page.locator('[data-screened]').innerText();
    const [held, all] = said.match(/(\d+) of (\d+)/).slice(1).map(Number);
    const took = await page.evaluate(() => performance.getEntriesByName('airpath: screen').at(-1).duration);
    console.log(`    ${all} ways to fit a turbocharger screened in ${took.toFixed(0)} ms`);
    assert.ok(all >= 140 && held > 3 && held < all, said);

    // Early torque alone, then the top end alone: other places, and the figures go with them.
    const first = async () => page.locator('[data-placed]').first().innerText();
    const set = async (values) => {
      for (const [wish, value] of Object.entries(values)) await weigh(page, wish, value);
    };
    await set({ early: 100, middle: 0, top: 0, margin: 0 });
    await until(async () => (await first()).includes('early torque'), 'ranked by early torque');
    const [early, earlyPlaces] = [await first(), await places(page)];
    await set({ early: 0, middle: 0, top: 100, margin: 0 });
    await until(async () => (await places(page)).join() !== earlyPlaces.join(), 'ranked by the top end');
    const top = await first();
    const from = (text) => number(text.match(/boost from [0-9,]+/)[0]);
    const power = (text) => number(text.match(/[0-9,]+\s*kW/)[0]);
    assert.ok(from(early) < from(top), `${early}\n${top}`);
    assert.ok(power(early) <= power(top), `${early}\n${top}`);
    assert.equal(await page.evaluate(() => performance.getEntriesByName('airpath: screen').length), 1, 'solved again for a weight');

    // Every rejection has its reason.
    await page.locator('.shortlist button', { hasText: 'What is rejected' }).click();
    const out = await page.locator('[data-rejected]').allInnerTexts();
    assert.equal(out.length, all - held);
    for (const line of out) {
      assert.match(line, /Chokes|shaft is too fast|Surges|room missing|too little|gate is too small|short|Never reaches|too late|cannot be fitted/, line);
    }
    assert.ok(out.some((line) => /Chokes above [0-9,]+/.test(line)), out.slice(0, 5).join('\n'));

    // The first is put beside, and stands in the table.
    const name = (await page.locator('[data-placed] b').first().innerText()).replace(/^\d+\. /, '');
    const button = page.locator('[data-placed] [data-do="beside"]').first();
    if (await button.isEnabled()) await button.click();
    await until(async () => (await page.locator('[data-contender]').allInnerTexts()).some((t) => t.includes(name.split(' ')[0])), `${name} beside`);

    // A hard limit that hardly any holds: what was screened no longer counts.
    await page.locator('.shortlist button', { hasText: 'Limits' }).click();
    await page.locator('[data-least="boost-by"]').fill('1500');
    await page.keyboard.press('Tab');
    await until(async () => (await page.locator('[data-act="screen"]').count()) === 1, 'to be screened again');
    await page.locator('[data-act="screen"]').click();
    await until(async () => (await page.locator('[data-screened]').count()) === 1, 'screened again');
    const fewer = await page.locator('[data-screened]').innerText();
    assert.ok(fewer.startsWith('None') || number(fewer) < held, `${fewer} / ${said}`);

    // Sizes from the demand, with the reasoning and the nearest of the shelf.
    await page.locator('[data-least="boost-by"]').fill('');
    await page.keyboard.press('Tab');
    await page.locator('[data-act="sizes"]').click();
    await page.locator('[data-proposal]').first().waitFor();
    const proposed = await page.locator('[data-proposal].first, .proposal.first').innerText();
    const compressor = proposed.match(/Compressor ([0-9.]+)\s*mm \/ ([0-9.]+)\s*mm/).slice(1).map(Number);
    const trim = number(proposed.match(/trim [0-9]+/)[0]);
    assert.ok(Math.abs(100 * (compressor[0] / compressor[1]) ** 2 - trim) < 1, proposed);
    await page.locator('.proposal.first button[aria-expanded]').click();
    const steps = await page.locator('.proposal.first [data-step]').count();
    assert.ok(steps > 20, `${steps} steps`);
    assert.ok((await page.locator('.proposal.first [data-step="choke_flow"] math').count()) === 2, 'a formula and its values');
    assert.ok((await page.locator('[data-near]').count()) >= 3, 'nearest of the shelf');

    // What is no number is told with field, value and range; what stood there counts.
    await page.locator('[data-least="choke"]').fill('lots');
    await page.keyboard.press('Tab');
    const notice = await page.locator('[data-notice]').innerText();
    for (const part of ['Choke', 'lots', '50']) assert.ok(notice.includes(part), notice);
    assert.equal(await page.locator('[data-least="choke"]').inputValue(), 'lots', 'what was typed is lost');
    await page.locator('[data-least="choke"]').fill('4,5');
    await page.keyboard.press('Tab');
    await until(async () => (await page.locator('[data-notice]').count()) === 0, 'the notice goes');

    // Cancelled before the first piece comes, nothing comes any more.
    await page.evaluate(() => new Promise((done) => {
      document.querySelector('[data-act="screen"]').click();
      requestAnimationFrame(() => requestAnimationFrame(() => {
        document.querySelector('[data-act="cancel-screen"]').click();
        done();
      }));
    }));
    await page.locator('[data-act="screen"]').waitFor();
    await page.waitForTimeout(1500);
    assert.equal(await page.locator('[data-screened]').count(), 0, 'cancelled, and yet it came');
    await go(page, 'match');
    await page.context().close();
  },
};
