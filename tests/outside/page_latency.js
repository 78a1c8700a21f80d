// How fast the planning page follows: from a handle's move to new figures and to the new map, as Chromium
// has them in its document, and from the command to a page that can be used.
//     node page_latency.js CHROMIUM LANDPLASTER
// Fields are made here: squares of 160 acres with 64 samples and of 1,000 acres with 400. Prints the 50th and the
// 95th percentile of 60 moves. Exits with 1 where a median is over its limit.
'use strict';
const fs = require('fs');
const os = require('os');
const path = require('path');
const { spawn } = require('child_process');
const puppeteer = require('puppeteer-core');

const [chromium, program] = process.argv.slice(2);
const MOVES = 60;
/** Acres, samples a side, and the limits in milliseconds: figures, map. */
const FIELDS = [[160, 8, 50, 120], [1000, 20, 300, 300]];

// A field of smooth hills with a little scatter, always the same.
function field(folder, acres, side) {
  const meters = Math.sqrt(acres * 4046.8564224);
  const north = meters / 111050;
  const east = meters / (111320 * Math.cos(40.5 * Math.PI / 180));
  const ring = [[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]].map(([x, y]) => [-85.2 + x * east, 40.5 + y * north]);
  fs.writeFileSync(path.join(folder, 'field.geojson'), JSON.stringify({ type: 'Polygon', coordinates: [ring] }));
  let seed = 7;
  const random = () => { seed = (seed * 1103515245 + 12345) % 2147483648; return seed / 2147483648; };
  const lines = ['id,longitude,latitude,cec'];
  for (let row = 0; row < side; row += 1) {
    for (let column = 0; column < side; column += 1) {
      const [x, y] = [(column + 0.5) / side, (row + 0.5) / side];
      const cec = 12.5 + 4 * Math.sin(5 * x + 1) * Math.cos(4 * y) + 2 * (x - y) + 1.5 * (random() - 0.5);
      lines.push(`S${row * side + column + 1},${(-85.2 + x * east).toFixed(7)},${(40.5 + y * north).toFixed(7)},${cec.toFixed(1)}`);
    }
  }
  fs.writeFileSync(path.join(folder, 'samples.csv'), `${lines.join('\n')}\n`);
  fs.writeFileSync(path.join(folder, 'field.toml'), 'boundary = "field.geojson"\nsamples = "samples.csv"\n');
}

const quantile = (all, share) => [...all].sort((a, b) => a - b)[Math.min(all.length - 1, Math.floor(share * all.length))];

async function measure(acres, side, limits) {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'latency-'));
  field(folder, acres, side);
  const browser = await puppeteer.launch({ executablePath: chromium, args: ['--no-sandbox'] });
  const page = await browser.newPage();
  await page.setViewport({ width: 1400, height: 950 });
  const begun = performance.now();
  const served = spawn(path.resolve(program), ['page', '--no-browser', 'field.toml'], { cwd: folder });
  const address = await new Promise((resolve, reject) => {
    let said = '';
    served.stdout.on('data', (data) => { said += data; const found = /http:\S+/.exec(said); if (found) resolve(found[0]); });
    served.on('exit', () => reject(new Error(`ended: ${said}`)));
  });
  await page.goto(address);
  await page.waitForSelector('#break-0');
  const usable = performance.now() - begun;
  await page.evaluate(() => {
    globalThis.taken = { figures: [], map: [] };
    let from = null;
    document.addEventListener('pointermove', () => { from = { figures: performance.now(), map: performance.now() }; }, true);
    const watch = (what, element) => new MutationObserver(() => {
      if (from?.[what]) { globalThis.taken[what].push(performance.now() - from[what]); from[what] = null; }
    }).observe(element, { childList: true, subtree: true, characterData: true });
    watch('figures', document.querySelector('#figures'));
    watch('map', document.querySelector('#map > g'));
  });
  const grip = await (await page.$('#break-0 .hold')).boundingBox();
  const at = [grip.x + grip.width / 2, grip.y + grip.height / 2];
  await page.mouse.move(...at);
  await page.mouse.down();
  await page.evaluate(() => { globalThis.taken = { figures: [], map: [] }; });
  for (let move = 0; move < MOVES; move += 1) {
    const count = move + 1;
    await page.mouse.move(at[0] + (move % 2 ? 25 : -25) + (move % 10), at[1]);
    await page.waitForFunction((n) => globalThis.taken.map.length >= n && globalThis.taken.figures.length >= n, { polling: 5, timeout: 20000 }, count);
  }
  const taken = await page.evaluate(() => globalThis.taken);
  await page.mouse.up();
  await browser.close();
  served.kill();
  fs.rmSync(folder, { recursive: true });
  let slow = 0;
  console.log(`${acres} ac, ${side * side} samples: usable after ${usable.toFixed(0)} ms`);
  for (const [what, limit] of [['figures', limits[0]], ['map', limits[1]]]) {
    const [half, most] = [quantile(taken[what], 0.5), quantile(taken[what], 0.95)];
    console.log(`  move to new ${what}: p50 ${half.toFixed(0)} ms, p95 ${most.toFixed(0)} ms; limit of the median ${limit} ms`);
    slow += half > limit ? 1 : 0;
  }
  return slow;
}

(async () => {
  let slow = 0;
  for (const [acres, side, ...limits] of FIELDS) slow += await measure(acres, side, limits);
  process.exit(slow > 0 ? 1 : 0);
})();
