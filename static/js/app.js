// What every page does with a finger: says at once that a tap was taken, sends a form once,
// takes the reader to what is wrong, and tells honestly when the network is gone.

const status = () => document.getElementById("status");

function tell(text, level) {
  const list = document.createElement("ul");
  const line = document.createElement("li");
  list.className = "messages";
  line.className = level;
  line.textContent = text;
  list.append(line);
  status()?.replaceChildren(list);
}

// iOS shows :active only where some touch listener exists.
document.addEventListener("touchstart", () => {}, { passive: true });

// The browser's own page of a lost network would take the place of what is typed. A browser that calls
// itself offline may still reach the house: on the very computer that the ledger runs on.
let answered;
async function sendIfAnswered(form, button) {
  try {
    await fetch(document.body.dataset.here, { cache: "no-store" });
  } catch {
    tell("No connection: nothing was sent, and nothing you typed is lost. Send it again when the network is back.", "error");
    return;
  }
  answered = form;
  form.requestSubmit(button);
  answered = undefined;
}

// A second tap on a form already on its way is dropped; the server drops it again by its entry id.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method === "get" || form.target === "_blank") return;
  if (form.hasAttribute("data-sent")) {
    event.preventDefault();
    return;
  }
  // Signing out and beginning a fitting go without a network: worker.js answers them.
  if (!navigator.onLine && form !== answered && !form.matches("[data-signs-out], [data-goes-offline]")) {
    event.preventDefault();
    sendIfAnswered(form, event.submitter);
    return;
  }
  form.setAttribute("data-sent", "");
  event.submitter?.setAttribute("data-sent", "");
  setTimeout(ready, 10000); // an answer that is a file leaves the page standing
});

// Coming back with the browser's own arrow must find the form ready again.
function ready() {
  document.querySelectorAll("[data-sent]").forEach((part) => part.removeAttribute("data-sent"));
}
window.addEventListener("pageshow", ready);

function showErrors(within) {
  const errors = within.querySelector("[data-errors]");
  if (!errors) return;
  errors.focus();
  if (!document.title.startsWith("Error: ")) document.title = `Error: ${document.title}`;
}

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("[data-errors] a");
  const place = link && document.getElementById(link.hash.slice(1));
  if (!place) return;
  const field = place.matches("input, select, textarea") ? place : place.querySelector("input") ?? place;
  event.preventDefault();
  field.focus({ preventScroll: true });
  (field.closest(".field") ?? field).scrollIntoView({ block: "center" });
});

// The account sheet closes when one touches beside it or presses Escape.
document.addEventListener("click", (event) => {
  document.querySelectorAll("details.account[open]").forEach((sheet) => {
    if (!sheet.contains(event.target)) sheet.open = false;
  });
});
document.addEventListener("keydown", (event) => {
  const sheet = event.key === "Escape" && document.querySelector("details.account[open]");
  if (!sheet) return;
  sheet.open = false;
  sheet.querySelector("summary").focus();
});

document.addEventListener("htmx:beforeRequest", (event) => {
  const field = event.detail.elt;
  const least = Number(field.dataset?.letters ?? 0);
  const typed = least ? field.value.trim().length : 0;
  if (typed > 0 && typed < least) event.preventDefault();
});
document.addEventListener("htmx:afterSwap", (event) => showErrors(event.detail.target));
// What a page asks again by itself saves nothing: workroom.js says what its failure means.
const asksAgain = (event) => event.detail.elt.closest?.("[data-asks-again]");
document.addEventListener("htmx:sendError", (event) => asksAgain(event) || tell("No connection. That was not saved; nothing you typed is lost. Try again.", "error"));
document.addEventListener("htmx:timeout", (event) => asksAgain(event) || tell("No answer for ten seconds. Look whether it was saved before trying again.", "warning"));
document.addEventListener("htmx:responseError", (event) => {
  const answer = event.detail.xhr;
  const out = answer.status === 401;
  if (asksAgain(event)) {
    if (out) location.reload(); // to the page that lets one in again: names do not stand open
    return;
  }
  if (out) return tell("Your sign-in ended, or needs your password once more. What you typed still stands here: send it, and you are asked first.", "warning");
  const said = answer.getResponseHeader("Content-Type")?.startsWith("text/plain") && answer.responseText;
  if (said) return tell(said, "error"); // a full disk, say: the ledger tells it in words
  const refused = answer.status === 403;
  tell(refused ? "That is not open to you, or you were signed out. Load the page again." : "That did not work and was not saved. Try again.", "error");
});

showErrors(document);
