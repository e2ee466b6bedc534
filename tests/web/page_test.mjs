// The view "Now" in a real browser: what a person sees, does with keyboard and pointer, and what
// happens when the server goes away. Run by CTest (label web), which sets PAGE_STAGE (where the
// page was built), PAGE_SERVER (the program page_server) and PAGE_BASEMAP.

import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { after, before, test } from 'node:test';

import { launch, mapSettled, openPage } from './browser.mjs';
import { takeScreenshots } from './screenshots.mjs';

const { PAGE_STAGE, PAGE_SERVER, PAGE_BASEMAP } = process.env;
const WIDE = { width: 1440, height: 900 };
const PHONE = { width: 390, height: 844 };

let server;
let url;
let browser;

async function startServer() {
  server = spawn(PAGE_SERVER, [join(PAGE_STAGE, 'dist'), PAGE_BASEMAP], { stdio: ['pipe', 'pipe', 'inherit'] });
  for await (const line of createInterface(server.stdout)) {
    const [word, port] = line.split(' ');
    if (word === 'listening') return `http://127.0.0.1:${port}/`;
  }
  throw new Error('page_server ended before it listened');
}

const order = (word) => server.stdin.write(`${word}\n`);
const row = (page, words) => page.locator('#emitter-table tr[data-key]', { hasText: words });

// How many pixels of the map have this colour, within a few steps a channel.
async function pixelsOf(page, [red, green, blue]) {
  return page.evaluate(
    ([r, g, b]) => {
      let count = 0;
      for (const canvas of document.querySelectorAll('#map canvas')) {
        const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
        for (let i = 0; i < data.length; i += 4) {
          const far = Math.abs(data[i] - r) + Math.abs(data[i + 1] - g) + Math.abs(data[i + 2] - b);
          if (far < 12 && data[i + 3] > 200) count += 1;
        }
      }
      return count;
    },
    [red, green, blue],
  );
}

// Waits until it holds; CTest's own time limit ends a wait in vain.
async function until(holds) {
  while (!(await holds())) await new Promise((resolve) => setTimeout(resolve, 100));
}

before(async () => {
  url = await startServer();
  browser = await launch(PAGE_STAGE);
});

after(async () => {
  await browser?.close();
  server?.stdin.end();
});

test('every emitter and station of the map has a row, what is not registered first', async () => {
  const page = await openPage(browser, url, WIDE);
  const rows = page.locator('#emitter-table tr[data-key]');
  assert.equal(await rows.count(), 7);
  assert.match(await rows.nth(0).innerText(), /433\.920.MHz[\s\S]*41°14\.700′.N[\s\S]*640.×.310.m, 038°[\s\S]*not in the register/);
  assert.match(await rows.nth(6).innerText(), /silent/);
  assert.equal(await page.locator('#station-table tr[data-key]').count(), 4);
  assert.match(await page.locator('#alert-list').innerText(), /433\.920 MHz: heard by three stations/);
  assert.deepEqual(page.complaints, []);
  await page.context().close();
});

test('the caution is in sight', async () => {
  const page = await openPage(browser, url, PHONE);
  await page.getByText('An ellipse is evidence, never proof of who transmits.').waitFor();
  const box = await page.locator('.caution').boundingBox();
  assert.ok(box.y + box.height < PHONE.height, 'the caution is above the fold');
  await page.context().close();
});

test('the canvas shows land and the marks of the register states', async () => {
  const page = await openPage(browser, url, WIDE);
  await until(async () => (await pixelsOf(page, [0xc2, 0x5e, 0x00])) > 50); // not in the register
  await mapSettled(page);
  assert.ok((await pixelsOf(page, [0xf2, 0xea, 0xd3])) > 50_000, 'land');
  assert.ok((await pixelsOf(page, [0x00, 0x35, 0x4e])) > 50, 'registered');
  assert.ok((await pixelsOf(page, [0xa8, 0x41, 0xac])) > 50, 'position disagrees');
  await page.context().close();
});

