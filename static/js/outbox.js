// What is tapped is laid down on the tablet before it is sent, so that neither the network nor the
// tablet's battery can lose it: each entry with its own id, who tapped it and where it goes, sent in
// order, one at a time; the ledger keeps an id once. Of customers it holds no name; a photograph of one
// who agreed lies here until it is sent, and is dropped then.
// Other scripts hand entries over by the event outbox:take and hear of them by outbox:answer and
// outbox:state. Nothing is ever sent under another name than that of who tapped it.

const PATIENCE = 10000; // ms to wait for an answer
const PICTURE_PATIENCE = 30000; // the same for a photograph of which nothing moves any more
const RETRY = 4000; // ms between tries while the network is gone
const TRIES = 5; // answers of 500 before an entry steps aside for those behind it

const { user: me = "", person = "", here, signIn } = document.body.dataset;
const live = new Map(); // id: the form, the button and the body of what was tapped on this very page
let queue = [];
let state = ""; // why nothing is sent: gone, stuck, out or other
let token = document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
let busy = false;
let loose = ""; // why the tablet does not keep what is tapped
let again; // the timer of the next try

// ---- the tablet's own store

let opened;
function database() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("ledger", 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("waiting", { keyPath: "number", autoIncrement: true });
      asked.result.createObjectStore("drafts", { keyPath: "id" });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  opened.catch(() => { opened = undefined; });
  return opened;
}

// Strict: browsers else say "written" before the disk has it, and a flat battery takes it back.
async function within(store, mode, work) {
  const open = await database();
  return new Promise((resolve, reject) => {
    const turn = open.transaction(store, mode, { durability: "strict" });
    const asked = work(turn.objectStore(store));
    turn.oncomplete = () => resolve(asked.result);
    turn.onabort = () => reject(turn.error);
  });
}

const keepDraft = (draft) => within("drafts", "readwrite", (store) => store.put(draft));
const draftOf = (id) => within("drafts", "readonly", (store) => store.get(id));
const dropDraft = (id) => within("drafts", "readwrite", (store) => store.delete(id));

function record({ number, id, author, person: name, address, fields, files, words, draft, refused }) {
  return { ...(number && { number }), id, author, person: name, address, fields, files, words, draft, refused };
}

const reasonOf = (error) => (error?.name === "QuotaExceededError" ? "it is full" : "its browser refuses to store anything");

async function lay(item) {
  try {
    item.number = await within("waiting", "readwrite", (store) => store.put(record(item)));
    item.loose = loose = "";
  } catch (error) {
    item.loose = reasonOf(error);
    // A photograph may find no room where a tap still does: that is said of the photograph alone.
    if (!item.files.length) loose = item.loose;
  }
}

async function drop(item) {
  queue = queue.filter((each) => each !== item);
  live.delete(item.id);
  if (!item.number) return;
  await within("waiting", "readwrite", (store) => store.delete(item.number)).catch(() => {});
  if (item.draft) await dropDraft(item.draft).catch(() => {});
  for (const other of queue) if (other.loose && !other.passing) await lay(other); // there is room again
}

// What other pages of this tablet laid down or sent meanwhile.
async function look() {
  let stored;
  try {
    stored = await within("waiting", "readonly", (store) => store.getAll());
  } catch {
    loose ||= "its browser refuses to store anything";
    return;
  }
  const numbers = new Set(stored.map((item) => item.number));
  queue = queue.filter((item) => !item.number || numbers.has(item.number));
  const known = new Set(queue.map((item) => item.id));
  const fresh = stored.filter((item) => !known.has(item.id)).map((item) => ({ files: [], ...item }));
  queue = [...fresh, ...queue];
}

// ---- sending

// A random UUID (RFC 9562, version 4). crypto.randomUUID is not there over plain http, which is how
// a tablet reaches the house's computer in the house's own network.
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

const headersOf = (item) => ({ "HX-Request": "true", "X-CSRFToken": token, "Kept-By": item.author });

function post(item) {
  if (item.files.length) return postPicture(item);
  return fetch(item.address, {
    method: "POST",
    body: new URLSearchParams(item.fields),
    headers: headersOf(item),
    credentials: "same-origin",
    signal: AbortSignal.timeout(PATIENCE),
  });
}

// Says how far it is, which fetch cannot, and has time as long as it moves, however slow the network.
function postPicture(item) {
  const body = new FormData();
  [...item.fields, ...item.files].forEach(([name, value]) => body.append(name, value));
  const tell = (part) => document.dispatchEvent(new CustomEvent("outbox:progress", { detail: { id: item.id, part } }));
  return new Promise((resolve, reject) => {
    const ask = new XMLHttpRequest();
    let stands;
    const moved = () => { clearTimeout(stands); stands = setTimeout(() => ask.abort(), PICTURE_PATIENCE); };
    ask.open("POST", item.address);
    Object.entries(headersOf(item)).forEach(([name, value]) => ask.setRequestHeader(name, value));
    ask.upload.onprogress = ({ loaded, total }) => { moved(); tell(loaded / total); };
    ask.onload = () => resolve({
      status: ask.status,
      ok: ask.status >= 200 && ask.status < 300,
      text: async () => ask.responseText,
      headers: { get: (name) => ask.getResponseHeader(name) },
    });
    ask.onerror = ask.onabort = () => { tell(0); reject(new Error("gone")); };
    ask.onloadend = () => clearTimeout(stands);
    moved();
    ask.send(body);
  });
}

