// Paints a field into the pixels of a canvas: small triangles, a colour at every pixel's middle.

const DENSITY = ["#f2ede2", "#f0d5a0", "#e0a463", "#c06a4b", "#893553", "#3a1645"];
const PHASE = ["#2a2142", "#324d84", "#4f8dbd", "#9cbfa6", "#f1c450", "#e2893f", "#c0503c", "#742f4b", "#2a2142"];
const WARMTH = ["#e9eef0", "#b9ccd1", "#d9bf86", "#d98a4b", "#b24a2f", "#5f1720"];
const STEPS = 512;

function ramp(anchors) {
  const rgb = anchors.map((a) => [1, 3, 5].map((k) => parseInt(a.slice(k, k + 2), 16)));
  const found = new Uint32Array(STEPS);
  for (let k = 0; k < STEPS; k++) {
    const at = (k / (STEPS - 1)) * (rgb.length - 1), low = Math.min(Math.floor(at), rgb.length - 2), part = at - low;
    const [r, g, b] = [0, 1, 2].map((c) => Math.round(rgb[low][c] * (1 - part) + rgb[low + 1][c] * part));
    found[k] = (255 << 24) | (b << 16) | (g << 8) | r;
  }
  return found;
}

const RAMPS = { density: ramp(DENSITY), loss: ramp(DENSITY), phase: ramp(PHASE), temperature: ramp(WARMTH) };
const LEAST = 1; // span of the colours of a temperature [K]

// The values at the ends of the colours.
export function ends(field, kind) {
  const spread = kind === "temperature" ? Math.max(0, LEAST - (field.high - field.low)) / 2 : 0;
  return kind === "temperature" ? [field.low - spread, field.high + spread] : [0, field.high || 1];
}

// The colours from end to end.
export function strip(canvas, kind) {
  const context = canvas.getContext("2d"), image = context.createImageData(canvas.width, canvas.height), pixels = new Uint32Array(image.data.buffer);
  for (let k = 0; k < pixels.length; k++) pixels[k] = RAMPS[kind][Math.floor(((k % canvas.width) / canvas.width) * STEPS)];
  context.putImageData(image, 0, 0);
}

const METAL = "#f2ede2"; // of parts without a field, and of what lies deep below a thin skin
const sheets = new WeakMap(); // a canvas of pixels behind every one that is shown

export function paint(context, view, field, numbers, middles, kind, outlines, top = null) {
  const { width, height } = context.canvas;
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.clearRect(0, 0, width, height);
  const toMillimetres = view.scale / 1e3;
  for (const { path, move } of outlines) {
    context.setTransform(toMillimetres, 0, 0, toMillimetres, (move[0] - view.x) * view.scale + width / 2, height / 2 - (move[1] - view.y) * view.scale);
    context.fillStyle = METAL;
    context.fill(new Path2D(path), "evenodd");
  }
  context.setTransform(1, 0, 0, 1, 0, 0);
  if (!field || kind === "none") return;
  let sheet = sheets.get(context);
  if (!sheet) sheets.set(context, sheet = document.createElement("canvas"));
  if (sheet.width !== width || sheet.height !== height) Object.assign(sheet, { width, height });
  const image = context.createImageData(width, height), pixels = new Uint32Array(image.data.buffer);
  const colours = RAMPS[kind], [low0, high0] = ends(field, kind), size = Math.max(...field.cuts.map((cut) => cut.count));
  const from = kind === "temperature" ? low0 : 0, over = (top ?? high0) - from;
  const px = new Float64Array(size), py = new Float64Array(size), v = new Float64Array(size), w = new Float64Array(size);
  let first = 0;
  field.parts.forEach((part, k) => {
    const [mx, my] = middles[k] ?? part.middle;
    const sides = outlines[k]?.mirror ? [1, -1] : [1]; // across an axis the current goes the other way
    field.cuts.forEach(({ count, triangles }, c) => {
      for (let e = 0; e < part.elements[c]; e++, first += count * 4) for (const side of sides) {
        let left = Infinity, right = -Infinity, low = Infinity, high = -Infinity;
        const sign = kind === "phase" ? side : 1;
        for (let n = 0; n < count; n++) {
          const at = first + 4 * n;
          px[n] = (side * (numbers[at] + mx) - view.x) * view.scale + width / 2;
          py[n] = height / 2 - (numbers[at + 1] + my - view.y) * view.scale;
          v[n] = (sign * numbers[at + 2] - from) / over; w[n] = (sign * numbers[at + 3]) / over;
          left = Math.min(left, px[n]); right = Math.max(right, px[n]);
          low = Math.min(low, py[n]); high = Math.max(high, py[n]);
        }
        if (right < 0 || left > width || high < 0 || low > height) continue;
        for (const t of triangles) triangle(pixels, width, height, px, py, v, w, t, colours, kind);
      }
    });
  });
  sheet.getContext("2d").putImageData(image, 0, 0);
  context.drawImage(sheet, 0, 0);
}

function triangle(pixels, width, height, px, py, v, w, [a, b, c], colours, kind) {
  const ax = px[a], ay = py[a], bx = px[b] - ax, by = py[b] - ay, cx = px[c] - ax, cy = py[c] - ay;
  const area = bx * cy - by * cx;
  if (Math.abs(area) < 1e-9) return;
  const low = Math.max(0, Math.ceil(Math.min(ay, py[b], py[c]) - 0.5)), high = Math.min(height - 1, Math.floor(Math.max(ay, py[b], py[c]) - 0.5));
  const left = Math.max(0, Math.ceil(Math.min(ax, px[b], px[c]) - 0.5)), right = Math.min(width - 1, Math.floor(Math.max(ax, px[b], px[c]) - 0.5));
  const slack = -1e-6;
  for (let row = low; row <= high; row++) {
    const dy = row + 0.5 - ay;
    for (let column = left; column <= right; column++) {
      const dx = column + 0.5 - ax, s = (dx * cy - dy * cx) / area, t = (bx * dy - by * dx) / area;
      if (s < slack || t < slack || s + t > 1 - slack) continue;
      const r = 1 - s - t, re = r * v[a] + s * v[b] + t * v[c], im = r * w[a] + s * w[b] + t * w[c];
      let share;
      if (kind === "phase") share = Math.atan2(im, re) / (2 * Math.PI) + 0.5;
      else share = kind === "density" ? Math.sqrt(Math.hypot(re, im)) : re;
      pixels[row * width + column] = colours[Math.min(STEPS - 1, Math.max(0, Math.round(share * (STEPS - 1))))];
    }
  }
}

// How many points of a field a part has.
export const pointsOf = (field, part) => field.cuts.reduce((sum, cut, c) => sum + cut.count * part.elements[c], 0);

// Where |J| is largest, and how far the lens is to reach.
export function densest(field, numbers) {
  let best = -1, at = [0, 0], first = 0, which = 0;
  field.parts.forEach((part, k) => {
    const end = first + 4 * pointsOf(field, part);
    for (let n = first; n < end; n += 4) {
      const size = numbers[n + 2] ** 2 + numbers[n + 3] ** 2;
      if (size > best) { best = size; at = [numbers[n], numbers[n + 1]]; which = k; }
    }
    first = end;
  });
  return { part: which, at };
}
