// Keeps the pages of this test day at hand when the network is gone; entries wait in the page's own store.
"use strict";

const STORE = "heelwright-day-{{ edition }}";

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("heelwright-day-") && name !== STORE).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

async function fresh(request) {
  const store = await caches.open(STORE);
  try {
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) {
      await store.put(request.url, answer.clone());
    }
    return answer;
  } catch (error) {
    const kept = await store.match(request.url, { ignoreSearch: request.mode === "navigate", ignoreVary: true });
    if (kept) {
      return kept;
    }
    throw error;
  }
}

self.addEventListener("fetch", (event) => {
  const page = event.request.mode === "navigate";
  const part = ["style", "script", "image"].includes(event.request.destination);
  if (event.request.method === "GET" && (page || part)) {
    event.respondWith(fresh(event.request));
  }
});
