"use strict";
// Puts in place what slatwright sends. Every figure on the page comes from there; nothing is worked out here but where
// a pointer stands on the drawing.

const byId = (id) => document.getElementById(id);
const PARTS = ["steps", "devices", "head", "cabinets", "drawing", "said", "ways", "sizes", "card"];

// One request after another, so that none overtakes another.
let line = Promise.resolve();
function inLine(work) {
  line = line.then(work, work);
  return line;
}

async function ask(path, fields) {
  const asked = fields ? { method: "POST", body: new URLSearchParams(fields) } : {};
  const reply = await fetch(path, asked);
  const text = await reply.text();
  if (!reply.ok) throw new Error(text);
  return text;
}

function say(words) {
  const notice = byId("notice");
  if (notice) notice.textContent = words;
}

const gone = "slatwright does not answer: it may have been ended. Open the job again to go on; nothing written is lost.";

// What every request tells: which cabinet lies on the bench, how far its doors are open, what the page was drawn from.
function here() {
  const steps = byId("steps");
  return { cabinet: steps.dataset.cabinet, seen: steps.dataset.seen, view: steps.dataset.view, open: byId("open")?.value ?? 0 };
}

// ---- parts of the page in place ----

function fieldOf(node) {
  return node instanceof Element ? node.closest("input[data-at], select[data-at]") : null;
}

function typedInto(field) {
  if (field.tagName === "SELECT") return ![...field.options].some((o) => o.defaultSelected && o.selected);
  return field.value !== field.defaultValue;
}

// What is typed and not yet written, but for what stood in the field that was just sent: who typed on keeps that.
function unsent(sent) {
  const fields = [...document.querySelectorAll("input[data-at]")];
  const answered = (field) => field.dataset.at === sent?.at && field.value === sent.stood;
  const kept = fields.filter((field) => typedInto(field) && !answered(field));
  return kept.map((field) => [field.id, field.value]);
}

function place(html, { sent = null, trying = false } = {}) {
  const page = new DOMParser().parseFromString(html, "text/html");
  if (trying) {
    for (const says of page.querySelectorAll(".says")) {
      const old = byId(says.id);
      if (!old) continue;
      old.textContent = says.textContent;
      old.parentElement.classList.toggle("wrong", says.textContent !== "");
    }
  }
  const kept = unsent(sent);
  const active = document.activeElement;
  const at = active && active.id ? active.id : null;
  const chosen = fieldOf(active) && active.tagName === "INPUT" ? [active.selectionStart, active.selectionEnd] : null;
  const unfolded = [...document.querySelectorAll("details")].map((details) => details.open);
  const parts = trying ? ["steps", "drawing", "said", "ways", "card"] : PARTS;
  // The files changed elsewhere meanwhile: the fields, which a value that is only tried leaves alone, show what was.
  const behind = trying && page.getElementById("steps")?.dataset.seen !== byId("steps").dataset.seen;
  for (const id of parts) {
    const [old, fresh] = [byId(id), page.getElementById(id)];
    if (!old || !fresh || old.outerHTML === fresh.outerHTML) continue;
    old.replaceWith(document.adoptNode(fresh));
  }
  [...document.querySelectorAll("details")].forEach((details, n) => { if (unfolded[n]) details.open = true; });
  for (const [id, value] of trying ? [] : kept) if (byId(id)) byId(id).value = value;
  const again = at && byId(at);
  if (again && again !== document.activeElement) {
    again.focus({ preventScroll: true });
    if (chosen && again.setSelectionRange) again.setSelectionRange(...chosen);
  }
  if (byId("steps")) history.replaceState(null, "", `?cabinet=${byId("steps").dataset.cabinet}`);
  fetchLater();
  if (behind) refresh();
}

// ---- the doors, moved ----

let positions = null;
let positionsOf = null;

async function fetchPositions() {
  const drawing = byId("drawing");
  clearTimeout(later);
  const key = drawing && `of=${drawing.dataset.of}&cabinet=${byId("steps").dataset.cabinet}`;
  if (!key || key === positionsOf) return;
  positionsOf = key;
  positions = null;
  try {
    const found = JSON.parse(await ask(`positions?${key}`));
    if (positionsOf !== key) return;
    positions = found.doors.map((door, n) => ({
      ...door,
      plan: [...document.querySelectorAll(`[data-plan="${n}"] > .slat`)],
      front: [...document.querySelectorAll(`[data-front="${n}"] > .slat`)],
    }));
    standAt(byId("open").value);
  } catch {
    // Drawn anew meanwhile: the next drawing asks for its own.
    positionsOf = null;
  }
}

// Only a door that is moved needs them; meanwhile the machine works out the price.
const STILL = 400;
let later = 0;
function fetchLater() {
  clearTimeout(later);
  later = setTimeout(fetchPositions, STILL);
}

function standAt(position) {
  for (const door of positions ?? []) {
    const at = door.at[position];
    const seen = door.seen[position];
    const binds = door.binds[position];
    at.forEach(([x, y, turned, front], n) => {
      const slat = door.plan[n];
      slat.setAttribute("transform", `translate(${x} ${y}) rotate(${turned})`);
      slat.classList.toggle("binds", binds.includes(n));
      const face = door.front[n];
      face.setAttribute("transform", door.lies ? `translate(0 ${front})` : `translate(${front} 0)`);
      if (n < seen) face.removeAttribute("display"); else face.setAttribute("display", "none");
    });
  }
}

let pending = null;
function openSoon(position) {
  fetchPositions();
  if (pending === null) requestAnimationFrame(() => { standAt(pending); pending = null; });
  pending = position;
}

