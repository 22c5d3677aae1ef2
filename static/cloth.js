// Her own cloth under the drawing: a photograph of the border's cloth, and one of the whole top, its four corners
// tapped. They stay on this device. What the planner is told is a colour, which she could have picked herself.
import { addressOf, drawnOut, goRound, meanColour, photoOf, readPhoto } from "./workbench/photo.js";
import { keep, keptOf } from "./workbench/kept.js";

const INSET = 0.12; // where the corners stand before she has tapped them, shares of the picture
const STEP = 0.005; // of an arrow key
const USUAL_WIDE = { in: 10, cm: 25, mm: 250 }; // that a photograph of cloth shows, unless she says otherwise
const PER_UNIT = { in: 1, cm: 1 / 2.54, mm: 1 / 25.4 };
const PARTS = { border: "#quilt > rect", top: "#quilt > path" };
const COLOURS = { border: "look.border", top: "look.cloth" };

const taps = document.getElementById("corners-dialog");
const handles = [...taps.querySelectorAll("[data-corner]")];
const defs = document.getElementById("own-cloth-defs");
let photos = {}; // border: {address, wide}; top: {address, corners, flat, proportion}
let quilt = "";

const byId = (id) => document.getElementById(id);
const units = () => byId("units").value;

function say(words) {
  byId("photo-trouble").textContent = words;
}

/** What is drawn follows what is kept, whenever either has changed. */
function show() {
  const own = byId("own-cloth");
  own.hidden = false;
  layQuilting();
  for (const kind of Object.keys(COLOURS)) {
    fillWith(kind);
    for (const part of own.querySelectorAll(`[data-of=${kind}]`)) part.hidden = !photos[kind];
  }
  const ground = document.querySelector("#quilt > rect");
  if (!ground) return;
  const [width, height] = ["width", "height"].map((side) => Number(ground.getAttribute(side)));
  const wide = byId("photo-wide");
  if (photos.border && document.activeElement !== wide) wide.value = Number((photos.border.wide / PER_UNIT[units()]).toFixed(2));
  if (photos.border) layBorder();
  if (photos.top) layTop(width, height);
}

/** A part of the drawing filled with its photograph, or as the planner drew it. An attribute: views of it follow. */
function fillWith(kind) {
  const part = document.querySelector(PARTS[kind]);
  if (!part) return;
  part.dataset.plain ??= part.getAttribute("fill");
  put(part, { fill: photos[kind] ? `url(#own-${kind})` : part.dataset.plain });
  document.documentElement.classList.toggle("own", Object.keys(photos).length > 0);
}

/** As quilted, her own cloth shows too: over a photograph lie shade and thread alone, under them no other line. */
function layQuilting() {
  const drawing = byId("quilt");
  const under = Object.keys(photos).length > 0 && byId("show-quilted").checked;
  if (drawing) put(drawing, { class: under ? "under" : "" }); // an attribute: views of it follow
  for (const image of document.querySelectorAll("img.quilted")) {
    const address = new URL(image.src);
    if (Object.keys(photos).length) address.searchParams.set("own", "true");
    else address.searchParams.delete("own");
    put(image, { src: address.href });
  }
}

/** The cloth again and again, every other time the other way round, so that no seam shows. */
function layBorder() {
  const { address, wide, proportion } = photos.border;
  const tall = wide / proportion;
  put("own-border", { width: 2 * wide, height: 2 * tall });
  defs.querySelectorAll("#own-border image").forEach((image, n) => {
    const [across, down] = [n % 2, n >> 1];
    put(image, { width: wide, height: tall, href: address });
    put(image, { transform: `translate(${2 * across * wide} ${2 * down * tall})scale(${1 - 2 * across} ${1 - 2 * down})` });
  });
}

function layTop(width, height) {
  put("own-top", { width, height });
  put(defs.querySelector("#own-top image"), { width, height, href: photos.top.flat });
}

function put(part, attributes) {
  const element = typeof part === "string" ? byId(part) : part;
  for (const [attribute, text] of Object.entries(attributes)) {
    if (element.getAttribute(attribute) !== String(text)) element.setAttribute(attribute, text);
  }
}

async function take(kind, file) {
  say("");
  const canvas = await readPhoto(file);
  if (!canvas) return say("This browser cannot read that file as a picture. Take a photograph as JPEG or PNG.");
  const address = addressOf(canvas);
  if (kind === "border") {
    const wide = photos.border?.wide ?? USUAL_WIDE[units()] * PER_UNIT[units()];
    await taken("border", { address, wide, proportion: canvas.width / canvas.height }, canvas);
  } else tapCorners(address, null);
}

async function taken(kind, photo, canvas) {
  photos = { ...photos, [kind]: photo };
  const kept = await keep(quilt, photos);
  show();
  if (!kept) say("This browser keeps no photographs: it is gone when you close the page.");
  colour(kind, meanColour(canvas));
}

