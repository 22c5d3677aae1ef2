// Threads are added and taken away in their place: the form is asked for as without scripts, and only their part of
// it changes. The names she gives stand in the lists at once.
const measurements = document.getElementById("measurements");

document.addEventListener("click", async (event) => {
  const button = event.target.closest("#threads button[name=thread]");
  if (!button) return;
  event.preventDefault();
  const fresh = await asked(button);
  if (!fresh) return measurements.requestSubmit(button);
  for (const id of ["threads", "thread-colour"]) document.getElementById(id).replaceWith(fresh.getElementById(id));
  const again = document.querySelector(`#threads [value="${button.value}"]`);
  (again ?? document.querySelector("#threads summary")).focus();
  document.getElementById("spine").dispatchEvent(new Event("input", { bubbles: true }));
});

async function asked(button) {
  const form = new URLSearchParams(new FormData(measurements, button));
  const answer = await fetch("/?" + form).catch(() => null);
  return answer?.ok ? new DOMParser().parseFromString(await answer.text(), "text/html") : null;
}

document.addEventListener("input", ({ target }) => {
  const number = /^threads\.(\d)\.name$/.exec(target.name)?.[1];
  if (!number) return;
  for (const option of document.querySelectorAll(`#threads option[data-thread="${number}"]`)) {
    option.textContent = target.value || target.placeholder;
  }
});
