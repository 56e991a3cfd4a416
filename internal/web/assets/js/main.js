// Ties the page together: every change of the store asks the server, every
// answer goes to the editor and the answer pane.
import { byId, el, later } from "./dom.js";
import { Store } from "./store.js";
import { Editor } from "./editor.js";
import { Answer } from "./answer.js";
import { ask, fetchDocument, fetchFix, fetchFixes, fetchQuote, importZip } from "./api.js";

const EDIT_MS = 140; // typing pauses this long before the server is asked

let store, editor, answer, dirty = false, force = false;
let then = null; // what waits until the server has the tables
let asked = new URLSearchParams(location.search).get("system") ?? "";

const say = later(60, (text) => { byId("spoken").textContent = text; });

// alarm shows a notice and has it spoken.
function alarm(text, ...buttons) {
  byId("alarm").textContent = text;
  const box = byId("notice");
  box.hidden = !text;
  box.className = "notice";
  box.replaceChildren(el("p", {}, text), ...buttons, el("button", { type: "button", on: { click: () => { box.hidden = true; } } }, "Close"));
}

// Notices of three kinds go by themselves: "made" tells of an edit and stays until
// the next, "failed" of an action until one goes well, "unanswered" of a question
// until one is answered.
const mark = (kind) => byId("notice").classList.add(kind);
const fail = (e) => { alarm(e.message); mark("failed"); };
function settle(...kinds) {
  const box = byId("notice");
  if (kinds.some((kind) => box.classList.contains(kind))) { box.hidden = true; byId("alarm").textContent = ""; }
}

// made tells of an edit that was made for the user, with the way back.
function made(text) {
  const back = el("button", { type: "button", data: { do: "take-back" }, on: { click: () => { store.undo(); byId("answer").focus(); } } }, "Undo");
  alarm(text, back);
  mark("made");
  return back;
}

function question() {
  dirty = false;
  const tables = store.past.length || store.future.length || force ? store.wire() : null;
  const width = byId("answer-body").clientWidth - 6;
  document.body.dataset.state = "asking";
  const shown = editor.picked ? editor.systems.name().trim() : asked;
  ask({ rev: store.rev, source: store.source, tables, shown, width, force }, take);
  force = false;
}
const askSoon = later(EDIT_MS, question);

function take(message) {
  if (message.rev !== undefined && message.kind !== "conflict") store.rev = message.rev;
  if (message.saved !== undefined) byId("saved").textContent = message.saved;
  if (then) { then(); then = null; }
  if (message.kind === "answer") {
    byId("title").textContent = message.title;
    document.title = `${message.title} · tripsim`;
    settle("unanswered");
    answer.show(message);
    editor.answered(message);
    const done = message.draws >= message.wanted;
    document.body.dataset.state = done ? "done" : "refining";
    if (done && message.mark !== "good" && message.draws) fix(message);
  } else if (message.kind === "progress") answer.progress(message.done, message.total);
  else if (message.kind === "problems") {
    answer.wrong(message.problems);
    editor.problems(message.problems);
    document.body.dataset.state = "wrong";
  } else if (message.kind === "conflict") {
    alarm("The trip was changed in another window.",
      el("button", { type: "button", on: { click: () => location.reload() } }, "Take over what is there"),
      el("button", { type: "button", on: { click: () => { byId("notice").hidden = true; force = true; question(); } } }, "Keep what is here"));
  } else {
    alarm(message.error);
    mark("unanswered");
  }
}

// remember keeps the picked system in the address, for a reload.
function remember(name) {
  history.replaceState(null, "", name ? `?${new URLSearchParams({ system: name })}` : "/");
}

// fix asks what would help a system that does not hold, once the answer is in.
async function fix({ shown, rev }) {
  const found = await fetchFixes(shown);
  if (found && found.rev === store.rev && rev === store.rev && answer.system === shown) answer.fixes(found.html);
}

