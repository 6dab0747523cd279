// Drag a booking to a free time of the sheet: it opens the move with that time filled in, and
// nothing is moved before what it means was read there. Without this script the booking's own page
// does the same by "Move on the week".

const FAR = 8; // px before a mouse drags; less is a click: the house's own figure
const HOLD = 400; // ms before a finger drags; less is a scroll or a tap: the house's own figure

let held = null; // what is under the finger: booking, pointer, where it began, its ghost

function begin(event) {
  const booking = event.target.closest?.(".sheet [data-move]");
  if (!booking || held || event.button > 0) return;
  held = { booking, id: event.pointerId, x: event.clientX, y: event.clientY, ghost: null, timer: 0 };
  if (event.pointerType !== "mouse") held.timer = setTimeout(lift, HOLD);
}

function lift() {
  const ghost = held.booking.cloneNode(true);
  ghost.className = "booked dragged";
  ghost.removeAttribute("href");
  ghost.setAttribute("aria-hidden", "true");
  document.body.append(ghost);
  held.ghost = ghost;
  held.booking.classList.add("lifted");
  place(held.x, held.y);
}

function place(x, y) {
  held.ghost.style.transform = `translate(${x}px, ${y}px)`;
  document.querySelector(".sheet .free.under")?.classList.remove("under");
  freeAt(x, y)?.closest(".free").classList.add("under");
}

const freeAt = (x, y) => document.elementFromPoint(x, y)?.closest(".sheet .free")?.querySelector("a");

function move(event) {
  if (event.pointerId !== held?.id) return;
  const far = Math.hypot(event.clientX - held.x, event.clientY - held.y) > FAR;
  if (!held.ghost && far && event.pointerType !== "mouse") return letGo(); // the page is scrolled
  if (!held.ghost && far) lift();
  if (held.ghost) place(event.clientX, event.clientY);
}

function drop(event) {
  if (event.pointerId !== held?.id) return;
  const link = held.ghost && freeAt(event.clientX, event.clientY);
  const address = held.booking.dataset.move;
  if (held.ghost) swallowClick();
  letGo();
  if (link) location.assign(address + new URL(link.href).search);
}

// The click that follows a drag must not open the booking it began on.
function swallowClick() {
  const stop = (event) => (event.preventDefault(), event.stopPropagation());
  document.addEventListener("click", stop, { capture: true, once: true });
  setTimeout(() => document.removeEventListener("click", stop, { capture: true }), 50);
}

function letGo() {
  if (!held) return;
  clearTimeout(held.timer);
  held.ghost?.remove();
  held.booking.classList.remove("lifted");
  document.querySelector(".sheet .free.under")?.classList.remove("under");
  held = null;
}

document.addEventListener("pointerdown", begin);
document.addEventListener("pointermove", move);
document.addEventListener("pointerup", drop);
document.addEventListener("pointercancel", letGo);
document.addEventListener("keydown", (event) => event.key === "Escape" && letGo());
// A link dragged by the browser itself would take the pointer away; a held finger opens its menu.
document.addEventListener("dragstart", (event) => event.target.closest?.(".sheet") && event.preventDefault());
document.addEventListener("contextmenu", (event) => held?.ghost && event.preventDefault());
document.addEventListener("touchmove", (event) => held?.ghost && event.preventDefault(), { passive: false });
