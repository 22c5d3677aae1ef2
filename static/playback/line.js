// The line that the needle follows: every move knows where it begins along the whole and how it is drawn.
// Lengths and places are hundredths of an inch.

const source = document.getElementById("moves");
const data = JSON.parse(source.textContent);
const KINDS = ["spine", "tip", "fill", "again", "ahead"];

export const units = source.dataset.units;
export const { size, border, strips, turned } = data;
export const carried = new Set(data.carried);
export const threads = data.threads.map(([title, colours, repeat]) => ({ name: title, colours, repeat, mean: meanOf(colours) }));
export const moves = [];
export const stages = [];

// A cell's shapes are drawn in the picture below, one after the other.
const cells = data.cells.map((lengths, i) => {
  const shapes = document.getElementById(`cell${i}`).getAttribute("d").match(/M[^M]+/g) ?? [];
  return shapes.map((d, n) => ({ d, long: lengths[n] }));
});

for (const [line, number, place, thread, strip, side, sewn, home, list] of data.stages) {
  const begin = stages.at(-1)?.end ?? 0;
  const stage = { line, number, place, thread: threads[thread], strip, side, sewn, first: moves.length, begin, end: begin };
  for (const n of list) {
    const move = moveOf(data.moves[n], stage, home);
    moves.push(move);
    stage.end += move.length;
  }
  stages.push(stage);
}

export const whole = stages.at(-1).end;
export const lines = stages.at(-1).line + 1;
export const pockets = Math.max(...stages.map((stage) => stage.number));

// What a thread looks like from afar.
function meanOf(colours) {
  const sum = [0, 0, 0];
  for (const colour of colours) colour.match(/[0-9a-f]{2}/gi).forEach((v, i) => (sum[i] += parseInt(v, 16)));
  return `rgb(${sum.map((v) => Math.round(v / colours.length))})`;
}

function moveOf([kind, what, long, ...where], stage, home) {
  const [shape, from, to, copy = home] = where;
  const [cell, ...matrix] = data.copies[copy] ?? [];
  const onSpine = where.length === 1;
  const drawing = onSpine
    ? { d: where[0], from: 0, to: long, long }
    : { ...cells[cell][shape], from, to };
  const move = { kind: KINDS[kind], what: data.whats[what], length: long, stage, begin: stage.end, onSpine, ...drawing };
  move.matrix = matrix.length ? matrix : null;
  const begun = move.d.match(/-?\d+/g);
  move.at = placed(move.matrix, Number(begun[0]), Number(begun[1]));
  return move;
}

function placed(matrix, x, y) {
  if (!matrix) return [x, y];
  const [a, b, c, d, e, f] = matrix;
  return [a * x + c * y + e, b * x + d * y + f];
}

const tape = document.createElementNS("http://www.w3.org/2000/svg", "path");
let taped = "";

// Where a move is after so much of its length.
export function needleAt(move, done) {
  if (taped !== move.d) {
    taped = move.d;
    tape.setAttribute("d", taped);
  }
  const along = move.from + Math.sign(move.to - move.from) * done;
  const point = tape.getPointAtLength((along / move.long) * tape.getTotalLength());
  return placed(move.matrix, point.x, point.y);
}

// The colours of the first part of a move, as the thread comes off its spool: [from, to, colour] along the move.
export function* coloursOf(move, done) {
  const { colours, repeat } = move.stage.thread;
  if (!repeat) return yield [0, done, colours[0]];
  const band = repeat / colours.length;
  let sewn = move.stage.sewn + move.begin - move.stage.begin;
  for (let gone = 0; gone < done; ) {
    const place = Math.floor(sewn / band + 1e-6);
    const more = Math.min(done - gone, (place + 1) * band - sewn);
    yield [gone, gone + more, colours[place % colours.length]];
    gone += more;
    sewn += more;
  }
}

// The number of the move at a place along the whole line.
export function moveAt(place) {
  let low = 0;
  let high = moves.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (moves[middle].begin <= place) low = middle;
    else high = middle - 1;
  }
  return low;
}
