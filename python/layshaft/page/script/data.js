// What the page was written with: the car, what can be tried of it, and what advice asks for.

import { part } from "./dom.js";

export const DATA = JSON.parse(part("data").textContent);
