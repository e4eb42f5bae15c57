/**
 * The page's side of the worker: numbered calls, promises, stopping, and starting afresh.
 * A stopped or crashed worker is replaced; the new one opens the last drawing and the last good settings again.
 * @typedef {import("../web/types.d.ts").Calls} Calls
 * @typedef {import("../web/types.d.ts").FromWorker} FromWorker
 */

/** What a refused, stopped or broken call rejects with. `code` is the core's, or "stopped", "crashed", "no_start". */
export class CallError extends Error {
  /** @param {string} code @param {string} message */
  constructor(code, message) {
    super(message);
    this.code = code;
  }
}

/** The worker is gone; what it was asked was not refused. */
const GONE = ["stopped", "crashed", "no_start"];

/** Whether the worker broke off by itself: whoever hears of it tells the page, which starts it again. @param {unknown} error */
export const brokeOff = (error) => error instanceof CallError && ["crashed", "no_start"].includes(error.code);

/** @typedef {{ postMessage(message: unknown): void, terminate(): void, onmessage: ((event: any) => void) | null, onerror: ((event: any) => void) | null }} WorkerLike */
/** @typedef {{ resolve: (value: any) => void, reject: (error: CallError) => void, progress?: (stage: string, share: number) => void }} Waiting */

export class Bridge {
  #make;
  #start;
  #next = 1;
  /** @type {Map<number, Waiting>} */
  #waiting = new Map();
  /** @type {WorkerLike | null} */
  #worker = null;
  /** @type {Promise<void>} */
  #ready = Promise.resolve();
  /** @type {Calls["open"][0] | null} */
  #drawing = null;
  /** @type {Calls["plan"][0] | null} */
  #settings = null;
  /** Other plates that the worker holds, by their ids: a new worker has to have them too. @type {Map<string, Calls["plate_bring"][0]>} */
  #plates = new Map();

  /**
   * @param {() => WorkerLike} make a fresh worker
   * @param {() => unknown} start the message that starts it
   */
  constructor(make, start) {
    this.#make = make;
    this.#start = start;
    this.#renew();
  }

