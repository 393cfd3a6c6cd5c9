// Keeps the pages of the quick log at hand when there is no connection. Everything else is asked of the record each time.
const kept = "rinsewright-1";

self.addEventListener("install", event => event.waitUntil(self.skipWaiting()));
self.addEventListener("activate", event =>
  event.waitUntil(
    caches.keys()
      .then(names => Promise.all(names.filter(n => n !== kept).map(n => caches.delete(n))))
      .then(() => self.clients.claim())));

self.addEventListener("fetch", event => {
  const asked = new URL(event.request.url);
  const isKept = asked.pathname.startsWith("/log/") || asked.pathname.startsWith("/assets/");
  if (event.request.method !== "GET" || asked.origin !== location.origin || !isKept) return;
  event.respondWith(
    fetch(event.request)
      .then(answer => {
        if (answer.ok && !answer.redirected) {
          const copy = answer.clone();
          event.waitUntil(caches.open(kept).then(cache => cache.put(event.request, copy)));
        }
        return answer;
      })
      .catch(async problem => {
        const known = await caches.match(event.request, { ignoreSearch: asked.pathname.startsWith("/log/") });
        if (known) return known;
        throw problem;
      }));
});
