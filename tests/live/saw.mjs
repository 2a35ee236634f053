// The page at the saw in a real Chromium, on a tablet: read from two metres, two buttons a size, no script.
//
//   node saw.mjs BINARY JOBS
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { by_keys, demo, end, holds, opened, readable, run, scratch, serve, until } from "./browser.mjs";

const folder = scratch();
run(["new", "press"], folder);
const job = join(folder, "press", "job.toml");
const address = await serve(job);
const page = await opened(`${address}saw`, { viewport: { width: 820, height: 1180 }, javaScriptEnabled: true });
await page.getByRole("button", { name: "Begin cutting" }).click();
await page.waitForSelector(".setting");
// Not before its stylesheet is there.
await page.waitForLoadState();
holds("the plan is written", existsSync(join(folder, "press", "cut", "plan", "rips.csv")));
const size = await page.locator(".setting dd").first().evaluate((node) => parseFloat(getComputedStyle(node).fontSize));
holds("the setting is read from two metres", size >= 40, size);
const button = await page.locator(".pair button").first().boundingBox();
holds("a button is large enough for a thumb in a glove", button.height >= 64 && button.width >= 200, button);
await page.getByRole("button", { name: /^Bowed/ }).first().click();
await until(page, "a bowed strip is counted", () => document.querySelector("main").innerText.includes("0 straight, 1 bowed"));
await page.getByRole("button", { name: "All the rest of this board is straight" }).focus();
await page.keyboard.press("Enter");
await page.waitForSelector("text=This board is counted.");
const count = readFileSync(join(folder, "press", "cut", "count.csv"), "utf8");
holds("the count is written", /^1,S\d+,\d+,\d+,1,/m.test(count), count);
const said = run(["count", job, "--plan", "press/cut/plan", "--cut", "press/cut/count.csv"], folder);
holds("the command reads it", said.includes("Boards done: 1 of "), said);
// Two boards bow altogether: what is missing becomes a cut of its own.
for (const board of [1, 2]) {
  await page.goto(`${address}saw?board=${board}`);
  for (let n = 0; n < 120 && (await page.getByRole("button", { name: /^Bowed/ }).count()); n += 1) {
    await page.getByRole("button", { name: /^Bowed/ }).first().click();
  }
}
for (let n = 0; n < 20 && (await page.getByRole("button", { name: "All the rest of this board is straight" }).count()) + (await page.getByRole("link", { name: "Next board" }).count()); n += 1) {
  const rest = page.getByRole("button", { name: "All the rest of this board is straight" });
  await ((await rest.count()) ? rest : page.getByRole("link", { name: "Next board" })).click();
}
await page.getByRole("button", { name: "Cut these next" }).click();
await page.waitForSelector("h1:has-text('Cut 2, board 1')");
holds("the second cut is drawn", (await page.locator("svg.fig").count()) === 1);
const both = ["--plan", "press/cut/plan", "--cut", "press/cut/count.csv", "--plan", "press/cut/plan-2"];
holds("the command knows both cuts", /Boards done: \d+ of \d+/.test(run(["count", job, ...both], folder)));
for (const options of [{ viewport: { width: 820, height: 1180 } }, { viewport: { width: 390, height: 844 }, colorScheme: "dark" }]) {
  const other = await opened(`${address}saw`, options);
  await readable(other, `saw, ${options.viewport.width}`);
  await by_keys(other, `saw, ${options.viewport.width}`);
  await other.close();
}
holds("a demo has not begun", (await (await opened(`${await serve(join(demo(), "small_press.toml"))}saw`)).locator("main").innerText()).includes("Nothing is being cut"));
await end();
