// Every number opens its working, down to what was typed; from there the field can be changed.

export default {
  name: 'a number opens its working, down to the field it comes from',
  async run({ browser, url, assert }) {
    for (const [width, height, touch] of [[390, 844, true], [1440, 900, false]]) {
      const context = await browser.newContext({ viewport: { width, height }, hasTouch: touch });
      const page = await context.newPage();
      await page.goto(url);
      const press = async (selector) => {
        const target = page.locator(selector).first();
        await (touch ? target.tap() : target.click());
      };
      const title = () => page.locator('#working-title').innerText();

      await page.waitForSelector('[data-answer] [data-opens=power]');
      const shown = await page.locator('[data-answer] [data-opens=power]').innerText();
      await press('[data-answer] [data-opens=power]');
      await page.waitForSelector('.working');
      assert.equal(await page.evaluate(() => document.activeElement?.id), 'working-title');
      // The same number, with more figures.
      const opened = parseFloat((await page.locator('[data-working]').innerText()).replace(',', ''));
      assert.equal(Math.round(opened), parseInt(shown.replace(',', ''), 10));
      assert.equal(await page.locator('.equations > div:has(math)').count(), 2, 'symbols and values');

      for (const step of ['gross_pressure', 'gross_power', 'heat', 'fuel_flow', 'dry_air', 'displacement']) {
        await press(`.working [data-step=${step}]`);
      }
      assert.match(await title(), /Capacity/);
      assert.match(await page.locator('.working').innerText(), /you entered 2\.2/);
      assert.equal(await page.locator('.trail li').count(), 8);

      // Back along the trail, and round to a number that was opened before.
      await press('[data-act=working-back]');
      assert.match(await title(), /Dry air/);
      await press('.trail [data-step=heat]');
      assert.match(await title(), /Heat released/);
      assert.equal(await page.locator('.trail li').count(), 5);

      // Another engine speed: the working follows.
      const before = await page.locator('[data-working]').innerText();
      await page.locator('#engine-speed').focus();
      for (let i = 0; i < 8; i += 1) await page.keyboard.press('ArrowLeft');
      await page.waitForTimeout(100);
      assert.notEqual(await page.locator('[data-working]').innerText(), before);

      // All numbers, and from one of them to its field.
      await press('.trail button');
      assert.ok((await page.locator('.working [data-step]').count()) > 80);
      await press('.working [data-step=wall_share]');
      await press('.working [data-step=wall_heat]');
      await press('.working [data-change=wall_heat]');
      await page.waitForSelector('.working', { state: 'detached' });
      await page.waitForFunction(() => document.activeElement?.id === 'f-wall_heat');

      // Escape closes, and reading goes on at the number.
      if (!touch) {
        await press('[data-answer] [data-opens=boost]');
        await page.waitForSelector('.working');
        await page.keyboard.press('Escape');
        await page.waitForSelector('.working', { state: 'detached' });
        await page.waitForFunction(() => document.activeElement?.dataset.opens === 'boost');
      }
      await context.close();
    }
  },
};
