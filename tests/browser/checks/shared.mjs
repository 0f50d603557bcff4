// A build goes out as a link, a code and a share, and comes in as a visitor that overwrites nothing;
// whatever else stands after the "#" is told and does no harm.

import jsqr from 'jsqr';
import { DESKTOP, answer, field, go, open, type, until } from '../page.mjs';

/** The worked example, frozen as version 1 wrote it; the same as in tests/tests/links.rs. */
const FROZEN =
  '#1=170-eb06b478_naHill-2d-climb.2-2e-2_turowan_ho0.83_bt1.25b_al900m_at14c_rh70p_di2.2l_cy4_st94mm_co9_rl7200r_la0.82_et10p_if850cm_brr,p,1000,82,2000,90,3000,95,5000,100,6000,98,7200,85';

const notice = (page) => page.locator('[data-notice]').innerText();
const visitor = (page) => page.locator('[data-visitor]');
const names = (page) => page.locator('.builds .open').allInnerTexts();
const link = (page) => page.locator('[data-share-link]').inputValue();
const hash = (page) => page.evaluate(() => location.hash);

/** Puts a fragment into the address of a page that is open, as pasting a link does. */
const paste = (page, fragment) => page.evaluate((f) => { location.hash = f; }, fragment);

/** What a camera reads off the code on the page. */
async function scan(page) {
  const picture = (await page.locator('[data-code]').screenshot()).toString('base64');
  const pixels = await page.evaluate(async (picture) => {
    const image = new Image();
    image.src = `data:image/png;base64,${picture}`;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = image.width;
    canvas.height = image.height;
    const pen = canvas.getContext('2d');
    pen.drawImage(image, 0, 0);
    return { width: image.width, height: image.height, data: [...pen.getImageData(0, 0, image.width, image.height).data] };
  }, picture);
  return jsqr(Uint8ClampedArray.from(pixels.data), pixels.width, pixels.height)?.data;
}

