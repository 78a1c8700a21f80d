// The field sheets as a browser shows and prints them, and as axe judges them.
//     node sheet.js CHROMIUM PLANS SHOTS
// Every sheet.html and farm.html under PLANS is opened at desktop and phone width and printed on letter and A4
// paper. Pictures and PDFs go to SHOTS. Needs puppeteer-core and axe-core where node finds them.
'use strict';
const fs = require('fs');
const path = require('path');
const { execFileSync } = require('child_process');
const { fileURLToPath, pathToFileURL } = require('url');
const puppeteer = require('puppeteer-core');
const axe = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

const [chromium, plans, shots] = process.argv.slice(2);
const faults = [];
const fault = (job, said) => faults.push(`${job}: ${said}`);

// Names of jobs are as they come; those of pictures are plain.
const shot = (job, what) => path.join(shots, `${job.replace(/[^\w-]/g, '').slice(0, 40)}-${what}`);

// What must hold of an open page: nothing is wider than it or cut off, no two labels of a map overlap.
function look() {
  const found = [];
  const root = document.documentElement;
  if (root.scrollWidth > root.clientWidth) found.push(`${root.scrollWidth} px in ${root.clientWidth}`);
  for (const cell of document.querySelectorAll('td, th, dd, li, p, h1, h2')) {
    // A wide table moves within its box, on a screen.
    const box = (cell.closest('.wide') ?? cell).getBoundingClientRect();
    if (!cell.classList.contains('unseen') && box.right > root.clientWidth + 0.5) found.push(`cut off: ${cell.textContent.slice(0, 40)}`);
  }
  for (const svg of document.querySelectorAll('figure svg')) {
    const frame = svg.getBoundingClientRect();
    const texts = [...svg.querySelectorAll('text')].map((text) => [text, text.getBoundingClientRect()])
      .filter(([, box]) => box.width > 0);
    texts.forEach(([text, a], i) => {
      const shown = text.textContent;
      // Half a pixel for the rounding of coordinates to tenths.
      if (a.left < frame.left - 0.5 || a.right > frame.right + 0.5 || a.top < frame.top - 0.5 || a.bottom > frame.bottom + 0.5) found.push(`outside its map: ${shown}`);
      for (const [other, b] of texts.slice(i + 1)) {
        // Letters have an empty part above and below them: an eighth of a line each.
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const up = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) - (a.height + b.height) / 8;
        if (across > 0.5 && up > 0.5) found.push(`on top of each other: ${shown}, ${other.textContent}`);
      }
    });
  }
  return found;
}

async function open(browser, file, job, width) {
  const page = await browser.newPage();
  page.on('console', (message) => fault(job, `console: ${message.text()}`));
  page.on('pageerror', (error) => fault(job, `page: ${error.message}`));
  page.on('request', (request) => {
    const url = request.url();
    if (url !== pathToFileURL(file).href && !url.startsWith('data:')) fault(job, `asks for ${url}`);
  });
  page.on('dialog', async (dialog) => { fault(job, `dialog: ${dialog.message()}`); await dialog.dismiss(); });
  await page.setViewport({ width, height: 900, deviceScaleFactor: 2 });
  await page.goto(pathToFileURL(file).href);
  return page;
}

async function judge(browser, file, job) {
  const first = await open(browser, file, job, 1200);
  const links = await first.evaluate(() => [...document.querySelectorAll('a')].map((link) => link.href));
  await first.close();
  // A place (RFC 5870) is for a phone, and no file.
  const files = links.filter((link) => !/^geo:-?\d/.test(link));
  for (const link of files) if (!fs.existsSync(fileURLToPath(link.split('#')[0]))) fault(job, `leads nowhere: ${link}`);
  for (const [device, width] of [['desktop', 1200], ['phone', 390]]) {
    const page = await open(browser, file, job, width);
    await page.screenshot({ path: shot(job, `${device}.png`), fullPage: true });
    for (const said of await page.evaluate(look)) fault(job, `${device}: ${said}`);
    // The page has no script of its own; axe's is put in by the browser's debugger.
    await page.evaluate(axe);
    const { violations } = await page.evaluate(() => globalThis.axe.run());
    for (const { id, impact, help, nodes } of violations) {
      const said = `${device}: axe ${impact}: ${id}: ${help}: ${nodes[0].html.slice(0, 120)}`;
      if (impact === 'serious' || impact === 'critical') fault(job, said); else console.log(`${job}: ${said}`);
    }
    await page.close();
  }
  for (const format of ['Letter', 'A4']) {
    const page = await open(browser, file, job, 800);
    const pdf = shot(job, `${format.toLowerCase()}.pdf`);
    await page.pdf({ path: pdf, format, printBackground: true, preferCSSPageSize: false });
    const pages = Number(/Pages:\s+(\d+)/.exec(execFileSync('pdfinfo', [pdf], { encoding: 'utf8' }))[1]);
    if (pages > 2) fault(job, `${format}: ${pages} pages, expected 2 at most`);
    // Every line of the page is in the print.
    const print = execFileSync('pdftotext', ['-raw', pdf, '-'], { encoding: 'utf8' }).replace(/\s+/g, '');
    const words = await page.evaluate(() => [...document.querySelectorAll('td, th, dd b, li, h1, h2')]
      .filter((cell) => !cell.classList.contains('unseen')).map((cell) => cell.textContent.trim()));
    for (const word of words) {
      // Beyond ASCII the order of letters in a PDF is the printer's.
      if (/^[\x20-\x7e]+$/.test(word) && !print.includes(word.replace(/\s+/g, ''))) fault(job, `${format}: not in the print: ${word}`);
    }
    await page.close();
  }
}

(async () => {
  fs.mkdirSync(shots, { recursive: true });
  const jobs = fs.readdirSync(plans).filter((job) => fs.existsSync(path.join(plans, job, 'sheet.html'))).sort();
  const farms = fs.readdirSync(plans).filter((farm) => fs.existsSync(path.join(plans, farm, 'farm.html'))).sort();
  if (jobs.length === 0) fault(plans, 'no sheet.html');
  // Chromium's own sandbox does not run as root.
  const browser = await puppeteer.launch({ executablePath: chromium, args: ['--no-sandbox'] });
  for (const job of jobs) await judge(browser, path.resolve(plans, job, 'sheet.html'), job);
  for (const farm of farms) await judge(browser, path.resolve(plans, farm, 'farm.html'), farm);
  await browser.close();
  faults.forEach((said) => console.error(said));
  console.log(`${jobs.length} fields and ${farms.length} farms, ${faults.length} faults`);
  process.exit(faults.length > 0 ? 1 : 0);
})();
