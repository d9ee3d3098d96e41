// Makes forms quicker where it can, and keeps what is sent while there is no network; every page works without it.
//
// page.js puts newer parts of a page in place, queue.js keeps what is not sent yet on the device, send.js sends it,
// unsent.js shows it, live.js hears of what others did. This file ties them to the page.
import { refocus, replaceLive, replaceMain, say } from "./page.js";
import { keep } from "./queue.js";
import { onSent, send, viewer } from "./send.js";
import { freshen, show } from "./unsent.js";
import { watch } from "./live.js";

const NOT_SENT = "Kept on this tablet, not sent yet: no connection to the shop.";

function item(form, button) {
  return {
    action: new URL(form.action).pathname,
    body: new URLSearchParams(new FormData(form, button)).toString(),
    form: form.id,
    page: location.pathname,
    what: (button?.textContent || form.dataset.said || document.title).trim().replace(/\s+/g, " "),
    by: viewer.id,
    name: viewer.name,
    at: Date.now(),
  };
}

async function submit(form, button) {
  const onward = form.hasAttribute("data-onward");
  const value = button ? button.value : "";
  const outcome = await send(await keep(item(form, button)));
  if (outcome.signIn) {
    location.assign("/sign-in?next=" + encodeURIComponent(location.pathname + location.search));
  } else if (outcome.refused) {
    replaceMain(outcome.page);
  } else if (outcome.page && onward) {
    location.assign(outcome.url);
    return;
  } else if (outcome.page) {
    replaceLive(outcome.page);
    freshen(form);
    refocus(form.id, value);
    say(form.dataset.said || "Saved");
  } else {
    freshen(form);
    say(NOT_SENT);
  }
  await show();
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("form[data-quick]") || event.defaultPrevented) return;
  // A button that asks something else of the form than to keep it.
  if (event.submitter?.name && event.submitter.name !== "mark") return;
  event.preventDefault();
  if (form.getAttribute("aria-busy") === "true") return;
  form.setAttribute("aria-busy", "true");
  try {
    await submit(form, event.submitter);
  } catch {
    say("Not kept and not sent: this browser keeps nothing. Tap again once there is a connection.");
  } finally {
    form.removeAttribute("aria-busy");
  }
});

onSent(show);
show().then(() => send());
addEventListener("online", () => send());
addEventListener("pageshow", () => send());
setInterval(() => send(), 15000);
watch(show);

document.getElementById("refusals")?.focus();
