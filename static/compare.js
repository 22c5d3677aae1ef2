// Where starts are still to be counted, they are as soon as the table stands: the page is asked for as without scripts,
// and what the table says is put in place.
const place = document.getElementById("count-each");
const button = place?.querySelector("button");
if (button) countEach();

async function countEach() {
  const shown = [...place.childNodes];
  place.textContent = "Counting the starts of each …";
  const asked = new URLSearchParams(new FormData(document.getElementById("vary")));
  asked.set(button.name, button.value);
  const answer = await fetch("/compare?" + asked).catch(() => null);
  const fresh = answer?.ok && new DOMParser().parseFromString(await answer.text(), "text/html");
  if (!fresh?.querySelector(".columns")) return place.replaceChildren(...shown);
  const heads = [document, fresh].map((page) => page.querySelector(".columns thead").textContent);
  const part = heads[0] === heads[1] ? ".columns tbody" : ".columns"; // her columns may stand in another order
  for (const one of [part, "#scale"]) document.querySelector(one).replaceWith(fresh.querySelector(one));
  place.className = "unseen"; // it stands in the table, and is said
  place.textContent = "The starts of each are counted.";
}
