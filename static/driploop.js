// Makes forms quicker where it can; every page works without it.
//
// A form marked data-quick is sent in the background. The page that comes back is read, and each
// element marked data-live is put in place of the one with the same id: one truth, the server's.
"use strict";

const said = document.getElementById("said");

function say(text) {
  if (said) said.textContent = text;
}

// What a part says, without the ids of events that nobody has sent yet and without what was folded
// open: a part that says the same stays, with what is being typed into it.
function says(part) {
  return part.outerHTML.replace(/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g, "").replace(/ open=""/g, "");
}

function replaceLive(fresh) {
  for (const part of document.querySelectorAll("[data-live]")) {
    const newer = fresh.getElementById(part.id);
    if (newer && says(newer) !== says(part)) part.replaceWith(document.adoptNode(newer));
  }
}

function refocus(id, value) {
  const form = id && document.getElementById(id);
  if (!form) return;
  const button = form.querySelector(`button[value="${CSS.escape(value)}"]`) || form.querySelector("button");
  if (button) button.focus({ preventScroll: true });
}

async function send(form, button) {
  const body = new URLSearchParams(new FormData(form, button));
  // What was tapped is sent even where the page is left at once.
  const headers = { Accept: "text/html" };
  const answer = await fetch(form.action, { method: "POST", body, headers, keepalive: true });
  const path = new URL(answer.url).pathname;
  if (path === "/sign-in" || answer.status === 401) {
    location.assign("/sign-in?next=" + encodeURIComponent(location.pathname + location.search));
    return;
  }
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (!answer.ok) {
    document.querySelector("main").replaceWith(document.adoptNode(fresh.querySelector("main")));
    document.querySelector("main").focus();
    return;
  }
  replaceLive(fresh);
  refocus(form.id, button ? button.value : "");
  say(form.dataset.said || "Saved");
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("form[data-quick]") || event.defaultPrevented) return;
  event.preventDefault();
  if (form.getAttribute("aria-busy") === "true") return;
  form.setAttribute("aria-busy", "true");
  try {
    await send(form, event.submitter);
  } catch {
    say("Not sent: no connection to the shop. Nothing was changed; tap again.");
  } finally {
    form.removeAttribute("aria-busy");
  }
});

document.getElementById("refusals")?.focus();
