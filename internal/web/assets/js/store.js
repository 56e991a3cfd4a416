// The tables being edited, with undo. Tables are values: every change makes new
// ones, so that going back is only taking the old ones up again.
//
//   tables: { "trip.csv": { columns: [..], rows: [{ from, cells: [..], key }] } }
//
// `from` is the row of the file as it was read (-1 = new), which lets the server
// give untouched rows back byte for byte; `key` names a row on this page. `source`
// numbers what was read: an import is another source, and one step to undo.
import { uid } from "./dom.js";

const MOST_UNDO = 500;

export class Store {
  constructor(doc) {
    this.listeners = [];
    this.load(doc);
  }

  // load takes a document as the server sends it.
  load(doc) {
    this.rev = doc.rev;
    this.specs = Object.fromEntries(doc.schema.map((t) => [t.file, t]));
    this.catalogue = doc.catalogue;
    this.zones = doc.zones;
    this.open(doc);
    this.past = [];
    this.future = [];
    this.merge = "";
  }

  // open makes the tables of a scenario as it was read those of the page.
  open({ source, name, tables }) {
    Object.assign(this, { source, name, tables: {}, origin: uid("o") });
    for (const file of Object.keys(this.specs)) {
      const sheet = tables[file] ?? {};
      this.tables[file] = {
        columns: sheet.columns ?? [],
        rows: (sheet.rows ?? []).map((r) => ({ from: r.from, cells: r.cells, key: uid("r") })),
      };
    }
  }

  // moment is what undo goes back to.
  moment() { return { source: this.source, name: this.name, tables: this.tables, origin: this.origin }; }

  onChange(f) { this.listeners.push(f); }
  tell(shape) { for (const f of this.listeners) f(shape); }

  spec(file, column) { return this.specs[file].columns.find((c) => c.name === column); }
  rows(file) { return this.tables[file].rows; }
  at(file, column) { return this.tables[file].columns.findIndex((c) => c.trim() === column); }
  row(file, key) { return this.rows(file).find((r) => r.key === key); }

  cell(file, row, column) {
    const j = this.at(file, column);
    return j < 0 ? "" : row.cells[j] ?? "";
  }

  // change runs f on the tables and remembers what was before. Changes with the
  // same merge key in a row count as one. shape: rows came, went or moved.
  change(f, { merge = "", shape = true } = {}) {
    const before = this.moment();
    this.tables = { ...before.tables };
    f();
    if (!merge || merge !== this.merge) {
      this.past.push(before);
      if (this.past.length > MOST_UNDO) this.past.shift();
    }
    this.merge = merge;
    this.future = [];
    this.tell(shape);
  }

  undo() { this.travel(this.past, this.future); }
  redo() { this.travel(this.future, this.past); }
  travel(from, to) {
    if (!from.length) return;
    to.push(this.moment());
    Object.assign(this, from.pop());
    this.merge = "";
    this.tell(true);
  }

  // The following change tables inside change().

  put(file, rows, columns = this.tables[file].columns) { this.tables[file] = { columns, rows }; }

  // column finds a column or adds it where the schema has it.
  column(file, name) {
    const found = this.at(file, name);
    if (found >= 0) return found;
    const { order } = this.specs[file];
    const { columns, rows } = this.tables[file];
    const before = new Set(order.slice(0, order.indexOf(name)));
    let j = columns.findLastIndex((c) => before.has(c.trim())) + 1;
    if (!columns.length) j = 0;
    const insert = (list) => (list.length > j ? [...list.slice(0, j), "", ...list.slice(j)] : list);
    this.put(file, rows.map((r) => ({ ...r, cells: insert(r.cells) })), [...columns.slice(0, j), name, ...columns.slice(j)]);
    return j;
  }

  write(file, key, name, value) {
    if (value === "" && this.at(file, name) < 0) return;
    const j = this.column(file, name);
    this.put(file, this.rows(file).map((r) => {
      if (r.key !== key) return r;
      const cells = [...r.cells];
      while (cells.length <= j) cells.push("");
      cells[j] = value;
      return { ...r, cells };
    }));
  }

  add(file, values, after) {
    const row = { from: -1, cells: [], key: uid("r") };
    const rows = [...this.rows(file)];
    const at = after ? rows.findIndex((r) => r.key === after) + 1 : rows.length;
    rows.splice(at, 0, row);
    this.put(file, rows);
    for (const [name, value] of Object.entries(values)) if (value !== "") this.write(file, row.key, name, value);
    return row.key;
  }

  copy(file, key, values = {}) {
    const from = this.row(file, key);
    const row = { from: -1, cells: [...from.cells], key: uid("r") };
    const rows = [...this.rows(file)];
    rows.splice(rows.indexOf(from) + 1, 0, row);
    this.put(file, rows);
    for (const [name, value] of Object.entries(values)) this.write(file, row.key, name, value);
    return row.key;
  }

  remove(file, drop) { this.put(file, this.rows(file).filter((r) => !drop(r))); }

  // move shifts a row by one place among the rows that belong together.
  move(file, key, by, belongs = () => true) {
    const rows = [...this.rows(file)];
    const from = rows.findIndex((r) => r.key === key);
    let to = from + by;
    while (to >= 0 && to < rows.length && !belongs(rows[to])) to += by;
    if (to < 0 || to >= rows.length) return;
    const [row] = rows.splice(from, 1);
    rows.splice(to, 0, row);
    this.put(file, rows);
  }

  // adopt puts edited tables of the server in place; rows that are still there
  // keep their keys.
  adopt(tables) {
    for (const [file, { columns, rows }] of Object.entries(tables)) {
      const left = [...this.rows(file)];
      const key = (r) => {
        const i = left.findIndex((o) => (r.from >= 0 ? o.from === r.from : o.from < 0 && `${o.cells}` === `${r.cells}`));
        return i < 0 ? uid("r") : left.splice(i, 1)[0].key;
      };
      this.put(file, rows.map((r) => ({ ...r, key: key(r) })), columns);
    }
  }

  // free finds a name that the column does not hold yet: "Unit", "Unit 2", ...
  free(file, column, name, belongs = () => true) {
    const taken = new Set(this.rows(file).filter(belongs).map((r) => this.cell(file, r, column).trim().toLowerCase()));
    if (!taken.has(name.toLowerCase())) return name;
    const stem = name.replace(/ \d+$/, "");
    for (let n = 2; ; n++) if (!taken.has(`${stem} ${n}`.toLowerCase())) return `${stem} ${n}`;
  }

  // wire is what the server takes.
  wire() {
    const out = {};
    for (const [file, t] of Object.entries(this.tables)) {
      out[file] = { columns: t.columns, rows: t.rows.map((r) => ({ from: r.from, cells: r.cells })) };
    }
    return out;
  }
}
