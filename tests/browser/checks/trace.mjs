// A synthetic picture of a known map, drawn at an angle with noise, is traced: the known map comes back
// within 1 % (normal to the curve, in shares of the axes) and 1.5 points of efficiency. Undo, dragging
// and what is wrong on the way; an engine is matched with it.

import { readFile } from 'node:fs/promises';
import { answer, go, open, until } from '../page.mjs';
import { distance, draw, known, numbers, scene } from '../picture.mjs';

/** What is told once the fit has caught up. */
async function settled(page) {
  let [before, now] = ['', await told(page)];
  while (before !== now) {
    await page.waitForTimeout(500);
    [before, now] = [now, await told(page)];
  }
  return now;
}

const told = (page) => page.locator('[data-residuals]').innerText();

/** Where a spot of the picture lies on the page while the whole of it is shown. */
async function board(page, size) {
  const box = await page.locator('[data-board]').boundingBox();
  const scale = Math.min(box.width / size[0], box.height / size[1]);
  const origin = [box.x + 0.5 * (box.width - scale * size[0]), box.y + 0.5 * (box.height - scale * size[1])];
  return ([x, y]) => [origin[0] + scale * x, origin[1] + scale * y];
}

async function put(page, id, text) {
  await page.locator(`[data-trace=${id}]`).fill(text);
  await page.keyboard.press('Tab');
}

async function hand(page, name, value) {
  await page.locator(`[data-hand="${name}"]`).click();
  if (value !== undefined) await page.locator('[data-value]').fill(String(value));
}

