// Keeps opened row cards, so that a card comes back after sleep or without signal.
const SHELF = "socktrade-cards-1";
const MOST_CARDS = 20;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

async function keep(request, answer) {
  const shelf = await caches.open(SHELF);
  await shelf.put(request, answer);
  const cards = (await shelf.keys()).filter((one) => one.mode === "navigate" || isCard(one));
  for (const old of cards.slice(0, -MOST_CARDS)) await shelf.delete(old);
}

function isCard(request) {
  return /\/versions\/\d+\/card\//.test(new URL(request.url).pathname);
}

async function freshElseKept(request) {
  try {
    const answer = await fetch(request);
    // A refused card or the way to the sign-in is nothing to keep.
    if (answer.ok && !answer.redirected) await keep(request, answer.clone());
    return answer;
  } catch (lost) {
    const kept = await caches.match(request);
    if (kept) return kept;
    throw lost;
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || !request.url.startsWith(self.location.origin)) return;
  const path = new URL(request.url).pathname;
  if (isCard(request) || path === "{% url 'words' %}" || path.startsWith("{% load static %}{% get_static_prefix %}")) {
    event.respondWith(freshElseKept(request));
  }
});
