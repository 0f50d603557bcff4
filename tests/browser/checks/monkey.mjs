// Ten thousand edits by a seeded monkey: nothing breaks, undo and redo agree with what was seen,
// what is kept is what stands, and memory stays flat.

import { DESKTOP, until } from '../page.mjs';

const EDITS = 10_000;
const SEED = 20261125;

/** Runs in the page: edits through its own inputs, selects and buttons. */
async function monkey({ edits, seed }) {
  let state = seed >>> 0;
  // mulberry32, a small public generator: the same monkey every time.
  const random = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 15), z | 1);
    z ^= z + Math.imul(z ^ (z >>> 7), z | 61);
    return ((z ^ (z >>> 14)) >>> 0) / 4294967296;
  };
  const pick = (list) => list[Math.floor(random() * list.length)];
  const inputs = () => [...document.querySelectorAll('input[data-field]')];
  const put = (input, text) => {
    input.focus({ preventScroll: true });
    input.value = text;
    input.dispatchEvent(new Event('input', { bubbles: true }));
  };
  const leave = () => document.activeElement?.blur?.();
  const press = (selector) => {
    const button = [...document.querySelectorAll(selector)].find((b) => !b.disabled && b.offsetParent !== null);
    button?.click();
    return button !== undefined;
  };
  const wild = ['', '-1', '1e9', 'nan', '18 psi', '1,5', '0', 'x', '3 bar', '99999', '2.2.2', '100 kPa', '½'];
  const count = { typed: 0, wild: 0, undone: 0, redone: 0, units: 0, chosen: 0, moved: 0 };
  // The page answers an edit once the monkey lets go, as after a person's.
  const channel = new MessageChannel();
  const let_go = () => new Promise((next) => {
    channel.port1.onmessage = next;
    channel.port2.postMessage(0);
  });
  for (let at = 0; at < edits; at += 1) {
    await let_go();
    const what = random();
    if (what < 0.55) {
      // Near what stands there: mostly valid.
      const input = pick(inputs());
      const number = Number.parseFloat(input.value || input.placeholder);
      const text = Number.isFinite(number) ? String(Number((number * (0.9 + 0.2 * random())).toPrecision(4))) : `Build ${Math.floor(random() * 100)}`;
      put(input, input.dataset.field === 'name' ? `Build ${Math.floor(random() * 100)}` : text);
      if (random() < 0.5) leave();
      count.typed += 1;
    } else if (what < 0.65) {
      const input = pick(inputs());
      put(input, pick(wild));
      leave();
      count.wild += 1;
    } else if (what < 0.8) {
      leave();
      count.undone += Number(press('[data-act=undo]'));
    } else if (what < 0.88) {
      leave();
      count.redone += Number(press('[data-act=redo]'));
    } else if (what < 0.93) {
      count.units += Number(press('[data-act=units]'));
    } else if (what < 0.97) {
      const select = pick([...document.querySelectorAll('select')]);
      if (select) {
        select.value = pick([...select.options]).value;
        select.dispatchEvent(new Event('input', { bubbles: true }));
        select.dispatchEvent(new Event('change', { bubbles: true }));
        count.chosen += 1;
      }
    } else {
      const slide = document.querySelector('.rail input');
      slide.value = String(Number(slide.min) + random() * (Number(slide.max) - Number(slide.min)));
      slide.dispatchEvent(new Event('input', { bubbles: true }));
      count.moved += 1;
    }
  }
  leave();
  await let_go();
  return { count, state };
}

/** What every input shows, and the answer. */
const seen = (page) =>
  page.evaluate(() => JSON.stringify([
    [...document.querySelectorAll('input[data-field]')].map((i) => i.value),
    document.querySelector('[data-answer]').innerText,
  ]));

const press = (page, act) =>
  page.evaluate((act) => {
    const button = [...document.querySelectorAll(`[data-act=${act}]`)].find((b) => !b.disabled && b.offsetParent !== null);
    button?.click();
    return button !== undefined;
  }, act);

