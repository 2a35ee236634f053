// The walk of examples/in_the_browser in a real Chromium: from nothing to a frozen quote, printed sheets, boards picked and
// the first of them cut, with no text editor. Every key that the walk names is pressed here.
//
//   node walk.mjs BINARY JOBS
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { end, holds, jobs, opened, priced, run, scratch, serve, until } from "./browser.mjs";

const written_down = readFileSync(join(jobs, "..", "examples", "in_the_browser", "README.md"), "utf8");
const steps = written_down.slice(written_down.indexOf("\n1. "));
const named = new Set([...steps.matchAll(/\*([A-Z][^*]+)\*/g)].map((found) => found[1].replace(/\s+/g, " ")));
holds("the walk names keys", named.size > 10, [...named]);
const pressed = new Set();
// A key by the words on it.
function key(name) {
  holds(`the walk names ${name}`, named.has(name), [...named]);
  pressed.add(name);
  return page.locator("button, a, summary").filter({ hasText: new RegExp(`^\\s*${name.replace("?", "\\?")}`) }).filter({ visible: true }).first();
}

// ---- the walk, by keyboard and pointer alone ----
const folder = scratch();
const begun = Date.now();
run(["new", "press"], folder);
const job = join(folder, "press", "job.toml");
const read = () => readFileSync(job, "utf8");
const address = await serve(job);
let page = await opened(address);

async function type(label, text, key = "Enter") {
  const field = page.getByLabel(label, { exact: true });
  await field.fill(text);
  await field.press(key);
}
const notice = () => page.locator("#notice").innerText();
const written = (what, text) => until(page, what, () => true).then(async () => {
  for (let n = 0; n < 100 && !read().includes(text); n += 1) await page.waitForTimeout(50);
  holds(what, read().includes(text), read());
});

await type("job", "hall cupboard");
await type("for", "the tenants");
await written("the job's name is written", 'name = "hall cupboard"');
await written("the client is written", 'client = "the tenants"');
await type("inside width", "32");
await written("a size is written, its comment kept", 'inside_width = "32"\ninside_depth = "15-1/2"      # case front edge');
await page.getByLabel("how many", { exact: true }).press("ArrowDown");
await written("a step down by the arrow key", "count = 1\n");
const first = await priced(page);

// The shop's own figures, and a board more than the yard's list had.
await key("Shop").click();
await page.waitForSelector("#shop-rates-maker");
const shop = (name) => readFileSync(join(folder, "press", name), "utf8");
async function into(id, text, file, what) {
  await page.locator(id).fill(text);
  await page.locator(id).press("Enter");
  for (let n = 0; n < 100 && !shop(file).includes(what); n += 1) await page.waitForTimeout(50);
  holds(`${what} is written into ${file}`, shop(file).includes(what), shop(file));
}
await into("#shop-rates-maker", "52.50", "shop.toml", "maker = 52.50                # the wage of whoever answers for the fit");
await into("#shop-cutting-rip_kerf", "3/32", "shop.toml", 'rip_kerf = "3/32"');
await into("#boards-1-price", "10.15", "boards.csv", "6,96,,10.15,bf");
await page.locator("fieldset").filter({ has: page.locator("#boards-1-price") }).locator("button", { hasText: "One more like this" }).click();
pressed.add("One more like this");
await page.waitForSelector("#boards-2-stock");
await into("#boards-2-stock", "cherry 4/4 7in 8ft", "boards.csv", "cherry 4/4 7in 8ft,black cherry,4/4 rough,6,96,,10.15,bf");
await into("#boards-2-width", "7", "boards.csv", "cherry 4/4 7in 8ft,black cherry,4/4 rough,7,96,,10.15,bf");
const changed = await priced(page);
holds("the price follows", changed !== first, changed);
holds("as the command has it", run(["quote", job], folder).includes(changed.split(" ").pop()), changed);
await key("Doors").click();
await page.waitForSelector("#drawing svg");

