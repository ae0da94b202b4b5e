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

const HIDDEN = new Set(["name", "shape", "place", "repeat", "points", "holes", "clad"]);

export const written = (value) => (typeof value === "string" ? value : JSON.stringify(value));
const bare = (sample) => sample.replace(/^"(.*)"$/, "$1");

export function partForm(tables, row, ask, faults, offered, circuits, actions, part, gaps) {
  const table = tables.conductor?.[row];
  if (!table) return [];
  const place = (...key) => ["conductor", row, ...key], fields = [];
  const add = (key, label, value, where, choices) =>
    fields.push(field(label, value, (typed) => ask({ do: "set", place: where, value: typed }), { choices, key, faults: faultsOf(faults, table.name, key) }));
  add("name", "name", table.name, place("name"));
  for (const [key, value] of Object.entries(table)) {
    if (HIDDEN.has(key)) continue;
    if (key === "material") add(key, key, value, place(key), offered.metals);
    else if (key === "centre" && Array.isArray(value)) value.forEach((v, k) => add(key, k ? "centre y" : "centre x", v, place("centre", k)));
    else if (key === "plating") value.forEach((coat, k) => {
      add(`plating ${k + 1} material`, `coat ${k + 1}`, coat.material, place("plating", k, "material"), offered.metals);
      add(`plating ${k + 1} thickness`, `coat ${k + 1} thickness`, coat.thickness, place("plating", k, "thickness"));
    });
    else if (typeof value === "string") add(key, key, value, place(key));
    else fields.push(field(key, written(value), (typed) => ask({ do: "write", place: place(key), toml: typed }), { key, faults: faultsOf(faults, table.name, key) }));
  }
  for (const { other, words } of gaps) fields.push(field(`gap to ${other}`, words, (typed) => ask({ do: "gap", row, other, gap: typed })));
  if (table.place) for (const [key, value] of Object.entries(table.place)) add(`place ${key}`, `place ${key}`, value, place("place", key));
  const missing = (offered.shapes[table.shape] ?? []).filter((one) => !(one.key in table) && !(one.key === "centre" && table.place));
  const adding = make("label", {}, "add", make("select", { onchange: (e) => {
    const key = missing.find((one) => one.key === e.target.value);
    if (key) ask({ do: "write", place: place(key.key), toml: key.sample });
  } }, make("option", { value: "" }, "edge radius, plating, turn and more"), ...missing.map((one) => make("option", { value: one.key, title: one.meaning }, `${one.key}: ${one.sample}`))));
  const carrying = make("label", {}, "carries", make("select", { onchange: (e) => {
    const [way, ...name] = e.target.value.split(" ");
    ask({ do: "carry", row, part, circuit: name.join(" ") || "feed", way: way === "none" ? "" : way });
  } }, ...carried(circuits, part ?? table.name, table.name)));
  return [make("h2", {}, `${part ?? table.name}: ${table.shape}${part ? `, one of those that ${table.name} stands for` : ""}`), make("div", { class: "fields" }, ...fields, tables.coil ? "" : carrying, adding), make("div", { class: "acts" }, ...actions)];
}

const faultsOf = (faults, name, key) => faults.filter((f) => f.place === `conductor "${name}"` && (f.key === key || f.key.split(" ")[0] === key));

// The case: its title and currents, and whatever further question one wants to ask of it.
export function caseForm(tables, ask, faults, offered, opened, open, alone) {
  const plain = (key, hint) => field(key, tables[key] ?? "", (typed) => ask({ do: "set", place: [key], value: typed }), { key, hint, faults: faults.filter((f) => !f.place && f.key === key) });
  const fields = [plain("title"), plain("ambient", "20 degC"), ...(tables.symmetry === "axial" ? [] : [plain("length", "e.g. 2.4 m")])];
  for (const table of ["circuit", "coil"]) (tables[table] ?? []).forEach((c, k) => {
    for (const key of few(tables) ? ["phase"] : ["current", "phase"]) fields.push(field(`${key} of ${c.name}`, c[key] ?? "", (typed) => ask({ do: "set", place: [table, k, key], value: typed }), { key, hint: key === "phase" ? "0 deg" : "e.g. 100 A", faults: faults.filter((f) => f.place === `${table} "${c.name}"` && f.key === key) }));
  });
  for (const [name, value] of Object.entries(tables.named ?? {})) fields.push(field(`named ${name}`, written(value), (typed) => ask({ do: "set", place: ["named", name], value: typed })));
  const choose = make("label", {}, "also", make("select", { id: "also", onchange: (e) => open(e.target.value) }, make("option", { value: "" }, "limits, temperature, fault, report and more"),
    ...Object.entries(offered.tables).map(([name, t]) => make("option", { value: name, selected: name === opened }, `${name}: ${t.meaning}`))));
  return [make("h2", {}, "The case"), make("div", { class: "fields" }, ...fields, choose), ...tableForm(tables, ask, faults, offered.tables[opened], opened),
    alone ? make("p", { class: "bar" }, "Choose a part to see its dimensions: click it, or Tab and Enter.") : ""];
}

