// The ribbon over the reel: which thread is in the needle, where it is changed or begun anew, where the quilt is moved on.

import { carried, stages, threads, whole } from "./line.js";

const SVG = "http://www.w3.org/2000/svg";
const MOST_MARKS = 400; // more would be one grey
const HIGH = 12;

export function fillRibbon(ribbon) {
  ribbon.setAttribute("viewBox", `0 0 ${whole} ${HIGH}`);
  const begun = stages.filter((stage, i) => i && stage.line !== stages[i - 1].line);
  const moved = stages.filter((stage, i) => i && stage.strip !== stages[i - 1].strip);
  if (threads.length < 2 && !begun.length && !moved.length) return;
  for (let i = 0; i < stages.length; ) {
    const { thread, begin } = stages[i];
    while (i < stages.length && stages[i].thread === thread) i += 1;
    add(ribbon, "rect", { x: begin, width: stages[i - 1].end - begin, height: HIGH, fill: thread.mean });
  }
  const marked = begun.length > MOST_MARKS ? [] : begun;
  ribbon.append(ticks("start", marked.filter((stage) => !carried.has(stage.line)), 0, HIGH / 2));
  ribbon.append(ticks("carry", marked.filter((stage) => carried.has(stage.line)), HIGH / 2, HIGH));
  ribbon.append(ticks("advance", moved, 0, HIGH));
  ribbon.removeAttribute("hidden");
}

function ticks(kind, at, from, to) {
  return made("path", { class: kind, d: at.map((stage) => `M${stage.begin} ${from}V${to}`).join("") });
}

function add(ribbon, tag, values) {
  ribbon.append(made(tag, values));
}

function made(tag, values) {
  const element = document.createElementNS(SVG, tag);
  for (const [key, value] of Object.entries(values)) element.setAttribute(key, value);
  return element;
}
