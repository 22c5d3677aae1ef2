// What every page does a little better with scripts: a pressed button says that it works, a link can be copied.
document.addEventListener("submit", ({ submitter, defaultPrevented }) => {
  if (!submitter || defaultPrevented || submitter.matches("[aria-busy]")) return;
  submitter.setAttribute("aria-busy", "true");
  submitter.append(" …");
});

window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return; // only when she comes back to a page that was left waiting
  for (const waiting of document.querySelectorAll("[aria-busy]")) {
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