// What a damaged store gives back cannot be sent, and would hold up all that waits behind it.
async function isWhole({ files }) {
  return (await Promise.allSettled(files.map(([, file]) => file.slice(0, 1).arrayBuffer()))).every(({ status }) => status === "fulfilled");
}

// A sign-in makes a new token; 403 for an old one is no refusal of the entry.
async function renewed() {
  const answer = await fetch(here, { credentials: "same-origin", cache: "no-store", signal: AbortSignal.timeout(PATIENCE) });
  const said = await answer.json();
  token = said.token;
  return said.user === me;
}

async function send(item) {
  let answer = await post(item);
  if (answer.status === 403 && (await renewed())) answer = await post(item);
  return answer;
}

function reason(html, status) {
  const box = document.createElement("template");
  box.innerHTML = html;
  const said = box.content.querySelector("#last-word, [data-errors]")?.textContent.trim().replace(/\s+/g, " ");
  if (said) return said;
  return { 403: "Not open to you.", 404: "What it speaks of is not there.", 413: "It is too large." }[status] ?? "The ledger did not take it.";
}

async function taken(item, answer) {
  const html = answer.status === 204 ? "" : await answer.text();
  const tap = live.get(item.id);
  if (answer.ok || (answer.status === 422 && tap && !item.waited)) {
    await drop(item);
  } else {
    item.refused = reason(html, answer.status);
    if (answer.headers.get("X-Forget")) item.files = []; // no picture stays of who did not agree
    if (item.number) await lay(item);
  }
  const until = [];
  const shown = answer.ok || answer.status === 422 ? html : "";
  const detail = { item, tap, html: shown, ok: answer.ok, moved: answer.headers.get("HX-Redirect"), now: answer.headers.get("X-State"), left: sendable().length, until };
  document.dispatchEvent(new CustomEvent("outbox:answer", { detail }));
  await Promise.all(until);
}

const sendable = () => queue.filter((item) => item.author === me && me && !item.refused);

// One entry on its way; whether there is another to try at once.
async function step() {
  await look();
  const item = sendable()[0];
  if (!item) return false;
  await item.laid;
  if (!(await isWhole(item))) {
    item.refused = "The tablet lost this photograph. Take it again.";
    return true;
  }
  let stuck = false;
  try {
    const answer = await send(item);
    stuck = answer.status === 503 || answer.status === 507;
    state = { 401: "out", 412: "other" }[answer.status] ?? "";
    if (state) return false;
    item.failed = (item.failed ?? 0) + (answer.status === 500);
    if (answer.status > 500 || answer.status === 429 || (answer.status === 500 && item.failed < TRIES)) throw new Error("busy");
    await taken(item, answer);
    return true;
  } catch {
    sendable().forEach((each) => { each.waited = true; });
    state = stuck ? "stuck" : "gone";
    clearTimeout(again);
    again = setTimeout(drain, RETRY * (0.75 + Math.random() / 2));
    return false;
  }
}

async function drain() {
  if (busy) return;
  busy = true;
  try {
    while (await step()) show();
  } finally {
    busy = false;
    show();
  }
}

// ---- saying how it stands

const entries = (count) => `${count} ${count === 1 ? "entry" : "entries"}`;

function sentence() {
  const count = sendable().length;
  const why = loose || sendable().find((item) => item.loose)?.loose;
  // What must be done comes first: the bar has room for its beginning alone.
  const where = why ? `held by it alone, for the tablet does not keep what is tapped (${why})` : "kept on this tablet";
  const stay = why ? "Leave this page open. " : "";
  if (!count) return loose ? `This tablet keeps nothing: ${loose}. What you tap is lost if the network goes and the page is closed.` : "";
  if (state === "gone") return `${stay}No connection: ${entries(count)} ${where}, trying again.`;
  if (state === "stuck") return `${stay}The house’s computer can keep nothing just now, its disk or its database: ${entries(count)} ${where}, trying again.`;
  if (state === "out") return `${stay}You are signed out: ${entries(count)} ${where}. Sign in to send.`;
  if (state === "other") return `${stay}Someone else is signed in here now: ${entries(count)} of yours ${where}.`;
  return why ? `${stay}${entries(count)} ${where}.` : `Kept: ${entries(count)}, sending.`;
}

function part(name, text, made = {}) {
  return Object.assign(document.createElement(name), { textContent: text, ...made });
}

function standing(item) {
  if (item.refused) return `Not taken: ${item.refused}`;
  if (item.loose) return `Held by this page alone: leave it open. The tablet does not keep it, for ${item.loose}.`;
  return "Kept, not sent yet.";
}

