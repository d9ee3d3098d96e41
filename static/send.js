// Sends what is kept, one after another. Each carries an id made with its form, so that sent twice is stored once.
import { change, forget, kept } from "./queue.js";
import { read } from "./page.js";

export const user = { id: document.body.dataset.user || "", name: document.body.dataset.userName || "" };

let told = () => {};
let sending = null;
const outcomes = new Map();

// Names what is called when something kept was sent or refused.
export function onSent(tell) {
  told = tell;
}

// Sends all that waits; tells what became of the item with this number.
export async function send(n) {
  outcomes.delete(n);
  if (sending) await sending;
  sending = all(n).finally(() => (sending = null));
  await sending;
  const outcome = outcomes.get(n) || {};
  outcomes.delete(n);
  return outcome;
}

async function all(n) {
  let sent = false;
  for (const item of await kept()) {
    // What somebody else made at this tablet waits until they are back.
    if (item.refused || item.by !== user.id) continue;
    const outcome = await one(item, item.n === n);
    if (item.n === n) outcomes.set(n, outcome);
    if (!outcome.page) break;
    sent = true;
  }
  if (sent) await told();
}

// Sends one item. Without an answer, or with one that says to come again, it stays and all after it.
async function one(item, isNew) {
  const headers = {
    Accept: "text/html",
    "Content-Type": "application/x-www-form-urlencoded",
    "X-Made-By": item.by,
  };
  const body = `${item.body}&waited_ms=${Math.max(0, Date.now() - item.at)}`;
  let answer;
  try {
    answer = await fetch(item.action, { method: "POST", body, headers, keepalive: true });
  } catch {
    return {};
  }
  if (answer.status === 401 || new URL(answer.url).pathname === "/sign-in") return { signIn: isNew };
  if (answer.status >= 500 || answer.status === 408 || answer.status === 429) return {};
  const page = read(await answer.text());
  if (answer.ok) {
    await forget(item.n);
    return { page, url: answer.url };
  }
  if (isNew) {
    await forget(item.n);
  } else {
    const asks = page.querySelector('form[action="/confirm"]') !== null;
    const said = asks ? page.querySelector("main .lead") : page.getElementById("refusals");
    const why = said || page.querySelector(".refusal") || page.querySelector("main");
    await change({ ...item, asks, refused: (why?.textContent || "").trim().replace(/\s+/g, " ") });
  }
  return { page, refused: true };
}
