// The parts of a page that are put in place of older ones: one truth, the server's.

import { settlePart } from "./rest.js";

const said = document.getElementById("said");

export function say(text) {
  if (said) said.textContent = text;
}

// What a part says, without the ids of events that nobody has sent yet and without what was folded open or rests: a part that
// says the same stays, with what is being typed into it.
function says(part) {
  return part.outerHTML.replace(/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g, "").replace(/ (open|data-resting)=""/g, "");
}

// Whether somebody is typing in a part.
function isTypedIn(part) {
  const active = document.activeElement;
  return part.contains(active) && active.matches("input:not([type=hidden]), textarea, select");
}

// Puts each element marked data-live in place of the one with the same id.
export function replaceLive(fresh) {
  for (const part of document.querySelectorAll("[data-live]")) {
    const newer = fresh.getElementById(part.id);
    if (!newer || isTypedIn(part) || says(newer) === says(part)) continue;
    part.replaceWith(document.adoptNode(newer));
    settlePart(newer);
  }
}

export function replaceMain(fresh) {
  const main = fresh.querySelector("main");
  if (!main) return;
  document.querySelector("main").replaceWith(document.adoptNode(main));
  settlePart(main);
  document.querySelector("main").focus();
}

export function refocus(id, value) {
  const form = id && document.getElementById(id);
  if (!form) return;
  const button = form.querySelector(`button[value="${CSS.escape(value)}"]`) || form.querySelector("button");
  if (button) button.focus({ preventScroll: true });
}

export function read(text) {
  return new DOMParser().parseFromString(text, "text/html");
}
