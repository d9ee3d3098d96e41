// Looks at the pages that work leads to from this one, so that they open where there is no network.
import { read } from "./page.js";

const MOST = 24;
const DEEP = 4;
const PAUSE_MS = 150;
const FRESH_MS = 10 * 60 * 1000;

const pause = () => new Promise((done) => setTimeout(done, PAUSE_MS));

function ahead(page) {
  return Array.from(page.querySelectorAll("a[data-ahead]"), (link) => {
    const address = new URL(link.getAttribute("href"), location.href);
    address.hash = "";
    return address.href;
  });
}

async function isFresh(address) {
  const kept = await caches.match(address);
  return kept && Date.now() - Number(kept.headers.get("X-Seen")) < FRESH_MS ? kept : null;
}

// A page as it is kept, or else as the server has it; the worker keeps what passes through it.
async function get(address) {
  const kept = await isFresh(address);
  if (kept) return kept;
  await pause();
  return fetch(address, { headers: { Accept: "text/html" } }).catch(() => null);
}

// Follows the ways that lead on from this page, the nearest first, and not for ever. The page itself may have come
// before there was a worker.
export async function lookAhead() {
  const known = new Set();
  let next = [location.href.split("#")[0], ...ahead(document)];
  for (let deep = 0; deep < DEEP; deep += 1) {
    const found = [];
    for (const address of next) {
      if (known.has(address)) continue;
      if (known.size > MOST || document.hidden) return;
      known.add(address);
      const answer = await get(address);
      if (!answer) return;
      if (!answer.ok) continue;
      found.push(...ahead(read(await answer.text())));
    }
    next = found;
  }
}