function line(item) {
  const row = part("li", `${item.words}. ${standing(item)}`);
  if (!item.refused) return row;
  const retry = part("button", "Try again", { type: "button", className: "button" });
  retry.addEventListener("click", async () => {
    item.refused = undefined;
    await lay(item);
    drain();
  });
  const end = part("button", "Give it up", { type: "button", className: "button destroys" });
  end.addEventListener("click", async () => {
    if (end.dataset.sure) await drop(item);
    end.dataset.sure = "yes";
    end.textContent = "Really give it up";
    if (!queue.includes(item)) show();
  });
  row.append(retry, end);
  return row;
}

// How many alone: what was seen of a customer is for its writer, not for whoever takes up the tablet.
function others() {
  const counts = new Map();
  queue.filter((item) => item.author !== me).forEach(({ person: name }) => counts.set(name, (counts.get(name) ?? 0) + 1));
  return [...counts].map(([name, count]) => part("p", me
    ? `${entries(count)} of ${name} wait here, to go out under that name only: sign out, or change hands, and let ${name} in.`
    : `${entries(count)} of ${name} wait on this tablet, to be sent when ${name} signs in here.`));
}

function show() {
  const box = document.getElementById("outbox");
  box.hidden = !queue.length && !loose;
  const held = queue.some((item) => item.refused || item.loose || item.author !== me);
  box.className = `account outbox${loose || held || state ? " wrong" : ""}`;
  box.querySelector("summary").textContent = loose && !queue.length ? "Tablet keeps nothing" : `${queue.length} waiting`;
  const sheet = box.querySelector(".account-sheet");
  const rows = part("ul", "", { className: "entries" });
  rows.append(...queue.filter((item) => item.author === me).map(line));
  sheet.replaceChildren(part("p", sentence()), ...others(), rows);
  if (state === "out") sheet.append(part("a", "Sign in", { className: "button main", href: `${signIn}?next=${encodeURIComponent(location.pathname + location.search)}` }));
  const pictures = queue.filter((item) => item.files.length && item.author === me).map((item) => ({ id: item.id, address: item.address, words: item.words, standing: standing(item) }));
  const wrong = Boolean(state || loose || sendable().some((item) => item.loose));
  document.dispatchEvent(new CustomEvent("outbox:state", { detail: { waiting: sendable().filter((item) => !item.files.length).length, words: sentence(), wrong, pictures } }));
}

// ---- what sets it going

document.addEventListener("outbox:take", ({ detail: { form, button, values, address, words, draft, passing } }) => {
  const id = values.get("entry_id") || newId();
  values.set("entry_id", id);
  values.delete("csrfmiddlewaretoken"); // sent anew with each try
  const fields = [...values].filter(([, value]) => typeof value === "string");
  // The pixels alone: a file's own name may say who is on it. Nothing chosen is a file without bytes.
  const files = [...values].filter(([, value]) => value.size).map(([name, file]) => [name, new Blob([file], { type: file.type })]);
  const item = { id, author: me, person, address, fields, files, words, draft, passing };
  forget(id);
  live.set(id, { form, button, values });
  queue.push(item);
  item.laid = passing ? Promise.resolve() : lay(item); // a question is no entry
  item.laid.then(show);
  drain();
});
// A sheet put right and sent anew takes the place of the one that was refused.
function forget(id) {
  const old = queue.find((each) => each.id === id);
  if (old) drop({ ...old, draft: undefined });
  queue = queue.filter((each) => each.id !== id);
}
document.addEventListener("outbox:forget", ({ detail }) => forget(detail.id));
document.addEventListener("outbox:draft", ({ detail }) => {
  detail.until = detail.drop ? dropDraft(detail.drop) : detail.keep ? keepDraft(detail.keep) : draftOf(detail.id);
  detail.until.catch(() => {
    loose ||= "its browser refuses to store anything";
    show();
  });
});
["online", "pageshow"].forEach((name) => window.addEventListener(name, drain));
document.addEventListener("visibilitychange", () => document.hidden || drain());
window.addEventListener("beforeunload", (event) => {
  if (queue.some((item) => !item.number)) event.preventDefault();
});

// Who leaves is told once what stays; a second tap leaves.
document.addEventListener("submit", (event) => {
  const form = event.target;
  const count = queue.filter((item) => item.author === me).length;
  if (!form.matches("[data-signs-out]") || !count || form.dataset.told) return;
  event.preventDefault();
  form.dataset.told = "yes";
  form.querySelector("button").textContent = `${entries(count)} stay here: ${form.dataset.signsOut || "sign out"}`;
}, true);

// The server's answer to a sheet led away from it, so that the sheet is kept there and not needed here.
async function settleSheet() {
  const from = document.referrer && new URL(document.referrer);
  if (!me || !from || from.origin !== location.origin || from.pathname === location.pathname) return;
  const id = `${me} ${from.pathname}`;
  const draft = await draftOf(id);
  if (draft?.sent) await dropDraft(id);
}
settleSheet().catch(() => {});

navigator.storage?.persist?.();
drain();
