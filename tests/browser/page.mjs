// What the checks have in common: opening the page and doing to it what a person would.

/** Opens the page in a context of its own and waits for the first answer. */
export async function open(browser, url, options = {}) {
  const context = await browser.newContext({ viewport: DESKTOP, ...options });
  const page = await context.newPage();
  await page.goto(url);
  await page.waitForSelector('[data-answer]');
  return page;
}

export const DESKTOP = { width: 1440, height: 900 };
export const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 };

/** The answer in words. */
export async function answer(page) {
  return (await page.locator('[data-answer]').innerText()).replace(/\s+/g, ' ').trim();
}

export function field(page, id) {
  return page.locator(`[data-field="${id}"]`);
}

/** Types key by key over what stands in a field, as a person does. */
export async function type(page, id, text) {
  await field(page, id).click();
  await page.keyboard.press('Control+a');
  await page.keyboard.type(text, { delay: 15 });
}

/** Goes to a place and waits for what it shows, which may be a part that is fetched. */
export async function go(page, place) {
  await page.locator(`[data-place="${place}"]`).first().click();
  const there = { match: '[data-answer]', shelf: '.shelf h2', choose: '[data-table="contest"] tbody', sheets: '.sheet h2', learn: '.learn h2', builds: '.kept h2' }[place];
  await page.locator(there).first().waitFor();
}

/** The number before a unit in the answer: "231 kW" gives 231. */
export function number(text, unit) {
  const found = text.match(new RegExp(`([0-9][0-9,.]*)\\s*${unit}`));
  return found === null ? NaN : Number(found[1].replaceAll(',', ''));
}

/** Waits until a condition holds; conditions may be asynchronous. */
export async function until(condition, what) {
  const end = Date.now() + 10_000;
  while (!(await condition())) {
    if (Date.now() > end) throw new Error(`never came: ${what}`);
    await new Promise((done) => setTimeout(done, 25));
  }
}

/** Waits until the service worker serves the page. */
export async function kept(page) {
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
}

/** How many different colours a plot shows: one means that it is blank. */
export async function colours(page, plot) {
  return page.locator(`[data-plot="${plot}"] canvas, canvas[data-plot="${plot}"]`).first().evaluate((canvas) => {
    const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
    return new Set(new Uint32Array(data.buffer)).size;
  });
}
