// Designs side by side: sections to one scale, currents in one range of colours, figures with their differences.

import { legend, pathOf } from "./draw.js";
import { button, make } from "./forms.js";
import { paint } from "./paint.js";
import { engineering, length, percent } from "./units.js";

const MOST = 4, MARGIN = 0.86; // designs at once; share of a picture that the largest section takes

export class Comparison {
  constructor(box, ask, now) {
    this.box = box;
    this.ask = ask;
    this.now = now; // what stands on the board: { title, scene, figures, frequency, field, numbers }
    this.known = new Map(); // fields of pinned designs by their numbers
    this.asked = new Map(); // stamps of those that were asked for
    this.out = new Set(); // designs that are not to be seen
    this.against = "now";
    new ResizeObserver(() => this.render()).observe(box);
  }

  hear(words, numbers) {
    this.known.set(words.pin, { ...words, numbers });
    this.show();
  }

  // Everything anew, from the pins as the board has them.
  show(pins = this.pins ?? []) {
    this.pins = pins;
    if (this.box.hidden) return;
    const wanted = pins.filter((pin) => this.asked.get(pin.pin) !== pin.stamp);
    for (const pin of wanted) this.asked.set(pin.pin, pin.stamp);
    if (wanted.length) this.ask({ do: "compare", pins: wanted.map((pin) => pin.pin) });
    const now = this.now(), focused = document.activeElement?.id;
    const all = [...(now ? [{ ...now, key: "now", title: "now" }] : []), ...pins.map((pin) => ({ ...this.known.get(pin.pin), ...pin, key: String(pin.pin), title: `design ${pin.pin}` }))];
    const seen = all.filter((one) => one.scene && !this.out.has(one.key)).slice(0, MOST);
    if (!seen.some((one) => one.key === this.against)) this.against = seen[0]?.key;
    const boxes = all.map((one) => make("label", {}, make("input", { type: "checkbox", id: `seen-${one.key}`, checked: seen.includes(one), onchange: (e) => { this.out[e.target.checked ? "delete" : "add"](one.key); this.show(); } }), ` ${one.title}`));
    const against = make("label", {}, "differences against ", make("select", { id: "against", onchange: (e) => { this.against = e.target.value; this.show(); } }, ...seen.map((one) => make("option", { value: one.key, selected: one.key === this.against }, one.title))));
    this.seen = seen;
    this.canvases = seen.map((one) => make("canvas", { role: "img", "aria-label": `section of ${one.title} with its current density` }));
    this.legend = make("div", { class: "legend" }, make("canvas", { width: 180, height: 9, "aria-hidden": "true" }), make("p"));
    this.scale = make("p", { class: "bar" });
    this.box.replaceChildren(
      make("div", { class: "acts" }, make("h2", {}, "Side by side"), ...boxes, against, button("Close", () => this.close(), { id: "compare-close", title: "Esc" })),
      make("div", { class: "sides" }, ...seen.map((one, k) => make("figure", {}, this.canvases[k], make("figcaption", {}, one.title)))),
      make("div", { class: "acts" }, this.legend, this.scale), this.table(seen));
    if (focused && this.box.querySelector(`#${CSS.escape(focused)}`)) document.getElementById(focused).focus();
    this.render();
  }