test('a click on a row selects, says in words what the outline means, and draws the bearings', async () => {
  const page = await openPage(browser, url, WIDE);
  await mapSettled(page);
  const inkBefore = await pixelsOf(page, [0x1d, 0x26, 0x2c]);
  await row(page, '433.920').click();
  await page.getByText(
    '19 times in 20 the transmitter is inside this outline; LANTERN-HEAD, MOSS-RIDGE and QUILL-POINT agree; HARROW-HILL’s bearing was set aside.',
  ).waitFor();
  await until(async () => (await pixelsOf(page, [0x1d, 0x26, 0x2c])) > inkBefore + 300); // the bearings
  assert.equal(await row(page, '433.920').getByRole('button').getAttribute('aria-pressed'), 'true');
  assert.match(await page.locator('.bearings').innerText(), /HARROW-HILL\s+085°[\s\S]*set aside/);
  await page.getByRole('button', { name: 'Close' }).click();
  assert.equal(await page.locator('#detail').isVisible(), false);
  await page.context().close();
});

test('what is known, and the way to it, open as papers of their own', async () => {
  const page = await openPage(browser, url, WIDE);
  await row(page, '433.920').click();
  for (const [name, title] of [['Report', 'report'], ['Way to it', 'handover']]) {
    const opened = page.context().waitForEvent('page');
    await page.locator('#detail').getByRole('link', { name }).click();
    const paper = await opened;
    await paper.getByText('on paper').waitFor();
    assert.equal(await paper.title(), title);
    await paper.close();
  }
  await page.context().close();
});

test('the filter leaves what was asked for, on the map and in the table', async () => {
  const page = await openPage(browser, url, WIDE);
  await row(page, '433.920').waitFor();
  const all = await page.locator('#emitter-table tr[data-key]').count();
  await page.getByRole('searchbox').fill('433.92');
  await until(async () => (await page.locator('#emitter-table tr[data-key]').count()) === 1);
  assert.equal(await page.locator('#emitter-count').innerText(), `1 of ${all}`);
  await page.getByRole('button', { name: 'Show all' }).click();
  await until(async () => (await page.locator('#emitter-table tr[data-key]').count()) === all);
  await page.getByLabel('Register').selectOption('registered');
  for (const text of await page.locator('#emitter-table tr[data-key] td:last-child').allInnerTexts()) {
    assert.equal(text, 'registered');
  }
  await page.context().close();
});

test('a link can name the emitter that is to be shown', async () => {
  const page = await openPage(browser, url, WIDE);
  const key = await row(page, '433.920').getAttribute('data-key');
  await page.goto(`${url}?emitter=${key}`);
  await page.locator('#detail').getByText('433.92').first().waitFor();
  assert.equal(await row(page, '433.920').getByRole('button').getAttribute('aria-pressed'), 'true');
  await page.context().close();
});

test('a click on the mark selects its row', async () => {
  const page = await openPage(browser, url, WIDE);
  await row(page, '446.0063').click();
  await page.getByRole('button', { name: 'Zoom to outline' }).click();
  await mapSettled(page);
  await page.getByRole('button', { name: 'Close' }).click();
  const map = await page.locator('#map').boundingBox();
  await page.mouse.click(map.x + map.width / 2, map.y + map.height / 2);
  await page.locator('#detail').getByText('Only two stations heard it').waitFor();
  assert.ok(await row(page, '446.0063').evaluate((r) => r.classList.contains('selected')));
  await page.context().close();
});

test('the keyboard alone reaches an emitter, walks the rows and moves the map', async () => {
  const page = await openPage(browser, url, WIDE);
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter'); // "Skip the map"
  await page.keyboard.press('Tab'); // the filter's words
  await page.keyboard.press('ArrowDown'); // the first row
  await page.keyboard.press('ArrowDown');
  await page.keyboard.press('Enter');
  await page.locator('#detail').getByText('462.5625').waitFor();
  const before = await page.locator('#map').screenshot();
  await page.locator('#map').focus();
  await page.keyboard.press('+');
  await mapSettled(page);
  assert.notDeepEqual(await page.locator('#map').screenshot(), before);
  await page.context().close();
});

