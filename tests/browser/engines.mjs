// The page in the other two engines that phones have: `node engines.mjs [WORD]`. The main checks
// run in Chromium, see run.mjs. The last line is always `N passed, N failed`.

import { start as serve } from './server.mjs';
import { start as firefox } from './engines/firefox.mjs';
import { start as webkit } from './engines/webkit.mjs';
import { drive } from './engines/steps.mjs';

const ENGINES = { Firefox: firefox, WebKit: webkit };

const counts = { passed: 0, failed: 0 };
const word = (process.argv[2] ?? '').toLowerCase();
for (const [name, start] of Object.entries(ENGINES)) {
  if (!name.toLowerCase().includes(word)) continue;
  const site = await serve();
  let engine = null;
  try {
    engine = await start();
    console.log(`${name}: ${engine.version}`);
    const outcome = await drive(name, engine.driver, site);
    counts.passed += outcome.passed;
    counts.failed += outcome.failed;
  } catch (error) {
    console.log(`FAILED  ${name} does not run\n    ${error.stack ?? error}`);
    counts.failed += 1;
  } finally {
    await engine?.stop().catch((error) => console.log(`${name} does not end: ${error.message}`));
    site.stop();
  }
}
console.log(`${counts.passed} passed, ${counts.failed} failed`);
process.exitCode = counts.failed === 0 && counts.passed > 0 ? 0 : 1;
