// Fields, buttons, lists: small pieces of the page made from plain words.

// One sign for each on the page; a case file has the others.
export const signs = (words) => words.replaceAll("+-", "\u00b1").replaceAll("degC", "\u00b0C");
const typable = (words) => words.replaceAll("\u00b1", "+-").replaceAll("\u00b0C", "degC");

export function make(name, attributes = {}, ...inside) {
  const found = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) found.addEventListener(key.slice(2), value);
    else if (value === true) found.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) found.setAttribute(key, value);
  }
  found.append(...inside.filter((one) => one !== null && one !== undefined).map((one) => (typeof one === "string" ? signs(one) : one)));
  return found;
}

export const button = (words, act, more = {}) => make("button", { type: "button", onclick: act, ...more }, words);

const plain = (value) => (typeof value === "string" ? value : JSON.stringify(value));
const bare = (sample) => sample.replace(/^"(.*)"$/, "$1");
const first = (words) => words.slice(0, 1).toUpperCase() + words.slice(1);
const idOf = (place) => `f-${place.join("-").replace(/[^\w-]/g, "-")}`;

// Names that a field asks for are chosen among those of the case.
function choicesOf(one, tables, metals) {
  const names = (table) => (tables[table] ?? []).map((row) => row.name).filter(Boolean);
  if (one.key === "material") return metals;
  if (one.takes !== "text") return null;
  return { circuit: [...names("circuit"), ...names("coil")], coil: names("coil"), piece: names("conductor") }[one.key] ?? null;
}

// A list is typed with commas between; brackets are taken as they stand.
function listed(typed, one) {
  if (!typed.trim() || typed.trim().startsWith("[")) return typed;
  const quoted = one.sample.includes('"');
  return `[${typed.split(",").map((word) => (quoted ? JSON.stringify(word.trim()) : word.trim())).join(", ")}]`;
}

// What is chosen here is done at once: arrows open the list, and do not choose on their way through it.
const opens = (e) => { if (["ArrowDown", "ArrowUp"].includes(e.key) && !e.altKey) { e.preventDefault(); e.target.showPicker?.(); } };

export class Forms {
  constructor(ask, again) {
    this.ask = ask;
    this.again = again; // make the forms anew, and go to a field
    this.opened = new Set(); // keys that are not in the case, but are to be seen
    this.tables = {};
    this.faults = [];
  }

  know(tables, faults, offered) {
    Object.assign(this, { tables, faults, offered, metals: [...offered.metals, ...Object.keys(tables.material ?? {})] });
  }

  // What is wrong at one of several names of a place and a key of it; of a gap, what names both parts.
  wrong(places, key) {
    if (key === "between") return this.faults.filter((f) => !f.place && places.every((name) => f.what.includes(`"${name}"`)));
    return this.faults.filter((f) => places.includes(f.place) && (f.key === key || f.key.split(" ")[0] === key));
  }

  field(label, value, typed, { id = `f-${label.replace(/\W/g, "-")}`, choices, key = "", places = [""], hint, help } = {}) {
    const said = (words) => typed(typable(words)), shown = signs(String(value ?? ""));
    const options = choices && [...new Set(["", shown, ...choices])].filter((one) => one !== "" || !shown || hint !== undefined);
    const input = choices
      ? make("select", { id, "data-help": help, onchange: (e) => said(e.target.value) }, ...options.map((one) => make("option", { value: one, selected: one === shown }, one === "true" ? "yes" : one || "as it comes")))
      : make("input", { id, type: "text", value: shown, placeholder: hint && signs(hint), "data-help": help, size: Math.min(40, Math.max(8, shown.length, Math.min(16, (hint ?? "").length))), spellcheck: "false", onchange: (e) => { e.target.defaultValue = e.target.value; said(e.target.value); } });
    return wronged(make("label", { for: id, "data-key": key, "data-places": places.join("\n") }, label, input), this.wrong(places, key));
  }

