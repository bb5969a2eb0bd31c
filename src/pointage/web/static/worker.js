// The pages with the network gone: the newest that was seen, and every file they need.

const PAGES = "pages";
const FILES = "files";
const FONTS = ["regular", "semibold", "italic"].map((cut) => `/static/serif-${cut}.woff2`);
// Taken in by other scripts, so no page names them.
const MODULES = ["page", "outbox", "ladder", "texts"].map((name) => `/static/${name}.js`);
const PATIENCE_MS = 4_000;
const PAGE_MS = 15_000;

self.addEventListener("install", (event) => {
  event.waitUntil(keepAll().then(() => self.skipWaiting(), leaveNothing));
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

// Half of it is of no use, and of a device that was shut out meanwhile it must not stay.
async function leaveNothing(error) {
  await caches.delete(PAGES);
  throw error;
}

async function keepAll() {
  const pages = await caches.open(PAGES);
  await pages.add("/");
  const top = (await (await pages.match("/")).text()).match(/<nav[\s\S]*?<\/nav>/)[0];
  const screens = top.match(/(?<=href=")\/[^"]*/g).filter((path) => path !== "/");
  await keepEach(pages, [...screens, "/larder/list"]); // what to buy, in the shop
  const list = await (await pages.match("/formulas"))?.text();
  await keepEach(pages, list?.match(/\/formulas\/[^"?]+/g) ?? []);
  const kept = await pages.matchAll();
  const named = (await Promise.all(kept.map((page) => page.text())))
    .flatMap((html) => html.match(/\/static\/[^"'\s]+/g) ?? []);
  const files = await caches.open(FILES);
  await files.addAll([...new Set([...named, ...FONTS, ...MODULES])]);
}

// One page that cannot be had must not cost the others.
function keepEach(pages, paths) {
  return Promise.allSettled([...new Set(paths)].map((path) => keepOne(pages, path)));
}

async function keepOne(pages, path) {
  const answer = await fetch(path, { signal: AbortSignal.timeout(PAGE_MS) });
  // An answer left unread would hold its connection, and a browser has six.
  await (answer.ok ? pages.put(path, answer) : answer.body?.cancel());
}

self.addEventListener("fetch", (event) => {
  const request = event.request;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin || url.pathname === "/alive") return;
  if (url.pathname.startsWith("/static/")) event.respondWith(file(request, url));
  else if (!request.headers.has("HX-Request")) event.respondWith(page(event, url));
});

// A name with a fingerprint never changes, and a font hardly; any other is asked for again.
async function file(request, url) {
  const files = await caches.open(FILES);
  const kept = await files.match(request);
  if (kept && (url.searchParams.has("v") || url.pathname.endsWith(".woff2"))) return kept;
  try {
    const answer = await fetch(request);
    if (answer.ok) {
      await files.delete(request, { ignoreSearch: url.searchParams.has("v") });
      await files.put(request, answer.clone());
    }
    return answer;
  } catch (error) {
    if (kept) return kept;
    throw error;
  }
}

// The network first; after some patience what was kept, while the answer may still come to be kept.
// What was kept is also better than word of a server or a store that is in trouble.
async function page(event, url) {
  const pages = await caches.open(PAGES);
  const asked = fetch(event.request).then(async (answer) => {
    if (answer.ok && !url.search && answer.headers.has("Pointage")) {
      const first = (await pages.keys()).length === 0;
      await pages.put(url.pathname, answer.clone());
      if (first) event.waitUntil(keepAll()); // it has joined again
    } else if (answer.status === 401 && answer.headers.has("Pointage")) {
      // Shut out: what was kept of the kitchen is no longer this device's to see. The outbox stays.
      await Promise.all((await pages.keys()).map((each) => pages.delete(each)));
    }
    return answer;
  });
  const kept = await pages.match(url.pathname);
  if (!kept) return asked.catch(notKept);
  event.waitUntil(asked.catch(() => undefined));
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS, kept));
  const found = await Promise.race([asked, late]).catch(() => kept);
  return found.status < 500 ? found : marked(kept);
}

// The page itself says that it is not of now: see checkNetwork() of page.js.
async function marked(kept) {
  const html = (await kept.text()).replace("<body", "<body data-kept");
  return new Response(html, { headers: kept.headers });
}

// In the language of the Bench that was kept, which has the texts.
async function notKept() {
  const bench = await (await (await caches.open(PAGES)).match("/"))?.text();
  const [, tag, texts] = bench?.match(/<html ([^>]*)>[\s\S]*?<script class="texts"[^>]*>([^<]*)</) ?? [];
  if (!texts) return Response.error();
  const said = JSON.parse(texts);
  const html = `<!doctype html><html ${tag}><meta name="viewport" content="width=device-width">
    <title>${said.no_network}</title><h1>${said.no_network}</h1>
    <p>${said.not_kept}</p>`;
  return new Response(html, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
