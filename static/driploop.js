// Makes forms quicker where it can, and keeps what is sent while there is no network; every page works without it.
//
// rest.js lets a form rest after a tap, acts.js undoes the last acts. page.js puts newer parts of a page in place, queue.js keeps what is not sent yet on the device, send.js sends it,
// unsent.js shows it, live.js hears of what others did, seen.js tells of a page that worker.js had kept and ahead.js has
// it keep those that come next. This file ties them to the page.
import { refocus, replaceLive, replaceMain, say } from "./page.js";
import { renew } from "./event.js";
import { keep } from "./queue.js";
import { onSent, send, user } from "./send.js";
import { freshen, show } from "./unsent.js";
import { watch } from "./live.js";
import { tellIfSeen } from "./seen.js";
import { lookAhead } from "./ahead.js";
import { begin, isResting, leave, settle } from "./rest.js";
import { note, show as showActs } from "./acts.js";

const NOT_SENT = "Saved on this tablet, not sent yet: no connection to the shop.";

// What is typed into a form, in words: it is all that is seen of it until it is sent.
function typed(form) {
  const fields = Array.from(form.querySelectorAll("input[type=text], textarea")).filter((field) => field.value.trim());
  return fields.map((field) => `${field.labels[0]?.textContent.trim()} ${field.value.trim()}`).join(", ");
}

function what(form, button) {
  const said = button?.dataset.act || button?.textContent || form.dataset.said || document.title;
  return [said, typed(form)].filter(Boolean).join(": ").trim().replace(/\s+/g, " ");
}

function item(form, button) {
  return {
    action: new URL(form.action).pathname,
    body: new URLSearchParams(new FormData(form, button)).toString(),
    form: form.id,
    page: location.pathname,
    what: what(form, button),
    by: user.id,
    name: user.name,
    at: Date.now(),
  };
}

// Goes on to where an answer led, at the spot that the form names; a page that is open already is loaded anew.
function goOn(url, form) {
  // Whoever comes back to this page by the browser's own way says something new.
  renew(form);
  const to = new URL(url);
  to.hash = new URL(form.elements.back?.value || "", location.href).hash;
  const here = to.pathname === location.pathname && to.search === location.search;
  leave();
  if (!here) return location.assign(to);
  location.hash = to.hash;
  location.reload();
}

// The page that a form leads to, if it is kept on this tablet. It is kept without the step that was just done.
async function keptOnward(form) {
  const to = new URL(form.elements.back?.value || "", location.href);
  to.searchParams.delete("done");
  to.hash = "";
  const isHere = to.pathname === location.pathname && to.search === location.search;
  return !isHere && (await globalThis.caches?.match(to.href)) ? to.href : null;
}

async function submit(form, button) {
  const onward = form.hasAttribute("data-onward");
  const value = button ? button.value : "";
  const made = item(form, button);
  const outcome = await send(await keep(made));
  if (!outcome.refused && !outcome.signIn) note(made);
  if (outcome.signIn) {
    location.assign("/sign-in?next=" + encodeURIComponent(location.pathname + location.search));
  } else if (outcome.refused) {
    replaceMain(outcome.page);
  } else if (outcome.page && onward) {
    goOn(outcome.url, form);
    return "left";
  } else if (outcome.page) {
    replaceLive(outcome.page);
    freshen(form);
    refocus(form.id, value);
    say(form.dataset.said || "Saved");
  } else {
    freshen(form);
    say(NOT_SENT);
    const next = onward && (await keptOnward(form));
    if (next) {
      leave();
      location.assign(next);
      return "left";
    }
  }
  await show();
  showActs(show);
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (isResting(form, event.submitter)) return event.preventDefault();
  // A photo is not kept on the tablet: its form is sent by the browser itself.
  if (Array.from(form.querySelectorAll("input[type=file]")).some((field) => field.files.length > 0)) return;
  if (!form.matches("form[data-quick]") || event.defaultPrevented) return;
  // A button that asks something else of the form than to keep it.
  if (event.submitter?.name && event.submitter.name !== "mark") return;
  event.preventDefault();
  if (form.getAttribute("aria-busy") === "true") return;
  form.setAttribute("aria-busy", "true");
  begin(form);
  let outcome;
  try {
    outcome = await submit(form, event.submitter);
  } catch {
    say("Not saved and not sent: this browser stores nothing. Tap again when there is a connection.");
  } finally {
    form.removeAttribute("aria-busy");
    // What leads to another page rests until that page is there.
    if (outcome !== "left") settle(form.id);
  }
});

// A second tap on a link that leads on must not tick what the next page has in its place.
document.addEventListener("click", (event) => event.target.closest?.("a[data-ahead]") && leave());

// Browsers let pages be kept over HTTPS alone, or from this machine.
async function keepPages() {
  if (!navigator.serviceWorker || !user.id) return;
  const workers = navigator.serviceWorker;
  await workers.register("/worker.js");
  const { active } = await workers.ready;
  // Nothing is kept of what is asked for before the worker stands between. A page that came up while the worker did
  // is passed over by it, and asks to be taken in.
  if (!workers.controller) {
    const taken = new Promise((done) => workers.addEventListener("controllerchange", done, { once: true }));
    active.postMessage("take this page in");
    await taken;
  }
  setTimeout(lookAhead, 1000);
}

// A browser may bring back a page as it was left, without asking the server. If somebody else is at the tablet since, or
// nobody, it is loaded again. Without a place to note who is at it, it is always loaded again.
function noteUser() {
  try {
    localStorage.setItem("at-the-tablet", user.id);
  } catch {
    // Nothing is stored in this browser.
  }
}

function isStillHere() {
  try {
    return localStorage.getItem("at-the-tablet") === user.id;
  } catch {
    return false;
  }
}

addEventListener("pageshow", (event) => {
  if (!event.persisted || isStillHere()) return;
  document.body.hidden = true;
  location.reload();
});

noteUser();
onSent(show);
tellIfSeen(show);
show().then(() => send());
showActs(show);
addEventListener("online", () => send());
addEventListener("pageshow", () => send());
setInterval(() => send(), 15000);
watch(show);
keepPages().catch(() => say("This browser stores no pages: without network they do not open."));

document.getElementById("refusals")?.focus();
