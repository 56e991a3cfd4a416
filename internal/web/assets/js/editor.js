// The plan: tabs with the trip and its map, appliances, systems, job. It says
// where something is wrong: at the cell, and with a count on the tab.
import { el, byId } from "./dom.js";
import { Rows } from "./rows.js";
import { Systems } from "./systems.js";
import { Job } from "./job.js";
import { TripMap } from "./map.js";
import { pickPart } from "./parts.js";
import { helpText } from "./fields.js";

const TABS = [
  { id: "answer", text: "Answer", narrow: true, files: [] },
  { id: "trip", text: "Trip", files: ["trip.csv"] },
  { id: "loads", text: "Appliances", files: ["loads.csv"] },
  { id: "systems", text: "Systems", files: ["systems.csv", "chargers.csv", "panels.csv"] },
  { id: "job", text: "Job", files: ["job.csv"] },
];

export class Editor {
  constructor(store, { onPick, say }) {
    Object.assign(this, { store, stops: [], list: [] });
    this.trip = new Rows(store, "trip.csv", { label: "Stops of the trip", name: "place", facts: (r, i) => this.stopFacts(i), hint: (r, c) => this.stopHint(r, c) });
    this.loads = new Rows(store, "loads.csv", { label: "Appliances", name: "name", hint: (r, c) => this.presetHint(r, c),
      swap: (r, c) => this.whenOn(r, c), shapers: ["kind", "preset"], bare: ["hours"],
      copy: (key) => store.copy("loads.csv", key, { name: store.free("loads.csv", "name", this.loadName(key)) }) });
    this.systems = new Systems(store, onPick);
    this.job = new Job(store);
    this.map = new TripMap(store, say);
    this.build();
    store.onChange((shape) => this.sync(shape));
  }

  build() {
    const bodies = { trip: this.tripBody(), loads: this.loadsBody(), systems: this.systems.box, job: this.job.box };
    this.tabs = {}; this.panels = {}; this.general = {};
    const bar = el("div", { class: "tabs", role: "tablist", "aria-label": "Parts of the plan", on: { keydown: (e) => this.tabKeys(e) } });
    const box = byId("editor");
    box.replaceChildren(bar);
    this.brief = el("button", { type: "button", class: "brief", on: { click: () => this.show("answer") } });
    for (const t of TABS) {
      const controls = t.narrow ? "answer" : `panel-${t.id}`;
      this.tabs[t.id] = el("button", { type: "button", role: "tab", id: `tab-${t.id}`, "aria-controls": controls, class: t.narrow ? "only-narrow" : "",
        data: { tab: t.id }, on: { click: () => this.show(t.id) } }, t.text);
      bar.append(this.tabs[t.id]);
      if (t.narrow) continue;
      this.general[t.id] = el("div", { class: "errs" });
      this.panels[t.id] = el("div", { role: "tabpanel", id: controls, class: "panel", "aria-labelledby": `tab-${t.id}` }, this.general[t.id], bodies[t.id]);
      box.append(this.panels[t.id]);
    }
    bar.after(this.brief);
    this.helpline = el("p", { class: "helpline" });
    box.append(el("datalist", { id: "zones" }, ...this.store.zones.map((z) => el("option", { value: z }))), this.helpline);
    box.addEventListener("focusin", (e) => this.help(e.target));
    this.show(matchMedia("(min-width: 1180px)").matches ? "trip" : "answer");
    this.help(null);
  }

  head(heading, about, ...buttons) {
    return [el("div", { class: "tab-head" }, el("h2", {}, heading), el("div", { class: "push" }, ...buttons)), el("p", { class: "about" }, about)];
  }

  tripBody() {
    const add = el("button", { type: "button", data: { do: "add-stop" }, on: { click: () => this.addRow("trip.csv", this.trip, { place: "New stop" }, "place") } }, "Add a stop");
    return el("div", {}, ...this.head("Trip", this.store.specs["trip.csv"].about, add), this.map.box, this.map.tools, this.trip.box);
  }

  loadsBody() {
    const blank = { name: "New appliance", kind: "window", watts: "10", hours: "4" };
    const add = el("button", { type: "button", data: { do: "add-load" }, on: { click: () => this.addRow("loads.csv", this.loads, blank, "name") } }, "Add a row");
    const parts = el("button", { type: "button", data: { do: "parts-load" }, on: { click: () => pickPart(this.store.catalogue["loads.csv"], "Appliances", (p) =>
      this.addRow("loads.csv", this.loads, { name: p.name, preset: p.id }, "name")) } }, "From the catalogue");
    return el("div", {}, ...this.head("Appliances", "What draws power. A row from the catalogue has its figures from there; what you write into a cell goes before.", add, parts), this.loads.box);
  }

  addRow(file, rows, values, column) {
    let key;
    this.store.change(() => { key = this.store.add(file, { ...values, [column]: this.store.free(file, column, values[column]) }); });
    rows.focus(key, column);
  }

  loadName(key) { return this.store.cell("loads.csv", this.store.row("loads.csv", key), "name") || "Appliance"; }

  stopFacts(i) {
    const s = this.stops[i];
    return s ? `${s.date} · ${s.sun}${s.own ? " (own)" : ""} · ${s.air} · ${s.daylight}` : "";
  }

