// Every screen of the page, each seen by axe against WCAG 2.2 AA and its own good practice.

import { readFile } from 'node:fs/promises';
import { go, open, type } from './page.mjs';
import { openPicture } from './picture.mjs';

const AXE = new URL('./node_modules/axe-core/axe.min.js', import.meta.url);
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22a', 'wcag22aa', 'best-practice'];

/** Every screen: how to come to it from the one before, and how to leave it. */
const SCREENS = [
  ['match', async () => {}],
  ['map read and zoomed', async (page) => {
    await page.locator('canvas[data-plot="map"]').focus();
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('+');
    await page.locator('[data-reset="map"]').waitFor();
  }],
  ['tables', async (page) => {
    await page.keyboard.press('0');
    await page.keyboard.press('Escape');
    const shut = page.locator('.figure button[aria-expanded="false"]');
    while ((await shut.count()) > 0) await shut.first().click();
  }],
  ['cautions', async (page) => {
    const shown = page.locator('.figure button[aria-expanded="true"]');
    while ((await shown.count()) > 0) await shown.first().click();
    await page.locator('.cautions summary').click();
  }],
  ['menu', async (page) => {
    if (await page.locator('.menu').isVisible()) await page.locator('.menu').click();
  }],
  ['keys', async (page) => {
    await page.locator('[data-act="keys"]').click();
    await page.locator('dialog[open]').waitFor();
  }],
  ['working', async (page) => {
    await page.locator('[data-act="keys-close"]').click();
    await page.locator('[data-answer] [data-opens]').first().click();
    await page.locator('.working').waitFor();
  }],
  ['a step deeper', async (page) => {
    await page.locator('.working [data-step]').nth(1).click();
  }],
  ['all numbers', async (page) => {
    await page.locator('.trail button').first().click();
    // Down to the end: above it, a row half under the buttons that stay in sight counts as small.
    await page.locator('.working').evaluate((e) => e.scrollTo(0, e.scrollHeight));
  }],
  ['a part with an error and help', async (page) => {
    await page.locator('[data-act="working-close"]').click();
    await page.locator('[data-part="engine"]').first().click();
    await type(page, 'displacement', '9000');
    await page.locator('.part.open .ask').first().click();
    await page.locator('[data-error-of="displacement"]').waitFor();
  }],
  ['learn', async (page) => {
    await page.keyboard.press('Escape');
    const done = page.locator('.sheet-buttons .done');
    if (await done.isVisible()) await done.click();
    await go(page, 'learn');
  }],
  ['choose', async (page) => {
    await go(page, 'choose');
    await page.locator('[data-act="screen"]').click();
    await page.locator('[data-screened]').waitFor({ timeout: 60_000 });
    await page.locator('.shortlist button', { hasText: 'Limits' }).click();
    await page.locator('.shortlist button', { hasText: 'What is rejected' }).click();
  }],
  ['sizes', async (page) => {
    await page.locator('[data-act="sizes"]').click();
    await page.locator('.proposal.first button[aria-expanded]').click();
  }],
  ['build sheet', async (page) => {
    await go(page, 'sheets');
  }],
  ['application sheet', async (page) => {
    await page.locator('[data-which="application"]').click();
    await page.locator('[data-sheet="Application sheet"]').waitFor({ timeout: 60_000 });
    await page.locator('.sheets button', { hasText: 'Settings and room in hand' }).click();
  }],
  ['swap sheet', async (page) => {
    await page.locator('[data-which="swap"]').click();
    await page.locator('[data-sheet="Swap sheet"]').waitFor();
  }],
  ['builds', async (page) => {
    await go(page, 'builds');
  }],
  ['shelf', async (page) => {
    await go(page, 'shelf');
  }],
  ['numbers of a turbocharger', async (page) => {
    await page.locator('[data-do=from-sizes]').click();
    await page.locator('[data-numbers] [data-record=We]').waitFor();
  }],
  ['trace without a picture', async (page) => {
    await page.locator('[data-do=from-picture]').click();
    await page.locator('[data-act=open-picture]').waitFor();
  }],
  ['trace', async (page) => {
    await openPicture(page);
    await page.locator('[data-hand="Surge line"]').click();
    await page.locator('[data-board]').click();
    await page.locator('[data-stroke]').waitFor();
  }],
];

/** What axe finds on every screen of a device, light and dark. */
export async function look(browser, url, options) {
  const axe = await readFile(AXE, 'utf8');
  const found = [];
  for (const colorScheme of ['light', 'dark']) {
    const page = await open(browser, url, { ...options, colorScheme });
    await page.evaluate(axe);
    for (const [screen, go] of SCREENS) {
      await go(page);
      await page.waitForTimeout(250);
      const violations = await page.evaluate(async (tags) => {
        // The rows of a table are all made alike: a few of them tell as much as a hundred.
        const where = { exclude: [['.table tbody tr:nth-child(n+6)']] };
        const look = (rules) => globalThis.axe.run(where, {
          runOnly: rules,
          // On a phone a sheet takes the place of the head, and of the h1 in it; its title is an h2.
          rules: { 'page-has-heading-one': { enabled: false } },
          resultTypes: ['violations'],
        });
        const { violations } = await look(tags);
        // What lies half under a bar that stays in sight counts as small: only what is small
        // wherever the page stands is.
        const small = violations.find((v) => v.id === 'target-size');
        if (small !== undefined) {
          scrollBy(0, scrollY > 100 ? -61 : 61);
          document.querySelector('.working')?.scrollBy(0, -61);
          const again = (await look({ type: 'rule', values: ['target-size'] })).violations[0]?.nodes ?? [];
          const still = new Set(again.map((node) => node.html));
          small.nodes = small.nodes.filter((node) => still.has(node.html));
        }
        return violations.filter((v) => v.nodes.length > 0).map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 140)}`);
      }, TAGS);
      found.push(...violations.map((v) => `${colorScheme} ${screen}: ${v}`));
    }
    await page.context().close();
  }
  return found;
}
