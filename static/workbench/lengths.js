// The steps beside a length: an eighth of an inch or two millimetres, by tap or with the arrow keys; and the border's
// width by a slider. What she wrote in another way than these read is left to her.

const EIGHTHS = 8;
const WRITTEN = /^(?:(\d+(?:[.,]\d+)?)(?!\/))?\s*(?:(\d+)\/([1-9]\d*))?\s*(in|cm|mm)?$/;
const STEPS = { mm: 2, cm: 0.2 };

const units = () => document.getElementById("units").value;

/** What is written as a length: its figure, and its unit as written and as meant; null where it is not so easy. */
function figured(text) {
  const [, whole, over, under, unit] = WRITTEN.exec(text.trim()) ?? [];
  if (!whole && !over) return null;
  return { figure: Number((whole ?? "0").replace(",", ".")) + (over ? over / under : 0), unit, meant: unit ?? units() };
}

/** The text of a length one step on (or back), in the way it was written. */
function stepped(text, way) {
  const { figure, unit, meant } = figured(text) ?? {};
  if (!meant) return "";
  const size = STEPS[meant];
  const next = size ? marked(nextMark(figure / size, way) * size) : inEighths(nextMark(figure * EIGHTHS, way));
  return next ? [next, unit].filter(Boolean).join(" ") : "";
}

function inEighths(eighths) {
  if (eighths <= 0) return "";
  const whole = Math.floor(eighths / EIGHTHS);
  let under = EIGHTHS;
  eighths -= whole * EIGHTHS;
  while (eighths && eighths % 2 === 0) [eighths, under] = [eighths / 2, under / 2];
  return [whole || "", eighths ? `${eighths}/${under}` : ""].filter(Boolean).join(" ");
}

function marked(figure) {
  return figure > 0 ? String(Number(figure.toFixed(1))) : "";
}

function nextMark(figure, way) {
  const near = Math.round(figure);
  if (Math.abs(figure - near) < 1e-6) return near + way;
  return way > 0 ? Math.ceil(figure) : Math.floor(figure);
}

function put(field, text) {
  if (!text || text === field.value) return;
  field.value = text;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** What the slider stands at: eighths of an inch, or millimetres, which a plan in centimetres writes as those. */
function slid(at) {
  if (units() === "in") return inEighths(Math.round(at * EIGHTHS));
  return units() === "cm" ? marked(at / 10) : marked(at);
}

// The slider goes with the border's width, as far as that is written so that it can be read here.
export function slideAlong() {
  const slide = document.getElementById("slide");
  const { figure, meant } = figured(document.getElementById("border").value) ?? {};
  slide.hidden = !meant || (meant === "in") !== (units() === "in");
  if (!slide.hidden) slide.value = meant === "cm" ? figure * 10 : figure;
}

let marksAsked = "";

/** The marks on the slider, asked for once her hand is at the border's width: they take some seconds. */
async function markSlide() {
  const asked = new URLSearchParams(new FormData(document.getElementById("measurements"))).toString();
  if (asked === marksAsked || document.getElementById("slide").hidden) return;
  marksAsked = asked;
  const answer = await fetch(`/touching?${asked}`).catch(() => null);
  const widths = answer?.status === 200 ? (await answer.json()).widths_in : [];
  if (asked !== marksAsked) return; // she has gone on meanwhile
  const marks = widths.map((width) => new Option("", units() === "in" ? width : Math.round(width * 25.4)));
  document.getElementById("touching").replaceChildren(...marks);
  const said = document.getElementById("touching-said");
  said.hidden = !marks.length; // a way that is not the first may touch at any width
}

for (const hand of ["focusin", "pointerover", "change"]) {
  document.addEventListener(hand, ({ target }) => {
    if (target.id === "slide" || target.closest?.(".field")?.querySelector("#border")) markSlide();
  });
}

document.addEventListener("input", ({ target }) => {
  if (target.id === "border") slideAlong();
  if (target.id !== "slide") return;
  const field = document.getElementById("border");
  put(field, slid(Number(target.value)));
});

document.addEventListener("change", ({ target }) => {
  if (target.id === "slide") document.getElementById("border").dispatchEvent(new Event("change", { bubbles: true }));
});

document.addEventListener("click", ({ target }) => {
  const button = target.closest("[data-step]");
  if (!button) return;
  const field = button.closest(".field").querySelector("input");
  put(field, stepped(field.value, Number(button.dataset.step)));
});

document.addEventListener("focusout", ({ target }) => {
  if (!target.matches("[data-step]")) return;
  target.closest(".field").querySelector("input").dispatchEvent(new Event("change", { bubbles: true }));
});

document.addEventListener("keydown", (event) => {
  const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
  if (!way || !event.target.matches(".stepped > input")) return;
  event.preventDefault();
  put(event.target, stepped(event.target.value, way));
});
