// Fields, buttons, lists: small pieces of the page made from plain words.

export function make(name, attributes = {}, ...inside) {
  const found = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) found.addEventListener(key.slice(2), value);
    else if (value === true) found.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) found.setAttribute(key, value);
  }
  found.append(...inside.filter((one) => one !== null && one !== undefined));
  return found;
}

export const button = (words, act, more = {}) => make("button", { type: "button", onclick: act, ...more }, words);

// What may be added to each shape beside what stands there.
const MORE = ["edge_radius", "turn", "temperature", "roughness", "centre"];
const HIDDEN = new Set(["name", "place", "repeat", "points", "holes", "clad"]);
const SHAPES = { bar: ["width", "thickness"], round: ["diameter"], tube: ["diameter", "wall"], box: ["width", "thickness", "wall"],
  angle: ["width", "height", "thickness"], channel: ["width", "height", "thickness"] };

export function partForm(tables, row, ask, faults, metals, circuits, actions) {
  const table = tables.conductor?.[row];
  if (!table) return [];
  const place = (key) => ["conductor", row, ...key], fields = [];
  const own = faults.filter((f) => f.place === `conductor "${table.name}"`);
  const add = (label, value, where, choices) => {
    const wrong = own.filter((f) => f.key === label || f.key.endsWith(` ${label}`));
    fields.push(field(label, value, (typed) => ask({ do: "set", place: where, value: typed }), choices, wrong));
  };
  add("name", table.name, place(["name"]));
  for (const [key, value] of Object.entries(table)) {
    if (HIDDEN.has(key)) continue;
    if (key === "material") add(key, value, place([key]), metals);
    else if (key === "centre" && Array.isArray(value)) value.forEach((v, k) => add(k ? "centre y" : "centre x", v, place(["centre", k])));
    else if (typeof value === "string" && key !== "shape") add(key, value, place([key]));
    else if (key === "plating") value.forEach((coat, k) => { add(`coat ${k + 1}`, coat.material, place(["plating", k, "material"]), metals); add(`coat ${k + 1} thickness`, coat.thickness, place(["plating", k, "thickness"])); });
  }
  if (table.place) for (const [key, value] of Object.entries(table.place)) add(`place ${key}`, value, place(["place", key]));
  const missing = [...(SHAPES[table.shape] ?? []), ...MORE].filter((key) => !(key in table) && !(key === "centre" && table.place));
  const adding = make("label", {}, "add", make("select", { onchange: (e) => {
    const key = e.target.value;
    const first = { edge_radius: "0.5 mm", turn: "90 deg", temperature: "70 degC", roughness: "0.4 um", centre: ["0 mm", "0 mm"], plating: null };
    if (key === "plating") ask({ do: "set", place: place(["plating"]), value: [] });
    else if (key) ask({ do: "set", place: place([key]), value: first[key] ?? "5 mm" });
  } }, make("option", { value: "" }, "a further key"), ...missing.map((key) => make("option", { value: key }, key))));
  const carrying = make("label", {}, "carries", make("select", { onchange: (e) => {
    const [way, ...name] = e.target.value.split(" ");
    ask({ do: "carry", row, circuit: name.join(" ") || "feed", way: way === "none" ? "" : way });
  } }, ...carried(circuits, table.name)));
  return [make("h2", {}, `${table.name}: ${table.shape}`), make("div", { class: "fields" }, ...fields, carrying, adding), make("div", { class: "acts" }, ...actions)];
}

function carried(circuits, name) {
  const names = circuits.length ? circuits.map((c) => c.name) : ["feed"];
  const is = (c, way) => (c?.[way] ?? []).some((word) => word === name || word.startsWith(`${name}.`));
  const found = [make("option", { value: "none" }, "no circuit")];
  for (const one of names) for (const way of ["out", "back"]) {
    const circuit = circuits.find((c) => c.name === one);
    found.push(make("option", { value: `${way} ${one}`, selected: is(circuit, way) }, `${one}, ${way}`));
  }
  return found;
}

export function field(label, value, typed, choices, wrong = []) {
  const id = `f-${label.replace(/\W/g, "-")}`;
  const input = choices
    ? make("select", { id, onchange: (e) => typed(e.target.value) }, ...[...new Set([value, ...choices])].map((one) => make("option", { selected: one === value }, one)))
    : make("input", { id, type: "text", value, size: Math.max(8, String(value).length), spellcheck: "false", onchange: (e) => typed(e.target.value) });
  if (wrong.length) input.setAttribute("aria-invalid", "true");
  return make("label", { for: id }, label, input, ...wrong.map((f) => make("span", { class: "fault" }, f.words.split(": ").slice(1).join(": "))));
}