  // A key of the case file as a field, or what stands inside it as fields of its own.
  key(one, now, place, places, prefix = "") {
    const value = now?.[one.key], where = [...place, one.key], key = prefix + one.key;
    const more = { id: idOf(where), key, places, hint: one.sample.startsWith("[{") ? "" : `e.g. ${bare(one.takes === "list" ? one.sample.replace(/[[\]"]/g, "") : one.sample)}`, help: `${first(one.label)}: ${one.meaning}` };
    if (one.takes === "rows") return this.rows(one, value ?? [], where, places, key);
    if (one.takes === "table") return value === undefined
      ? button(`Ask for ${one.label}`, () => this.ask({ do: "write", place: where, toml: one.sample }), { id: idOf(where), "data-help": more.help })
      : make("fieldset", {}, make("legend", {}, one.label), ...this.keys(one.keys, value, where, places, `${key} `), button("Remove", () => this.ask({ do: "set", place: where, value: "" }), { "aria-label": `Remove ${one.label}` }));
    const choices = one.takes === "choice" ? one.choices : choicesOf(one, this.tables, this.metals);
    const text = one.takes === "text" || (one.takes === "choice" && one.choices[0] !== "true");
    const typed = (words) => this.ask(text ? { do: "set", place: where, value: words } : { do: "write", place: where, toml: one.takes === "list" ? listed(words, one) : words });
    const shown = value === undefined ? "" : one.takes === "list" && Array.isArray(value) && value.every((v) => typeof v !== "object") ? value.join(", ") : plain(value);
    return this.field(one.label, shown, typed, { ...more, choices });
  }

  // Those that are set, needed or common; the others wait in a list.
  keys(all, now, place, places, prefix = "") {
    const fit = all.filter((one) => !one.axial || this.tables.symmetry === "axial" || now?.[one.key] !== undefined);
    const seen = (one) => now?.[one.key] !== undefined || one.needed || !one.apart || this.opened.has(idOf([...place, one.key]));
    const more = fit.filter((one) => !seen(one)), id = `${idOf(place)}-more`;
    const open = (e) => { const where = idOf([...place, e.target.value]); this.opened.add(where); this.again(where); };
    return [...fit.filter(seen).map((one) => this.key(one, now, place, places, prefix)),
      ...(more.length ? [make("label", { for: id }, "more", make("select", { id, onchange: open, onkeydown: opens }, make("option", { value: "" }, "choose what to add"), ...more.map((one) => make("option", { value: one.key }, `${one.label}: ${one.meaning}`))))] : [])];
  }

  // Every row of a list has its form; one more, one less.
  rows(one, rows, where, places, prefix = null) {
    const named = !Array.isArray(rows), table = where[0];
    const forms = Object.entries(rows).map(([k, row]) => {
      const at = named ? k : Number(k), name = named ? k : row.name ?? row.piece ?? `${one.label} ${at + 1}`;
      const own = prefix === null ? [`${table} "${row.name ?? k}"`, ...(named ? [] : [`${table} ${at + 1}`])] : places;
      const inside = this.keys(one.keys, row, [...where, at], own, prefix === null ? "" : `${prefix} ${at + 1} `);
      return make("fieldset", {}, make("legend", {}, name), ...inside, button("Remove", () => this.ask({ do: "set", place: [...where, at], value: "" }), { "aria-label": `Remove ${name}`, id: `${idOf([...where, at])}-remove` }));
    });
    return make("div", { class: "rows" }, ...forms, button(one.title ? `Add to ${one.title}` : `One more ${one.label}`, () => this.ask({ do: "row", place: where }), { id: `${idOf(where)}-add` }));
  }

