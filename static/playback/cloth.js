// The cloth: a layer with all that is stitched, the running move over it, and the map that shows where this is.

import { border, coloursOf, moves, needleAt, size, turned } from "./line.js";

const NEAR = 1.3; // the window by the needle, in border widths
const FINE = 5; // pixels: colours of a thread that change in less are seen as their mean
const TABLE = 80; // hundredths of the table shown beside the quilt
const [width, height] = size;
const [topBorder, rightBorder, bottomBorder, leftBorder] = border;
const colours = getComputedStyle(document.documentElement);
const [BORDER, CENTRE, CHALK, BATTING, RED] = ["border", "cloth", "chalk", "batting", "red"].map(
  (word) => colours.getPropertyValue(`--${word}`).trim(),
);

const cloth = document.getElementById("cloth");
const shown = cloth.getContext("2d");
const layer = document.createElement("canvas");
const stitched = layer.getContext("2d");
let view = null; // {x, y, scale, turn}: the quilt's point in the middle, pixels to a hundredth, quarter turns
let drawn = null; // the view and the number of moves that the layer shows

// Paint what is stitched when the needle is in a move at a place; swiftly: the view jumps to the needle.
export function paint(current, now, swiftly) {
  const dense = fitCanvas();
  if (!cloth.width) return;
  const move = moves[current];
  const done = now - move.begin;
  const needle = needleAt(move, done);
  follow(needle, swiftly, move.stage.side);
  paintLayer(current, now, dense);
  shown.setTransform(1, 0, 0, 1, 0, 0);
  shown.drawImage(layer, 0, 0);
  shown.lineCap = "butt";
  shown.lineJoin = "round";
  const again = move.kind === "again";
  if (again) {
    stroke(shown, move, 0, done, threadWidth(dense) * 2.4, move.stage.thread.mean, 1);
    stroke(shown, move, 0, done, threadWidth(dense) * 0.9, RED, 1);
  } else sew(shown, move, done, threadWidth(dense));
  paintNeedle(needle, dense);
  paintMap(needle);
}

export function onResize(repaint) {
  new ResizeObserver(repaint).observe(cloth);
}

function fitCanvas() {
  const dense = Math.min(devicePixelRatio || 1, 2);
  const across = Math.round(cloth.clientWidth * dense);
  const down = Math.round(cloth.clientHeight * dense);
  if (cloth.width !== across || cloth.height !== down) {
    cloth.width = layer.width = across;
    cloth.height = layer.height = down;
    drawn = null;
  }
  return dense;
}

function wantedScale() {
  if (isWhole()) {
    return Math.min(cloth.width / (width + 2 * TABLE), cloth.height / (height + 2 * TABLE));
  }
  return Math.min(cloth.width, cloth.height) / (NEAR * Math.max(...border));
}

function isWhole() {
  return document.querySelector("[name=near]:checked").value === "whole";
}

// The view rests while the needle is in the middle part of it, and follows when it leaves that; of the table beside
// the quilt it shows a rim round the whole, none by the needle. The border that she is at lies along it, its raw edge at the
// top, as she turns the quilt; a quilt on a frame does not turn.
function follow(needle, swiftly, side) {
  const scale = wantedScale();
  const turn = turned && !isWhole() ? side : 0;
  const half = halves(scale, turn);
  const jump = !view || view.scale !== scale || view.turn !== turn || swiftly;
  const [x, y] = [0, 1].map((i) => {
    const was = jump ? needle[i] : [view.x, view.y][i];
    const past = needle[i] - was;
    const room = half[i] * 0.5;
    const followed = Math.abs(past) > room ? needle[i] - Math.sign(past) * room : was;
    const rim = half[i] - (isWhole() ? TABLE : 0);
    return rim * 2 > size[i] ? size[i] / 2 : Math.max(rim, Math.min(size[i] - rim, followed));
  });
  view = { x, y, scale, turn };
}

// How far the window reaches from its middle, across and down the quilt.
function halves(scale, turn) {
  const half = [cloth.width / scale / 2, cloth.height / scale / 2];
  return turn % 2 ? half.reverse() : half;
}

function lookThrough(context, matrix) {
  const { x, y, scale, turn } = view;
  context.setTransform(1, 0, 0, 1, cloth.width / 2, cloth.height / 2);
  context.rotate((-turn * Math.PI) / 2);
  context.scale(scale, scale);
  context.translate(-x, -y);
  if (matrix) context.transform(...matrix);
}

