// Inputs made from the schema: the kind of a column decides what its input is,
// the schema's words are its help, its default stands in the blank input.
import { el, uid } from "./dom.js";

// An input for one cell. Wrong text must be possible: the server says what is
// wrong with it, in the words of the command line.
export function makeInput(info, value, { label, describedBy, onEdit, hint, zones }) {
  const common = {
    "aria-label": label, "aria-describedby": describedBy, autocomplete: "off", spellcheck: "false",
    data: { column: info.name },
  };
  if (info.kind === "choice" || info.kind === "yesno") {
    return makeSelect(info, value, common, onEdit, hint);
  }
  const props = { ...common, type: "text", value, placeholder: hint ?? blankHint(info), on: { input: (e) => onEdit(e.target.value) } };
  if (info.kind === "number" || info.kind === "integer") props.inputmode = "decimal";
  if (info.kind === "date" && (value === "" || /^\d{4}-\d\d-\d\d$/.test(value))) props.type = "date";
  if (info.kind === "zone" && zones) props.list = zones;
  if (info.kind === "clock") props.placeholder = hint || info.default || "HH:MM";
  return el("input", props);
}

function makeSelect(info, value, common, onEdit, hint) {
  const choices = info.kind === "yesno" ? ["yes", "no"] : info.choices;
  const known = choices.find((c) => c.toLowerCase() === value.trim().toLowerCase());
  const blank = hint || info.default;
  const select = el("select", { ...common, on: { change: (e) => { mark(e.target); onEdit(e.target.value); } } },
    el("option", { value: "" }, blank ? `${words(blank)}` : "–"),
    ...choices.map((c) => el("option", { value: c }, words(c))),
    value.trim() && !known ? el("option", { value }, value) : null);
  select.value = known ?? value;
  mark(select);
  return select;
}

const mark = (select) => select.classList.toggle("blank", select.value === "");
const words = (s) => s.replaceAll("_", " ");

// What a blank cell stands for, as short as it fits into the input.
export function blankHint(info) {
  if (info.default) return info.default;
  const text = info.required ? `e.g. ${info.example}` : info.blank === "nothing" ? "" : info.blank;
  return text.length > 24 ? "auto" : text;
}

// setInput shows a value that came from elsewhere (undo).
export function setInput(input, value) {
  if (input.value === value) return;
  if (input.tagName === "SELECT") {
    const known = [...input.options].find((o) => o.value.toLowerCase() === value.trim().toLowerCase());
    if (!known) input.append(el("option", { value }, value));
    input.value = known ? known.value : value;
    mark(input);
  } else input.value = value;
}

// A labelled field of a form, with room for the error below it.
export function makeField(info, value, options) {
  const id = uid("f"), help = uid("h"), err = uid("e");
  const input = makeInput(info, value, { ...options, label: undefined, describedBy: `${err} ${help}` });
  input.id = id;
  const unit = info.unit ? ` (${info.unit})` : "";
  return el("div", { class: info.name === "note" || info.name === "notes" ? "field wide" : "field", data: { field: info.name } },
    el("label", { for: id }, info.label + unit),
    input,
    el("span", { class: "errs-here", id: err }),
    el("span", { class: "help", id: help }, helpText(info, options.hint)));
}

export function helpText(info, hint) {
  const stands = hint || info.blank;
  const blank = info.required || stands === "nothing" ? "" : ` Empty: ${stands}.`;
  return `${capital(info.about)}.${blank}`;
}

const capital = (s) => s.charAt(0).toUpperCase() + s.slice(1);

// showErrors puts messages into a holder and ties the input to them.
export function showErrors(input, holder, texts) {
  if (input) {
    if (texts.length) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  }
  holder.replaceChildren(...texts.map((t) => el("span", { class: "err" }, t)));
}
