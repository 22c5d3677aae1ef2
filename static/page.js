// What every page does a little better with scripts: a pressed button says that it works, a link can be copied.
document.addEventListener("submit", ({ submitter, defaultPrevented }) => {
  if (!submitter || defaultPrevented || submitter.matches("[aria-busy]")) return;
  submitter.setAttribute("aria-busy", "true");
  submitter.append(" …");
});

window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return; // only when she comes back to a page that was left waiting
  for (const waiting of document.querySelectorAll("button[aria-busy]")) {
    waiting.removeAttribute("aria-busy");
    waiting.lastChild.remove();
  }
});

for (const address of document.querySelectorAll("textarea.address")) {
  const copy = document.createElement("button");
  copy.type = "button";
  copy.className = "plain";
  copy.textContent = "Copy this link";
  copy.addEventListener("click", () => {
    address.select();
    // The newer way to copy is closed to pages that came over a home network without TLS.
    copy.textContent = document.execCommand("copy") ? "Copied" : "Marked: copy it by hand";
  });
  address.after(copy);
}

// A picture that could not be drawn just now (503, and an empty one in its place) is asked for again.
const AGAIN_MS = 15_000, MOST_TIMES = 3;

document.addEventListener("load", ({ target }) => askAgain(target), true);
document.querySelectorAll("img, image").forEach(askAgain);

function askAgain(picture) {
  if (!picture.matches?.("img, image") || statusOf(picture) !== 503 || picture.asked >= MOST_TIMES) return;
  picture.asked = (picture.asked || 0) + 1;
  const again = new URL(addressOf(picture));
  again.searchParams.set("again", picture.asked);
  setTimeout(() => picture.setAttribute(picture.matches("img") ? "src" : "href", again), AGAIN_MS);
}

/** What the planner answered when a picture was asked for: 200 where it was drawn; undefined where a browser does not tell. */
export function statusOf(picture) {
  const address = addressOf(picture);
  return address && performance.getEntriesByName(address).at(-1)?.responseStatus;
}

function addressOf(picture) {
  const address = picture.currentSrc || picture.getAttribute("href");
  return address && new URL(address, location).href;
}