let dragged = null;
document.addEventListener("pointerdown", (event) => {
  const door = event.target instanceof Element && event.target.closest(".bench g.door, .bench .plan");
  const svg = door && door.closest("svg");
  if (!svg) return;
  const way = door.dataset.way ?? svg.querySelector("[data-plan]")?.dataset.way ?? 1;
  const travel = door.dataset.travel ?? svg.querySelector("[data-plan]")?.dataset.travel;
  dragged = { x: event.clientX, y: event.clientY, from: Number(byId("open").value), way: Number(way), svg,
    lies: door.dataset.lies === "yes", travel: Number(travel) };
  svg.setPointerCapture(event.pointerId);
  event.preventDefault();
});
document.addEventListener("pointermove", (event) => {
  if (!dragged) return;
  const slider = byId("open");
  const scale = dragged.svg.viewBox.baseVal.width / dragged.svg.getBoundingClientRect().width;
  const moved = (dragged.lies ? dragged.y - event.clientY : event.clientX - dragged.x) * scale * dragged.way;
  slider.value = String(Math.round(dragged.from + (moved / dragged.travel) * slider.max));
  openSoon(slider.value);
});
for (const over of ["pointerup", "pointercancel"]) document.addEventListener(over, () => { dragged = null; });

// ---- sizes, typed and written ----

let trying = null;
function attempt(field) {
  const mine = { at: field.dataset.at, to: field.value };
  trying = mine;
  inLine(async () => {
    if (trying !== mine) return;
    try {
      const html = await ask("try", { ...here(), ...mine });
      if (trying === mine) place(html, { trying: true });
    } catch (error) {
      say(error instanceof TypeError ? gone : error.message);
    }
  });
}

function edit(asked, typed) {
  trying = null;
  return inLine(async () => {
    const sent = typeof asked === "function" ? asked() : asked;
    const fields = [...document.querySelectorAll("input[data-at]")];
    const stood = typed ?? fields.find((field) => field.dataset.at === sent.at)?.value;
    try {
      place(await ask("edit", { ...here(), ...sent }), { sent: { at: sent.at, stood } });
    } catch (error) {
      say(error instanceof TypeError ? gone : error.message);
    }
  });
}

// The value that was sent last, so that Enter and leaving the field do not send it twice.
let last = null;
function write(field) {
  const mine = `${field.dataset.at}=${field.value}`;
  if (!typedInto(field) || last === mine) return;
  last = mine;
  edit({ what: "set", at: field.dataset.at, to: field.value }, field.value).then(() => { if (last === mine) last = null; });
}

function step(field, by) {
  const [id, at] = [field.id, field.dataset.at];
  edit(() => ({ what: "step", at, by, to: byId(id).value || byId(id).placeholder }));
}

document.addEventListener("input", (event) => {
  if (event.target.id === "open") openSoon(event.target.value);
  const field = fieldOf(event.target);
  if (field) attempt(field);
});
document.addEventListener("change", (event) => {
  const field = fieldOf(event.target);
  if (field) write(field);
});
document.addEventListener("submit", (event) => event.preventDefault());

document.addEventListener("keydown", (event) => {
  const field = fieldOf(event.target);
  if (field) {
    const steps = field.parentElement.querySelector(".step");
    if (event.key === "Enter") write(field);
    else if (event.key === "Escape") {
      field.value = field.defaultValue;
      trying = null;
      refresh();
    } else if (steps && field.tagName === "INPUT" && ["ArrowUp", "ArrowDown"].includes(event.key)) {
      event.preventDefault();
      step(field, event.key === "ArrowUp" ? "up" : "down");
    } else if (!(event.ctrlKey || event.metaKey) || typedInto(field)) return;
  }
  if ((event.ctrlKey || event.metaKey) && ["z", "y"].includes(event.key.toLowerCase())) {
    const again = event.key.toLowerCase() === "y" || event.shiftKey;
    event.preventDefault();
    edit({ what: again ? "redo" : "undo" });
  }
});

document.addEventListener("click", (event) => {
  const pressed = event.target instanceof Element && event.target.closest("[data-what], [data-print]");
  if (!pressed) return;
  if (pressed.dataset.print) {
    event.preventDefault();
    const sheets = window.open(pressed.href);
    if (sheets) sheets.addEventListener("load", () => sheets.print());
    return;
  }
  const field = pressed.parentElement.querySelector("input[data-at]");
  if (pressed.dataset.what === "step") step(field, pressed.dataset.by);
  else edit({ ...pressed.dataset });
});

// ---- what happens elsewhere ----

function refresh(unless = () => false) {
  inLine(async () => {
    if (unless()) return;
    try {
      place(await ask(`parts?${new URLSearchParams(here())}`));
    } catch {
      say(gone);
    }
  });
}

const news = new EventSource("news");
// What this page wrote itself it hears of too, at times before the answer.
news.addEventListener("changed", (event) => refresh(() => event.data === byId("steps").dataset.seen));
news.addEventListener("card", () => inLine(async () => {
  const page = new DOMParser().parseFromString(await ask("card").catch(() => ""), "text/html");
  const focused = document.activeElement?.closest("#card [data-what], #ways [data-what]");
  for (const id of ["ways", "card"]) {
    const [old, fresh] = [byId(id), page.getElementById(id)];
    if (old && fresh && old.outerHTML !== fresh.outerHTML) old.replaceWith(document.adoptNode(fresh));
  }
  if (focused && !focused.isConnected) {
    const same = [...document.querySelectorAll("[data-what]")].find((button) => button.textContent === focused.textContent);
    same?.focus();
  }
}));
news.addEventListener("error", () => say(gone));
news.addEventListener("open", () => { if (byId("notice").textContent === gone) refresh(); });

fetchPositions();
