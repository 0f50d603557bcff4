// After one visit the page opens without a connection, under any folder; what is not whole is not
// kept; it can be installed.

import { answer, field, kept, open, type, until } from '../page.mjs';
import { DIST, files } from '../server.mjs';

const FOLDER = 'offline/below another';

/** The width and height that a PNG states (PNG specification, IHDR). */
const size = (png) => `${png.readUInt32BE(16)}x${png.readUInt32BE(20)}`;

export default {
  name: 'the page opens without a connection and can be installed',
  provokes: [/^console error: .*favicon\.ico/],
  async run({ browser, site, assert }) {
    const all = await files(DIST);
    const url = await site.mount(FOLDER, all);
    const page = await open(browser, url);
    await kept(page);
    await type(page, 'boost_target', '1.05');
    await page.keyboard.press('Tab');
    const mine = await answer(page);
    await page.waitForTimeout(500);

    site.unmount(FOLDER);
    const before = site.asked.length;
    for (const address of [url, `${url}index.html`, `${url}?anything`]) {
      await page.goto(address);
      await page.waitForSelector('[data-answer]');
      assert.equal(await answer(page), mine, `${address}: another answer without a connection`);
    }
    await type(page, 'boost_target', '0.8');
    await until(async () => (await answer(page)) !== mine, 'the answer follows without a connection');
    const served = site.asked.slice(before).map(([path]) => path).filter((path) => !path.endsWith('sw.js'));
    assert.deepEqual(served, [], 'without a connection the page still asked for files');
    await page.locator('[data-place="builds"]').first().click();
    assert.match(await page.locator('[data-without-connection]').innerText(), /opens without a connection/);

    // So does every part that was never looked at, also once the browser has put the worker away.
    const browserwide = await page.context().newCDPSession(page);
    await browserwide.send('ServiceWorker.enable');
    await browserwide.send('ServiceWorker.stopAllWorkers');
    await page.reload();
    await page.locator('[data-answer] [data-opens]').first().click();
    await page.locator('.working h2').waitFor();
    await page.locator('[data-act="working-close"]').click();
    await page.locator('.figure.map [aria-expanded]').click();
    await page.locator('#map-table table').waitFor();
    await page.locator('[data-act="share"]').first().click();
    await page.locator('[data-share-link]').waitFor();
    await page.locator('[data-place="learn"]').click();
    await page.locator('.learn h2').waitFor();

    // Nobody answers while the page is not kept: this shows that the connection really is gone.
    const other = await browser.newPage();
    await assert.rejects(other.goto(url), /ERR_/, 'the server still answers');

    // A site that is half uploaded is never kept.
    const broken = new Map(all);
    const sheet = [...broken.keys()].find((name) => name.endsWith('.css'));
    broken.set(sheet, Buffer.concat([broken.get(sheet), Buffer.from('/* other */')]));
    const half = await site.mount('offline-broken', broken);
    const third = await browser.newPage();
    await third.goto(`${half}manifest.webmanifest`);
    const outcome = await third.evaluate(async () => {
      const registration = await navigator.serviceWorker.register('sw.js');
      const worker = registration.installing ?? registration.waiting ?? registration.active;
      while (!['redundant', 'activated'].includes(worker.state)) await new Promise((go) => setTimeout(go, 20));
      return [worker.state, await caches.keys()];
    });
    assert.deepEqual(outcome, ['redundant', []], 'a broken version was kept');

    // The manifest: relative, with icons of the sizes that it states.
    const manifest = JSON.parse(all.get('manifest.webmanifest').toString());
    assert.deepEqual([manifest.start_url, manifest.scope], ['./', './']);
    for (const icon of manifest.icons) assert.equal(size(all.get(icon.src)), icon.sizes, icon.src);
    const installs = await open(browser, await site.mount('installs', all));
    await kept(installs);
    const session = await installs.context().newCDPSession(installs);
    const { errors } = await session.send('Page.getAppManifest');
    assert.deepEqual(errors, []);
    const { installabilityErrors } = await session.send('Page.getInstallabilityErrors');
    // A private window installs nothing, and each check runs in one.
    const reasons = installabilityErrors.map((error) => error.errorId).filter((id) => id !== 'in-incognito');
    assert.deepEqual(reasons, []);
    await field(installs, 'boost_target').waitFor();
  },
};
