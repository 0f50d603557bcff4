// One engine speed marks everything: dragged on a plot, stepped with the keys and the buttons.

import { open, until } from '../page.mjs';

export default {
  name: 'one engine speed links every plot',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    const slide = page.locator('#engine-speed');
    const speed = async () => Number(await slide.inputValue());
    const way = async () => page.locator('.figure.way').innerText();

    const [at, text] = [await speed(), await way()];
    await slide.focus();
    for (let i = 0; i < 5; i += 1) await page.keyboard.press('ArrowLeft');
    await until(async () => (await speed()) < at, 'the arrow keys step the speed');
    assert.notEqual(await way(), text, 'the air’s way did not follow');

    // Drag across the traces with the mouse, a step at a time.
    const traces = page.locator('[data-plot="traces"]');
    await traces.scrollIntoViewIfNeeded();
    const box = await traces.boundingBox();
    await page.mouse.move(box.x + 0.3 * box.width, box.y + 0.5 * box.height);
    await page.mouse.down();
    const seen = new Set();
    for (let i = 0; i <= 10; i += 1) {
      await page.mouse.move(box.x + (0.3 + 0.05 * i) * box.width, box.y + 0.5 * box.height);
      await page.evaluate(() => new Promise(requestAnimationFrame));
      seen.add(await speed());
    }
    await page.mouse.up();
    assert.ok(seen.size >= 8, `dragging gave only ${seen.size} speeds`);
    const speeds = [...seen];
    assert.ok(speeds.every((value, i) => i === 0 || value > speeds[i - 1]), 'speeds do not rise with the drag');
  },
};
