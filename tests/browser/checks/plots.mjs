// Plots under the hand: wheel, pinch, drag, double tap, keys; values read by mouse, keys and touch;
// pictures; and canvases that have the screen's own pixels.

import { readFile } from 'node:fs/promises';
import { PHONE, open, until } from '../page.mjs';

const reset = (page, name) => page.locator(`[data-reset="${name}"]`);
const speed = async (page) => Number(await page.locator('#engine-speed').inputValue());
const frame = (page) => page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));

async function box(page, name) {
  const plot = page.locator(`canvas[data-plot="${name}"]`);
  await plot.evaluate((e) => e.scrollIntoView({ block: 'center' }));
  const b = await plot.boundingBox();
  return { ...b, at: (x, y) => [b.x + x * b.width, b.y + y * b.height] };
}

/** What the mouse reads on the map at a place. */
async function read(page, x, y) {
  await page.mouse.move(x, y);
  await frame(page);
  const words = page.locator('.read-off');
  return (await words.isVisible()) ? words.innerText() : '';
}

async function byMouse({ browser, url, assert }) {
  const page = await open(browser, url);
  const map = await box(page, 'map');
  const [px, py] = map.at(0.55, 0.5);
  const [qx, qy] = map.at(0.75, 0.6);

  // The plain wheel scrolls the page while the plot does not have the keyboard.
  await page.mouse.move(px, py);
  const scrolled = await page.evaluate(() => scrollY);
  await page.mouse.wheel(0, 60);
  await until(async () => (await page.evaluate(() => scrollY)) > scrolled, 'the page scrolls');
  assert.equal(await reset(page, 'map').count(), 0, 'the plain wheel zoomed');
  const again = await box(page, 'map');
  assert.ok(Math.abs(again.y - map.y) < 1, 'the map is where it was');

  const [p, q] = [await read(page, px, py), await read(page, qx, qy)];
  assert.match(p, /%\s+efficient, \d+ thousand rev\/min corrected/);
  assert.notEqual(p, q, 'two places read alike');

  // With Control it zooms, and what is under the pointer stays there.
  await page.mouse.move(px, py);
  await page.keyboard.down('Control');
  for (let i = 0; i < 3; i += 1) await page.mouse.wheel(0, -120);
  await page.keyboard.up('Control');
  await until(async () => (await reset(page, 'map').count()) === 1, 'zoomed in');
  assert.equal(await read(page, px, py), p, 'what is zoomed about has moved');
  const zoomedQ = await read(page, qx, qy);
  assert.notEqual(zoomedQ, q, 'nothing is larger');

  // A drag away from the cursor moves the map: what was under the mouse goes with it.
  await page.mouse.move(qx, qy);
  await page.mouse.down();
  await page.mouse.move(qx - 40, qy - 30, { steps: 5 });
  await page.mouse.up();
  assert.equal(await read(page, qx - 40, qy - 30), zoomedQ, 'the map did not follow the hand');
  await reset(page, 'map').click();
  assert.equal(await reset(page, 'map').count(), 0);
  assert.equal(await read(page, qx, qy), q, 'the whole is not back');
  // Without the pointer nothing is read.
  await page.mouse.move(2, 2);
  await until(async () => !(await page.locator('.read-off').isVisible()), 'the reading goes');

  // Dragging the cursor leaves the axes alone.
  const traces = await box(page, 'traces');
  await page.mouse.move(...traces.at(0.3, 0.5));
  await page.mouse.down();
  await page.mouse.move(...traces.at(0.7, 0.5), { steps: 8 });
  await page.mouse.up();
  assert.equal(await reset(page, 'traces').count(), 0, 'dragging the cursor moved the axes');

  // A double click on the traces zooms over engine speed: the same place is another speed.
  await page.waitForTimeout(400);
  await page.mouse.click(...traces.at(0.2, 0.5));
  const before = await speed(page);
  await page.waitForTimeout(400);
  await page.mouse.dblclick(...traces.at(0.8, 0.5));
  await until(async () => (await reset(page, 'traces').count()) === 1, 'a double click zooms');
  await page.waitForTimeout(400);
  await page.mouse.click(...traces.at(0.2, 0.5));
  assert.ok((await speed(page)) > before + 500, 'the traces did not zoom');
  await reset(page, 'traces').click();
  await page.waitForTimeout(400);
  await page.mouse.click(...traces.at(0.2, 0.5));
  assert.equal(await speed(page), before, 'the same place is not the same speed again');
  await page.context().close();
}

