// SPDX-License-Identifier: Apache-2.0
// Opens pages offline at the widths of a desk, a phone and paper, with and without scripts.
//
//     node page_test.mjs PLAYWRIGHT_CORE CHROMIUM FOLDER PAGE..
//
// Pictures of what it saw stay in FOLDER for people to look at.
import path from "node:path";
import {pathToFileURL} from "node:url";

const [, , driver, executablePath, folder, ...pages] = process.argv;
const {chromium} = await import(pathToFileURL(path.join(driver, "index.mjs")));

const VIEWS = {desktop: {width: 1280, height: 900}, phone: {width: 390, height: 844}, paper: {width: 718, height: 1000}};
// WCAG 2.1, 1.4.3: small text.
const LEAST_CONTRAST = 4.5;
// Below this nobody reads it without a lens; px on a screen, and on paper 718 px are 190 mm.
const SMALLEST_TEXT = 7;

let passed = 0;
const faults = [];
function expect(holds, where, what) {
  if (holds) passed += 1;
  else faults.push(`${where}: ${what}`);
}

const browser = await chromium.launch({
  executablePath,
  args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});

async function open(file, view, javaScriptEnabled = true) {
  const context = await browser.newContext({viewport: VIEWS[view], offline: true, javaScriptEnabled});
  const page = await context.newPage();
  const heard = {console: [], requests: []};
  page.on("console", (message) => heard.console.push(message.text()));
  page.on("pageerror", (error) => heard.console.push(error.message));
  page.on("request", (request) => heard.requests.push(request.url()));
  if (view === "paper") await page.emulateMedia({media: "print"});
  await page.goto(pathToFileURL(file).href);
  return {context, page, heard};
}

// Words of the page beside its line charts, which a script may draw anew.
const visibleWords = (page) => page.evaluate(() => {
  const words = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    const element = node.parentElement;
    if (element.closest("script, style, title, desc, figure.chart .frame, figure.chart .plot, footer")) continue;
    if (element.checkVisibility() && node.textContent.trim()) words.push(node.textContent.trim());
  }
  return words.join("\n");
});

