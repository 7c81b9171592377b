{% autoescape off %}// Keeps the till on the phone, so that it starts with no network. Acts are none of its business:
// the page writes them into its own store.
{% for library in libraries %}importScripts("{{ library }}");
{% endfor %}
const KEPT = {{ kept }};
const { precaching, routing, strategies } = workbox;

workbox.core.setCacheNameDetails({ prefix: "socktrade-till" });
// A new version takes over at once: the page that is open has all its parts, the next one is new.
self.skipWaiting();
workbox.core.clientsClaim();
precaching.precacheAndRoute(KEPT, { ignoreURLParametersMatching: [/.*/] });
precaching.cleanupOutdatedCaches();

// Other pages of the stall come from the network; without one the till takes their place.
routing.registerRoute(
  new routing.NavigationRoute(async (event) => {
    try {
      return await new strategies.NetworkOnly().handle(event);
    } catch {
      return precaching.matchPrecache("{{ shell }}");
    }
  }),
);
{% endautoescape %}
