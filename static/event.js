// Ids of events.

// An id for the next event of a form. randomUUID is for secure pages only; this is for all.
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

// Gives a form ids for its next event, so that it never says two things under one.
export function renew(form) {
  for (const id of form.querySelectorAll("input[name=event], input[name=tick]")) id.value = newId();
}
