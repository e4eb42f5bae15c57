/** A worker of the page's own spoken to without the page, for measurements. */

/** Opens the page and gives what is evaluated in it `bareWorker()`: a fresh worker's `call`, and `end`. @param {import("playwright-core").Browser} browser @param {string} url */
export async function barePage(browser, url) {
  const page = await browser.newPage();
  await page.addInitScript(() => {
    globalThis.bareWorker = async () => {
      const worker = new Worker("worker.js");
      let id = 0;
      const next = (wanted) => new Promise((done, failed) => {
        worker.onmessage = ({ data }) => {
          if (data.error || data.failed) failed(new Error(data.failed ?? data.error.message));
          else if (wanted(data)) done(data.ok);
        };
      });
      worker.postMessage({ start: {} });
      await next((data) => data.ready);
      return {
        call(name, args) {
          worker.postMessage({ id: ++id, call: name, args });
          return next((data) => "ok" in data);
        },
        end: () => worker.terminate(),
      };
    };
  });
  await page.goto(`${url}index.html`);
  return page;
}
