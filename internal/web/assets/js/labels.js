// Labels of the stops on the map. Every number is written: beside its stop, and
// where that is crowded further off, with a line to it. A name joins its number
// where there is room; stops at one place share a label.
const CHAR = 6.4, HIGH = 15, DOT = 7; // px
const FREE = 1; // px²: overlap that is none
const SIDES = [[1, 0], [-1, 0], [0, -1], [0, 1], [1, -1], [1, 1], [-1, -1], [-1, 1]];
const FAR = [9, 18, 28, 42, 60];

const overlap = (a, b) => Math.max(0, Math.min(a.x + a.w, b.x + b.w) - Math.max(a.x, b.x)) * Math.max(0, Math.min(a.y + a.h, b.y + b.h) - Math.max(a.y, b.y));

// beside is the box of a text of some width on a side of a stop.
function beside(p, [dx, dy], far, w) {
  const reach = dx && dy ? far * 0.75 : far, x = p.x + dx * reach, y = p.y + dy * reach;
  return { x: dx > 0 ? x : dx < 0 ? x - w : x - w / 2, y: (dy > 0 ? y : dy < 0 ? y - HIGH : y - HIGH / 2), w, h: HIGH };
}

// placeLabels takes stops as { x, y, name } and returns the labels as
// { text, x, y, anchor, lead }: lead is the path of a line to the stop, if needed.
export function placeLabels(stops, width, height) {
  const groups = [];
  stops.forEach((s, i) => {
    const at = groups.find((g) => Math.hypot(g.x - s.x, g.y - s.y) < 4);
    if (at) { at.numbers.push(i + 1); if (!at.names.includes(s.name)) at.names.push(s.name); } else groups.push({ x: s.x, y: s.y, numbers: [i + 1], names: [s.name] });
  });
  const dots = groups.map((g) => ({ x: g.x - DOT, y: g.y - DOT, w: 2 * DOT, h: 2 * DOT }));
  const outside = (b) => b.w * b.h - overlap(b, { x: 2, y: 2, w: width - 4, h: height - 4 });
  const cost = (b, own) => outside(b) + groups.reduce((sum, g, i) => sum + overlap(b, dots[i]) + (g !== own && g.box ? overlap(b, g.box) : 0), 0);
  const put = (g, text, fars, most) => {
    const w = text.length * CHAR + 2;
    let best = null;
    for (const far of fars) {
      for (const side of SIDES) {
        const box = beside(g, side, far, w), c = cost(box, g);
        if (!best || c < best.c - FREE) best = { c, box, far, side };
      }
      if (best.c < FREE) break;
    }
    if (best.c < most) Object.assign(g, { text, ...best });
  };
  const seen = groups.filter((g) => g.x > -DOT && g.y > -DOT && g.x < width + DOT && g.y < height + DOT);
  for (const g of seen) put(g, g.numbers.join(", "), FAR, Infinity);
  for (const g of seen) put(g, `${g.numbers.join(", ")} ${g.names.join(", ")}`, FAR.slice(0, 1), FREE);
  return seen.map(({ text, box, side, far, x, y }) => ({
    text, y: box.y + 11.5, ...[{ x: box.x + box.w, anchor: "end" }, { x: box.x + box.w / 2, anchor: "middle" }, { x: box.x, anchor: "start" }][side[0] + 1],
    lead: far > FAR[1] ? `M${x} ${y}L${box.x + box.w / 2} ${box.y + box.h / 2}` : "",
  }));
}
