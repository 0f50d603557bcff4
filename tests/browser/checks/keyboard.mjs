// Everything by keyboard alone: Tab reaches all of it, focus is always to be seen and never hidden
// under what stands fixed, nothing holds it, and it comes back when something closes.

import { PHONE, open, until } from '../page.mjs';

/** What has the keyboard, and how it shows. */
function focused(page) {
  return page.evaluate(() => {
    const e = document.activeElement;
    if (e === null || e === document.body) return null;
    const style = getComputedStyle(e);
    const box = e.getBoundingClientRect();
    const seen = [0.5, 0.1, 0.9].some((share) => {
      const x = Math.min(innerWidth - 1, Math.max(0, box.left + share * box.width));
      const y = Math.min(innerHeight - 1, Math.max(0, box.top + share * box.height));
      const top = document.elementFromPoint(x, y);
      return top !== null && (e.contains(top) || top.contains(e));
    });
    const what = e.id || e.dataset.plot || e.dataset.opens || e.dataset.part || e.dataset.act || e.dataset.place
      || e.dataset.picture || e.getAttribute('aria-label') || e.innerText || e.className || e.tagName;
    return {
      what: `${e.tagName.toLowerCase()} ${String(what).slice(0, 40)}`,
      ring: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2,
      seen,
      inside: e.closest('dialog, .working')?.tagName ?? '',
    };
  });
}

async function tabThrough(page, assert, most) {
  const stops = [];
  for (let i = 0; i < most; i += 1) {
    await page.keyboard.press('Tab');
    const stop = await focused(page);
    // Past the last stop the browser itself has the keyboard.
    if (stop === null) return stops;
    assert.ok(stop.ring, `no ring around ${stop.what}`);
    assert.ok(stop.seen, `hidden while it has the keyboard: ${stop.what}`);
    stops.push(stop.what);
  }
  throw new Error(`still not through after ${most} stops, at ${stops.at(-1)}`);
}

const has = (page, selector) => page.evaluate((s) => document.activeElement?.matches(s) ?? false, selector);

/** Goes on by Tab until something has the keyboard. */
async function tabTo(page, selector) {
  for (let i = 0; i < 400; i += 1) {
    if (await has(page, selector)) return;
    await page.keyboard.press('Tab');
  }
  throw new Error(`Tab never came to ${selector}`);
}

export default {
  name: 'everything works by keyboard alone',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    const stops = await tabThrough(page, assert, 400);
    for (const wanted of ['canvas map', 'canvas traces', 'input engine-speed', 'button engine', 'button match',
      'button keys', 'button map', 'input f-displacement']) {
      assert.ok(stops.includes(wanted), `Tab does not reach ${wanted}: ${stops.join(', ')}`);
    }

    // A number opens its working; the title has the keyboard; Escape gives it back.
    await tabTo(page, '[data-answer] [data-opens]');
    const opener = (await focused(page)).what;
    await page.keyboard.press('Enter');
    await until(() => has(page, '#working-title'), 'the working has the keyboard');
    await tabTo(page, '.working [data-step]');
    await page.keyboard.press('Enter');
    await until(() => has(page, '#working-title'), 'the next working has the keyboard');
    await page.keyboard.press('Escape');
    await until(async () => (await focused(page))?.what === opener, 'the number has the keyboard back');

    // The list of keys holds the keyboard while it is open and gives it back.
    await page.keyboard.press('Control+/');
    await until(() => has(page, 'dialog *'), 'the list has the keyboard');
    await page.keyboard.press('Escape');
    await until(async () => (await focused(page))?.what === opener, 'the keyboard is back');
    // A plain "?" is only the plots' and the slide's.
    await page.keyboard.press('?');
    assert.equal(await page.locator('dialog[open]').count(), 0, '"?" works everywhere');
    for (const place of ['canvas[data-plot="map"]', 'canvas[data-plot="traces"]', '#engine-speed']) {
      await tabTo(page, place);
      await page.keyboard.press('?');
      await until(() => has(page, 'dialog *'), `"?" on ${place}`);
      await page.keyboard.press('Escape');
      await until(() => has(page, place), `the keyboard is back on ${place}`);
    }

    // A part: its button opens it and its fields are next.
    await tabTo(page, '[data-part="engine"]');
    await page.keyboard.press('Enter');
    await until(() => has(page, '#part-engine h2'), 'the part has the keyboard');
    await tabTo(page, '#f-displacement');
    await page.context().close();

    // On a phone with a keyboard: the part is a sheet of its own, and closes to its button.
    const phone = await open(browser, url, PHONE);
    await tabThrough(phone, assert, 200);
    await tabTo(phone, '[data-part="engine"]');
    await phone.keyboard.press('Enter');
    await until(() => has(phone, '#part-engine h2'), 'the part has the keyboard');
    await tabTo(phone, '.done');
    await phone.keyboard.press('Enter');
    await until(() => has(phone, '[data-part="engine"]'), 'its button has the keyboard back');

    // The hint has done its work, and does not come again.
    assert.equal(await phone.locator('[data-hint]').count(), 0);
    await phone.reload();
    await phone.waitForSelector('[data-answer] button');
    assert.equal(await phone.locator('[data-hint]').count(), 0, 'the hint came again');
  },
};
