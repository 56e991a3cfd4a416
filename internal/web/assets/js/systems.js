// The systems: one is picked, its battery and inverter are a form, its chargers
// and panels tables below. A name that changes takes its rows in the other
// tables along.
import { el } from "./dom.js";
import { Form } from "./form.js";
import { Rows } from "./rows.js";
import { pickPart } from "./parts.js";

const FILE = "systems.csv", UNITS = "chargers.csv", PANELS = "panels.csv";
const same = (a, b) => a.trim().toLowerCase() === b.trim().toLowerCase();

export class Systems {
  constructor(store, onPick) {
    Object.assign(this, { store, onPick, marks: [] });
    this.picks = el("div", { class: "picks", role: "group", "aria-label": "System to edit" });
    this.desk = el("div");
    this.box = el("div", {},
      el("div", { class: "tab-head" }, el("h2", {}, "Systems"), el("div", { class: "push" },
        this.tool("add", "Add a system", () => this.addSystem()), this.tool("copy", "Copy it", () => this.copySystem()),
        this.tool("earlier", "◂", () => this.move(-1), "Move earlier"), this.tool("later", "▸", () => this.move(1), "Move later"),
        this.tool("delete", "Delete it", () => this.removeSystem()))),
      this.picks, this.desk);
    this.select(store.rows(FILE)[0]?.key);
  }

  tool(name, text, f, label) { return el("button", { type: "button", data: { do: `system-${name}` }, "aria-label": label, on: { click: f } }, text); }

  row() { return this.store.row(FILE, this.key); }
  name(row = this.row()) { return row ? this.store.cell(FILE, row, "system") : ""; }

  // own notes which rows of the other tables are this system's, so that a name
  // half typed that is another system's does not mix them up.
  own() {
    const name = this.name();
    this.owned = new Set();
    for (const file of [UNITS, PANELS]) {
      for (const r of this.store.rows(file)) if (this.row() && same(this.store.cell(file, r, "system"), name)) this.owned.add(r.key);
    }
  }

  select(key) {
    this.key = key;
    this.own();
    this.build();
    this.paintPicks();
  }

  selectName(name) {
    const row = this.store.rows(FILE).find((r) => same(this.name(r), name));
    if (row && row.key !== this.key) this.select(row.key);
  }

  paintPicks() {
    this.picks.replaceChildren(...this.store.rows(FILE).map((r) => {
      const name = this.name(r) || "no name";
      const mark = this.marks.find((m) => m.system === name.trim());
      return el("button", { type: "button", "aria-pressed": String(r.key === this.key), data: { key: r.key },
        on: { click: () => { this.select(r.key); this.onPick(this.name(r)); this.picks.querySelector(`[data-key="${r.key}"]`)?.focus(); } } },
      mark ? el("span", { class: `tag tag-${mark.mark}`, title: mark.word }, { good: "✓", look: "?", bad: "!" }[mark.mark]) : null, ` ${name}`,
      mark ? el("span", { class: "hush" }, `, ${mark.word}`) : null);
    }));
  }

  build() {
    if (!this.row()) { this.desk.replaceChildren(el("p", { class: "empty" }, "No system yet.")); this.form = this.units = this.panels = null; return; }
    const { store } = this;
    this.form = new Form(store.specs[FILE].columns, {
      get: (c) => store.cell(FILE, this.row(), c),
      set: (c, v) => store.change(() => this.write(c, v), { merge: `${FILE} ${this.key} ${c}`, shape: false }),
    });
    const belongs = (r) => this.owned.has(r.key);
    this.units = new Rows(store, UNITS, { label: "Chargers", name: "charger", hide: ["system"], belongs, empty: "No charger: nothing charges this battery.",
      beforeWrite: (key, column, value) => this.renameUnit(key, column, value), copy: (key) => this.copyPart(UNITS, "charger", key) });
    this.panels = new Rows(store, PANELS, { label: "Panels", name: "panel", hide: ["system"], belongs, empty: "No panel.",
      copy: (key) => this.copyPart(PANELS, "panel", key) });
    const parts = store.catalogue;
    const take = (p) => store.change(() => { for (const [c, v] of Object.entries(p.cells)) store.write(FILE, this.key, c, v); });
    this.desk.replaceChildren(
      el("section", { class: "card" }, el("div", { class: "tab-head" }, el("h3", {}, "Battery and inverter"), el("div", { class: "push" },
        this.tool("battery", "Battery sizes", () => pickPart(parts.batteries, "Battery sizes", take)),
        this.tool("inverter", "Inverters", () => pickPart(parts.inverters, "Inverters", take)))), this.form.box),
      this.partCard("Chargers", UNITS, "charger", this.units, "New charger"), this.partCard("Panels", PANELS, "panel", this.panels, "New panel"));
  }

