// The border at true size: the scale is set once for a device, by a bank card on its screen or by two marks that a
// projector throws on the cloth; then any part of the border is shown 1:1. Everything is in the page already.
import { stayAwake } from "./awake.js";

const MM_PER_IN = 25.4;
const CARD = { across: 85.6 / MM_PER_IN, down: 53.98 / MM_PER_IN, round: 3.18 / MM_PER_IN }; // ISO/IEC 7810, ID-1
const HAIR = 0.1; // pixels to the inch: a tenth of a millimetre on a card
const KEY_IN = 1 / 8;
const ABOVE_IN = 0.5; // of the quilt's centre
const BELOW_IN = 0.8; // for the ruler
const NARROW = 500; // pixels: on a telephone the card stands upright, or it would not fit
const FROM_EDGE = 16; // pixels that the drawn card and the first mark stand off the edge
const RULER = { long: 22, short: 10, number: 40, below: 58 }; // pixels down the gauge: ticks, numbers, then the card

const main = document.getElementById("main");
const slider = document.getElementById("scale");
const gauge = document.getElementById("gauge");
const field = document.getElementById("field");
const view = document.getElementById("view");
const sides = [...document.querySelectorAll(".laid")];
const metric = main.dataset.units !== "in";
const WAYS = {
  screen: { key: "scale of this screen", wide: () => card().width, least: 60, most: 260, first: 96 },
  projector: { key: "scale of the projector", wide: () => (metric ? 250 / MM_PER_IN : 10), least: 6, most: 160, first: 40 },
};
const at = { x: -ABOVE_IN, y: Infinity }; // the upper left of what is shown, inches: first her left end, the raw edge
const fills = new Map(); // of each side, as text
let setting = true;
let held = null; // the finger that draws the border along

const way = () => WAYS[document.querySelector("[name=seen]:checked").value];
const shown = () => sides.find((side) => side.dataset.side === document.getElementById("laid").value);

/** Pixels of the page to an inch of this device; what is kept are the device's own, which zooming does not change. */
function kept() {
  try {
    const own = Number(localStorage.getItem(way().key));
    return own > 0 ? own / zoomed() : null;
  } catch {
    return null;
  }
}

function zoomed() {
  return devicePixelRatio * (visualViewport?.scale ?? 1);
}

function show() {
  main.classList.toggle("projector", way() === WAYS.projector);
  document.getElementById("setting").hidden = !setting;
  document.getElementById("laying").hidden = setting;
  if (setting) drawGauge();
  else lay();
}

function begin() {
  const { least, most, first } = way();
  setting = kept() === null;
  Object.assign(slider, { min: least, max: most, step: HAIR, value: kept() ?? first });
  show();
}

/** The drawn card, in inches. */
function card() {
  const { across, down, round } = CARD;
  const [width, height] = gauge.clientWidth < NARROW ? [down, across] : [across, down];
  return { width, height, rx: round };
}

function drawGauge() {
  const px = Number(slider.value);
  const drawn = document.getElementById("card");
  drawn.setAttribute("x", FROM_EDGE);
  drawn.setAttribute("y", RULER.below);
  for (const [attribute, size] of Object.entries(card())) drawn.setAttribute(attribute, size * px);
  drawRuler(px);
  const [near, far] = [FROM_EDGE, FROM_EDGE + way().wide() * px];
  document.getElementById("marks").setAttribute("d", `M${near} 0V4000M${far} 0V4000M0 ${near}H9000M0 ${far}H9000`);
}

/** Inches in quarters or centimetres in halves along the upper edge, to lay her own ruler against. */
function drawRuler(px) {
  const [step, parts] = metric ? [px / MM_PER_IN * 10, 2] : [px, 4];
  const ticks = Math.floor(((gauge.clientWidth - 2 * FROM_EDGE) / step) * parts);
  const at = (n) => FROM_EDGE + (n * step) / parts;
  const all = Array.from({ length: ticks + 1 }, (_, n) => n);
  const path = all.map((n) => `M${at(n)} 0V${n % parts ? RULER.short : RULER.long}`).join("");
  document.getElementById("ticks").setAttribute("d", path);
  document.getElementById("numbers").replaceChildren(...all.filter((n) => n && n % parts === 0).map((n) => {
    const number = document.createElementNS(gauge.namespaceURI, "tspan");
    number.setAttribute("x", at(n));
    number.textContent = n / parts;
    return number;
  }));
  document.getElementById("numbers").setAttribute("y", RULER.number);
}

function lay() {
  const px = kept() ?? Number(slider.value);
  const side = shown();
  for (const one of sides) one.toggleAttribute("hidden", one !== side);
  const { width, height } = view.getBoundingClientRect();
  const [across, down] = [width / px, height / px];
  at.x = within(at.x, -ABOVE_IN, Number(side.dataset.length) + ABOVE_IN, across);
  at.y = within(at.y, -ABOVE_IN, Number(side.dataset.border) + BELOW_IN, down);
  view.setAttribute("viewBox", `${at.x} ${at.y} ${across} ${down}`);
  tell(across);
  layFill(side);
}

