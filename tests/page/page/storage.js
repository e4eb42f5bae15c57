/** For the tests of what is kept: the browser's storage, read by hand. */
import assert from "node:assert/strict";

/** The browser's storage as it lies there. */
export const lies = (page) => page.evaluate(() => new Promise((resolve, reject) => {
  const request = indexedDB.open("stepbite");
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const found = { version: request.result.version };
    const names = [...request.result.objectStoreNames];
    const transaction = request.result.transaction(names);
    for (const name of names) transaction.objectStore(name).getAll().onsuccess = ({ target }) => { found[name] = target.result.map((each) => each.byteLength ?? each.size ?? each); };
    transaction.oncomplete = () => { request.result.close(); resolve(found); };
  };
}));
/** Waits until what lies there is as wanted, and gives it. */
export const until = async (page, right) => {
  for (const limit = Date.now() + 15_000; Date.now() < limit; await page.waitForTimeout(100)) {
    const found = await lies(page);
    if (right(found)) return found;
  }
  assert.fail("it was not kept in fifteen seconds");
};
/**
 * A bare page in place of one, with what lay in the browser's storage in `window.lay`, by store. Nothing lies there any more and no page holds
 * it, so that an earlier version's can be written: `window.writeAsOlder` puts one work into it, and the same as an earlier state.
 */
export async function emptied(page, url) {
  const bare = await page.context().newPage();
  await bare.goto(`${url}icon.svg`);
  await page.close();
  await bare.evaluate(() => new Promise((resolve, reject) => {
    const request = indexedDB.open("stepbite");
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      const db = request.result;
      window.lay = {};
      window.writeAsOlder = (older, entry) => new Promise((done, failed) => {
        const writes = older.transaction(["work", "drawings", "points"], "readwrite");
        writes.objectStore("work").put(entry, "now");
        writes.objectStore("points").add({ ...entry, why: "sheets saved" });
        writes.objectStore("drawings").put(window.lay.drawings[0], entry.drawing);
        writes.oncomplete = () => { older.close(); done(null); };
        writes.onabort = () => failed(writes.error);
      });
      const transaction = db.transaction([...db.objectStoreNames]);
      for (const name of db.objectStoreNames) transaction.objectStore(name).getAll().onsuccess = ({ target }) => { window.lay[name] = target.result; };
      transaction.oncomplete = () => {
        db.close();
        indexedDB.deleteDatabase("stepbite").onsuccess = () => resolve(null);
      };
    };
  }));
  return bare;
}
/** Another page of the same browser, whose faults are kept. */
export async function another(context, url) {
  const page = await context.newPage();
  page.faults = [];
  page.on("pageerror", (error) => page.faults.push(String(error)));
  await page.goto(url);
  return page;
}
