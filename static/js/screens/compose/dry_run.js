// @ts-check
import { el, setText } from "../../parts/dom.js";
import { Sound } from "../../parts/sound.js";
import { frames, timeText } from "../../parts/timing.js";
import { lengthMs, startMs } from "../../rules/clock.js";
import { DryClock, LEAD_MS } from "../floor/practice/clock.js";
import { DryJudge } from "./dry/judge.js";
import { DryLane, DryTablet } from "../floor/practice/tablet.js";
import { Stage } from "../floor/lane/stage.js";

/** The dry run: the judge's own screen, fed by a tablet that keeps nothing, on a clock that runs as fast as asked. */

const AFTER_MS = 5000; // how far past the last bell the clock runs: grace is seen, then the sheet
const at = /** @type {(id: string) => any} */ ((id) => document.getElementById(id));
const root = /** @type {HTMLElement} */ (document.querySelector("[data-role=screen]"));
const bar = /** @type {HTMLElement} */ (document.getElementById("dry"));
const packets = JSON.parse(bar.dataset.packets ?? "{}");
const plot = /** @type {HTMLElement} */ (bar.querySelector(".timeline-plot"));
const line = el("div", { class: "dry-now", "aria-hidden": "true" });
plot.append(line, at("time")); // the slider lies over the axis

/** Beeps make sense at the speed of life only, and the choice of sound stays this page's. */
class DrySound extends Sound {
  /** @param {boolean} on */
  turn(on) {
    this.on = on;
    if (!on) this.quiet();
  }

  /** @param {any} cues @param {() => number | null} heatMs */
  follow(cues, heatMs) {
    super.follow(cues, () => (clock.speed === 1 && clock.playing ? heatMs() : null));
  }
}

const { format } = packets[""].events.dry; // variants change loads and movements, never windows
const length = lengthMs(format);
const clock = new DryClock(length + format.late_ms + AFTER_MS);
const tablet = new DryTablet(packets[""], clock);
const lane = new DryLane(tablet, new DrySound(), () => jump(-LEAD_MS));
const judge = new DryJudge(lane);
const stage = new Stage(lane, root);
let robot = false; // whether a mark under way is made by the page itself

/** @param {number} ms on the heat clock */
function jump(ms) {
  const back = ms < clock.ms;
  clock.jump(ms);
  if (back) forget(ms);
  if (back || !at("taps").checked) judge.set(ms);
  changed();
}

/** @param {number} ms */
function forget(ms) {
  robot = true; // nobody tapped
  tablet.outbox.backTo(ms);
  robot = false;
}

function changed() {
  stage.touch();
  soon();
}

function step() {
  const ms = clock.ms;
  if (at("taps").checked && !clock.waiting) {
    robot = true;
    judge.until(ms);
    robot = false;
  } else {
    judge.set(ms);
  }
  stage.step();
  show(ms);
  return clock.playing && ms < clock.end ? 0 : Infinity;
}

/** @param {number} ms */
function show(ms) {
  const shown = clock.waiting ? -LEAD_MS : ms;
  line.style.left = `${(100 * Math.min(Math.max(shown, 0), length)) / length}%`;
  const range = at("time");
  range.value = String(Math.round(Math.max(shown, 0) / 1000));
  range.setAttribute("aria-valuetext", timeText(Math.max(shown, 0)));
  setText(at("clock"), clock.waiting ? "before GO" : timeText(shown));
  setText(at("play"), clock.playing && ms < clock.end ? "Pause" : "Play");
}

/** The windows' starts, those of work and rest alike. */
const starts = () => [...new Set(format.windows.map(startMs))].sort((a, b) => a - b);

/** @type {Record<string, () => void>} */
const DO = {
  play() {
    if (clock.waiting || clock.ms >= clock.end) jump(-LEAD_MS);
    else clock.play(!clock.playing);
    if (clock.ms <= -LEAD_MS) clock.play(true);
    changed();
  },
  back: () => jump(starts().filter((start) => start < clock.ms - 500 * clock.speed).at(-1) ?? -LEAD_MS),
  on: () => jump(starts().find((start) => start > clock.ms) ?? length),
  before() {
    jump(-LEAD_MS);
    clock.waiting = true;
    changed();
  },
};

bar.addEventListener("click", (event) => {
  const name = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest("[data-do]"))?.dataset.do;
  if (name) DO[name]?.();
});
bar.addEventListener("change", (event) => {
  const input = /** @type {HTMLInputElement} */ (event.target);
  if (input.name === "speed") clock.speed = Number(input.value);
  if (input.id === "variant") {
    tablet.packet.value = packets[input.value];
    jump(-LEAD_MS);
  }
  changed();
});
at("time").addEventListener("input", () => jump(Number(at("time").value) * 1000));
plot.addEventListener("click", (event) => {
  if (event.target === at("time")) return;
  const window = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest(".timeline-bar"));
  const box = plot.getBoundingClientRect();
  const there = ((event.clientX - box.left) / box.width) * length;
  jump(window ? startMs(format.windows[Number(window.dataset.window)]) : there);
});

tablet.watch(() => {
  if (!robot) at("taps").checked = false; // a tap by hand: from now on the lane is the organiser's
  changed();
});

const { soon } = frames(step);
