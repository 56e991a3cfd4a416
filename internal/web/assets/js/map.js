// The map of the trip: coastlines from the server, stops and route drawn here.
// A click, or the aim moved with the arrow keys and Enter, places a stop.
import { el, svg, later } from "./dom.js";
import { fetchMap } from "./api.js";
import { placeLabels } from "./labels.js";

const FILE = "trip.csv", NONE = "none"; // no stop is chosen: a click only tells the position
const wrap = (lon) => ((((lon + 180) % 360) + 360) % 360) - 180;

export class TripMap {
  constructor(store, say) {
    Object.assign(this, { store, say, stops: [], view: null, aim: null });
    this.told = el("span", { class: "quiet-note" });
    this.pic = svg("svg", { role: "application", tabindex: "0", "aria-label": "Map of the trip. Arrow keys move the aim, Enter places the chosen stop, plus and minus zoom." });
    const tool = (text, label, f) => el("button", { type: "button", "aria-label": label, on: { click: f } }, text);
    this.box = el("div", { class: "map" }, this.pic);
    const zooms = el("div", { class: "map-tools" },
      tool("+", "Zoom in", () => this.zoom(0.5)), tool("−", "Zoom out", () => this.zoom(2)), tool("⤢", "Show the whole trip", () => this.fit()));
    this.which = el("select", { "aria-label": "Stop to place", on: { change: () => this.paint() } });
    this.tools = el("div", { class: "map-place" }, el("span", {}, "A click sets the position of:"), this.which, this.told, zooms);
    this.pic.addEventListener("click", (e) => { const p = this.position(e); this.place(p.lat, p.lon); });
    this.pic.addEventListener("keydown", (e) => this.keys(e));
    this.pic.addEventListener("blur", () => { this.aim = null; this.paint(); });
    new ResizeObserver(later(150, () => this.resized())).observe(this.box);
    this.refit = later(250, () => this.fit());
    this.refresh();
  }

  show() { if (!this.view) this.fit(); }
  resized() { if (this.box.clientWidth && Math.abs((this.view?.width ?? 0) - this.box.clientWidth) > 8) this.load(this.ask); }
  size() { const w = Math.max(280, this.box.clientWidth || 600); return { w, h: Math.round(Math.min(360, Math.max(210, w * 0.52))) }; }

  fit() {
    const q = new URLSearchParams();
    this.empty = !this.stops.length; // a view of the world, until there are stops
    for (const s of this.stops) { q.append("lat", s.lat.toFixed(3)); q.append("lon", s.lon.toFixed(3)); }
    this.load(q);
  }

  around(lat, lon, span) { this.load(new URLSearchParams({ lat, lon, span })); }

  zoom(by) {
    if (!this.view) return;
    const v = this.view, at = this.aim ?? { lat: (v.north + v.south) / 2, lon: (v.west + v.east) / 2 };
    this.around(at.lat, at.lon, (v.east - v.west) * by);
  }

  async load(q) {
    if (!this.box.clientWidth) return;
    this.ask = q ?? new URLSearchParams();
    const { w, h } = this.size(), asked = new URLSearchParams(this.ask);
    asked.set("w", w); asked.set("h", h);
    try { this.view = await fetchMap(asked); this.paint(); } catch { /* the alarm elsewhere tells that the server is gone */ }
  }

  // answered gets the stops as the server resolved them.
  answered(stops) {
    const before = JSON.stringify(this.stops.map((s) => [s.lat, s.lon]));
    this.stops = stops;
    if (before === JSON.stringify(stops.map((s) => [s.lat, s.lon])) && this.view) return this.paint();
    const inside = this.view && !this.empty && stops.every((s) => { const p = this.xy(s); return p.x > 4 && p.y > 4 && p.x < this.view.width - 4 && p.y < this.view.height - 4; });
    if (inside) this.paint(); else this.refit();
  }

  // refresh renews the list of stops.
  refresh() {
    const keep = this.which.options.length ? this.which.value : NONE;
    const rows = this.store.rows(FILE);
    this.which.replaceChildren(el("option", { value: NONE }, "no stop"), ...rows.map((r, i) => el("option", { value: r.key }, `${i + 1} ${this.store.cell(FILE, r, "place") || "no name"}`)),
      el("option", { value: "" }, "a new stop at the end"));
    this.which.value = keep === "" || rows.some((r) => r.key === keep) ? keep : NONE;
    this.paint();
  }

