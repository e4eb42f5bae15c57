/**
 * What is heard. Notes are laid on the sound card's own clock ahead of time, so that they come in time also where the page's timers are slowed
 * down; whoever looks at the clock tells what is due, and a note that was not laid, or whose card stood still, is played then.
 * @typedef {"ten" | "time" | "done" | "test"} Call
 */

/** Each call as notes: hertz, when, how long, s. Low and short for the warning, high and three times for the moment. @type {Record<Call, [number, number, number][]>} */
const NOTES = {
  ten: [[523, 0, 0.22], [523, 0.32, 0.22]],
  time: [[1047, 0, 0.3], [1047, 0.4, 0.3], [1047, 0.8, 0.5]],
  done: [[659, 0, 0.25], [880, 0.3, 0.25], [659, 0.6, 0.25], [880, 0.9, 0.4]],
  test: [[523, 0, 0.22], [523, 0.32, 0.22], [1047, 0.9, 0.3], [1047, 1.3, 0.3], [1047, 1.7, 0.5]],
};
/** A laid note that is still this far off when it is due is played at once, s. */
const LATE_S = 0.25;

/** @param {() => void} [changed] called when it begins to sound, or falls silent by itself as when a call comes in */
export function sounds(changed) {
  const Kind = globalThis.AudioContext ?? /** @type {any} */ (globalThis).webkitAudioContext;
  /** @type {AudioContext | null} */
  let context = null;
  /** @type {Map<Call, { at: number, notes: OscillatorNode[], told: boolean }>} */
  const laid = new Map();

  /** @param {Call} call @param {number} in_s @param {boolean} [told] it was due already */
  function put(call, in_s, told = false) {
    if (!context) return;
    const start = context.currentTime + Math.max(0, in_s);
    const notes = NOTES[call].map(([hertz, after, long]) => {
      const note = /** @type {AudioContext} */ (context).createOscillator();
      const loud = /** @type {AudioContext} */ (context).createGain();
      note.type = "square";
      note.frequency.value = hertz;
      // Rises and falls a little, since a bare edge clicks.
      loud.gain.setValueAtTime(0, start + after);
      loud.gain.linearRampToValueAtTime(0.5, start + after + 0.015);
      loud.gain.setValueAtTime(0.5, start + after + long - 0.03);
      loud.gain.linearRampToValueAtTime(0, start + after + long);
      note.connect(loud).connect(/** @type {AudioContext} */ (context).destination);
      note.start(start + after);
      note.stop(start + after + long + 0.02);
      return note;
    });
    laid.set(call, { at: start, notes, told });
  }

  /** @param {Call} [only] */
  function hush(only) {
    for (const [call, { notes }] of laid) {
      if (only && call !== only) continue;
      for (const note of notes) {
        try {
          note.stop();
          note.disconnect();
        } catch { /* over already */ }
      }
      laid.delete(call);
    }
  }

  return {
    /** Whether this browser can sound at all. */
    get can() { return Boolean(Kind); },
    /** From within a press or a key, which browsers ask for. */
    wakeUp() {
      if (!Kind) return;
      if (!context) {
        context = new Kind();
        context.onstatechange = () => changed?.();
      }
      if (context?.state !== "running") context?.resume().catch(() => {});
    },
    /** Whether it sounds now, so far as the browser tells. */
    get runs() { return context?.state === "running"; },
    /** Plays at once. @param {Call} call */
    play(call) {
      hush(call);
      put(call, 0, true);
    },
    /** Lays calls ahead; those laid before are taken off. @param {{ call: Call, in_s: number }[]} calls */
    lay(calls) {
      hush();
      for (const { call, in_s } of calls) if (in_s > 0) put(call, in_s);
    },
    /** It is due now: plays unless the laid one is sounding. @param {Call} call */
    due(call) {
      const one = laid.get(call);
      // Long past on the card's clock it was heard in time, however late the page looks.
      const there = context && one && !one.told && context.state === "running" && context.currentTime > one.at - LATE_S;
      if (one && there) one.told = true;
      else this.play(call);
    },
    hush: () => hush(),
  };
}

/** A voice on this device: one that would be fetched is not used. */
const ownVoice = () => globalThis.speechSynthesis?.getVoices().find((voice) => voice.localService && voice.lang.startsWith("en"));

/** Spoken where there is a voice. @param {string} words */
export function speak(words) {
  const voices = globalThis.speechSynthesis;
  const own = ownVoice();
  if (!own || typeof SpeechSynthesisUtterance === "undefined") return;
  const said = new SpeechSynthesisUtterance(words);
  said.voice = own;
  said.lang = own.lang;
  voices.cancel();
  voices.speak(said);
}

/** Whether there is a voice on this device. */
export const canSpeak = () => Boolean(ownVoice());

/** Voices come after the page in some browsers. @param {() => void} changed */
export function voicesChange(changed) {
  globalThis.speechSynthesis?.addEventListener?.("voiceschanged", changed);
}
