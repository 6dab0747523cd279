// The fitting screen under a fast finger. A tap is taken at once: its values and its id are handed to
// the outbox as they were when the finger touched. Without this file every form posts by itself.

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
  old?.querySelectorAll("input[id]:not([type=hidden]), select[id]").forEach((field) => {
    const fresh = piece.querySelector(`#${field.id}`);
    if (!fresh || sent?.contains(field)) return;
    if (field.files?.length) fresh.replaceWith(field);
    else if (field.type === "radio") fresh.checked = field.checked;
    else if (!field.files) fresh.value = field.value;
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

// The part of an address that names the session and the garment.
const placeOf = (address) => new URL(address, location).pathname.split("/").slice(0, 4).join("/");
const isHere = (address) => [...document.querySelectorAll("[data-tap]")].some((form) => placeOf(form.action) === placeOf(address));

function move(address) {
  const to = new URL(address, location);
  if (to.pathname + to.search !== location.pathname + location.search) return location.assign(to);
  location.hash = to.hash;
  location.reload(); // another hash alone would leave the old page standing
}

async function answered({ item, tap, html, ok, moved, left }) {
  tap?.button?.removeAttribute("data-sent");
  if (!tap?.form && !isHere(item.address)) return;
  // What was tapped meanwhile goes out first; it is laid down, but its answer belongs on this page.
  if (moved) return left ? undefined : move(moved);
  if (!html) return say(`Not taken: ${item.refused} It waits on this tablet.`, "wrong");
  await place(html, tap?.form);
  if (ok && tap) ready(tap);
  redraw();
  markCurrent();
}

document.addEventListener("outbox:answer", ({ detail }) => detail.until.push(answered(detail)));
document.addEventListener("outbox:state", ({ detail }) => {
  if (detail.words) say(detail.words, detail.wrong ? "wrong" : "sending");
});

// What an entry is called while it waits: the sign touched and how much, or the button's own words.
function wordsOf(form, button) {
  const sign = button?.name === "clean_zone" ? null : form.querySelector("input[name=seen]:checked");
  const zone = sign?.closest(".zone-panel")?.querySelector("h3").textContent;
  const seen = sign && (sign.getAttribute("aria-label") ?? sign.parentElement.textContent.trim());
  const told = button?.getAttribute("aria-label") ?? button?.textContent.trim().replace(/\s+/g, " ");
  return [zone && `${zone}: ${seen}`, told].filter(Boolean).join(", ").slice(0, 120);
}

// A screen opened without a network for a booking: its first touch begins the session before it. The
// session's id follows from the booking's, so that begun twice it is begun once.
function begin() {
  const ahead = document.querySelector("[data-begins]");
  if (!ahead) return;
  const values = new FormData();
  values.set("booking", ahead.dataset.begins);
  document.dispatchEvent(new CustomEvent("outbox:take", { detail: { values, address: ahead.dataset.start, words: "The fitting begins" } }));
  ahead.remove();
}

// ---- photographs: each an entry of its own, and the form is free for the next at once

function takePictures(form, values) {
  const files = ["photograph", "chosen"].flatMap((name) => values.getAll(name)).filter((file) => file.size);
  files.forEach((file, number) => {
    const one = new FormData();
    one.set("photograph", file);
    ["caption", "view"].forEach((name) => one.set(name, values.get(name) ?? ""));
    const which = files.length > 1 ? ` ${number + 1} of ${files.length}` : "";
    const words = [`Photograph${which}`, values.get("caption")].filter(Boolean).join(", ");
    document.dispatchEvent(new CustomEvent("outbox:take", { detail: { values: one, address: form.action, words } }));
  });
  if (files.length) form.reset();
  return files.length;
}

const sentPart = new Map(); // id: how much of a photograph has left the tablet, 0 to 1

function drawOnTheirWay(pictures) {
  const list = document.getElementById("on-their-way");
  const here = pictures.filter(({ address }) => isHere(address));
  if (!list) return;
  list.replaceChildren(...here.map(({ id, words, standing }) => {
    const row = document.createElement("li");
    const bar = Object.assign(document.createElement("progress"), { id: `sent-${id}`, value: sentPart.get(id) ?? 0 });
    bar.setAttribute("aria-label", `${words}: sent`);
    row.append(bar, ` ${words}. ${standing}`);
    return row;
  }));
}

document.addEventListener("outbox:state", ({ detail }) => drawOnTheirWay(detail.pictures));
document.addEventListener("outbox:progress", ({ detail: { id, part } }) => {
  sentPart.set(id, part);
  const bar = document.getElementById(`sent-${id}`);
  if (bar) bar.value = part;
});

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.matches("[data-tap]")) return;
    event.preventDefault();
    const button = event.submitter;
    const values = new FormData(form, button);
    values.delete("entry_id"); // the outbox gives each tap an id of its own
    begin();
    if (takePictures(form, values)) return;
    button?.setAttribute("data-sent", "");
    const detail = { form, button, values, address: form.action, words: wordsOf(form, button), passing: button?.value === "hear" };
    document.dispatchEvent(new CustomEvent("outbox:take", { detail }));
  },
  true,
);

// ---- what another tablet says of this garment is here within five seconds

const NEWS = 3000; // ms between two questions; 304 answers most of them
const news = document.querySelector("[data-news]")?.dataset;
let known = news && `"${news.state}"`;
let waiting = 0;
let own = 0; // answers to taps of this page: news asked for before one is older than it

document.addEventListener("outbox:state", ({ detail }) => { waiting = detail.waiting; });
document.addEventListener("outbox:answer", ({ detail }) => {
  own += 1;
  if (detail.now) known = `"${detail.now}"`;
});

async function hear() {
  if (document.hidden || waiting) return;
  const asked = own;
  const answer = await fetch(news.news, { headers: { "If-None-Match": known, "HX-Request": "true" }, signal: AbortSignal.timeout(10000) });
  if (answer.status !== 200 || asked !== own || waiting) return;
  const html = await answer.text();
  known = answer.headers.get("ETag");
  if (asked !== own || waiting) return;
  await place(html);
  redraw();
  markCurrent();
}

async function listen() {
  await hear().catch(() => {}); // the outbox says when the network is gone
  setTimeout(listen, NEWS);
}
if (news) setTimeout(listen, NEWS);
