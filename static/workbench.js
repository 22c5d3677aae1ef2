// Makes the workbench live: change a number and the drawing follows. The page is the same without it.
"use strict";

const bench = document.getElementById("bench");
let asking = false;
let askAgain = false;

document.documentElement.classList.add("live");

document.addEventListener("input", (event) => {
  if (event.target.form !== bench) return;
  if (event.target.id === "units") bench.requestSubmit();
  else draw();
});

document.addEventListener("click", (event) => {
  const way = event.target.closest("button.way");
  if (!way) return;
  event.preventDefault();
  document.getElementById("choice").value = way.value;
  draw();
});

// One question at a time; whatever was typed meanwhile is asked as soon as the answer is there.
async function draw() {
  if (asking) {
    askAgain = true;
    return;
  }
  asking = true;
  try {
    do {
      askAgain = false;
      const address = "/?" + new URLSearchParams(new FormData(bench));
      const answer = await fetch(address);
      if (answer.ok && !askAgain) show(await answer.text(), address);
    } while (askAgain);
  } catch (error) {
    console.error(String(error));
    say("The planner does not answer. Is it still running?");
  } finally {
    asking = false;
  }
}

function show(text, address) {
  const fresh = new DOMParser().parseFromString(text, "text/html");
  const focused = document.activeElement?.id;
  for (const part of fresh.querySelectorAll("[data-live]")) {
    const old = document.getElementById(part.id);
    // Where nothing can be drawn the last drawing stays, dimmed.
    if (old && !part.hidden && !old.isEqualNode(part)) old.replaceWith(part);
  }
  for (const field of bench.querySelectorAll("[aria-describedby]")) {
    const trouble = document.getElementById(field.getAttribute("aria-describedby"));
    if (trouble?.textContent.trim()) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
  document.body.classList.toggle("stale", fresh.getElementById("run-view").hidden);
  if (focused && document.activeElement?.id !== focused) document.getElementById(focused)?.focus();
  document.title = fresh.title;
  history.replaceState(null, "", address);
  say(document.querySelector("#spoken h1").textContent);
}

function say(words) {
  document.getElementById("status").textContent = words;
}
