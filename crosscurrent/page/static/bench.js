// The page: hears the board, shows what it says, asks for what the hand and the keys want.

import { Comparison } from "./compare.js";
import { Drawing, pathOf, shape } from "./draw.js";
import { Forms, button, make, signs } from "./forms.js";
import { Link } from "./link.js";
import { bar, engineering, hertz, length, percent } from "./units.js";

const at = (id) => document.getElementById(id);
const LOW = 0, HIGH = 9; // powers of ten of the frequency line
const page = { state: null, answer: null, good: null, offered: null, row: null, table: "", fresh: true, typing: 0, sent: null };

const link = new Link(location.hash.slice(1), hear, (reason) => say(`The bench has ended${reason ? ` (${reason})` : ""}: start it again.`, true));
const ask = (words) => link.ask(words);
const drawing = new Drawing(ask, choose);
const comparison = new Comparison(at("compare"), ask, () => page.good && { ...page.good, field: drawing.field, numbers: drawing.numbers });
const forms = new Forms(ask, (id) => { showPart(); at(id)?.focus({ preventScroll: true }); });
window.bench = { page, drawing }; // for those who look in with the browser's own tools

function say(words, stays = false) {
  at("said").textContent = signs(words);
  clearTimeout(say.ends);
  if (!stays) say.ends = setTimeout(() => { at("said").textContent = ""; }, 6000);
}

function hear(words, numbers) {
  if (words.kind === "offered") page.offered = words;
  else if (words.kind === "state") {
    if (page.state && page.state.name !== words.name) { page.fresh = true; page.row = drawing.chosen = null; if (page.state.revision !== words.revision) at("ran").replaceChildren(); }
    if (page.state && words.pins.length > page.state.pins.length) say(`Design ${words.pins.at(-1).pin} is pinned: it stands at the foot of the page, with Compare.`);
    page.state = words;
    drawing.moveTaken(words.lines);
    if (words.note) say(words.note);
    showState();
    if (page.answer && words.revision > page.answer.revision) showStanding();
  } else if (words.kind === "trouble") { page.sent = null; if (at("ran").textContent.startsWith("begins")) showRun({ faults: [{ what: words.words }] }); drawing.moveTaken([]); say(words.words); }
  else if (words.kind === "note") say(words.words);
  else if (words.kind === "cancelled") showRun(null);
  else if (words.kind === "run") showRun(words);
  else if (words.kind === "pinned") comparison.hear(words, numbers);
  else showAnswer(words, numbers);
}

function showState() {
  const s = page.state;
  at("undo").disabled = !s.undo;
  at("redo").disabled = !s.redo;
  at("save").textContent = s.changed ? "Save *" : "Save";
  if (document.activeElement !== at("name")) at("name").value = s.name;
  if (s.text === page.sent) page.sent = null;
  if (!page.typing && page.sent === null) showText(s.text);
  if (at("run-of")) at("run-of").textContent = runOf();
  showLines();
  showPins();
  showStart();
}

// The text as the board has it, the cursor where it was; not while it is being typed.
function showText(text) {
  const side = at("text"), from = side.selectionStart, to = side.selectionEnd;
  if (side.value === text) return;
  side.value = text;
  side.setSelectionRange(from, to);
}

function showAnswer(words, numbers) {
  page.answer = words;
  forms.know(words.tables ?? {}, words.faults ?? [], page.offered);
  if (words.limits) page.limits = words.limits;
  if (words.scene) {
    if (!words.faults) page.good = words;
    const skin = words.figures?.conductors.map((c) => c.skin).filter(Boolean) ?? [];
    if (skin.length) drawing.lensReach = 12 * Math.min(...skin);
    drawing.seen(words, numbers, page.fresh);
    page.fresh = false;
  }
  at("title").textContent = page.good?.title ?? "Section";
  document.title = `${page.good?.title ?? "Section"} - crosscurrent bench`;
  showFigures();
  showWarmth();
  showFrequency();
  showCurrents();
  showPart();
  showLines();
  showPins();
}

