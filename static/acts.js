// The last acts on this tablet, each with its name and a button that undoes it. A page shows those on its job.
import { newId } from "./event.js";
import { keep } from "./queue.js";
import { send, user } from "./send.js";

const NAME = "acts";
const MOST = 10;
const job = document.body.dataset.job;
const place = document.getElementById("last-acts");

function read() {
  try {
    return JSON.parse(localStorage.getItem(NAME)) ?? [];
  } catch {
    return [];
  }
}

function write(acts) {
  try {
    localStorage.setItem(NAME, JSON.stringify(acts));
  } catch {
    // Nothing is stored in this browser: the history of the job has its acts.
  }
}

// Notes something that was sent or waits to be sent. An undo takes the act that it undoes off the list.
export function note(item) {
  const sent = new URLSearchParams(item.body);
  const acts = read();
  const undone = sent.get("of");
  const step = sent.get("step");
  if (sent.get("mark") === "undone") {
    const at = acts.findIndex((act) => act.job === job && act.step === step);
    if (at >= 0) acts.splice(at, 1);
    write(acts);
  } else if (undone) {
    write(acts.filter((act) => act.event !== undone));
  } else if (job && sent.has("event")) {
    const isTick = item.action.endsWith("/ticks");
    const act = { job, event: sent.get("event"), step: isTick ? step : null, what: item.what, at: item.at, by: item.name };
    const own = [act, ...acts.filter((other) => other.job === job)].slice(0, MOST);
    write([...own, ...acts.filter((other) => other.job !== job)]);
  }
}

function undoing(act) {
  const fields = act.step ? { step: act.step, mark: "undone" } : { of: act.event };
  const back = location.pathname + location.search;
  return {
    action: `${job}/${act.step ? "ticks" : "withdrawals"}`,
    body: new URLSearchParams({ event: newId(), ...fields, back }).toString(),
    form: "",
    page: location.pathname,
    what: `Undo: ${act.what}`,
    by: user.id,
    name: user.name,
    at: Date.now(),
  };
}

async function undo(act, button, shown) {
  button.disabled = true;
  const item = undoing(act);
  const outcome = await send(await keep(item));
  if (!outcome.refused) note(item);
  if (outcome.page && !outcome.refused) return location.reload();
  show(shown);
  if (outcome.refused) {
    const why = document.createElement("p");
    why.className = "refusal";
    why.textContent = outcome.page.querySelector("#refusals, main .lead, main p")?.textContent.trim() ?? "Not undone.";
    place.append(why);
  }
  await shown();
}

function row(act, shown) {
  const made = document.createElement("li");
  const at = new Date(act.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const text = document.createElement("p");
  text.textContent = `${at} ${act.what}, ${act.by}`;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "quiet";
  button.textContent = "Undo";
  button.setAttribute("aria-label", `Undo: ${act.what}`);
  button.addEventListener("click", () => undo(act, button, shown));
  made.append(text, button);
  return made;
}

// Shows the acts on the job of this page. `shown` is called when one was undone.
export function show(shown) {
  if (!place) return;
  const acts = read().filter((act) => act.job === job);
  place.hidden = acts.length === 0;
  const fold = document.createElement("details");
  const summary = document.createElement("summary");
  summary.textContent = `Undo: last acts on this tablet (${acts.length})`;
  const rows = document.createElement("ul");
  rows.append(...acts.map((act) => row(act, shown)));
  fold.append(summary, rows);
  fold.open = place.querySelector("details")?.open ?? false;
  place.replaceChildren(fold);
}
