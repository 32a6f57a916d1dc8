// @ts-check
import { Lane } from "../lane/state.js";

/** A lane as those see it who declare: a heat that is over gives way to the next, whose opener can be declared by then. */
export class DeclaringLane extends Lane {
  choose() {
    this.heat = super.choose();
    const over = this.closed || (this.heat && this.reading() !== null && this.idle);
    return over ? (this.coming ?? this.heat) : this.heat;
  }
}
