// Threads are added and taken away in their place: the form is asked for as without scripts, and only their part of
// it changes. The names she gives stand in the lists at once, and starts are counted as soon as threads change.
const measurements = document.getElementById("measurements");
const OF_THREADS = /^(threads\.|stitched_with\.|travels$|accents$|carry_in$|spine$|working\.|fill\.kind$)/;
const REST_MS = 1500; // she may change more than one thing: counting takes some seconds
let counting = 0;
let asked = 0; // how often starts were asked for: an answer that she has gone on from is not shown

document.addEventListener("click", async (event) => {
  const button = event.target.closest("#threads button[name=thread]");
  if (!button) return;
  event.preventDefault();
  const fresh = await page("/?" + form(button));
  if (!fresh) return measurements.requestSubmit(button);
  for (const id of ["threads", "thread-colour"]) document.getElementById(id).replaceWith(fresh.getElementById(id));
  const again = document.querySelector(`#threads [value="${button.value}"]`);
  (again?.checkVisibility() ? again : document.querySelector("#threads summary")).focus();
  document.getElementById("spine").dispatchEvent(new Event("input", { bubbles: true }));
});

document.addEventListener("click", (event) => {
  if (!event.target.closest("#count-starts")) return;
  event.preventDefault();
  countStarts();
});

document.addEventListener("input", ({ target }) => {
  const number = /^threads\.(\d)\.name$/.exec(target.name)?.[1];
  if (number) {
    for (const option of document.querySelectorAll(`#threads option[data-thread="${number}"]`)) {
      option.textContent = target.value || target.placeholder;
    }
  } else if (OF_THREADS.test(target.name) && document.getElementById("told-starts")) {
    clearTimeout(counting);
    document.getElementById("told-starts").replaceChildren();
    counting = setTimeout(countStarts, REST_MS);
  }
});

async function countStarts() {
  clearTimeout(counting);
  const mine = (asked += 1);
  say("Counting the starts …");
  const fresh = await page("/threads?" + form());
  if (mine !== asked) return;
  const told = fresh?.getElementById("counted-starts");
  if (told) document.getElementById("told-starts")?.replaceChildren(told);
  else say("");
}

function say(words) {
  const place = document.getElementById("told-starts");
  if (place) place.textContent = words;
}

function form(button) {
  return new URLSearchParams(new FormData(measurements, button));
}

async function page(address) {
  const answer = await fetch(address).catch(() => null);
  return answer?.ok ? new DOMParser().parseFromString(await answer.text(), "text/html") : null;
}
