// The worker keeps the shell of the bench page, so that it opens without the
// network. It sends nothing: what was typed is sent by the page. VERSION and
// SHELL stand above, made by the server.
const CACHE = "fettle-" + VERSION;
const PAGES = "fettle-pages";
const mostPages = 40;
const patience = 2500; // milliseconds that a page may take before the kept one is shown

self.addEventListener("install", (e) => {
  e.waitUntil(caches.open(CACHE).then((c) => c.addAll(SHELL)));
});

self.addEventListener("activate", (e) => {
  e.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith("fettle-") && name !== CACHE && name !== PAGES) await caches.delete(name);
      }
      await self.clients.claim();
    })(),
  );
});

// The page says when: a new worker takes over only while nothing is unsent.
self.addEventListener("message", (e) => {
  if (e.data === "take over") self.skipWaiting();
});

const keep = async (request, response) => {
  const pages = await caches.open(PAGES);
  await pages.put(request, response);
  const all = await pages.keys();
  for (const old of all.slice(0, Math.max(0, all.length - mostPages))) await pages.delete(old);
};

// likest is another page of the same job: the page's script goes by the address
// and finds the part in what the device keeps.
const likest = async (request) => {
  const job = new URL(request.url).pathname.replace(/[^/]+$/, "");
  const pages = await caches.open(PAGES);
  const all = await pages.keys();
  const one = all.findLast((r) => new URL(r.url).pathname.replace(/[^/]+$/, "") === job);
  return one && pages.match(one, { ignoreVary: true });
};

// page asks the network and keeps what it gets; a kept page is shown where the
// network is dead or too slow.
const page = async (event) => {
  const request = event.request;
  const kept = (await caches.match(request, { cacheName: PAGES, ignoreVary: true })) ?? (await likest(request));
  const fresh = fetch(request).then((r) => {
    if (r.ok && !r.redirected) event.waitUntil(keep(request, r.clone()));
    return r;
  });
  if (!kept) return fresh;
  fresh.catch(() => {});
  const late = new Promise((resolve) => setTimeout(resolve, patience, kept));
  return Promise.race([fresh.catch(() => kept), late]);
};

const asset = async (request) => (await caches.match(request, { ignoreVary: true })) ?? fetch(request);

self.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/static/")) e.respondWith(asset(e.request));
  else if (e.request.mode === "navigate" && /^\/job\/[^/]+\/bench\/[^/]+$/.test(url.pathname)) e.respondWith(page(e));
});