async function byKeys({ browser, url, assert }) {
  const page = await open(browser, url);
  const map = page.locator('canvas[data-plot="map"]');
  const told = page.locator('[data-told="map"]');
  // Onto the map by Tab, as a keyboard does, so that what it reads is told.
  await page.locator('[data-picture="map"]').focus();
  await page.keyboard.press('Tab');
  await page.keyboard.press('Tab');
  assert.equal(await page.evaluate(() => document.activeElement.dataset.plot), 'map');
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowLeft');
  await until(async () => (await told.innerText()) !== '', 'the reading is told');
  // Back where the engine runs, the map reads what the match says there (its table).
  const words = (await told.innerText()).replace(/\s+/g, ' ');
  const [, flow, ratio, efficiency, turns] = words.match(
    /flow ([\d.]+) kg\/s, pressure ratio ([\d.]+): (\d+) % efficient, (\d+) thousand/,
  );
  await page.locator('.figure.map button', { hasText: 'Table' }).click();
  const at = (await speed(page)).toLocaleString('en');
  const cells = await page.evaluate((at) => {
    const row = [...document.querySelectorAll('[data-table="map"] tbody tr')].find(
      (r) => r.querySelector('th').innerText === at,
    );
    return [...row.querySelectorAll('td')].map((c) => c.innerText.replace(/\s+/g, ' '));
  }, at);
  assert.equal(cells[0], flow);
  assert.equal(cells[1], ratio);
  assert.equal(cells[2], `${efficiency} %`);
  // The table gives hundreds, the reading thousands.
  assert.ok(Math.abs(Number(cells[3].replace(/,/g, '')) - 1000 * Number(turns)) <= 550, cells[3]);

  await map.focus();
  const still = await speed(page);
  for (let i = 0; i < 6; i += 1) await page.keyboard.press('Shift+ArrowLeft');
  assert.equal(await speed(page), still, 'reading moved the engine speed');
  await page.keyboard.press('Enter');
  await until(async () => (await speed(page)) < still, 'Enter goes to the nearest speed');
  await page.keyboard.press('+');
  await until(async () => (await reset(page, 'map').count()) === 1, '+ zooms');
  await page.keyboard.press('0');
  await until(async () => (await reset(page, 'map').count()) === 0, '0 resets');
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('.read-off').isVisible(), false);

  const traces = page.locator('canvas[data-plot="traces"]');
  await traces.focus();
  await page.keyboard.press('End');
  const last = await speed(page);
  assert.equal(await traces.getAttribute('aria-valuenow'), await traces.getAttribute('aria-valuemax'));
  await page.keyboard.press('+');
  await page.keyboard.press('+');
  for (let i = 0; i < 6; i += 1) await page.keyboard.press('PageDown');
  await until(async () => (await speed(page)) <= last - 3000, 'Page Down steps');
  await frame(page);
  // The view has followed: the hairline is there to be seen.
  assert.equal((await hairline(page)).length > 0, true, 'the cursor is out of view');
  await page.context().close();
}

