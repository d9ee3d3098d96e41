// Hears that somebody changed the job this page is of, and looks again.
import { read, replaceLive } from "./page.js";
import { send } from "./send.js";

const job = document.body.dataset.job;
let source = null;
let again = 0;

async function look(shown) {
  const answer = await fetch(location.href, { headers: { Accept: "text/html" } }).catch(() => null);
  if (!answer || !answer.ok || new URL(answer.url).pathname !== location.pathname) return;
  replaceLive(read(await answer.text()));
  await shown();
}

function close() {
  source?.close();
  source = null;
}

// A browser has few connections to one server: a page that nobody sees gives its own back.
function open(shown) {
  if (source || document.hidden) return;
  source = new EventSource(`${job}/live`);
  let asked = 0;
  source.addEventListener("changed", () => {
    clearTimeout(asked);
    asked = setTimeout(() => look(shown), 150);
  });
  source.addEventListener("open", () => send());
  source.addEventListener("error", () => {
    if (source?.readyState !== EventSource.CLOSED) return;
    close();
    clearTimeout(again);
    again = setTimeout(() => open(shown), 10000);
  });
}

export function watch(shown) {
  if (!job) return;
  open(shown);
  addEventListener("pagehide", close);
  addEventListener("pageshow", (event) => event.persisted && open(shown));
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) return close();
    open(shown);
    look(shown);
  });
}
