// Draws the stitching line as it goes. Without this script the numbered picture and the list stand alone.

import { onResize, paint } from "./cloth.js";
import { moveAt, moves, stages, whole } from "./line.js";
import { fillRibbon } from "./ribbon.js";
import { moveInWords, paceInWords, stageInWords, wayInWords } from "./words.js";

const PACES = [1, 4, 10, 25, 60, 150, 400]; // inches a second
const SAY_EVERY = 5000; // milliseconds between spoken words while the line runs
const get = (id) => document.getElementById(id);
const reel = get("reel");
const playButton = get("play");
const pace = get("pace");
const stillness = matchMedia("(prefers-reduced-motion: reduce)");

let now = 0; // hundredths stitched
let current = 0; // the move under the needle
let running = false;
let ticked = 0; // when the line was drawn last, milliseconds
let spoken = "";
let spokenAt = 0;

function goTo(place, { swiftly = true, always = false } = {}) {
  now = Math.max(0, Math.min(whole, place));
  current = moveAt(now);
  paint(current, now, swiftly);
  tell(always);
  nameButton();
}

function tell(always) {
  const move = moves[current];
  const words = stageInWords(move.stage);
  get("stage").textContent = words;
  get("doing").textContent = moveInWords(move);
  get("done").textContent = `${wayInWords(now)} of ${wayInWords(whole)} stitched`;
  reel.value = now;
  reel.setAttribute("aria-valuetext", `${words}, ${wayInWords(now)} of ${wayInWords(whole)}`);
  const time = Date.now();
  if (always || (words !== spoken && time - spokenAt > SAY_EVERY)) {
    get("said").textContent = always ? `${words}. ${moveInWords(move)}.` : words;
    spoken = words;
    spokenAt = time;
  }
}

function tick(time) {
  if (!running) return;
  const passed = Math.min(time - ticked, 100) / 1000;
  ticked = time;
  goTo(now + PACES[pace.value] * 100 * passed, { swiftly: false });
  if (now >= whole) rest();
  else requestAnimationFrame(tick);
}

function run() {
  if (now >= whole) goTo(0);
  running = true;
  ticked = performance.now();
  nameButton();
  requestAnimationFrame(tick);
}

function rest() {
  running = false;
  nameButton();
  tell(true);
}

function nameButton() {
  const words = running ? "Pause" : now >= whole ? "Stitch again" : "Stitch";
  playButton.textContent = stillness.matches ? "Next shape" : words;
  get("player").classList.toggle("stepwise", stillness.matches);
}

// With less motion wanted nothing runs by itself: one press, one shape or stretch of spine.
function stepOnce() {
  const next = moves.find((move, i) => i >= current && move.begin + move.length > now + 1 && move.kind !== "again");
  goTo(!next || now >= whole ? 0 : next.begin + next.length, { always: true });
}

function pressed() {
  if (stillness.matches) stepOnce();
  else if (running) rest();
  else run();
}

function toStage(step) {
  rest();
  const here = stages.indexOf(moves[current].stage);
  const { begin, end } = stages[here];
  if (step > 0) goTo(end, { always: true });
  else goTo(now > begin + 50 ? begin : stages[Math.max(0, here - 1)].begin, { always: true });
}

function sayPace() {
  const words = paceInWords(PACES[pace.value]);
  get("pace-said").textContent = words;
  pace.setAttribute("aria-valuetext", words);
}

reel.max = whole;
playButton.addEventListener("click", pressed);
get("back").addEventListener("click", () => toStage(-1));
get("on").addEventListener("click", () => toStage(1));
pace.addEventListener("input", sayPace);
reel.addEventListener("input", () => {
  const place = Number(reel.value); // before resting: that sets the reel back to where the needle is
  if (running) rest();
  goTo(place);
});
for (const choice of document.querySelectorAll("[name=near]")) {
  choice.addEventListener("change", () => paint(current, now, true));
}
stillness.addEventListener("change", () => {
  if (running) rest();
  nameButton();
});

// Her place is kept with the drawing on this device, until she closes the browser.
const KEPT = `place ${document.getElementById("main").dataset.stamp}`;

function keptPlace() {
  try {
    return Number(sessionStorage.getItem(KEPT)) || 0;
  } catch {
    return 0; // a browser that keeps nothing
  }
}

function keepPlace() {
  try {
    sessionStorage.setItem(KEPT, now);
  } catch {
    // nothing is lost but her place
  }
}

get("player").hidden = false;
fillRibbon(get("ribbon"));
sayPace();
nameButton();
goTo(keptPlace());
addEventListener("pagehide", keepPlace);
document.addEventListener("visibilitychange", keepPlace);
onResize(() => paint(current, now, true));