  xy({ lat, lon }) {
    const v = this.view, mid = (v.west + v.east) / 2;
    const x = mid + wrap(lon - mid);
    return { x: ((x - v.west) / (v.east - v.west)) * v.width, y: ((v.north - lat) / (v.north - v.south)) * v.height };
  }

  position(e) {
    const box = this.pic.getBoundingClientRect(), v = this.view;
    const fx = (e.clientX - box.left) / box.width, fy = (e.clientY - box.top) / box.height;
    return { lat: v.north - fy * (v.north - v.south), lon: v.west + fx * (v.east - v.west) };
  }

  paint() {
    const v = this.view;
    if (!v) return;
    this.pic.setAttribute("viewBox", `0 0 ${v.width} ${v.height}`);
    const path = (c, d) => svg("path", { class: c, d });
    const kids = [path("m-land", v.land), path("m-grid", v.grid), path("m-coast", v.coast), path("m-border", v.borders)];
    const at = this.stops.map((s) => this.xy(s));
    let d = "";
    at.forEach((p, i) => { d += `${i && Math.abs(p.x - at[i - 1].x) < v.width ? "L" : "M"}${p.x.toFixed(1)} ${p.y.toFixed(1)}`; });
    kids.push(path("m-route", d));
    const rows = this.store.rows(FILE);
    const labels = placeLabels(at.map((p, i) => ({ ...p, name: this.stops[i].place })), v.width, v.height);
    for (const l of labels) if (l.lead) kids.push(path("m-lead", l.lead));
    at.forEach((p, i) => {
      const s = this.stops[i], picked = rows[i]?.key === this.which.value;
      const dot = svg("circle", { class: picked ? "m-stop m-picked" : "m-stop", cx: p.x, cy: p.y, r: picked ? 7 : 5 });
      dot.append(svg("title", {}, `${i + 1} ${s.place}: ${s.date}, ${s.sun}, ${s.air}`));
      kids.push(dot);
    });
    for (const { text, x, y, anchor } of labels) kids.push(svg("text", { class: "m-name", x, y, "text-anchor": anchor }, text));
    if (this.aim) { const p = this.xy(this.aim); kids.push(path("m-aim", `M${p.x - 12} ${p.y}h24M${p.x} ${p.y - 12}v24`)); }
    this.pic.replaceChildren(...kids);
  }

  keys(e) {
    const v = this.view;
    if (!v) return;
    if (e.key === "+" || e.key === "-") { e.preventDefault(); return this.zoom(e.key === "+" ? 0.5 : 2); }
    const step = (v.east - v.west) / (e.shiftKey ? 12 : 60);
    const move = { ArrowLeft: [0, -step], ArrowRight: [0, step], ArrowUp: [step * 0.8, 0], ArrowDown: [-step * 0.8, 0] }[e.key];
    if (!move && e.key !== "Enter") return;
    e.preventDefault();
    const picked = this.stops[this.store.rows(FILE).findIndex((r) => r.key === this.which.value)];
    this.aim ??= picked ? { lat: picked.lat, lon: picked.lon } : { lat: (v.north + v.south) / 2, lon: (v.west + v.east) / 2 };
    if (!move) return this.place(this.aim.lat, this.aim.lon);
    this.aim = { lat: Math.max(-89, Math.min(89, this.aim.lat + move[0])), lon: this.aim.lon + move[1] };
    const p = this.xy(this.aim);
    if (p.x < 0 || p.y < 0 || p.x > v.width || p.y > v.height) return this.around(this.aim.lat, this.aim.lon, v.east - v.west);
    this.say(`${this.aim.lat.toFixed(2)}, ${wrap(this.aim.lon).toFixed(2)}`);
    this.paint();
  }

  // place writes a position. Height and clock of the old place go blank, which
  // stands for those of the new one.
  place(lat, lon) {
    const digits = this.view.east - this.view.west > 5 ? 2 : 3;
    const at = `${lat.toFixed(digits)}, ${wrap(lon).toFixed(digits)}`;
    this.told.textContent = at;
    if (this.which.value === NONE) return this.say(`${at}. Choose a stop to place it here.`);
    const values = { latitude: lat.toFixed(digits), longitude: wrap(lon).toFixed(digits) };
    let key = this.which.value;
    this.store.change(() => {
      key ||= this.store.add(FILE, { place: this.store.free(FILE, "place", "New stop") });
      for (const [c, value] of Object.entries({ ...values, elevation_m: "", time_zone: "" })) this.store.write(FILE, key, c, value);
    });
    this.which.value = key;
    this.refresh();
    this.say(`Placed at ${at}.`);
  }
}
