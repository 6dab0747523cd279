// The fitting screen under a fast finger. A tap is taken at once: its values and its id are kept as
// they were when the finger touched, sent in order, one at a time, and again when the network comes
// back; the server keeps an id once. Without this file every form posts by itself.

const PATIENCE = 10000; // ms to wait for an answer
const PICTURE_PATIENCE = 90000; // the same for a photograph on its way
const RETRY = 4000; // ms between tries while the network is gone
const waiting = [];
let busy = false;

const word = () => document.getElementById("last-word");

function say(text, kind) {
  word().textContent = text;
  word().className = `last-word ${kind}`;
}

// ---- zones: one panel open, without scrolling and without filling the history

const panels = document.querySelector("[data-panels]");
const zoneLinks = () => document.querySelectorAll('a[href^="#zone-"]');

function markCurrent() {
  const open = document.querySelector(".zone-panel[data-open]");
  zoneLinks().forEach((link) => {
    if (open && link.getAttribute("href") === `#${open.id}`) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  });
}

function openZone(id) {
  const panel = document.getElementById(id);
  if (!panel?.classList.contains("zone-panel")) return;
  document.querySelectorAll(".zone-panel[data-open]").forEach((other) => other.removeAttribute("data-open"));
  panel.setAttribute("data-open", "");
  // What was touched in another zone and not logged would be logged unseen.
  panels.querySelectorAll("[name=seen]:checked").forEach((tile) => {
    if (!panel.contains(tile)) tile.checked = false;
  });
  markCurrent();
  history.replaceState(null, "", `#${id}`);
  panel.parentElement.scrollTop = 0;
  panels.querySelectorAll(".error").forEach((slot) => slot.replaceChildren());
  bringIntoView();
}

// The coat and its panel fit a tablet's screen together: they are brought there once and stay. On a
// phone the panel lies below the drawing, so it comes up by itself.
function bringIntoView() {
  const box = panels.getBoundingClientRect();
  const top = document.querySelector(".session-bar").getBoundingClientRect().height;
  if (box.top >= top && box.bottom <= innerHeight) return;
  const whole = document.getElementById("garment");
  const fits = whole.getBoundingClientRect().height + top <= innerHeight + 8;
  (fits ? whole : panels).scrollIntoView({ block: "start" });
}

document.addEventListener("click", (event) => {
  const link = event.target.closest?.('a[href^="#zone-"]');
  if (!link) return;
  event.preventDefault();
  openZone(link.getAttribute("href").slice(1));
});
if (panels) panels.dataset.panels = "taps";
if (location.hash.startsWith("#zone-")) openZone(location.hash.slice(1));

// ---- none of the usual alterations: the form below is filled in for the fault it is to answer

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("[data-answers]");
  const other = document.getElementById("other");
  if (!link || !other) return;
  event.preventDefault();
  other.querySelector("[name=observation]").value = link.dataset.answers;
  document.getElementById("other-for").textContent = link.dataset.words;
  other.open = true;
  other.scrollIntoView({ block: "start" });
  other.querySelector("select").focus({ preventScroll: true });
});

// ---- chalk marks on the drawing follow the list of zones

// Each place of the drawing holds one sign, at its own point: a ring, a number or a tick.
function drawMark(place, state, count) {
  const old = place.querySelector(".mark, .tack");
  const fresh = document.querySelector(`[data-sign="${state}"]`).firstElementChild.cloneNode(true);
  const [x, y] = old.matches(".tack")
    ? [old.getAttribute("cx"), old.getAttribute("cy")]
    : old.getAttribute("transform").match(/-?[\d.]+/g);
  if (state) fresh.setAttribute("transform", `translate(${x} ${y})`);
  else Object.entries({ cx: x, cy: y }).forEach(([name, value]) => fresh.setAttribute(name, value));
  if (state === "fault") fresh.querySelector("text").textContent = count;
  place.dataset.state = state;
  old.replaceWith(fresh);
}

function redraw() {
  document.querySelectorAll(".zone-link").forEach((link) => {
    const { zone, state, left, right, whole } = link.dataset;
    document.querySelectorAll(`.views .zone[data-zone="${zone}"]`).forEach((place) => {
      const side = place.closest("a").dataset.side;
      const mine = { L: Number(left), R: Number(right) }[side] ?? Number(left) + Number(right);
      const count = Number(whole) + mine;
      drawMark(place, count ? "fault" : state === "clean" ? "clean" : "", count);
    });
  });
}