export default {
  name: 'a compressor map is traced from a picture',
  async run({ browser, url, assert }) {
    const page = await open(browser, url);
    const before = await answer(page);
    const { map, axes: AXES } = await known();
    const picture = scene(map, AXES);
    const png = await draw(page, picture, AXES);

    await page.locator('[data-act=map-from-picture]').click();
    await page.locator('[data-act=open-picture]').waitFor();
    await page.locator('[data-map-picture]').setInputFiles({ name: 'notes.png', mimeType: 'image/png', buffer: Buffer.from('no picture') });
    await until(async () => /cannot read it as a picture/.test(await told(page)), 'what is no picture is told');
    await page.locator('[data-map-picture]').setInputFiles({ name: 'map.png', mimeType: 'image/png', buffer: png });
    await page.locator('[data-board]').waitFor();
    await page.waitForTimeout(200);

    // Corners: each comes to where the mouse is pressed near it, and is dragged the rest of the way.
    let at = await board(page, picture.size);
    const still = async () => {
      const now = await page.locator('[data-board]').boundingBox();
      assert.deepEqual(now, box, 'the board moved under the finger');
    };
    const box = await page.locator('[data-board]').boundingBox();
    for (const corner of picture.corners) {
      const [x, y] = at(corner);
      await page.mouse.move(x + 12, y - 9);
      await page.mouse.down();
      await page.mouse.move(x, y, { steps: 3 });
      await page.mouse.up();
      await still();
    }
    await put(page, 't-flow-low', '0,55');
    await put(page, 't-flow-high', '0.55');
    await until(async () => /Flow axis.*0\.55 and the high value 0\.55 must rise/s.test(await told(page)), 'axes that do not rise are told');
    await put(page, 't-flow-low', '0');
    await put(page, 't-ratio-high', '4.2');
    await put(page, 't-name', 'Rowan by eye');
    await page.evaluate(() => scrollTo(0, 0));
    await still();

    // A line without its speed asks for it.
    await hand(page, 'Speed line');
    await page.mouse.click(...at([800, 600]));
    assert.match(await told(page), /First enter the speed/);
    await page.locator('[data-value]').fill('12');
    await page.mouse.click(...at([800, 600]));
    assert.match(await told(page), /12 rev\/min does not lie between 500 and 600,000/);
    assert.equal(await page.locator('[data-stroke]').count(), 0);

    const shake = numbers(4711);
    const mark = async (value) => {
      const [x, y] = picture.spot(value);
      // What a careful hand is off by: up to a pixel and a half of the picture.
      await page.mouse.click(...at([x + 3 * (shake() - 0.5), y + 3 * (shake() - 0.5)]));
    };
    for (const line of picture.lines) {
      await hand(page, 'Speed line', line.speed);
      // Every other point, and both ends.
      const last = line.values.length - 1;
      for (const [i, value] of line.values.entries()) if (i % 2 === 0 || i === last) await mark(value);
    }
    assert.equal(await page.locator('[data-stroke]').count(), picture.lines.length);
    await until(async () => /Efficiency is estimated from the wheel/.test(await told(page)), 'fitted without efficiency');
    for (const { level, values } of picture.islands) {
      await hand(page, 'Efficiency', (level * 100).toFixed(2));
      for (const value of values) await mark(value);
    }
    await until(async () => /Efficiency [0-9.]+ points rms/.test(await told(page)), 'fitted with efficiency');
    const good = await settled(page);

    // A spot dragged off spoils the fit; undo brings it back, redo spoils it again, undo mends it.
    await page.locator('[data-stroke] button', { hasText: 'Go on' }).first().click();
    await page.evaluate(() => scrollTo(0, 0));
    const [x, y] = at(picture.spot(picture.lines[0].values[0]));
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 90, y - 60, { steps: 4 });
    await page.mouse.up();
    await until(async () => (await told(page)) !== good, 'the fit follows the drag');
    await page.locator('[data-act=trace-undo]').click();
    await until(async () => (await told(page)) === good, 'undo');
    await page.locator('[data-act=trace-redo]').click();
    await until(async () => (await told(page)) !== good, 'redo');
    await page.locator('[data-act=trace-undo]').click();
    await until(async () => (await told(page)) === good, 'undo again');

    // Elsewhere and back: picture and marks are still there.
    await go(page, 'builds');
    await page.locator('[data-place=match]').first().click();
    await page.locator('[data-act=map-from-picture]').click();
    await until(async () => (await told(page)).includes('is here again') || (await told(page)) === good, 'marks are there again');
    assert.equal(await page.locator('[data-stroke]').count(), picture.lines.length + picture.islands.length);
    await put(page, 't-name', 'Rowan by eye');
    at = await board(page, picture.size);

    await until(async () => page.locator('[data-act=take-map]').isEnabled(), 'fitted again');
    await page.locator('[data-act=take-map]').click();
    await page.locator('[data-notice]').waitFor();
    assert.match(await page.locator('[data-notice]').innerText(), /“Rowan by eye” is fitted to this build with the traced map: 9 speed lines/);
    assert.doesNotMatch(await page.locator('.notes').innerText(), /Estimated map/);
    const after = await answer(page);
    const boosts = [before, after].map((text) => Number(text.match(/([0-9.]+) kW/)[1]));
    assert.ok(Math.abs(boosts[1] / boosts[0] - 1) < 0.02, `${before} / ${after}`);

    // The known map against the one that came back.
    const coming = page.waitForEvent('download');
    await page.locator('[data-act=map-to-file]').click();
    const csv = await readFile(await (await coming).path(), 'utf8');
    const found = new Map();
    for (const row of csv.split('\n')) {
      const cells = row.split(',').map(Number);
      if (cells.length < 4 || !(cells[0] > 1000) || !(cells[1] > 0)) continue;
      if (!found.has(cells[0])) found.set(cells[0], []);
      found.get(cells[0]).push({ flow: cells[1], ratio: cells[2], efficiency: cells[3] });
    }
    assert.equal(found.size, picture.lines.length, csv.slice(0, 400));
    const reach = [Math.max(...picture.lines.flatMap((l) => l.values.map((v) => v[0]))), Math.max(...picture.lines.flatMap((l) => l.values.map((v) => v[1] - 1)))];
    const share = ([flow, ratio]) => [flow / reach[0], (ratio - 1) / reach[1]];
    let [worst, sum, count, points, pointSum] = [0, 0, 0, 0, 0];
    for (const line of map.lines) {
      const [, back] = [...found].find(([speed]) => Math.abs(speed / line.speed_rev_min - 1) < 1e-4);
      const curve = back.map((p) => share([p.flow, p.ratio]));
      for (const known of line.points) {
        const off = distance(share([known.flow_kg_s, known.pressure_ratio]), curve);
        worst = Math.max(worst, off);
        sum += off * off;
        count += 1;
        // Efficiency at the same flow, where the curve is not vertical and the line compresses well.
        const i = back.findIndex((p) => p.flow >= known.flow_kg_s);
        if (i < 1 || known.efficiency < 0.5) continue;
        const [a, b] = [back[i - 1], back[i]];
        const efficiency = a.efficiency + ((known.flow_kg_s - a.flow) / (b.flow - a.flow)) * (b.efficiency - a.efficiency);
        points = Math.max(points, Math.abs(efficiency - known.efficiency));
        pointSum += (efficiency - known.efficiency) ** 2;
      }
    }
    const rms = Math.sqrt(sum / count);
    console.log(`    traced: ${(100 * rms).toFixed(2)} % rms, ${(100 * worst).toFixed(2)} % at worst; efficiency ${(100 * Math.sqrt(pointSum / count)).toFixed(2)} points rms, ${(100 * points).toFixed(2)} at worst`);
    assert.ok(worst < 0.01, `a known point lies ${(100 * worst).toFixed(2)} % from the traced line`);
    assert.ok(points < 0.015, `efficiency is off by ${(100 * points).toFixed(2)} points`);

    // The picture is in nothing that leaves the page or stays.
    const stored = await page.evaluate(() => JSON.stringify(localStorage) + JSON.stringify(sessionStorage));
    assert.ok(!stored.includes('data:image') && stored.length < 200_000, `${stored.length}`);
  },
};
