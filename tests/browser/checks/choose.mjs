// Candidates side by side: what the account says is in the tables beside it, candidates are added,
// taken away and fitted, and all of it is still there after a reload.

import { answer, go, open, until } from '../page.mjs';

const number = (text) => Number(text.replaceAll(',', '').replace('−', '-').match(/-?[0-9.]+/)?.[0] ?? NaN);

/** The rows of the table over engine speed: by engine speed, then by heading. */
async function overSpeed(page) {
  await page.locator('.figure.side button[aria-expanded]').click();
  await page.locator('[data-table="side"] tbody tr').first().waitFor();
  return page.locator('[data-table="side"]').evaluate((table) => {
    const heads = [...table.tHead.rows[0].cells].slice(1).map((c) => c.innerText.trim());
    const rows = {};
    for (const row of table.tBodies[0].rows) {
      const [speed, ...cells] = [...row.cells].map((c) => c.innerText.trim());
      rows[speed.replaceAll(',', '')] = Object.fromEntries(cells.map((cell, i) => [heads[i], cell]));
    }
    return rows;
  });
}

/** The names of the candidates, in their order. */
const names = (page) => page.locator('[data-contender] b').allInnerTexts();

/** The claims of every candidate, as the page holds and writes them. */
const claims = (page) => page.locator('[data-table="contest"]').evaluate((table) => ['Gains', 'GivesUp'].flatMap((kind) =>
  [...table.querySelector(`[data-row="${kind}"]`).querySelectorAll('td')].flatMap((cell, place) =>
    [...cell.querySelectorAll('[data-claim]')].map((p) => ({ kind, place, text: p.innerText, ...p.dataset })))));

const row = (page, name) => page.locator(`[data-row="${name}"] td`).allInnerTexts();

export default {
  name: 'candidates stand side by side, and the account of them is in the numbers',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    await go(page, 'choose');
    await until(async () => (await page.locator('[data-contender]').count()) === 3, 'the neighbours of what is fitted');
    // Times come last, and the account with them.
    await until(async () => (await row(page, 'TimeToBoost')).every((t) => t.includes('s') || t.includes('never')), 'times to boost');
    const all = await names(page);
    const table = await overSpeed(page);
    const from = await row(page, 'FullBoostFrom');
    const power = await row(page, 'MostPower');
    const said = await claims(page);
    assert.ok(said.length >= 8, `${said.length} claims`);
    for (const gain of ['Gains', 'GivesUp']) {
      assert.ok(said.some((c) => c.kind === gain), `no ${gain}`);
    }
    let checked = 0;
    const near = (a, b, off, what) => {
      checked += 1;
      assert.ok(Math.abs(a - b) <= off, `${what}: ${a} and ${b}`);
    };
    for (const c of said) {
      const [mine, theirs] = [Number(c.mine), Number(c.theirs)];
      const at = Math.round(Number(c.atSpeed));
      const other = Number(c.against);
      const cell = (heading, place) => number(table[at][`${heading}: ${all[place]}`]);
      if (c.claim === 'Torque') {
        near(mine, cell('Torque, N m', c.place), 0.5, c.text);
        near(theirs, cell('Torque, N m', other), 0.5, c.text);
        near(number(c.text), Math.abs(mine - theirs), 1, c.text);
        assert.equal(mine > theirs, c.kind === 'Gains', c.text);
      } else if (c.claim === 'BeforeTurbine') {
        near(mine / 1e5, cell('Before the turbine, bar', c.place), 0.005, c.text);
        near(theirs / 1e5, cell('Before the turbine, bar', other), 0.005, c.text);
        near(number(c.text), Math.abs(mine - theirs) / 1e5, 0.01, c.text);
        assert.equal(mine < theirs, c.kind === 'Gains', c.text);
        assert.equal(table[at][`Boost, bar: ${all[c.place]}`], table[at][`Boost, bar: ${all[other]}`], 'not the same boost');
      } else if (c.claim === 'BoostFrom') {
        near(mine, number(from[c.place]), 5, c.text);
        near(theirs, number(from[other]), 5, c.text);
        assert.equal(mine < theirs, c.kind === 'Gains', c.text);
      } else if (c.claim === 'MostPower') {
        near(mine / 1e3, number(power[c.place]), 0.5, c.text);
        near(theirs / 1e3, number(power[other]), 0.5, c.text);
      }
    }
    assert.ok(checked >= 15, `${checked} figures checked`);

    // The engine speed is shared with the match.
    await page.locator('[data-read-at]').focus();
    await page.keyboard.press('End');
    await until(async () => (await page.locator('[data-row="Torque"] th').innerText()).includes('7,200'), 'the rows follow');

    // A figure of what is fitted opens its working.
    await page.locator('[data-row="MostPower"] button').click();
    await page.waitForSelector('#working-title');
    await page.keyboard.press('Escape');
    await go(page, 'choose');

    // One more by keyboard, two of it; then there are four, and none more.
    await page.locator('[data-choice="beside-turbocharger"]').selectOption('hazel');
    await page.locator('[data-choice="beside-pair"]').selectOption('2');
    await page.locator('[data-choice="beside-go"]').click();
    await until(async () => (await names(page)).length === 4, 'four candidates');
    assert.ok((await page.locator('[data-contender="3"]').innerText()).includes('two'), 'a pair');

    // The second is fitted: the match is its own, and what was fitted stands beside it.
    const second = (await names(page))[1];
    const its = number((await row(page, 'MostPower'))[1]);
    await page.locator('[data-contender="1"] [data-do="fit"]').click();
    await until(async () => (await names(page))[0] === second, 'the second is fitted');
    assert.ok((await names(page)).includes(all[0]), 'what was fitted is gone');
    await go(page, 'match');
    assert.ok((await answer(page)).startsWith(`${its}\u00a0kW`) || (await answer(page)).startsWith(`${its} kW`), await answer(page));

    // Kept over a reload; removed, and the table is three again.
    await page.reload();
    await page.waitForSelector('[data-answer] button');
    await go(page, 'choose');
    await until(async () => (await names(page)).length === 4, 'kept');
    await page.locator('[data-contender="3"] [data-do="away"]').click();
    await until(async () => (await names(page)).length === 3, 'taken away');
    await page.context().close();
  },
};