  partCard(heading, file, column, rows, stem) {
    const add = (values) => this.addPart(file, column, rows, values);
    return el("section", { class: "card" }, el("div", { class: "tab-head" }, el("h3", {}, heading), el("div", { class: "push" },
      el("button", { type: "button", data: { do: `add-${column}` }, on: { click: () => add({ [column]: stem }) } }, "Add a row"),
      el("button", { type: "button", data: { do: `parts-${column}` }, on: { click: () => pickPart(this.store.catalogue[file], heading, (p) => add(p.cells)) } }, "From the catalogue"))),
    rows.box);
  }

  addPart(file, column, rows, values) {
    let key;
    const belongs = (r) => this.owned.has(r.key);
    this.store.change(() => {
      const after = this.store.rows(file).filter(belongs).at(-1)?.key;
      key = this.store.add(file, { system: this.name(), ...values, [column]: this.store.free(file, column, values[column], belongs) }, after);
      this.owned.add(key);
    });
    rows.focus(key, column);
  }

  copyPart(file, column, key) {
    const row = this.store.row(file, key), belongs = (r) => this.owned.has(r.key);
    const made = this.store.copy(file, key, { [column]: this.store.free(file, column, this.store.cell(file, row, column), belongs) });
    this.owned.add(made);
    return made;
  }

  write(column, value) {
    const { store } = this;
    store.write(FILE, this.key, column, value);
    if (column !== "system") return;
    for (const file of [UNITS, PANELS]) {
      for (const r of store.rows(file)) if (this.owned.has(r.key)) store.write(file, r.key, "system", value);
    }
  }

  // renameUnit takes the panels along that feed the unit.
  renameUnit(key, column, value) {
    if (column !== "charger") return;
    const { store } = this;
    if (this.link?.key !== key || store.merge !== this.link.merge) {
      const old = store.cell(UNITS, store.row(UNITS, key), "charger");
      const fed = store.rows(PANELS).filter((r) => this.owned.has(r.key) && old && same(store.cell(PANELS, r, "charger"), old));
      this.link = { key, merge: `${UNITS} ${key} charger`, panels: fed.map((r) => r.key) };
    }
    for (const k of this.link.panels) store.write(PANELS, k, "charger", value);
  }

  addSystem() {
    let key;
    this.store.change(() => { key = this.store.add(FILE, { system: this.store.free(FILE, "system", "New system"), battery_ah: "100" }, this.key); });
    this.select(key);
    this.form.input("system").focus();
    this.form.input("system").select();
  }

  copySystem() {
    if (!this.row()) return;
    const { store } = this, name = this.name(), owned = this.owned;
    let key;
    store.change(() => {
      const fresh = store.free(FILE, "system", `${name} copy`);
      key = store.copy(FILE, this.key, { system: fresh });
      for (const file of [UNITS, PANELS]) {
        for (const r of store.rows(file).filter((x) => owned.has(x.key))) {
          const made = store.add(file, {});
          store.put(file, store.rows(file).map((x) => (x.key === made ? { ...x, cells: [...r.cells] } : x)));
          store.write(file, made, "system", fresh);
        }
      }
    });
    this.select(key);
    this.onPick(this.name());
    this.form.input("system").focus();
  }

  removeSystem() {
    if (!this.row()) return;
    const keys = this.store.rows(FILE).map((r) => r.key), i = keys.indexOf(this.key);
    const gone = this.key, owned = this.owned;
    this.key = keys[i + 1] ?? keys[i - 1];
    this.store.change(() => {
      this.store.remove(FILE, (r) => r.key === gone);
      for (const file of [UNITS, PANELS]) if (this.store.rows(file).length) this.store.remove(file, (r) => owned.has(r.key));
    });
    this.select(this.key);
    this.onPick(this.name());
    this.picks.querySelector('[aria-pressed="true"]')?.focus();
  }

  move(by) { if (this.row()) this.store.change(() => this.store.move(FILE, this.key, by)); }

  sync(shape) {
    if (shape) {
      const gone = !this.row();
      if (gone) this.key = this.store.rows(FILE)[0]?.key;
      this.own();
      if (gone || !this.form) this.build();
    }
    this.form?.sync(shape);
    this.units?.sync(shape);
    this.panels?.sync(shape);
    this.paintNames();
  }

  // paintNames renews the picks without taking the focus from one.
  paintNames() {
    const focus = document.activeElement?.dataset?.key;
    this.paintPicks();
    if (focus) this.picks.querySelector(`[data-key="${focus}"]`)?.focus();
  }

  // problems places what it can; it returns the rest with their system named.
  problems(list) {
    const rows = this.store.rows(FILE);
    const mine = list.filter((p) => p.file === FILE && rows[p.row]?.key === this.key);
    let rest = this.form ? this.form.problems(mine) : mine;
    const here = (file) => (p) => p.file === file && this.owned.has(this.store.rows(file)[p.row]?.key);
    this.units?.problems(list);
    this.panels?.problems(list);
    rest = rest.concat(list.filter((p) => !mine.includes(p) && !here(UNITS)(p) && !here(PANELS)(p)));
    return rest;
  }

  // systemOf names the system that a problem elsewhere belongs to.
  systemOf(p) {
    const row = this.store.rows(p.file)[p.row];
    return row ? this.store.cell(p.file, row, "system") : "";
  }
}
