// Keeps the pages that were seen on this tablet, and shows them while there is no network.
//
// The server writes BUILD, FILES and HELP above: which build of the program this is, the files it travels with, and the
// pages of its help. The help is kept as whoever is not signed in sees it, so that it names nobody. Other pages are kept for the one person who is at the tablet, for as long as a sign-in lasts without use, and are gone once
// somebody signs out or another person is at it. Nothing that is sent goes through here.

const SHOWN = `files-${BUILD}`;
const PAGES = "pages-of-";
const MOST_PAGES = 80;
const KEPT_MS = 12 * 3600 * 1000;
const PATIENCE_MS = 4000;
// Where the person at the tablet changes, when something is sent there.
const DOORS = ["/sign-in", "/sign-out", "/switch"];

// Counts how often everything was forgotten: a page asked for before that is not kept after it.
let forgotten = 0;

addEventListener("install", (event) => {
  const files = FILES.map((name) => file(name));
  const all = (cache) => Promise.all([cache.addAll(files), ...HELP.map((page) => keepHelp(cache, page))]);
  event.waitUntil(caches.open(SHOWN).then(all).then(() => skipWaiting()));
});

addEventListener("activate", (event) => {
  event.waitUntil(drop((name) => name.startsWith("files-") && name !== SHOWN).then(() => clients.claim()));
});

// A page that came up while the worker did asks for this.
addEventListener("message", (event) => event.waitUntil(clients.claim()));

addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== location.origin) return;
  if (pathname === "/sign-in" || (DOORS.includes(pathname) && request.method === "POST")) {
    event.respondWith(throughDoor(request));
  } else if (request.method !== "GET") return;
  else if (pathname.startsWith("/static/")) event.respondWith(fetch(request).catch(() => keptFile(pathname)));
  else if (request.mode === "navigate" && HELP.includes(pathname)) event.respondWith(help(request));
  else if (request.mode === "navigate") event.respondWith(page(event));
  else if (isPage(request)) event.respondWith(fresh(event));
});

function file(name) {
  return `/static/0/${name}`;
}

async function keptFile(path) {
  const cache = await caches.open(SHOWN);
  return (await cache.match(file(path.split("/").slice(3).join("/")))) || Response.error();
}

// A page of the help as it is for everybody; one that cannot be had now is no reason to keep nothing.
async function keepHelp(cache, page) {
  const answer = await fetch(page, { credentials: "omit" }).catch(() => null);
  if (answer?.ok && !answer.redirected) await cache.put(page, answer);
}

// A page of the help: the server's, or else as it came with this build.
async function help(request) {
  const server = fetch(request);
  const patience = new Promise((done) => setTimeout(done, PATIENCE_MS));
  const first = await Promise.race([server.catch(() => null), patience]);
  if (first) return first;
  const kept = await (await caches.open(SHOWN)).match(request.url, { ignoreSearch: true });
  return kept || server.catch(() => keptFile(file("offline.html")));
}

async function drop(which) {
  const names = await caches.keys();
  await Promise.all(names.filter(which).map((name) => caches.delete(name)));
}

function forget() {
  forgotten += 1;
  return drop((name) => name.startsWith(PAGES));
}

async function throughDoor(request) {
  await forget();
  try {
    return await fetch(request);
  } finally {
    await forget();
  }
}

// Pages of the shop floor and of jobs; not those about the people.
function isWork(request) {
  const { pathname } = new URL(request.url);
  return pathname === "/" || pathname === "/my-work" || pathname.startsWith("/jobs/");
}

// Whether an answer says that the sign-in of this tablet is over.
function isOver(answer) {
  return answer.headers.has("Clear-Site-Data") || (answer.redirected && new URL(answer.url).pathname === "/sign-in");
}

function isPage(request) {
  return request.headers.get("Accept")?.includes("text/html");
}

// A page from the server, kept if it is one to keep.
function fresh(event) {
  const begun = forgotten;
  const answer = fetch(event.request);
  const settle = (answer) => (isOver(answer) ? forget() : keep(event.request, answer.clone(), begun));
  event.waitUntil(answer.then(settle).catch(() => {}));
  return answer;
}

async function keep(request, answer, begun) {
  const user = answer.headers.get("X-User");
  const html = answer.headers.get("Content-Type")?.startsWith("text/html");
  if (!user || !isWork(request) || !html || answer.redirected || !answer.ok) return;
  const headers = new Headers(answer.headers);
  // What is kept is unpacked.
  headers.delete("Content-Encoding");
  headers.delete("Content-Length");
  headers.set("X-Seen", String(Date.now()));
  const body = await answer.text();
  await drop((name) => name.startsWith(PAGES) && name !== PAGES + user);
  const cache = await caches.open(PAGES + user);
  // Whoever asked may be gone by now.
  if (begun === forgotten) await cache.put(request.url, new Response(body, { headers }));
  if (begun !== forgotten) return drop((name) => name.startsWith(PAGES));
  const kept = await cache.keys();
  await Promise.all(kept.slice(0, Math.max(0, kept.length - MOST_PAGES)).map((oldest) => cache.delete(oldest)));
}

// A page to look at: the server's, or else as it was last seen here.
async function page(event) {
  const server = fresh(event);
  const patience = new Promise((done) => setTimeout(() => done("late"), PATIENCE_MS));
  const first = await Promise.race([server.catch(() => "gone"), patience]);
  if (first instanceof Response) return first;
  return (await seen(event.request, first)) || server.catch(() => keptFile(file("offline.html")));
}

async function seen(request, why) {
  for (const name of (await caches.keys()).filter((name) => name.startsWith(PAGES))) {
    const kept = await (await caches.open(name)).match(request.url);
    const at = Number(kept?.headers.get("X-Seen"));
    if (kept && Date.now() - at < KEPT_MS) {
      const body = (await kept.text()).replace("<body", `<body data-seen="${at}"${why === "late" ? " data-late" : ""}`);
      return new Response(body, { headers: kept.headers });
    }
  }
}
