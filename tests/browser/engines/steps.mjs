// What every engine does: the first view, an edit by keyboard, the plots, saving, the page without
// a connection, the page as one file. A driver gives the few things that are done to a page:
//
//   open(address), reload()       and wait for the load
//   run(function, ...arguments)   runs it in the page and returns what it returns
//   type(selector, text)          clicks into an input, selects what is there, and types over it
//   press(selector)               clicks
//   size(width, height)           of the screen
//   problems                      errors that the page wrote to its console, where the driver hears them

import assert from 'node:assert/strict';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { DIST, files } from '../server.mjs';

const ONE_FILE = fileURLToPath(new URL('../../../target/airpath.html', import.meta.url));

/** Further steps, each a file beside this one that exports its name and run(). */
const FURTHER = ['links.mjs'];

/** Waits until the driver's page gives something that holds. */
export async function until(driver, what, condition, ...more) {
  const end = Date.now() + 30_000;
  for (;;) {
    const found = await driver.run(condition, ...more).catch(() => null);
    if (found) return found;
    if (Date.now() > end) throw new Error(`never came: ${what}`);
    await new Promise((done) => setTimeout(done, 50));
  }
}

export const answer = (driver) =>
  until(driver, 'an answer', () =>
    document.querySelector('[data-answer]')?.innerText.replace(/\s+/g, ' ').trim(),
  );

/** What stands in a field; the fields come a moment after the answer. */
export const value = (driver, id) =>
  until(driver, `the field ${id}`, (id) => document.querySelector(`[data-field="${id}"]`)?.value, id);

const colours = (plot) => {
  const canvas = document.querySelector(`[data-plot="${plot}"] canvas, canvas[data-plot="${plot}"]`);
  canvas.scrollIntoView({ block: 'center' });
  const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
  return new Set(new Uint32Array(data.buffer)).size > 8;
};

/** Types a number and waits for another answer, which is returned. */
async function edit(driver, text) {
  const before = await answer(driver);
  await value(driver, 'boost_target');
  await driver.run(() => document.querySelector('[data-field="boost_target"]').scrollIntoView({ block: 'center' }));
  await driver.type('[data-field="boost_target"]', text);
  assert.equal(await value(driver, 'boost_target'), text, 'what is typed is not what stands');
  await until(
    driver,
    'an edit changes the answer',
    (before) => document.querySelector('[data-answer]').innerText.replace(/\s+/g, ' ').trim() !== before,
    before,
  );
  return answer(driver);
}

const STEPS = {
  async 'the first view'({ driver, url }) {
    await driver.open(url);
    assert.match(await answer(driver), /kW at .* rev\/min/);
  },

  async 'an edit by keyboard, digit by digit'({ driver }) {
    const first = await answer(driver);
    const other = await edit(driver, '0.95');
    assert.notEqual(other, first);
  },

  async 'the plots are drawn'({ driver }) {
    for (const plot of ['map', 'traces']) await until(driver, `the plot “${plot}”`, colours, plot);
  },

  async 'the page holds on a narrow screen'({ driver }) {
    await driver.size(390, 844);
    await answer(driver);
    const [width, over] = await until(driver, 'a narrow screen', () => {
      const { clientWidth, scrollWidth } = document.documentElement;
      return innerWidth < 768 && [innerWidth, scrollWidth - clientWidth];
    });
    console.log(`    (${width} px wide)`);
    assert.ok(over <= 0, `${over} px run off the side`);
    await driver.size(1440, 900);
  },

  async 'a reload keeps what was entered'({ driver }) {
    const mine = await answer(driver);
    await new Promise((done) => setTimeout(done, 800));
    await driver.reload();
    assert.equal(await answer(driver), mine);
    assert.match(await value(driver, 'boost_target'), /^0\.95/);
  },

  async 'the page opens without a connection'({ driver, site, folder, list }) {
    if (!(await driver.run(() => 'serviceWorker' in navigator))) {
      // It must then say so.
      await driver.press('[data-place="builds"]');
      await until(driver, 'a word about it', () =>
        /only with a connection/.test(document.querySelector('[data-without-connection]').innerText),
      );
      console.log('    (this browser has no service workers, and the page says so)');
      return;
    }
    await until(driver, 'the page is kept', () => navigator.serviceWorker.controller !== null);
    const mine = await answer(driver);
    site.unmount(folder);
    const before = site.asked.length;
    try {
      await driver.reload();
      assert.equal(await answer(driver), mine);
      await edit(driver, '1.15');
      // The server answered nothing; only the service worker's own file may have been asked for.
      const asked = site.asked.slice(before).map(([path]) => path);
      assert.deepEqual(asked.filter((path) => !path.endsWith('/sw.js')), []);
    } finally {
      await site.mount(folder, list);
    }
  },

  async 'the page as one file, from a disk'({ driver }) {
    await driver.open(pathToFileURL(ONE_FILE).href);
    assert.match(await answer(driver), /kW at .* rev\/min/);
    const mine = await edit(driver, '0.85');
    for (const plot of ['map', 'traces']) await until(driver, `the plot “${plot}”`, colours, plot);
    await new Promise((done) => setTimeout(done, 800));
    await driver.reload();
    assert.equal(await answer(driver), mine);
  },
};

/** Runs every step and returns how many passed and failed. */
export async function drive(engine, driver, site) {
  const folder = `engine/${engine.toLowerCase()}`;
  const list = await files(DIST);
  const url = await site.mount(folder, list);
  const steps = { ...STEPS };
  for (const file of FURTHER) {
    const { name, run } = (await import(new URL(file, import.meta.url).href)).default;
    steps[name] = run;
  }
  let failed = 0;
  for (const [name, run] of Object.entries(steps)) {
    const began = performance.now();
    let problem = null;
    try {
      await run({ driver, site, folder, list, url, assert });
      if (driver.problems.length > 0) throw new Error(driver.problems.splice(0).join('\n'));
    } catch (error) {
      problem = error.stack ?? String(error);
      failed += 1;
    }
    const seconds = ((performance.now() - began) / 1000).toFixed(1);
    console.log(`${problem === null ? 'ok    ' : 'FAILED'}  ${seconds} s  ${engine}: ${name}`);
    if (problem !== null) console.log(`    ${problem.replaceAll('\n', '\n    ')}`);
  }
  return { passed: Object.keys(steps).length - failed, failed };
}
