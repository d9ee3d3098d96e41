// The pause after an act: a second tap within it is no second act.
//
// A form rests from the tap until its part of the page shows what comes next, and one second longer. So do all ticks of
// a page that an act led to, and a tick that changed because of what somebody else did.
const REST_MS = 1000;
const LED_HERE = "led-here-by-an-act";
const until = new Map();
let arrived = -Infinity;

// A form rests from now on, until it is said when it shows what comes next.
export function begin(form) {
  if (form.id) until.set(form.id, Infinity);
}

// A form shows what comes next. Its buttons say that they rest.
export function settle(id) {
  if (!id) return;
  until.set(id, performance.now() + REST_MS);
  const buttons = Array.from(document.getElementById(id)?.querySelectorAll("button[name=mark]") ?? []);
  for (const button of buttons) button.dataset.resting = "";
  setTimeout(() => buttons.forEach((button) => delete button.dataset.resting), REST_MS);
}

// The ticks in a new part of the page are not those that were there a moment ago.
export function settlePart(part) {
  for (const button of part.querySelectorAll("button[name=mark]")) settle(button.form?.id);
}

// The act leads to another page, whose ticks rest at first.
export function leave() {
  try {
    sessionStorage.setItem(LED_HERE, "yes");
  } catch {
    // Nothing is stored in this browser: the style sheet alone lets the big tick rest.
  }
}

export function isResting(form, button) {
  const now = performance.now();
  if ((until.get(form.id) ?? 0) > now) return true;
  return button?.name === "mark" && now < arrived + REST_MS;
}

function arrive() {
  arrived = performance.now();
  settlePart(document);
}

function wasLed() {
  try {
    const led = sessionStorage.getItem(LED_HERE) !== null;
    sessionStorage.removeItem(LED_HERE);
    return led;
  } catch {
    return false;
  }
}

if (wasLed()) {
  arrive();
  addEventListener("pageshow", arrive, { once: true });
}
// A page that the browser brings back as it was left waits for nothing.
addEventListener("pageshow", (event) => event.persisted && until.clear());
