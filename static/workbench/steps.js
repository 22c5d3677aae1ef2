// Undo and redo: every settled change is an entry in the browser's own history, so that its Back undoes it too, and
// a reload forgets nothing. An entry holds the whole form. Leaving with a change that is not saved asks, once.

const undoes = document.getElementById("undo");
const redoes = document.getElementById("redo");
const MODIFIED = navigator.platform.startsWith("Mac") ? "metaKey" : "ctrlKey";
let step = 0;
let chain = ""; // what all entries of one visit to the workbench have in common
let typing = ""; // the field she is in the middle of: all its keys are one step
let asks = false;
let leaves = false; // a button of the form takes the plan along, or saves it

/** Begin with the form as it is; `restore` is given the form of a step she goes back or on to. */
export function beginSteps(kept, restore) {
  ({ step, chain } = history.state?.chain ? history.state : { step: 0, chain: `steps ${Date.now()}` });
  asks = step > 0;
  keepStep(kept);
  undoes.closest("[hidden]")?.removeAttribute("hidden");
  window.addEventListener("popstate", ({ state }) => {
    if (state?.chain !== chain) return keepStep(kept); // a link within the page
    step = state.step;
    typing = "";
    tell();
    restore(state.kept);
  });
}

/** A field has changed: a step of its own, unless she is still typing in the same field. */
export function changed(field, kept) {
  asks = true;
  if (field && field === typing) return keepStep(kept);
  typing = field;
  step += 1;
  sessionStorage.setItem(chain, step);
  history.pushState({ chain, step, kept }, "", `/?${kept}`);
  tell();
}

/** She has left the field; true if she had typed in it. */
export function settle() {
  const was = typing;
  typing = "";
  return Boolean(was);
}

/** The field she is typing in, "" for none. */
export function unsettled() {
  return typing;
}

/** The present step with the form as it is now; the address follows `anyhow`, or once there is something to follow. */
export function keepStep(kept, anyhow = false) {
  history.replaceState({ chain, step, kept }, "", anyhow || step || location.search ? `/?${kept}` : "");
  tell();
}

function newest() {
  return Number(sessionStorage.getItem(chain) ?? step);
}

function tell() {
  undoes.disabled = step === 0;
  redoes.disabled = step >= newest();
}

undoes.addEventListener("click", () => history.back());
redoes.addEventListener("click", () => history.forward());

document.addEventListener("keydown", (event) => {
  const key = event.key.toLowerCase();
  if (!event[MODIFIED] || event.altKey || !"zy".includes(key) || typing) return; // what she types, the field undoes
  event.preventDefault();
  const button = key === "y" || event.shiftKey ? redoes : undoes;
  if (!button.disabled) button.click();
});

document.addEventListener("submit", ({ defaultPrevented }) => {
  leaves ||= !defaultPrevented;
});

window.addEventListener("pageshow", () => {
  leaves = false;
});

window.addEventListener("beforeunload", (event) => {
  const saved = document.getElementById("unsaved");
  if (!asks || leaves || (saved ? saved.hidden : step === 0)) return;
  asks = false;
  event.preventDefault();
});
