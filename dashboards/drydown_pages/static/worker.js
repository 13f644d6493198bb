// Keeps the last pages on this device, so that they open while the board is out of reach. Such a page is marked
// with the time at which it came, and shows itself as old; figures never come from here otherwise.

const KEPT = "drydown-kept";
const LOOKS = ["/static/look.css", "/static/live.js", "/static/drop.svg"];
const PATIENCE = 4000; // ms that the board is waited for where there is something kept
const PAGE = /^\/(tanks\/[^/]+)?$/;

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(LOOKS)));
});

// The page that brought this worker was there before it: it is fetched once more, to be kept.
self.addEventListener("activate", (event) => {
  event.waitUntil(
    self.clients.matchAll({ includeUncontrolled: true }).then((pages) =>
      Promise.all(
        pages
          .map((page) => new URL(page.url).pathname)
          .filter((path) => PAGE.test(path))
          .map(async (path) => keepPage(path, await fetch(path))),
      ),
    ),
  );
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname, search } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (request.mode === "navigate" && PAGE.test(pathname) && !search) {
    event.respondWith(answer(event, pathname, keepPage, asOld, anyPage));
  } else if (pathname.startsWith("/static/")) {
    event.respondWith(answer(event, pathname, keepLook, (copy) => copy, Response.error));
  }
});

// From the board, or else from what is kept.
async function answer(event, path, keep, show, otherwise) {
  const copy = await caches.match(path, { cacheName: KEPT });
  const coming = fetch(event.request);
  try {
    const fresh = await (copy ? Promise.race([coming, impatience()]) : coming);
    event.waitUntil(keep(path, fresh.clone()));
    return fresh;
  } catch {
    return copy ? show(copy) : otherwise();
  }
}

function impatience() {
  return new Promise((_, reject) => setTimeout(() => reject(new Error("too late")), PATIENCE));
}

async function keepPage(path, fresh) {
  if (path !== "/" && (fresh.type === "opaqueredirect" || fresh.redirected)) {
    await caches.delete(KEPT); // the door was shut: nothing more is shown of what lies behind it
    return;
  }
  if (!fresh.ok || fresh.redirected) return;
  const headers = new Headers(fresh.headers);
  headers.set("Kept-At", Date.now());
  for (const gone of ["Content-Encoding", "Content-Length"]) headers.delete(gone);
  const kept = await caches.open(KEPT);
  await kept.put(path, new Response(await fresh.text(), { headers }));
}

async function keepLook(path, fresh) {
  if (!fresh.ok) return;
  const kept = await caches.open(KEPT);
  await kept.put(path, fresh);
}

async function asOld(copy) {
  const came = copy.headers.get("Kept-At");
  const html = (await copy.text()).replace('<body class="', `<body data-kept="${came}" class="old `);
  return new Response(html, { headers: copy.headers });
}

async function anyPage() {
  const kept = await caches.open(KEPT);
  const page = (await kept.keys()).map(({ url }) => new URL(url).pathname).find((path) => PAGE.test(path));
  return page ? Response.redirect(page) : Response.error();
}
