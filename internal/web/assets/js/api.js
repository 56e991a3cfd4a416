// Talks to the server. A new question drops the one before, which also ends the
// work on it over there.

const client = crypto.randomUUID?.() ?? String(Math.random());
let running = null;

export async function fetchDocument() {
  const r = await fetch("/api/document");
  if (!r.ok) throw new Error(await reason(r));
  return r.json();
}

// ask posts tables (null = those of the server) and hands every line of the
// answer to take. It is quiet when a newer question has dropped it.
export async function ask({ rev, source, tables, shown, width, force }, take) {
  running?.abort();
  const mine = (running = new AbortController());
  try {
    const r = await fetch("/api/answer", {
      method: "POST", signal: mine.signal, headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ client, rev, source, tables, shown, width, force }),
    });
    if (r.status === 409) return take(await r.json());
    if (!r.ok) return take({ kind: "error", error: await reason(r) });
    const reader = r.body.pipeThrough(new TextDecoderStream()).getReader();
    for (let rest = ""; ;) {
      const { done, value } = await reader.read();
      if (done) break;
      const parts = (rest + value).split("\n");
      rest = parts.pop();
      for (const line of parts) if (line && !mine.signal.aborted) take(JSON.parse(line));
    }
  } catch (e) {
    if (mine.signal.aborted) return;
    take({ kind: "error", offline: true, error: "The server does not answer. Is it still running? Your edits are kept on this page." });
  }
}

// importZip has an archive read; the tables become the plan as an edit.
export async function importZip(file) {
  const r = await fetch("/api/import", { method: "POST", headers: { "Content-Type": "application/zip" }, body: file });
  if (!r.ok) throw new Error(await reason(r));
  return r.json();
}

export async function fetchMap(query) {
  const r = await fetch(`/api/map?${query}`);
  if (!r.ok) throw new Error(await reason(r));
  return r.json();
}

// fetchFixes asks what would fix the trip of a system; dropped with the question
// that it belongs to.
export async function fetchFixes(system) {
  const mine = running;
  try {
    const r = await fetch(`/api/fixes?${new URLSearchParams({ system })}`, { signal: mine?.signal });
    return r.ok ? await r.json() : null;
  } catch { return null; }
}

// fetchFix gets the tables with one of the changes of that list made.
export async function fetchFix(question) {
  const r = await fetch("/api/fix", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(question) });
  if (!r.ok) throw new Error(await reason(r));
  return r.json();
}

// fetchQuote makes the document and returns it as a blob.
export async function fetchQuote(url) {
  const r = await fetch(url);
  if (!r.ok) throw new Error(await reason(r));
  return r.blob();
}

async function reason(r) {
  const text = await r.text();
  try { return JSON.parse(text).error; } catch { return text.trim() || r.statusText; }
}
