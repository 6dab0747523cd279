// The length pad: types into the length field last touched and moves on after a fraction, so that
// a measurement is three taps. The fields take a keyboard as before; the pad is only a faster way.

const GLYPHS = { "1/8": "⅛", "1/4": "¼", "3/8": "⅜", "1/2": "½", "5/8": "⅝", "3/4": "¾", "7/8": "⅞" };
const LENGTH = /^([+\-−]?)\s*(\d+(?:[.,]\d+)?)?(?:[\s-]*(\d+)\/(\d+))?$/;
const FIELDS = "input[data-length-unit]";

let bound = null;
let fresh = true; // the next digit begins the number anew

const pad = () => document.querySelector("[data-pad]");
const gcd = (a, b) => (b ? gcd(b, a % b) : a);

function inWords(text, unit) {
  const [, sign, whole, top, bottom] = LENGTH.exec(text.trim()) ?? [];
  if ((!whole && !top) || bottom === "0") return "";
  const value = Number((whole ?? "0").replace(",", ".")) + (top ? Number(top) / Number(bottom) : 0);
  const mark = sign === "−" ? "-" : (sign ?? "");
  if (unit === "cm") return `${mark}${(value / 2.54).toFixed(2)} in`;
  const share = top ? gcd(Number(top), Number(bottom)) : 1;
  const part = top ? `${Number(top) / share}/${Number(bottom) / share}` : "";
  const said = [whole, GLYPHS[part] ?? part].filter(Boolean).join(" ");
  return `${mark}${said} in · ${mark}${(value * 2.54).toFixed(1)} cm`;
}

function echo(field) {
  const out = field.id && document.querySelector(`output.echo[for="${CSS.escape(field.id)}"]`);
  if (out) out.textContent = inWords(field.value, field.dataset.lengthUnit);
}

function bind(field) {
  if (bound !== field) fresh = true;
  bound?.removeAttribute("data-bound");
  bound = field;
  bound.setAttribute("data-bound", "");
  const board = pad();
  if (!board) return;
  const label = field.labels?.[0]?.textContent.trim();
  board.querySelector("[data-pad-for]").textContent = label || field.getAttribute("aria-label") || "";
  board.querySelector("[data-key=sign]").disabled = !field.hasAttribute("data-signed");
}

function moveOn() {
  // A field the style sheet hides cannot take the focus: it is passed over.
  const fields = [...(bound.form ?? document).querySelectorAll(FIELDS)].filter((field) => !field.disabled && field.offsetParent);
  const next = fields[fields.indexOf(bound) + 1];
  fresh = true;
  if (next) next.focus();
}

const split = (text) => /^([+\-−]?)(\d*)(.*)$/.exec(text.trim());

function digit(key) {
  const [, sign, whole, rest] = fresh ? ["", split(bound.value)[1], "", ""] : split(bound.value);
  if (/^[.,]$/.test(rest)) return `${sign}${whole}${rest}${key}`;
  if (rest) return rest.includes("/") ? `${sign}${key}` : bound.value;
  return whole.length < 3 ? `${sign}${whole}${key}` : bound.value;
}

function fraction(key) {
  const anew = fresh && bound.hasAttribute("data-afresh");
  const [, sign, whole, rest] = anew ? ["", split(bound.value)[1], "", ""] : split(bound.value);
  const kept = rest.startsWith("/") ? "" : whole;
  return `${sign}${kept}${kept ? " " : ""}${key}`;
}

function even() {
  const [, sign, whole, rest] = split(bound.value);
  return rest.includes("/") ? `${sign}${rest.startsWith("/") ? "" : whole}` : bound.value;
}

function rubOut() {
  const [, sign, whole, rest] = split(bound.value);
  if (rest.startsWith("/")) return sign;
  return rest.includes("/") ? `${sign}${whole}` : bound.value.slice(0, -1);
}

function turnSign() {
  const [, sign, whole, rest] = split(bound.value);
  return `${sign === "" || sign === "+" ? "-" : "+"}${whole}${rest}`;
}

function compose(key) {
  if (/^\d$/.test(key)) return digit(key);
  if (key.includes("/")) return fraction(key);
  if (key === ".") return fresh ? "0." : /[.,]/.test(bound.value) ? bound.value : `${bound.value || "0"}.`;
  if (key === "rub") return rubOut();
  if (key === "sign") return turnSign();
  return pad().dataset.pad === "in" ? even() : bound.value;
}

function press(key) {
  if (!bound?.isConnected) {
    const first = document.querySelector(FIELDS);
    if (!first) return;
    bind(first);
  }
  bound.value = compose(key);
  fresh = false;
  bound.dispatchEvent(new Event("input", { bubbles: true }));
  if (key === "next" || key.includes("/")) {
    bound.dispatchEvent(new Event("change", { bubbles: true }));
    moveOn();
  }
}

// With the pad at hand the tablet's own keyboard stays down; a real keyboard still types.
function prepare() {
  const board = pad();
  document.querySelectorAll(FIELDS).forEach((field) => {
    if (board && matchMedia("(pointer: coarse)").matches) field.inputMode = "none";
    echo(field);
  });
  if (board) board.hidden = !document.querySelector(FIELDS);
}

document.addEventListener("focusin", (event) => {
  if (event.target.matches?.(FIELDS)) bind(event.target);
});
document.addEventListener("input", (event) => {
  if (!event.target.matches?.(FIELDS)) return;
  if (event.isTrusted) fresh = false;
  echo(event.target);
});
// Keeps the caret in the field while the finger is on the pad.
document.addEventListener("mousedown", (event) => {
  if (event.target.closest?.("[data-pad] [data-key]")) event.preventDefault();
});
document.addEventListener("click", (event) => {
  const key = event.target.closest?.("[data-pad] [data-key]");
  if (key) press(key.dataset.key);
});
document.addEventListener("htmx:load", prepare);
prepare();
