// axe finds nothing on any screen of a phone, light or dark.

import { look } from '../axe_screens.mjs';
import { PHONE } from '../page.mjs';

export default {
  name: 'axe finds nothing on any screen of a phone',
  seconds: 400,
  async run({ browser, url, assert }) {
    assert.deepEqual(await look(browser, url, PHONE), []);
  },
};
