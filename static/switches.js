// Drags a circuit onto a position of the drawn panel; its own form does the rest.
"use strict";

function positionUnder(target) {
  const link = target instanceof Element && target.closest('a[href^="#step-position-"]');
  const found = link && /^#step-position-(.+)-(\d+)-wire$/.exec(link.getAttribute("href"));
  return found && { link, at: `${found[1]}:${found[2]}` };
}

document.addEventListener("dragstart", (event) => {
  const item = event.target instanceof Element && event.target.closest("[data-circuit]");
  if (!item) return;
  event.dataTransfer.setData("text/plain", item.dataset.circuit);
  event.dataTransfer.effectAllowed = "move";
});

document.addEventListener("dragover", (event) => {
  if (positionUnder(event.target)) event.preventDefault();
});

document.addEventListener("drop", (event) => {
  const over = positionUnder(event.target);
  const form = over && document.getElementById("hang-" + event.dataTransfer.getData("text/plain"));
  if (!form) return;
  event.preventDefault();
  const choice = form.elements.at;
  choice.value = over.at;
  if (choice.value === over.at) return form.requestSubmit();
  // A switch that is on both ways: the hand that dragged says which.
  const throws = [...choice.options].filter((option) => option.value.startsWith(over.at + ":"));
  if (throws.length > 0) choice.value = throws[0].value;
  choice.focus();
});
