// The cursor of the keyboard: a place on the picture that arrows move, that is read out and picked.

export class Cursor {
  constructor(stage) {
    this.stage = stage;
    this.out = false;
  }

  take(out) {
    const { stage } = this;
    this.out = out;
    if (!out) {
      stage.reading.fixed(null);
      stage.say(stage.words.cursor_in);
      return;
    }
    const { kept } = stage.reading;
    this.at = (kept ? stage.sight.seen(kept.place) : [stage.sight.width / 2, stage.sight.height / 2]).slice(0, 2);
    this.move(0, 0);
  }

  move(dx, dy) {
    const { stage } = this;
    const { width, height } = stage.sight;
    this.at = [
      Math.max(2, Math.min(width - 2, this.at[0] + dx)),
      Math.max(2, Math.min(height - 2, this.at[1] + dy)),
    ];
    const hit = stage.under(...this.at);
    stage.reading.fixed(hit, this.at);
    const part = hit && stage.partOf(hit);
    stage.say(hit ? [stage.valueSaid(stage.valueOf(hit)), stage.placeSaid(hit.place), part].filter(Boolean).join(", ")
      : stage.words.beside);
  }

  pick() {
    const { stage } = this;
    const hit = stage.under(...this.at);
    if (!hit) return stage.say(stage.words.beside);
    if (stage.picking) stage.emit("pick", stage.payload(hit));
    stage.say(`${stage.words.picked} ${stage.placeSaid(hit.place)}`);
  }
}
