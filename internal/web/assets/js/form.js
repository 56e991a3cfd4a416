// A form over one row of a table: the fields of a system, or the facts of the
// job. Common fields at once, the others under "more".
import { el } from "./dom.js";
import { makeField, setInput, showErrors } from "./fields.js";

export class Form {
  // get(column) and set(column, value) read and write; hint(column) may say what
  // a blank field stands for.
  constructor(columns, { get, set, hint }) {
    this.get = get;
    this.fields = new Map();
    const make = (c) => {
      const field = makeField(c, get(c.name), { zones: "zones", hint: hint?.(c), onEdit: (v) => set(c.name, v) });
      this.fields.set(c.name, field);
      return field;
    };
    const common = columns.filter((c) => c.common), rest = columns.filter((c) => !c.common);
    this.more = el("details", { class: "more" }, el("summary", {}, "More"), el("div", { class: "fields" }, ...rest.map(make)));
    this.box = el("div", {}, el("div", { class: "fields" }, ...common.map(make)), rest.length ? this.more : null);
  }

  input(name) { return this.fields.get(name)?.querySelector("input, select, textarea"); }

  sync(shape) {
    for (const name of this.fields.keys()) {
      const input = this.input(name);
      if (shape || document.activeElement !== input) setInput(input, this.get(name));
    }
  }

  // problems takes those of this form; the ones without a field are returned.
  problems(list) {
    for (const [name, field] of this.fields) {
      const mine = list.filter((p) => p.column === name);
      showErrors(this.input(name), field.querySelector(".errs-here"), mine.map((p) => p.text));
      if (mine.length && this.more.contains(field)) this.more.open = true;
    }
    return list.filter((p) => !this.fields.has(p.column));
  }
}
