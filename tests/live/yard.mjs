// The page at the yard in a real Chromium, on a phone: three fields, two keys, no script.
//
//   node yard.mjs BINARY JOBS
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { by_keys, end, holds, opened, readable, run, scratch, serve } from "./browser.mjs";

const PHONE = { viewport: { width: 390, height: 844 } };
const folder = scratch();
run(["new", "press"], folder);
const job = join(folder, "press", "job.toml");
const picked = () => readFileSync(join(folder, "press", "picked.csv"), "utf8");
const address = await serve(job);
const page = await opened(`${address}yard`, { ...PHONE, hasTouch: true, javaScriptEnabled: true });

// By keys alone: a board is measured, and asked about.
await page.getByLabel("Width", { exact: true }).focus();
await page.keyboard.type("6");
await page.keyboard.press("Tab");
await page.keyboard.type("3/4");
await page.keyboard.press("Tab");
await page.keyboard.type("97");
await page.keyboard.press("Enter");
await page.waitForSelector(".hand");
const verdict = (await page.locator(".hand .word").innerText()).toLowerCase();
const row = run(["yard", job, "--picked", "press/picked.csv", "--csv"], folder).split("\n")[1].split(",");
holds("the word is the command's", row[1] === verdict, [row, verdict]);
for (const figure of row.slice(2, 4)) {
  holds("price and worth are the command's", (await page.locator(".hand").innerText()).includes(figure), figure);
}
const word = await page.locator(".hand .word").evaluate((node) => parseFloat(getComputedStyle(node).fontSize));
holds("the word is read at arm's length", word >= 40, word);
for (const name of [/^I take it/, /^I leave it/]) {
  const key = await page.getByRole("button", { name }).boundingBox();
  holds("a key is large enough for a thumb in a glove", key.height >= 64 && key.width >= 140, key);
}
await readable(page, "a board in hand");
await page.getByRole("button", { name: /^I take it/ }).focus();
await page.keyboard.press("Enter");
await page.waitForSelector(".picked");
holds("it is written", /,6\.75,97,1,/.test(picked()), picked());
await page.getByLabel("Width", { exact: true }).fill("wide");
await page.getByLabel("Length", { exact: true }).fill("97");
await page.getByRole("button", { name: "Take it or leave it?" }).click();
await page.waitForSelector("#says-width:not(:empty)");
holds("what is wrong is said at its field", (await page.locator("#says-width").innerText()).includes("wide"));
await readable(page, "a board that is none");
for (const [name, options] of [
  ["phone", PHONE],
  ["dark phone", { ...PHONE, colorScheme: "dark" }],
  ["wide", {}],
]) {
  const other = await opened(`${address}yard`, options);
  for (const details of await other.locator("details").all()) await details.evaluate((node) => { node.open = true; });
  await readable(other, `yard, ${name}`);
  if (name === "phone") await by_keys(other, `yard, ${name}`);
  await other.close();
}
await end();
