// Makes the workbench live: change a number and the drawing follows. The page is the same without it.
const measurements = document.getElementById("measurements");
let asking = false;
let askAgain = false;
let goOn = () => {};
const PAUSE_MS = 200; // between two keys of a number: solving in between would only keep the drawing waiting

document.documentElement.classList.add("live");

document.addEventListener("input", (event) => {
  if (event.target.form !== measurements) return;
  const field = event.target.name;
  if (field === "units") measurements.requestSubmit();
  else if (field === "closer" || field.startsWith("show.")) history.replaceState(null, "", "/?" + form());
  else draw({ follow: field !== "side" });
});

document.addEventListener("click", (event) => {
  const way = event.target.closest("button.way");
  if (!way) return;
  event.preventDefault();
  document.getElementById("choice").value = way.value;
  draw();
});

// One question at a time; whatever was typed meanwhile is asked as soon as the answer is there. The drawing
// follows first, with the same circles; then, when her hand rests, all ways are solved again.
async function draw({ follow } = { follow: true }) {
  if (follow) document.getElementById("unsaved")?.removeAttribute("hidden");
  if (asking) {
    askAgain = true;
    goOn();
    return;
  }
  asking = true;
  do {
    askAgain = false;
    const asked = form();
    if (follow) await ask("/drawing?" + asked);
    if (follow && !askAgain) await rest();
    if (!askAgain) await ask("/?" + asked);
  } while (askAgain);
  asking = false;
}

function rest() {
  return new Promise((resolve) => {
    goOn = resolve;
    setTimeout(resolve, PAUSE_MS);
  });
}

function form() {
  return new URLSearchParams(new FormData(measurements));
}

async function ask(address) {
  let answer;
  try {
    answer = await fetch(address);
  } catch {
    note("The planner does not answer. Is it still running?");
    return;
  }
  if (answer.status === 200) show(await answer.text(), address);
}

function show(text, address) {
  const fresh = new DOMParser().parseFromString(text, "text/html");
  const focused = document.activeElement?.id;
  document.body.classList.toggle("stale", fresh.getElementById("run-view").hidden);
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
  document.getElementById("main").dataset.stamp = fresh.getElementById("main").dataset.stamp || "";
  announceFill();
  if (focused && document.activeElement?.id !== focused) document.getElementById(focused)?.focus();
  if (fresh.title) {
    document.title = fresh.title;
    history.replaceState(null, "", address);
    say(document.querySelector("#spoken h1").textContent);
  }
}

// The fill comes after the drawing, when it has grown: until then the page says so.
function announceFill() {
  const fill = document.querySelector("#whole-view image");
  note(fill ? "The fill is growing …" : "");
  fill?.addEventListener("load", () => note(""));
  fill?.addEventListener("error", () => note(""));
}

if (document.readyState !== "complete") {
  announceFill();
  window.addEventListener("load", () => note(""));
}

function note(words) {
  document.getElementById("note").textContent = words;
  document.getElementById("note").hidden = !words;
  if (words) say(words);
}

function say(words) {
  document.getElementById("status").textContent = words;
}