function showStanding() {
  const a = page.answer, standing = at("standing"), count = (a.faults ?? []).length, behind = page.state.revision > a.revision;
  const settled = a.kind === "settled";
  clearTimeout(page.lagging);
  at("figures").classList.remove("behind");
  // what takes longer than a blink is not to pass for what was asked
  const lags = () => { standing.className = "following"; standing.textContent = "Working it out: these figures are those of before the last change"; };
  if (behind) {
    page.lagging = setTimeout(() => { at("figures").classList.add("behind"); lags(); }, 250);
    if (a.kind === "settled" || count) lags();
    return;
  }
  standing.className = count ? "fault" : settled ? "settled" : "following";
  const warm = a.tables?.cooling || a.tables?.water ? (a.as_settled || a.kind === "settled" ? ", as warm as it was when it last settled" : ", at the temperatures stated until it settles") : "";
  standing.textContent = count ? `${count === 1 ? "One fault" : `${count} faults`}: ${page.good?.figures ? "the figures are those of before" : "no figures before it is mended"}`
    : settled ? `Settled: right within the \u00b1 beside each${failing(a)}` : `Quick figures, to about 1 %${warm}`;
}

// A fault in the words of the command line; its line opens the text there.
function faulty(f) {
  return make("p", { class: "fault" }, f.line ? button(`line ${f.line}`, () => openAt(f.line), { class: "link", title: "opens the text there" }) : null, `${f.line && f.where ? ", " : ""}${f.where ?? ""}${f.where || f.line ? ": " : ""}${f.what}`);
}

function failing(a) {
  const failed = new Set((a.limits ?? []).filter((v) => v.standing === "fail").map((v) => v.name));
  return failed.size ? `; ${failed.size === 1 ? "a limit fails" : `${failed.size} limits fail`}: ${[...failed].join(", ")}` : "";
}

function showFigures() {
  const a = page.answer, faults = a.faults ?? [], f = page.good?.figures;
  showStanding();
  const sentences = faults.map(faulty);
  if (faults.some((x) => x.key === "circuit" && !x.place)) sentences.push(make("p", {}, a.scene && !a.scene.parts.length ? "Add a shape first: Add or open, above." : "Choose a part and let it carry a current: Out or Back below the section."));
  if (!f) { at("figures").replaceChildren(); at("sentences").replaceChildren(...sentences); return; }
  const per = page.good.scene.axial ? "" : "/m", rows = [], limits = page.good.tables.limits ? new Set(page.limits ?? []) : new Set();
  const row = (name, value, error, big) => rows.push(make("tr", { class: big ? "big" : null }, make("th", { scope: "row" }, name), make("td", { class: "value" }, value), make("td", { class: "bar" }, error)));
  const limited = (key, of = "") => { for (const v of limits) if (v.limit === key && v.of === of && v.standing) { rows.push(verdict(v)); limits.delete(v); } };
  for (const c of f.circuits) {
    row(c.own ? `R of ${c.name}, own conductors` : `R of ${c.name}`, engineering(c.resistance, `ohm${per}`), bar(c.resistance_error), true);
    if (!c.own) limited("resistance", c.name);
    row(`L of ${c.name}`, engineering(c.inductance, `H${per}`), bar(c.inductance_error), true);
    limited("inductance", c.name);
    if (c.ratio) row("R over R at 0 Hz", Number(c.ratio.toPrecision(3)), "");
  }
  row("loss of all", engineering(f.total, `W${per}`), bar(f.total_error), true);
  limited("loss");
  for (const c of f.conductors.slice(0, 12)) row(`loss of ${c.name}`, engineering(c.loss, `W${per}`), bar(c.loss_error));
  if (f.conductors.length > 12) row(`and ${f.conductors.length - 12} more`, "", "");
  if (f.mass) row("mass of the metal", engineering(f.mass * 1e3, `g${per}`), "");
  limited("mass");
  for (const [g, ...alike] of gapsAlike(page.good.scene.gaps).slice(0, 8)) row(`gap ${g.one} to ${g.other}${alike.length ? ` (and ${alike.length} alike)` : ""}`, length(g.gap), "");
  for (const v of limits) {
    row(v.of ? `${v.name} of ${v.of}` : v.name, v.value ?? "", v.bar ? `\u00b1 ${v.bar}` : "");
    rows.push(verdict(v));
  }
  const currents = f.circuits.map((c) => `${c.name} ${engineering(c.current, "A")} rms`).join(", ") + (page.good.tables.power?.wanted ? `, for the wanted ${page.good.tables.power.wanted}` : "");
  at("figures").className = faults.length ? "old" : "";
  at("figures").replaceChildren(make("table", {}, make("tbody", {}, ...rows)), make("p", { class: "bar" }, `${engineering(page.good.frequency, "Hz")}; ${currents}; ${degrees(f.conductors)}; ${per ? `${f.around ? `L to a return on a circle of ${length(f.around)} radius, ` : f.circuits.some((c) => c.own) ? "" : "R and L of out and back together, "}per metre of run` : "all round the axis"}`));
  if (page.good.tables.limits && page.state.text.includes("+-")) sentences.push(make("p", { class: "bar" }, "Limits are judged at the middle of the tolerances; Run judges their whole band."));
  if (!faults.length) {
    sentences.push(...(f.sentences ?? []).slice(0, 4).map((words) => make("p", {}, `${words}.`)));
    sentences.push(...(f.warnings ?? []).slice(0, 3).map((words) => make("p", { class: "fault" }, words)));
  }
  at("sentences").replaceChildren(...sentences);
}

