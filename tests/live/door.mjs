// The page of a job's doors in a real Chromium: its figures, its speed, and how it is to read.
//
//   node door.mjs BINARY JOBS     (LIVE_FIGURES=release holds the speed that is promised of a release build)
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { binary, browser, by_keys, demo, end, holds, opened, priced, readable, run, serve, until } from "./browser.mjs";

const release = process.env.LIVE_FIGURES === "release";

// ---- the demo: figures, changes made elsewhere, speed ----
const jobs = demo();
const archive = join(jobs, "harbour_archive.toml");
const address = await serve(archive);
let page = await opened(address);
const price = await priced(page);
const cells = await page.locator("#lines tbody tr").evaluateAll((rows) => rows.map((row) => row.lastElementChild.textContent.replaceAll(",", "")));
const costs = run(["quote", archive, "--csv"], jobs).trim().split("\n").slice(1).map((row) => row.split(",").pop());
holds("every line of the price is that of quote --csv", JSON.stringify(cells) === JSON.stringify(costs), cells);
holds("the total is their sum", price.replaceAll(",", "").endsWith((costs.reduce((sum, cost) => sum + Math.round(cost * 100), 0) / 100).toFixed(2)), price);
let checks = 0;
for (const link of await page.locator("#cabinets .list a").evaluateAll((links) => links.map((a) => a.href))) {
  await page.goto(link);
  checks += await page.locator("#checks tbody tr").count();
}
holds("every check of check --csv is there", checks === run(["check", archive, "--csv"], jobs).trim().split("\n").length - 1, checks);

await page.goto(`${address}?cabinet=0`);
await page.waitForTimeout(500);
const text = readFileSync(archive, "utf8");
await page.getByLabel("groove depth", { exact: true }).fill("1/");
writeFileSync(archive, text.replace('inside_depth = "15-1/2"', 'inside_depth = "16-1/2"'));
await until(page, "a change in a text editor shows", () => document.querySelector("#cabinet-0-inside_depth").value === "16-1/2");
holds("what was being typed is still there", (await page.getByLabel("groove depth", { exact: true }).inputValue()) === "1/");
await page.getByLabel("groove depth", { exact: true }).press("Escape");
writeFileSync(archive, text);
await until(page, "and back", () => document.querySelector("#cabinet-0-inside_depth").value === "15-1/2");
// The change that comes between a key and its answer.
await page.route("**/try", (route) => {
  writeFileSync(archive, text.replace('inside_depth = "15-1/2"', 'inside_depth = "16-1/2"'));
  return route.continue();
}, { times: 1 });
await page.getByLabel("groove depth", { exact: true }).fill("1/");
await until(page, "a change between a key and its answer shows too", () => document.querySelector("#cabinet-0-inside_depth").value === "16-1/2");
holds("and what was being typed is still there", (await page.getByLabel("groove depth", { exact: true }).inputValue()) === "1/");
await page.getByLabel("groove depth", { exact: true }).press("Escape");
writeFileSync(archive, text);
await until(page, "and back again", () => document.querySelector("#cabinet-0-inside_depth").value === "15-1/2");

// From a key to the new drawing.
await page.evaluate(() => {
  window.took = [];
  let at = null;
  document.addEventListener("input", () => { at ??= performance.now(); }, true);
  new MutationObserver(() => {
    if (at === null) return;
    const from = at;
    at = null;
    requestAnimationFrame(() => window.took.push(performance.now() - from));
  }).observe(document.querySelector(".paper"), { childList: true });
});
const field = page.getByLabel("corner radius", { exact: true });
for (let n = 0; n < 60; n += 1) {
  await field.fill(`3-${1 + (n % 15)}/16`);
  await page.waitForFunction((n) => window.took.length > n, n, { timeout: 10000 }).catch(() => {});
}
const took = (await page.evaluate(() => window.took)).sort((a, b) => a - b);
const late = took[Math.floor(took.length * 0.95)];
console.log(`from a key to the new drawing: median ${took[took.length >> 1]?.toFixed(0)} ms, 95 % within ${late?.toFixed(0)} ms, of ${took.length}`);
holds("a drawing within 100 ms of a key, 95 of 100 times", took.length >= 50 && late < (release ? 100 : 2000), late);
await field.press("Escape");

