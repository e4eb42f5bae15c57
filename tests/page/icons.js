/** Draws www/icons/*.png from www/icon.svg: node icons.js, once, when the sign changes. */
import { readFile, writeFile } from "node:fs/promises";
import { launch } from "./page/site.js";

const svg = await readFile(new URL("../../www/icon.svg", import.meta.url), "utf8");
const browser = await launch();
const page = await browser.newPage();
// A maskable icon may be cut to its middle: a circle of 80 % of its width (W3C Web Application Manifest, "safe zone").
for (const [name, size, share] of [["180", 180, 1], ["192", 192, 1], ["512", 512, 1], ["512-maskable", 512, 0.56]]) {
  await page.setViewportSize({ width: size, height: size });
  const side = Math.round(size * share);
  await page.setContent(`<style>body{margin:0;height:100vh;display:grid;place-items:center;background:#f6f3ea}svg{width:${side}px;height:${side}px;display:block}</style>${svg}`);
  await writeFile(new URL(`../../www/icons/${name}.png`, import.meta.url), await page.screenshot());
}
await browser.close();
