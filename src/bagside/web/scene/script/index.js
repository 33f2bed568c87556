export { NoPicture } from "./canvas.js";
export { Stage } from "./stage.js";
export { Tree } from "./tree.js";
export { unpacked } from "./buffers.js";
export { Sight } from "./sight.js";
