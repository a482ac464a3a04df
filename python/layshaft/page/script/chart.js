// Engine speed over the distance of a launch: now, and as tried, with the shift.

import { drawing } from "./dom.js";
import { RPM, number } from "./units.js";

const WIDTH = 360;
const HEIGHT = 210;
const LEFT = 34;
const RIGHT = 10;
const TOP = 12;
const BOTTOM = 34;
const KRPM = RPM / 1e3;

/** @typedef {import("./core.js").Launch} Launch */

/**
 * @param {SVGElement} chart
 * @param {Launch} now
 * @param {Launch} tried
 * @param {number} distance [m]
 */
export function draw(chart, now, tried, distance) {
  const most = Math.ceil(Math.max(...now.crank_speeds, ...tried.crank_speeds) * KRPM / 10) * 10;
  const x = (metres) => LEFT + ((WIDTH - LEFT - RIGHT) * metres) / distance;
  const y = (krpm) => HEIGHT - BOTTOM - ((HEIGHT - TOP - BOTTOM) * krpm) / most;
  chart.setAttribute("viewBox", `0 0 ${WIDTH} ${HEIGHT}`);
  const parts = [];
  for (let krpm = 0; krpm <= most; krpm += 10) {
    parts.push(drawing("line", { class: "grid", x1: LEFT, x2: WIDTH - RIGHT, y1: y(krpm), y2: y(krpm) }));
    parts.push(drawing("text", { x: LEFT - 5, y: y(krpm) + 4, class: "end" }, String(krpm)));
  }
  for (let metres = 0; metres <= distance; metres += 20) {
    parts.push(drawing("text", { x: x(metres), y: HEIGHT - BOTTOM + 15, class: "middle" }, String(metres)));
  }
  parts.push(drawing("text", { x: WIDTH - RIGHT, y: HEIGHT - 4, class: "end" }, "metres from the start"));
  parts.push(drawing("text", { x: LEFT, y: HEIGHT - 4 }, "engine, 1000 rpm"));
  parts.push(drawing("polyline", { class: "now", points: points(now, x, y) }));
  parts.push(drawing("polyline", { class: "tried", points: points(tried, x, y) }));
  const { shift_distance: at, engine_speed_before: peak } = tried.scalars;
  if (at !== null && peak !== null) {
    parts.push(drawing("circle", { class: "shift", cx: x(at), cy: y(peak * KRPM), r: 5 }));
  }
  chart.replaceChildren(...parts);
}

function points(run, x, y) {
  return run.distances
    .map((metres, i) => `${x(metres).toFixed(1)},${y(run.crank_speeds[i] * KRPM).toFixed(1)}`)
    .join(" ");
}

/**
 * The same in words.
 * @param {Launch} tried
 */
export function described(tried) {
  const { shift_distance: at, engine_speed_before: peak } = tried.scalars;
  if (at === null || peak === null) return "Engine speed over the distance; no shift.";
  const krpm = number(peak * KRPM, 1);
  return `Engine speed over the distance: shift after ${number(at, 1)} m at ${krpm} thousand rpm.`;
}