async function byTouch({ browser, url, assert }) {
  const page = await open(browser, url, PHONE);
  const session = await page.context().newCDPSession(page);
  const touch = (type, points) =>
    session.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: points.map(([x, y], id) => ({ x, y, id })),
    });
  const map = await box(page, 'map');
  const [cx, cy] = map.at(0.6, 0.5);
  const top = await page.evaluate(() => scrollY);

  // Two fingers apart: zoomed; the page has neither zoomed nor scrolled.
  await touch('touchStart', [[cx - 20, cy - 20]]);
  await touch('touchStart', [[cx - 20, cy - 20], [cx + 20, cy + 20]]);
  for (let i = 1; i <= 8; i += 1) {
    await touch('touchMove', [[cx - 20 - 5 * i, cy - 20 - 5 * i], [cx + 20 + 5 * i, cy + 20 + 5 * i]]);
  }
  await touch('touchEnd', []);
  await until(async () => (await reset(page, 'map').count()) === 1, 'a pinch zooms');
  assert.equal(await page.evaluate(() => visualViewport.scale), 1, 'the page zoomed');
  assert.equal(await page.evaluate(() => scrollY), top, 'the page scrolled');
  await reset(page, 'map').tap();
  await until(async () => (await reset(page, 'map').count()) === 0, 'reset by a tap');

  // A finger that rests reads, and follows; the engine speed stays.
  const still = await speed(page);
  await touch('touchStart', [[cx, cy]]);
  await page.waitForTimeout(650);
  assert.equal(await page.locator('.read-off').isVisible(), true, 'a resting finger does not read');
  const first = await page.locator('.read-off').innerText();
  for (let i = 1; i <= 6; i += 1) await touch('touchMove', [[cx - 6 * i, cy + 8 * i]]);
  await frame(page);
  assert.notEqual(await page.locator('.read-off').innerText(), first);
  assert.equal(await page.evaluate(() => scrollY), top, 'the page scrolled under a reading finger');
  await touch('touchEnd', []);
  assert.equal(await speed(page), still, 'reading moved the engine speed');

  // A finger across moves the engine speed; up and down it scrolls the page and changes nothing.
  const traces = await box(page, 'traces');
  const from = await speed(page);
  let [x, y] = traces.at(0.7, 0.4);
  await touch('touchStart', [[x, y]]);
  for (let i = 1; i <= 10; i += 1) await touch('touchMove', [[x - 12 * i, y]]);
  await touch('touchEnd', []);
  await until(async () => (await speed(page)) !== from, 'a finger across moves the speed');
  const moved = await speed(page);
  const here = await page.evaluate(() => scrollY);
  [x, y] = traces.at(0.5, 0.5);
  await touch('touchStart', [[x, y]]);
  for (let i = 1; i <= 10; i += 1) await touch('touchMove', [[x, y + 14 * i]]);
  await touch('touchEnd', []);
  await until(async () => (await page.evaluate(() => scrollY)) < here - 40, 'the page scrolls');
  assert.equal(await speed(page), moved, 'scrolling moved the engine speed');
  await page.context().close();
}

/** The pixels of the hairline just below the head of the traces: [column, red, green, blue, alpha]. */
function hairline(page) {
  return page.evaluate(() => {
    const canvas = document.querySelector('canvas[data-plot="traces"]');
    const row = Math.round(30.5 * devicePixelRatio);
    const { data } = canvas.getContext('2d').getImageData(0, row, canvas.width, 1);
    const pixels = [];
    for (let x = 0; x < canvas.width; x += 1) {
      if (data[4 * x + 3] > 0) pixels.push([x, ...data.slice(4 * x, 4 * x + 4)]);
    }
    return pixels;
  });
}

