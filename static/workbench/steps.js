// Undo and redo: every settled change is an entry in the browser's own history, so that its Back undoes it too, and
// a reload forgets nothing. An entry holds the whole form. Steps from before a walk to another page lie before those
// entries: they are kept in this tab, and undone in place. Leaving with a change that is not saved asks, once.

const undoes = document.getElementById("undo");
const redoes = document.getElementById("redo");
const MODIFIED = navigator.platform.startsWith("Mac") ? "metaKey" : "ctrlKey";
const KEPT = "steps before a walk";
const MOST = 40; // steps kept over a walk: a form is some 2 kB
const SAME = /^(side|closer|layers|sort|choice|drawn|version|units_were|show\..+|only\..+|basis\..+)$/; // is no other step
let step = 0;
let own = []; // the forms of this visit's steps
let earlier = []; // those of before a walk, and of them those that are undone
let later = [];
let again = () => {};
let chain = ""; // what all entries of one visit to the workbench have in common
let typing = ""; // the field she is in the middle of: all its keys are one step
let asks = false;
let leaves = false; // a button of the form takes the plan along, or saves it

/** Begin with the form as it is; `restore` is given the form of a step she goes back or on to. */
export function beginSteps(kept, restore) {
  ({ step, chain } = history.state?.chain ? history.state : { step: 0, chain: `steps ${Date.now()}` });
  asks = step > 0;
  again = restore;
  takeUp(kept);
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
  later = [];
  sessionStorage.setItem(chain, step);
  history.pushState({ chain, step, kept }, "", `/?${kept}`);
  note(kept);
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
  note(kept);
  tell();
}

/** The form of the present step; those after it are gone. */
function note(kept) {
  own.length = step;
  own[step] = kept;
  remember();
}

/** What was kept of this visit, or of the one before a walk: the same plan's steps go on. */
function takeUp(kept) {
  let found = null;
  try {
    found = JSON.parse(sessionStorage.getItem(KEPT));
  } catch {
    // a browser that keeps nothing
  }
  if (!found) return;
  if (found.chain === chain) return ({ own, earlier, later } = found);
  const last = found.own.at(-1);
  if (!last || whose(last) !== whose(kept)) return;
  earlier = [...found.earlier, ...found.own].filter(Boolean).slice(-MOST);
  if (plain(last) === plain(kept)) earlier.pop();
}

function whose(kept) {
  const form = new URLSearchParams(kept);
  return form.get("plan") ?? `unsaved ${form.get("name")}`;
}

function plain(kept) {
  return [...new URLSearchParams(kept)].filter(([key, text]) => text && !SAME.test(key)).join();
}

function remember() {
  try {
    sessionStorage.setItem(KEPT, JSON.stringify({ chain, own, earlier, later }));
  } catch {
    // then a walk forgets them
  }
}

/** A step of before a walk in the place of the present one; a saved plan stays at its version. */
function takeBack(from, to) {
  const present = own[step];
  const version = new URLSearchParams(present).get("version");
  to.push(present);
  const kept = new URLSearchParams(from.pop());
  if (version) kept.set("version", version);
  typing = "";
  asks = true;
  own[step] = kept.toString();
  remember();
  tell();
  again(own[step]);
}

function newest() {
  return Number(sessionStorage.getItem(chain) ?? step);
}

function tell() {
  undoes.disabled = step === 0 && !earlier.length;
  redoes.disabled = step >= newest() && !later.length;
}

undoes.addEventListener("click", () => (step === 0 ? takeBack(earlier, later) : history.back()));
redoes.addEventListener("click", () => (later.length ? takeBack(later, earlier) : history.forward()));

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
