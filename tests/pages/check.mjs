// Opens every page of plan folders in headless Chromium at letter, A4 and phone width, on screen and in print:
// nothing may run over an edge, no text may be cut off, nothing may be fetched; then validates the markup.
//
//   node check.mjs FOLDER... [--shots DIR]     (CHROMIUM names the browser, /usr/bin/chromium by default)
import { mkdtempSync, mkdirSync, readFileSync, readdirSync, existsSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { HtmlValidate } from "html-validate";
import { faultsOnPaper, markTogether } from "./paper.mjs";

const MM = 96 / 25.4;
// Width and height of the page less its margins (the stylesheet's @page rule: 12, 12 and 14 mm).
const SIZES = [
  { name: "letter", width: Math.floor((215.9 - 24) * MM), height: 967, print: "Letter" },
  { name: "A4", width: Math.floor((210 - 24) * MM), height: 1016, print: "A4" },
  { name: "phone", width: 360, height: 740 },
];

const argumentsGiven = process.argv.slice(2);
const at = argumentsGiven.indexOf("--shots");
const shots = at < 0 ? null : resolve(argumentsGiven.splice(at, 2)[1]);
if (shots) mkdirSync(shots, { recursive: true });

function pagesOf(folder) {
  const single = join(folder, "pages");
  const names = existsSync(single) ? readdirSync(single).filter((n) => n.endsWith(".html")).map((n) => join(single, n)) : [];
  return [join(folder, "job.html"), ...names.sort()];
}

// Runs in the page. Every box of text or drawing that leaves the sheet sideways, or is cut off by its own parent.
// A drawing at full size scrolls on a screen; in print its sheet has margins 5 mm narrower on either side.
function overflowing(wider) {
  const edge = document.documentElement.clientWidth;
  const bad = [];
  const full = document.querySelector("figure.full svg") ? wider : 0;
  if (document.documentElement.scrollWidth > edge + full) bad.push(`the page is ${document.documentElement.scrollWidth} wide, the sheet ${edge}`);
  for (const element of document.querySelectorAll("body *")) {
    const box = element.getBoundingClientRect();
    if (box.width === 0 || box.height === 0) continue;
    const drawn = element.closest("figure.full");
    if (drawn && getComputedStyle(drawn).overflowX === "auto") continue;
    const name = `${element.tagName.toLowerCase()}.${element.getAttribute("class") ?? ""} "${(element.textContent ?? "").trim().slice(0, 40)}"`;
    if (box.right > edge + 0.5 + (drawn ? wider : 0) || box.left < -0.5) bad.push(`${name} reaches from ${box.left} to ${box.right} of ${edge}`);
    const style = getComputedStyle(element);
    if (!element.closest("svg") && style.overflowX !== "visible" && element.scrollWidth > element.clientWidth + 1) bad.push(`${name} cuts off its text`);
    if (element.tagName === "text") {
      const sheet = element.ownerSVGElement.getBoundingClientRect();
      if (box.left < sheet.left - 1 || box.right > sheet.right + 1 || box.top < sheet.top - 1 || box.bottom > sheet.bottom + 1) bad.push(`${name} leaves its drawing`);
    }
  }
  // Words of neighbouring cells must not run into one another.
  for (const row of document.querySelectorAll("tr")) {
    const cells = [...row.children].map((cell) => {
      const range = document.createRange();
      range.selectNodeContents(cell);
      return { text: range.getBoundingClientRect(), cell };
    });
    for (let i = 1; i < cells.length; i++) {
      if (cells[i - 1].text.right > cells[i].cell.getBoundingClientRect().right) bad.push(`cells run together: "${row.textContent.slice(0, 60)}"`);
    }
  }
  // What must stay whole must be no higher than a sheet, or the printer would cut through it.
  return bad;
}

// Words of a drawing, as large as they are printed: 9 points and more, so that they are read at arm's length.
function tooSmall() {
  const small = [];
  for (const text of document.querySelectorAll("svg text")) {
    if (text.getClientRects().length === 0) continue;
    const points = parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a * 0.75;
    if (points < 8.95) small.push(`"${text.textContent}" in "${text.ownerSVGElement.getAttribute("aria-label")?.slice(0, 40)}" is ${points.toFixed(1)} points`);
  }
  return small;
}

function tooHigh(height) {
  const whole = [...document.querySelectorAll("figure, tr, .cautions, svg")];
  return whole.filter((e) => e.getBoundingClientRect().height > height).map((e) => `${e.tagName} is higher than a sheet`);
}

const profile = mkdtempSync(join(tmpdir(), "slatwright-pages-"));
const browser = await chromium.launchPersistentContext(profile, {
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
const validator = new HtmlValidate({
  extends: ["html-validate:standard"],
  rules: { "no-implicit-button-type": "off" },
});

let passed = 0;
let failed = 0;
function report(what, problems) {
  if (problems.length === 0) { passed += 1; return; }
  failed += 1;
  console.error(`FAILED ${what}`);
  for (const problem of problems.slice(0, 12)) console.error(`  ${problem}`);
}

// Pages of a PDF as Chromium writes it, whose page objects lie open.
function pagesIn(pdf) {
  return (pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
}

for (const folder of argumentsGiven) {
  const counted = {};
  for (const file of pagesOf(folder)) {
    const name = `${basename(resolve(folder))}-${basename(file, ".html")}`;
    const html = readFileSync(file, "utf8");
    const validity = await validator.validateString(html, file);
    report(`${name}: markup`, validity.results.flatMap((r) => r.messages.map((m) => `${m.line}:${m.column} ${m.ruleId}: ${m.message}`)));

    for (const size of SIZES) {
      const page = await browser.newPage();
      const asked = [];
      page.on("request", (request) => { if (request.url() !== pathToFileURL(resolve(file)).href) asked.push(request.url()); });
      page.on("pageerror", (error) => asked.push(String(error)));
      await page.setViewportSize({ width: size.width, height: size.height });
      await page.goto(pathToFileURL(resolve(file)).href);
      const problems = [];
      for (const medium of size.print ? ["screen", "print"] : ["screen"]) {
        await page.emulateMedia({ media: medium });
        problems.push(...(await page.evaluate(overflowing, medium === "print" ? Math.floor(10 * MM) : 0)).map((p) => `${medium}: ${p}`));
        if (medium === "print") problems.push(...(await page.evaluate(tooHigh, size.height)), ...(await page.evaluate(tooSmall)));
      }
      if (asked.length > 0) problems.push(`asked for ${asked.join(", ")}`);
      if (size.print) {
        const pdf = await page.pdf({ format: size.print, preferCSSPageSize: false, path: shots ? join(shots, `${name}-${size.name}.pdf`) : undefined });
        if (pdf.length < 1000 || pdf.subarray(0, 5).toString() !== "%PDF-") problems.push("no PDF came out");
        counted[`${basename(file, ".html")} ${size.name}`] = pagesIn(pdf);
      }
      if (shots) {
        await page.emulateMedia({ media: "screen" });
        await page.screenshot({ path: join(shots, `${name}-${size.name}.png`), fullPage: basename(file) !== "job.html" });
      }
      report(`${name}: ${size.name}`, problems);
      await page.close();
    }
  }
  // On paper nothing is parted that belongs together, and no page but the last of a sheet is nearly empty.
  for (const size of SIZES.filter((size) => size.print)) {
    const page = await browser.newPage();
    await page.goto(pathToFileURL(resolve(join(folder, "job.html"))).href);
    const together = await page.evaluate(markTogether);
    const pdf = await page.pdf({ format: size.print, preferCSSPageSize: false });
    report(`${basename(resolve(folder))}: on ${size.name} paper`, await faultsOnPaper(pdf, together));
    await page.close();
  }
  // A folder `most-22-...` takes at most 22 pages of either paper, its tags not counted.
  const most = /^most-(\d+)-/.exec(basename(resolve(folder)))?.[1];
  for (const size of most ? ["letter", "A4"] : []) {
    const pages = counted[`job ${size}`] - (counted[`tags ${size}`] ?? 0);
    report(`${basename(resolve(folder))}: ${size}`, pages > 0 && pages <= Number(most) ? [] : [`${pages} pages, at most ${most}`]);
  }
}
await browser.close();
rmSync(profile, { recursive: true, force: true });
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 && passed > 0 ? 0 : 1);