async function crisp({ browser, url, assert }) {
  for (const deviceScaleFactor of [1, 1.5, 2, 3]) {
    const page = await open(browser, url, { ...PHONE, deviceScaleFactor });
    await frame(page);
    for (const name of ['map', 'traces']) {
      const at = await page.evaluate((name) => {
        const canvas = document.querySelector(`canvas[data-plot="${name}"]`);
        const rect = canvas.getBoundingClientRect();
        return [canvas.width, rect.width * devicePixelRatio, canvas.height, rect.height * devicePixelRatio];
      }, name);
      // The page lays out in 1/64 pixels.
      assert.ok(Math.abs(at[0] - at[1]) < 0.1 && Math.abs(at[2] - at[3]) < 0.1, `${name} ${deviceScaleFactor}: ${at}`);
    }
    for (let i = 0; i < 3; i += 1) {
      const pixels = await hairline(page);
      const wanted = Math.max(1, Math.round(1.2 * deviceScaleFactor));
      // Whole pixels of ink and nothing beside them.
      assert.equal(pixels.length, wanted, `ratio ${deviceScaleFactor}: ${JSON.stringify(pixels)}`);
      assert.ok(pixels.every((p) => p.slice(1).join() === '15,30,40,255'), JSON.stringify(pixels));
      await page.locator('[aria-label="Engine speed down"]').tap();
      await frame(page);
    }
    await page.context().close();
  }
}

async function pictures({ browser, url, assert }) {
  for (const colorScheme of ['light', 'dark']) {
    const page = await open(browser, url, { colorScheme });
    await frame(page);
    for (const name of ['map', 'traces', 'way']) {
      const size = await page.locator(`[data-plot="${name}"]`).boundingBox();
      const coming = page.waitForEvent('download');
      await page.locator(`[data-picture="${name}"]`).click();
      const download = await coming;
      assert.equal(download.suggestedFilename(), `hill-climb-2-2-${name}.png`);
      const bytes = await readFile(await download.path());
      assert.equal(bytes.subarray(1, 4).toString(), 'PNG');
      // Three pixels to one; margins of 16 at the sides and below, 60 above with the title.
      const [width, height] = [bytes.readUInt32BE(16), bytes.readUInt32BE(20)];
      assert.ok(Math.abs(width - 3 * (size.width + 32)) <= 3, `${name}: ${width} wide`);
      assert.ok(Math.abs(height - 3 * (size.height + 76)) <= 3, `${name}: ${height} high`);
      const colours = await page.evaluate(async (base64) => {
        const blob = new Blob([Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0))]);
        const image = await createImageBitmap(blob);
        const canvas = new OffscreenCanvas(image.width, image.height);
        const context = canvas.getContext('2d');
        context.drawImage(image, 0, 0);
        const count = (y, height) => {
          const { data } = context.getImageData(0, y, image.width, height);
          return new Set(new Uint32Array(data.buffer)).size;
        };
        const { data } = context.getImageData(0, 0, 1, 1);
        return { paper: [...data].join(), title: count(10, 160), plot: count(190, image.height - 200) };
      }, bytes.toString('base64'));
      assert.equal(colours.paper, colorScheme === 'light' ? '255,255,255,255' : '13,20,24,255');
      assert.ok(colours.title > 10 && colours.plot > 40, `${name}: ${JSON.stringify(colours)}`);
    }
    await page.context().close();
  }
}

async function howLong({ browser, url }) {
  for (const [name, options, rate] of [['desktop', {}, 1], ['phone, processor slowed 4 times', PHONE, 4]]) {
    const page = await open(browser, url, options);
    const session = await page.context().newCDPSession(page);
    await session.send('Emulation.setCPUThrottlingRate', { rate });
    await page.locator('#engine-speed').focus();
    await page.evaluate(() => performance.clearMeasures());
    for (let i = 0; i < 30; i += 1) {
      await page.keyboard.press('ArrowLeft');
      await frame(page);
    }
    const times = await page.evaluate(() =>
      performance.getEntriesByName('airpath: draw').map((e) => e.duration).sort((a, b) => a - b),
    );
    const at = (share) => times[Math.floor(share * (times.length - 1))].toFixed(1);
    console.log(`    ${name}: drawing all plots: median ${at(0.5)} ms, p95 ${at(0.95)} ms (n ${times.length})`);
    await page.context().close();
  }
}

export default {
  name: 'plots zoom, are read, are crisp, and can be saved as pictures',
  async run(tools) {
    await byMouse(tools);
    await byKeys(tools);
    await byTouch(tools);
    await crisp(tools);
    await pictures(tools);
    await howLong(tools);
  },
};
