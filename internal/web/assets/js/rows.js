// The editor of a table: one line of common cells per row, the rest under
// "more", errors below the row they belong to. Used for the trip, the
// appliances, and the chargers and panels of one system.
import { el, uid } from "./dom.js";
import { makeInput, makeField, setInput, showErrors, helpText } from "./fields.js";

export class Rows {
  // options: belongs(row), hide (columns), hint(row, column), facts(row, index),
  // name (column that names a row), extra (more buttons), swap(row, column): the
  // column that a row shows in place of a common one, or a text for none,
  // shapers: columns that change what a row shows
  constructor(store, file, options) {
    Object.assign(this, { store, file, options });
    const { columns } = store.specs[file];
    const shown = columns.filter((c) => !(options.hide ?? []).includes(c.name));
    this.common = shown.filter((c) => c.common);
    this.more = shown.filter((c) => !c.common);
    this.open = new Set();
    this.lines = new Map(); // key -> elements of a row
    this.help = el("div", { hidden: true });
    this.helpIds = {};
    for (const c of shown) {
      this.helpIds[c.name] = uid("help");
      this.help.append(el("span", { id: this.helpIds[c.name] }, helpText(c)));
    }
    this.table = el("table", { "aria-label": options.label });
    this.box = el("div", { class: "rows" }, this.table, this.help);
    this.build();
  }

  // bare columns have their unit in the cell, since it differs by row.
  bare(c) { return (this.options.bare ?? []).includes(c.name); }

  rows() {
    const { belongs } = this.options;
    return belongs ? this.store.rows(this.file).filter(belongs) : this.store.rows(this.file);
  }

  build() {
    this.lines.clear();
    const rows = this.rows();
    const head = el("thead", {}, el("tr", {}, ...this.common.map((c) =>
      el("th", { scope: "col", class: `c-${c.kind} n-${c.name}`, title: helpText(c) }, c.label, c.unit && !this.bare(c) ? el("small", {}, ` ${c.unit}`) : null)),
    el("th", { class: "c-do" }, el("span", { class: "hush" }, "More"))));
    if (!rows.length) {
      this.table.replaceChildren(el("tbody", {}, el("tr", {}, el("td", { class: "empty" }, this.options.empty ?? "Nothing here yet."))));
      return;
    }
    this.table.replaceChildren(head, ...rows.map((row, i) => this.line(row, i)));
  }

  title(row, i) {
    const name = this.store.cell(this.file, row, this.options.name).trim();
    return name || `row ${i + 1}`;
  }

  // line makes the elements of one row: cells, facts, errors, more.
  line(row, i) {
    const title = this.title(row, i);
    const errs = el("div", { class: "errs", id: uid("errs") });
    const facts = el("div", { class: "facts" }, this.options.facts?.(row, i) ?? "");
    const span = this.common.length + 1;
    const inputs = {};
    const cells = this.common.map((common) => {
      const c = this.options.swap?.(row, common) ?? common;
      if (typeof c === "string") return el("td", { class: `c-${common.kind} n-${common.name} none`, "data-label": common.label }, c);
      inputs[c.name] = this.input(c, row, `${c.label}, ${title}`, `${errs.id} ${this.helpIds[c.name]}`);
      const content = this.bare(common) && c.unit ? el("span", { class: "with-unit" }, inputs[c.name], el("small", { "aria-hidden": "true" }, c.unit)) : inputs[c.name];
      return el("td", { class: `c-${common.kind} n-${common.name}`, "data-label": c.unit && !this.bare(common) ? `${c.label} ${c.unit}` : c.label }, content);
    });
    const toggle = el("button", { type: "button", class: "icon", "aria-expanded": String(this.open.has(row.key)), "aria-label": `More of ${title}`,
      data: { do: "more" }, on: { click: () => this.toggle(row.key) } }, "⋯");
    const more = el("tr", { class: "more-row", hidden: !this.open.has(row.key) }, el("td", { colspan: span }));
    const body = el("tbody", { data: { key: row.key } },
      el("tr", { class: "cells" }, ...cells, el("td", { class: "c-do" }, toggle)),
      el("tr", {}, el("td", { colspan: span, class: "under" }, facts, errs)), more);
    body.addEventListener("keydown", (e) => this.keys(e, row.key));
    const line = { row, inputs, errs, facts, toggle, more, body };
    this.lines.set(row.key, line);
    if (this.open.has(row.key)) this.fillMore(line);
    return body;
  }

  input(c, row, label, describedBy) {
    return makeInput(c, this.store.cell(this.file, row, c.name), {
      label, describedBy, zones: "zones", hint: this.options.hint?.(row, c),
      onEdit: (value) => this.edit(row.key, c.name, value),
    });
  }

  edit(key, column, value) {
    const { store, file, options } = this;
    store.change(() => {
      options.beforeWrite?.(key, column, value);
      store.write(file, key, column, value);
    }, { merge: `${file} ${key} ${column}`, shape: false });
    if ((options.shapers ?? []).includes(column)) this.reshape(key, column);
  }

  // reshape makes a row anew whose kind has changed.
  reshape(key, column) {
    const old = this.lines.get(key).body, rows = this.rows(), i = rows.findIndex((r) => r.key === key);
    old.replaceWith(this.line(rows[i], i));
    this.focus(key, column);
  }

