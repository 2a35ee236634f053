// What the browser tests of the live page share: a job being served, a browser, and what is reported.
import { spawn, execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";

const require = createRequire(new URL("../pages/package.json", import.meta.url));
const { chromium } = require("playwright-core");

export const [binary, jobs] = process.argv.slice(2);
export const scratch = () => mkdtempSync(join(tmpdir(), "slatwright-live-"));

// A copy of the demo jobs in a folder of its own.
export function demo() {
  const folder = scratch();
  cpSync(jobs, folder, { recursive: true });
  return folder;
}

export const run = (args, folder) => execFileSync(binary, args, { cwd: folder, encoding: "utf8" });

const served = [];
// However this ends, what it serves ends with it.
process.on("exit", () => served.forEach((program) => program.kill("SIGKILL")));
for (const signal of ["SIGTERM", "SIGINT"]) process.on(signal, () => process.exit(1));
process.on("unhandledRejection", (error) => { console.log("FAILED", error); process.exit(1); });
// Serves a job and gives the addresses that are printed: of its page, and of the door to the network where it is open.
export function served_at(job, more = [], addresses = 1) {
  const program = spawn(binary, ["open", job, "--no-browser", ...more], { stdio: ["ignore", "pipe", "ignore"] });
  served.push(program);
  return new Promise((resolve, reject) => {
    let said = "";
    program.stdout.on("data", (data) => {
      said += data;
      const found = said.split("\n").slice(0, -1).filter((line) => line.startsWith("http"));
      if (found.length >= addresses) resolve(found);
    });
    program.on("exit", () => reject(new Error(`ended: ${said}`)));
  });
}
export const serve = async (job) => (await served_at(job))[0];

export const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu"],
});

let [passed, failed] = [0, 0];
export function holds(what, right, found = "") {
  if (right) passed += 1;
  else {
    failed += 1;
    console.log(`FAILED ${what}`, found);
  }
}

// A page whose errors fail the test; `address` is opened on it.
export async function opened(address, options = {}) {
  const page = await browser.newPage({ viewport: { width: 1280, height: 900 }, ...options });
  page.on("console", (message) => { if (message.type() === "error") holds("no error on the console", false, `${message.text()} ${message.location().url}`); });
  page.on("pageerror", (error) => holds("no error of the script", false, String(error)));
  page.on("request", (request) => {
    if (!request.url().startsWith(new URL(address).origin)) holds("nothing is fetched from elsewhere", false, request.url());
  });
  await page.goto(address);
  return page;
}

// Waits until a condition on the page's text holds.
export async function until(page, what, condition, argument, timeout = 20000) {
  try {
    await page.waitForFunction(condition, argument, { timeout });
    holds(what, true);
  } catch {
    holds(what, false, await page.evaluate(() => document.body.innerText.slice(0, 1500)));
  }
}

// The price, once it is no longer being worked out.
export async function priced(page) {
  await until(page, "a price comes", () => ["whole", "cannot"].includes(document.querySelector("#card")?.dataset.stand), null, 120000);
  return page.locator("#card h2").innerText();
}

export async function end() {
  await browser.close();
  console.log(`${passed} passed, ${failed} failed`);
  process.exit(failed === 0 && passed > 0 ? 0 : 1);
}

// ---- how a page is for those who read it ----

const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"];

// By the rules of this project and by those of axe, which has the success criteria of WCAG 2.1 A and AA.
export async function readable(page, name) {
  // Not before its stylesheet is there.
  await page.waitForLoadState();
  const own = await page.evaluate(unreadable);
  holds(`${name}: readable`, own.length === 0, own.slice(0, 5));
  await page.evaluate(axe);
  const found = await page.evaluate((values) => window.axe.run(document, { runOnly: { type: "tag", values } }), RULES);
  const words = found.violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(" | ")}`);
  holds(`${name}: nothing that axe objects to`, words.length === 0, words);
  holds(`${name}: axe looked at it`, found.passes.length > 10, found.passes.length);
}

// Everything that can be pressed or typed into is come to by the tab key, and one sees where one is.
export async function by_keys(page, name) {
  // A part of the page that comes anew meanwhile, with a price, is walked through again.
  let [met, wanted, unseen] = [0, 0, 0];
  for (let turn = 0; turn < 3 && (turn === 0 || met < wanted); turn += 1) {
    [met, wanted, unseen] = await walked(page);
  }
  holds(`${name}: all is reached by the tab key`, wanted > 3 && met === wanted, `${met} of ${wanted}`);
  holds(`${name}: one sees where one is`, unseen === 0, unseen);
}

async function walked(page) {
  const wanted = await page.evaluate(() => {
    document.activeElement?.blur();
    const all = [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, summary, [tabindex='0']")];
    // A step has the arrow keys of its field.
    const seen = all.filter((node) => !node.disabled && node.checkVisibility() && !node.matches(".step"));
    seen.forEach((node, n) => { node.dataset.nth = n; });
    return seen.length;
  });
  const met = new Set();
  let unseen = 0;
  for (let n = 0; n < wanted + 40 && met.size < wanted; n += 1) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const node = document.activeElement;
      return { nth: node?.dataset?.nth, outline: node ? parseFloat(getComputedStyle(node).outlineWidth) : 0 };
    });
    if (at.nth === undefined) continue;
    met.add(at.nth);
    if (!(at.outline >= 2)) unseen += 1;
  }
  return [met.size, wanted, unseen];
}

// Fields without a label, text of too little contrast, and what runs over the right edge.
function unreadable() {
  const problems = [];
  for (const field of document.querySelectorAll("input:not([type=hidden]), select, textarea")) {
    if (!field.labels?.length && !field.getAttribute("aria-label")) problems.push(`no label: ${field.outerHTML}`);
  }
  for (const button of document.querySelectorAll("button, a")) {
    if (!button.textContent.trim() && !button.getAttribute("aria-label")) problems.push(`no words: ${button.outerHTML}`);
  }
  const colour = (text) => (text.match(/[\d.]+/g) ?? [0, 0, 0, 0]).map(Number);
  const light = ([r, g, b]) => {
    const part = (c) => { const s = c / 255; return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4; };
    return 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  };
  const behind = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const found = colour(getComputedStyle(at).backgroundColor);
      if (found.length < 4 || found[3] > 0) return found;
    }
    return [255, 255, 255];
  };
  const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (words.nextNode()) {
    const node = words.currentNode.parentElement;
    if (!words.currentNode.data.trim() || !node.getClientRects().length || node.closest("svg, script, :disabled")) continue;
    // What only lies in wait for a pointer, and has a key beside it.
    if (getComputedStyle(node).opacity === "0") continue;
    const [a, b] = [light(colour(getComputedStyle(node).color)), light(behind(node))];
    const contrast = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (contrast < 4.5) problems.push(`contrast ${contrast.toFixed(2)}: ${node.outerHTML.slice(0, 120)}`);
  }
  const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  if (wide > 1) problems.push(`${wide} px over the right edge`);
  return problems;
}
