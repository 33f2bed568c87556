export { clamp, duration, escaped, Reader, width, ZERO } from "./numbers.js";
export { Painter } from "./painter.js";
