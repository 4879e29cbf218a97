// Draws the border in a prism from frames that the core has computed, and moves through them. Nothing is computed here but places on the sheet.
const NS = "http://www.w3.org/2000/svg";
const [OX, OY, R, TOP] = [500, 190, 300, 20];
const [STRIP_X, STRIP_Y, STRIP_W, STRIP_H] = [60, 590, 880, 76];
const STEP_MS = 90;

function make(parent, tag, attributes, text) {
  const node = document.createElementNS(NS, tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  if (text !== undefined) node.textContent = text;
  parent.appendChild(node);
  return node;
}

const inside = (degrees, length) => {
  const a = (degrees * Math.PI) / 180;
  return [OX + length * Math.sin(a), OY + length * Math.cos(a)];
};
const along = (degrees) => STRIP_X + (STRIP_W * degrees) / 90;
const shade = (b) => `rgb(${Math.round(14 + 241 * b)},${Math.round(18 + 225 * b)},${Math.round(24 + 176 * b)})`;

function line(parent, from, to, colour, width, extra = {}) {
  return make(parent, "line", { x1: from[0], y1: from[1], x2: to[0], y2: to[1], stroke: colour, "stroke-width": width, ...extra });
}

function words(parent, x, y, text, colour, size, extra = {}) {
  return make(parent, "text", { x, y, fill: colour, "font-size": size, ...extra }, text);
}

function field(svg, frame, quiet) {
  // the arc and the strip are the same field: on the prism's round side, and unrolled
  const stops = frame.field;
  for (let i = 0; i + 1 < stops.length; i++) {
    const [a, b] = [stops[i], stops[i + 1]];
    if (b[0] <= a[0]) continue;
    const fill = shade((a[1] + b[1]) / 2);
    const [p, q, s, t] = [inside(a[0], R + 8), inside(b[0], R + 8), inside(b[0], R + 40), inside(a[0], R + 40)];
    const arc = `M${p} A${R + 8},${R + 8} 0 0 0 ${q} L${s} A${R + 40},${R + 40} 0 0 1 ${t} Z`;
    make(svg, "path", { d: arc, fill, stroke: fill, "stroke-width": 1 });
  }
  const gradient = make(make(svg, "defs", {}), "linearGradient", { id: "field" });
  for (const [angle, b] of stops) make(gradient, "stop", { offset: angle / 90, "stop-color": shade(b) });
  make(svg, "rect", { x: STRIP_X, y: STRIP_Y, width: STRIP_W, height: STRIP_H, fill: "url(#field)" });
  const [p, q, s, t] = [inside(0, R + 8), inside(90, R + 8), inside(90, R + 40), inside(0, R + 40)];
  const rim = `M${p} A${R + 8},${R + 8} 0 0 0 ${q} L${s} A${R + 40},${R + 40} 0 0 1 ${t} Z`;
  make(svg, "path", { d: rim, fill: "none", stroke: quiet, "stroke-width": 1.5 });
}

function draw(svg, data, frame) {
  const c = data.colours;
  svg.replaceChildren();
  make(svg, "rect", { x: 60, y: TOP, width: 880, height: OY - TOP, fill: c.blue, opacity: 0.14 });
  make(svg, "path", { d: `M${OX - R},${OY} A${R},${R} 0 0 0 ${OX + R},${OY} Z`, fill: c.blue, opacity: 0.34 });
  line(svg, [60, OY], [940, OY], c.ink, 2);
  line(svg, [OX, TOP + 8], [OX, OY + R], c.quiet, 1.5, { "stroke-dasharray": "6 6" });
  field(svg, frame, c.quiet);
  for (const ray of frame.rays) {
    for (const [from, to, brightness] of ray) {
      line(svg, [OX + from[0] * R, OY + from[1] * R], [OX + to[0] * R, OY + to[1] * R], c.orange, 4, { opacity: brightness, "stroke-linecap": "round" });
    }
  }
  line(svg, [OX, OY], inside(frame.border, R + 56), c.ink, 3, { "stroke-dasharray": "10 6" });
  make(svg, "circle", { cx: OX, cy: OY, r: 6, fill: c.ink });
  const [left, right] = [[60, "start"], [940, "end"]];
  const [specimen, end] = data.through ? right : left;
  words(svg, specimen + (data.through ? -16 : 16), TOP + 34, frame.specimen, c.ink, 26, { "font-weight": "bold", "text-anchor": end });
  words(svg, OX - 24, OY + R + 34, data.prism, c.ink, 26, { "font-weight": "bold", "text-anchor": "end" });
  const at = inside(frame.border, R + 66);
  words(svg, at[0], at[1] + 14, frame.says, c.ink, 26, { "font-weight": "bold" });

  make(svg, "rect", { x: STRIP_X, y: STRIP_Y, width: STRIP_W, height: STRIP_H, fill: "none", stroke: c.quiet, "stroke-width": 1.5 });
  const curve = frame.field.map(([angle, b]) => `${along(angle)},${STRIP_Y + STRIP_H - 4 - (STRIP_H - 8) * b}`).join(" ");
  make(svg, "polyline", { points: curve, fill: "none", stroke: c.orange, "stroke-width": 4, "stroke-linejoin": "round" });
  const x = along(frame.border);
  line(svg, [x, STRIP_Y - 4], [x, STRIP_Y + STRIP_H + 8], c.ink, 3);
  for (let degrees = 0; degrees <= 90; degrees += 15) {
    words(svg, along(degrees), STRIP_Y + STRIP_H + 32, `${degrees}°`, c.quiet, 22, { "text-anchor": "middle" });
  }
  words(svg, STRIP_X, STRIP_Y - 12, data.strip, c.ink, 22);
}

export default function ({ data, parentElement }) {
  const root = parentElement.querySelector(".border");
  const now = root.drawing ?? (root.drawing = { at: 0, timer: null });
  const [svg, button, range] = ["svg", "button", "input"].map((tag) => root.querySelector(tag));
  const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  const rest = still ? "Next step" : "Play";
  const stop = () => {
    if (now.timer !== null) clearInterval(now.timer);
    now.timer = null;
    button.textContent = rest;
  };
  svg.setAttribute("aria-label", data.told);
  root.style.color = data.colours.ink;
  now.data = data;
  if (now.timer === null) {
    button.textContent = rest;
    if (now.shown !== JSON.stringify(data.here)) now.at = data.start;
    now.shown = JSON.stringify(data.here);
    draw(svg, data, data.here);
  }
  const furthest = data.frames.length / 2;
  const go = (at) => {
    now.at = at % now.data.frames.length;
    draw(svg, now.data, now.data.frames[now.at]);
    if (range) range.value = now.at <= furthest ? now.at : now.data.frames.length - now.at;
  };
  const step = () => go(now.at + 1);
  if (range) {
    [range.max, range.value] = [furthest, now.at];
    range.oninput = () => {
      stop();
      go(Number(range.value));
    };
  }
  button.onclick = () => {
    if (still) return step();
    if (now.timer !== null) return stop();
    now.timer = setInterval(step, STEP_MS);
    button.textContent = "Stop";
  };
  return () => {
    if (!root.isConnected) stop();
  };
}
