// The page forbids itself code and requests from elsewhere, and needs nothing that it forbids.

import { go, open } from '../page.mjs';

export default {
  name: 'nothing foreign runs and nothing goes elsewhere',
  provokes: [
    /^console error: .*Content Security Policy/,
    /^request to elsewhere: https:\/\/elsewhere\.example\//,
  ],
  async run({ browser, url, assert }) {
    const context = await browser.newContext({ viewport: { width: 1440, height: 900 } });
    await context.addInitScript(() => {
      globalThis.broken = [];
      document.addEventListener('securitypolicyviolation', (event) =>
        globalThis.broken.push(event.effectiveDirective),
      );
    });
    const page = await context.newPage();
    await page.goto(url);
    await page.waitForSelector('[data-answer]');
    const policy = await page.locator('meta[http-equiv="Content-Security-Policy"]').getAttribute('content');
    const rules = new Map(policy.split(';').map((rule) => rule.trim().split(/ (.*)/).slice(0, 2)));
    assert.equal(rules.get('default-src'), "'none'");
    assert.equal(rules.get('connect-src'), "'self'");
    assert.doesNotMatch(rules.get('script-src'), /unsafe-inline|'unsafe-eval'|https?:|\*|data:|blob:/);
    assert.doesNotMatch(rules.get('style-src'), /unsafe-inline/);

    // All of the page's own is allowed.
    for (const place of ['learn', 'builds', 'match']) {
      await go(page, place);
    }
    await page.locator('[data-opens]:visible').first().click();
    await page.locator('.working h2').waitFor();
    await page.keyboard.press('Escape');
    await page.waitForTimeout(200);
    assert.deepEqual(await page.evaluate(() => globalThis.broken), [], 'the page breaks its own policy');

    const broken = await page.evaluate(async () => {
      const tries = {
        script: () => {
          const script = document.createElement('script');
          script.textContent = 'globalThis.ran = true';
          document.head.append(script);
        },
        handler: () => {
          document.body.insertAdjacentHTML('beforeend', '<img alt="" src="data:," onerror="globalThis.ran = true">');
        },
        foreign: () => {
          const script = document.createElement('script');
          script.src = 'https://elsewhere.example/a.js';
          document.head.append(script);
        },
        fetch: () => fetch('https://elsewhere.example/a').catch(() => {}),
        beacon: () => navigator.sendBeacon('https://elsewhere.example/b', 'x'),
        picture: () => {
          new Image().src = 'https://elsewhere.example/c.png';
        },
        sheet: () => {
          const style = document.createElement('style');
          style.textContent = 'body { opacity: 0 }';
          document.head.append(style);
        },
        frame: () => {
          const frame = document.createElement('iframe');
          frame.src = 'https://elsewhere.example/';
          document.body.append(frame);
        },
      };
      const outcome = {};
      for (const [name, act] of Object.entries(tries)) {
        globalThis.broken = [];
        await act();
        await new Promise((go) => setTimeout(go, 150));
        outcome[name] = globalThis.broken[0];
      }
      return { ...outcome, ran: globalThis.ran ?? false, opacity: getComputedStyle(document.body).opacity };
    });
    assert.deepEqual(broken, {
      script: 'script-src-elem',
      handler: 'script-src-attr',
      foreign: 'script-src-elem',
      fetch: 'connect-src',
      beacon: 'connect-src',
      picture: 'img-src',
      sheet: 'style-src-elem',
      frame: 'frame-src',
      ran: false,
      opacity: '1',
    });

    // A page that is left alone asks for nothing more.
    const quiet = await open(browser, url);
    await quiet.evaluate(() => navigator.serviceWorker.ready);
    const asked = [];
    quiet.context().on('request', (request) => asked.push(request.url()));
    await quiet.waitForTimeout(1500);
    assert.deepEqual(asked.filter((address) => !address.startsWith(url)), []);
  },
};
