// Serves the built page for the tests, under folders of its own choice, and nothing else.
//
// site.mount(folder, files)   serves the map of names to bytes under "/folder/"; "" is index.html
// site.unmount(folder)        ends that; requests to it are then cut off, as without a connection
// site.url(folder)            its address
// site.asked                  what was asked for, in order, as [path, header of the request]

import { readFile, readdir } from 'node:fs/promises';
import { createServer } from 'node:http';
import { extname, join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { brotliCompress, constants } from 'node:zlib';

export const DIST = fileURLToPath(new URL('../../target/dist', import.meta.url));

const TYPES = {
  '.css': 'text/css; charset=utf-8',
  '.html': 'text/html; charset=utf-8',
  '.ico': 'image/x-icon',
  '.js': 'text/javascript; charset=utf-8',
  '.json': 'application/json',
  '.mjs': 'text/javascript; charset=utf-8',
  '.png': 'image/png',
  '.svg': 'image/svg+xml',
  '.txt': 'text/plain; charset=utf-8',
  '.wasm': 'application/wasm',
  '.webmanifest': 'application/manifest+json',
  '.woff2': 'font/woff2',
};

/** Every file of a folder: names with "/" to their bytes. */
export async function files(folder) {
  const found = new Map();
  for (const entry of await readdir(folder, { recursive: true, withFileTypes: true })) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath ?? entry.path, entry.name);
    found.set(relative(folder, path).split(sep).join('/'), await readFile(path));
  }
  return found;
}

/** Starts a server on a free port. With `packed`, files are sent as brotli, as good hosts do. */
export async function start({ packed = false } = {}) {
  const mounts = new Map();
  const asked = [];
  const server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url, 'http://localhost').pathname);
    asked.push([path, request.headers]);
    const end = path.indexOf('/', 1);
    // The longest folder wins, so that one may lie inside another.
    const folder = [...mounts.keys()]
      .filter((mounted) => path.startsWith(`/${mounted}/`))
      .sort((a, b) => b.length - a.length)[0];
    if (folder === undefined) {
      // A folder that was unmounted: nobody answers.
      if (end > 0) return request.socket.destroy();
      return response.writeHead(404, { 'content-type': 'text/plain' }).end('There is no such file.\n');
    }
    const name = path.slice(folder.length + 2) || 'index.html';
    const file = mounts.get(folder).get(name);
    if (file === undefined) {
      return response.writeHead(404, { 'content-type': 'text/plain' }).end('There is no such file.\n');
    }
    const headers = {
      'content-type': TYPES[extname(name)] ?? 'application/octet-stream',
      'cache-control': packed && /-[0-9a-f]{8,}/.test(name) ? 'max-age=31536000, immutable' : 'no-cache',
    };
    if (file.packed) headers['content-encoding'] = 'br';
    return response.writeHead(200, headers).end(file.packed ?? file);
  });
  await new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(0, '127.0.0.1', resolve);
  });
  const origin = `http://127.0.0.1:${server.address().port}`;
  return {
    asked,
    url: (folder) => encodeURI(`${origin}/${folder}/`),
    async mount(folder, list) {
      if (packed) {
        const parameters = { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_LGWIN]: 22 };
        for (const [name, bytes] of list) {
          if (!/\.(png|woff2)$/.test(name)) {
            bytes.packed = await promisify(brotliCompress)(bytes, { params: parameters });
          }
        }
      }
      mounts.set(folder, list);
      return encodeURI(`${origin}/${folder}/`);
    },
    unmount: (folder) => {
      mounts.delete(folder);
      server.closeIdleConnections();
    },
    stop() {
      server.close();
      server.closeAllConnections();
    },
  };
}