const STANDINGS = { pass: ["\u2713 passes", "passes"], fail: ["\u2717 fails", "fails"], "cannot tell": ["? cannot tell: the limit lies inside the bar", "open"] };

// A limit under its figure; told once it has settled.
function verdict(v) {
  const settled = page.good.kind === "settled" && page.state.revision <= page.good.revision;
  const [words, kind] = !v.standing ? [v.why, "open"] : settled ? STANDINGS[v.standing] : ["told when it settles", "open"];
  return make("tr", { class: "limit" }, make("td", { colspan: 3 }, v.allowed ? `limit ${v.allowed}: ` : "limit: ", make("span", { class: kind }, words)));
}

function degrees(conductors) {
  const warm = conductors.map((c) => c.temperature), low = Math.min(...warm), high = Math.max(...warm), words = (t) => String(Number(t.toPrecision(3)));
  return `metal at ${words(low)}${words(high) === words(low) ? "" : ` to ${words(high)}`} \u00b0C`;
}

// What is known of the temperatures, while they are shown.
function showWarmth() {
  const box = at("warmth"), map = drawing.maps.temperature;
  if (drawing.kind !== "temperature" || page.answer?.faults) { box.replaceChildren(); return; }
  if (!map) { box.replaceChildren(make("p", { class: "bar" }, "Temperatures come when it settles.")); return; }
  if (map.why) {
    const cooling = () => { ask({ do: "write", place: ["cooling", "air"], toml: '"free"' }); page.table = "cooling"; choose(null); };
    box.replaceChildren(make("p", { class: "fault" }, map.why), page.answer?.tables.cooling ? "" : button("It stands in free air", cooling));
    return;
  }
  const band = (r) => (r.held ? "held" : r.low === null ? "" : `${r.low.toFixed(0)} to ${r.high === null ? "no end" : r.high.toFixed(0)}`);
  const rows = map.rows.slice(0, 12).map((r) => make("tr", {}, make("th", { scope: "row" }, r.name), make("td", { class: "value" }, `${r.hottest.toFixed(1)} \u00b0C`), make("td", { class: "bar" }, band(r))));
  box.replaceChildren(make("h2", {}, "Hottest point of each, steady"), make("table", {}, make("tbody", {}, ...rows)), ...map.said.map((words) => make("p", {}, `${words}.`)),
    ...[...map.warnings, ...map.cautions].map((words) => make("p", { class: "fault" }, words)));
}

function showFrequency() {
  const good = page.good;
  if (!good) return;
  const f = good.frequency, share = (value) => (1000 * (Math.log10(value) - LOW)) / (HIGH - LOW);
  if (document.activeElement !== at("slide")) at("slide").value = f > 0 ? Math.round(share(f)) : 0;
  if (document.activeElement !== at("typed")) at("typed").value = engineering(f, "Hz");
  const thin = good.figures.conductors.map((c, k) => [c.skin, good.scene.parts[k]?.half]).filter(([skin, half]) => skin && half);
  at("skin").style.left = `${Math.min(90, Math.max(10, f > 0 ? share(f) / 10 : 0))}%`;
  at("skin").textContent = thin.length ? `skin ${length(Math.min(...thin.map(([s]) => s)))}` : f ? "" : "direct current: no skin";
  const marks = [[50, "50 Hz"], [1e3, "1 kHz", "some"], [85e3, "85 kHz"], [1e6, "1 MHz", "some"], [13.56e6, "13.56 MHz"]].map(([value, words, kind]) => mark(share(value), words, kind));
  if (thin.length) {
    const over = Math.min(...thin.map(([skin, half]) => f * (skin / half) ** 2));
    if (over > 1 && over < 1e9) marks.push(share(over) < 700 ? mark(share(over), "\u25b2 skin takes over", "over") : mark(share(over), "skin takes over \u25b2", "over ends"));
  }
  at("marks").replaceChildren(...marks);
  keepFrequency();
}