// A radius smaller and smaller until a door fails.
const radius = page.getByLabel("corner radius", { exact: true });
for (const text of ["2-1/2", "2", "1-1/2", "1-1/4"]) {
  await radius.fill(text);
  await radius.press("Enter");
  await written(`radius ${text}`, `corner_radius = "${text}"`);
  if (await page.locator("#said strong").count()) break;
}
await until(page, "a door fails", () => document.querySelector("#said strong"));
holds("the slat that binds is drawn heavy", (await page.locator(".bench .slat.binds").count()) > 0);
holds("it says by how much", /short/.test(await page.locator(".bench text.binds").first().textContent()));
holds("no price is claimed", (await page.locator("#card").getAttribute("data-stand")) !== "whole" || (await priced(page)) !== first);
const failing = read();
await page.locator(".cures button").first().focus();
await page.keyboard.press("Enter");
await until(page, "the cure makes it fit", () => !document.querySelector("#said strong"));
holds("the cure is in the file", read() !== failing);
holds("the command agrees", run(["check", job], folder).includes("Both doors fit."));
const cured = read();
await key("Undo").click();
await until(page, "undo", () => document.querySelector("#said strong"));
holds("undo writes what was there", read() === failing);
await key("Redo").click();
await until(page, "redo", () => !document.querySelector("#said strong"));
holds("redo writes the cure again", read() === cured);

// One more like it, taken out again.
await key("Another cabinet").click();
await key("One like this").click();
await until(page, "a copy lies on the bench", () => document.querySelector("#cabinets [aria-current]")?.innerText.includes("press 2"));
if (!(await page.locator("#cabinets details").evaluate((d) => d.open))) await key("Another cabinet").click();
await key("Remove this one").click();
await until(page, "it is gone", () => document.querySelectorAll("#cabinets .list a").length === 1);
holds("and the file as before", read() === cured);

// Frozen and printed.
const total = await priced(page);
holds("the price of the page is the command's", run(["quote", job], folder).includes(total.split(" ").pop()), total);
await key("Freeze as a revision").click();
await until(page, "it is frozen", () => /^Frozen as revision 1/.test(document.querySelector("#notice").innerText));
holds("with the same total", (await notice()).includes(total), await notice());
const quotes = join(folder, "press", "quotes");
const revision = existsSync(quotes) && readdirSync(quotes).find((name) => /-r1$/.test(name));
holds("the revision lies beside the job", revision && existsSync(join(quotes, revision, "plan", "job.html")));
holds("the command prints it", run(["quote", job, "--revision", "1"], folder).includes(total.split(" ").pop()));
// The print dialogue belongs to the browser; here it is only noted that it was asked for.
await page.context().addInitScript(() => { window.print = () => { window.asked = true; }; });
const [sheets] = await Promise.all([page.waitForEvent("popup"), key("Print the sheets").click()]);
await sheets.waitForLoadState();
holds("the sheets are there", (await sheets.locator("h2").allInnerTexts()).some((text) => text.includes("Rip sheet")));
await until(sheets, "the print dialogue is asked for", () => window.asked);
const pdf = await sheets.pdf({ format: "Letter" });
holds("and print", (pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length > 5);
await sheets.close();

// At the yard, on a phone, and from what was picked to the saw.
await page.setViewportSize({ width: 390, height: 844 });
await key("Yard").click();
await page.getByLabel("Width", { exact: true }).fill("7.25");
await page.getByLabel("Length", { exact: true }).fill("96");
await key("Take it or leave it?").click();
await page.waitForSelector(".hand");
await key("I take it").click();
await page.waitForSelector(".picked");
await key("Cut from these").click();
await page.waitForSelector(".setting");
holds("the plan has the board", shop("cut/plan/boards.csv").includes("yard 1,"));
await key("Straight").click();
await page.waitForSelector("text=1 straight, 0 bowed");
// Of this size, or of the next where the board holds one of the first.
await key("Bowed").click();
await page.waitForSelector("text=1 bowed");
await key("All the rest of this board is straight").click();
await page.waitForSelector("text=This board is counted.");
holds("the count is written", /^1,S\d+,\d+,\d+,1,/m.test(shop("cut/count.csv")), shop("cut/count.csv"));
await key("Next board").click();
holds("every key that the walk names was pressed", pressed.size === named.size, [...named].filter((name) => !pressed.has(name)));
holds("within ten minutes", Date.now() - begun < 600000);
console.log(`the walk took ${((Date.now() - begun) / 1000).toFixed(1)} s`);
await page.close();
await end();

