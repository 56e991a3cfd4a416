// Lists controls without a name and texts with too little contrast (WCAG 2.2).
(() => {
  const found = [];
  const rgb = (text) => {
    const n = (text.match(/-?[\d.]+(e-?\d+)?%?/g) ?? []).map(parseFloat);
    const scale = text.startsWith("color(") ? 255 : 1;
    return { c: n.slice(0, 3).map((v) => v * scale), a: n[3] ?? 1 };
  };
  const over = (top, under) => top.c.map((v, i) => v * top.a + under[i] * (1 - top.a));
  const light = (c) => {
    const [r, g, b] = c.map((v) => { const s = v / 255; return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (e) => {
    const stack = [];
    for (let at = e; at; at = at.parentElement) stack.push(rgb(getComputedStyle(at).backgroundColor));
    return stack.reverse().reduce((under, top) => (top.c.length === 3 ? over(top, under) : under), [255, 255, 255]);
  };
  for (const e of document.querySelectorAll("body *")) {
    if (!e.checkVisibility?.({ visibilityProperty: true }) || e.closest(".hush, .skip, noscript, :disabled, .stale")) continue;
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    const input = e.matches("input:not([hidden]), select, textarea");
    if (e.matches("button, a[href], input:not([hidden]), select, textarea, [role=slider]")) {
      const name = e.getAttribute("aria-label") || e.labels?.[0]?.innerText || e.innerText || e.textContent;
      if (!name?.trim()) found.push(`no name: ${e.outerHTML.slice(0, 120)}`);
    }
    if (!own && !input) continue;
    const s = getComputedStyle(e), svg = e.namespaceURI.endsWith("svg");
    if (svg && e.tagName !== "text") continue;
    const under = ground(e), ink = over(rgb(svg ? s.fill : s.color), under);
    const [a, b] = [light(ink), light(under)].sort((x, y) => y - x);
    const ratio = (a + 0.05) / (b + 0.05), size = parseFloat(s.fontSize);
    const need = size >= 24 || (size >= 18.66 && +s.fontWeight >= 700) ? 3 : 4.5;
    if (ratio < need) found.push(`${ratio.toFixed(2)}:1 ${e.tagName}.${e.getAttribute("class") ?? ""} "${e.textContent.trim().slice(0, 30)}" ${s.color}`);
  }
  return [...new Set(found)].slice(0, 12);
})()