// ---- taps: taken at once, sent in order

// A random UUID (RFC 9562, version 4). crypto.randomUUID is not there over plain http, which is how
// a tablet reaches the house's computer in the house's own network.
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function ready(tap) {
  tap.button?.removeAttribute("data-sent");
  const seen = tap.form.querySelector("input[name=seen]:checked");
  if (seen && seen.value === tap.values.get("seen")) seen.checked = false;
  tap.form.querySelectorAll("input[name=other], input[name=note]").forEach((field) => {
    if (field.value === tap.values.get(field.name)) field.value = "";
  });
  tap.form.querySelectorAll(".error").forEach((slot) => slot.replaceChildren());
}

// What the finger is on is not replaced before it is lifted and its click is through: causes change
// places as signs are added.
let held = null;
document.addEventListener("pointerdown", (event) => { held = event.target; }, true);
["pointerup", "pointercancel"].forEach((name) =>
  document.addEventListener(name, () => setTimeout(() => { held = null; }, 100), true));

async function untilLifted(old) {
  while (old?.contains(held)) await new Promise((resolve) => setTimeout(resolve, 50));
}

// What is open stays open, and what is typed in a form other than the one answered is not lost.
function carryOver(old, piece, sent) {
  old?.querySelectorAll("details[id][open]").forEach(({ id }) => piece.querySelector(`#${id}`)?.setAttribute("open", ""));
  old?.querySelectorAll("input[id]:not([type=hidden], [type=file]), select[id]").forEach((field) => {
    const fresh = piece.querySelector(`#${field.id}`);
    if (fresh && !sent.contains(field)) fresh.value = field.value;
  });
}

// Puts each piece of an answer where its id stands, and the focus back where it was.
async function place(html, sent) {
  const box = document.createElement("template");
  box.innerHTML = html;
  for (const piece of [...box.content.children]) {
    const old = document.getElementById(piece.id);
    await untilLifted(old);
    const focused = document.activeElement?.id;
    carryOver(old, piece, sent);
    old?.replaceWith(piece);
    htmx.process(piece);
    piece.querySelector("[data-errors]")?.focus();
    if (focused && document.activeElement?.id !== focused) document.getElementById(focused)?.focus({ preventScroll: true });
  }
}

async function send(tap) {
  const answer = await fetch(tap.address, {
    method: "POST",
    body: tap.values,
    headers: { "HX-Request": "true" },
    credentials: "same-origin",
    signal: AbortSignal.timeout(tap.form.enctype === "multipart/form-data" ? PICTURE_PATIENCE : PATIENCE),
  });
  const moved = answer.headers.get("HX-Redirect");
  if (moved) return location.assign(moved);
  if (!answer.ok && answer.status !== 422) throw new Refusal(answer.status);
  await place(await answer.text(), tap.form);
  if (answer.ok) ready(tap);
  else tap.button?.removeAttribute("data-sent");
  redraw();
  markCurrent();
}

class Refusal extends Error {
  constructor(status) {
    super(status === 403 ? "You were signed out, or this is not open to you." : "The house’s computer refused it.");
  }
}

async function drain() {
  if (busy) return;
  busy = true;
  while (waiting.length) {
    try {
      await send(waiting[0]);
      waiting.shift();
    } catch (error) {
      if (error instanceof Refusal) {
        const lost = waiting.shift();
        lost.button?.removeAttribute("data-sent");
        say(`Not saved: ${error.message} Load the page again.`, "wrong");
      } else {
        say(`No connection: ${waiting.length} not saved yet, trying again.`, "wrong");
        await new Promise((resolve) => setTimeout(resolve, RETRY));
      }
    }
  }
  busy = false;
}

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.matches("[data-tap]")) return;
    event.preventDefault();
    const values = new FormData(form, event.submitter);
    values.set("entry_id", newId());
    waiting.push({ form, button: event.submitter, address: form.action, values });
    event.submitter?.setAttribute("data-sent", "");
    say("Sending", "sending");
    drain();
  },
  true,
);
window.addEventListener("beforeunload", (event) => {
  if (waiting.length) event.preventDefault();
});
