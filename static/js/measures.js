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