  table(seen) {
    const first = seen.find((one) => one.key === this.against), rows = new Map();
    const put = (name, key, value, words) => { if (value === null || value === undefined) return; if (!rows.has(name)) rows.set(name, new Map()); rows.get(name).set(key, [value, words]); };
    for (const one of seen) {
      const f = one.figures, per = one.scene.axial ? "" : "/m";
      if (!f) continue;
      for (const c of f.circuits) {
        put(`R of ${c.name}`, one.key, c.resistance, engineering(c.resistance, `ohm${per}`));
        put(`L of ${c.name}`, one.key, c.inductance, engineering(c.inductance, `H${per}`));
        put(`current of ${c.name}`, one.key, c.current, `${engineering(c.current, "A")} rms`);
      }
      put("loss of all", one.key, f.total, engineering(f.total, `W${per}`));
      put("mass of the metal", one.key, f.mass, engineering(f.mass && f.mass * 1e3, `g${per}`));
      const gap = Math.min(...one.scene.gaps.map((g) => g.gap));
      if (Number.isFinite(gap)) put("smallest gap", one.key, gap, length(gap));
      put("frequency", one.key, one.frequency, engineering(one.frequency, "Hz"));
    }
    const cell = (values, one) => {
      const [value, words] = values.get(one.key) ?? [], [base] = values.get(first?.key) ?? [];
      const differs = one !== first && base && value !== undefined && one.frequency === first.frequency;
      return make("td", {}, words ?? "none", differs && Math.abs(value / base - 1) >= 5e-4 ? make("span", { class: "bar" }, ` ${percent(value / base)}`) : null);
    };
    const body = [...rows].filter(([name, values]) => name !== "frequency" || new Set([...values.values()].map(([v]) => v)).size > 1)
      .map(([name, values]) => make("tr", {}, make("th", { scope: "row" }, name), ...seen.map((one) => cell(values, one))));
    const unsettled = seen.filter((one) => one.kind !== "settled").map((one) => one.title);
    return make("div", { class: "wide", tabindex: 0, role: "region", "aria-label": "figures side by side" }, make("table", {}, make("thead", {}, make("tr", {}, make("td", {}), ...seen.map((one) => make("th", { scope: "col" }, one.title)))), make("tbody", {}, ...body)),
      unsettled.length ? make("p", { class: "bar" }, `Not settled yet, about 1 %: ${unsettled.join(", ")}.`) : null);
  }

  render() {
    if (this.box.hidden || !this.seen?.length) return;
    const ratio = window.devicePixelRatio || 1, size = this.canvases.map((c) => c.getBoundingClientRect());
    const scale = Math.min(...this.seen.map(({ scene: { bounds: [[x0, y0], [x1, y1]] } }, k) => MARGIN * Math.min(size[k].width / (x1 - x0), size[k].height / (y1 - y0))));
    const top = Math.max(...this.seen.map((one) => one.field?.high ?? 0)) || 1;
    this.seen.forEach((one, k) => {
      const canvas = this.canvases[k], [[x0, y0], [x1, y1]] = one.scene.bounds;
      Object.assign(canvas, { width: Math.round(size[k].width * ratio), height: Math.round(size[k].height * ratio) });
      const view = { x: (x0 + x1) / 2, y: (y0 + y1) / 2, scale: scale * ratio }, context = canvas.getContext("2d");
      const outlines = one.scene.parts.map((p) => ({ path: pathOf(p), move: [0, 0], mirror: one.scene.axial && p.low[0] < 0 }));
      const whole = one.field?.parts.length === one.scene.parts.length;
      paint(context, view, whole ? one.field : null, one.numbers, one.scene.parts.map((p) => [(p.low[0] + p.high[0]) / 2, (p.low[1] + p.high[1]) / 2]), "density", outlines, top);
      context.strokeStyle = getComputedStyle(this.box).color;
      for (const { path } of outlines) {
        const s = view.scale / 1e3;
        context.setTransform(s, 0, 0, s, -view.x * view.scale + canvas.width / 2, canvas.height / 2 + view.y * view.scale);
        context.lineWidth = ratio / s;
        context.stroke(new Path2D(path));
      }
    });
    const at = [...new Set(this.seen.map((one) => engineering(one.frequency, "Hz")))].join(" and ");
    legend(this.legend, "density", this.seen.find((one) => one.field)?.field, top);
    this.scale.textContent = `One scale and one range of colours for all; ${at}.`;
  }

  toggle() {
    if (!this.box.hidden) { this.close(); return; }
    this.opener = document.activeElement;
    this.box.hidden = false;
    document.body.classList.add("comparing");
    this.show();
    document.getElementById("compare-close").focus();
  }

  close() {
    this.box.hidden = true;
    document.body.classList.remove("comparing");
    (this.opener?.isConnected ? this.opener : document.getElementById("pin")).focus();
  }
}