export default {
  name: 'a build is shared as a link, visits, is kept, and never overwrites',
  async run({ browser, url, assert }) {
    const context = await browser.newContext({ viewport: DESKTOP, colorScheme: 'dark' });
    await context.grantPermissions(['clipboard-read', 'clipboard-write'], { origin: new URL(url).origin });
    const sender = await context.newPage();
    await sender.addInitScript(() => {
      // This browser has no share sheet: one that notes what it was given.
      navigator.share = async (data) => { window.shared = data; };
    });
    await sender.goto(url);
    await sender.waitForSelector('[data-answer]');
    await sender.locator('[data-act=share]').click();
    assert.equal(await link(sender), url + FROZEN, 'the example’s link is not the frozen one');
    assert.equal(await scan(sender), url + FROZEN, 'the code says something else, in the dark too');
    await sender.locator('[data-act=unshare]').click();
    assert.equal(await sender.locator('[data-share]').count(), 0);

    await type(sender, 'name', 'From <b>a</b> friend & co');
    await type(sender, 'boost_target', '18 psi');
    await type(sender, 'turbine_swallowing', '2.5');
    await sender.keyboard.press('Tab');
    const theirs = await answer(sender);
    await sender.locator('[data-act=share]').click();
    const sent = await link(sender);
    assert.ok(sent.length < 600, `a usual link has ${sent.length} characters`);
    console.log(`    a usual link: ${sent.length - url.length} characters after the address`);
    await sender.locator('[data-act=copy]').click();
    await until(async () => (await sender.locator('[data-said]').innerText()) === 'The link is copied.', 'copied');
    assert.equal(await sender.evaluate(() => navigator.clipboard.readText()), sent);
    await sender.locator('[data-act=send]').click();
    await until(async () => (await sender.evaluate(() => window.shared?.url)) === sent, 'handed to the device');
    assert.equal(await scan(sender), sent);
    // The link follows the build while it is shown.
    await type(sender, 'stroke', '88');
    await until(async () => (await link(sender)).includes('_st88mm_'), 'the link follows');

    // Without a clipboard the link is selected, to be copied by hand.
    const plain = await open(browser, url);
    await plain.evaluate(() => Object.defineProperty(navigator, 'clipboard', { value: undefined }));
    await plain.locator('[data-act=share]').click();
    await plain.locator('[data-share-link]').waitFor();
    assert.equal(await plain.locator('[data-act=send]').count(), await plain.evaluate(() => Number('share' in navigator)));
    await plain.locator('[data-act=copy]').click();
    await until(async () => /copy it yourself/.test(await plain.locator('[data-said]').innerText()), 'told to copy');
    assert.equal(await plain.evaluate(() => {
      const input = document.querySelector('[data-share-link]');
      return input.value.slice(input.selectionStart, input.selectionEnd);
    }), url + FROZEN);

    // Somebody with a build of their own opens it.
    const page = await open(browser, url);
    await type(page, 'name', 'Mine');
    await type(page, 'displacement', '1.6');
    await page.keyboard.press('Tab');
    const mine = await answer(page);
    await page.waitForTimeout(500);
    await page.goto(sent);
    await until(async () => (await answer(page)) === theirs, 'the visitor’s answer');
    assert.match(await visitor(page).innerText(), /Shared with you: “From <b>a<\/b> friend & co”\. Yours, “Mine”/);
    await go(page, 'builds');
    assert.deepEqual(await names(page), ['Mine'], 'a visitor was kept unasked');
    await page.locator('[data-place=match]').click();
    // What comes of each stands side by side, and where they differ.
    await visitor(page).getByRole('button', { name: /Beside yours/ }).click();
    const rows = await page.locator('[data-beside] tbody tr').allInnerTexts();
    const cells = (label) => rows.find((row) => row.startsWith(label))?.split('\t').slice(1).map((cell) => cell.trim());
    assert.equal(cells('In short').length, 2);
    assert.match(cells('In short')[0], /^[\d,]+\skW; /);
    assert.notEqual(...cells('In short'));
    await go(page, 'match');
    // Edits while visiting are the visitor's, and a reload does not lose them.
    await type(page, 'stroke', '99');
    await page.waitForTimeout(500);
    await page.reload();
    await page.waitForSelector('[data-visitor]');
    assert.equal(await field(page, 'stroke').inputValue(), '99');
    await page.locator('[data-act=back]').click();
    await until(async () => (await answer(page)) === mine, 'back to mine');
    assert.equal(await hash(page), '');
    assert.equal(await visitor(page).count(), 0);
    assert.equal(await field(page, 'name').inputValue(), 'Mine');
    // Undo brings the visitor back, redo puts it away.
    await page.locator('[data-act=undo]').last().click();
    await visitor(page).waitFor();
    assert.notEqual(await hash(page), '');
    await page.locator('[data-act=redo]').last().click();
    await until(async () => (await visitor(page).count()) === 0, 'away again');
    assert.equal(await hash(page), '');

    // Pasted into an open page, and kept: beside the person's own.
    await paste(page, FROZEN);
    await visitor(page).waitFor();
    await page.locator('[data-act=keep]').click();
    assert.equal(await visitor(page).count(), 0);
    assert.equal(await hash(page), '');
    await go(page, 'builds');
    assert.deepEqual((await names(page)).sort(), ['Hill-climb 2.2', 'Mine']);
    await page.reload();
    await page.waitForSelector('[data-answer]');
    assert.equal(await field(page, 'name').inputValue(), 'Hill-climb 2.2');
    await go(page, 'builds');
    await page.getByRole('button', { name: 'Mine', exact: true }).click();
    await until(async () => (await answer(page)) === mine, 'mine as it was');

    // Whatever else stands there: a specific error, and the page goes on.
    const whole = FROZEN;
    const bad = [
      ['#nonsense', /“#nonsense”.*is not a shared build/],
      ['#%00%ff<script>alert(1)</script>', /is not a shared build/],
      ['#1', /cut off/],
      ['#1=170', /cut off/],
      [whole.slice(0, 100), /cut off on its way: \d+ of 170 characters/],
      [whole.replace('_di2.2l', '_di2.3l'), /changed on its way/],
      [whole.replace('170', '99999999999999999999999'), /changed on its way/],
      ['#2=whatever', /version 2; this page reads version 1/],
      [`#1=${'9'.repeat(9_000)}`, /has 9002 characters/],
      [`#1=${'_'.repeat(200_000)}`, /has 200002 characters/],
    ];
    for (const [fragment, message] of bad) {
      await paste(page, fragment);
      await until(async () => (await page.locator('[data-notice]').count()) > 0 && message.test(await notice(page)), `${fragment.slice(0, 40)} is told as ${message}`);
      assert.match(await notice(page), /your own builds are as they were/);
      assert.equal(await visitor(page).count(), 0);
      assert.equal(await answer(page), mine, 'the build changed');
    }
    await type(page, 'redline', '6900');
    await until(async () => (await answer(page)) !== mine, 'the page goes on');
    // Opened cold, a bad link leaves a whole page too.
    const cold = await open(browser, `${url}${whole.slice(0, 60)}`);
    assert.match(await notice(cold), /cut off/);
    assert.equal(await field(cold, 'name').inputValue(), 'Hill-climb 2.2');
  },
};
