// Every lesson: its question is open at first, is answered by moving its controls with the keyboard
// alone, and is marked as answered after a reload; nothing runs off the side; axe finds nothing.

import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { PHONE, go, open, until } from '../page.mjs';

const AXE = new URL('../node_modules/axe-core/axe.min.js', import.meta.url);

// For each lesson the controls to move, and how many steps to the right (left below 0).
const ANSWERS = [
  [['turn-1', 4], ['turn-0', 38]],
  [['turn-0', 38]],
  [['turn-0', 1], ['turn-1', 9]],
  [['turn-0', 1]],
  [['turn-2', 3]],
  [['turn-0', -14]],
  [['turn-0', -1], ['turn-1', 9]],
];

const verdict = (page) => page.locator('[data-verdict]');

async function turn(page, number) {
  await page.locator(`[data-lesson="${number}"]`).focus();
  await page.keyboard.press('Enter');
  await until(
    async () => (await page.locator(`[data-lesson="${number}"]`).getAttribute('aria-current')) === 'true',
    `lesson ${number + 1} opens`,
  );
  // It takes the keyboard to its title with the next frame.
  await until(
    async () => (await page.evaluate(() => document.activeElement.id)) === 'lesson-title',
    `lesson ${number + 1} is read from its title`,
  );
}

async function over(page) {
  return page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
}

export default {
  name: 'every lesson can be answered with the keyboard, and stays answered',
  async run({ browser, url, report, assert }) {
    const axe = await readFile(AXE, 'utf8');
    const page = await open(browser, url);
    await go(page, 'learn');
    for (const [number, moves] of ANSWERS.entries()) {
      await turn(page, number);
      assert.equal(await verdict(page).getAttribute('data-verdict'), 'open', `lesson ${number + 1} at its start`);
      assert.ok((await page.locator('[data-lesson].done').count()) === number, 'marked too early');
      const starts = new Map();
      for (const [control, steps] of moves) {
        const slide = page.locator(`#${control}`);
        starts.set(control, Number(await slide.inputValue()));
        await slide.focus();
        const before = await slide.getAttribute('aria-valuetext');
        for (let i = 0; i < Math.abs(steps); i += 1) {
          await page.keyboard.press(steps > 0 ? 'ArrowRight' : 'ArrowLeft');
        }
        await until(async () => (await slide.getAttribute('aria-valuetext')) !== before, 'the control tells its value');
      }
      // A control shows where it stands, also in a lesson that is come to after another.
      for (const [control, steps] of moves) {
        const slide = page.locator(`#${control}`);
        const [value, start, step] = [await slide.inputValue(), starts.get(control), await slide.getAttribute('step')];
        assert.ok(Math.abs(Number(value) - start - steps * Number(step)) < 1e-6, `${control} is at ${value}`);
      }
      const says = await verdict(page).innerText();
      assert.equal(await verdict(page).getAttribute('data-verdict'), 'answered', `lesson ${number + 1}: ${says}`);
      assert.match(says, /[0-9]/, 'the number reached is named');
      assert.ok((await page.locator('.equations math').count()) >= 2, 'the formula is there with its values');
    }
    await page.reload();
    await page.waitForSelector('[data-answer]');
    await go(page, 'learn');
    assert.equal(await page.locator('[data-lesson].done').count(), ANSWERS.length, 'marks after a reload');

    // The lesson's build goes over to the match, and back.
    const name = page.locator('.name input');
    const own = await name.inputValue();
    await page.locator('[data-act="open-lesson"]').click();
    await until(async () => (await name.inputValue()) !== own, 'the build opens');
    await page.locator('[data-act="undo"]:visible').first().click();
    await until(async () => (await name.inputValue()) === own, 'undo brings the own build back');
    await page.context().close();

    for (const colorScheme of ['light', 'dark']) {
      const small = await open(browser, url, { ...PHONE, viewport: { width: 320, height: 640 }, colorScheme });
      await small.locator('[data-place="learn"]').tap();
      await small.locator('.learn h2').waitFor();
      for (const number of ANSWERS.keys()) {
        await small.locator(`[data-lesson="${number}"]`).tap();
        await small.waitForTimeout(150);
        assert.ok((await over(small)) <= 0, `lesson ${number + 1} runs off the side at 320`);
        await small.screenshot({ path: join(report, `lesson-${number + 1}-${colorScheme}.png`) });
        if (number === 0) await small.evaluate(axe);
        const found = await small.evaluate(async () => {
          const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
          const result = await globalThis.axe.run({ runOnly: tags });
          return result.violations.map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 160)}`);
        });
        assert.deepEqual(found, [], `lesson ${number + 1} ${colorScheme}`);
      }
      await small.context().close();
    }
  },
};
