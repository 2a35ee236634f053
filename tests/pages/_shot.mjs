import { chromium } from "playwright-core";
const [address, prefix] = process.argv.slice(2);
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });
for (const [name, size, dark] of [["wide", {width:1280,height:900}, false], ["phone", {width:390,height:844}, false], ["dark", {width:1280,height:900}, true]]) {
  const page = await browser.newPage({ viewport: size, colorScheme: dark ? "dark" : "light" });
  page.on("console", m => console.log(name, m.type(), m.text()));
  page.on("pageerror", e => console.log(name, "pageerror", String(e)));
  await page.goto(address); await page.waitForTimeout(1200);
  await page.locator("#open").fill("90"); await page.waitForTimeout(300);
  await page.screenshot({ path: `${prefix}-${name}.png`, fullPage: true });
  await page.close();
}
await browser.close();