// apply makes a change of that list an edit of the tables.
async function apply(button) {
  const { rev, system } = button.closest("section").dataset, before = store.tables;
  if (button.getAttribute("aria-busy")) return;
  if (dirty || Number(rev) !== store.rev) return say("The list is being renewed; try again in a moment.");
  button.setAttribute("aria-busy", "true");
  try {
    const change = await fetchFix({ rev: Number(rev), system, fix: Number(button.dataset.fix) });
    if (store.tables !== before) return;
    store.change(() => store.adopt(change.tables));
    editor.systems.selectName(system);
    editor.changed(Object.keys(change.tables)[0]);
    const priced = Object.keys(change.tables).some((file) => file !== "trip.csv" && file !== "loads.csv");
    const back = made(`Changed: ${change.text}.${priced ? " The price stays as it was." : ""}`);
    byId("answer").scrollTop = 0;
    back.focus();
  } catch (e) { fail(e); }
  button.removeAttribute("aria-busy");
}

// quote makes the document and hands it over as a download.
async function quote(link) {
  if (link.getAttribute("aria-busy")) return;
  const text = link.textContent;
  link.setAttribute("aria-busy", "true");
  link.textContent = "Making the quote …";
  say("Making the quote");
  try {
    const url = URL.createObjectURL(await fetchQuote(link.href));
    el("a", { href: url, download: `${store.name}-quote.pdf` }).click();
    setTimeout(() => URL.revokeObjectURL(url), 60000);
    settle("failed");
    say("The quote is made");
    document.body.dataset.quote = "made";
  } catch (e) { fail(e); }
  link.removeAttribute("aria-busy");
  link.textContent = text;
}

function tools() {
  const act = {
    undo: () => store.undo(), redo: () => store.redo(), import: () => byId("import-file").click(),
    theme: () => {
      const root = document.documentElement;
      const dark = root.dataset.theme ? root.dataset.theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
      root.dataset.theme = dark ? "light" : "dark";
      try { localStorage.setItem("theme", root.dataset.theme); } catch { /* storage is off */ }
    },
  };
  byId("tools").addEventListener("click", async (e) => {
    const name = e.target.closest("[data-tool]")?.dataset.tool;
    if (act[name]) act[name]();
    else if (name === "export" || name === "quote") {
      const link = e.target.closest("a");
      const go = name === "quote" ? () => quote(link) : () => { settle("failed"); location.href = link.href; };
      e.preventDefault();
      if (!dirty) return go();
      then = go;
      question();
    }
  });
  byId("import-file").addEventListener("change", async (e) => {
    const [file] = e.target.files;
    e.target.value = "";
    if (!file) return;
    try {
      const read = await importZip(file);
      store.change(() => store.open(read));
      made("Imported. Undo takes it back.");
    } catch (err) { fail(err); }
  });
  addEventListener("keydown", (e) => {
    if (!(e.ctrlKey || e.metaKey) || e.altKey) return;
    const key = e.key.toLowerCase();
    if (key === "z" && !e.shiftKey) { e.preventDefault(); store.undo(); } else if (key === "y" || (key === "z" && e.shiftKey)) { e.preventDefault(); store.redo(); }
  });
  let width = innerWidth;
  addEventListener("resize", later(250, () => { if (innerWidth !== width) { width = innerWidth; question(); } }));
}

// start takes up the document.
function start(doc) {
  store = new Store(doc);
  let { origin } = store;
  byId("saved").textContent = doc.saved;
  editor = new Editor(store, { say, onPick: (name) => { remember(name); question(); } });
  const buttons = () => {
    byId("tools").querySelector('[data-tool="undo"]').disabled = !store.past.length;
    byId("tools").querySelector('[data-tool="redo"]').disabled = !store.future.length;
  };
  store.onChange(() => {
    settle("made", "failed");
    if (store.origin !== origin) { // an import, done or undone: other systems
      ({ origin } = store);
      asked = "";
      editor.picked = false;
      remember("");
    }
    dirty = true;
    document.body.dataset.state = "edited";
    buttons();
    askSoon();
  });
  buttons();
  question();
}

answer = new Answer({ onFix: apply, onSystem: (name) => { editor.systems.selectName(name); remember(name); question(); } });
tools();
fetchDocument().then(start, (e) => alarm(e.message));
