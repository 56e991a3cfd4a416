// The dialog of the catalogue of generic parts, with a filter.
import { el } from "./dom.js";

// pickPart opens the catalogue; picked gets the chosen part.
export function pickPart(parts, heading, picked) {
  const list = el("ul", { class: "parts" });
  const filter = el("input", { type: "search", "aria-label": "Filter", placeholder: "Filter", on: { input: () => fill(filter.value) } });
  const dialog = el("dialog", { "aria-label": heading },
    el("div", { class: "dialog-head" }, el("h2", {}, heading), el("button", { type: "button", on: { click: () => dialog.close() } }, "Close")),
    filter, list);
  const fill = (text) => {
    const words = text.toLowerCase().split(/\s+/).filter(Boolean);
    let group = null;
    const items = [];
    for (const p of parts) {
      const hay = `${p.name} ${p.group} ${p.id} ${p.note}`.toLowerCase();
      if (!words.every((w) => hay.includes(w))) continue;
      if (p.group && p.group !== group) items.push(el("li", { class: "group" }, p.group));
      group = p.group;
      items.push(el("li", {}, el("span", {}, p.name, el("small", {}, [figures(p), p.note, p.source].filter(Boolean).join(" · "))),
        el("button", { type: "button", "aria-label": `Add ${p.name}`, data: { part: p.id }, on: { click: () => { dialog.close(); picked(p); } } }, "Add")));
    }
    list.replaceChildren(...(items.length ? items : [el("li", {}, "Nothing by that name.")]));
  };
  fill("");
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  filter.focus();
}

// figures sums a part up: "DC · 60 W".
function figures(p) {
  const c = p.cells;
  const amps = ["alternator_a", "solar_a", "mains_a"].filter((k) => c[k]).map((k) => `${k.slice(0, -2)} ${c[k]} A`);
  return [c.supply?.toUpperCase(), c.watts && `${c.watts} W`, c.battery_ah && `${c.battery_ah} Ah`, c.inverter_w && `${c.inverter_w} W`, ...amps]
    .filter(Boolean).join(" · ");
}
