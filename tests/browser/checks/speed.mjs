// How long an edit takes, from the key to the painted plots. Measured and printed, never asserted:
// machines are noisy. `node run.mjs speed` alone gives the cleanest figures.

import { PHONE, field, open } from '../page.mjs';

function summary(times) {
  const sorted = [...times].sort((a, b) => a - b);
  const at = (share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return `median ${at(0.5).toFixed(1)} ms, p95 ${at(0.95).toFixed(1)} ms (n ${sorted.length})`;
}

export default {
  name: 'how long an edit takes (printed, not judged)',
  async run({ browser, url, assert }) {
    for (const [name, options, throttle] of [
      ['desktop', {}, 1],
      ['phone, processor slowed 4 times', PHONE, 4],
    ]) {
      const page = await open(browser, url, options);
      if (options.isMobile) await page.locator('[data-part="goal"]').first().tap();
      const session = await page.context().newCDPSession(page);
      await session.send('Emulation.setCPUThrottlingRate', { rate: throttle });
      await field(page, 'boost_target').click();
      await page.evaluate(() => performance.clearMeasures());
      for (let i = 0; i < 15; i += 1) {
        await page.keyboard.press('Control+a');
        for (const key of ['1', '.', '1', String(i % 10)]) {
          await page.keyboard.press(key);
          await page.waitForTimeout(40);
        }
      }
      const times = await page.evaluate(() =>
        ['airpath: solve', 'airpath: input to paint'].map((what) => [
          what,
          performance.getEntriesByName(what).map((entry) => entry.duration),
        ]),
      );
      for (const [what, list] of times) {
        assert.ok(list.length > 20, `${what}: only ${list.length} measured`);
        console.log(`    ${name}: ${what}: ${summary(list)}`);
      }
      await page.context().close();
    }
  },
};