// A frequency that is only looked at is not what Run answers.
function keepFrequency() {
  const f = page.good.frequency, keep = at("keep"), words = engineering(f, "Hz", 6), now = page.good.tables.frequency?.at;
  keep.hidden = page.good.listed.some((one) => Math.abs(one - f) <= 1e-6 * f);
  keep.textContent = `Put ${words} into the case`;
  keep.onclick = () => putFrequency(Array.isArray(now) && now.length > 1 ? [...now, words] : [words]);
}

// Those between copies of the same conductors that are as wide, together.
function gapsAlike(gaps) {
  const copied = (name) => name.replace(/\.\d+$/, ""), found = new Map();
  for (const g of gaps) {
    const key = [copied(g.one), copied(g.other), length(g.gap)].join("\n");
    found.set(key, [...(found.get(key) ?? []), g]);
  }
  return [...found.values()];
}

const putFrequency = (all) => ask({ do: "write", place: ["frequency", "at"], toml: JSON.stringify(all) });

// What is typed is meant, as a current is: it goes into a case of one frequency. What is slid is only looked at.
function typedFrequency(words) {
  const f = hertz(words);
  if (f === null) { say(`Frequency: expected a number with Hz, kHz or MHz, found "${words}"`); return; }
  if (page.good?.listed.length !== 1 || page.good.tables.frequency?.sweep) { tune(f); return; }
  putFrequency([engineering(f, "Hz", 6)]);
  tune(null);
}

// The field that was typed in, made anew: with what was chosen in it, and without a jump of the page.
function refocus(id, from, to) {
  const field = at(id);
  field?.focus({ preventScroll: true });
  if (field?.matches("input[type=text]")) field.setSelectionRange(from, to);
}

function mark(place, words, kind = "") {
  const found = make("span", { class: kind }, words);
  found.style.left = `${place / 10}%`;
  return found;
}

// A conductor more is on its way: it is the one to look at.
function another() {
  drawing.own = false;
  choose(page.answer?.tables.conductor?.length ?? 0);
}

function choose(row, name = null) {
  page.row = row;
  page.part = page.answer?.tables.conductor?.[row]?.repeat ? name : null; // of a row that is repeated: which of them
  drawing.chosen = row;
  showPart();
  drawing.show();
}

function showCurrents() {
  const box = at("currents"), active = document.activeElement;
  if (box.contains(active) && active.value !== active.defaultValue) { forms.mark(box); return; }
  const focused = box.contains(active) ? active.id : "", from = active.selectionStart, to = active.selectionEnd;
  box.replaceChildren(...forms.currents());
  if (focused) refocus(focused, from, to);
}

function showPart() {
  const part = at("part"), tables = page.answer?.tables ?? {}, active = document.activeElement;
  if (!page.answer) return;
  const name = tables.conductor?.[page.row]?.name ?? null;
  const typing = part.contains(active) && active.matches("input") && part.dataset.row === String(page.row);
  if (typing && (active.value !== active.defaultValue || page.answer.revision < page.state.revision)) { forms.mark(part); return; }
  const focused = part.contains(active) && part.dataset.row === String(page.row) ? active.id : "", from = active.selectionStart, to = active.selectionEnd;
  part.dataset.row = String(page.row);
  const whole = make("div", { class: "case" }, ...forms.case(page.table, (table) => { page.table = table; showPart(); }, name === null));
  if (name === null) part.replaceChildren(whole);
  else part.replaceChildren(make("div", { class: "one" }, ...chosenForm(tables)), whole);
  if (focused) refocus(focused, from, to);
}

