// While a finger or a key is down nothing on the page is put anew: a press would be lost with what it was on.

const LONGEST = 5000; // [ms] a release that is never seen holds no longer than this
const CLICKS = 350; // [ms] within which the click of a tap follows the finger that is lifted

let down = 0;
let due = null;

function released() {
  down = 0;
  const work = due;
  due = null;
  work?.();
}

const lets = () => setTimeout(released, 0); // after everything that hears the press

// A tap's click is an event of its own, after the finger is lifted: what is put anew in between would swallow it.
function lifted() {
  const which = down;
  setTimeout(() => { if (down === which) released(); }, CLICKS);
}

export function watched() {
  const held = () => { down = performance.now(); };
  addEventListener("pointerdown", held, true);
  addEventListener("pointerup", lifted, true);
  addEventListener("click", lets, true);
  addEventListener("pointercancel", lets, true);
  addEventListener("keydown", (event) => { if (event.key === " " || event.key === "Enter") held(); }, true);
  addEventListener("keyup", lets, true);
  addEventListener("blur", released);
}

// Whether something is held down now; then the work is done when it is let go.
export function heldBack(work) {
  if (!down || performance.now() - down > LONGEST) return false;
  due = work;
  return true;
}