/** Contrast and chalk are judged on the photograph's mean colour. */
function colour(kind, mean) {
  const field = byId(COLOURS[kind]);
  field.value = mean;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.dispatchEvent(new Event("change", { bubbles: true }));
}

async function remove(kind) {
  say("");
  delete photos[kind];
  await keep(quilt, photos);
  show();
}

function tapCorners(address, corners) {
  const begun = [[INSET, INSET], [1 - INSET, INSET], [1 - INSET, 1 - INSET], [INSET, 1 - INSET]];
  byId("corners-photo").src = address;
  byId("corners-trouble").textContent = "";
  handles.forEach((handle, n) => stand(handle, (corners ?? begun)[n]));
  taps.showModal();
}

function stand(handle, [x, y]) {
  handle.corner = [x, y].map((share) => Math.min(Math.max(share, 0), 1));
  handle.style.left = `${100 * handle.corner[0]}%`;
  handle.style.top = `${100 * handle.corner[1]}%`;
  const around = handles.map((one) => (one.corner ?? [0, 0]).map((share) => 100 * share).join(" ")).join(" ");
  byId("corners-line").setAttribute("points", around);
}

async function settleCorners() {
  const corners = handles.map((handle) => handle.corner);
  if (!goRound(corners)) {
    byId("corners-trouble").textContent = "These four do not go round a quilt: each belongs on its own corner.";
    return;
  }
  taps.close();
  const address = byId("corners-photo").src;
  const ground = document.querySelector("#quilt > rect");
  const proportion = ground ? ground.getAttribute("width") / ground.getAttribute("height") : 1;
  const flat = drawnOut(await photoOf(address), corners, proportion);
  await taken("top", { address, corners, flat: addressOf(flat) }, flat);
}

document.addEventListener("change", ({ target }) => {
  if (target.dataset.photo && target.files.length) {
    take(target.dataset.photo, target.files[0]).then(() => (target.value = ""));
  } else if (target.id === "photo-wide") {
    const wide = Number(target.value.replace(",", ".")) * PER_UNIT[units()];
    if (!(wide > 0 && wide < 400)) return say("How wide is what the photograph shows? A plain number, please.");
    say("");
    photos.border = { ...photos.border, wide };
    keep(quilt, photos).then(show);
  } else if (target.id === "name") begin();
  else if (target.id === "show-quilted") layQuilting();
});

document.addEventListener("click", ({ target }) => {
  if (target.dataset.remove) remove(target.dataset.remove);
  if (target.id === "corners-again") tapCorners(photos.top.address, photos.top.corners);
  if (target.id === "corners-fit") settleCorners();
  if (target.id === "corners-off") taps.close();
});

// A tap brings the nearest corner there; a finger or the arrow keys draw it farther.
const frame = byId("corners-frame");
let drawnAlong = null;

frame.addEventListener("pointerdown", (event) => {
  event.preventDefault();
  const [x, y] = shareOf(event);
  const far = ({ corner }) => Math.hypot(corner[0] - x, corner[1] - y);
  drawnAlong = handles.reduce((near, handle) => (far(handle) < far(near) ? handle : near));
  frame.setPointerCapture(event.pointerId);
  drawnAlong.focus({ preventScroll: true });
  stand(drawnAlong, [x, y]);
});
frame.addEventListener("pointermove", (event) => drawnAlong && stand(drawnAlong, shareOf(event)));
for (const end of ["pointerup", "pointercancel"]) frame.addEventListener(end, () => (drawnAlong = null));

function shareOf({ clientX, clientY }) {
  const box = frame.getBoundingClientRect();
  return [(clientX - box.left) / box.width, (clientY - box.top) / box.height];
}

taps.addEventListener("keydown", (event) => {
  const [across, down] = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key] ?? [];
  if (across === undefined || !event.target.corner) return;
  event.preventDefault();
  const [x, y] = event.target.corner;
  stand(event.target, [x + across * STEP, y + down * STEP]);
});

/** The photographs of the quilt on the table. A new name takes along what lies there; a plan that is saved takes over
 * what was kept by its name, so that another quilt of that name never shows it. */
async function begin() {
  const before = photos;
  const saved = document.querySelector("input[name=plan]")?.value;
  const named = byId("name").value;
  quilt = saved ? `plan ${saved}` : named;
  photos = await keptOf(quilt);
  if (!Object.keys(photos).length) {
    photos = Object.keys(before).length ? before : saved ? await keptOf(named) : {};
    if (Object.keys(photos).length) await keep(quilt, photos);
    if (saved) await keep(named, {});
  }
  show();
}

new MutationObserver(show).observe(byId("main"), { childList: true, subtree: true });
new MutationObserver(show).observe(byId("measurements"), { childList: true });
begin();
