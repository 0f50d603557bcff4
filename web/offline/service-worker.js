// The service worker: keeps the page on this device, so that it opens without a connection.
// The build writes VERSION, SHELL (the page's files with their hashes) and this into sw.js.
//
// A version is kept whole or not at all, and each file only if its hash is right. It serves only
// what it keeps. A new one waits until the page, at the person's word, says "take over".

const SCOPE = registration.scope;
// The cache is shared by the whole origin: the scope tells our versions from another site's.
const OURS = `airpath ${SCOPE} `;
const CACHE = OURS + VERSION;
const KEPT = new Map(SHELL.map(([name, hash]) => [new URL(name, SCOPE).href, hash]));

async function keepOne(cache, url, integrity) {
  // What the page has just downloaded is taken from the browser's own cache, unless that is stale.
  const response = await fetch(url, { integrity }).catch(() =>
    fetch(url, { integrity, cache: 'reload' }),
  );
  if (!response.ok) throw new Error(`${url}: ${response.status}`);
  await cache.put(url, response);
}

async function keepAll() {
  const cache = await caches.open(CACHE);
  try {
    await Promise.all([...KEPT].map(([url, hash]) => keepOne(cache, url, hash)));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

async function takeOver() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(OURS) && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
  await clients.claim();
}

async function answer(request, url) {
  const cache = await caches.open(CACHE);
  return (await cache.match(url, { ignoreVary: true })) ?? fetch(request);
}

addEventListener('install', (event) => event.waitUntil(keepAll()));
addEventListener('activate', (event) => event.waitUntil(takeOver()));
addEventListener('message', (event) => {
  if (event.data === 'take over') skipWaiting();
});
addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  url.search = '';
  url.hash = '';
  const wanted = url.href === `${SCOPE}index.html` ? SCOPE : url.href;
  if (request.method === 'GET' && KEPT.has(wanted)) event.respondWith(answer(request, wanted));
});
