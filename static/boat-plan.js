// Moves locations on the boat plan by touch, mouse and arrow keys; their forms do the same without script.
//
// What was moved is sent once it rests, and the plan is drawn anew by the server: lengths, names and
// raceways follow the location there, so that there is one drawing and one truth.

const STEP_M = 0.05;
const LEAP_M = 0.5;
const REST_MS = 500;
const KEYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

const plans = () => document.getElementById("boat-plans");
const said = document.getElementById("said");

// Locations that were moved and are not stored yet, by id: where they are by now.
const moved = new Map();
let sending = false;
let resting = 0;

function say(text) {
  if (said) said.textContent = text;
}

function boatOf(mark) {
  return mark.closest("[data-scale]");
}

// Movement on the sheet in units of the drawing, as meters ahead and to starboard.
function onBoat(boat, [right, down]) {
  const scale = Number(boat.dataset.scale);
  return boat.dataset.bow === "up" ? [-down / scale, right / scale] : [right / scale, down / scale];
}

function held(id) {
  const mark = plans().querySelector(`[data-location="${CSS.escape(id)}"]`);
  const start = [Number(mark.dataset.ahead), Number(mark.dataset.starboard)];
  return moved.get(id) || { start, at: start };
}

// Shows a location where it was moved to, on both drawings.
function show(id) {
  const { start, at } = held(id);
  for (const mark of plans().querySelectorAll(`[data-location="${CSS.escape(id)}"]`)) {
    const boat = boatOf(mark);
    const scale = Number(boat.dataset.scale);
    const [ahead, starboard] = [(at[0] - start[0]) * scale, (at[1] - start[1]) * scale];
    const by = boat.dataset.bow === "up" ? [starboard, -ahead] : [ahead, starboard];
    mark.setAttribute("transform", `translate(${by[0]} ${by[1]})`);
  }
}

function move(id, [ahead, starboard]) {
  const mark = held(id);
  moved.set(id, { start: mark.start, at: [mark.at[0] + ahead, mark.at[1] + starboard] });
  show(id);
}

function rest() {
  clearTimeout(resting);
  resting = setTimeout(store, REST_MS);
}

async function store() {
  if (sending || moved.size === 0) return;
  sending = true;
  const [id, { at }] = moved.entries().next().value;
  const row = document.querySelector(`[data-row="${CSS.escape(id)}"]`);
  const body = new URLSearchParams({
    version: row.dataset.version,
    ahead_m: at[0].toFixed(2),
    starboard_m: at[1].toFixed(2),
  });
  try {
    const answer = await fetch(`${plans().dataset.moves}/${encodeURIComponent(id)}/spot`, { method: "POST", body });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (answer.ok) drawAnew(page, id, at);
    else refused(page, id);
  } catch {
    say("Not sent: no connection to the shop. The location is where it was.");
    moved.delete(id);
    show(id);
  }
  sending = false;
  if (moved.size > 0) rest();
}

// Puts the server's drawing in place of ours; what was moved on meanwhile keeps its new spot.
function drawAnew(page, id, sent) {
  const focused = document.activeElement?.querySelector?.("[data-location]")?.dataset.location;
  const now = moved.get(id);
  moved.delete(id);
  for (const part of document.querySelectorAll("[data-live]")) {
    const newer = page.getElementById(part.id);
    if (newer) part.replaceWith(document.adoptNode(newer));
  }
  if (now.at !== sent) moved.set(id, { start: sent, at: now.at });
  for (const other of moved.keys()) show(other);
  if (focused) focus(focused);
  say("Moved");
}

function focus(id) {
  for (const mark of plans().querySelectorAll(`[data-location="${CSS.escape(id)}"]`)) {
    const link = mark.closest("a");
    if (link && link.getClientRects().length > 0) link.focus({ preventScroll: true });
  }
}

function refused(page, id) {
  moved.delete(id);
  show(id);
  const why = page.querySelector("main p");
  say(why ? why.textContent.trim() : "The location could not be moved there.");
}

document.addEventListener("keydown", (event) => {
  const way = KEYS[event.key];
  const mark = event.target.querySelector?.("[data-location]");
  if (!way || !mark || !plans()?.dataset.moves) return;
  event.preventDefault();
  const boat = boatOf(mark);
  const units = Number(boat.dataset.scale) * (event.shiftKey ? LEAP_M : STEP_M);
  move(mark.dataset.location, onBoat(boat, [way[0] * units, way[1] * units]));
  rest();
});

// A drag: from where the finger went down to where it is, in units of the drawing.
let drag = null;

function spotOn(svg, event) {
  const spot = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [spot.x, spot.y];
}

document.addEventListener("pointerdown", (event) => {
  const mark = event.target.closest?.("[data-location]");
  // A second finger moves nothing: the first one has the location.
  if (drag || !mark || !plans()?.dataset.moves || event.button !== 0) return;
  const svg = mark.ownerSVGElement;
  drag = { id: mark.dataset.location, pointer: event.pointerId, svg, from: spotOn(svg, event), went: false };
  mark.setPointerCapture(event.pointerId);
});

document.addEventListener("pointermove", (event) => {
  if (drag?.pointer !== event.pointerId) return;
  const to = spotOn(drag.svg, event);
  const by = [to[0] - drag.from[0], to[1] - drag.from[1]];
  if (!drag.went && Math.hypot(...by) < 6) return;
  drag.went = true;
  drag.from = to;
  move(drag.id, onBoat(drag.svg.querySelector("[data-scale]"), by));
});

// A finger on a location moves the location and not the page: shapes of a drawing heed no touch-action.
document.addEventListener("touchmove", (event) => drag && event.preventDefault(), { passive: false });

document.addEventListener("pointerup", (event) => {
  if (drag?.pointer !== event.pointerId) return;
  if (drag.went) {
    rest();
    // The click that ends a drag opens nothing. A finger's drag ends without one, and its next tap counts.
    const stop = (click) => click.preventDefault();
    document.addEventListener("click", stop, { capture: true, once: true });
    setTimeout(() => document.removeEventListener("click", stop, { capture: true }), 50);
  }
  drag = null;
});

document.addEventListener("pointercancel", (event) => {
  if (drag?.pointer !== event.pointerId) return;
  if (drag.went) rest();
  drag = null;
});

// A link is dragged as a link by the browser, unless told not to.
document.addEventListener("dragstart", (event) => {
  if (event.target.closest?.(".boat-plan")) event.preventDefault();
});