  #renew() {
    const worker = this.#make();
    this.#worker = worker;
    this.#ready = new Promise((resolve, reject) => {
      /** @param {CallError} error */
      const fail = (error) => {
        if (this.#worker !== worker) return;
        reject(error);
        this.#rejectAll(error);
      };
      worker.onmessage = ({ data }) => {
        if ("ready" in data) resolve();
        else if ("failed" in data) fail(new CallError("no_start", data.failed));
        else this.#receive(data);
      };
      worker.onerror = (event) => {
        event.preventDefault?.();
        worker.terminate();
        fail(new CallError("crashed", `The working part of the page broke off (${event.message || "no reason given"}).`));
      };
    });
    this.#ready.catch(() => {});
    worker.postMessage({ start: this.#start() });
  }

  /** @param {Extract<FromWorker, { id: number }>} message */
  #receive(message) {
    const waiting = this.#waiting.get(message.id);
    if (!waiting) return;
    if ("progress" in message) {
      waiting.progress?.(message.progress.stage, message.progress.share);
      return;
    }
    this.#waiting.delete(message.id);
    if ("ok" in message) waiting.resolve(message.ok);
    else waiting.reject(new CallError(message.error.code, message.error.message));
  }

  /** @param {CallError} error */
  #rejectAll(error) {
    const all = [...this.#waiting.values()];
    this.#waiting.clear();
    for (const waiting of all) waiting.reject(error);
  }

  /** @param {keyof Calls} call @param {unknown} args @param {Waiting["progress"]} [progress] @returns {Promise<any>} */
  #send(call, args, progress) {
    return new Promise((resolve, reject) => {
      const id = this.#next++;
      this.#waiting.set(id, { resolve, reject, progress });
      this.#worker?.postMessage({ id, call, args });
    });
  }

  /**
   * @template {keyof Calls} K
   * @param {K} call @param {Calls[K][0]} args @param {Waiting["progress"]} [progress]
   * @returns {Promise<Calls[K][1]>}
   */
  async call(call, args, progress) {
    // While it waited the worker may have been replaced, which it then waits for too.
    for (let ready = null; ready !== this.#ready; await ready) ready = this.#ready;
    // A plate that is brought belongs to the page from here on: a worker that is started afresh meanwhile has it too.
    const { id, before } = call === "plate_bring" ? this.#brings(/** @type {Calls["plate_bring"][0]} */ (args)) : { id: null, before: undefined };
    const result = await this.#send(call, args, progress).catch((error) => {
      if (id !== null && !GONE.includes(error.code)) {
        if (before) this.#plates.set(id, before);
        else this.#plates.delete(id);
      }
      throw error;
    });
    if (call === "open") this.#drawing = /** @type {Calls["open"][0]} */ (args);
    if (call === "plan") this.#settings = /** @type {Calls["plan"][0]} */ (args);
    if (call === "plate_read") this.#brings(/** @type {Calls["plate_read"][1]} */ (result));
    if (call === "kin_plan") this.#brings(/** @type {Calls["kin_plan"][1]} */ (result).plate);
    if (call === "plate_drop") this.#plates.delete(/** @type {Calls["plate_drop"][0]} */ (args).id);
    return result;
  }

  /** @param {Calls["plate_bring"][0]} plate */
  #brings(plate) {
    const before = this.#plates.get(plate.id);
    this.#plates.set(plate.id, plate);
    return { id: plate.id, before };
  }

  /**
   * Another drawing and its plan, or neither: other calls wait meanwhile, and when either is refused the drawing and
   * the plan before are made again in the worker.
   * @param {Calls["open"][0]} drawing @param {(info: Calls["open"][1]) => Calls["plan"][0]} settingsFor
   * @param {Waiting["progress"]} [progress]
   * @returns {Promise<{ info: Calls["open"][1], settings: Calls["plan"][0], plan: Calls["plan"][1] }>}
   */
  swap(drawing, settingsFor, progress) {
    const swapped = this.#swap(this.#ready, drawing, settingsFor, progress);
    this.#ready = swapped.then(() => {}, () => {});
    return swapped;
  }

  /** @param {Promise<void>} ready @param {Calls["open"][0]} drawing @param {(info: Calls["open"][1]) => Calls["plan"][0]} settingsFor @param {Waiting["progress"]} [progress] */
  async #swap(ready, drawing, settingsFor, progress) {
    const worker = this.#worker;
    await ready;
    if (this.#worker !== worker) throw new CallError("stopped", "Stopped. The work before stays.");
    let opened = false;
    try {
      const info = await this.#send("open", drawing);
      opened = true;
      const settings = settingsFor(info);
      const plan = await this.#send("plan", settings, progress);
      this.#drawing = drawing;
      this.#settings = settings;
      return { info, settings, plan };
    } catch (error) {
      // A worker that was stopped or broke off is started afresh with the drawing before anyway.
      const gone = this.#worker !== worker || (error instanceof CallError && GONE.includes(error.code));
      if (opened && !gone) await this.#reopen();
      throw error;
    }
  }

  async #reopen() {
    if (this.#drawing) await this.#send("open", this.#drawing);
    for (const plate of this.#plates.values()) await this.#send("plate_bring", plate);
    if (this.#settings) await this.#send("plan", this.#settings);
  }

  /** Stops what is under way. */
  async stop() {
    this.#rejectAll(new CallError("stopped", "Stopped. The work before stays."));
    await this.restart();
  }

  /** A new worker, with the last drawing and the last good settings; the one before goes, and its memory with it. */
  async restart() {
    this.#worker?.terminate();
    this.#rejectAll(new CallError("crashed", "The working part of the page was started again."));
    this.#renew();
    const opened = this.#ready.then(() => this.#reopen());
    this.#ready = opened;
    await opened;
  }
}
