// What is said beside the cloth: where the needle is, what it does, how far it has come.

import { carried, lines, pockets, strips, threads, units } from "./line.js";

const PARTS = {
  corner: "round the corner",
  stem: "along a curl",
  link: "on to the next curl",
  tail: "along a tail",
  ring: "round the ring",
};

// A way in the measure that thread is sold in.
export function wayInWords(hundredths) {
  const inches = hundredths / 100;
  const [value, unit] = units === "in" ? [inches / 36, "yd"] : [inches * 0.0254, "m"];
  return `${value.toLocaleString("en", { minimumFractionDigits: 1, maximumFractionDigits: 1 })} ${unit}`;
}

export function paceInWords(inches) {
  if (units !== "in") return `${(inches * (units === "cm" ? 2.54 : 25.4)).toFixed(0)} ${units} a second`;
  return `${inches} ${inches === 1 ? "inch" : "inches"} a second`;
}

export function moveInWords(move) {
  const where = move.onSpine ? PARTS[move.what] : move.what;
  let words = where;
  if (move.kind === "again") {
    words = move.onSpine ? `back ${where}, over stitches already there` : `again over ${where} already stitched`;
  } else if (move.kind === "ahead") words = `${move.onSpine ? "" : "along "}${where}, which a later thread covers`;
  else if (move.kind === "tip") words = `${where} at the tip`;
  else if (move.onSpine && move.what === "tail") words = `out ${where}`;
  return words.replace(/^./, (c) => c.toUpperCase());
}

export function stageInWords(stage) {
  const [here, all] = [stage.line + 1, lines].map((n) => n.toLocaleString("en"));
  const line = carried.has(stage.line) ? "carried on" : `line ${here} of ${all}`;
  const where = [strips[stage.strip], threads.length > 1 && stage.thread.name, lines > 1 && line].filter(Boolean).join(", ");
  const what = stage.number ? `Pocket ${stage.number} of ${pockets}` : "Spines";
  return `${where && where[0].toUpperCase() + where.slice(1) + ". "}${what}: ${stage.place}`;
}
