// Photographs of cloth: read and scaled down, their mean colour, and four corners drawn out to a rectangle.

const MOST = 1600; // pixels on the longer side: sharp on a tablet, and light enough to keep
const QUALITY = 0.86;

const LIGHT = Array.from({ length: 256 }, (_, n) => (n <= 10 ? n / 255 / 12.92 : ((n / 255 + 0.055) / 1.055) ** 2.4));

/** A picture file as a canvas, as she held the camera. Fulfilled with null where it is none that this browser reads. */
export async function readPhoto(file) {
  try {
    const image = await createImageBitmap(file);
    const canvas = drawn(image, Math.min(1, MOST / Math.max(image.width, image.height)));
    image.close();
    return canvas;
  } catch {
    return null;
  }
}

/** A kept photograph as a canvas. */
export async function photoOf(address) {
  const image = new Image();
  image.src = address;
  await image.decode();
  return drawn(image, 1);
}

export const addressOf = (canvas) => canvas.toDataURL("image/jpeg", QUALITY);

function drawn(image, share) {
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(image.width * share));
  canvas.height = Math.max(1, Math.round(image.height * share));
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  return canvas;
}

/** What the cloth looks like from afar, as #rrggbb: light is averaged, not the numbers that stand for it (IEC 61966-2-1). */
export function meanColour(canvas) {
  const { data } = pixelsOf(canvas);
  const sums = [0, 0, 0];
  for (let i = 0; i < data.length; i += 4) for (let c = 0; c < 3; c++) sums[c] += LIGHT[data[i + c]];
  const shares = sums.map((sum) => Math.round(255 * encoded(sum / (data.length / 4))));
  return `#${shares.map((share) => share.toString(16).padStart(2, "0")).join("")}`;
}

const encoded = (value) => (value <= 0.0031308 ? 12.92 * value : 1.055 * value ** (1 / 2.4) - 0.055);
const pixelsOf = (canvas) => canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);

/** Whether four corners, clockwise from the upper left (shares of the picture), go round a quilt top. */
export function goRound(corners) {
  return corners.every(([x, y], i) => {
    const [[u, v], [p, q]] = [corners[(i + 1) % 4], corners[(i + 2) % 4]];
    return (u - x) * (q - v) - (v - y) * (p - u) > 0.001;
  });
}

/** What lies between four corners, drawn out to a rectangle of these proportions. */
export function drawnOut(canvas, corners, proportion) {
  const width = Math.round(MOST / Math.max(1, 1 / proportion));
  const height = Math.round(width / proportion);
  const from = pixelsOf(canvas);
  const flat = document.createElement("canvas");
  [flat.width, flat.height] = [width, height];
  const to = new ImageData(width, height);
  const place = projection(corners.map(([x, y]) => [x * canvas.width, y * canvas.height]));
  const [source, target] = [new Uint32Array(from.data.buffer), new Uint32Array(to.data.buffer)];
  for (let row = 0, n = 0; row < height; row++) {
    for (let column = 0; column < width; column++, n++) {
      const [x, y] = place((column + 0.5) / width, (row + 0.5) / height);
      const at = [Math.min(Math.max(x, 0), canvas.width - 1), Math.min(Math.max(y, 0), canvas.height - 1)];
      target[n] = source[Math.floor(at[1]) * canvas.width + Math.floor(at[0])];
    }
  }
  flat.getContext("2d").putImageData(to, 0, 0);
  return flat;
}

/** The projective map of the unit square on four corners (Heckbert 1989, Fundamentals of texture mapping, 2.2.3). */
function projection([[x0, y0], [x1, y1], [x2, y2], [x3, y3]]) {
  const [dx1, dx2, sx] = [x1 - x2, x3 - x2, x0 - x1 + x2 - x3];
  const [dy1, dy2, sy] = [y1 - y2, y3 - y2, y0 - y1 + y2 - y3];
  const whole = dx1 * dy2 - dx2 * dy1;
  const [g, h] = [(sx * dy2 - dx2 * sy) / whole, (dx1 * sy - sx * dy1) / whole];
  const [a, b] = [x1 - x0 + g * x1, x3 - x0 + h * x3];
  const [d, e] = [y1 - y0 + g * y1, y3 - y0 + h * y3];
  return (u, v) => {
    const far = g * u + h * v + 1;
    return [(a * u + b * v + x0) / far, (d * u + e * v + y0) / far];
  };
}