/** Where a window of some width begins, so that it shows nothing beyond `least` and `most`; in the middle if it must. */
function within(begins, least, most, wide) {
  if (most - least <= wide) return (least + most - wide) / 2;
  return Math.min(Math.max(begins, least), most - wide);
}

function tell(across) {
  const step = metric ? 10 / MM_PER_IN : 1;
  const [from, to] = [at.x, at.x + across].map((x) => Math.max(0, Math.round(x / step)));
  const words = `From ${from} to ${to} ${metric ? "cm" : "in"}, from your left`;
  const where = document.getElementById("where");
  if (where.textContent !== words) where.textContent = words;
}

/** The fill of a side goes into the drawing, the only one there: its names are those of another side's too. */
function layFill(side) {
  if (side.querySelector(".fill") || !fills.has(side)) return;
  for (const other of document.querySelectorAll(".fill")) other.remove();
  const fill = new DOMParser().parseFromString(fills.get(side), "image/svg+xml").documentElement;
  const { length: width, border: height } = side.dataset;
  for (const [attribute, text] of Object.entries({ class: "fill", width, height })) fill.setAttribute(attribute, text);
  side.querySelector(".ground").after(fill);
}

/** All of the fill, side by side from the one she looks at, before the network goes. */
async function fetchFills() {
  for (const side of [shown(), ...sides]) {
    if (fills.has(side)) continue;
    try {
      const answer = await fetch(side.dataset.fill);
      if (answer.ok) fills.set(side, await answer.text());
    } catch {
      return; // the lines are there anyhow
    }
    if (!setting) lay();
    main.dataset.filled = fills.size;
  }
}

function move(across, down) {
  at.x += across;
  at.y += down;
  lay();
}

function page(ways) {
  move(ways * 0.8 * view.viewBox.baseVal.width, 0);
}

function keep() {
  try {
    localStorage.setItem(way().key, Number(slider.value) * zoomed());
  } catch {
    // it then holds while the page is open
  }
  setting = false;
  show();
  field.focus({ preventScroll: true });
}

document.querySelectorAll("[name=seen]").forEach((radio) => radio.addEventListener("change", begin));
slider.addEventListener("input", drawGauge);
document.getElementById("fits").addEventListener("click", keep);
document.getElementById("anew").addEventListener("click", () => {
  setting = true;
  slider.value = kept() ?? slider.value;
  show();
});
document.getElementById("laid").addEventListener("change", () => {
  Object.assign(at, { x: -ABOVE_IN, y: Infinity });
  lay();
});
document.getElementById("filled").addEventListener("change", ({ target }) => main.classList.toggle("bare", !target.checked));
document.getElementById("wide").addEventListener("click", () => field.requestFullscreen());
document.getElementById("wide").hidden = !document.fullscreenEnabled;

document.addEventListener("click", ({ target }) => {
  if (target.dataset.go) page(Number(target.dataset.go));
  if (!target.dataset.by) return;
  slider.value = Number(slider.value) + HAIR * Number(target.dataset.by);
  drawGauge();
});

document.addEventListener("keydown", (event) => {
  if (setting || event.ctrlKey || event.altKey || event.metaKey || event.target.matches("input, select")) return;
  const moves = { ArrowLeft: [-KEY_IN, 0], ArrowRight: [KEY_IN, 0], ArrowUp: [0, -KEY_IN], ArrowDown: [0, KEY_IN] };
  const turns = { PageUp: -1, PageDown: 1 };
  if (moves[event.key]) move(...moves[event.key]);
  else if (turns[event.key]) page(turns[event.key]);
  else if (event.key.toLowerCase() === "f") document.getElementById("filled").click();
  else return;
  event.preventDefault();
});

field.addEventListener("pointerdown", (event) => {
  held = { x: event.clientX, y: event.clientY };
  field.setPointerCapture(event.pointerId);
});
field.addEventListener("pointermove", ({ clientX, clientY }) => {
  if (!held) return;
  const perPixel = view.viewBox.baseVal.width / view.getBoundingClientRect().width;
  const [across, down] = [held.x - clientX, held.y - clientY];
  held = { x: clientX, y: clientY };
  move(across * perPixel, down * perPixel);
});
for (const end of ["pointerup", "pointercancel"]) field.addEventListener(end, () => (held = null));

// The right edge of the drawn card, or the right mark, goes with a finger.
gauge.addEventListener("pointermove", ({ buttons, clientX }) => {
  if (!buttons) return;
  slider.value = (clientX - gauge.getBoundingClientRect().left - FROM_EDGE) / way().wide();
  drawGauge();
});

new ResizeObserver(show).observe(field);
visualViewport?.addEventListener("resize", show);
addEventListener("resize", show);

document.getElementById("apart").textContent = metric ? "25 cm" : "10 in";
document.querySelector(".plainly").hidden = true;
document.getElementById("hand").hidden = false;
main.classList.add("live");
begin();
fetchFills();
stayAwake();
