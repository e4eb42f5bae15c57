// The worker that owns the WebAssembly: one instance, one call after another. A classic script, because from a file: page no module
// worker starts; web/types.d.ts says what goes to and fro. A call can't be interrupted: to cancel, the page ends this worker.
"use strict";

(() => {
  /** @typedef {import("../web/types.d.ts").ToWorker} ToWorker */
  /** @typedef {import("../web/types.d.ts").FromWorker} FromWorker */
  /** @typedef {Extract<ToWorker, { id: number }>} Call */

  const scope = /** @type {any} */ (self);

  /** The smallest module with a 128-bit constant: (func (result v128) v128.const 0), by the WebAssembly 2.0 binary format. */
  const SIMD = new Uint8Array([
    0, 97, 115, 109, 1, 0, 0, 0, 1, 5, 1, 96, 0, 1, 123, 3, 2, 1, 0, 10, 22, 1, 20, 0, 253, 12, ...new Array(16).fill(0), 11,
  ]);

  const CRASHED = "The planning stopped by a fault of its own. The page starts it again; if it stops at the same point, try a smaller drawing.";

  /** @type {any} The one `Work` of the WebAssembly. */
  let work = null;
  /** @type {string | null} Why there is no work any more, or none yet. */
  let stopped = "The planning has not been started.";
  /** Everything in the order it came; a call that arrives while the module loads waits. */
  let queue = Promise.resolve();

  /** @param {FromWorker} message @param {Transferable[]} [transfer] */
  const post = (message, transfer = []) => scope.postMessage(message, transfer);

  /** @param {unknown} cause */
  const words = (cause) => (cause instanceof Error ? cause.message : String(cause));

  /** @param {{ glue?: string, wasm?: ArrayBuffer }} start */
  async function begin(start) {
    if (typeof WebAssembly === "undefined" || !WebAssembly.validate(SIMD)) {
      throw new Error("This browser can't run the planning (WebAssembly with 128-bit SIMD): use a browser of 2023 or later.");
    }
    try {
      // In the one file the bindings stand before this script.
      if (bindings() === null) scope.importScripts(start.glue ?? "pkg/stepbite.js");
      await bindings()({ module_or_path: start.wasm ?? "pkg/stepbite_bg.wasm" });
      work = new (bindings().Work)();
    } catch (cause) {
      throw new Error(`The planning could not be loaded (${words(cause)}): reload the page, and if that does not help, get the page anew.`);
    }
    stopped = null;
  }

  /** @returns {any} What the generated script declares, null before it is loaded. It uses `let`, which makes no property of the scope. */
  const bindings = () =>
    // @ts-ignore Declared by that script alone.
    typeof wasm_bindgen === "undefined" ? null : wasm_bindgen;

  /** How much of a file is read at once, bytes. */
  const PART = 8 << 20;

  /** Reads a file straight into the module's memory: a scan of a gigabyte is there once. @param {Blob} file */
  function take(file) {
    work.expect(file.size);
    each(file, (part) => work.part(part));
  }

  /** Goes through a file part by part. @param {Blob} file @param {(part: Uint8Array) => void} hand */
  function each(file, hand) {
    for (let at = 0; at < file.size; at += PART) {
      let part;
      try {
        part = new scope.FileReaderSync().readAsArrayBuffer(file.slice(at, at + PART));
      } catch (cause) {
        throw Object.assign(new Error(`The file could not be read (${words(cause)}): copy it to this computer, and open the copy.`), { code: "drawing" });
      }
      hand(new Uint8Array(part));
    }
  }

  /** A project file: what the work writes around a drawing, and around the files of other plates that were gone through. @param {any} plate @param {Blob[]} others */
  function written({ file, project, kept }, others) {
    work.project_begin();
    each(file, (part) => work.project_part(part));
    const between = work.project_write(project, kept ?? undefined);
    const held = [file, ...others];
    return new Blob(between.flatMap((/** @type {Uint8Array} */ part, /** @type {number} */ k) => k < held.length ? [part, held[k]] : [part]), { type: "application/zip" });
  }

  /** @param {Call} request */
  function perform({ id, call, args }) {
    const given = /** @type {any} */ (args);
    const progress = (/** @type {string} */ stage, /** @type {number} */ share) => post({ id, progress: { stage, share } });
    switch (call) {
      case "open":
        take(given.file);
        return work.open(given.name);
      case "strip_photo_open":
        take(given.file);
        return work.strip_photo_open();
      case "strip_photo_picture":
        return work.strip_photo_picture(given);
      case "strip_photo_read":
        return work.strip_photo_read(given);
      case "painted_open":
        take(given.file);
        return work.painted_open(given.second);
      case "painted_check":
        return work.painted_check(given);
      case "painted_picture":
        return work.painted_picture(given);
      case "pulled_open":
        take(given.file);
        return work.pulled_open();
      case "pulled_read":
        return work.pulled_read(given);
      case "pulled_picture":
        return work.pulled_picture(given);
      case "pulled_repair":
        return work.pulled_repair(given);
      case "pulled_sheets":
        return work.pulled_sheets(given);
      case "plan":
        return work.plan(given, progress);
      case "picture":
        return work.picture(given, progress);
      case "find_corners":
        return work.find_corners();
      case "islands":
        return work.islands(given);
      case "removed":
        return work.removed();
      case "strip_typed":
        return work.strip_typed(given);
      case "strip_pasted":
        return work.strip_pasted(given);
      case "limits":
        return work.limits();
      case "worth":
        return work.worth(given);
      case "worth_picture":
        return work.worth_picture(given);
      case "what_if":
        return work.what_if(given);
      case "family_day":
        return work.family_day(given);
      case "rows_joints":
        return work.rows_joints(given);
      case "rows_find":
        return work.rows_find(given, progress);
      case "row_raised":
        return work.row_raised(given);
      case "row_bed":
        return work.row_bed(given);
      case "day_plan":
        return work.day_plan(given);
      case "freeze":
        return work.freeze();
      case "sheets":
        return work.sheets(given, progress);
      case "strip_sheet":
        return work.strip_sheet(given);
      case "sheet_preview":
        return work.sheet_preview(given);
      case "sheet_facts":
        return work.sheet_facts(given);
      case "png":
        return work.png(given);
      case "masks":
        return work.masks();
      case "everything":
        return work.everything(given, progress);
      case "memory":
        return work.memory();
      case "project_write": {
        work.project_anew();
        // Each other plate's file is written first, by itself, and then gone through like a drawing.
        const others = given.family.map((/** @type {any} */ plate) => written(plate, []));
        for (const other of others) {
          work.project_begin();
          each(other, (part) => work.project_part(part));
          work.project_plate();
        }
        return written(given, others);
      }
      case "project_read": {
        take(given.file);
        const [own, ...family] = work.project_read().map((/** @type {any} */ [json, at, unpacked, kept]) =>
          ({ project: JSON.parse(json), drawing: at ? given.file.slice(...at) : new Blob([unpacked]), kept }));
        return { ...own, family };
      }
      case "kin_info":
        take(given.file);
        return work.kin_info(given.name);
      case "kin_plan": {
        const { file, ...of } = given;
        take(file);
        return work.kin_plan(of, progress);
      }
      case "relief":
        return work.relief(given);
      case "difference":
        return work.difference(given);
      case "proof_png":
        return new Blob(work.proof_png(given, progress), { type: "image/png" });
      case "ink_facts":
        return work.ink_facts(given);
      case "record_facts":
        return work.record_facts(given);
      case "ink_prints":
        return work.ink_prints(given);
      case "papers":
        return work.papers(given);
      case "papers_taken":
        return work.papers_taken(given);
      case "pairs":
        return work.pairs(given);
      case "plate_read":
        take(given.file);
        return work.plate_read(progress);
      case "plate_bring":
        return work.plate_bring(given);
      case "plate_drop":
        return work.plate_drop(given);
      case "plan_json":
        return work.plan_json();
      default:
        throw Object.assign(new Error(`The worker knows no call "${String(call)}".`), { code: "unknown-call" });
    }
  }

  /**
   * The buffers of a result that can be handed over instead of copied: those a view fills, never a window on the module's memory.
   * @param {any} result @returns {Transferable[]}
   */
  function buffers(result) {
    const views = [result, result?.rgba, result?.png].filter((value) => ArrayBuffer.isView(value));
    return views.filter((view) => view.byteLength === view.buffer.byteLength).map((view) => view.buffer);
  }

  /** @param {any} cause */
  function crash(cause) {
    const fatal = [WebAssembly.RuntimeError, RangeError].some((kind) => cause instanceof kind) || cause?.name === "InternalError";
    return fatal && typeof cause.code !== "string";
  }

  /** @param {Call} request */
  function answer(request) {
    const { id } = request;
    if (stopped !== null) {
      post({ id, error: { code: work === null ? "not-started" : "crashed", message: stopped } });
      return;
    }
    try {
      const ok = perform(request);
      post({ id, ok }, buffers(ok));
    } catch (cause) {
      if (crash(cause)) {
        // A trap leaves the module's memory in any state: nothing more is asked of it.
        stopped = CRASHED;
        console.error(cause);
        post({ id, error: { code: "crashed", message: CRASHED } });
      } else {
        const code = /** @type {any} */ (cause)?.code;
        post({ id, error: { code: typeof code === "string" ? code : "unexpected", message: words(cause) } });
      }
    }
  }

  scope.addEventListener("message", (/** @type {MessageEvent<ToWorker>} */ { data }) => {
    queue = queue.then(async () => {
      if (!("start" in data)) {
        answer(data);
        return;
      }
      try {
        await begin(data.start);
        post({ ready: true });
      } catch (cause) {
        stopped = words(cause);
        post({ failed: stopped });
      }
    });
  });
})();
