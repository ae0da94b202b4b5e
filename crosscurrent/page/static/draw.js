// The section to scale: outlines in SVG over the painted field, a hand that carries parts, a lens.

import { densest, ends, paint, pointsOf, strip } from "./paint.js";
import { length } from "./units.js";

const SVG = "http://www.w3.org/2000/svg";
const TOP = 52, BELOW = 72; // pixels that the section leaves free, its names included
const NEAR = 7, CROWDED = 26, STEP = 1e-4; // pixels: of a face that attracts, of a part too small for its name; a step of the arrows [m]

export function shape(name, attributes = {}, ...inside) {
  const found = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) found.setAttribute(key, value);
  found.append(...inside);
  return found;
}

export function pathOf(part) {
  return part.outlines.map((flat) => {
    let words = "";
    for (let k = 0; k < flat.length; k += 2) words += `${k ? "L" : "M"}${flat[k] * 1e3} ${-flat[k + 1] * 1e3}`;
    return words + "Z";
  }).join("");
}

// A name above its part or below it, wherever no other name stands yet.
function label(words, x, above, under, below, labels) {
  const half = 3.6 * words.length, free = (y) => labels.every((one) => Math.abs(one.y - y) > 12 || Math.abs(one.x - x) > one.half + half);
  const y = (below ? [under, above, under + 13, above - 13] : [above, under, above - 13, under + 13]).find(free) ?? above;
  labels.push({ x, y, half });
  return shape("text", { x, y, "text-anchor": "middle" }, words);
}

const sizeOfPart = (p) => [p.high[0] - p.low[0], p.high[1] - p.low[1]];
const sizeOf = (field) => 4 * field.parts.reduce((sum, part) => sum + pointsOf(field, part), 0);

export class Drawing {
  constructor(ask, choose) {
    this.ask = ask;
    this.choose = choose;
    this.board = document.getElementById("board");
    this.svg = document.getElementById("draw");
    this.canvas = document.getElementById("paint");
    this.lens = document.getElementById("lens");
    this.view = { x: 0, y: 0, scale: 4000 };
    this.scene = null;
    this.field = this.numbers = this.held = null;
    this.maps = {}; // what is painted beside the current density, when it was asked for
    this.kind = "density";
    this.chosen = null;
    this.lines = [];
    this.flux = [];
    this.own = false; // whether the hand chose what is in view
    this.waiting = false;
    this.svg.addEventListener("pointerdown", (e) => this.take(e));
    this.svg.addEventListener("pointermove", (e) => this.carry(e));
    for (const end of ["pointerup", "pointercancel"]) this.svg.addEventListener(end, (e) => this.drop(e));
    this.board.addEventListener("wheel", (e) => { e.preventDefault(); this.zoom(e.deltaY < 0 ? 1.2 : 1 / 1.2, this.place(e)); }, { passive: false });
    new ResizeObserver(() => (this.own ? this.show() : this.whole())).observe(this.board);
  }

  place(event) {
    const box = this.board.getBoundingClientRect();
    return [this.view.x + (event.clientX - box.left - box.width / 2) / this.view.scale,
      this.view.y - (event.clientY - box.top - box.height / 2) / this.view.scale];
  }

  zoom(factor, [x, y] = [this.view.x, this.view.y]) {
    this.own = true;
    const scale = Math.min(5e7, Math.max(20, this.view.scale * factor)), k = this.view.scale / scale;
    this.view = { x: x + (this.view.x - x) * k, y: y + (this.view.y - y) * k, scale };
    this.show();
  }

  // By a tenth of what is seen.
  pan(dx, dy) {
    const box = this.board.getBoundingClientRect(), step = Math.min(box.width, box.height) / 10 / this.view.scale;
    this.own = true;
    this.view = { ...this.view, x: this.view.x + dx * step, y: this.view.y + dy * step };
    this.show();
  }