  part(row, part, gaps, actions) {
    const table = this.tables.conductor?.[row], axial = this.tables.symmetry === "axial";
    if (!table) return [];
    const own = [`conductor "${table.name}"`, `conductor ${row + 1}`], place = (...key) => ["conductor", row, ...key], fields = [];
    const set = (where) => (typed) => this.ask({ do: "set", place: where, value: typed });
    const add = (label, value, where, key, more = {}) => fields.push(this.field(label, value, set(where), { id: `f-${key.replace(/\W/g, "-")}`, key, places: own, ...more }));
    add("name", table.name, place("name"), "name");
    for (const [key, value] of Object.entries(table)) {
      const one = this.offered.dimensions[key];
      if (["name", "shape", "points", "holes", "place"].includes(key)) continue;
      if (key === "centre" && Array.isArray(value)) value.forEach((v, k) => add(`centre ${(axial ? "rz" : "xy")[k]}`, v, place("centre", k), `centre ${"xy"[k]}`));
      else if (key === "material") add("metal", value, place(key), key, { choices: this.metals });
      else if (one && typeof value === "object") fields.push(this.key(one, table, place(), own));
      else if (one) fields.push(this.field(one.label, plain(value), (typed) => this.ask({ do: typeof value === "string" ? "set" : "write", place: place(key), [typeof value === "string" ? "value" : "toml"]: typed }), { id: `f-${key}`, key, places: own, choices: one.takes === "choice" ? one.choices : null, hint: "", help: `${first(one.label)}: ${one.meaning}` }));
      else add(key.replaceAll("_", " "), plain(value), place(key), key);
    }
    for (const { other, words } of gaps) fields.push(this.field(`gap to ${other}`, words, (typed) => this.ask({ do: "gap", row, other, gap: typed }), { key: "between", places: [part ?? table.name, other] }));
    const beside = { above: "stands above", below: "stands below", left_of: "stands left of", right_of: "stands right of", around: "stands around", inside: "stands inside", wall: "from the wall", align: "in line" };
    const sides = { wall: ["left", "right", "top", "bottom"], align: ["centre", "left", "right", "top", "bottom"] };
    for (const [key, value] of Object.entries(table.place ?? {})) add(beside[key] ?? key, value, place("place", key), `place ${key}`, { choices: sides[key] });
    const missing = this.offered.shapes[table.shape]?.filter((key) => !(key in table) && !(key === "centre" && table.place) && key !== "name").map((key) => this.offered.dimensions[key]).filter((one) => !one.axial || axial) ?? [];
    const adding = make("label", { for: "f-adding" }, "add", make("select", { id: "f-adding", onkeydown: opens, onchange: (e) => {
      const one = missing.find((k) => k.key === e.target.value);
      if (one) this.ask({ do: "write", place: place(one.key), toml: one.sample });
    } }, make("option", { value: "" }, "edge radius, coat, turn and more"), ...missing.map((one) => make("option", { value: one.key }, `${one.label}: ${one.meaning}`))));
    const circuits = this.tables.circuit ?? [];
    const carrying = make("label", { for: "f-carries" }, "carries", make("select", { id: "f-carries", onchange: (e) => {
      const [way, ...name] = e.target.value.split(" ");
      this.ask({ do: "carry", row, part, circuit: name.join(" ") || "feed", way: way === "none" ? "" : way });
    } }, ...carried(circuits, part ?? table.name, table.name)));
    const copies = table.repeat ? ` (${table.repeat.count} copies, which move together)` : "";
    return [make("h2", {}, `${part ?? table.name}: ${table.shape}${part ? `, one of those that ${table.name} stands for` : ""}${copies}`), make("div", { class: "fields" }, ...fields, this.tables.coil ? "" : carrying, adding), make("p", { class: "bar help" }), make("div", { class: "acts" }, ...actions)];
  }

  // The case: its title and currents, and whatever further question one wants to ask of it.
  case(opened, open, alone) {
    const { tables, offered } = this, set = (place) => (typed) => this.ask({ do: "set", place, value: typed });
    const top = (key, hint) => this.field(key, tables[key] ?? "", set([key]), { key, hint });
    const fields = [top("title"), top("ambient", "20 degC"), ...(tables.symmetry === "axial" ? [] : [top("length", "e.g. 2.4 m")])];
    for (const table of ["circuit", "coil"]) (tables[table] ?? []).forEach((c, k) => {
      for (const key of this.few ? ["phase"] : ["current", "phase"]) fields.push(this.current(table, c, k, key));
    });
    for (const [name, value] of Object.entries(tables.named ?? {})) fields.push(this.field(`${name}, named`, plain(value), set(["named", name]), { id: `f-named-${name}`, places: ["named"], key: name }));
    const known = Object.entries(offered.tables).filter(([name, t]) => !t.axial || tables.symmetry === "axial" || tables[name]);
    const also = make("label", { for: "also" }, "also", make("select", { id: "also", onchange: (e) => open(e.target.value) }, make("option", { value: "" }, "limits, air and heat, short circuit, report and more"),
      ...known.map(([name, t]) => make("option", { value: name, selected: name === opened }, `${tables[name] ? "\u2713 " : ""}${t.title}: ${t.meaning}`))));
    return [make("h2", {}, "The case"), make("div", { class: "fields" }, ...fields, also), ...this.table(opened), make("p", { class: "bar help" }),
      alone ? make("p", { class: "bar" }, "Choose a part to see its dimensions: click it, or Tab and Enter.") : ""];
  }

