// A shared link in every engine: it opens the build that it holds beside one's own, and the page
// makes such links itself.

import { answer, until, value } from './steps.mjs';

/** A link that was made once and must work for ever; tests/tests/links.rs has the same. */
const LINK =
  '#1=170-eb06b478_naHill-2d-climb.2-2e-2_turowan_ho0.83_bt1.25b_al900m_at14c_rh70p_di2.2l_cy4_st94mm_co9_rl7200r_la0.82_et10p_if850cm_brr,p,1000,82,2000,90,3000,95,5000,100,6000,98,7200,85';

export default {
  name: 'a shared link opens its build',
  async run({ driver, url, assert }) {
    // From another page: a change of the fragment alone does not load the page.
    await driver.open('about:blank');
    await driver.open(url + LINK);
    assert.match(await answer(driver), /kW at .* rev\/min/);
    await until(driver, 'the strip of a shared build', () =>
      /Hill-climb 2\.2/.test(document.querySelector('[data-visitor]').innerText),
    );
    assert.match(await value(driver, 'boost_target'), /^1\.25/);
    await driver.press('[data-act="share"]');
    const made = await until(driver, 'a link to share', () => document.querySelector('[data-share-link]').value);
    assert.match(made, /#1=\d+-[0-9a-f]{8}_/);
  },
};