  whole() {
    this.own = false;
    if (!this.scene) return;
    const [[left0, y0], [right0, y1]] = this.scene.bounds, box = this.board.getBoundingClientRect();
    const x0 = this.scene.axial ? Math.min(left0, 0) : left0, x1 = this.scene.axial ? Math.max(right0, 0) : right0;
    // between the scale above and the buttons below, and either above the lens or left of it
    const room = (wide, tall) => Math.min((0.88 * wide) / Math.max(x1 - x0, 1e-7), tall / Math.max(y1 - y0, 1e-7));
    const wide = box.width, tall = box.height - TOP - BELOW, lens = this.lens.offsetWidth || 150;
    const above = [room(wide, box.height - TOP - lens - 50), 0, lens + 50 - BELOW], left = [room(wide - lens - 20, tall), lens + 20, 0];
    const [scale, aside, under] = !this.dense ? [room(wide, tall), 0, 0] : above[0] > left[0] ? above : left;
    this.view = { x: (x0 + x1) / 2 + aside / 2 / scale, y: (y0 + y1) / 2 - (under + BELOW - TOP) / 2 / scale, scale };
    this.show();
  }

  // Another answer: the scene as it stands, the field as it was solved.
  seen({ scene, field, maps = {}, lines = [], kind }, numbers, fresh) {
    const count = scene.parts.length;
    this.scene = scene;
    this.flux = lines;
    if (field) { this.field = field; this.numbers = numbers; this.dense = densest(field, numbers); this.sizes = scene.parts.map(sizeOfPart); }
    let first = field ? sizeOf(field) : 0;
    for (const [name, map] of Object.entries(maps)) {
      this.maps[name] = { ...map, numbers: map.field && numbers.subarray(first) };
      first += map.field ? sizeOf(map.field) : 0;
    }
    for (const [name, map] of Object.entries(this.maps)) // only colours lag behind the hand
      if ((kind === "settled" && field && !maps[name]) || (map.field && map.field.parts.length !== count)) delete this.maps[name];
    if (fresh || !this.own) this.whole(); else this.show();
  }

  rowOf(event) {
    const group = event.target.closest?.("g[data-row]");
    return group ? Number(group.dataset.row) : null;
  }

  take(event) {
    if (event.button) return;
    const row = this.rowOf(event), [x, y] = this.place(event);
    this.svg.setPointerCapture(event.pointerId);
    this.held = row === null ? { pan: [event.clientX, event.clientY], from: { ...this.view } }
      : { row, x, y, by: [0, 0], start: this.lowOf(row), moved: false };
    this.choose(row, row === null ? null : event.target.closest("g[data-row]").dataset.part ?? event.target.closest("g[data-row]").dataset.name);
  }

  lowOf(row) {
    const part = this.scene.parts.find((p) => p.row === row);
    return part ? [...part.low] : [0, 0];
  }

  carry(event) {
    const held = this.held;
    if (!held) return;
    if (held.pan) {
      this.own = true;
      this.view.x = held.from.x - (event.clientX - held.pan[0]) / this.view.scale;
      this.view.y = held.from.y + (event.clientY - held.pan[1]) / this.view.scale;
      this.show();
      return;
    }
    const [x, y] = this.place(event);
    held.by = [x - held.x, y - held.y];
    held.moved ||= Math.hypot(...held.by) * this.view.scale > 3;
    this.own ||= held.moved; // the board is not to slide away under the hand
    if (held.moved) { this.sendMove(false); this.show(); }
  }

  // One move is under way at most; the newest follows its answer.
  sendMove(end) {
    const held = this.held;
    if (this.waiting && !end) { held.again = true; return; }
    held.again = false;
    this.waiting = true;
    this.ask({ do: "move", row: held.row, by: held.by, near: NEAR / this.view.scale, grid: this.grid, end });
  }

  get grid() { return 10 ** Math.floor(Math.log10(30 / this.view.scale)) / 2; }

  moveTaken(lines) {
    this.waiting = false;
    this.lines = (this.held?.moved && lines) || []; // guides go when the hand lets go
    if (this.held?.again) this.sendMove(false);
  }

  drop() {
    const held = this.held;
    if (held && !held.pan && held.moved) this.sendMove(true);
    this.held = null;
    this.lines = [];
    this.show();
  }

  nudge(row, dx, dy, coarse) {
    const step = STEP * (coarse ? 10 : 1);
    this.ask({ do: "move", row, by: [dx * step, dy * step], end: true });
  }

