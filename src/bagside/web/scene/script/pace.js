// How finely the picture is drawn while a hand is on it: as finely as the graphics here can follow, as measured.

export const AIM = 33; // ms a frame: thirty a second are seen as a movement
const AGAIN = 2; // frames in a row that are too slow before the next is drawn more coarsely
const KEPT = 3; // frames at rest, of which the quickest counts: one alone may have waited for something else

// From the picture at rest to the coarsest: dots to one of the screen (Infinity: all it has), smoothed edges, all triangles,
// yarns of the cloth; and what share of the time at rest each takes, as first guess.
export const LEVELS = [
  { ratio: Infinity, smooth: true, whole: true, yarns: true, share: 1 },
  { ratio: 1, smooth: false, whole: true, yarns: true, share: 0.55 },
  { ratio: 1, smooth: false, whole: false, yarns: true, share: 0.25 },
  { ratio: 0.5, smooth: false, whole: false, yarns: true, share: 0.15 },
  { ratio: 0.5, smooth: false, whole: false, yarns: false, share: 0.1 },
];

export class Pace {
  constructor() {
    this.inHand = false;
    this.level = 0;
    this.slow = 0;
    this.rests = [];
  }

  get now() {
    return LEVELS[this.held ?? (this.inHand ? this.level : 0)];
  }

  // The picture at rest took so long [ms]: what a hand will be given at first.
  rested(ms) {
    this.rests = [ms, ...this.rests].slice(0, KEPT);
    const usual = Math.min(...this.rests);
    const enough = LEVELS.findIndex((level) => usual * level.share <= AIM);
    this.level = enough < 0 ? LEVELS.length - 1 : enough;
  }

  // A frame in hand took so long [ms].
  turned(ms) {
    this.slow = ms > AIM ? this.slow + 1 : 0;
    if (this.slow < AGAIN || this.level === LEVELS.length - 1) return;
    this.level++;
    this.slow = 0;
  }

  taken() {
    if (!this.inHand) this.slow = 0;
    this.inHand = true;
  }

  left() {
    this.inHand = false;
  }
}
