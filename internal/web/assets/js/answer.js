// The answer: a finished piece of page from the server is put in place; focus,
// opened details and the hour being read stay as they were.
import { el, byId, later } from "./dom.js";
import { Reading } from "./reading.js";

export class Answer {
  constructor({ onSystem, onFix }) {
    this.body = byId("answer-body");
    this.mistakes = byId("mistakes");
    this.reading = new Reading();
    this.speak = later(900, (text) => { if (byId("spoken").textContent !== text) byId("spoken").textContent = text; });
    this.body.addEventListener("click", (e) => {
      const link = e.target.closest("a[data-system]");
      if (link) { e.preventDefault(); onSystem(link.dataset.system); }
      const flag = e.target.closest("a[data-spell]");
      if (flag) { e.preventDefault(); this.why(flag.dataset.spell); }
      const fix = e.target.closest("button[data-fix]");
      if (fix) onFix(fix);
    });
  }

  // show puts an answer in place.
  show(a) {
    const open = [...this.body.querySelectorAll("details[id]")].map((d) => [d.id, d.open]);
    const same = this.system === a.shown;
    const focus = this.body.contains(document.activeElement) ? document.activeElement.id : "";
    const scroll = this.body.querySelector(".days")?.parentElement.scrollLeft ?? 0;
    const page = new DOMParser().parseFromString(a.html, "text/html");
    const fixes = same ? [...byId("fixes").childNodes] : []; // until the new ones are found
    this.body.replaceChildren(...page.body.childNodes);
    if (a.mark !== "good") byId("fixes").replaceChildren(...fixes);
    this.body.classList.remove("stale");
    this.mistakes.replaceChildren();
    if (same) for (const [id, on] of open) { const d = byId(id); if (d) d.open = on; }
    const days = this.body.querySelector(".days")?.parentElement;
    if (days) days.scrollLeft = scroll;
    this.system = a.shown;
    this.reading.attach(this.body.querySelector("svg.curve"), byId("reading"), a.hours);
    if (focus) byId(focus)?.focus({ preventScroll: true });
    this.progress(a.draws, a.wanted);
    this.speak(a.spoken);
  }

  // fixes puts what would fix the trip in its place.
  fixes(html) {
    const page = new DOMParser().parseFromString(html, "text/html");
    byId("fixes")?.replaceChildren(...page.body.childNodes);
  }

  // why opens the reason of a flat spell.
  why(id) {
    const d = byId(`why-${id}`);
    if (!d) return;
    for (const other of this.body.querySelectorAll("details.lit")) other.classList.remove("lit");
    d.open = true;
    d.classList.add("lit");
    d.querySelector("summary").focus();
    d.scrollIntoView({ block: "nearest" });
  }

  progress(done, total) {
    this.bar?.remove();
    const rest = byId("rest");
    if (!rest || done >= total) return;
    this.bar = el("span", {}, " Refining: ", el("progress", { max: total, value: done, "aria-label": "Simulated trips done" }), ` ${done} of ${total}.`);
    rest.append(this.bar);
  }

  // wrong tells that the answer is that of the last tables without mistakes.
  wrong(problems) {
    this.body.classList.add("stale");
    this.mistakes.replaceChildren(el("section", { class: "verdict verdict-bad", "aria-label": "Mistakes" },
      el("span", { class: "sign sign-bad", "aria-hidden": "true" }, "!"),
      el("div", {}, el("h2", {}, problems.length === 1 ? "One mistake to mend" : `${problems.length} mistakes to mend`),
        el("p", {}, "The answer below is that of the last tables without a mistake."),
        el("ul", { class: "problems" }, ...problems.slice(0, 12).map((p) => el("li", {}, `${p.file}${p.line ? `:${p.line}` : ""}: ${p.column ? `${p.column}: ` : ""}${p.text}`)),
          problems.length > 12 ? el("li", {}, `and ${problems.length - 12} more`) : null))));
    this.speak(`${problems.length} to mend. ${problems[0].text}`);
  }
}
