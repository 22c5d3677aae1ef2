// One circle at a time: by tap, by the keys that a foot switch or page-turner sends; what is chalked is kept on this
// device by the layout's stamp, so that ticks of another drawing never show here.

import { stayAwake } from "./awake.js";

const main = document.querySelector("main");
const panels = [...document.querySelectorAll(".panel")];
const shelf = `chalked ${main.dataset.stamp} ${main.dataset.held}`;
const before = `chalked ${main.dataset.before} ${main.dataset.held}`; // before a run was spread, or a side measured, anew
const chalked = new Set(read(shelf) ?? arrived());
const said = document.querySelectorAll("#news, #moved"); // since a run was spread anew
let now = 0;

function read(where) {
  try {
    return JSON.parse(localStorage.getItem(where));
  } catch {
    return null; // a browser that keeps nothing, or something not ours
  }
}

/** The ticks of the same circles before the run was spread anew; where she said that she stands is chalked. */
function arrived() {
  const ticks = stillThere(read(before)) ?? [];
  return main.dataset.at ? [...ticks, main.dataset.at] : ticks;
}

/** What was chalked before and stands where it should keeps its tick, on the circle that stands there now; of the rest
 * she is told. */
function stillThere(ticks) {
  const [holds, gone] = [main.dataset.holds, main.dataset.gone].map((text) => JSON.parse(text));
  const kept = (ticks ?? []).map((id) => holds[id]).filter(Boolean);
  const rows = {}; // by side and the corner they are counted from
  for (const [where, called] of (ticks ?? []).map((id) => gone[id]).filter(Boolean)) (rows[where] ??= []).push(called);
  const told = Object.entries(rows).map(([where, names]) => `${where}: ${names.join(", ").replaceAll(", Curl ", ", ")}.`);
  if (told.length) {
    const word = document.getElementById("moved");
    const still = kept.length ? `${kept.length} of your ${ticks.length} chalked circles still hold and keep their ticks. ` : "";
    word.textContent = `${still}Brush out what has moved, and chalk it anew. ${told.join(" ")}`;
    word.hidden = false;
  }
  return ticks && kept;
}

function keep() {
  try {
    localStorage.setItem(shelf, JSON.stringify([...chalked]));
  } catch {
    // it then forgets when the page is closed; chalking goes on
  }
  for (const panel of panels) panel.toggleAttribute("data-chalked", chalked.has(panel.id));
  document.getElementById("counted").textContent = `${chalked.size} of ${panels.length} chalked.`;
}

function show(number, aloud = true) {
  now = Math.min(Math.max(number, 0), panels.length - 1);
  panels.forEach((panel, i) => panel.toggleAttribute("data-now", i === now));
  history.replaceState(null, "", `#${panels[now].id}`);
  if (aloud) panels[now].querySelector("h2").focus({ preventScroll: true }); // a reader's voice says where she is
  scrollTo(0, 0);
}

function onward() {
  document.getElementById("ticks").before(...said); // read once, it makes room for the circles
  chalked.add(panels[now].id);
  keep();
  const next = panels.findIndex((panel, i) => i > now && !chalked.has(panel.id));
  show(next < 0 ? now + 1 : next);
}

main.addEventListener("click", (event) => {
  const link = event.target.closest("[data-go]");
  if (!link) return;
  event.preventDefault();
  if (link.dataset.go === "-1") show(now - 1);
  else onward();
});

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest("a, button")) return;
  if (["ArrowRight", "ArrowDown", "PageDown", " ", "Enter"].includes(event.key)) onward();
  else if (["ArrowLeft", "ArrowUp", "PageUp"].includes(event.key)) show(now - 1);
  else return;
  event.preventDefault();
});

document.getElementById("clear").addEventListener("click", () => {
  chalked.clear();
  keep();
  show(0);
});

addEventListener("hashchange", () => {
  const at = panels.findIndex((panel) => `#${panel.id}` === location.hash);
  if (at >= 0 && at !== now) show(at);
});

main.classList.add("live");
document.getElementById("ticks").hidden = false;
keep();
const named = panels.findIndex((panel) => `#${panel.id}` === location.hash);
const unchalked = panels.findIndex((panel) => !chalked.has(panel.id));
show(named >= 0 ? named : Math.max(unchalked, 0), false);
stayAwake();