export default {
  name: `${EDITS} random edits: nothing lost, no error, memory flat`,
  seconds: 1800,
  async run({ browser, url, assert }) {
    const context = await browser.newContext({ viewport: DESKTOP });
    const page = await context.newPage();
    await page.addInitScript(() => {
      for (const name of ['instantiate', 'instantiateStreaming']) {
        const make = WebAssembly[name];
        WebAssembly[name] = async (...given) => {
          const made = await make.apply(WebAssembly, given);
          // Parts that come later use the same.
          window.airpathMemory ??= (made.instance ?? made).exports.memory;
          return made;
        };
      }
    });
    await page.goto(url);
    await page.waitForSelector('[data-answer]');
    // The last of the fields, which come one part after the other.
    await page.locator('#part-limits input').last().waitFor();
    const devtools = await page.context().newCDPSession(page);
    await devtools.send('HeapProfiler.enable');
    const heap = async () => {
      await devtools.send('HeapProfiler.collectGarbage');
      return (await devtools.send('Runtime.getHeapUsage')).usedSize / 1e6;
    };
    // The program's own memory, seen when it is made.
    const program = () => page.evaluate(() => window.airpathMemory.buffer.byteLength / 1e6);
    const kept = () =>
      page.evaluate(() => {
        const entries = Object.entries(localStorage).filter(([key]) => key.startsWith('airpath.kept.'));
        return entries.map(([, text]) => JSON.parse(JSON.parse(text).split('\n').slice(1).join('\n')));
      });

    let state = SEED;
    const sizes = [];
    const total = {};
    const rounds = 10;
    for (let round = 0; round < rounds; round += 1) {
      const done = await page.evaluate(monkey, { edits: EDITS / rounds, seed: state });
      state = done.state;
      for (const [what, n] of Object.entries(done.count)) total[what] = (total[what] ?? 0) + n;
      await page.evaluate(() => new Promise((next) => requestAnimationFrame(() => setTimeout(next, 0))));
      sizes.push([await heap(), await program()]);
    }
    console.log(`    ${JSON.stringify(total)}; JS heap MB ${sizes.map((s) => s[0].toFixed(1)).join(' ')}; program MB ${sizes[rounds - 1][1]}`);
    for (const [what, n] of Object.entries(total)) assert.ok(n > 50, `the monkey hardly ever did “${what}”: ${n}`);

    // Flat: undo keeps at most 200 steps, which the first rounds fill. The second half may not grow
    // by more than a tenth and 2 MB, which is what the garbage collector leaves behind.
    const half = sizes[rounds / 2][0];
    const last = sizes[rounds - 1][0];
    assert.ok(last < half * 1.1 + 2, `JS heap grew from ${half} to ${last} MB`);
    const grown = sizes[rounds - 1][1] - sizes[rounds / 2][1];
    assert.ok(grown <= 1, `the program's memory grew by ${grown} MB in the second half`);

    // Mended first: undo takes back what is wrong in a field before it takes back an edit.
    await press(page, 'undo');
    assert.equal(await page.locator('[data-error-of]').count(), 0);
    // Back as far as it goes and forth again shows the same at every step.
    const trail = [await seen(page)];
    while (trail.length < 60 && (await press(page, 'undo'))) trail.push(await seen(page));
    assert.ok(trail.length > 20, `only ${trail.length} steps to take back`);
    for (const expected of trail.reverse().slice(1)) {
      assert.ok(await press(page, 'redo'), 'redo ended early');
      assert.equal(await seen(page), expected, 'redo shows something else than undo did');
    }
    // What is kept is what stands, also after a reload.
    const before = await seen(page);
    const name = await page.locator('[data-field=name]').inputValue();
    await until(async () => (await kept()).some((b) => b.name === name), 'the build is kept');
    await page.waitForTimeout(400);
    assert.equal((await kept()).length, 1, 'editing one build made others');
    await page.reload();
    await page.waitForSelector('[data-answer]');
    // The engine speed that was looked at is not part of the build, nor is anything else shown here.
    const fields = page.locator('#part-limits input').last();
    await fields.waitFor();
    assert.equal(await seen(page), before, 'the reload shows something else');
  },
};