const contrastFaults = (page, least) => page.evaluate((wanted) => {
  const light = (color) => {
    const [r, g, b] = color.match(/[\d.]+/g).map(Number).map((c) => (c /= 255) <= 0.03928 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const poor = new Set();
  for (const element of document.querySelectorAll("body *")) {
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    if (!own || !element.checkVisibility() || element.closest("script, style, title, desc")) continue;
    const style = getComputedStyle(element);
    const color = element.closest("svg") ? style.fill : style.color;
    // Backgrounds are white, or lighter than the boxes of the network.
    if (1.05 / (light(color) + 0.05) < wanted) poor.add(`${element.tagName}.${element.getAttribute("class")} ${color}`);
  }
  return [...poor];
}, least);

// Type in a picture shrinks with it.
const smallestText = (page) => page.evaluate(() => {
  let least = Infinity, words = "";
  for (const text of document.querySelectorAll("svg text")) {
    if (!text.checkVisibility()) continue;
    const scale = text.getScreenCTM().d;
    const size = parseFloat(getComputedStyle(text).fontSize) * scale;
    if (size < least) [least, words] = [size, text.textContent];
  }
  return [least, words];
});

// Words of one picture that lie upon each other.
const coveredWords = (page) => page.evaluate(() => {
  const found = [];
  for (const svg of document.querySelectorAll(".frame > svg")) {
    const boxes = [...svg.querySelectorAll("text")].filter((text) => text.checkVisibility())
      .map((text) => [text.textContent, text.getBoundingClientRect()]);
    for (let i = 0; i < boxes.length; ++i) {
      for (let j = i + 1; j < boxes.length; ++j) {
        const [a, b] = [boxes[i][1], boxes[j][1]];
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        // Line boxes are taller than the letters in them.
        if (across > 1 && down > 0.4 * Math.min(a.height, b.height)) found.push(`"${boxes[i][0]}" and "${boxes[j][0]}"`);
      }
    }
  }
  return found;
});

async function look(file, view) {
  const where = `${path.basename(file)} at ${view}`;
  const {context, page, heard} = await open(file, view);
  expect(heard.console.length === 0, where, `the console says: ${heard.console.join("; ")}`);
  expect(heard.requests.length === 1, where, `it asks for ${heard.requests.slice(1).join(", ")}`);
  const [wide, room] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
  expect(wide <= room, where, `it is ${wide} px wide in a window of ${room}`);
  const poor = await contrastFaults(page, LEAST_CONTRAST);
  expect(poor.length === 0, where, `too little contrast: ${poor.join("; ")}`);
  const [size, words] = await smallestText(page);
  expect(size >= SMALLEST_TEXT, where, `"${words}" is ${size.toFixed(1)} px high`);
  const covered = await coveredWords(page);
  expect(covered.length === 0, where, `words lie upon each other: ${covered.join("; ")}`);
  const name = path.join(folder, path.basename(file, ".html"));
  await page.screenshot({path: `${name}-${view}.png`, fullPage: true});
  if (view === "paper") {
    const cut = await page.evaluate(() => [...document.querySelectorAll(".frame, pre")]
      .filter((frame) => frame.scrollWidth > frame.clientWidth + 1).map((frame) => frame.getAttribute("aria-label")));
    expect(cut.length === 0, where, `paper cuts ${cut.join(", ")}`);
    const plots = await page.evaluate(() => [...document.querySelectorAll(".plot")].filter((p) => p.checkVisibility()).length);
    expect(plots === 0, where, "drawn charts stand on paper beside the static ones");
    await page.pdf({path: `${name}.pdf`, preferCSSPageSize: true});
  }
  await context.close();
}

async function readWithoutScripts(file) {
  const where = `${path.basename(file)} without scripts`;
  const bare = await open(file, "desktop", false);
  const full = await open(file, "desktop");
  expect((await visibleWords(bare.page)) === (await visibleWords(full.page)), where, "its words differ");
  const hidden = await bare.page.evaluate(() => [...document.querySelectorAll("figure .frame > svg")]
    .filter((svg) => !svg.checkVisibility()).length);
  expect(hidden === 0, where, `${hidden} pictures are hidden`);
  await bare.context.close();
  await full.context.close();
}

// Keys come to the skip link first, then to every chart, which answers them.
async function walkByKeys(file) {
  const where = `${path.basename(file)} by keys`;
  const {context, page} = await open(file, "desktop");
  const [charts, enhanced] = await page.evaluate(() => [document.querySelectorAll("figure.chart").length,
    document.querySelectorAll("figure.chart.enhanced").length]);
  const embedded = await page.evaluate(() => typeof uPlot !== "undefined");
  expect(enhanced === (embedded ? charts : 0), where, `${enhanced} of ${charts} charts answer`);
  await page.keyboard.press("Tab");
  expect(await page.evaluate(() => document.activeElement.className) === "skip", where, "the skip link is not first");
  let reached = 0;
  const stops = await page.evaluate(() => document.querySelectorAll("a, [tabindex='0']").length);
  for (let i = 0; i < stops; ++i) {
    await page.keyboard.press("Tab");
    if (!await page.evaluate(() => document.activeElement.classList.contains("plot"))) continue;
    reached += 1;
    await page.keyboard.press("End");
    await page.keyboard.press("ArrowLeft");
    const read = await page.evaluate(() => document.activeElement.querySelector(".u-value").textContent);
    expect(/\d/.test(read), where, `chart ${reached} reads "${read}" after an arrow key`);
    const before = await page.evaluate(() => document.activeElement.querySelector("canvas").toDataURL());
    await page.keyboard.press("+");
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    const after = await page.evaluate(() => document.activeElement.querySelector("canvas").toDataURL());
    expect(before !== after, where, `chart ${reached} does not zoom`);
    await page.keyboard.press("Escape");
  }
  expect(reached === enhanced, where, `keys reach ${reached} of ${enhanced} charts`);
  await context.close();
}

for (const file of pages) {
  for (const view of Object.keys(VIEWS)) await look(file, view);
  await readWithoutScripts(file);
  await walkByKeys(file);
}
await browser.close();
for (const fault of faults) console.log(fault);
console.log(`${passed} passed, ${faults.length} failed`);
process.exit(faults.length === 0 ? 0 : 1);
