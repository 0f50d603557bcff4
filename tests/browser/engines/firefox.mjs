// Firefox, driven by puppeteer over WebDriver BiDi.

import puppeteer from 'puppeteer-core';

/** Starts it and returns its version, a driver (see steps.mjs), and what ends it. */
export async function start() {
  const browser = await puppeteer.launch({
    browser: 'firefox',
    executablePath: process.env.FIREFOX || '/usr/bin/firefox-esr',
    headless: true,
    // Puppeteer makes a profile of its own and removes it.
    extraPrefsFirefox: { 'network.dns.offline-localhost': false },
  });
  const page = await browser.newPage();
  await page.setViewport({ width: 1440, height: 900 });
  const problems = [];
  page.on('pageerror', (error) => problems.push(`page error: ${error.stack ?? error.message}`));
  page.on('console', (message) => {
    if (message.type() === 'error') problems.push(`console error: ${message.text()}`);
  });
  return {
    version: await browser.version(),
    driver: {
      problems,
      open: (address) => page.goto(address, { waitUntil: 'load' }),
      reload: () => page.reload({ waitUntil: 'load' }),
      run: (act, ...more) => page.evaluate(act, ...more),
      size: (width, height) => page.setViewport({ width, height }),
      press: (selector) => page.click(selector),
      async type(selector, text) {
        await page.click(selector);
        await page.keyboard.down('Control');
        await page.keyboard.press('a');
        await page.keyboard.up('Control');
        await page.keyboard.type(text, { delay: 20 });
      },
    },
    stop: () => browser.close(),
  };
}
