// @ts-check
/** Which of two words of the desk is the newer one. What it tells carries when it was so; see app/hall/told.py. */

/** @typedef {{boot: string, number: number, at: number}} Told the desk's line of time, the number of its records, when it said so */
/** @typedef {{id: string, run: any, told?: Told}} ToldHeat told: when that was so of its run */
/** @typedef {{told?: Told, heats: any[], caller?: any, callerTold?: Told, bars?: any, barsTold?: Told, turns?: any, turnsTold?: Told}} ToldPacket callerTold, barsTold, turnsTold: when that was so of its caller, of the bars, of a coach's turns */

/**
 * By how much one word is later than another; 0 where that can't be said: an older desk doesn't say, another line of time is another.
 * @param {Told | undefined} one @param {Told | undefined} other
 */
export function later(one, other) {
  if (!one || !other || one.boot !== other.boot) return 0;
  return one.number - other.number || one.at - other.at;
}

/**
 * What a word is against the newest one that was taken. Lines of time have no order of their own: an answer is of the newer one if it
 * was asked for after the other was heard of last, and else it has to be asked for again.
 * @param {Told | undefined} word @param {Told | undefined} newest
 * @param {number} askedMs when the word was asked for @param {number} heardMs when the newest one came, both by this page's clock
 * @returns {"newer" | "older" | "unclear"}
 */
export function against(word, newest, askedMs, heardMs) {
  if (word && newest && word.boot !== newest.boot) return askedMs >= heardMs ? "newer" : "unclear";
  return later(word, newest) < 0 ? "older" : "newer";
}

/**
 * A packet that holds, of each of its heats, of its caller, of the bars and of a coach's turns, the newer word of two.
 * @template {ToldPacket} P
 * @param {P} packet the newer one of two on the whole @param {ToldPacket | null} other
 * @param {(heat: ToldHeat) => boolean} [keep] heats of the other that stay whatever the packet says
 * @returns {P}
 */
export function withNewest(packet, other, keep = () => false) {
  const before = new Map((other?.heats ?? []).map((heat) => [heat.id, heat]));
  const heats = packet.heats.map((heat) => {
    const told = heat.told ?? packet.told;
    const known = before.get(heat.id);
    return known && (keep(known) || later(known.told, told) > 0) ? { ...heat, run: known.run, told: known.told } : { ...heat, told };
  });
  const [caller, bars, turns] = [packet.callerTold ?? packet.told, packet.barsTold ?? packet.told, packet.turnsTold ?? packet.told];
  return {
    ...packet,
    heats,
    ...(later(other?.callerTold, caller) > 0 ? { caller: other?.caller, callerTold: other?.callerTold } : { callerTold: caller }),
    ...(later(other?.barsTold, bars) > 0 ? { bars: other?.bars, barsTold: other?.barsTold } : { barsTold: bars }),
    ...(later(other?.turnsTold, turns) > 0 ? { turns: other?.turns, turnsTold: other?.turnsTold } : { turnsTold: turns }),
  };
}
