// The picture of the border as quilted, to send to a friend: as PNG, which every telephone shows, not as SVG.
const WIDE = { side: 3200, whole: 2400 }; // pixels: sharp on a large screen, and small enough to send
const FITS = 4096; // more than this, and some browsers draw nothing

document.addEventListener("click", async (event) => {
  const link = event.target.closest(".quilting a[download]");
  if (!link) return;
  event.preventDefault();
  link.setAttribute("aria-busy", "true");
  try {
    await save(await png(link.href), link.download.replace(/svg$/, "png"));
  } finally {
    link.removeAttribute("aria-busy");
  }
});

async function png(address) {
  const image = new Image();
  image.src = address;
  await image.decode();
  const wide = new URL(address).searchParams.has("side") ? WIDE.side : WIDE.whole;
  const scale = Math.min(wide / image.naturalWidth, FITS / image.naturalHeight);
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(image.naturalWidth * scale);
  canvas.height = Math.round(image.naturalHeight * scale);
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/png"));
}

function save(blob, file) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = file;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}