function chosenForm(tables) {
  const row = page.row, parts = page.good?.scene.parts.filter((p) => p.row === row) ?? [];
  const copy = (mirrored) => { ask({ do: "copy", row, way: mirrored === "left-right" ? "right" : "below", mirrored }); another(); };
  const carry = (way) => ask({ do: "carry", row, part: page.part, circuit: tables.circuit?.[0]?.name ?? "feed", way });
  const ways = tables.coil ? [] : [button("Out", () => carry("out"), { title: "O" }), button("Back", () => carry("back"), { title: "B" }), button("No current", () => carry(""), { title: "N" })];
  const actions = [button("Copy", () => copy("")), button("Mirror left to right", () => copy("left-right")), button("Mirror top to bottom", () => copy("top-bottom")),
    ...ways, button("Turn", () => ask({ do: "turn", row })), button("Delete", () => { ask({ do: "delete", row }); choose(null); })];
  const names = new Set(parts.map((p) => p.name)), near = (page.good?.scene.gaps ?? []).filter((g) => names.has(g.one) !== names.has(g.other));
  const beside = Object.values(tables.conductor[row].place ?? {});
  const closest = near.map((g) => ({ other: names.has(g.one) ? g.other : g.one, gap: g.gap })).sort((one, other) => one.gap - other.gap);
  const gaps = closest.filter((g, k) => !beside.includes(g.other) && closest.findIndex((one) => one.other === g.other) === k).slice(0, 4).map((g) => ({ other: g.other, words: length(g.gap) }));
  return forms.part(row, page.part, gaps, actions);
}

function showPins() {
  const now = page.good;
  comparison.show(page.state.pins);
  const compare = page.state.pins.length ? [make("div", { class: "acts" }, button("Compare", () => comparison.toggle(), { title: "C", id: "compare-open" }))] : [];
  const focused = at("pins").contains(document.activeElement) ? document.activeElement.id : "";
  at("pins").replaceChildren(...compare, ...page.state.pins.map((pin) => {
    const box = pin.scene?.bounds, rows = [], per = pin.scene?.axial ? "" : "/m";
    const alike = now?.frequency === pin.frequency && String(now?.figures.circuits.map((c) => c.name)) === String(pin.figures?.circuits.map((c) => c.name));
    for (const c of pin.figures?.circuits ?? []) {
      const mine = now?.figures.circuits.find((one) => one.name === c.name), same = alike;
      const differs = (key) => (mine?.[key] && same ? ` (${percent(c[key] / mine[key])})` : "");
      rows.push(make("p", {}, `${c.name}: R ${engineering(c.resistance, `ohm${per}`)}${differs("resistance")}`), make("p", {}, `L ${engineering(c.inductance, `H${per}`)}${differs("inductance")}`));
    }
    const total = alike ? ` (${percent(pin.figures.total / now.figures.total)})` : "";
    rows.push(make("p", {}, `loss ${engineering(pin.figures?.total ?? null, `W${per}`)}${total}`), make("p", { class: "bar" }, `at ${engineering(pin.frequency, "Hz")}${alike ? "; in brackets against now" : ""}${pin.kind === "settled" ? "" : ", not settled"}`));
    const picture = box ? shape("svg", { viewBox: `${box[0][0] * 1e3} ${-box[1][1] * 1e3} ${(box[1][0] - box[0][0]) * 1e3} ${(box[1][1] - box[0][1]) * 1e3}`, role: "img", "aria-label": `section of design ${pin.pin}` }, ...pin.scene.parts.map((p) => shape("path", { d: pathOf(p), "fill-rule": "evenodd" }))) : null;
    return make("div", { class: "card", role: "group", "aria-label": `design ${pin.pin}` }, make("h2", {}, `Design ${pin.pin}`), picture, ...rows,
      make("div", { class: "acts" }, button("Back to it", () => ask({ do: "back", pin: pin.pin }), { id: `back-${pin.pin}` }), button("Let go", () => ask({ do: "unpin", pin: pin.pin }), { id: `unpin-${pin.pin}` })));
  }));
  if (focused) at(focused)?.focus({ preventScroll: true });
}

