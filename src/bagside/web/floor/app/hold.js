// While a finger or a key is down nothing on the page is put anew: a press would be lost with what it was on.

const LONGEST = 5000; // [ms] a release that is never seen holds no longer than this
const CLICKS = 350; // [ms] within which the click of a tap follows the finger that is lifted

let down = 0; // which press is down, counted; 0: none
let since = 0;
let lifted = 0; // which was lifted last
let presses = 0;
let due = null;

function released() {
  down = 0;
  const work = due;
  due = null;
  work?.();
}

// After everything that hears the press; not when the next one is down by then.
const lets = (which, after = 0) => setTimeout(() => { if (down === which) released(); }, after);

function held() {
  presses += 1;
  down = presses;
  since = performance.now();
}

export function watched() {
  addEventListener("pointerdown", held, true);
  // A tap's click is an event of its own, after the finger is lifted: what is put anew in between would swallow it.
  addEventListener("pointerup", () => { lifted = down; lets(down, CLICKS); }, true);
  addEventListener("click", () => lets(lifted), true);
  addEventListener("pointercancel", () => lets(down), true);
  addEventListener("keydown", (event) => { if (event.key === " " || event.key === "Enter") held(); }, true);
  addEventListener("keyup", () => lets(down), true);
  addEventListener("blur", released);
}

// Whether something is held down now; then the work is done when it is let go.
export function heldBack(work) {
  if (!down || performance.now() - since > LONGEST) return false;
  due = work;
  return true;
}
