// The page opens: it has a title, its program starts, and it fills the page with something to read.

export default {
  name: 'the page opens',
  async run({ browser, url, assert }) {
    const page = await browser.newPage();
    await page.goto(url);
    assert.notEqual((await page.title()).trim(), '', 'the page has no title');
    await page.waitForFunction(() => document.body.innerText.trim().length > 0);
  },
};