  fillMore(line) {
    const { key } = line.row;
    const fields = [...this.common, ...this.more].filter((c) => !line.inputs[c.name]).map((c) => {
      const field = makeField(c, this.store.cell(this.file, line.row, c.name), {
        zones: "zones", hint: this.options.hint?.(line.row, c), onEdit: (value) => this.edit(key, c.name, value) });
      line.inputs[c.name] = field.querySelector("input, select, textarea");
      return field;
    });
    const act = (name, text, f) => el("button", { type: "button", data: { do: name }, on: { click: f } }, text);
    line.more.firstChild.replaceChildren(el("div", { class: "fields" }, ...fields),
      el("div", { class: "row-tools" },
        act("up", "Move up", () => this.moveRow(key, -1)), act("down", "Move down", () => this.moveRow(key, 1)),
        act("copy", "Copy", () => this.copyRow(key)), act("delete", "Delete", () => this.deleteRow(key)),
        ...(this.options.extra?.(line.row) ?? [])));
  }

  toggle(key) {
    const line = this.lines.get(key);
    const open = !this.open.has(key);
    if (open) this.open.add(key); else this.open.delete(key);
    line.toggle.setAttribute("aria-expanded", String(open));
    line.more.hidden = !open;
    if (open && !line.more.querySelector(".fields")) { this.fillMore(line); this.problems(this.last ?? []); }
  }

  // keys: Alt with an arrow moves a row, the arrows alone go between rows.
  keys(e, key) {
    if (e.key !== "ArrowUp" && e.key !== "ArrowDown") return;
    const by = e.key === "ArrowUp" ? -1 : 1;
    if (e.altKey) { e.preventDefault(); this.moveRow(key, by, e.target.dataset.column); return; }
    if (e.target.tagName === "SELECT" || e.target.type === "date" || !e.target.dataset.column) return;
    const bodies = [...this.table.tBodies];
    const next = bodies[bodies.findIndex((b) => b.dataset.key === key) + by];
    const input = next?.querySelector(`[data-column="${e.target.dataset.column}"]`);
    if (input) { e.preventDefault(); input.focus(); input.select?.(); }
  }

  moveRow(key, by, column) {
    this.store.change(() => this.store.move(this.file, key, by, this.options.belongs));
    this.focus(key, column ?? (by < 0 ? "do:up" : "do:down"));
  }

  copyRow(key) {
    let made;
    this.store.change(() => { made = (this.options.copy ?? ((k) => this.store.copy(this.file, k)))(key); });
    this.focus(made, this.options.name);
  }

  deleteRow(key) {
    const keys = this.rows().map((r) => r.key);
    const next = keys[keys.indexOf(key) + 1] ?? keys[keys.indexOf(key) - 1];
    this.store.change(() => this.store.remove(this.file, (r) => r.key === key));
    if (next) this.focus(next, this.options.name);
  }

  focus(key, what) {
    const body = this.lines.get(key)?.body;
    const target = what?.startsWith("do:") ? body?.querySelector(`[data-do="${what.slice(3)}"]`) : body?.querySelector(`[data-column="${what}"]`);
    (target ?? body?.querySelector("input, select"))?.focus();
  }

  // sync shows what the store holds: new values, or new rows.
  sync(shape) {
    const rows = this.rows();
    const same = rows.length === this.lines.size && rows.every((r, i) => this.table.tBodies[i]?.dataset.key === r.key);
    if (shape && !same) this.build();
    for (const row of this.rows()) {
      const line = this.lines.get(row.key);
      line.row = row;
      for (const [name, input] of Object.entries(line.inputs)) {
        if (shape || document.activeElement !== input) setInput(input, this.store.cell(this.file, row, name));
      }
    }
    this.refreshHints();
  }

  // refreshHints renews what blank cells stand for and the facts below a row.
  refreshHints() {
    this.rows().forEach((row, i) => {
      const line = this.lines.get(row.key);
      if (!line) return;
      line.facts.replaceChildren(this.options.facts?.(row, i) ?? "");
      for (const c of [...this.common, ...this.more]) {
        const input = line.inputs[c.name], hint = this.options.hint?.(row, c);
        if (!input || hint === undefined) continue;
        if (input.tagName === "SELECT") input.options[0].textContent = hint.replaceAll("_", " ") || "–";
        else input.placeholder = hint;
      }
    });
  }

  // problems shows what is wrong, below the row and at the cell; it returns how
  // many it placed.
  problems(list) {
    this.last = list;
    let placed = 0;
    const all = this.store.rows(this.file);
    for (const [key, line] of this.lines) {
      const mine = list.filter((p) => p.file === this.file && all[p.row]?.key === key);
      placed += mine.length;
      for (const [name, input] of Object.entries(line.inputs)) {
        const here = mine.filter((p) => p.column === name);
        const holder = input.closest(".field")?.querySelector(".errs-here");
        showErrors(input, holder ?? el("i"), here.map((p) => p.text));
      }
      const outside = mine.filter((p) => !line.inputs[p.column]?.closest(".field"));
      line.errs.replaceChildren(...outside.map((p) => el("span", { class: "err" }, p.column ? `${this.labelOf(p.column)}: ${p.text}` : p.text)));
    }
    return placed;
  }

  labelOf(column) { return this.store.spec(this.file, column)?.label ?? column; }
}
