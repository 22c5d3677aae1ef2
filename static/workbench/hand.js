// Nothing is exchanged under her hand: what she holds down is still there when she lets go, or the tap would be lost.

const AFTER_MS = 60; // a tap's click comes a little after the finger has left
const MOST_MS = 2000; // a hand that lies on the glass is no tap
let lifted = Promise.resolve();

document.addEventListener("pointerdown", () => {
  lifted = new Promise((resolve) => {
    const over = () => setTimeout(resolve, AFTER_MS);
    for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, over, { once: true });
    setTimeout(resolve, MOST_MS);
  });
});

/** Fulfilled when no pointer is down, and whatever it pressed has had its click. */
export async function handLifted() {
  let waited;
  while (waited !== lifted) await (waited = lifted);
}
