// The job: one fact per row of job.csv, shown as a form over its keys.
import { el } from "./dom.js";
import { Form } from "./form.js";

const FILE = "job.csv";

export class Job {
  constructor(store) {
    this.store = store;
    this.form = new Form(store.specs[FILE].columns, {
      get: (key) => { const r = this.row(key); return r ? store.cell(FILE, r, "value") : ""; },
      set: (key, value) => store.change(() => this.write(key, value), { merge: `${FILE} ${key}`, shape: false }),
    });
    this.box = el("div", {}, el("div", { class: "tab-head" }, el("h2", {}, "Job")),
      el("p", { class: "about" }, "Who the answer is for, and what is asked of a system."), el("div", { class: "card" }, this.form.box),
      document.querySelector('[data-tool="quote"]') && el("p", { class: "about" }, "The quote as a page: ", el("a", { href: "/quote.html", target: "_blank", rel: "noopener" }, "open it"), "."));
  }

  row(key) { return this.store.rows(FILE).find((r) => this.store.cell(FILE, r, "key").trim().toLowerCase() === key); }

  write(key, value) {
    const row = this.row(key);
    if (row) this.store.write(FILE, row.key, "value", value);
    else if (value !== "") {
      this.store.column(FILE, "key");
      this.store.column(FILE, "value");
      this.store.add(FILE, { key, value });
    }
  }

  sync(shape) { this.form.sync(shape); }
  problems(list) { return this.form.problems(list); }
}
