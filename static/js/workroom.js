// A list that asks again by itself, and never moves what is under a finger: it does not ask while
// somebody is at it, does not draw what arrives when they have begun meanwhile, and takes no press
// on what has just moved. An answer 304 draws nothing.

const QUIET = 20000; // ms after the last touch; then nobody is at it: the house's own figure
// A tap on a tablet takes 567 ms, standard deviation 190 (Applied Ergonomics 2016,
// 10.1016/j.apergo.2016.06.004): one begun before the rows moved has ended after mean + 2 of them.
const SETTLES = 950;

let touched = -Infinity;
const isBusy = () =>
  performance.now() - touched < QUIET || document.querySelector("[data-asks-again] [data-sent]") !== null;
const asksAgain = (event) => event.target.closest?.("[data-asks-again]");

for (const kind of ["pointerdown", "pointermove", "touchmove", "keydown", "wheel", "scroll"])
  document.addEventListener(kind, () => (touched = performance.now()), { passive: true, capture: true });

document.addEventListener("htmx:beforeRequest", (event) => {
  if (asksAgain(event) && isBusy()) event.preventDefault();
});

document.addEventListener("htmx:beforeSwap", (event) => {
  if (!asksAgain(event) || !isBusy()) return;
  event.detail.shouldSwap = false;
});

document.addEventListener("htmx:load", (event) => {
  const list = event.target;
  if (!list.matches?.("[data-asks-again]") || list.dataset.drawn) return;
  list.dataset.drawn = "again";
  list.classList.add("settling");
  setTimeout(() => list.classList.remove("settling"), SETTLES);
});

// What stands there may be old: said at the edge, so that nothing moves, and taken back.
const note = () => document.getElementById("status");
document.addEventListener("htmx:afterRequest", (event) => {
  if (!asksAgain(event)) return;
  const answered = event.detail.xhr.status > 0 && event.detail.xhr.status < 400;
  note().querySelector("[data-old]")?.remove();
  if (answered) return;
  const list = document.createElement("ul");
  const line = document.createElement("li");
  list.className = "messages";
  list.dataset.old = "";
  line.className = "warning";
  line.textContent = "No answer from the ledger: what stands here may be old.";
  list.append(line);
  note().append(list);
});
