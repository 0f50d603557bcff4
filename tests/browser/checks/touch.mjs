// Whatever is touched is 44 pixels large, on every screen of a phone, and nothing runs off its side.

import { PHONE, go, open, type } from '../page.mjs';
import { openPicture } from '../picture.mjs';

/** What is too small: a control with the area around it that belongs to it. */
function small(page) {
  return page.evaluate(() => {
    const found = [];
    for (const e of document.querySelectorAll('button, input, select, summary, a[href], canvas[tabindex]')) {
      const box = e.getBoundingClientRect();
      if (!e.checkVisibility({ visibilityProperty: true }) || box.width < 2 || e.closest('.unseen')) continue;
      let [width, height] = [box.width, box.height];
      // A number in a sentence may break over two lines: each is as high as one.
      if (e.matches('.opens')) height = e.getClientRects()[0].height;
      for (const pseudo of ['::before', '::after']) {
        const style = getComputedStyle(e, pseudo);
        if (style.content === 'none' || style.position !== 'absolute') continue;
        width = Math.max(width, parseFloat(style.width));
        height = Math.max(height, parseFloat(style.height));
      }
      if (Math.min(width, height) < 43.5) {
        found.push(`${width.toFixed(0)}×${height.toFixed(0)} ${e.outerHTML.slice(0, 90)}`);
      }
    }
    return found;
  });
}

const over = (page) =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

export default {
  name: 'whatever is touched is 44 pixels large',
  seconds: 700,
  async run({ browser, url, assert }) {
    for (const viewport of [{ width: 390, height: 844 }, { width: 320, height: 640 }, { width: 844, height: 390 }, { width: 768, height: 1024 }]) {
      const page = await open(browser, url, { ...PHONE, viewport });
      const look = async (screen) => {
        await page.waitForTimeout(150);
        assert.deepEqual(await small(page), [], `${viewport.width} px, ${screen}`);
        assert.ok((await over(page)) <= 0, `${viewport.width} px, ${screen}: runs off the side`);
      };
      await look('match');
      const shut = page.locator('.figure button[aria-expanded="false"]');
      while ((await shut.count()) > 0) await shut.first().tap();
      await look('tables');
      await page.locator('.menu').tap();
      await look('menu');
      await page.locator('[data-act="keys"]').tap();
      await look('keys');
      await page.locator('[data-act="keys-close"]').tap();
      await page.locator('[data-answer] [data-opens]').first().tap();
      await look('working');
      await page.locator('.trail button').first().tap();
      await look('all numbers');
      await page.locator('[data-act="working-close"]').tap();
      await page.locator('[data-part="engine"]').first().tap();
      await type(page, 'displacement', '9000');
      for (const more of await page.locator('.part.open header button').all()) await more.tap();
      await page.locator('.part.open .ask').first().tap();
      await page.locator('[data-error-of="displacement"]').waitFor();
      await look('a part with an error');
      await page.keyboard.press('Escape');
      const done = page.locator('.sheet-buttons .done');
      if (await done.isVisible()) await done.tap();
      await go(page, 'choose');
      await page.locator('[data-act="screen"]').tap();
      await page.locator('[data-screened]').waitFor({ timeout: 60_000 });
      await page.locator('.shortlist button', { hasText: 'Limits' }).tap();
      await page.locator('[data-act="sizes"]').tap();
      await look('choose');
      await go(page, 'sheets');
      await look('build sheet');
      await page.locator('[data-which="application"]').tap();
      await page.locator('[data-sheet="Application sheet"]').waitFor({ timeout: 60_000 });
      await page.locator('.sheets button', { hasText: 'Settings and room in hand' }).tap();
      await look('application sheet');
      await page.locator('[data-which="swap"]').tap();
      await page.locator('[data-sheet="Swap sheet"]').waitFor();
      await look('swap sheet');
      await go(page, 'shelf');
      await page.locator('[data-do=from-sizes]').tap();
      await page.locator('[data-numbers] [data-record=We]').waitFor();
      await look('numbers of a turbocharger');
      await page.locator('[data-do=from-picture]').tap();
      await page.locator('[data-act=open-picture]').waitFor();
      await openPicture(page);
      await look('trace');
      await page.context().close();
    }
  },
};
