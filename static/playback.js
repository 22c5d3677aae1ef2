// Draws the stitching line as it goes. Without this script the numbered picture and the list stand alone.
"use strict";

const get = (id) => document.getElementById(id);
const moves = [];
const stages = [];
const told = JSON.parse(get("moves").textContent);
const inMillimetres = get("moves").dataset.units === "mm";
const PACES = [1, 4, 10, 25, 60, 150, 400]; // inches a second
const NEAR = 1.3; // the window by the needle, in border widths
const TABLE = 80; // hundredths of the table shown beside the quilt
const SAY_EVERY = 5000; // milliseconds between spoken words while the line runs
const still = matchMedia("(prefers-reduced-motion: reduce)");
const look = getComputedStyle(document.documentElement);
const [THREAD, BORDER, CENTRE, CHALK, BATTING, RED] = ["thread", "border", "cloth", "chalk", "batting", "red"].map(
  (name) => look.getPropertyValue("--" + name).trim(),
);

// ---- The line: every move knows where it begins along the whole and how it is drawn.

let whole = 0;
// A cell's shapes are drawn in the picture below, one after the other, in hundredths.
const cells = told.cells.map((longs, i) => {
  const shapes = get("cell" + i).getAttribute("d").match(/M[^M]+/g) ?? [];
  return shapes.map((d, n) => ({ d, long: longs[n] }));
});
for (const [line, number, place, home, list] of told.stages) {
  const stage = { line, number, place, first: moves.length, begin: whole };
  for (const [kind, what, length, ...where] of list.map((n) => told.moves[n])) {
    const move = { kind: ["spine", "tip", "fill", "again"][kind], what: told.whats[what], length, stage, begin: whole };
    const [shape, from, to, copy = home] = where;
    const [cell, ...matrix] = told.copies[copy] ?? [];
    move.onSpine = where.length === 1;
    move.matrix = matrix.length ? matrix : null;
    if (move.onSpine) Object.assign(move, { d: where[0], from: 0, to: length, long: length });
    else Object.assign(move, cells[cell][shape], { from, to });
    const start = move.d.match(/-?\d+/g);
    move.at = placed(move.matrix, Number(start[0]), Number(start[1]));
    moves.push(move);
    whole += length;
  }
  stage.end = whole;
  stages.push(stage);
}
const lines = stages[stages.length - 1].line + 1;
const pockets = Math.max(...stages.map((stage) => stage.number));

function placed(matrix, x, y) {
  if (!matrix) return [x, y];
  const [a, b, c, d, e, f] = matrix;
  return [a * x + c * y + e, b * x + d * y + f];
}

const traces = new Map();
function trace(d) {
  if (!traces.has(d)) traces.set(d, new Path2D(d));
  return traces.get(d);
}

// Where a move is after so much of its length.
const tape = document.createElementNS("http://www.w3.org/2000/svg", "path");
let taped = "";
function needleAt(move, done) {
  if (taped !== move.d) tape.setAttribute("d", (taped = move.d));
  const along = move.from + Math.sign(move.to - move.from) * done;
  const point = tape.getPointAtLength((along / move.long) * tape.getTotalLength());
  return placed(move.matrix, point.x, point.y);
}

// ---- The cloth: a layer with all that is stitched, and the running move over it.

const cloth = get("cloth");
const screen = cloth.getContext("2d");
const layer = document.createElement("canvas");
const under = layer.getContext("2d");
let view = null; // {x, y, scale}: the quilt's point in the middle of the canvas, pixels to a hundredth
let drawn = null; // the view and the number of moves that the layer shows
let now = 0; // hundredths stitched
let current = 0; // the move under the needle

function sized() {
  const dense = Math.min(devicePixelRatio || 1, 2);
  const width = Math.round(cloth.clientWidth * dense);
  const height = Math.round(cloth.clientHeight * dense);
  if (cloth.width !== width || cloth.height !== height) {
    cloth.width = layer.width = width;
    cloth.height = layer.height = height;
    drawn = null;
  }
  return dense;
}

function wantedScale() {
  const [width, height] = told.size;
  if (document.querySelector("[name=near]:checked").value === "whole") {
    return Math.min(cloth.width / (width + 2 * TABLE), cloth.height / (height + 2 * TABLE));
  }
  return Math.min(cloth.width, cloth.height) / (NEAR * Math.max(...told.border));
}

// The view rests while the needle is in the middle part of it, and follows when it leaves that; it never shows
// more of the table beside the quilt than it must.
function follow(needle, swiftly) {
  const scale = wantedScale();
  const half = [cloth.width / scale / 2, cloth.height / scale / 2];
  const jump = !view || view.scale !== scale || swiftly;
  const middle = [0, 1].map((i) => {
    const was = jump ? needle[i] : [view.x, view.y][i];
    const past = needle[i] - was;
    const room = half[i] * 0.5;
    const followed = Math.abs(past) > room ? needle[i] - Math.sign(past) * room : was;
    const rim = half[i] - TABLE;
    return rim * 2 > told.size[i] ? told.size[i] / 2 : Math.max(rim, Math.min(told.size[i] - rim, followed));
  });
  view = { x: middle[0], y: middle[1], scale };
}

