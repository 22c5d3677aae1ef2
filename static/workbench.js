// Makes the workbench live: change a number and the drawing follows. The page is the same without it.
import { statusOf } from "./page.js";
import { slideAlong } from "./workbench/lengths.js";
import { handLifted } from "./workbench/hand.js";
import { beginSteps, changed, keepStep, settle, unsettled } from "./workbench/steps.js";

const measurements = document.getElementById("measurements");
const PAUSE_MS = 200; // between two keys of a number: solving in between would only keep the drawing waiting
const LOOKS = /^(side|closer|layers|sort|show\..+|only\..+)$/; // how she looks at it is no change of the plan
let wanted = null; // what to ask as soon as the answer before is there
let asking = false;
let goOn = () => {};
let held = false; // an answer that found fault with what she was still typing

document.documentElement.classList.add("live");
slideAlong();
beginSteps(form().toString(), (kept) => ask({ whole: true, kept }));

document.addEventListener("input", ({ target }) => {
  if (target.form !== measurements || !target.name) return; // what has no name stays on this device
  if (LOOKS.test(target.name)) {
    keepStep(form().toString(), true);
    if (/^(side|sort|only)/.test(target.name)) ask({ looks: true });
  } else change(target.matches("select, [type=checkbox]") ? "" : target.name, target.name === "units" ? { whole: true } : {});
});

document.addEventListener("change", ({ target }) => {
  if (target.form === measurements && settle() && held) ask({ looks: true });
});

document.addEventListener("click", (event) => {
  const way = event.target.closest("button.way");
  const field = event.target.closest(".missing a, .troubles a");
  if (way) {
    event.preventDefault();
    document.getElementById("choice").value = way.value;
    change("", { looks: true });
  } else if (field) {
    event.preventDefault(); // an entry in the history would be a step that undoes nothing
    document.querySelector(field.hash.replaceAll(".", "\\.")).focus();
  }
});

// A button that changes the form and comes back to the workbench need not load it anew.
measurements.addEventListener("submit", (event) => {
  // A button that says nothing of its own goes where the form goes; asked outright, it names the present page.
  if (event.submitter?.hasAttribute("formaction") && new URL(event.submitter.formAction).pathname !== "/") return;
  event.preventDefault();
  settle();
  change("", { whole: true, press: event.submitter });
});

function change(field, question = {}) {
  document.getElementById("unsaved")?.removeAttribute("hidden");
  changed(field, form().toString());
  ask(question);
}

// One question at a time; whatever was typed meanwhile is asked as soon as the answer is there. The drawing
// follows first, with the same circles; then, when her hand rests, all ways are solved again.
// whole: the form comes anew too; looks: the drawing need not come first.
async function ask(question) {
  wanted = { ...wanted, ...question };
  goOn();
  if (asking) return;
  asking = true;
  table().setAttribute("aria-busy", "true");
  while (wanted) {
    const now = wanted;
    wanted = null;
    const asked = now.kept ? restored(now.kept) : form();
    if (now.press?.name) asked.append(now.press.name, now.press.value);
    if (!now.looks && !now.whole) {
      await fetched(`/drawing?${asked}`, now);
      if (!wanted) await rest();
    }
    if (!wanted) await fetched(`/?${asked}`, now);
    if (wanted && now.whole) wanted = { ...now, ...wanted, whole: true };
  }
  asking = false;
  table().removeAttribute("aria-busy");
}

function rest() {
  return new Promise((resolve) => {
    goOn = resolve;
    setTimeout(resolve, PAUSE_MS);
  });
}

function table() {
  return document.getElementById("main");
}

function form() {
  return new URLSearchParams(new FormData(measurements));
}

// The form of an earlier step, looked at as she looks now.
function restored(kept) {
  const asked = new URLSearchParams(kept);
  for (const key of [...asked.keys()]) if (LOOKS.test(key)) asked.delete(key);
  for (const [key, value] of form()) if (LOOKS.test(key)) asked.append(key, value);
  return asked;
}

async function fetched(address, { whole }) {
  let answer;
  try {
    answer = await fetch(address);
  } catch {
    note("The planner does not answer. Is it still running?");
    return;
  }
  if (answer.status !== 200) return;
  const text = await answer.text();
  await handLifted();
  if (wanted && !address.startsWith("/drawing")) return; // she has gone on meanwhile
  show(new DOMParser().parseFromString(text, "text/html"), whole);
}

function show(fresh, whole) {
  const focused = document.activeElement?.id;
  // Half a fraction is no error yet; what was not typed at all is none either, and is listed.
  held = Boolean(unsettled() && fresh.querySelector(".trouble strong") && !fresh.querySelector(".missing"));
  if (held) return;
  if (whole) takeForm(fresh.getElementById("measurements"));
  document.body.classList.toggle("stale", fresh.getElementById("run-view").hidden);
  for (const unfolded of document.querySelectorAll("[data-live] details[open]")) {
    sameFold(unfolded, fresh)?.setAttribute("open", "");
  }
  for (const part of fresh.querySelectorAll("[data-live]")) {
    const old = document.getElementById(part.id);
    // Where nothing can be drawn the last drawing stays, dimmed.
    if (old && !part.hidden && !old.isEqualNode(part)) old.replaceWith(part);
  }
  for (const field of measurements.querySelectorAll("[aria-describedby]")) {
    const trouble = document.getElementById(field.getAttribute("aria-describedby"));
    if (trouble.textContent.trim()) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
  table().dataset.stamp = fresh.getElementById("main").dataset.stamp || "";
  announceFill();
  if (focused && document.activeElement?.id !== focused) document.getElementById(focused)?.focus();
  if (fresh.title) {
    document.title = fresh.title;
    keepStep(form().toString());
    say(document.querySelector("#spoken h1").textContent);
  }
}

// A look's variants are the same fold wherever the look comes to stand: it is known by a way that lies in it.
function sameFold(unfolded, fresh) {
  const way = unfolded.querySelector("button.way");
  return way ? fresh.querySelector(`li:has([value="${CSS.escape(way.value)}"]) > details`) : fresh.getElementById(unfolded.id);
}

function takeForm(fresh) {
  const opened = [...measurements.querySelectorAll("details")].map((part) => part.open);
  fresh.querySelectorAll("details").forEach((part, i) => (part.open ||= opened[i]));
  measurements.replaceChildren(...fresh.childNodes);
  slideAlong();
}

// The fill comes after the drawing, when it has grown: until then, and where it cannot, the page says so.
const FILL_SAYS = {
  503: "The planner is busy with other drawings just now: the fill comes as soon as there is room.",
  422: "The fill takes more than one drawing may take here: the border is shown without it.",
};

function announceFill() {
  const fill = document.querySelector("#whole-view image");
  note(fill ? "The fill is growing …" : "");
  fill?.addEventListener("load", () => note(FILL_SAYS[statusOf(fill)] ?? ""));
  fill?.addEventListener("error", () => note(""));
  return fill;
}

if (document.readyState !== "complete") {
  const fill = announceFill();
  window.addEventListener("load", () => note(FILL_SAYS[fill && statusOf(fill)] ?? ""));
}

function note(words) {
  document.getElementById("note").textContent = words;
  document.getElementById("note").hidden = !words;
  say(words);
}

function say(words) {
  document.getElementById("status").textContent = words;
}
