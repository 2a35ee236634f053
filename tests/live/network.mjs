// A device of the network in a real Chromium: it waits until the maker lets it in, then it has the pages.
//
//   node network.mjs BINARY JOBS
import { join } from "node:path";
import { browser, by_keys, end, holds, opened, priced, readable, run, scratch, served_at, until } from "./browser.mjs";

const folder = scratch();
run(["new", "press"], folder);
const job = join(folder, "press", "job.toml");
const [address, door] = await served_at(job, ["--lan=127.0.0.1"], 2);
const maker = await opened(address);
const device = await browser.newPage({ viewport: { width: 390, height: 844 } });
await device.goto(door);
await device.waitForSelector("text=Waiting to be let in");
await readable(device, "waiting");
holds("nothing of the job is shown", !(await device.content()).includes("press"));
const number = (await device.locator("main .word").innerText()).trim();
await until(maker, "the maker is asked", () => document.querySelector("#devices .asks"));
holds("by its number", (await maker.locator("#devices .asks").innerText()).includes(number));
await maker.locator("#devices summary").click();
await readable(maker, "the maker's page");
const code = await maker.locator("svg.code").boundingBox();
holds("the code is large enough to scan", code.width >= 200, code);
await maker.getByRole("button", { name: `To look only: device ${number}` }).focus();
await maker.keyboard.press("Enter");
// It goes on by itself.
await device.waitForSelector("#drawing svg", { timeout: 15000 });
holds("the device is not asked about others", (await device.locator("#devices").count()) === 0);
const field = device.getByLabel("inside width", { exact: true });
await field.fill("38");
await field.press("Enter");
await until(device, "it may not write", () => document.querySelector("#notice").innerText.includes("to look, not to write"));
await maker.getByRole("button", { name: `Out with it: device ${number}` }).click();
await until(maker, "it is out", () => !document.querySelector("#devices [data-number]"));
await device.goto(device.url());
holds("and sees nothing", (await device.content()).includes("this key opens nothing"));
// Another time, to write.
await device.goto(door);
await until(maker, "it asks again", () => document.querySelector("#devices .asks"));
await maker.getByRole("button", { name: /^Let it in/ }).click();
await device.waitForSelector("#drawing svg", { timeout: 15000 });
await device.getByLabel("inside width", { exact: true }).fill("38");
await device.getByLabel("inside width", { exact: true }).press("Enter");
await until(maker, "what it writes the maker sees", () => document.querySelector("#cabinet-0-inside_width").defaultValue === "38");
await priced(maker);
await by_keys(maker, "the maker's page");
await device.close();
await end();