function showStart() {
  const s = page.state, start = at("start");
  if (start.hidden || start.contains(document.activeElement)) return;
  const shapes = ["bar", "round", "tube", "box", "angle", "channel"].map((one) => button(one, () => { toggle("start"); ask({ do: "add", shape: one, at: [drawing.view.x, drawing.view.y], grid: drawing.grid }); another(); }));
  const own = s.cases.map((name) => button(name, () => { ask({ do: "open", name }); toggle("start"); }));
  const shipped = page.offered.shipped.map((one) => button(one.title, () => { ask({ do: "open", name: one.name, shipped: true }); toggle("start"); }, { title: one.question }));
  const upload = make("input", { type: "file", accept: ".dxf,.svg", id: "upload", onchange: (e) => send(e.target.files[0]) });
  start.replaceChildren(make("h2", {}, "Add a shape"), make("div", { class: "rows" }, ...shapes), make("h2", {}, "Add the outline of a drawing (DXF, SVG)"), make("div", { class: "rows" }, make("label", { for: "upload" }, "Drawing "), upload),
    make("h2", {}, "Open a case of this folder"), make("div", { class: "rows" }, ...(own.length ? own : ["There is none yet: Save puts this one here."])), make("h2", {}, "Open a copy of a shipped case"), make("div", { class: "rows" }, ...shipped));
}

async function send(file) {
  if (!file) return;
  if (file.size > 3e6) { say(`${file.name}: drawings up to 3 MB`); return; }
  let words = "";
  for (const byte of new Uint8Array(await file.arrayBuffer())) words += String.fromCharCode(byte);
  toggle("start");
  ask({ do: "upload", name: file.name, content: btoa(words) });
  another();
}

const runOf = () => (page.state.revision > page.ran ? "Run, before the last changes" : "Run");

function showRun(words) {
  const running = words && words.step, ran = at("ran");
  at("cancel").hidden = !running;
  at("cancel").textContent = running && words.done ? `Cancel, ${Math.round(100 * words.done)} % done` : "Cancel";
  at("run").disabled = Boolean(running);
  if (!words) ran.replaceChildren(make("p", {}, "Run cancelled; no results were written."));
  else if (running) ran.replaceChildren(make("p", {}, `${words.step} `, make("progress", { max: 1, value: words.done, "aria-label": "progress of the run" })));
  else if (words.faults) ran.replaceChildren(...words.faults.map(faulty));
  else { page.ran = words.revision; ran.replaceChildren(make("h2", { id: "run-of" }, runOf()), ...words.lines.map((line) => make("p", {}, line)), make("p", {}, `All files are in the folder ${words.folder}. `, make("a", { href: words.report, target: "_blank", rel: "noopener" }, "Open the report"))); }
  if (!running && ran.getBoundingClientRect().top > window.innerHeight) say(!words ? "Cancelled." : words.faults ? "No run was made: why stands under the figures." : "The run is done: its answers and the report stand under the figures.");
}

function showLines() {
  const wrong = new Set((page.answer?.faults ?? []).map((f) => f.line)), count = at("text").value.split("\n").length, numbers = at("numbers");
  numbers.replaceChildren(...Array.from({ length: count }, (_, k) => (wrong.has(k + 1) ? make("b", {}, `\u25b8${k + 1}\n`) : `${k + 1}\n`)));
  numbers.scrollTop = at("text").scrollTop;
  at("faults").replaceChildren(...(page.answer?.faults ?? []).map((f) => make("li", {}, ...faulty(f).childNodes)));
}

// The text open at a line, with that line chosen.
function openAt(line) {
  if (at("text-side").hidden) toggle("text-side");
  const text = at("text"), lines = text.value.split("\n"), from = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  text.focus();
  text.setSelectionRange(from, from + lines[line - 1].length);
  text.scrollTop = Math.max(0, (line - 6) * (text.scrollHeight / lines.length));
}

function toggle(id) {
  const side = at(id), opener = at(id === "start" ? "start-toggle" : "text-toggle");
  side.hidden = !side.hidden;
  say("");
  document.body.classList.toggle("texting", !at("text-side").hidden);
  opener.setAttribute("aria-expanded", String(!side.hidden));
  if (side.hidden) opener.focus();
  else if (id === "start") { showStart(); side.querySelector("button")?.focus(); } else { showLines(); at("text").focus(); }
}

