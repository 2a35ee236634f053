// What a sheet looks like once it is on paper: how full its pages are, and whether what belongs together stands on one
// page. Marks too small to be seen are set into the page before it is printed and looked for in the PDF.
import { OPS, Util, getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";

// Runs in the page. Sets a mark at the beginning and at the end of whatever must not be parted, and answers which marks
// belong on one page.
export function markTogether() {
  const together = [];
  let marks = 0;
  const mark = () => `qz${String((marks += 1)).padStart(5, "0")}z`;
  // Out of the flow, so that nothing moves for it.
  const into = (element, atEnd) => {
    const name = mark();
    if (element.ownerSVGElement || element.tagName === "svg") {
      const svg = element.ownerSVGElement ?? element;
      const [x, y, width, height] = svg.getAttribute("viewBox").split(" ").map(Number);
      const text = document.createElementNS("http://www.w3.org/2000/svg", "text");
      text.setAttribute("x", x + width / 2);
      text.setAttribute("y", atEnd ? y + height : y + 2);
      text.setAttribute("style", "font-size: 1px");
      text.textContent = name;
      svg.append(text);
      return name;
    }
    const span = document.createElement("span");
    span.textContent = name;
    span.setAttribute("style", "position: absolute; font-size: 1px; line-height: 1px");
    if (atEnd) element.append(span);
    else element.prepend(span);
    return name;
  };
  // Text can be set into cells and paragraphs, not into a table or a list.
  const inner = (element, atEnd) => {
    if (element.tagName === "FIGURE" && element.querySelector("svg")) return element.querySelector("svg");
    if (["TABLE", "THEAD", "TBODY", "TR", "UL", "OL", "DIV", "FIGURE", "NAV"].includes(element.tagName)) {
      const child = atEnd ? element.lastElementChild : element.firstElementChild;
      return child ? inner(child, atEnd) : element;
    }
    return element;
  };
  const shown = (element) => element && element.getClientRects().length > 0;
  for (const heading of document.querySelectorAll("section h2, section h3, section h4")) {
    // A heading that ends its own box goes with what comes after the box.
    let from = heading;
    while (!from.nextElementSibling && from.parentElement && from.tagName !== "SECTION") from = from.parentElement;
    const next = from.nextElementSibling;
    if (!shown(next)) continue;
    together.push({ what: `heading "${heading.textContent.trim().slice(0, 40)}" and what it is about`, marks: [into(heading, true), into(inner(next, false), false)] });
  }
  for (const table of document.querySelectorAll("table")) {
    const [head, row] = [table.querySelector("thead th"), table.querySelector("tbody tr")];
    if (!head || !row) continue;
    together.push({ what: `head of the table "${head.parentElement.textContent.trim().slice(0, 40)}" and its first row`, marks: [into(head, true), into(inner(row, false), false)] });
  }
  for (const whole of document.querySelectorAll("figure, .cut:not(.tall), .whole, .card, .cautions")) {
    together.push({ what: `${whole.className || whole.tagName} "${whole.textContent.trim().slice(0, 40)}"`, marks: [into(inner(whole, false), false), into(inner(whole, true), true)] });
  }
  return together;
}

const MARK = /qz\d{5}z/g;

// Lengths in millimetres of the level lines of a page, as they come out of the printer.
async function levelLines(page) {
  const { fnArray, argsArray } = await page.getOperatorList();
  let at = [1, 0, 0, 1, 0, 0];
  const outer = [];
  const lengths = [];
  fnArray.forEach((fn, index) => {
    const given = argsArray[index];
    if (fn === OPS.save) outer.push(at);
    else if (fn === OPS.restore) at = outer.pop() ?? at;
    else if (fn === OPS.transform) at = Util.transform(at, given);
    else if (fn === OPS.constructPath) {
      const [kinds, figures] = given;
      let [used, from] = [0, null];
      for (const kind of kinds) {
        if (kind !== OPS.moveTo && kind !== OPS.lineTo) break;
        const to = Util.applyTransform([figures[used], figures[used + 1]], at);
        if (kind === OPS.lineTo && from && Math.abs(to[1] - from[1]) < 0.01) lengths.push((Math.abs(to[0] - from[0]) / 72) * 25.4);
        [used, from] = [used + 2, to];
      }
    }
  });
  return lengths;
}

// The pages of a PDF: which marks each has, how far down it is written, and its foot.
async function pagesOf(pdf) {
  const document = await getDocument({ data: new Uint8Array(pdf), verbosity: 0, isEvalSupported: false }).promise;
  const pages = [];
  for (let number = 1; number <= document.numPages; number += 1) {
    const page = await document.getPage(number);
    const [, , , height] = page.view;
    const items = (await page.getTextContent()).items.filter((item) => item.str.trim() !== "");
    // The foot is written in the lower margin, 14 mm high.
    const foot = (item) => item.transform[5] < (14 / 25.4) * 72;
    const written = items.filter((item) => !foot(item) && !item.str.startsWith("qz"));
    const lowest = Math.min(height, ...written.map((item) => item.transform[5]));
    pages.push({
      level: await levelLines(page),
      marks: new Set(items.flatMap((item) => item.str.match(MARK) ?? [])),
      full: (height - lowest) / height,
      foot: items.filter(foot).map((item) => item.str).join(" ").replace(/\d+ of \d+/, "").trim(),
      text: written.map((item) => item.str).join(" "),
    });
  }
  return pages;
}

// Every fault of a printed job: what is parted, and pages under a quarter full that are not the last of their sheet.
export async function faultsOnPaper(pdf, together) {
  const pages = await pagesOf(pdf);
  const faults = [];
  const pageOf = (mark) => pages.findIndex((page) => page.marks.has(mark));
  let found = 0;
  for (const { what, marks } of together) {
    const on = marks.map(pageOf);
    if (on.includes(-1)) continue;
    found += 1;
    if (new Set(on).size > 1) faults.push(`${what} stand on pages ${on.map((page) => page + 1).join(" and ")}`);
  }
  if (found < together.length * 0.95) faults.push(`of ${together.length} marks only ${found} were found in print`);
  // A drawing at full size has rulers: where they say 100 mm the paper has 100 mm.
  const sheets = pages.filter((page) => page.text.includes("100 mm"));
  for (const page of sheets) {
    if (!page.level.some((length) => Math.abs(length - 100) < 0.1)) faults.push(`no line of ${page.foot} is 100 mm long: ${page.level.filter((l) => l > 50).map((l) => l.toFixed(2))}`);
  }
  if (together.some(({ what }) => what.includes("Test corner")) && sheets.length === 0) faults.push("the test corners have no ruler");
  pages.forEach((page, at) => {
    const last = at + 1 === pages.length || pages[at + 1].foot !== page.foot;
    if (!last && page.full < 0.25) faults.push(`page ${at + 1} (${page.foot}) is ${Math.round(page.full * 100)} % full`);
  });
  return faults;
}
