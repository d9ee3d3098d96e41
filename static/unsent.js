// Shows what is not sent yet: beside each step it is about, and all of it in one list.
import { change, forget, kept } from "./queue.js";
import { renew } from "./event.js";
import { send, user } from "./send.js";

const list = document.getElementById("unsent");

function element(name, text, attributes = {}) {
  const made = document.createElement(name);
  if (text) made.textContent = text;
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

// Makes a form ready for the next event, so that it never says two things under one id.
export function freshen(form) {
  if (!form.isConnected || !form.querySelector("input[name=event]")) return;
  if (!form.querySelector(".tick, .now-tick")) form.reset();
  renew(form);
}

// Shows a tick as it was marked last, though nobody else knows of it yet.
function mark(item) {
  const form = document.getElementById(item.form);
  const sent = new URLSearchParams(item.body);
  if (!form || form.querySelector("input[name=step]")?.value !== (sent.get("step") ?? undefined)) return;
  const tick = form.querySelector(".tick");
  if (tick) {
    const done = sent.get("mark") === "done";
    tick.value = done ? "undone" : "done";
    tick.setAttribute("aria-pressed", String(done));
    tick.classList.toggle("tick-done", done);
    tick.classList.toggle("tick-open", !done);
  }
  const big = form.querySelector(".now-tick");
  if (big) big.disabled = true;
  const mark = element("p", "Not sent yet", { class: "unsent-mark" });
  const beside = form.parentElement.querySelector(".in-hand-words") || form;
  beside.append(mark);
}

function row(item) {
  const made = element("li");
  const at = new Date(item.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  const whose = item.by === user.id ? "" : `, by ${item.name}: waits until ${item.name} is back at this tablet`;
  made.append(element("p", `${at} ${item.what}${whose}`));
  if (!item.refused) return made;
  made.append(element("p", `Refused: ${item.refused}`, { class: "refusal" }));
  const again = element("button", "Send again", { type: "button", class: "quiet" });
  again.addEventListener("click", async () => {
    await change({ ...item, refused: undefined });
    await send();
    await show();
  });
  const away = element("button", "Discard", { type: "button", class: "quiet" });
  away.addEventListener("click", async () => {
    await forget(item.n);
    await show();
  });
  const actions = element("p", "", { class: "actions" });
  actions.append(again, away);
  if (item.asks) {
    const address = `/confirm?back=${encodeURIComponent(item.page)}`;
    actions.prepend(element("a", "Enter your passphrase", { href: address, class: "button" }));
  }
  made.append(actions);
  return made;
}

// Shows everything that is kept.
export async function show() {
  const items = await kept();
  for (const old of document.querySelectorAll(".unsent-mark")) old.remove();
  for (const item of items.filter((item) => !item.refused)) mark(item);
  if (!list) return;
  list.hidden = items.length === 0;
  const rows = element("ul", "", { class: "unsent-list" });
  rows.append(...items.map(row));
  const refused = items.filter((item) => item.refused).length;
  const words = refused ? `Not sent yet: ${items.length - refused}, refused: ${refused}` : `Not sent yet: ${items.length}`;
  list.replaceChildren(element("h2", words), rows);
}