  stopHint(row, c) {
    const s = this.stops[this.store.rows("trip.csv").findIndex((r) => r.key === row.key)];
    if (!s) return undefined;
    return { elevation_m: String(s.elevation_m), time_zone: s.zone, latitude: s.lat.toFixed(2), longitude: s.lon.toFixed(2) }[c.name];
  }

  // presetHint shows the catalogue's figure in a blank cell.
  presetHint(row, c) {
    const preset = this.store.cell("loads.csv", row, "preset").trim();
    const part = preset && this.store.catalogue["loads.csv"].find((p) => p.id === preset);
    if (!part || c.name === "preset") return undefined;
    return part.cells[c.name] ?? "";
  }

  // whenOn shows the cells that say when an appliance of this kind is on.
  whenOn(row, c) {
    if (c.name !== "start" && c.name !== "hours") return c;
    const kind = this.store.cell("loads.csv", row, "kind").trim() || this.presetHint(row, { name: "kind" }) || "window";
    if (kind === "uses") return this.store.spec("loads.csv", c.name === "start" ? "times" : "minutes");
    if (kind === "steady") return c.name === "start" ? "all day" : "";
    if (kind === "fridge") return c.name === "start" ? "as needed" : "";
    return c;
  }

  show(id) {
    this.tab = id;
    document.body.dataset.tab = id;
    for (const t of TABS) {
      this.tabs[t.id].setAttribute("aria-selected", String(t.id === id));
      this.tabs[t.id].tabIndex = t.id === id ? 0 : -1;
      if (this.panels[t.id]) this.panels[t.id].hidden = t.id !== id;
    }
    this.helpline.hidden = id === "answer";
    if (id === "trip") this.map.show();
  }

  // changed shows a table that has changed, where there is room beside the answer.
  changed(file) {
    if (this.tab !== "answer") this.show(TABS.find((t) => t.files.includes(file)).id);
  }

  tabKeys(e) {
    const by = { ArrowRight: 1, ArrowLeft: -1 }[e.key];
    if (!by) return;
    const seen = TABS.filter((t) => this.tabs[t.id].offsetParent !== null);
    const next = seen[(seen.findIndex((t) => t.id === this.tab) + by + seen.length) % seen.length];
    e.preventDefault();
    this.show(next.id);
    this.tabs[next.id].focus();
  }

  // help explains the column that has the focus.
  help(target) {
    const column = target?.dataset?.column;
    const file = { trip: ["trip.csv"], loads: ["loads.csv"], systems: ["systems.csv", "chargers.csv", "panels.csv"] }[this.tab] ?? [];
    const owner = target?.closest?.(".rows") ? file.find((f) => [this.trip, this.loads, this.systems.units, this.systems.panels].some((r) => r?.file === f && r.box.contains(target))) : null;
    const info = owner && this.store.spec(owner, column);
    this.helpline.replaceChildren(...(info ? [el("b", {}, info.label), ` ${helpText(info)}`] : ["Ctrl+Z undoes. Arrow keys up and down go between rows, with Alt they move the row."]));
  }

  sync(shape) {
    this.trip.sync(shape);
    this.loads.sync(shape);
    this.systems.sync(shape);
    this.job.sync(shape);
    this.map.refresh();
  }

  answered(a) {
    this.stops = a.stops.length === this.store.rows("trip.csv").length ? a.stops : [];
    this.trip.refreshHints();
    this.systems.marks = a.marks;
    if (!this.picked) { this.picked = true; this.systems.selectName(a.shown); }
    this.systems.paintNames();
    this.map.answered(this.stops);
    this.brief.className = `brief verdict-${a.mark}`;
    this.brief.replaceChildren(el("span", { class: `sign sign-${a.mark}`, "aria-hidden": "true" }, { good: "✓", look: "?", bad: "!" }[a.mark]),
      el("span", {}, el("b", {}, a.shown), ` ${a.word}`));
    this.problems([]);
  }

  // problems shows what is wrong: [{file, row, column, text, line}].
  problems(list) {
    this.list = list;
    this.trip.problems(list);
    this.loads.problems(list);
    const rest = {
      trip: list.filter((p) => p.file === "trip.csv" && p.row < 0),
      loads: list.filter((p) => p.file === "loads.csv" && p.row < 0),
      systems: this.systems.problems(list.filter((p) => TABS[3].files.includes(p.file))),
      job: this.job.problems(list.filter((p) => p.file === "job.csv")),
    };
    for (const t of TABS) {
      if (t.narrow) continue;
      const count = list.filter((p) => t.files.includes(p.file)).length;
      this.tabs[t.id].replaceChildren(t.text, ...(count ? [" ", el("span", { class: "count" }, String(count)), el("span", { class: "hush" }, " to mend")] : []));
      this.general[t.id].replaceChildren(...rest[t.id].map((p) => el("span", { class: "err" }, this.where(p) + p.text)));
    }
  }

  where(p) {
    const system = p.file === "trip.csv" || p.file === "loads.csv" || p.file === "job.csv" ? "" : this.systems.systemOf(p);
    return [system || (p.row < 0 ? p.file : ""), p.column].filter(Boolean).map((s) => `${s}: `).join("");
  }
}
