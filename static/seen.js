// A page shown as it was last seen: says so, and puts the newer one in its place once the shop answers.
import { renew } from "./event.js";
import { read, replaceLive, replaceMain } from "./page.js";

const AGAIN_MS = 5000;
const { seen, late } = document.body.dataset;
let typed = false;

function tell() {
  const at = new Date(Number(seen)).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const mark = document.createElement("p");
  mark.className = "seen-mark";
  mark.setAttribute("role", "status");
  const why = late === undefined ? "no network" : "no answer yet";
  mark.textContent = `Page from ${at}, ${why}. Your marks wait on this tablet. `;
  const again = document.createElement("a");
  again.href = location.href;
  again.textContent = "Reload";
  mark.append(again);
  document.querySelector("main").prepend(mark);
}

// Tells whether the page is the server's by now.
async function look() {
  const answer = await fetch(location.href, { headers: { Accept: "text/html" } }).catch(() => null);
  if (!answer?.ok || typed) return false;
  if (new URL(answer.url).pathname !== location.pathname) {
    location.reload();
    return true;
  }
  const fresh = read(await answer.text());
  replaceLive(fresh);
  replaceMain(fresh);
  return true;
}

async function watch(shown) {
  if (await look()) return shown();
  setTimeout(() => watch(shown), AGAIN_MS);
}

// Tells of a page that is not the server's by now; of any other, nothing.
export function tellIfSeen(shown) {
  if (!seen) return;
  tell();
  // The ids in it may have been used since: an event under one of them would be taken for that one, sent twice.
  renew(document);
  addEventListener("input", () => (typed = true));
  addEventListener("submit", () => (typed = false));
  watch(shown);
}
