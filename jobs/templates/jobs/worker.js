/* The service worker: the shell, and the last state of each page that was open on this phone.
   It never answers for the server while that can be reached. */
"use strict";
const SHELL = "shell {{ version|escapejs }}", PAGES = "pages";
const FILES = [{% for file in shell %}"{{ file|escapejs }}", {% endfor %}"/offline/"];
const READER = [{% for file in reader %}"{{ file|escapejs }}", {% endfor %}];
const PATIENCE_MS = 4000;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL).then((cache) => cache.addAll("BarcodeDetector" in self ? FILES : FILES.concat(READER))).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  const old = (names) => names.filter((name) => name !== SHELL && name !== PAGES);
  event.waitUntil(caches.keys().then((names) => Promise.all(old(names).map((name) => caches.delete(name)))).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const { request } = event, address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== location.origin) return;
  if (address.pathname.startsWith("/static/")) event.respondWith(fromShell(request));
  else if (request.mode === "navigate") event.respondWith(page(request));
});

async function fromShell(request) {
  const kept = await caches.match(request);
  return kept || fetch(request);
}

/* A page from the network, kept for later. Without network, or while it is slow, the one that was
   kept last; where none was kept the network is waited for. */
async function page(request) {
  const cache = await caches.open(PAGES);
  const asked = fetch(request).then(async (answer) => {
    if (answer.ok && !answer.redirected) await cache.put(request, answer.clone());
    return answer;
  });
  const kept = (await cache.match(request)) || (await lastPage(cache, request));
  try {
    return await (kept ? Promise.race([asked, late()]) : asked);
  } catch {
    asked.catch(() => {});
    return kept || (await caches.match("/offline/"));
  }
}
/* "My work" only leads on to a page: without network it is the one that was open last. */
async function lastPage(cache, request) {
  const home = request.url.match(/^(.*\/)mine\/$/);
  const kept = home ? (await cache.keys()).filter((one) => one.url.startsWith(home[1])) : [];
  return kept.length ? cache.match(kept.at(-1)) : undefined;
}
const late = () => new Promise((_, reject) => { setTimeout(() => reject(new Error("late")), PATIENCE_MS); });

/* Who signs out leaves nothing to read behind. */
self.addEventListener("message", (event) => { if (event.data === "forget") event.waitUntil(caches.delete(PAGES)); });