function lookThrough(context, matrix) {
  const { x, y, scale } = view;
  context.setTransform(scale, 0, 0, scale, cloth.width / 2 - x * scale, cloth.height / 2 - y * scale);
  if (matrix) context.transform(...matrix);
}

function seen(move) {
  const reach = move.long + 100;
  return (
    Math.abs(move.at[0] - view.x) - reach < cloth.width / view.scale / 2 &&
    Math.abs(move.at[1] - view.y) - reach < cloth.height / view.scale / 2
  );
}

// One move, or the first part of it, as a dash of the right length at the right place.
function stroke(context, move, done, width, style, alpha) {
  lookThrough(context, move.matrix);
  const end = move.from + Math.sign(move.to - move.from) * done;
  const from = Math.min(move.from, end);
  const dash = Math.abs(end - move.from);
  if (from <= 1 && dash >= move.long - 1) context.setLineDash([]);
  else context.setLineDash([dash, 1e7]);
  context.lineDashOffset = -from;
  context.lineWidth = width / view.scale;
  context.strokeStyle = style;
  context.globalAlpha = alpha;
  context.stroke(trace(move.d));
  context.globalAlpha = 1;
}

function threadWidth(dense) {
  return Math.max(0.6 * dense, 4.5 * view.scale);
}

function paintLayer(dense) {
  const same = drawn && drawn.x === view.x && drawn.y === view.y && drawn.scale === view.scale && drawn.moves <= current;
  under.lineCap = under.lineJoin = "round";
  if (!same) {
    const [width, height] = told.size;
    const [top, right, bottom, left] = told.border;
    under.setTransform(1, 0, 0, 1, 0, 0);
    under.fillStyle = BATTING;
    under.fillRect(0, 0, layer.width, layer.height);
    lookThrough(under);
    under.fillStyle = BORDER;
    under.fillRect(0, 0, width, height);
    under.fillStyle = CENTRE;
    under.fillRect(left, top, width - left - right, height - top - bottom);
    for (const move of moves) {
      if (move.kind !== "again" && move.begin + move.length > now && seen(move)) {
        stroke(under, move, move.length, Math.min(1.2 * dense, 3 * view.scale), CHALK, 0.45);
      }
    }
  }
  for (let i = same ? drawn.moves : 0; i < current; i += 1) {
    if (moves[i].kind !== "again" && seen(moves[i])) {
      stroke(under, moves[i], moves[i].length, threadWidth(dense), THREAD, 1);
    }
  }
  drawn = { ...view, moves: current };
}

function paint(swiftly) {
  const dense = sized();
  if (!cloth.width) return;
  const move = moves[current];
  const done = now - move.begin;
  const needle = needleAt(move, done);
  follow(needle, swiftly);
  paintLayer(dense);
  screen.setTransform(1, 0, 0, 1, 0, 0);
  screen.drawImage(layer, 0, 0);
  screen.lineCap = "butt";
  screen.lineJoin = "round";
  const again = move.kind === "again";
  stroke(screen, move, done, threadWidth(dense) * (again ? 2.4 : 1), THREAD, 1);
  if (again) stroke(screen, move, done, threadWidth(dense) * 0.9, RED, 1);
  lookThrough(screen);
  screen.setLineDash([]);
  screen.beginPath();
  screen.arc(needle[0], needle[1], (7 * dense) / view.scale, 0, 7);
  screen.fillStyle = RED;
  screen.strokeStyle = "#fff";
  screen.lineWidth = (2 * dense) / view.scale;
  screen.fill();
  screen.stroke();
  paintMap(needle);
}

// ---- Where on the quilt: a small map, and words.

const map = get("map");
{
  const [width, height] = told.size;
  const [top, right, bottom, left] = told.border;
  map.setAttribute("viewBox", `-200 -200 ${width + 400} ${height + 400}`);
  map.querySelector(".map-border").setAttribute(
    "d", `M0 0H${width}V${height}H0zM${left} ${top}H${width - right}V${height - bottom}H${left}z`);
}

function paintMap(needle) {
  const width = cloth.width / view.scale;
  const height = cloth.height / view.scale;
  const left = Math.max(view.x - width / 2, -150);
  const top = Math.max(view.y - height / 2, -150);
  const frame = {
    x: left,
    y: top,
    width: Math.min(view.x + width / 2, told.size[0] + 150) - left,
    height: Math.min(view.y + height / 2, told.size[1] + 150) - top,
  };
  for (const [name, value] of Object.entries(frame)) map.querySelector("rect").setAttribute(name, value.toFixed(0));
  const dot = { cx: needle[0], cy: needle[1], r: Math.max(...told.size) / 45 };
  for (const [name, value] of Object.entries(dot)) map.querySelector("circle").setAttribute(name, value.toFixed(0));
}

