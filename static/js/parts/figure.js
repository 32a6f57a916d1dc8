// @ts-check
import { svg } from "./dom.js";

/**
 * A stick figure seen from the side. Its one number is how far it is from home to the far end of the movement: 0 at home, 1 all the
 * way. Joints follow from angles or, for arms, from the distance of hand and shoulder.
 * @typedef {[number, number]} Point
 * @typedef {{head: Point, bar: Point | null, rail: number | null, lines: Point[][]}} Pose
 */

const FLOOR = 236;
const SHIN = 52;
const THIGH = 52;
const TORSO = 62;
const ARM = 32; // upper and lower alike
const NECK = 20;

const PARALLEL = 96; // degrees: the thigh of a full squat, its hip a little below the knee

/** @type {Record<string, (way: number) => Pose>} */
const POSES = {
  squat(way) {
    const ankle = /** @type {Point} */ ([96, FLOOR]);
    const knee = step(ankle, SHIN, 32 * way);
    const hip = step(knee, THIGH, -PARALLEL * way * 1.06);
    const shoulder = step(hip, TORSO, 36 * way);
    const hand = /** @type {Point} */ ([shoulder[0] - 4, shoulder[1] + 4]);
    return { head: step(shoulder, NECK, 20 * way), bar: hand, rail: null, lines: [[[ankle[0] + 16, FLOOR], ankle, knee, hip, shoulder], [shoulder, elbow(shoulder, hand, 1), hand]] };
  },
  press(way) {
    const hip = /** @type {Point} */ ([96, FLOOR - SHIN - THIGH]);
    const shoulder = /** @type {Point} */ ([96, hip[1] - TORSO]);
    const hand = /** @type {Point} */ ([shoulder[0] + 6 * (1 - way), shoulder[1] - 6 - way * (2 * ARM - 6.2)]);
    return { head: [92, shoulder[1] - NECK], bar: hand, rail: null, lines: [[[112, FLOOR], [96, FLOOR], hip, shoulder], [shoulder, elbow(shoulder, hand, -1), hand]] };
  },
  pull_up(way) {
    const rail = 34;
    const shoulder = /** @type {Point} */ ([100, rail + 2 * ARM - 0.2 - way * 50]);
    const hip = /** @type {Point} */ ([100, shoulder[1] + TORSO]);
    const knee = step(hip, -THIGH, -14);
    const foot = step(knee, -SHIN, 40);
    return { head: [94, shoulder[1] - NECK], bar: null, rail, lines: [[foot, knee, hip, shoulder], [shoulder, elbow(shoulder, [100, rail], -1), [100, rail]]] };
  },
};

/** A point so far up from another, tilted forwards by an angle. @param {Point} from @param {number} length @param {number} degrees @returns {Point} */
function step([x, y], length, degrees) {
  const angle = (degrees * Math.PI) / 180;
  return [x + length * Math.sin(angle), y - length * Math.cos(angle)];
}

/** Where the elbow is between shoulder and hand, bent to one side. @param {Point} shoulder @param {Point} hand @param {1 | -1} side @returns {Point} */
function elbow(shoulder, hand, side) {
  const [dx, dy] = [hand[0] - shoulder[0], hand[1] - shoulder[1]];
  const reach = Math.max(1, Math.hypot(dx, dy));
  const out = Math.sqrt(Math.max(0, ARM * ARM - (reach * reach) / 4)) * side;
  return [shoulder[0] + dx / 2 - (dy / reach) * -out, shoulder[1] + dy / 2 + (dx / reach) * -out];
}

/** The figure of a movement in a drawing. */
export class Figure {
  /** @param {Element} drawing @param {string} move */
  constructor(drawing, move) {
    this.pose = POSES[move];
    this.limbs = [0, 1].map(() => svg("polyline", { class: "figure-limb" }));
    this.head = svg("circle", { class: "figure-head", r: 11 });
    this.bar = svg("circle", { class: "figure-bar", r: 17 });
    this.rail = svg("line", { class: "figure-rail", x1: 60, x2: 140 });
    const floor = svg("line", { class: "figure-floor", x1: 20, x2: 180, y1: FLOOR + 3, y2: FLOOR + 3 });
    drawing.replaceChildren(floor, this.rail, this.bar, ...this.limbs, this.head);
    this.show(0);
  }

  /** @param {number} way 0 at home, 1 all the way */
  show(way) {
    const { head, bar, rail, lines } = this.pose(way);
    lines.forEach((line, i) => this.limbs[i].setAttribute("points", line.map((point) => point.map((n) => n.toFixed(1)).join(",")).join(" ")));
    place(this.head, head);
    this.bar.toggleAttribute("hidden", bar === null);
    if (bar) place(this.bar, bar);
    this.rail.toggleAttribute("hidden", rail === null);
    if (rail !== null) {
      this.rail.setAttribute("y1", String(rail));
      this.rail.setAttribute("y2", String(rail));
    }
  }
}

/** @param {SVGElement} circle @param {Point} at */
function place(circle, [x, y]) {
  circle.setAttribute("cx", x.toFixed(1));
  circle.setAttribute("cy", y.toFixed(1));
}