// Of few circuits the currents stand beside the frequency.
const MOST = 3;
const few = (tables) => (tables.circuit ?? []).length + (tables.coil ?? []).length <= MOST;

export function currents(tables, ask, faults) {
  return !few(tables) ? [] : ["circuit", "coil"].flatMap((table) => (tables[table] ?? []).map((c, k) => field(`current of ${c.name}`, c.current ?? "", (typed) => ask({ do: "set", place: [table, k, "current"], value: typed }),
    { key: "current", hint: "e.g. 100 A", faults: faults.filter((f) => f.place === `${table} "${c.name}"` && f.key === "current") })));
}

const SAID = { cooling: "The figures settle at the temperatures that follow; Shown has a map of them, Run tells more.", water: "The figures settle at the temperatures that follow; Shown has a map of them, Run tells more.",
  frequency: "The line above looks at one frequency; Run answers all of these.", accuracy: "The figures settle as closely as this asks." };

function tableForm(tables, ask, faults, table, name) {
  if (!table) return [];
  const list = table.heading.startsWith("[["), inside = list ? [name, 0] : [name], now = list ? tables[name]?.[0] : tables[name];
  const fields = table.keys.map((one) => field(one.key, now?.[one.key] === undefined ? "" : written(now[one.key]), (typed) => ask({ do: "write", place: [...inside, one.key], toml: typed }),
    { id: `f-${name}-${one.key}`, key: one.key, hint: `e.g. ${bare(one.sample)}`, title: one.meaning, faults: faults.filter((f) => f.place.startsWith(name) && f.key.split(" ")[0] === one.key) }));
  return [make("h2", {}, table.heading), make("div", { class: "fields" }, ...fields), make("p", { class: "bar" }, SAID[name] ?? "Run answers these; the figures beside the section do not change with them.")];
}

function carried(circuits, name, row) {
  const is = (c, way) => (c[way] ?? []).some((word) => word === name || word === row || word === `${row}.*` || word.startsWith(`${name}.`));
  const ways = (c) => ["out", "back"].map((way) => make("option", { value: `${way} ${c.name}`, selected: is(c, way) }, `${c.name}, ${way}`));
  const free = ["feed", ...Array.from({ length: circuits.length }, (_, k) => `feed-${k + 2}`)].find((one) => !circuits.some((c) => c.name === one));
  return [make("option", { value: "none" }, "no circuit"), ...circuits.flatMap(ways), ...["out", "back"].map((way) => make("option", { value: `${way} ${free}` }, `new circuit ${free}, ${way}`))];
}

export function field(label, value, typed, { id = `f-${label.replace(/\W/g, "-")}`, choices, key, hint, title, faults = [] } = {}) {
  const input = choices
    ? make("select", { id, onchange: (e) => typed(e.target.value) }, ...[...new Set([value, ...choices])].map((one) => make("option", { selected: one === value }, one)))
    : make("input", { id, type: "text", value, placeholder: hint, size: Math.min(40, Math.max(8, String(value).length, Math.min(16, (hint ?? "").length))), spellcheck: "false", onchange: (e) => { e.target.defaultValue = e.target.value; typed(e.target.value); } });
  return wronged(make("label", { for: id, title, "data-key": key }, label, input), faults);
}

// Faults under their field, in the words of the command line.
function wronged(label, faults) {
  for (const old of label.querySelectorAll(".fault")) old.remove();
  const input = label.querySelector("input, select");
  if (faults.length) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
  label.append(...faults.map((f) => make("span", { class: "fault" }, f.words.split(": ").slice(1).join(": "))));
  return label;
}

// The same for a form that is being typed in, and is not to be made anew under the hand.
export function markFaults(form, name, faults) {
  for (const label of form.querySelectorAll("label[data-key]")) wronged(label, name === null ? faults.filter((f) => f.key.split(" ")[0] === label.dataset.key) : faultsOf(faults, name, label.dataset.key));
}