// From a change to a first estimate of it, and to the plan that is proven or has used up its work.
const waits = await page.evaluate(async () => {
  const times = { estimate: [], plan: [] };
  for (let n = 0; n < 9; n += 1) {
    const [field, seen, from] = [document.querySelector("#cabinet-0-setback"), document.querySelector("#steps").dataset.seen, performance.now()];
    field.value = n % 2 ? "3/4" : "7/8";
    field.dispatchEvent(new Event("change", { bubbles: true }));
    await new Promise((done) => {
      let estimate = false;
      const look = () => {
        const stand = document.querySelector("#steps").dataset.seen === seen ? "" : document.querySelector("#card").dataset.stand;
        if (!estimate && ["quick", "whole"].includes(stand)) { estimate = true; times.estimate.push(performance.now() - from); }
        if (stand === "whole") { times.plan.push(performance.now() - from); done(); } else requestAnimationFrame(look);
      };
      look();
    });
  }
  return times;
});
const middle = (times) => times.sort((a, b) => a - b)[times.length >> 1];
console.log(`from a change to an estimate ${middle(waits.estimate).toFixed(0)} ms, to the plan ${middle(waits.plan).toFixed(0)} ms (medians of ${waits.plan.length})`);
holds("an estimate within 0.2 s", waits.estimate.length === 9 && middle(waits.estimate) < (release ? 200 : 6000), waits.estimate);
holds("a first plan within a second", middle(waits.estimate) < (release ? 1000 : 6000), waits.estimate);
holds("the plan after it, as long as the planner takes", waits.plan.length === 9 && middle(waits.plan) < 60000, waits.plan);
// The answer to a value that was sent leaves alone what is typed meanwhile, in the same field too.
await page.route("**/edit", async (route) => {
  await page.getByLabel("inside depth", { exact: true }).selectText();
  await page.keyboard.type("16-");
  return route.continue();
}, { times: 1 });
await page.getByLabel("inside depth", { exact: true }).fill("17");
await page.getByLabel("inside depth", { exact: true }).press("Enter");
await until(page, "the one that was sent is written", () => document.querySelector("#cabinet-0-inside_depth").defaultValue === "17");
holds("what was typed since then is still there", (await page.getByLabel("inside depth", { exact: true }).inputValue()) === "16-");
await page.keyboard.type("3/4");
await page.keyboard.press("Enter");
await until(page, "and is written in its turn", () => document.querySelector("#cabinet-0-inside_depth").defaultValue === "16-3/4");
// Whoever goes on typing has the price of what was typed last: older runs are stopped.
for (const depth of ["15-1/2", "16", "16-1/2", "17", "16-1/4"]) {
  await page.getByLabel("inside depth", { exact: true }).fill(depth);
  await page.getByLabel("inside depth", { exact: true }).press("Enter");
}
await until(page, "the last of them is written", () => document.querySelector("#cabinet-0-inside_depth").defaultValue === "16-1/4");
const after = await priced(page);
holds("the price is that of the last change", run(["quote", archive], jobs).includes(after.split(" ").pop()), after);

// Two pages at once: what one writes, the other shows, and says.
const other = await opened(address);
await page.getByLabel("setback from the front edge", { exact: true }).fill("1");
await page.getByLabel("setback from the front edge", { exact: true }).press("Enter");
await until(other, "the other page shows it", () => document.querySelector("#cabinet-0-setback").defaultValue === "1");
await other.close();

// The door dragged: frames in two seconds, and where it is then.
await page.goto(`${address}?cabinet=0`);
await page.waitForTimeout(1500);
const lead = await page.locator('[data-plan="1"] .slat.lead').boundingBox();
const where = () => page.locator('[data-plan="1"] .slat.lead').getAttribute("transform");
const closed = await where();
const frames = page.evaluate(() => new Promise((done) => {
  const times = [];
  const each = (now) => { times.push(now); if (now - times[0] < 2000) requestAnimationFrame(each); else done(times); };
  requestAnimationFrame(each);
}));
const [x, y] = [lead.x + lead.width / 2, lead.y + lead.height / 2];
await page.mouse.move(x, y);
await page.mouse.down();
for (let n = 0; n < 90; n += 1) await page.mouse.move(x + n * 2, y + (n % 3));
const times = await frames;
await page.mouse.up();
const rate = (times.length - 1) / ((times[times.length - 1] - times[0]) / 1000);
console.log(`dragging: ${rate.toFixed(0)} frames a second`);
holds("the door follows the pointer", (await where()) !== closed && Number(await page.locator("#open").inputValue()) > 20);
holds("sixty frames a second", rate > (release ? 57 : 20), rate);
await page.getByLabel("Open the doors").focus();
await page.keyboard.press("Home");
await page.waitForTimeout(100);
holds("and by keys", (await where()) === closed, await where());
await page.close();

// ---- how it is to read ----
for (const [name, options] of [
  ["wide", { viewport: { width: 1280, height: 900 } }],
  ["phone", { viewport: { width: 390, height: 844 } }],
  ["dark", { colorScheme: "dark" }],
  ["dark phone", { viewport: { width: 390, height: 844 }, colorScheme: "dark" }],
]) {
  page = await opened(address, options);
  await priced(page);
  for (const details of await page.locator("details").all()) await details.evaluate((node) => { node.open = true; });
  await readable(page, name);
  if (name === "wide") await by_keys(page, name);
  await page.close();
  page = await opened(`${address}shop`, options);
  for (const details of await page.locator("details").all()) await details.evaluate((node) => { node.open = true; });
  await readable(page, `shop, ${name}`);
  if (name === "phone") await by_keys(page, `shop, ${name}`);
  await page.close();
}
holds("the program still runs", browser.isConnected() && existsSync(binary));
await end();
