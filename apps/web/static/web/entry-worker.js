// Keeps the entry pages that were opened, so that they open without a connection as well.
//
// It answers for /entry/ only, and only what is read: what is sent goes the usual way, and
// entry.js keeps it if there is no connection.
"use strict";

const PAGES = "benchward-entry-pages";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

const fresh = async (request) => {
  const answer = await fetch(request);
  // Nothing of a sign-in or an error page is kept.
  if (answer.ok && !answer.redirected && answer.type === "basic") {
    const pages = await caches.open(PAGES);
    await pages.put(request, answer.clone());
  }
  return answer;
};
const kept = async (request) => {
  try {
    return await fresh(request);
  } catch (lost) {
    const pages = await caches.open(PAGES);
    const found = (await pages.match(request)) || (await pages.match("/entry/"));
    if (found) return found;
    throw lost;
  }
};

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  const ours = origin === self.location.origin && request.method === "GET";
  const wanted = pathname.startsWith("/entry/") || pathname.startsWith("/static/web/");
  if (ours && wanted) event.respondWith(kept(request));
});