function way(hundredths) {
  const inches = hundredths / 100;
  const [value, unit] = inMillimetres ? [inches * 0.0254, "m"] : [inches / 36, "yd"];
  return `${value.toLocaleString("en", { minimumFractionDigits: 1, maximumFractionDigits: 1 })} ${unit}`;
}

const PARTS = { corner: "round the corner", stem: "along a curl", link: "on to the next curl", tail: "along a tail", ring: "round the ring" };


function doing(move) {
  const where = move.onSpine ? PARTS[move.what] : move.what;
  let words = where;
  if (move.kind === "again") words = move.onSpine ? `back ${where}, over stitches already there` : `again over ${where} already stitched`;
  else if (move.kind === "tip") words = `${where} at the tip`;
  else if (move.onSpine && move.what === "tail") words = `out ${where}`;
  return words.replace(/^./, (c) => c.toUpperCase());
}

function staged(stage) {
  const line = lines > 1 ? `Line ${stage.line + 1} of ${lines}. ` : "";
  const what = stage.number ? `Pocket ${stage.number} of ${pockets}` : "Spines";
  return `${line}${what}: ${stage.place}`;
}

let spoken = "";
let spokenAt = 0;
function tell(always) {
  const move = moves[current];
  const words = staged(move.stage);
  get("stage").textContent = words;
  get("doing").textContent = doing(move);
  get("done").textContent = `${way(now)} of ${way(whole)} stitched`;
  reel.value = now;
  reel.setAttribute("aria-valuetext", `${words}, ${way(now)} of ${way(whole)}`);
  const time = Date.now();
  if (always || (words !== spoken && time - spokenAt > SAY_EVERY)) {
    get("said").textContent = always ? `${words}. ${doing(move)}.` : words;
    spoken = words;
    spokenAt = time;
  }
}

// ---- Running, pausing, stepping.

const reel = get("reel");
const playButton = get("play");
let running = false;
let last = 0;

function find(place) {
  let low = 0;
  let high = moves.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (moves[middle].begin <= place) low = middle;
    else high = middle - 1;
  }
  return low;
}

function goTo(place, { swiftly = true, always = false } = {}) {
  now = Math.max(0, Math.min(whole, place));
  current = find(now);
  paint(swiftly);
  tell(always);
  name();
}

function run(time) {
  if (!running) return;
  const pace = PACES[get("pace").value] * 100;
  const passed = Math.min(time - last, 100) / 1000;
  last = time;
  goTo(now + pace * passed, { swiftly: false });
  if (now >= whole) stop();
  else requestAnimationFrame(run);
}

function start() {
  if (now >= whole) goTo(0);
  running = true;
  last = performance.now();
  name();
  requestAnimationFrame(run);
}

function stop() {
  running = false;
  name();
  tell(true);
}

function name() {
  playButton.textContent = still.matches ? "Next shape" : running ? "Pause" : now >= whole ? "Stitch again" : "Stitch";
  get("player").classList.toggle("stepwise", still.matches);
}

// With less motion wanted nothing runs by itself: one press, one shape or stretch of spine.
function stepOnce() {
  const next = moves.findIndex((move, i) => i >= current && move.begin + move.length > now + 1 && move.kind !== "again");
  goTo(next < 0 || now >= whole ? 0 : moves[next].begin + moves[next].length, { always: true });
}

function toStage(step) {
  stop();
  const here = stages.indexOf(moves[current].stage);
  if (step > 0) goTo(stages[here].end, { always: true });
  else goTo(now > stages[here].begin + 50 ? stages[here].begin : stages[Math.max(0, here - 1)].begin, { always: true });
}

function sayPace() {
  const inches = PACES[get("pace").value];
  const words = inMillimetres ? `${(inches * 2.54).toFixed(0)} cm a second` : `${inches} ${inches === 1 ? "inch" : "inches"} a second`;
  get("pace-said").textContent = words;
  get("pace").setAttribute("aria-valuetext", words);
}

reel.max = whole;
playButton.addEventListener("click", () => (still.matches ? stepOnce() : running ? stop() : start()));
get("back").addEventListener("click", () => toStage(-1));
get("on").addEventListener("click", () => toStage(1));
get("pace").addEventListener("input", sayPace);
reel.addEventListener("input", () => {
  if (running) stop();
  goTo(Number(reel.value));
});
for (const choice of document.querySelectorAll("[name=near]")) choice.addEventListener("change", () => paint(true));
still.addEventListener("change", () => {
  if (running) stop();
  name();
});

get("player").hidden = false;
sayPace();
name();
goTo(0);
new ResizeObserver(() => paint(true)).observe(cloth);