const save = () => ask({ do: "save", name: at("name").value.trim() });
const tune = (frequency) => ask({ do: "tune", frequency });
at("start-toggle").addEventListener("click", () => toggle("start"));
at("text-close").addEventListener("click", () => toggle("text-side"));
at("text-toggle").addEventListener("click", () => toggle("text-side"));
for (const one of ["undo", "redo", "pin"]) at(one).addEventListener("click", () => ask({ do: one }));
at("save").addEventListener("click", save);
at("run").addEventListener("click", () => { if (!at("keep").hidden) say(`Run answers the frequencies of the case; ${at("typed").value} is only looked at.`); ask({ do: "run" }); showRun({ step: "begins", done: 0 }); });
at("cancel").addEventListener("click", () => ask({ do: "cancel" }));
at("slide").addEventListener("input", (e) => { if (!page.tuning) { page.tuning = setTimeout(() => { page.tuning = 0; tune(Number((10 ** (LOW + (e.target.value / 1000) * (HIGH - LOW))).toPrecision(3))); }, 40); } });
at("typed").addEventListener("change", (e) => typedFrequency(e.target.value));
// A first click into a field takes all of it, so that typing replaces it; a second one sets the cursor.
document.addEventListener("pointerdown", (e) => { page.entered = e.target !== document.activeElement && e.target.matches("input[type=text]") ? e.target : null; });
document.addEventListener("click", (e) => { if (e.target === page.entered && e.target.selectionStart === e.target.selectionEnd) e.target.select(); });
at("text").addEventListener("input", () => { showLines(); clearTimeout(page.typing); page.typing = setTimeout(() => { page.typing = 0; page.sent = at("text").value; ask({ do: "text", text: page.sent, revision: page.state.revision }); }, 300); });
at("text").addEventListener("scroll", () => { at("numbers").scrollTop = at("text").scrollTop; });
at("kind").addEventListener("change", (e) => { drawing.kind = e.target.value; ask({ do: "show", kind: drawing.kind }); drawing.show(); showWarmth(); });
at("part").addEventListener("focusin", (e) => { for (const one of at("part").querySelectorAll(".help")) one.textContent = one.parentElement.contains(e.target) ? signs(e.target.dataset.help ?? "") : ""; });
document.addEventListener("visibilitychange", () => ask({ do: "look", seen: !document.hidden }));
at("nearer").addEventListener("click", () => drawing.zoom(1.5));
at("farther").addEventListener("click", () => drawing.zoom(1 / 1.5));
at("whole").addEventListener("click", () => drawing.whole());
document.querySelector(".corner").addEventListener("keydown", (e) => {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key];
  if (way && e.target.matches("button")) { e.preventDefault(); drawing.pan(...way); }
});
at("draw").addEventListener("keydown", (e) => {
  const group = e.target.closest("g[data-row]");
  if (!group) return;
  const row = Number(group.dataset.row), arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key];
  if (arrow) { e.preventDefault(); drawing.nudge(row, ...arrow, e.shiftKey); } else if (e.key === "Enter" || e.key === " ") { e.preventDefault(); choose(row, group.dataset.name); at("part").querySelector("input, select")?.focus(); } else if (e.key === "Delete") { ask({ do: "delete", row }); choose(null); } else if (e.key === "o" || e.key === "b" || e.key === "n") {
    const circuit = page.answer?.tables.circuit?.[0]?.name ?? "feed";
    ask({ do: "carry", row, part: page.answer?.tables.conductor?.[row]?.repeat ? group.dataset.name : null, circuit, way: { o: "out", b: "back", n: "" }[e.key] });
  }
});
document.addEventListener("keydown", (e) => {
  const typing = e.target.matches("input, textarea, select");
  if ((e.ctrlKey || e.metaKey) && e.key === "s") { e.preventDefault(); save(); } else if ((e.ctrlKey || e.metaKey) && e.key === "z" && !typing) { e.preventDefault(); ask({ do: e.shiftKey ? "redo" : "undo" }); } else if ((e.ctrlKey || e.metaKey) && e.key === "y" && !typing) { e.preventDefault(); ask({ do: "redo" }); } else if (e.key === "Escape") { const open = ["text-side", "start"].filter((id) => !at(id).hidden); if (!at("compare").hidden) comparison.close(); else if (!open.length && !typing) choose(null); for (const id of open) toggle(id); } else if (!typing && !e.ctrlKey && !e.metaKey && e.key === "p") ask({ do: "pin" }); else if (!typing && !e.ctrlKey && !e.metaKey && e.key === "c" && page.state.pins.length) comparison.toggle(); else if (!typing && !e.ctrlKey && !e.metaKey && e.key === "t") { e.preventDefault(); toggle("text-side"); }
});
