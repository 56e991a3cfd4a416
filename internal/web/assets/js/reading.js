// Reading the curve: an hour under the pointer, or chosen with the arrow keys,
// is told in numbers: state of charge, what charges, what draws.
import { el, svg } from "./dom.js";

export class Reading {
  constructor() { this.hour = -1; }

  // attach takes the curve of a new answer.
  attach(pic, panel, hours) {
    Object.assign(this, { pic, panel, hours });
    if (!pic || !panel) return;
    const d = pic.dataset;
    this.left = +d.left; this.right = +d.right; this.top = +d.top; this.bottom = +d.bottom;
    this.count = hours.soc.length;
    this.cross = svg("path", { class: "cross" });
    this.dot = svg("circle", { class: "cross-dot", r: 4.5 });
    pic.append(this.cross, this.dot);
    panel.hidden = false;
    for (const [name, value] of Object.entries({ role: "slider", tabindex: "0", "aria-label": "Read the curve by hour",
      "aria-valuemin": 0, "aria-valuemax": this.count - 1 })) panel.setAttribute(name, value);
    const move = (e) => this.point(e);
    pic.addEventListener("pointermove", move);
    pic.addEventListener("pointerdown", move);
    panel.addEventListener("keydown", (e) => this.keys(e));
    this.show(Math.min(this.hour, this.count - 1));
  }

  point(e) {
    const box = this.pic.getBoundingClientRect(), width = this.pic.viewBox.baseVal.width;
    const x = ((e.clientX - box.left) / box.width) * width;
    this.show(Math.max(0, Math.min(this.count - 1, Math.floor(((x - this.left) / (this.right - this.left)) * this.count))));
  }

  keys(e) {
    const by = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 24, PageDown: -24 }[e.key];
    const to = by ? Math.max(0, this.hour) + by : { Home: 0, End: this.count - 1 }[e.key];
    if (to === undefined) return;
    e.preventDefault();
    this.show(Math.max(0, Math.min(this.count - 1, to)));
  }

  show(h) {
    this.hour = h;
    if (h < 0) {
      this.cross.setAttribute("d", ""); this.dot.setAttribute("r", 0);
      this.panel.replaceChildren(el("span", { class: "hint" }, "Point at the curve, or use the arrow keys here, to read an hour."));
      this.panel.setAttribute("aria-valuetext", "no hour chosen");
      return;
    }
    const soc = this.hours.soc[h], x = this.left + ((h + 1) / this.count) * (this.right - this.left), y = this.bottom - (soc / 100) * (this.bottom - this.top);
    this.cross.setAttribute("d", `M${x} ${this.top}V${this.bottom + 30}`);
    this.dot.setAttribute("cx", x); this.dot.setAttribute("cy", y); this.dot.setAttribute("r", 4.5);
    const t = this.tell(h);
    this.panel.setAttribute("aria-valuenow", h);
    this.panel.setAttribute("aria-valuetext", `${t.when}: ${soc} %. ${t.charges} ${t.draws} ${t.state}`);
    this.panel.replaceChildren(el("span", { class: "soc-now" }, `${soc} %`),
      el("span", {}, el("span", { class: "when" }, t.when), " ", el("span", { class: "place" }, t.place)),
      el("span", {}, t.charges), el("span", {}, [t.draws, t.state].filter(Boolean).join(" ")));
  }

  // tell puts an hour into words.
  tell(h) {
    const o = this.hours, f = o.flags[h];
    const sources = [["sun", o.solar[h]], ["alternator", o.alternator[h]], ["mains", o.mains[h]]].filter(([, w]) => w > 0).map(([n, w]) => `${n} ${w} W`);
    const loads = [];
    for (let i = 0; i + 1 < o.drawing[h].length; i += 2) loads.push(`${o.loads[o.drawing[h][i]]} ${o.drawing[h][i + 1]} W`);
    const states = [[1, "Flat: the battery is disconnected."], [2, "The inverter is off on low voltage."], [4, "The battery refuses charge."], [8, "Non-essential appliances are off."]];
    return {
      when: `${o.days[o.day[h]]}, ${o.clock[h]}`, place: o.places[o.day[h]],
      charges: sources.length ? `Charges: ${sources.join(", ")}.` : "Nothing charges.",
      draws: loads.length ? `Draws: ${loads.join(", ")}.` : "Nothing draws.",
      state: states.filter(([bit]) => f & bit).map(([, s]) => s).join(" "),
    };
  }
}