  // How far a part is from where its scene has it: while the hand carries it, the answer lags.
  lag(row) {
    const held = this.held;
    if (!held || held.pan || held.row !== row || !held.moved) return [0, 0];
    const at = this.lowOf(row), near = NEAR / this.view.scale;
    const off = [0, 1].map((k) => held.by[k] - (at[k] - held.start[k]));
    return off.map((d) => (Math.abs(d) < near ? 0 : d));
  }

  show() {
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => { this.frame = 0; this.render(); });
  }

  render() {
    const box = this.board.getBoundingClientRect(), ratio = window.devicePixelRatio || 1;
    if (!this.scene || !box.width) return;
    const width = Math.round(box.width * ratio), height = Math.round(box.height * ratio);
    if (this.canvas.width !== width || this.canvas.height !== height) Object.assign(this.canvas, { width, height });
    const middles = this.scene.parts.map((p) => {
      const [dx, dy] = this.lag(p.row);
      return [(p.low[0] + p.high[0]) / 2 + dx, (p.low[1] + p.high[1]) / 2 + dy];
    });
    const outlines = this.scene.parts.map((p) => ({ path: pathOf(p), move: this.lag(p.row), mirror: this.scene.axial && p.low[0] < 0 }));
    const began = performance.now();
    // a section at fault may have other shapes than those the field was solved in
    const same = this.field && this.field.parts.length === this.scene.parts.length
      && this.scene.parts.every((p, n) => sizeOfPart(p).every((size, k) => Math.abs(size - this.sizes[n][k]) < 1e-8));
    const [field, numbers] = ["loss", "temperature"].includes(this.kind) ? [this.maps[this.kind]?.field, this.maps[this.kind]?.numbers] : same && this.kind !== "flux" ? [this.field, this.numbers] : [null, null];
    paint(this.canvas.getContext("2d"), { ...this.view, scale: this.view.scale * ratio }, field, numbers, middles, this.kind, outlines);
    this.paintTime = performance.now() - began;
    this.renderLens(same && ["density", "phase"].includes(this.kind) && this.dense, middles, outlines, ratio);
    legend(document.getElementById("legend"), this.kind, this.kind === "phase" ? same && this.field : field);
    this.renderParts(box);
    this.board.dataset.painted = String(Number(this.board.dataset.painted ?? 0) + 1);
  }

  renderLens(show, middles, outlines, ratio) {
    const says = document.getElementById("lens-says");
    this.lens.hidden = says.hidden = !show;
    this.spot = null;
    if (!show) return;
    const size = Math.round(this.lens.offsetWidth * ratio);
    if (this.lens.width !== size) Object.assign(this.lens, { width: size, height: size });
    const [mx, my] = middles[this.dense.part], reach = Math.min(this.lensReach ?? 1e-3, Math.max(...sizeOfPart(this.scene.parts[this.dense.part])) / 4);
    this.spot = [mx + this.dense.at[0], my + this.dense.at[1]];
    const view = { x: this.spot[0], y: this.spot[1], scale: size / reach };
    paint(this.lens.getContext("2d"), view, this.field, this.numbers, middles, this.kind, outlines);
    says.textContent = `ring: ${length(reach)} wide`;
  }

  renderParts(box) {
    const { x, y, scale } = this.view, s = scale / 1e3; // drawn in mm
    this.svg.setAttribute("viewBox", `0 0 ${box.width} ${box.height}`);
    const focused = document.activeElement?.closest?.("#draw g[data-row]")?.dataset.name;
    const turn = `translate(${box.width / 2 - x * scale} ${box.height / 2 + y * scale}) scale(${s})`;
    const middle = (this.scene.bounds[0][1] + this.scene.bounds[1][1]) / 2;
    const warm = this.kind === "temperature" ? Object.fromEntries((this.maps.temperature?.rows ?? []).map((r) => [r.name, ` ${r.hottest.toFixed(1)} \u00b0C`])) : {};
    const labels = [];
    const groups = this.scene.parts.map((part) => {
      const [dx, dy] = this.lag(part.row), move = `translate(${dx * 1e3} ${-dy * 1e3})`;
      const role = part.way ? `carries ${part.circuit} ${part.way}` : "in no circuit";
      const group = shape("g", { "data-row": part.row ?? "", "data-name": part.name, tabindex: 0, role: "button",
        "aria-label": `${part.name}, ${part.metal}, ${role}`, class: part.row === this.chosen ? "chosen" : "" },
        shape("path", { d: pathOf(part), transform: `${turn} ${move}`, "fill-rule": "evenodd" }));
      const below = part.high[1] + part.low[1] < middle * 2 - 1e-9;
      const sign = { out: "\u2299 ", back: "\u2297 " }[part.way] ?? "";
      const seen = (part.high[0] - part.low[0] + part.high[1] - part.low[1]) * scale;
      if (seen > CROWDED || part.row === this.chosen) group.append(label(sign + part.name + (warm[part.name] ?? ""), box.width / 2 + ((part.low[0] + part.high[0]) / 2 + dx - x) * scale,
        box.height / 2 - (part.high[1] + dy - y) * scale - 5, box.height / 2 - (part.low[1] + dy - y) * scale + 14, below, labels));
      return group;
    });
    const guides = this.lines.map(({ axis, at }) => axis
      ? shape("line", { class: "guide", x1: 0, x2: box.width, y1: box.height / 2 - (at - y) * scale, y2: box.height / 2 - (at - y) * scale })
      : shape("line", { class: "guide", y1: 0, y2: box.height, x1: box.width / 2 + (at - x) * scale, x2: box.width / 2 + (at - x) * scale }));
    const flux = this.kind === "flux" && !this.held?.moved ? this.flux.map((flat) => {
      let points = "";
      for (let k = 0; k < flat.length; k += 2) points += `${flat[k] * 1e3},${-flat[k + 1] * 1e3} `;
      return shape("polyline", { points, transform: turn });
    }) : [];
    const ring = this.spot ? [shape("circle", { class: "spot", r: 7, cx: box.width / 2 + (this.spot[0] - x) * scale, cy: box.height / 2 - (this.spot[1] - y) * scale })] : [];
    const axis = this.scene.axial ? [shape("line", { class: "axis", y1: 0, y2: box.height, x1: box.width / 2 - x * scale, x2: box.width / 2 - x * scale }),
      shape("text", { x: box.width / 2 - x * scale + 4, y: box.height / 2 }, "axis")] : [];
    // a tube is held by its bore as well, wherever nothing else stands in it
    const bores = this.scene.parts.filter((part) => part.outlines.length > 1).map((part) => shape("g", { "data-row": part.row ?? "", "data-part": part.name, "aria-hidden": "true" }, shape("path", { class: "bore", d: pathOf({ outlines: part.outlines.slice(0, 1) }), transform: turn })));
    this.svg.replaceChildren(...axis, ...bores, ...flux, ...groups, ...guides, ...ring);
    if (focused) this.svg.querySelector(`g[data-name="${CSS.escape(focused)}"]`)?.focus();
    const most = 110 / scale, ten = 10 ** Math.floor(Math.log10(most)), round = [5, 2, 1].find((k) => k * ten <= most) * ten;
    const scaled = document.getElementById("scale");
    scaled.textContent = length(round);
    scaled.style.width = `${round * scale}px`;
  }
}

const three = (value) => Number(value.toPrecision(3));

// What the colours mean.
export function legend(box, kind, field, top = null) {
  const said = { flux: "flux lines when the first current is at its crest", phase: "\u2212180\u00b0|phase of the current density|180\u00b0" }[kind];
  const canvas = box.querySelector("canvas"), words = box.querySelector("p");
  canvas.hidden = !field || kind === "none" || kind === "flux";
  box.hidden = kind === "none" || (!said && !field);
  if (box.hidden) return;
  if (!canvas.hidden) strip(canvas, kind);
  const [low, high] = field ? ends(field, kind) : [0, 1], most = top ?? high;
  const text = said ?? { density: `0|${three(most / 4e6)}|${three(most / 1e6)} A/mm\u00b2 rms`, loss: `0|${three(high / 2e6)}|${three(high / 1e6)} W/cm\u00b3`,
    temperature: `${low.toFixed(1)}|${((low + high) / 2).toFixed(1)}|${high.toFixed(1)} \u00b0C` }[kind];
  words.replaceChildren(...text.split("|").map((one) => Object.assign(document.createElement("span"), { textContent: one })));
}
