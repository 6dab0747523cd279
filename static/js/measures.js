// The sheet of measures: one tap repeats last time's value, and before saving one sees how many
// are taken and which are not. Without it the server asks about what is empty.

const sheet = document.querySelector("[data-sheet]");
const FIELDS = "input[data-length-unit]:not([data-again])";

// What the chosen garments do not need is hidden by the style sheet.
const shown = () => [...sheet.querySelectorAll(FIELDS)].filter((field) => field.offsetParent);

function count() {
  const fields = shown();
  const empty = fields.filter((field) => !field.value.trim());
  const names = empty.map((field) => field.labels[0].textContent.trim().replace(/\s+/g, " "));
  sheet.querySelector("[data-count]").textContent = `${fields.length - empty.length} of ${fields.length} taken`;
  sheet.querySelector("[data-empty]").textContent = names.length ? `Not taken yet: ${names.join(", ")}.` : "";
}

function moveOn(field) {
  const fields = [...sheet.querySelectorAll("input[data-length-unit]")].filter((each) => each.offsetParent);
  (fields[fields.indexOf(field) + 1] ?? field).focus();
}

function repeat(key) {
  const field = key.closest(".readings").querySelector(FIELDS);
  field.value = key.dataset.repeat;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.dispatchEvent(new Event("change", { bubbles: true }));
  moveOn(field);
}

if (sheet) {
  sheet.querySelector("[name=listed]").value = "1";
  sheet.addEventListener("input", count);
  sheet.addEventListener("change", count);
  // Enter on a keyboard goes on to the next measure; it must not send a set half taken.
  sheet.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("input[data-length-unit]")) return;
    event.preventDefault();
    moveOn(event.target);
  });
  sheet.addEventListener("click", (event) => {
    const key = event.target.closest("[data-repeat]");
    if (key) repeat(key);
  });
  count();
}

// ---- what is typed is kept on the tablet, measure by measure, until the ledger has the set

const { user, here } = document.body.dataset;
const draft = `${user} ${location.pathname}`;
let filling = false; // by the page itself, not by a finger
let soon;
let busy = false;

function ask(detail) {
  document.dispatchEvent(new CustomEvent("outbox:draft", { detail }));
  return detail.until;
}

function lay(sent = false) {
  const fields = [...new FormData(sheet)].filter(([name]) => name !== "csrfmiddlewaretoken");
  return ask({ keep: { id: draft, fields, sent, at: Date.now() } });
}

function tell(text, kind) {
  sheet.querySelector("[data-kept]").textContent = text;
  sheet.querySelector("[data-kept]").className = kind;
}

const kept = () => lay().then(() => tell("Kept on this tablet.", "hint"), () => tell("This tablet keeps nothing: what is typed is lost if this page is closed.", "error"));

const typed = () => [...sheet.querySelectorAll("input[data-length-unit]")].filter((field) => field.value);

// Lets the page count and echo what it filled in, or emptied, itself.
function filledIn(fields) {
  filling = true;
  [sheet, ...fields].forEach((part) => part.dispatchEvent(new Event("input", { bubbles: true })));
  filling = false;
}

// Figures of another day must not pass for today's: when they were typed stands above them.
function restore({ fields, at }) {
  const unit = fields.find(([name]) => name === "unit")?.[1];
  if (unit !== new FormData(sheet).get("unit")) return tell("A sheet you had begun in the other unit is kept: change the unit to go on with it.", "hint");
  sheet.querySelectorAll("input[type=checkbox], input[type=radio]").forEach((box) => {
    box.checked = fields.some(([name, value]) => name === box.name && value === box.value);
  });
  fields.forEach(([name, value]) => {
    const field = sheet.elements.namedItem(name);
    if (field?.type && !["checkbox", "radio"].includes(field.type)) field.value = value;
  });
  filledIn(typed());
  const left = sheet.querySelector("[data-left]");
  const when = at ? ` on ${new Date(at).toLocaleString("en-GB", { dateStyle: "long", timeStyle: "short" })}` : "";
  left.querySelector("[data-when]").textContent = `As you left it${when}: this was kept on the tablet and is not in the ledger yet.`;
  left.hidden = false;
}

async function beginAnew() {
  clearTimeout(soon);
  await ask({ drop: draft }).catch(() => {});
  const emptied = typed();
  sheet.reset();
  sheet.querySelector("[name=listed]").value = "1";
  sheet.querySelector("[data-left]").hidden = true;
  filledIn(emptied);
  tell("", "hint");
}

// The browser sends the sheet itself when the house answers under this name; else it waits its turn.
async function sendOrKeep() {
  await lay(true).catch(() => {});
  const said = await fetch(here, { cache: "no-store", signal: AbortSignal.timeout(6000) }).then((answer) => answer.json()).catch(() => null);
  const values = new FormData(sheet);
  if (said?.user === user) {
    sheet.querySelector("[name=csrfmiddlewaretoken]").value = said.token;
    document.dispatchEvent(new CustomEvent("outbox:forget", { detail: { id: values.get("entry_id") } }));
    return sheet.submit();
  }
  const words = `Measures, ${sheet.querySelector("[data-count]").textContent}`;
  document.dispatchEvent(new CustomEvent("outbox:take", { detail: { form: sheet, values, address: location.href, words, draft } }));
  tell("No connection: the sheet is kept on this tablet and goes out by itself.", "hint");
  busy = false;
}

function keepOnTablet() {
  sheet.addEventListener("input", () => {
    if (filling) return;
    clearTimeout(soon);
    soon = setTimeout(kept, 300);
  });
  sheet.addEventListener("change", () => { clearTimeout(soon); kept(); });
  sheet.addEventListener("submit", (event) => {
    event.preventDefault();
    clearTimeout(soon);
    if (!busy) sendOrKeep();
    busy = true;
  });
  sheet.querySelector("[data-anew]").addEventListener("click", beginAnew);
  document.addEventListener("outbox:answer", ({ detail }) => {
    if (detail.item.draft === draft && detail.moved) location.assign(detail.moved);
  });
  if (sheet.hasAttribute("data-fresh")) ask({ id: draft }).then((found) => found && restore(found), () => {});
}

if (sheet) keepOnTablet();
