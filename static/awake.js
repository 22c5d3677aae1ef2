// The screen is kept awake while she looks at it; where the browser does not allow that, the page's own words say so.

export async function stayAwake() {
  try {
    await navigator.wakeLock.request("screen");
  } catch {
    document.getElementById("awake").hidden = false;
  }
}

document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") stayAwake();
});
