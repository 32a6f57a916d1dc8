// @ts-check

/** @typedef {{start: number, end: number, far: number, home: number}} Rep in ms; from home (0) to the far end (1 is all the way) and back */

export const STILLS = 4; // pictures of one repetition where motion is reduced: home, half way, far end, half way

/**
 * How far the figure is from home at a moment of the set. With `stills` the repetition is told in so many pictures that stand, the far
 * end and the end among them, so that nothing that has to be judged is left out.
 * @param {Rep[]} reps @param {number} now @param {number} stills 0 for a movement without steps
 */
export function wayAt(reps, now, stills) {
  const last = reps[reps.length - 1];
  if (now < reps[0].start) return 0;
  if (now >= last.end) return last.home;
  const number = reps.findIndex((rep) => now < rep.end);
  const rep = reps[number];
  const before = number ? reps[number - 1].home : 0;
  let done = (now - rep.start) / (rep.end - rep.start);
  if (stills) done = Math.floor(done * stills + 1) / stills; // each picture shows where its stretch ends
  const swing = (1 - Math.cos(2 * Math.PI * Math.min(done, 1))) / 2;
  const from = done < 0.5 ? before : rep.home;
  return from + (rep.far - from) * swing;
}
