// Nothing runs off the side at any width, light or dark, upright or rotated; pictures of each stay
// in the report. axe finds nothing.

import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { PHONE, open } from '../page.mjs';

const AXE = new URL('../node_modules/axe-core/axe.min.js', import.meta.url);

const SCREENS = [
  ['phone-320', { ...PHONE, viewport: { width: 320, height: 640 } }],
  ['phone-390', PHONE],
  ['phone-rotated', { ...PHONE, viewport: { width: 844, height: 390 } }],
  ['tablet-768', { ...PHONE, viewport: { width: 768, height: 1024 } }],
  ['desk-1440', { viewport: { width: 1440, height: 900 } }],
];

export default {
  name: 'every width, light and dark, is whole and accessible',
  async run({ browser, url, report, assert }) {
    const axe = await readFile(AXE, 'utf8');
    for (const [name, options] of SCREENS) {
      for (const colorScheme of ['light', 'dark']) {
        const page = await open(browser, url, { ...options, colorScheme });
        await page.waitForTimeout(200);
        const over = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        assert.ok(over <= 0, `${name}: ${over} px run off the side`);
        await page.screenshot({ path: join(report, `screen-${name}-${colorScheme}.png`) });
        await page.evaluate(axe);
        const found = await page.evaluate(async () => {
          const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
          const result = await globalThis.axe.run({ runOnly: tags });
          const small = result.violations.find((v) => v.id === 'target-size');
          if (small !== undefined) {
            // What lies half under the dock counts as small: only what is small wherever the page stands is.
            scrollBy(0, 61);
            const again = await globalThis.axe.run({ runOnly: { type: 'rule', values: ['target-size'] } });
            const still = new Set((again.violations[0]?.nodes ?? []).map((node) => node.html));
            small.nodes = small.nodes.filter((node) => still.has(node.html));
          }
          const left = result.violations.filter((v) => v.nodes.length > 0);
          return left.map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 120)}`);
        });
        assert.deepEqual(found, [], `${name} ${colorScheme}`);
        await page.context().close();
      }
    }
  },
};