function seen(move) {
  const reach = move.long + 100;
  const [across, down] = halves(view.scale, view.turn);
  return Math.abs(move.at[0] - view.x) - reach < across && Math.abs(move.at[1] - view.y) - reach < down;
}

const traces = new Map();
function traceOf(d) {
  if (!traces.has(d)) traces.set(d, new Path2D(d));
  return traces.get(d);
}

// The first part of a move in the colours of its thread.
function sew(context, move, done, thick) {
  const { colours, repeat, mean } = move.stage.thread;
  if ((repeat / colours.length) * view.scale < FINE) return stroke(context, move, 0, done, thick, repeat ? mean : colours[0], 1);
  context.lineCap = "butt";
  for (const [from, to, colour] of coloursOf(move, done)) stroke(context, move, from, to, thick, colour, 1);
}

// A part of a move, as a dash of the right length at the right place.
function stroke(context, move, begun, ended, thick, style, alpha) {
  lookThrough(context, move.matrix);
  const way = Math.sign(move.to - move.from);
  const from = Math.min(move.from + way * begun, move.from + way * ended);
  const dash = ended - begun;
  context.setLineDash(from <= 1 && dash >= move.long - 1 ? [] : [dash, 1e7]);
  context.lineDashOffset = -from;
  context.lineWidth = thick / view.scale;
  context.strokeStyle = style;
  context.globalAlpha = alpha;
  context.stroke(traceOf(move.d));
  context.globalAlpha = 1;
}

function threadWidth(dense) {
  return Math.max(0.6 * dense, 4.5 * view.scale);
}

function paintLayer(current, now, dense) {
  const sameView = drawn && ["x", "y", "scale", "turn"].every((key) => drawn[key] === view[key]);
  const same = sameView && drawn.moves <= current;
  stitched.lineCap = stitched.lineJoin = "round";
  if (!same) paintBare(now, dense);
  for (let i = same ? drawn.moves : 0; i < current; i += 1) {
    if (moves[i].kind !== "again" && seen(moves[i])) {
      stitched.lineCap = "round";
      sew(stitched, moves[i], moves[i].length, threadWidth(dense));
    }
  }
  drawn = { ...view, moves: current };
}

// Batting, border and centre, and what is still to be stitched, as if chalked.
function paintBare(now, dense) {
  stitched.setTransform(1, 0, 0, 1, 0, 0);
  stitched.fillStyle = BATTING;
  stitched.fillRect(0, 0, layer.width, layer.height);
  lookThrough(stitched);
  stitched.fillStyle = BORDER;
  stitched.fillRect(0, 0, width, height);
  stitched.fillStyle = CENTRE;
  stitched.fillRect(leftBorder, topBorder, width - leftBorder - rightBorder, height - topBorder - bottomBorder);
  for (const move of moves) {
    if (move.kind !== "again" && move.begin + move.length > now && seen(move)) {
      stroke(stitched, move, 0, move.length, Math.min(1.2 * dense, 3 * view.scale), CHALK, 0.45);
    }
  }
}

function paintNeedle(needle, dense) {
  lookThrough(shown);
  shown.setLineDash([]);
  shown.beginPath();
  shown.arc(needle[0], needle[1], (7 * dense) / view.scale, 0, 7);
  shown.fillStyle = RED;
  shown.strokeStyle = "#fff";
  shown.lineWidth = (2 * dense) / view.scale;
  shown.fill();
  shown.stroke();
}

// ---- The map.

const map = document.getElementById("map");
map.setAttribute("viewBox", `-200 -200 ${width + 400} ${height + 400}`);
map
  .querySelector(".map-border")
  .setAttribute(
    "d",
    `M0 0H${width}V${height}H0zM${leftBorder} ${topBorder}H${width - rightBorder}V${height - bottomBorder}H${leftBorder}z`,
  );

function paintMap(needle) {
  const [across, down] = halves(view.scale, view.turn);
  const x = Math.max(view.x - across, -150);
  const y = Math.max(view.y - down, -150);
  set(map.querySelector("rect"), {
    x,
    y,
    width: Math.min(view.x + across, width + 150) - x,
    height: Math.min(view.y + down, height + 150) - y,
  });
  set(map.querySelector("circle"), { cx: needle[0], cy: needle[1], r: Math.max(...size) / 45 });
}

function set(element, values) {
  for (const [attribute, value] of Object.entries(values)) element.setAttribute(attribute, value.toFixed(0));
}