  table(name) {
    const table = this.offered.tables[name], now = this.tables[name];
    if (!table) return [];
    const metals = new Set([...(this.tables.conductor ?? []).map((c) => c.material), ...Object.keys(now ?? {})]);
    const keys = name === "prices" ? [...metals].map((key) => ({ ...table.keys[0], key, label: key, apart: false })) : table.keys;
    const form = table.rows ? [this.rows({ ...table, label: table.title, keys }, now ?? (table.rows === "list" ? [] : {}), [name], [])]
      : [...this.keys(keys, now, [name], [name]), now ? button("Remove all of it", () => this.ask({ do: "set", place: [name], value: "" }), { id: `f-${name}-remove` }) : button(`Ask for ${table.title}`, () => this.ask({ do: "row", place: [name] }), { id: `f-${name}-ask` })];
    return [make("h2", {}, first(table.title)), make("p", { class: "bar" }, `${first(table.meaning)}. ${SAID[name] ?? "Run answers this; the figures beside the section do not change with it."}`), make("div", { class: "fields" }, ...form)];
  }

  // Of few circuits the currents stand beside the frequency.
  get few() { return (this.tables.circuit ?? []).length + (this.tables.coil ?? []).length <= MOST; }

  current(table, c, k, key) {
    return this.field(`${key} of ${c.name}`, c[key] ?? "", (typed) => this.ask({ do: "set", place: [table, k, key], value: typed }), { key, hint: key === "phase" ? "0 deg" : "e.g. 100 A", places: [`${table} "${c.name}"`, `${table} ${k + 1}`] });
  }

  currents() {
    return !this.few ? [] : ["circuit", "coil"].flatMap((table) => (this.tables[table] ?? []).map((c, k) => this.current(table, c, k, "current")));
  }

  // Faults of a form that is being typed in, and is not to be made anew under the hand.
  mark(form) {
    for (const label of form.querySelectorAll("label[data-places]")) wronged(label, this.wrong(label.dataset.places.split("\n"), label.dataset.key));
  }
}

const MOST = 3;
const WARM = "The figures settle at the temperatures that follow; Shown has a map of them, Run tells more.";
const SAID = { cooling: WARM, water: WARM, frequency: "The line above looks at one frequency; Run answers all of these.", accuracy: "The figures settle as closely as this asks.",
  limits: "Each limit stands beside its figure, with pass or fail.", circuit: "The figures follow.", coil: "The figures follow.", power: "The figures settle at the currents that it takes.", material: "The figures follow.", tolerance: "Run gives the bands." };

function carried(circuits, name, row) {
  const is = (c, way) => (c[way] ?? []).some((word) => word === name || word === row || word === `${row}.*` || word.startsWith(`${name}.`));
  const ways = (c) => ["out", "back"].map((way) => make("option", { value: `${way} ${c.name}`, selected: is(c, way) }, `${c.name}, ${way}`));
  const free = ["feed", ...Array.from({ length: circuits.length }, (_, k) => `feed-${k + 2}`)].find((one) => !circuits.some((c) => c.name === one));
  return [make("option", { value: "none" }, "no circuit"), ...circuits.flatMap(ways), ...["out", "back"].map((way) => make("option", { value: `${way} ${free}` }, `new circuit ${free}, ${way}`))];
}

// Faults under their field, in the words of the command line.
function wronged(label, faults) {
  for (const old of label.querySelectorAll(".fault")) old.remove();
  const input = label.querySelector("input, select");
  if (faults.length) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
  label.append(...faults.map((f) => make("span", { class: "fault" }, f.what)));
  return label;
}
