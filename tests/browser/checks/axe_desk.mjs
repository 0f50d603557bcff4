// axe finds nothing on any screen of a desk, light or dark.

import { look } from '../axe_screens.mjs';

export default {
  name: 'axe finds nothing on any screen of a desk',
  seconds: 400,
  async run({ browser, url, assert }) {
    assert.deepEqual(await look(browser, url, {}), []);
  },
};
