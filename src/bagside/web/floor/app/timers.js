// Timers as end times: a reload, a dead battery or another window changes nothing about when they end.
// A timer is kept with what began it, as one write.

import * as clock from "./clock.js";

let sound = null;
const rung = new Set();

export const keyOf = (build, step) => `timer/${build}/${step}`;

export const begun = (build, step, seconds, began = clock.now()) => ({ key: keyOf(build, step), began, ends: began + seconds * 1000 });

export const longer = (timer, seconds) => ({ ...timer, ends: Math.max(timer.ends, clock.now()) + seconds * 1000 });

export const ended = (build, step) => ({ key: keyOf(build, step), gone: true });

// A sound may only be made after a press: the first press of a button makes it ready.
export function ready() {
  try {
    sound ??= new AudioContext();
    sound.resume?.();
  } catch {
    sound = null;
  }
}

export function ring(key) {
  if (rung.has(key)) return;
  rung.add(key);
  navigator.vibrate?.([400, 200, 400]);
  if (sound === null) return;
  for (const [at, pitch] of [[0, 660], [0.35, 880]]) {
    const tone = sound.createOscillator();
    const loud = sound.createGain();
    tone.frequency.value = pitch;
    loud.gain.value = 0.2;
    tone.connect(loud).connect(sound.destination);
    tone.start(sound.currentTime + at);
    tone.stop(sound.currentTime + at + 0.25);
  }
}