test('names for a screen reader: map, tables, buttons, selection', async () => {
  const page = await openPage(browser, url, WIDE);
  await page.getByRole('application', { name: /^Map of stations and emitters/ }).waitFor();
  await page.getByRole('table', { name: 'Emitters that are shown on the map' }).waitFor();
  await page.getByRole('button', { name: '433.920 MHz' }).waitFor();
  assert.equal(await page.getByRole('columnheader', { name: '95 % ellipse' }).count(), 1);
  const unnamed = await page.locator('button').evaluateAll((all) =>
    all.filter((b) => !(b.textContent?.trim() || b.getAttribute('aria-label') || b.title)).length);
  assert.equal(unnamed, 0);
  await page.context().close();
});

test('at phone width rows become cards, stay a table, and nothing runs off the side', async () => {
  const page = await openPage(browser, url, PHONE);
  await row(page, '433.920').click();
  await page.locator('#detail .sentence').waitFor();
  const { scrolled, seen } = await page.evaluate(() => ({
    scrolled: document.documentElement.scrollWidth,
    seen: document.documentElement.clientWidth,
  }));
  assert.ok(scrolled <= seen, `${scrolled} px are wider than ${seen}`);
  await page.getByRole('table', { name: 'Emitters that are shown on the map' }).waitFor();
  await page.context().close();
});

test('a new emitter appears by itself, first, and ages are told anew when it is heard', async () => {
  const page = await openPage(browser, url, WIDE);
  order('add');
  await row(page, '27.185').waitFor({ timeout: 20_000 });
  assert.match(await page.locator('#emitter-table tr[data-key]').first().innerText(), /27\.185/);
  order('hear');
  await page.waitForFunction(
    () => [...document.querySelectorAll('#emitter-table tr[data-key]')].every((r) => !/min ago/.test(r.innerText)),
    undefined,
    { timeout: 20_000 },
  );
  await page.context().close();
});

test('without the server the page says so, keeps what it has, and comes back by itself', async () => {
  const page = await openPage(browser, url, WIDE);
  order('stop');
  await page.getByText('No link to the server').waitFor({ timeout: 20_000 });
  assert.ok((await page.locator('#emitter-table tr[data-key]').count()) >= 7);
  order('start');
  await page.locator('.link.live').waitFor({ timeout: 20_000 });
  await page.context().close();
});

test('while the database is away a page says so, and loads by itself when it is back', async () => {
  order('lose');
  const context = await browser.newContext({ viewport: WIDE });
  const page = await context.newPage();
  await page.goto(url);
  await page.getByText('The server can’t ask its database').waitFor({ timeout: 20_000 });
  order('find');
  await page.locator('#emitter-table tr[data-key]').first().waitFor({ timeout: 20_000 });
  await page.locator('#station-table tr[data-key]').first().waitFor({ timeout: 20_000 });
  await page.getByText('Live', { exact: true }).waitFor({ timeout: 20_000 });
  await context.close();
});

test('nothing is asked of any other host', async () => {
  const context = await browser.newContext({ viewport: WIDE });
  const page = await context.newPage();
  const hosts = new Set();
  page.on('request', (request) => {
    const address = new URL(request.url());
    if (address.protocol !== 'data:') hosts.add(address.host);
  });
  await page.goto(url);
  await page.locator('.link.live').waitFor();
  await mapSettled(page);
  assert.deepEqual([...hosts], [new URL(url).host]);
  await context.close();
});

test('screenshots of both sizes and themes can be taken', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'fixwright-shots-'));
  try {
    const files = await takeScreenshots(browser, url, folder);
    assert.equal(files.length, 8);
    for (const file of files) assert.ok(statSync(file).size > 20_000, file);
  } finally {
    rmSync(folder, { recursive: true });
  }
});
