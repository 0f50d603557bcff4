// WebKit, as WebKitGTK's small browser, driven by plain W3C WebDriver under a display of its own.

import { spawn } from 'node:child_process';
import { existsSync, readdirSync } from 'node:fs';
import { createServer } from 'node:net';
import { once } from 'node:events';

/** The name under which WebDriver writes an element (W3C WebDriver, section 11). */
const ELEMENT = 'element-6066-11e4-a52e-4f735466cecf';
/** The Control key (W3C WebDriver, section 17.4.2). */
const CONTROL = '\uE009';

/** The small browser, in the folder of whichever version is there. */
function browserPath() {
  const places = ['/usr/lib', '/usr/libexec'].flatMap((top) =>
    existsSync(top)
      ? [top, ...readdirSync(top).map((name) => `${top}/${name}`)].flatMap((folder) =>
          ['4.1', '4.0', '6.0'].map((version) => `${folder}/webkit2gtk-${version}/MiniBrowser`),
        )
      : [],
  );
  const found = places.find(existsSync);
  if (found === undefined) throw new Error('there is no MiniBrowser: install webkit2gtk-driver');
  return found;
}

async function freePort() {
  const server = createServer();
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address();
  server.close();
  await once(server, 'close');
  return port;
}

/** Starts a display and returns its process and its name. */
async function display() {
  const server = spawn('Xvfb', ['-displayfd', '3', '-screen', '0', '1600x1000x24', '-nolisten', 'tcp'], {
    stdio: ['ignore', 'ignore', 'ignore', 'pipe'],
  });
  const [number] = await Promise.race([
    once(server.stdio[3], 'data'),
    once(server, 'exit').then(() => Promise.reject(new Error('Xvfb does not start'))),
    once(server, 'error').then(([error]) => Promise.reject(error)),
  ]);
  return { server, name: `:${String(number).trim()}` };
}

/** Starts it and returns its version, a driver (see steps.mjs), and what ends it. */
export async function start() {
  const screen = await display();
  const port = await freePort();
  const service = spawn('WebKitWebDriver', [`--port=${port}`, '--host=127.0.0.1'], {
    stdio: 'ignore',
    env: {
      ...process.env,
      DISPLAY: screen.name,
      GDK_BACKEND: 'x11',
      // Without a graphics card, and without the sandbox, which does not work in a container.
      LIBGL_ALWAYS_SOFTWARE: '1',
      WEBKIT_DISABLE_COMPOSITING_MODE: '1',
      WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS: '1',
      NO_AT_BRIDGE: '1',
    },
  });
  const call = async (method, path, body) => {
    const response = await fetch(`http://127.0.0.1:${port}${path}`, {
      method,
      body: body === undefined ? undefined : JSON.stringify(body),
      signal: AbortSignal.timeout(60_000),
    });
    const { value } = await response.json();
    if (!response.ok) throw new Error(`${path}: ${value.error}: ${value.message}`);
    return value;
  };
  let session = null;
  const stop = async () => {
    if (session !== null) await call('DELETE', session).catch(() => {});
    for (const program of [service, screen.server]) program.kill();
  };
  try {
    for (let i = 0; ; i += 1) {
      if (await call('GET', '/status').then(() => true, () => false)) break;
      if (i > 100) throw new Error('WebKitWebDriver does not answer');
      await new Promise((done) => setTimeout(done, 100));
    }
    const made = await call('POST', '/session', {
      capabilities: {
        alwaysMatch: {
          browserName: 'MiniBrowser',
          'webkitgtk:browserOptions': {
            binary: browserPath(),
            args: ['--automation', '--geometry=1440x900'],
          },
        },
      },
    });
    session = `/session/${made.sessionId}`;
    await call('POST', `${session}/timeouts`, { pageLoad: 60_000, script: 30_000 });
    const element = async (selector) => {
      const found = await call('POST', `${session}/element`, { using: 'css selector', value: selector });
      return found[ELEMENT];
    };
    const press = async (selector) =>
      call('POST', `${session}/element/${await element(selector)}/click`, {});
    const keys = (list) =>
      call('POST', `${session}/actions`, { actions: [{ type: 'key', id: 'keyboard', actions: list }] });
    const key = (letter) => [
      { type: 'keyDown', value: letter },
      { type: 'keyUp', value: letter },
    ];
    return {
      version: `${made.capabilities.browserName} ${made.capabilities.browserVersion}`,
      driver: {
        // WebDriver hears nothing of the console.
        problems: [],
        open: (address) => call('POST', `${session}/url`, { url: address }),
        reload: () => call('POST', `${session}/refresh`, {}),
        run: (act, ...more) =>
          call('POST', `${session}/execute/sync`, { script: `return (${act})(...arguments)`, args: more }),
        size: (width, height) => call('POST', `${session}/window/rect`, { width, height }),
        press,
        async type(selector, text) {
          await press(selector);
          await keys([{ type: 'keyDown', value: CONTROL }, ...key('a'), { type: 'keyUp', value: CONTROL }]);
          for (const letter of text) await keys(key(letter));
        },
      },
      stop,
    };
  } catch (error) {
    await stop();
    throw error;
  }
}
